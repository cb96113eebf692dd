package xnc

import (
	"bytes"
	"slices"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// ToolList is a text beside a drill file that lists its tools.
type ToolList struct {
	Tools []ListedTool
	Holes []int // by tool, −1 where it is not said
	// Open: some diameters have no unit, and Tools holds them read in the unit that was asked for.
	Open bool
}

var tableUnit = format.Pattern(`(?i)\b(mils?|mm|millimet(?:er|re)s?|inch(?:es)?)\b`)

// ReadToolList reads a text that lists tools, one a line, such as T01 0.300 mm; other lines are passed
// over. unit is that of diameters without one, where no line above the table names just one; "" for
// not known. ok is false when the text lists no tools or contradicts itself.
func ReadToolList(data []byte, unit Unit) (l ToolList, ok bool) {
	if bytes.IndexByte(data, 0) >= 0 {
		return l, false
	}
	index := map[int]listing{}
	var order []int
	head := map[geom.Length]bool{}
	bad := false
	eachLine(data, func(_ int, line []byte) bool {
		if len(line) > 1000 {
			return true
		}
		text := strings.TrimSpace(strings.TrimLeft(string(line), ";|* \t"))
		n, t, is := listedTool(text, true)
		if !is {
			if len(order) == 0 {
				for _, w := range tableUnit().FindAllString(text, -1) {
					u := geom.Length(geom.MM)
					if !strings.HasPrefix(strings.ToLower(w), "mm") && !strings.HasPrefix(strings.ToLower(w), "millim") {
						u = unitWord(w)
					}
					head[u] = true
				}
			}
			return true
		}
		if old, twice := index[n]; twice {
			bad = bad || !old.same(t)
			return !bad
		}
		if len(order) >= DefaultMaxTools {
			bad = true
			return false
		}
		index[n] = t
		order = append(order, n)
		return true
	})
	if bad || len(order) == 0 {
		return l, false
	}
	own := unit.Length()
	if len(head) == 1 {
		for u := range head {
			own = u
		}
	}
	slices.Sort(order)
	for _, n := range order {
		t := index[n]
		if t.unit == 0 && len(head) != 1 {
			l.Open = true
		}
		d, good := t.diameter(own)
		if !good {
			return ToolList{}, false
		}
		l.Tools = append(l.Tools, ListedTool{Number: n, Diameter: d, Plating: t.plating})
		l.Holes = append(l.Holes, t.count)
	}
	return l, true
}

// WithoutDiameter gives the tools that a drill file chooses and that have a diameter neither in the
// file's header nor in its comments, in order; nil for none.
func WithoutDiameter(data []byte) []int {
	s := look(data, Options{})
	var out []int
	for _, n := range s.chosen {
		if _, listed := s.listed[n]; n != 0 && !listed && !s.defined[n] {
			out = append(out, n)
		}
	}
	return out
}

// listedDefinition makes a tool of a diameter that stands in a comment or in the options.
func (r *reader) listedDefinition(number int) (artwork.Tool, bool) {
	t := artwork.Tool{Number: number, Set: r.aperSet, Plating: r.typed}
	if l, ok := r.look.listed[number]; ok {
		if d, ok := l.diameter(r.layout.unit.Length()); ok {
			t.Diameter = d
			if l.plating != artwork.PlatingUnknown {
				t.Plating = l.plating
			}
			r.rep.ToolsFromComments = true
			return t, true
		}
	}
	for _, l := range r.opt.Tools {
		if l.Number == number && l.Diameter > 0 {
			t.Diameter = l.Diameter
			if l.Plating != artwork.PlatingUnknown {
				t.Plating = l.Plating
			}
			r.rep.ToolsFromOptions = true
			return t, true
		}
	}
	return t, false
}
