package rule

import (
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// held is what the rules about holding reckon with, broken what those about breaking do: the constants with their units, by their
// sources, shortly. They stand in full in the report.
func held(a *mechanics.Answers) string   { return constants(a, notHeld) }
func broken(a *mechanics.Answers) string { return constants(a, notBroken) }

// What holding has nothing to do with, and breaking, by the constants' short names: bare laminate is broken, cold, by a hand.
var (
	notHeld   = []string{"hand's grip", "rate of strain", "parts looked at within"}
	notBroken = []string{"density", "E and G hot, of cold", "strength hot, of cold", "E through", "G through", "nu through", "E copper", "nu copper", "density copper",
		"power of the mean over copper's share", "shear factor", "free fall", "pressed with"}
)

// constants words the constants but some. Those that only one of both reckons with stand in groups of their own, so that both say the
// others in the same words.
func constants(a *mechanics.Answers, without []string) string {
	type group struct {
		source string
		shared bool
		parts  []string
	}
	var all []group
	for _, c := range a.Constants {
		if slices.Contains(without, c.Short) {
			continue
		}
		shared := !slices.Contains(notHeld, c.Short) && !slices.Contains(notBroken, c.Short)
		i := slices.IndexFunc(all, func(g group) bool { return g.source == c.Source && g.shared == shared })
		if i < 0 {
			i = len(all)
			all = append(all, group{source: c.Source, shared: shared})
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
