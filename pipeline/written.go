package pipeline

import "panelwright/pipeline/panel"

// Written is a build's written files and the panel they were written from: what the proof holds
// against each other.
type Written struct {
	Panel   panel.Panel
	Name    string                            // the panel's name, which files are named by
	Read    func(name string) ([]byte, error) // a written file, by its name within the build folder
	Outputs []string                          // every written file, sorted
	Workers int                               // how many goroutines may be used; results do not depend on it
}
