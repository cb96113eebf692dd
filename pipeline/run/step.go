package run

import (
	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
)

// Step tells how far a build, a check or a readback has come, for people who wait. Nothing that is written depends
// on it.
type Step struct {
	Name string // of the stage, or of what the runner does itself: "proof", "closing"
	At   int    // from 1. Stages that write may be run twice, and At goes back then
	Of   int    // how many steps there are
	// Done and Parts are how far the step has come by its own count; Parts is 0 where it does not say.
	Done, Parts int
}

// The runner's own steps.
const (
	stepProof   = "proof"
	stepClosing = "closing" // what waits for the proof, archives, and the exchange of the folders
	stepFiles   = "files as written"
)

// teller tells steps; nil tells nobody.
type teller func(Step)

func (t teller) step(s Step) {
	if t != nil {
		t(s)
	}
}

// carriesOut tells whether a call is run: a check leaves out those that write.
func (b *builder) carriesOut(c *recipe.Call) bool {
	return !b.opt.CheckOnly || c.Kind.Role != pipeline.Write
}

// steps gives how many steps a build has.
func (b *builder) steps() int {
	n := 0
	for _, c := range b.plan.Calls {
		if b.carriesOut(c) {
			n++
		}
	}
	if b.opt.CheckOnly {
		return n
	}
	if b.opt.Prove != nil {
		n++
	}
	return n + 1
}
