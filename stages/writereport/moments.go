package writereport

import (
	"slices"
	"strings"

	"panelwright/pipeline"
)

// The page tells of a rule at the moment in the panel's life at which what it guards goes wrong. Rules of a family are
// told of together, but for those named here.
var momentOfRule = map[string]pipeline.Moment{
	// Of the cuts, what matters when the panel is taken apart.
	"board-not-free":                pipeline.AtBreakOff,
	"copper-to-perforation":         pipeline.AtBreakOff,
	"inner-copper-to-perforation":   pipeline.AtBreakOff,
	"part-not-known":                pipeline.AtBreakOff,
	"perforation-in-board":          pipeline.AtBreakOff,
	"perforation-in-board-at-worst": pipeline.AtBreakOff,
	"perforation-web-at-worst":      pipeline.AtBreakOff,
	"score-on-edge-class":           pipeline.AtBreakOff,
	"stub-height":                   pipeline.AtBreakOff,
	"tabs-per-board":                pipeline.AtBreakOff,
	// What holds the panel together while it is printed, placed and soldered.
	"board-not-held":    pipeline.OnTheLine,
	"score-web":         pipeline.OnTheLine,
	"scored-panel-side": pipeline.OnTheLine,
	"tab-missing":       pipeline.OnTheLine,
	"loose-piece":       pipeline.OnTheLine,
	// Of the assembly, what breaking does to parts.
	"ball-grid-near-break":                 pipeline.AtBreakOff,
	"ceramic-capacitor-across-break":       pipeline.AtBreakOff,
	"ceramic-capacitor-along-break":        pipeline.AtBreakOff,
	"connector-near-break":                 pipeline.AtBreakOff,
	"crystal-near-break":                   pipeline.AtBreakOff,
	"part-near-break":                      pipeline.AtBreakOff,
	"part-over-edge":                       pipeline.AtBreakOff,
	"small-ceramic-capacitor-across-break": pipeline.AtBreakOff,
	"small-ceramic-capacitor-along-break":  pipeline.AtBreakOff,
	"tall-part-near-score":                 pipeline.AtBreakOff,
	// Of strength, what breaking does.
	"break-force": pipeline.AtBreakOff,
	"part-strain": pipeline.AtBreakOff,
	// Of the panel as a whole, what the assembly line takes.
	"panel-breadth":         pipeline.OnTheLine,
	"panel-long-side":       pipeline.OnTheLine,
	"panel-short-side":      pipeline.OnTheLine,
	"panel-thickness-least": pipeline.OnTheLine,
	"panel-thickness-most":  pipeline.OnTheLine,
	"panel-weight":          pipeline.OnTheLine,
	// Of the rails and marks, what the fabricator makes.
	"legend-height":        pipeline.AsCut,
	"legend-overlap":       pipeline.AsCut,
	"legend-stroke":        pipeline.AsCut,
	"no-thieving":          pipeline.AsCut,
	"thieving-clearance":   pipeline.AsCut,
	"tooling-hole-to-edge": pipeline.AsCut,
	// Of the data, what tells of parts.
	"no-placement":       pipeline.OnTheLine,
	"package-not-listed": pipeline.OnTheLine,
	"part-inside-board":  pipeline.OnTheLine,
	"part-stands-out":    pipeline.OnTheLine,
	"parts-fragile":      pipeline.AtBreakOff,
	"parts-not-placed":   pipeline.OnTheLine,
	"placement-origin":   pipeline.OnTheLine,
	"placement-outside":  pipeline.OnTheLine,
	"placement-side":     pipeline.OnTheLine,
	"placement-unit":     pipeline.OnTheLine,
	"refdes-twice":       pipeline.OnTheLine,
	// Of the proof, what it takes apart.
	"board-damaged": pipeline.AtBreakOff,
}

var momentOfFamily = map[pipeline.Family]pipeline.Moment{
	pipeline.AssemblyFamily: pipeline.OnTheLine,
	pipeline.RailsFamily:    pipeline.OnTheLine,
	pipeline.CutsFamily:     pipeline.AsCut,
	pipeline.DataFamily:     pipeline.AsCut,
	pipeline.HolesFamily:    pipeline.AsCut,
	pipeline.StrengthFamily: pipeline.OnTheLine,
	pipeline.PanelFamily:    pipeline.AsCut,
	pipeline.ProofFamily:    pipeline.AsCut,
}

// momentOf gives the moment at which a rule is told of. Whatever no line names, a shop's own rules among it, is told of
// by its family, or as cut.
func momentOf(rule string, family pipeline.Family) pipeline.Moment {
	if m, ok := momentOfRule[rule]; ok {
		return m
	}
	if m, ok := momentOfFamily[family]; ok {
		return m
	}
	return pipeline.AsCut
}

// familiesOf gives the families of rules, in an order for reading.
func familiesOf(list []pipeline.Judged) []pipeline.Family {
	var out []pipeline.Family
	for _, j := range list {
		if !slices.Contains(out, j.Family) {
			out = append(out, j.Family)
		}
	}
	slices.SortFunc(out, func(a, b pipeline.Family) int { return strings.Compare(string(a), string(b)) })
	return out
}
