package run

import "os"

// makeScratch makes an empty folder for a stage, where the system keeps what is for the moment only.
func (f *Files) makeScratch() (string, error) {
	dir, err := os.MkdirTemp("", "panelwright-scratch-")
	if err != nil {
		return "", f.fail(machine("a scratch folder cannot be made: %w", bare(err)))
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.scratch = append(f.scratch, dir)
	return dir, nil
}

// removeScratch removes what makeScratch made.
func (f *Files) removeScratch() {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, dir := range f.scratch {
		os.RemoveAll(dir)
	}
	f.scratch = nil
}
