package pipeline

import (
	"errors"
	"io/fs"
	"os"
)

// Bare takes the path out of a system error: it is another on every machine, and who tells of the error names the file as the
// user does.
func Bare(err error) error {
	var p *fs.PathError
	var l *os.LinkError
	var s *os.SyscallError
	switch {
	case errors.As(err, &p):
		return p.Err
	case errors.As(err, &l):
		return l.Err
	case errors.As(err, &s):
		return s.Err
	}
	return err
}
