package known

import (
	"bytes"
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

// The linker's mark stands at the beginning of a program's code, soon after the headers of its file: what Go's own
// cmd/internal/buildid looks for.
const (
	markBegins = "\xff Go build ID: \""
	markEnds   = "\"\n \xff"
	markWithin = 64 << 10
)

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
	_, rest, ok := bytes.Cut(head[:n], []byte(markBegins))
	if !ok {
		return "", nil
	}
	id, _, ok := bytes.Cut(rest, []byte(markEnds))
	if !ok || bytes.Count(id, []byte("/")) < 1 || len(id) < 40 {
		return "", nil
	}
	return string(id), nil
}
