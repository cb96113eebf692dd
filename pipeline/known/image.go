package known

import (
	"bytes"
	"debug/elf"
	"errors"
	"io"
	"os"
	"runtime"
	"sync"

	"panelwright/pipeline/run"
)

// Image names the program that is running by its content: the identity that Go's linker writes into every program, or the
// SHA-256 of its file where that is missing. Another program has another one, even of the same version.
var Image = sync.OnceValues(func() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	if runtime.GOOS == "linux" { // what runs, even where its file has been replaced meanwhile
		path = "/proc/self/exe"
	}
	if id, err := linkerID(path); err == nil && id != "" {
		return "go " + id, nil
	}
	sum, err := run.SumOfFile(path)
	if err != nil {
		return "", err
	}
	return "sha256 " + sum, nil
})

// linkerID reads the identity as Go's own cmd/internal/buildid does: in files of the ELF format from the linker's note, in others from
// the mark at the beginning of the program's code, soon after the headers. It is empty where there is none.
func linkerID(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	head := make([]byte, markWithin)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return "", err
	}
	head = head[:n]
	if bytes.HasPrefix(head, []byte(elf.ELFMAG)) {
		return noted(f)
	}
	_, rest, _ := bytes.Cut(head, []byte("\xff Go build ID: \""))
	id, _, ok := bytes.Cut(rest, []byte("\"\n \xff"))
	if !ok {
		return "", nil
	}
	return believable(id), nil
}

const markWithin = 64 << 10

// noted finds the linker's note.
func noted(f io.ReaderAt) (string, error) {
	file, err := elf.NewFile(f)
	if err != nil {
		return "", err
	}
	const name, kind = "Go\x00\x00", 4
	for _, p := range file.Progs {
		if p.Type != elf.PT_NOTE || p.Filesz > markWithin {
			continue
		}
		note := make([]byte, p.Filesz)
		if _, err := p.ReadAt(note, 0); err != nil {
			return "", err
		}
		for len(note) >= 12 {
			size := func(at int) int { return int(file.ByteOrder.Uint32(note[at:])+3) &^ 3 }
			nameSize, textSize := size(0), size(4)
			if nameSize < 0 || textSize < 0 || 12+nameSize+textSize > len(note) {
				break
			}
			text := note[12+nameSize:][:file.ByteOrder.Uint32(note[4:])]
			if string(note[12:12+nameSize]) == name && file.ByteOrder.Uint32(note[8:]) == kind {
				return believable(text), nil
			}
			note = note[12+nameSize+textSize:]
		}
	}
	return "", nil
}

// believable gives an identity that has parts for what the program was made of and for its content; empty for any other.
func believable(id []byte) string {
	if bytes.Count(id, []byte("/")) < 1 || len(id) < 40 {
		return ""
	}
	return string(id)
}
