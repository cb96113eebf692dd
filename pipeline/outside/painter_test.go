package outside

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"time"
)

const python = "/usr/bin/python3" // Debian's: it has the libraries of Debian's packages

// painter draws pictures with the viewer's library in a process of its own (viewer.py), begun with the
// first picture. It reads the files of one request once, however many windows of them are asked for.
type painter struct {
	cmd  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Reader
	said *bytes.Buffer
}

type paintWindow struct {
	X float64 `json:"x"` // mm
	Y float64 `json:"y"`
	W int     `json:"w"` // pixels
	H int     `json:"h"`
}

// draw gives the pictures of the files, one over the other, in each of the windows, with the files
// turned about their origin first.
func (p *painter) draw(windows []window, dpi, quarters int, files []string) ([]*bitmap, error) {
	if p.cmd == nil {
		if err := p.begin(); err != nil {
			return nil, fmt.Errorf("the viewer did not begin: %w", err)
		}
	}
	// So long for each request: a picture takes a second.
	alarm := time.AfterFunc(2*time.Minute, func() { _ = p.cmd.Process.Kill() })
	defer alarm.Stop()
	out, refused, err := p.ask(windows, dpi, quarters, files)
	if err != nil {
		_ = p.cmd.Process.Kill()
		said := p.said
		if e := p.end(); e != nil {
			err = e
		}
		return nil, fmt.Errorf("the viewer failed on %s: %w: %s", files, err, tail(said.String()))
	}
	if refused != "" {
		return nil, fmt.Errorf("%s", tail(refused))
	}
	return out, nil
}

func (p *painter) begin() error {
	cmd := exec.Command(python, "viewer.py")
	p.said = &bytes.Buffer{}
	cmd.Stderr = p.said
	in, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	p.cmd, p.in, p.out = cmd, in, bufio.NewReader(out)
	return nil
}

// end ends the process, which ends when nothing is left to read; the next picture begins another.
func (p *painter) end() error {
	if p.cmd == nil {
		return nil
	}
	_ = p.in.Close()
	err := p.cmd.Wait()
	*p = painter{}
	return err
}

// ask sends one request and reads the answer: pictures, or why the viewer refused.
func (p *painter) ask(windows []window, dpi, quarters int, files []string) (out []*bitmap, refused string, err error) {
	request := struct {
		Files    []string      `json:"files"`
		Quarters int           `json:"quarters"`
		DPI      int           `json:"dpi"`
		Windows  []paintWindow `json:"windows"`
	}{Files: files, Quarters: quarters & 3, DPI: dpi}
	for _, w := range windows {
		request.Windows = append(request.Windows, paintWindow{float64(w.x) / 1e6, float64(w.y) / 1e6, w.w, w.h})
	}
	if err := json.NewEncoder(p.in).Encode(request); err != nil {
		return nil, "", err
	}
	line, err := p.out.ReadBytes('\n')
	if err != nil {
		return nil, "", err
	}
	var answer struct {
		Error string
		Words []int
	}
	if err := json.Unmarshal(line, &answer); err != nil {
		return nil, "", err
	}
	if answer.Error != "" {
		return nil, answer.Error, nil
	}
	if len(answer.Words) != len(windows) {
		return nil, "", fmt.Errorf("%d pictures for %d windows", len(answer.Words), len(windows))
	}
	for i, w := range windows {
		b := newBitmap(w.w, w.h)
		if answer.Words[i] != b.stride {
			return nil, "", fmt.Errorf("rows of %d words for %d pixels", answer.Words[i], w.w)
		}
		raw := make([]byte, 8*len(b.bits))
		if _, err := io.ReadFull(p.out, raw); err != nil {
			return nil, "", err
		}
		for k := range b.bits {
			b.bits[k] = binary.LittleEndian.Uint64(raw[8*k:])
		}
		out = append(out, b)
	}
	return out, "", nil
}

func tail(s string) string {
	if len(s) > 400 {
		s = "… " + s[len(s)-400:]
	}
	return strings.TrimSpace(s)
}
