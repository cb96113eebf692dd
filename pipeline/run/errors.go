package run

import (
	"errors"
	"fmt"
	"io/fs"

	"panelwright/pipeline"
)

// MachineError is a failure of the machine rather than of the recipe or its inputs: a full disk, a
// folder that cannot be written, a second build of the same panel.
type MachineError struct{ Err error }

// Error gives the failure's own text.
func (m *MachineError) Error() string { return m.Err.Error() }

// Unwrap gives the failure.
func (m *MachineError) Unwrap() error { return m.Err }

func machine(format string, a ...any) error { return &MachineError{fmt.Errorf(format, a...)} }

// FaultError is a mistake in the program itself: a stage that panicked or broke its contract.
type FaultError struct {
	Where string // the recipe's line and the stage
	What  string
	Code  string // file:line of the program, where known
}

// Error states the fault and that the recipe is not to blame.
func (f *FaultError) Error() string {
	s := f.What
	if f.Where != "" {
		s = f.Where + ": " + s
	}
	if f.Code != "" {
		s += " (at " + f.Code + ")"
	}
	return s
}

// ErrInterrupted is what Build returns when its context ends before the new build is in place.
var ErrInterrupted = errors.New("interrupted")

// inputError words an error about reading name without the absolute path that the system puts in.
// What the user can mend in the recipe is an ordinary error; the rest is the machine's.
func inputError(name string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file or folder", name)
	case errors.Is(err, fs.ErrPermission):
		return machine("%s: cannot be read: permission denied", name)
	}
	return machine("%s: cannot be read: %w", name, bare(err))
}

// bare takes the path out of a system error.
func bare(err error) error { return pipeline.Bare(err) }
