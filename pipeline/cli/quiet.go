package cli

import (
	"context"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
)

// quietFlag gives a command --quiet: what is left to be told then.
func (a *app) quietFlag(c *cobra.Command, left string) {
	c.Flags().BoolVar(&a.quiet, "quiet", false, "nothing but "+left)
}

// quietly is what build, check and readback tell with --quiet.
const quietly = "findings that close the release gate, and what is wrong"

// begin shows on a terminal what is under way, until a.wait.end. A step that it reaches is told to a.wait.reached.
func (a *app) begin(ctx context.Context, j job) {
	j.quiet = a.quiet
	a.wait.begin(ctx, j)
}

// tellClosing tells the findings that close the gate, below what they are of; nothing where there are none.
func (a *app) tellClosing(title, path string, found []pipeline.Finding, gate pipeline.Gate, written bool) {
	closing := slices.DeleteFunc(slices.Clone(found), func(f pipeline.Finding) bool { return !gate.Rejects(f) })
	if len(closing) > 0 {
		fmt.Fprintf(a.out, "%s (%s)\n%s", title, path, sectionsText(closing, written))
	}
}
