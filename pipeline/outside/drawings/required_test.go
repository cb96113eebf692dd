package drawings

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"panelwright/pipeline/drawing"
)

// need is something that must be stated: all facts of at least one list. Which of several like features a drawing
// names is its own choice.
type need struct {
	what string
	any  [][]drawing.Fact
	// times is how often the figure must be said to follow in a row; 0 where that does not matter.
	times int
}

// likeTabs is how far figures of like tabs may lie apart, in nanometres: what roundings and slight curves make.
const likeTabs = 20_000

// required lists what each drawing must state in dimensions and notes. It is derived from panel.json alone: the panel's
// size; every mark's place and every rail's inner edge; every score line that is square to the panel; of each array
// its first copy's place, pitches, and the slots between its copies; the slots beside rails; of each kind of break-off
// tab its holes, webs and slot; of each kind of score line its section; the corner radius; each kind of fiducial.
func (p panelFile) required() (out []need) {
	one := func(feature string, what ...string) {
		for _, w := range what {
			out = append(out, need{what: w + " of " + feature, any: [][]drawing.Fact{{{Feature: feature, What: w}}}})
		}
	}
	one("panel", "width", "height", "datum_x", "datum_y")
	for _, r := range p.Rails {
		switch side := r.ID[strings.LastIndex(r.ID, "/")+1:]; side {
		case "lower", "upper":
			one(r.ID, "inner_y")
		default:
			one(r.ID, "inner_x")
		}
	}
	for _, m := range p.Marks {
		one(m["id"].(string), "x", "y")
	}
	for _, s := range p.Scores {
		id := s["id"].(string)
		for _, axis := range []string{"x", "y"} {
			if a, err := p.value(id, axis); err == nil {
				if b, err := p.square(s, axis); err == nil && a == b {
					one(id, axis)
				}
			}
		}
	}
	out = append(out, p.ofArrays()...)
	out = append(out, p.besideRails()...)
	out = append(out, p.ofTabs()...)
	out = append(out, p.ofSections()...)
	if _, err := p.cornerRadius(); err == nil {
		one("panel", "corner_radius")
	}
	return append(out, p.ofMarks("fiducial", "the fiducials", "diameter", "mask_diameter", "clear_diameter")...)
}

// box is a copy's or a rail's box in nanometres.
func (p panelFile) box(id string) (out [4]int64, err error) {
	var of *[2]xy
	for i := range p.Copies {
		if p.Copies[i].ID == id {
			of = &p.Copies[i].Box
		}
	}
	for i := range p.Rails {
		if p.Rails[i].ID == id {
			of = &p.Rails[i].Box
		}
	}
	if of == nil {
		return out, fmt.Errorf("panel.json has no %s", id)
	}
	for i, n := range []json.Number{of[0][0], of[0][1], of[1][0], of[1][1]} {
		if out[i], err = millionths(n.String()); err != nil {
			return out, err
		}
	}
	return out, nil
}

// gridded takes a copy's id apart: "gauges.B3" stands in the second column and the third row of gauges.
var gridded = regexp.MustCompile(`^((?:.*\.)?)([A-Z]+)([0-9]+)$`)

// grid is the copies of an array by column and row.
type grid map[[2]int]string

func (p panelFile) grids() (names []string, out map[string]grid) {
	out = map[string]grid{}
	for _, c := range p.Copies {
		m := gridded.FindStringSubmatch(c.ID)
		if m == nil {
			continue
		}
		column, row := 0, 0
		for _, l := range m[2] {
			column = 26*column + int(l-'A') + 1
		}
		_, _ = fmt.Sscan(m[3], &row)
		if out[m[1]] == nil {
			out[m[1]] = grid{}
			names = append(names, m[1])
		}
		out[m[1]][[2]int{column - 1, row - 1}] = c.ID
	}
	return names, out
}

