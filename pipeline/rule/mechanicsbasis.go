package rule

import (
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// held is what the rules about holding and about breaking reckon with: the constants with their units, by their sources, shortly. They
// stand in full in the report.
func held(a *mechanics.Answers) string {
	type group struct {
		source string
		parts  []string
	}
	var all []group
	for _, c := range a.Constants {
		i := slices.IndexFunc(all, func(g group) bool { return g.source == c.Source })
		if i < 0 {
			i = len(all)
			all = append(all, group{source: c.Source})
		}
		all[i].parts = append(all[i].parts, c.Short+" "+valueText(c.Constant))
	}
	var out []string
	for _, g := range all {
		out = append(out, strings.Join(g.parts, ", ")+sourceText(g.source))
	}
	return strings.Join(out, "; ")
}

func valueText(c panel.Constant) string {
	return strings.TrimSpace(strconv.FormatFloat(c.Value, 'f', -1, 64) + " " + c.Unit)
}

// longSource is what a source may be long, in bytes, to be told whole.
const longSource = 60

// sourceText gives a source in brackets: of a long one what stands before its first semicolon, for what follows explains it.
func sourceText(source string) string {
	if source == "" {
		return ""
	}
	if len(source) > longSource {
		source, _, _ = strings.Cut(source, "; ")
	}
	// Brackets in brackets are hard to read.
	return " (" + strings.NewReplacer(" (", ", ", ")", "").Replace(source) + ")"
}
