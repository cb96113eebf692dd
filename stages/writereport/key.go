package writereport

import (
	"slices"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/panel"
)

// entry is one line of the picture's key.
type entry struct{ color, shape, label string }

// key lists what the picture shows.
func key(p panel.Panel) []entry {
	out := []entry{{masked, "area", "board, mask"}, {track, "area", "copper under mask"}, {bareCopper, "area", "bare copper"}, {letters, "area", "legend"}, {railFilm, "area", "rail, waste"}}
	if len(p.Blanks()) > 0 {
		out = append(out, entry{blankFilm, "area", "blank, stays on board"})
	}
	if len(p.Slots()) > 0 {
		out = append(out, entry{ground, "area", "routed slot, hole"})
	} else {
		out = append(out, entry{ground, "area", "hole"})
	}
	out = append(out, printKey(p)...)
	if len(p.Perforations()) > 0 {
		out = append(out, entry{breakoff, "ring", "perforation"})
	}
	if len(p.Scores()) > 0 {
		out = append(out, entry{scoreLine, "line", "score line"})
	}
	return out
}

func drawKey(c *svg.Canvas, entries []entry, unit, y, wide float64, text func(x, y, size float64, color, anchor, s string)) {
	for i, e := range entries {
		x, row := float64(i%4)*wide/4, y+float64(float64(i/4)*times(3, unit))
		switch e.shape {
		case "ring":
			c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x+times(1.2, unit)), svg.Num(row), svg.Num(times(0.7, unit)), ground, e.color, svg.Num(times(0.3, unit)))
		case "dots":
			r := svg.Num(times(0.5, unit))
			for k := range 2 {
				c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s"/>`, svg.Num(x+times(0.6, unit)+float64(float64(k)*times(1.2, unit))), svg.Num(row), r, e.color)
			}
		case "mark":
			c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x+times(1.2, unit)), svg.Num(row), svg.Num(times(0.6, unit)), e.color, laminate, svg.Num(times(0.4, unit)))
		case "frame":
			c.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="none" stroke="%s" stroke-width="%s" stroke-dasharray="%s %s"/>`, svg.Num(x), svg.Num(row-times(0.8, unit)), svg.Num(times(2.4, unit)), svg.Num(times(1.6, unit)), e.color, svg.Num(times(0.15, unit)), svg.Num(times(0.6, unit)), svg.Num(times(0.4, unit)))
		case "line":
			c.Add(`<path d="M%s %sh%s" stroke="%s" stroke-width="%s" stroke-dasharray="%s %s"/>`, svg.Num(x), svg.Num(row), svg.Num(times(2.4, unit)), e.color, svg.Num(times(0.3, unit)), svg.Num(times(0.9, unit)), svg.Num(times(0.3, unit)))
		default:
			c.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x), svg.Num(row-times(0.8, unit)), svg.Num(times(2.4, unit)), svg.Num(times(1.6, unit)), e.color, ink, svg.Num(times(0.1, unit)))
		}
		text(x+times(3, unit), row+times(0.6, unit), times(1.8, unit), ink, "start", e.label)
	}
}

// printKey lists what of the prints the key does not have already.
func printKey(p panel.Panel) []entry {
	var out []entry
	s := shownPrints(p, panel.Top)
	if len(s.openings) > 0 {
		out = append(out, entry{laminate, "area", "laminate laid bare"})
	}
	if slices.ContainsFunc(s.copper, func(x panel.Print) bool { return x.Use == panel.Thieving }) {
		out = append(out, entry{track, "dots", "thieving"})
	}
	bad := func(x panel.Print) bool { return x.Use == panel.BadBoard }
	if slices.ContainsFunc(s.copper, bad) {
		out = append(out, entry{bareCopper, "mark", "bad-board mark"})
	} else if slices.ContainsFunc(s.legend, bad) {
		out = append(out, entry{letters, "mark", "bad-board mark"})
	}
	if len(s.areas) > 0 {
		out = append(out, entry{ink, "frame", "kept for a label"})
	}
	return out
}
