package run

import (
	"errors"
	"io"
	"io/fs"
	"os"
)

var errNotPlain = errors.New("not an ordinary file")

// openPlain opens a regular file. Anything else is refused before it is opened: a pipe would hold that up for ever.
func openPlain(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "open", Path: path, Err: errNotPlain}
	}
	return os.Open(path)
}

// ReadPlain reads a regular file of at most so many bytes; what is longer is cut there.
func ReadPlain(path string, most int64) ([]byte, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most))
}
