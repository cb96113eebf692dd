package cli

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// fitting refuses a program whose stages and rules do not fit it, before it does anything: what they would do is not known.
func (a *app) fitting() error {
	err := pipeline.CheckProgram(a.Stages, a.Rules)
	if err == nil {
		return nil
	}
	n := 1
	if list, ok := err.(interface{ Unwrap() []error }); ok {
		n = len(list.Unwrap())
	}
	return fmt.Errorf("%s does nothing: %s in how it is put together. No recipe is wrong; this is for whoever builds %[1]s\n%[3]w",
		a.Name, run.Count(n, "mistake", "mistakes"), err)
}
