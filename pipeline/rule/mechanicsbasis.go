package rule

import (
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// held is what the rules about holding reckon with, broken what those about breaking do: the same but for the force that presses.
func held(a *mechanics.Answers) string {
	text := broken(a)
	if f := a.Support.Force; f.Value > 0 {
		text += "; pressed with " + valueText(f) + sourceText(f.Source)
	}
	return text
}

func broken(a *mechanics.Answers) string { return constants(a.Support.Laminate) }

// constants words the constants of a laminate with their units, by their sources, shortly: they stand in full in the report.
func constants(l panel.Laminate) string {
	type group struct {
		source string
		parts  []string
	}
	var all []group
	for _, f := range panel.LaminateFigures() {
		c := f.Of(&l)
		i := slices.IndexFunc(all, func(g group) bool { return g.source == c.Source })
		if i < 0 {
			i = len(all)
			all = append(all, group{source: c.Source})
		}
		all[i].parts = append(all[i].parts, f.Short+" "+valueText(*c))
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
