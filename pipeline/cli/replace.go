package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// replaceFile gives a file a new content: the old one or the new one is there at any time, whole. What may be done with
// the file stays as it was, and where path is a link the file that it leads to is replaced. A file that must not be
// written is refused.
func replaceFile(path string, data []byte) error {
	failed := func(err error) error {
		return &run.MachineError{Err: fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(path), pipeline.Bare(err))}
	}
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return failed(err)
	}
	info, err := os.Stat(real)
	if err != nil {
		return failed(err)
	}
	if info.Mode().Perm()&0o222 == 0 {
		return &run.MachineError{Err: fmt.Errorf("%s: is read-only, and is left as it is", filepath.ToSlash(path))}
	}
	// It may be another's to write, which the mode alone does not say.
	f, err := os.OpenFile(real, os.O_WRONLY, 0)
	if err != nil {
		return failed(err)
	}
	f.Close()
	beside, err := writeBeside(real, data, info.Mode().Perm())
	if err != nil {
		return failed(err)
	}
	if err := os.Rename(beside, real); err != nil {
		os.Remove(beside)
		return failed(err)
	}
	return nil
}

// newFile writes a file that must not be there yet: it appears whole or not at all. An error that is os.ErrExist means
// that it is there.
func newFile(path string, data []byte) error {
	beside, err := writeBeside(path, data, 0)
	if err != nil {
		return err
	}
	defer os.Remove(beside)
	err = os.Link(beside, path)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	// A file system without such links: the name is taken first, so that no other file can be lost.
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	f.Close()
	if err := os.Rename(beside, path); err != nil {
		os.Remove(path)
		return err
	}
	return nil
}

// writeBeside writes a file of a name of its own into the folder of path, and gives its name. Without a mode it is one
// that the system gives to new files.
func writeBeside(path string, data []byte, mode os.FileMode) (string, error) {
	var f *os.File
	var err error
	for n := range 1000 {
		f, err = os.OpenFile(filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%d.new", filepath.Base(path), n)), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
		if !errors.Is(err, os.ErrExist) {
			break
		}
	}
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil && mode != 0 {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return f.Name(), err
}
