package serialarea

import (
	"context"
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// room is the rule that stage acme_serial_area judges itself.
const room = "acme-serial-room"

// Rules gives the rules about patches for serial numbers.
func Rules() []pipeline.Rule {
	least := 5.0
	return []pipeline.Rule{
		{
			Name: "acme-serial-readable", Family: pipeline.RailsFamily, Contract: 1,
			Summary: "The patch for the serial number is high enough for figures that a hand scanner reads.",
			Bound:   pipeline.AtLeast, Unit: "mm", Default: &least,
			Source:   "acme's own trials with its scanners (invented)",
			Help:     "The line writes figures as high as the patch less 1 mm all round; lower ones are misread. Measured is each patch across its rail. Set height in the acme_serial_area stage.",
			Severity: pipeline.Error, Place: prefix + "top", Judge: readable, Missing: missing,
		},
		{
			Name: room, Family: pipeline.RailsFamily, Contract: 1,
			Summary:  "There is room on the rail for the patch that the recipe asks for.",
			Source:   "acme's line writes a serial number on every panel (invented)",
			Help:     "The stage goes along the rail from the corner and takes the first place that is clear of all else. Name another corner, make the patch smaller, or widen the rails.",
			Severity: pipeline.Error, Place: prefix + "top", JudgedBy: "stage acme_serial_area",
		},
	}
}

// readable tells of every patch that is lower than the limit.
func readable(_ context.Context, c pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, p := range patches(c.Panel) {
		if height := p.Area.Height().MM(); height < c.Limit {
			at := p.Area.Center()
			out = append(out, pipeline.Finding{Feature: p.ID, At: &at, Measured: &height,
				Message: fmt.Sprintf("%s is %v mm high; at least %v mm are asked for", p.ID, height, c.Limit)})
		}
	}
	return out, nil
}

// missing says why nothing is judged on a panel without a patch.
func missing(_ context.Context, c pipeline.Case) (string, error) {
	if len(patches(c.Panel)) == 0 {
		return "the panel has no patch for a serial number", nil
	}
	return "", nil
}

// patches are the panel's, in its order.
func patches(p panel.Panel) []panel.Print {
	var out []panel.Print
	for _, x := range p.Prints() {
		if strings.HasPrefix(x.ID, prefix) {
			out = append(out, x)
		}
	}
	return out
}
