package board

import (
	"slices"

	"panelwright/pipeline/format/svg"
)

// entry is one line of the picture's key.
type entry struct{ color, shape, label string }

// add puts an entry into the key, once.
func (s *sheet) add(color, shape, label string) {
	if e := (entry{color, shape, label}); !slices.Contains(s.entries, e) {
		s.entries = append(s.entries, e)
	}
}

// key draws the key below the picture, in three columns.
func (s *sheet) key(left, wide float64) {
	const columns = 3
	line := svg.Num(s.times(0.25))
	for i, e := range s.entries {
		x, y := left+float64(float64(i%columns)*wide/columns), s.bottom+s.times(1.5+2.4*float64(i/columns))
		middle := svg.Num(x + s.times(1.2))
		switch e.shape {
		case "ring", "dotted":
			dash := ""
			if e.shape == "dotted" {
				dash = ` stroke-dasharray="` + svg.Num(s.times(0.3)) + `"`
			}
			s.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="%s"%s/>`, middle, svg.Num(y), svg.Num(s.times(0.7)), ground, e.color, line, dash)
		case "line", "dashes", "band":
			dash, line := "", line
			if e.shape == "band" {
				line = svg.Num(s.times(0.7))
			}
			if e.shape == "dashes" {
				dash = ` stroke-dasharray="` + svg.Num(s.times(0.8)) + " " + svg.Num(s.times(0.4)) + `"`
			}
			s.Add(`<path d="M%s %sh%s" stroke="%s" stroke-width="%s"%s/>`, svg.Num(x), svg.Num(y), svg.Num(s.times(2.4)), e.color, line, dash)
		case "cross":
			s.Add(`<path d="M%s %sh%sm-%s -%sv%s" fill="none" stroke="%s" stroke-width="%s"/>`, svg.Num(x+s.times(0.6)), svg.Num(y), svg.Num(s.times(1.6)), svg.Num(s.times(1)), svg.Num(s.times(0.6)), svg.Num(s.times(1.2)), e.color, line)
		default:
			s.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x), svg.Num(y-s.times(0.8)), svg.Num(s.times(2.4)), svg.Num(s.times(1.6)), e.color, ink, svg.Num(s.times(0.1)))
		}
		s.text(x+s.times(3), y+s.times(0.5), 1.5, ink, "start", e.label)
	}
	s.bottom += s.times(1.5 + 2.4*float64((len(s.entries)+columns-1)/columns))
}
