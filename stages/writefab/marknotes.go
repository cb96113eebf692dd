package writefab

import (
	"fmt"
	"slices"

	"panelwright/pipeline/panel"
)

// markNotes says what the panel adds to its layers, and what is agreed about bad copies.
func markNotes(p panel.Panel, line func(format string, a ...any)) {
	if text := thievingNote(p); text != "" {
		line("")
		line("Thieving     %s", text)
		if shares := p.CopperShares(); len(shares) > 0 {
			line("             copper in per cent of the panel's area:")
			line("             %-18s %9s %9s", "layer", "before", "after")
			for _, s := range shares {
				line("             %-18s %9s %9s", s.Layer.Key(), s.Before.Percent(), s.After.Percent())
			}
		}
	}
	marks := badBoardMarks(p)
	x, agreed := p.XOut()
	if len(marks) > 0 || agreed {
		line("")
	}
	if len(marks) > 0 {
		line("Bad copies   %s: where a copy is bad, black its mark out and strike the copy itself through", marks)
	}
	if !agreed {
		return
	}
	copies := len(p.Copies())
	first := "             "
	if len(marks) == 0 {
		first = "Bad copies   "
	}
	if x.Copies == 0 || x.Panels == 0 {
		line("%snone of the %d copies of a panel may be bad, unless agreed otherwise%s", first, copies, from(x.Source))
		return
	}
	line("%sat most %d of the %d copies of a panel may be bad, in at most %s of the panels delivered, unless agreed otherwise%s",
		first, x.Copies, copies, x.Panels.Percent(), from(x.Source))
}

func from(s string) string {
	if s == "" {
		return ""
	}
	return "; " + s
}

// thievingNote counts what is filled; empty where nothing is.
func thievingNote(p panel.Panel) string {
	dots, lines := 0, 0
	open := false
	var layers []string
	for _, x := range p.Prints() {
		open = open || x.Use == panel.RailMask
		if x.Use != panel.Thieving {
			continue
		}
		dots, lines = dots+len(x.Dots), lines+len(x.Lines)
		for _, f := range x.Layers {
			if !slices.Contains(layers, f.Key()) {
				layers = append(layers, f.Key())
			}
		}
	}
	text := ""
	switch {
	case dots+lines == 0:
		return ""
	case lines == 0:
		text = count(dots, "dot")
	case dots == 0:
		text = count(lines, "line")
	default:
		text = count(dots, "dot") + " and " + count(lines, "line")
	}
	mask := "below soldermask"
	if open {
		mask = "with the soldermask left out over it"
	}
	return fmt.Sprintf("%s of copper on the waste, on %s, %s", text, count(len(layers), "copper layer"), mask)
}

// badBoardMarks says what the bad-board marks are; empty where there are none.
func badBoardMarks(p panel.Panel) string {
	var of []string
	copper := false
	for _, x := range p.Prints() {
		if x.Use != panel.BadBoard || len(x.Dots) == 0 || x.Layers[0].Kind == panel.Soldermask {
			continue
		}
		copper = copper || x.Layers[0].Kind == panel.Copper
		if !slices.Contains(of, x.Copy) {
			of = append(of, x.Copy)
		}
	}
	switch {
	case len(of) == 0:
		return ""
	case copper:
		return count(len(of), "bad-board mark") + ", one for each copy, copper dots in mask openings"
	}
	return count(len(of), "bad-board mark") + ", one for each copy, dots of legend"
}