// regular tells whether copies of one size fill a grid at one pitch along either axis.
func (p panelFile) regular(g grid) (columns, rows int, pitch [2]int64, ok bool) {
	for at := range g {
		columns, rows = max(columns, at[0]+1), max(rows, at[1]+1)
	}
	if len(g) < 2 || columns*rows != len(g) {
		return 0, 0, pitch, false
	}
	first, err := p.box(g[[2]int{0, 0}])
	if err != nil {
		return 0, 0, pitch, false
	}
	if b, err := p.box(g[[2]int{1, 0}]); err == nil {
		pitch[0] = b[0] - first[0]
	}
	if b, err := p.box(g[[2]int{0, 1}]); err == nil {
		pitch[1] = b[1] - first[1]
	}
	for at, id := range g {
		b, err := p.box(id)
		dx, dy := int64(at[0])*pitch[0], int64(at[1])*pitch[1]
		if err != nil || b != [4]int64{first[0] + dx, first[1] + dy, first[2] + dx, first[3] + dy} {
			return 0, 0, pitch, false
		}
	}
	return columns, rows, pitch, true
}

// ofArrays asks for the place of each array's first copy, its pitches, and its slots where the copies stand apart.
func (p panelFile) ofArrays() (out []need) {
	names, grids := p.grids()
	for _, name := range names {
		g := grids[name]
		columns, rows, pitch, ok := p.regular(g)
		if !ok {
			continue
		}
		first := g[[2]int{0, 0}]
		for _, w := range []string{"left", "lower"} {
			out = append(out, need{what: w + " of " + first, any: [][]drawing.Fact{{{Feature: first, What: w}}}})
		}
		box, _ := p.box(first)
		for k, axis := range []string{"x", "y"} {
			n := [2]int{columns, rows}[k]
			if n < 2 {
				continue
			}
			kinds := []string{"pitch_" + axis}
			if pitch[k] > box[k+2]-box[k] {
				kinds = append(kinds, "gap_"+axis)
			}
			for _, kind := range kinds {
				x := need{what: kind + " of the array of " + first, times: n - 1}
				for _, at := range slices.SortedFunc(maps.Keys(g), func(a, b [2]int) int { return slices.Compare(a[:], b[:]) }) {
					next := at
					next[k]++
					if id, ok := g[next]; ok {
						x.any = append(x.any, []drawing.Fact{{Feature: g[at] + " to " + id, What: kind}})
					}
				}
				out = append(out, x)
			}
		}
	}
	return out
}

// besideRails asks for the slot between each rail and the copies next to it.
func (p panelFile) besideRails() (out []need) {
	for _, r := range p.Rails {
		rail, err := p.box(r.ID)
		if err != nil {
			continue
		}
		what, gapOf := "", func([4]int64) int64 { return 0 }
		switch r.ID[strings.LastIndex(r.ID, "/")+1:] {
		case "lower":
			what, gapOf = "gap_y", func(b [4]int64) int64 { return b[1] - rail[3] }
		case "upper":
			what, gapOf = "gap_y", func(b [4]int64) int64 { return rail[1] - b[3] }
		case "left":
			what, gapOf = "gap_x", func(b [4]int64) int64 { return b[0] - rail[2] }
		case "right":
			what, gapOf = "gap_x", func(b [4]int64) int64 { return rail[0] - b[2] }
		}
		x, least := need{what: what + " beside " + r.ID}, int64(0)
		for _, c := range p.Copies {
			b, err := p.box(c.ID)
			if err != nil {
				continue
			}
			gap := gapOf(b)
			if len(x.any) > 0 && gap < least {
				x.any = nil
			}
			if len(x.any) == 0 || gap == least {
				least = gap
				x.any = append(x.any, []drawing.Fact{{Feature: r.ID + " to " + c.ID, What: what}})
			}
		}
		if least > 0 {
			out = append(out, x)
		}
	}
	return out
}

// tabFigures are what a detail states of a tab; those of holes where it has any, the pitch where a row has two.
var tabFigures = []string{"width", "slot_width", "hole_diameter", "web", "pitch"}

