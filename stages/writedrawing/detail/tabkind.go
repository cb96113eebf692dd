package detail

import (
	"cmp"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// MostTabKinds is how many kinds of tabs get a detail; the table of tabs tells of the rest.
const MostTabKinds = 3

// TabKind is tabs that look alike, wherever they stand and whichever way they are turned.
type TabKind struct {
	Tabs  []int // by their place in the panel's list
	Shown int   // the one that is drawn and that facts name: the first that stands along an axis
	Holes []int // by row: how many perforations
	// FirstHoles are the perforations of the drawn tab's first row that has any, in order, and Row is that row.
	FirstHoles []panel.Perforation
	Row        int // -1: no row has holes
}

// tabKey is by what tabs are told apart. Figures that differ by what roundings and slight curves make are one.
type tabKey struct {
	width, slot geom.Length
	rows        [2]rowKey
	copies      int
}

type rowKey struct {
	there            bool
	holes            int
	diameter         geom.Length
	inset, web, stub geom.Length
	shared           bool
}

// coarse is how far figures of like tabs may lie apart.
const coarse = 20 * geom.UM

// SlotWidth is how wide the slot is where a tab stands: from foot to foot.
func SlotWidth(t panel.Tab) geom.Length { return geom.Round(t.Feet[0].Distance(t.Feet[1])) }

// TabKinds groups the panel's tabs, the commonest kind first.
func TabKinds(p panel.Panel) []TabKind {
	tabs := p.Tabs()
	holes := map[string][][]panel.Perforation{}
	for _, h := range p.Perforations() {
		for len(holes[h.Tab]) <= h.Row {
			holes[h.Tab] = append(holes[h.Tab], nil)
		}
		holes[h.Tab][h.Row] = append(holes[h.Tab][h.Row], h)
	}
	round := func(l geom.Length) geom.Length { return geom.Length(geom.MulDiv(int64(l), 1, int64(coarse))) }
	at := map[tabKey]int{}
	var out []TabKind
	for i, t := range tabs {
		k := tabKey{width: t.Width, slot: round(SlotWidth(t)), copies: len(t.Copies)}
		for n, r := range t.Rows {
			if n >= len(k.rows) {
				break
			}
			x := rowKey{there: true, inset: r.Inset, web: round(r.Web), stub: round(r.Stub), shared: len(r.Copies) > 1}
			if list := holes[t.ID]; n < len(list) && len(list[n]) > 0 {
				x.holes, x.diameter = len(list[n]), list[n][0].Diameter
			}
			k.rows[n] = x
		}
		g, ok := at[k]
		if !ok {
			g = len(out)
			at[k] = g
			out = append(out, TabKind{Shown: i})
		}
		x := &out[g]
		x.Tabs = append(x.Tabs, i)
		if !level(tabs[x.Shown]) && better(t, tabs[x.Shown]) {
			x.Shown = i
		}
	}
	for i := range out {
		x := &out[i]
		x.Row = -1
		list := holes[tabs[x.Shown].ID]
		for n := range tabs[x.Shown].Rows {
			var row []panel.Perforation
			if n < len(list) {
				row = list[n]
			}
			x.Holes = append(x.Holes, len(row))
			if x.Row < 0 && len(row) > 0 {
				x.Row, x.FirstHoles = n, row
			}
		}
	}
	slices.SortStableFunc(out, func(a, b TabKind) int { return cmp.Compare(len(b.Tabs), len(a.Tabs)) })
	return out
}

// level tells whether a tab stands in a slot that runs along x.
func level(t panel.Tab) bool { return t.Along.Y == 0 }

// better tells whether a tab is easier to draw than another: along an axis, best along x.
func better(t, than panel.Tab) bool {
	rank := func(t panel.Tab) int {
		switch {
		case level(t):
			return 0
		case t.Along.X == 0:
			return 1
		}
		return 2
	}
	return rank(t) < rank(than)
}

// gapsOnPlan tells whether every tab of a kind bridges the whole gap between a copy and what lies beside it: the plan
// states such gaps. Where waste stays between them it does not state the slots on either side of the waste.
func gapsOnPlan(p panel.Panel, k TabKind) bool {
	boxes := map[string]geom.Box{}
	for _, c := range p.Copies() {
		boxes[c.ID] = c.Box()
	}
	for _, r := range p.Rails() {
		boxes[r.ID] = r.Box
	}
	for _, i := range k.Tabs {
		t := p.Tabs()[i]
		other := t.Rail
		if len(t.Copies) > 1 {
			other = t.Copies[1]
		}
		a, known := boxes[t.Copies[0]]
		b, known2 := boxes[other]
		if !known || !known2 {
			return false
		}
		var gap geom.Length
		switch {
		case t.Along.Y == 0:
			gap = max(b.Min.Y-a.Max.Y, a.Min.Y-b.Max.Y)
		case t.Along.X == 0:
			gap = max(b.Min.X-a.Max.X, a.Min.X-b.Max.X)
		}
		if gap != SlotWidth(t) {
			return false
		}
	}
	return true
}
