package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// writeResult writes a file that was asked for. One that is there already is exchanged for the new one in one step: whoever reads it
// finds the one or the other, and a full disk leaves it as it was.
func writeResult(name string, text []byte) error {
	info, err := os.Stat(name)
	if err == nil && info.Mode().IsRegular() {
		return replaceFile(name, text)
	}
	if err == nil { // a pipe or a device; of a folder the system says why not
		err = os.WriteFile(name, text, 0o666)
	} else {
		var beside string
		if beside, err = writeBeside(name, text, 0); err == nil {
			if err = os.Rename(beside, name); err != nil {
				os.Remove(beside)
			}
		}
	}
	if err != nil {
		return &run.MachineError{Err: fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(name), pipeline.Bare(err))}
	}
	return nil
}
