package breakofftabs

import (
	"cmp"
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// pair is two things that face each other across a gap: a copy's side and another copy or a rail.
type pair struct {
	copy   panel.Copy // the lower or left one of two copies
	side   side       // of copy, towards the other
	other  string     // id of the other copy; empty for a rail
	rail   string     // id of the rail; empty for a copy
	gap    geom.Length
	facing span // the stretch of the two bounding boxes that face each other
	common span // the stretch along which both edges are straight
}

// thing is what a side of a copy may face.
type thing struct {
	id       string
	box      geom.Box
	copy     bool
	straight [4]span
}

// pairs finds what every copy's sides face, and refuses what this stage cannot cut free.
func (s *BreakoffTabs) pairs(in panel.Panel, shapes map[string]shape) ([]pair, error) {
	var things []thing
	for _, c := range in.Copies() {
		sh := shapes[c.ID]
		things = append(things, thing{c.ID, sh.box, true, sh.straight})
	}
	for _, r := range in.Rails() {
		t := thing{id: r.ID, box: r.Box}
		for d := lower; d <= left; d++ {
			t.straight[d] = d.span(r.Box)
		}
		things = append(things, t)
	}
	panelBox := in.Outline().Box()
	var out []pair
	for _, c := range in.Copies() {
		sh := shapes[c.ID]
		for d := lower; d <= left; d++ {
			if d.line(sh.box) == d.line(panelBox) {
				continue // the panel's own edge: the profile cuts it
			}
			found, err := s.facing(c, sh, d, things)
			if err != nil {
				return nil, err
			}
			out = append(out, found...)
		}
	}
	return out, nil
}

// facing finds what one side of a copy faces. Pairs of copies are returned once, by the copy on whose
// upper or right side the gap lies.
func (s *BreakoffTabs) facing(c panel.Copy, sh shape, d side, things []thing) ([]pair, error) {
	own := d.span(sh.box)
	var near []pair
	for _, t := range things {
		if t.id == c.ID {
			continue
		}
		gap := (d.opposite().line(t.box) - d.line(sh.box)) * signum(d)
		over := own.and(d.span(t.box))
		if gap < 0 || over.length() <= 0 {
			continue
		}
		p := pair{copy: c, side: d, gap: gap, facing: over, common: sh.straight[d].and(t.straight[d.opposite()])}
		if t.copy {
			p.other = t.id
		} else {
			p.rail = t.id
		}
		near = append(near, p)
	}
	slices.SortFunc(near, func(a, b pair) int {
		return cmp.Or(cmp.Compare(a.gap, b.gap), cmp.Compare(a.facing.lo, b.facing.lo), cmp.Compare(a.other+a.rail, b.other+b.rail))
	})
	// A side has one slot, as wide as the gap to what is nearest. What lies further away is seen only
	// through a slot between two nearer boards, and is not faced: a stretch that faces nothing nearer
	// than that must not be longer than where such a slot comes out.
	var faced []pair
	left := []span{own}
	for _, p := range near {
		if p.gap > near[0].gap+slack {
			break
		}
		faced = append(faced, p)
		var rest []span
		for _, l := range left {
			o := l.and(p.facing)
			if o.length() <= 0 {
				rest = append(rest, l)
				continue
			}
			rest = append(rest, positive(span{l.lo, o.lo}, span{o.hi, l.hi})...)
		}
		left = rest
	}
	var out []pair
	for _, p := range faced {
		if !s.serves(p, d) || p.gap == 0 {
			continue
		}
		if s.SlotWidth != nil && (p.gap-*s.SlotWidth).Abs() > slack {
			return nil, fmt.Errorf("the gap between %s and %s is %v, but slot_width is %v: make the gap as wide as the slot",
				c.ID, p.other+p.rail, p.gap, *s.SlotWidth)
		}
		if p.rail != "" || d == upper || d == right {
			out = append(out, p)
		}
	}
	for _, l := range left {
		switch {
		case len(faced) == 0:
			return nil, fmt.Errorf("the %s side of %s faces no board or rail, and the waste there would stay on it: "+
				"place boards in full rows and columns, or add a rail on that side", d, c.ID)
		case l.length() > 2*max(faced[0].gap, geom.MM):
			return nil, fmt.Errorf("the %s side of %s faces no board or rail across its gap of %v from %v to %v mm, and waste would be left there: "+
				"place boards in full rows and columns, with one gap along each side", d, c.ID, faced[0].gap,
				d.point(l.lo, d.line(sh.box)), d.point(l.hi, d.line(sh.box)))
		}
	}
	return out, nil
}

// serves tells whether the recipe wants slots and tabs between the two.
func (s *BreakoffTabs) serves(p pair, d side) bool {
	switch {
	case p.rail != "":
		return slices.Contains(s.Between, "rails")
	case d.horizontal():
		return slices.Contains(s.Between, "rows")
	}
	return slices.Contains(s.Between, "columns")
}

func signum(d side) geom.Length {
	if d == upper || d == right {
		return 1
	}
	return -1
}

func positive(spans ...span) []span {
	return slices.DeleteFunc(spans, func(s span) bool { return s.length() <= 0 })
}
