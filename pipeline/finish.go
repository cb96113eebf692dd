package pipeline

import (
	"context"

	"panelwright/pipeline/panel"
)

// Finisher is a stage of the role Write that writes what can be written only when all is known: a report of the
// findings, those of the proof among them.
type Finisher interface {
	// Finish is called once, after the proof and the decision over the release, in the order of the
	// recipe. It may create files through env, but neither report findings nor ask for archives: what it writes
	// is not read back. Equal options, panels and ends give equal files.
	Finish(ctx context.Context, env *Env, in panel.Panel, end End) error
}

// End is how a build has turned out.
type End struct {
	Released bool
	Notice   string    // what keeps the panel from being released, "NOT FOR RELEASE: 2 findings …"; empty when nothing does
	Findings []Finding // ordered, waivers applied
	Judged   []Judged  // every rule that was judged, by family and name
	Recipe   []FileSum // the recipe and its standards
	Inputs   []FileSum
	Outputs  []FileSum // what is written so far: all but what the runner and other Finishers write
	Given    map[string]string
	Values   []StageValues
	Fields   []Field
}

// FileSum is one file by name and content.
type FileSum struct {
	Name   string `json:"file"` // slashes; inputs relative to the recipe's folder, outputs to the build folder
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// StageValues are the options that one stage ended up with.
type StageValues struct {
	Stage  string  `json:"stage"`
	At     string  `json:"at"` // file:line
	Values []Value `json:"values"`
}

// Value is one option's final value as a recipe would write it, and where it came from.
type Value struct {
	Option string `json:"option"`
	Value  string `json:"value"`
	Origin string `json:"origin"`
}
