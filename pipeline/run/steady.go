package run

import (
	"context"
	"path/filepath"
)

// steadyTries is how often a folder is read that is exchanged each time.
const steadyTries = 3

// Steady calls read, which reads finished builds in these folders, and calls it again when another build has taken the place
// of one of them meanwhile: what it read then may be half of one and half of the other. Errors: read's own; a *MachineError when
// builds come in faster than they can be read.
func Steady(ctx context.Context, dirs []string, read func() error) error {
	sums := func() (all string) {
		for _, dir := range dirs {
			sum, err := SumOfFile(filepath.Join(dir, manifestName))
			if err != nil { // there is none for a moment while names are changed one by one
				sum = "none"
			}
			all += sum + "\n"
		}
		return all
	}
	for range steadyTries {
		before := sums()
		err := read()
		if ctx.Err() != nil || sums() == before {
			return err
		}
	}
	return machine("%s: other builds took its place while it was read; try again when none is running", filepath.ToSlash(filepath.Clean(dirs[len(dirs)-1])))
}