// ofTabs asks, for each tab, for the figures of one that is like it.
func (p panelFile) ofTabs() (out []need) {
	type sort struct {
		tabs    []string
		figures []int64 // -1: there is none
	}
	var sorts []*sort
	for _, t := range p.Tabs {
		s := &sort{tabs: []string{t.ID}}
		for _, w := range tabFigures {
			v, err := p.value(t.ID, w)
			if err != nil {
				v = -1
			}
			s.figures = append(s.figures, v)
		}
		i := slices.IndexFunc(sorts, func(o *sort) bool {
			for k, v := range s.figures {
				if d := v - o.figures[k]; (v < 0) != (o.figures[k] < 0) || d > likeTabs || d < -likeTabs {
					return false
				}
			}
			return true
		})
		if i < 0 {
			sorts = append(sorts, s)
			continue
		}
		sorts[i].tabs = append(sorts[i].tabs, t.ID)
	}
	for _, s := range sorts {
		x := need{what: fmt.Sprintf("the figures of %s and %d tabs like it", s.tabs[0], len(s.tabs)-1)}
		for _, id := range s.tabs {
			var all []drawing.Fact
			for k, w := range tabFigures {
				if s.figures[k] >= 0 {
					all = append(all, drawing.Fact{Feature: id, What: w})
				}
			}
			x.any = append(x.any, all)
		}
		out = append(out, x)
	}
	return out
}

// ofSections asks for the section of each kind of score line.
func (p panelFile) ofSections() (out []need) {
	at := map[string]int{}
	for _, s := range p.Scores {
		key := ""
		all := []drawing.Fact{{Feature: s["id"].(string), What: "thickness"}}
		for _, w := range []string{"remaining_web", "web_tolerance", "depth", "included_angle", "blade_offset_tolerance", "position_tolerance", "leave"} {
			v, err := p.value(all[0].Feature, w)
			key += fmt.Sprint(v, " ")
			if err == nil && v > 0 {
				all = append(all, drawing.Fact{Feature: all[0].Feature, What: w})
			}
		}
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, need{what: "the section of " + all[0].Feature + " and lines like it"})
		}
		out[i].any = append(out[i].any, all)
	}
	return out
}

// ofMarks asks for the diameters of each kind of a mark.
func (p panelFile) ofMarks(kind, name string, what ...string) (out []need) {
	at := map[string]int{}
	for _, m := range p.Marks {
		if m["kind"] != kind {
			continue
		}
		key := fmt.Sprint(m["sides"])
		var all []drawing.Fact
		for _, w := range what {
			v, err := p.value(m["id"].(string), w)
			key += fmt.Sprint(" ", v)
			if err == nil && v > 0 {
				all = append(all, drawing.Fact{Feature: m["id"].(string), What: w})
			}
		}
		if len(all) == 0 {
			continue
		}
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, need{what: "diameters of " + name + " like " + all[0].Feature})
		}
		out[i].any = append(out[i].any, all)
	}
	return out
}

// missing lists what is required and not stated; times has how often each stated fact is said to follow in a row.
func missing(all []need, times map[drawing.Fact]int) (out []string) {
	for _, x := range all {
		found := slices.IndexFunc(x.any, func(facts []drawing.Fact) bool {
			return !slices.ContainsFunc(facts, func(f drawing.Fact) bool { return times[f] == 0 })
		})
		switch {
		case found < 0:
			out = append(out, "nothing states "+x.what)
		case x.times > 0 && times[x.any[found][0]] != x.times:
			out = append(out, fmt.Sprintf("%s follows %d times in a row, not %d", x.what, x.times, times[x.any[found][0]]))
		}
	}
	return out
}

// square gives the other end's coordinate of a score line.
func (p panelFile) square(s map[string]any, axis string) (int64, error) {
	at, ok := s["to_mm"].([]any)
	if !ok || len(at) != 2 {
		return 0, fmt.Errorf("no end")
	}
	return millionths(at[map[string]int{"x": 0, "y": 1}[axis]].(json.Number).String())
}
