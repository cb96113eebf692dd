package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"panelwright/pipeline/run"
)

// writeResult writes a file that was asked for. One that is there already is exchanged for the new one in one step: whoever reads it
// finds the one or the other, and a full disk leaves it as it was.
func writeResult(name string, text []byte) error {
	err := exchangeFile(name, text)
	var p *fs.PathError
	var l *os.LinkError
	switch {
	case errors.As(err, &p):
		err = p.Err
	case errors.As(err, &l):
		err = l.Err
	}
	if err != nil {
		return &run.MachineError{Err: fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(name), err)}
	}
	return nil
}

func exchangeFile(name string, text []byte) (err error) {
	if at, err := filepath.EvalSymlinks(name); err == nil {
		name = at
	}
	if info, err := os.Lstat(name); err == nil && !info.Mode().IsRegular() {
		return os.WriteFile(name, text, 0o666) // a pipe or a device; of a folder the system says why not
	}
	beside := filepath.Join(filepath.Dir(name), fmt.Sprintf(".%s.%d.new", filepath.Base(name), os.Getpid()))
	f, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(beside, name)
	}
	if err != nil {
		os.Remove(beside)
	}
	return err
}
