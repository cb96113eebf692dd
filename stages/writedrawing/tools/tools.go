// Package tools lists what a panel's holes are drilled and its boards' slots are routed with: one row for each tool of
// each drill file, each with a symbol of its own; those that the plan draws as they are come last and need none.
package tools

import (
	"cmp"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// Use is what a tool's holes are for.
type Use string

// The uses.
const (
	BoardHole   Use = "hole"
	BoardSlot   Use = "slot"
	Tooling     Use = "tooling hole"
	Perforation Use = "perforation"
)

// Tool is one row of the table of holes.
type Tool struct {
	Use      Use
	Diameter geom.Length // finished; of a slot its width
	Plated   bool
	From, To int // layer span, 1 = top
	Count    int // over the whole panel
	// Least and Most are the slots' lengths from end to end; 0 of slots that are not straight.
	Least, Most geom.Length
	// First is the id of the panel's first feature that the row is of, empty for the boards' own.
	First string
	// Tolerance is of the diameter, either way; 0 where the panel does not say it.
	Tolerance geom.Length
	Symbol    Symbol
}

// Drawn tells that the plan draws the tool's holes as they are: no symbol stands at them.
func (t Tool) Drawn() bool { return t.Use == Tooling || t.Use == Perforation }

// key is what makes a row.
type key struct {
	use      Use
	diameter geom.Length
	plated   bool
	from, to int
}

// List gives the panel's tools: plated ones first, then by use, span and diameter.
func List(p panel.Panel) []Tool {
	rows := map[key]*Tool{}
	add := func(k key, n int) *Tool {
		t := rows[k]
		if t == nil {
			t = &Tool{Use: k.use, Diameter: k.diameter, Plated: k.plated, From: k.from, To: k.to}
			rows[k] = t
		}
		t.Count += n
		return t
	}
	placed := map[*panel.Board]int{}
	for _, c := range p.Copies() {
		placed[c.Board]++
	}
	for _, board := range p.Boards() {
		copies := placed[board]
		if copies == 0 {
			continue
		}
		for _, f := range board.Drills {
			for _, h := range f.Drilling.Holes {
				add(holeKey(f, f.Drilling.Tools[h.Tool].Diameter, BoardHole), copies)
			}
			for _, r := range f.Drilling.Routs {
				d := f.Drilling.Tools[r.Tool].Diameter
				k := holeKey(f, d, BoardSlot)
				first := rows[k] == nil
				add(k, copies).lengths(r.Path, first)
			}
		}
	}
	layers := max(p.CopperCount(), 1)
	for _, m := range p.Marks() {
		if m.Kind == panel.ToolingHole {
			if t := add(key{Tooling, m.Diameter, false, 1, layers}, 1); t.First == "" {
				t.First = m.ID
			}
		}
	}
	_, within, known := Tolerances(p)
	for _, h := range p.Perforations() {
		t := add(key{Perforation, h.Diameter, false, 1, layers}, 1)
		if t.First == "" {
			t.First = h.Tab
		}
		if known {
			t.Tolerance = within
		}
	}
	out := make([]Tool, 0, len(rows))
	for _, t := range rows {
		out = append(out, *t)
	}
	uses := []Use{BoardHole, BoardSlot, Tooling, Perforation}
	slices.SortFunc(out, func(a, b Tool) int {
		return cmp.Or(after(!a.Plated)-after(!b.Plated), slices.Index(uses, a.Use)-slices.Index(uses, b.Use),
			cmp.Compare(a.From, b.From), cmp.Compare(b.To, a.To), cmp.Compare(a.Diameter, b.Diameter))
	})
	for i := range out {
		out[i].Symbol = Symbol(i)
	}
	return out
}

func after(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Of finds the tool of a board's hole or slot among those of List.
func Of(all []Tool, f panel.DrillFile, diameter geom.Length, use Use) int {
	k := holeKey(f, diameter, use)
	return slices.IndexFunc(all, func(t Tool) bool {
		return key{t.Use, t.Diameter, t.Plated, t.From, t.To} == k
	})
}

func holeKey(f panel.DrillFile, diameter geom.Length, use Use) key {
	return key{use, diameter, f.Plating == artwork.Plated, f.From, f.To}
}

// lengths takes in one slot's length.
func (t *Tool) lengths(path geom.Path, first bool) {
	l := geom.Length(0)
	if len(path) == 1 && path[0].Sense == geom.Straight {
		l = geom.Round(path[0].Length()) + t.Diameter
	}
	if first {
		t.Least, t.Most = l, l
		return
	}
	if l == 0 || t.Least == 0 {
		t.Least, t.Most = 0, 0 // not all of them are straight
		return
	}
	t.Least, t.Most = min(t.Least, l), max(t.Most, l)
}

// Tolerances gives those that the rows of perforations are reckoned with, of a hole's position and of its diameter,
// either way; known is false where the panel has no row of at least two holes. A row's worst stub is off by its
// position, its worst web by two positions and a diameter.
func Tolerances(p panel.Panel) (position, diameter geom.Length, known bool) {
	for _, t := range p.Tabs() {
		for _, r := range t.Rows {
			if r.Web > 0 {
				position = r.WorstStub - r.Stub
				return position, r.Web - r.WorstWeb - 2*position, true
			}
		}
	}
	return 0, 0, false
}
