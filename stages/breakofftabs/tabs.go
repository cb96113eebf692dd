package breakofftabs

import (
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// tab is a tab with what the slots and the holes need to know of it.
type tab struct {
	panel.Tab
	pair   pair
	middle geom.Length // along the side
	slot   geom.Length // width of its slot
}

// half is half the stretch of slot that a tab takes up, its flares included.
func half(waist, slot geom.Length) geom.Length { return (waist+1)/2 + (slot+1)/2 }

// foot is half the stretch of slot that the tab takes up, its flares included.
func (t tab) foot() geom.Length { return half(t.Width, t.slot) }

// placeTabs places the tabs of every pair, pinned or even, and refuses a panel on which a board is
// not held on two opposite sides.
func (s *BreakoffTabs) placeTabs(in panel.Panel, pairs []pair) ([]tab, error) {
	used := make([]bool, len(s.Pinned))
	number := map[string]int{}
	held := map[string][4]bool{}
	var out []tab
	for _, p := range pairs {
		middles, pinned, err := s.middles(in, p, used)
		if err != nil {
			return nil, err
		}
		slices.Sort(middles)
		for i := 1; i < len(middles); i++ {
			if between := middles[i] - middles[i-1]; between < 2*half(s.waist(p.gap), p.gap)+p.gap/2 {
				return nil, fmt.Errorf("two tabs on the %s side of %s would lie %v apart, and in a slot %v wide their feet would touch: "+
					"pin them further apart, shorten from_corner (%v), or make longest_free_span (%v) longer",
					p.side, p.copy.ID, between, p.gap, s.FromCorner, s.LongestFreeSpan)
			}
		}
		for _, m := range middles {
			key := p.copy.ID + "/tab/" + p.side.String()
			number[key]++
			t := tab{pair: p, middle: m, slot: p.gap}
			t.ID = fmt.Sprintf("%s/%d", key, number[key])
			t.Copies, t.Rail, t.Width, t.Pinned = []string{p.copy.ID}, p.rail, s.waist(p.gap), pinned
			line := p.side.line(p.copy.Box())
			t.Feet = [2]geom.Point{p.side.point(m, line), p.side.point(m, line+p.gap*signum(p.side))}
			t.Along = p.side.point(1, 0)
			mark := func(id string, d side) {
				h := held[id]
				h[d] = true
				held[id] = h
			}
			mark(p.copy.ID, p.side)
			if p.other != "" {
				t.Copies = append(t.Copies, p.other)
				mark(p.other, p.side.opposite())
			}
			out = append(out, t)
		}
	}
	for i, p := range s.Pinned {
		if !used[i] {
			return nil, fmt.Errorf("the pinned tab on edge %s of %s lies on no edge that faces a board or rail across a slot", p.Edge, p.Copy+p.Board)
		}
	}
	for _, c := range in.Copies() {
		h := held[c.ID]
		if !(h[lower] && h[upper] || h[left] && h[right]) {
			return nil, fmt.Errorf("%s would not be held on two opposite sides%s: add rails or neighbours, shorten from_corner (%v), or pin tabs; what touches (gap 0) gets no tabs",
				c.ID, noRails(in), s.FromCorner)
		}
	}
	return out, nil
}

// noRails says where rails may have been forgotten, or come too late.
func noRails(in panel.Panel) string {
	if len(in.Rails()) == 0 {
		return ", and there are no rails (a stage rails belongs before this one)"
	}
	return ""
}

// middles gives the places of a pair's tabs along its side.
func (s *BreakoffTabs) middles(in panel.Panel, p pair, used []bool) (out []geom.Length, pinned bool, err error) {
	foot := half(s.waist(p.gap), p.gap)
	for i, pin := range s.Pinned {
		middle, ok := s.pinnedAt(in, p, pin)
		if !ok {
			continue
		}
		pinned = true
		if middle < p.facing.lo || middle > p.facing.hi {
			continue // another neighbour on the same side may be meant
		}
		if middle-foot < p.common.lo || middle+foot > p.common.hi {
			return nil, true, fmt.Errorf("the tab pinned on edge %s of %s at %v does not lie on the straight stretch that faces %s, %v to %v along the panel",
				pin.Edge, p.copy.ID, pin.Position, p.other+p.rail, p.common.lo, p.common.hi)
		}
		used[i] = true
		out = append(out, middle)
	}
	if pinned {
		return out, true, nil
	}
	room := span{p.common.lo + s.FromCorner + foot, p.common.hi - s.FromCorner - foot}
	if room.length() < 0 {
		return nil, false, nil
	}
	n := max(1, (p.common.length()+s.LongestFreeSpan-1)/s.LongestFreeSpan)
	for i := range n {
		m := p.common.lo + geom.Length(geom.MulDiv(int64(2*i+1), int64(p.common.length()), int64(2*n)))
		out = append(out, min(max(m, room.lo), room.hi))
	}
	return out, false, nil
}

// pinnedAt gives the place along the panel of a pin, and whether it speaks of this pair. A pin may
// speak of either copy of a pair.
func (s *BreakoffTabs) pinnedAt(in panel.Panel, p pair, pin Pin) (geom.Length, bool) {
	if m, ok := pinOnCopy(p.copy, p.side, pin); ok {
		return m, true
	}
	for _, c := range in.Copies() {
		if c.ID == p.other {
			return pinOnCopy(c, p.side.opposite(), pin)
		}
	}
	return 0, false
}

func pinOnCopy(c panel.Copy, d side, pin Pin) (geom.Length, bool) {
	along := d.span(c.Box())
	if pin.Copy != "" {
		return along.lo + pin.Position, pin.Copy == c.ID && pin.Edge == d.String()
	}
	// In the board's own files the edge lies as many quarter turns back as the copy was turned.
	quarters, exact := c.Place.Turn.Quarters()
	if pin.Board != c.Board.Name || !exact || pin.Edge != ((d-side(quarters)+4)%4).String() {
		return 0, false
	}
	// The edge keeps its sense along x or y only while the turn maps lower ends to lower ends.
	turned := geom.Transform{Turn: c.Place.Turn}.Apply(unit((d - side(quarters) + 4) % 4))
	if turned.X < 0 || turned.Y < 0 {
		return along.hi - pin.Position, true
	}
	return along.lo + pin.Position, true
}

// unit is the direction in which positions count along a side.
func unit(d side) geom.Point { return d.point(1, 0) }

// perforate gives the holes of a tab's rows. A row's holes touch the board's edge from outside where
// inset is 0.
func (s *BreakoffTabs) perforate(t tab) []panel.Perforation {
	rows := len(t.Copies)
	switch s.Perforate {
	case "none":
		return nil
	case "one_side":
		rows = 1
	}
	d := t.pair.side
	pitch := s.HoleDiameter + s.BetweenHoles
	first := t.middle - geom.Length(s.HolesPerTab-1)*pitch/2
	var out []panel.Perforation
	for row := range rows {
		outward, id := signum(d), t.ID
		if row == 1 {
			outward, id = -outward, t.ID+"/far"
		}
		line := t.Feet[row]
		across := line.Y
		if !d.horizontal() {
			across = line.X
		}
		across += outward * (s.HoleDiameter/2 + s.HoleDiameter%2 - s.Inset)
		for h := range s.HolesPerTab {
			out = append(out, panel.Perforation{
				ID: fmt.Sprintf("%s/hole/%d", id, h+1), Tab: t.ID, Copy: t.Copies[row], Diameter: s.HoleDiameter,
				At: d.point(first+geom.Length(h)*pitch, across),
			})
		}
	}
	return out
}
