package panel

import (
	"fmt"

	"panelwright/pipeline/geom"
)

// LayRails is LayRailsApart with one gap for all.
func (b *Builder) LayRails(sides []RailSide, width, gap, cornerRadius geom.Length, derived bool) *Builder {
	return b.LayRailsApart(sides, width, func(RailSide) geom.Length { return gap }, cornerRadius, derived)
}

// LayRailsApart puts rails of the given width round what is placed, each as far away from it as gap says, and sets the panel's
// outline to the rectangle round all of it, its lower left corner at the origin. Upper and lower
// rails run the panel's whole width; left and right ones lie between them. derived marks the width
// as one that the marks may change.
func (b *Builder) LayRailsApart(sides []RailSide, width geom.Length, gap func(RailSide) geom.Length, cornerRadius geom.Length, derived bool) *Builder {
	for _, s := range sides {
		b.claim("rail/" + string(s))
		b.d.rails = append(b.d.rails, Rail{ID: "rail/" + string(s), Side: s, Gap: gap(s), Derived: derived,
			Box: geom.Box{Max: geom.Pt(width, width)}}) // only the width counts until relaid
	}
	b.d.cornerRadius = cornerRadius
	return b.relay()
}

// relay places the rails round the copies by their widths and gaps, and moves everything so that the
// panel's lower left corner is the origin.
func (b *Builder) relay() *Builder {
	inner := geom.EmptyBox()
	for _, c := range b.d.copies {
		inner = inner.Union(c.Box())
	}
	if inner.Empty() {
		return b
	}
	outer := inner
	for _, r := range b.d.rails {
		reach := r.Gap + r.Width()
		switch r.Side {
		case Upper:
			outer.Max.Y = max(outer.Max.Y, inner.Max.Y+reach)
		case Lower:
			outer.Min.Y = min(outer.Min.Y, inner.Min.Y-reach)
		case Left:
			outer.Min.X = min(outer.Min.X, inner.Min.X-reach)
		case Right:
			outer.Max.X = max(outer.Max.X, inner.Max.X+reach)
		}
	}
	low, high := outer.Min.Y, outer.Max.Y // what is left for rails at the left and right
	for _, r := range b.d.rails {
		switch r.Side {
		case Upper:
			high = outer.Max.Y - r.Width()
		case Lower:
			low = outer.Min.Y + r.Width()
		}
	}
	b.d.rails = each(b.d.rails, func(r Rail) Rail {
		w := r.Width()
		switch r.Side {
		case Upper:
			r.Box = geom.Box{Min: geom.Pt(outer.Min.X, outer.Max.Y-w), Max: outer.Max}
		case Lower:
			r.Box = geom.Box{Min: outer.Min, Max: geom.Pt(outer.Max.X, outer.Min.Y+w)}
		case Left:
			r.Box = geom.Box{Min: geom.Pt(outer.Min.X, low), Max: geom.Pt(outer.Min.X+w, high)}
		case Right:
			r.Box = geom.Box{Min: geom.Pt(outer.Max.X-w, low), Max: geom.Pt(outer.Max.X, high)}
		}
		return r
	})
	b.d.outline = geom.Outline{Outer: geom.RoundedRectangle(outer, b.d.cornerRadius)}
	return b.Shift(geom.Pt(-outer.Min.X, -outer.Min.Y))
}

// FitRail tells that the rail on side must be at least need wide for what it carries. A rail of
// derived width takes it: the first need replaces the default, later ones only widen. The width of
// other rails stands, and whether it is enough is left to the caller. Marks move along; it is an error
// once slots, tabs, scores or prints lie along the rail.
func (b *Builder) FitRail(side RailSide, need geom.Length) *Builder {
	for i, r := range b.d.rails {
		if r.Side != side || !r.Derived || need <= r.Needed {
			continue
		}
		if w := r.Width(); need != w && len(b.d.slots)+len(b.d.tabs)+len(b.d.scores)+len(b.d.prints) > 0 {
			if b.err == nil {
				b.err = fmt.Errorf("%s would have to become %v wide, but tabs, scores or prints already lie along it; "+
					"place marks before them, or give the rails a width", r.ID, need)
			}
			return b
		}
		rails := append([]Rail(nil), b.d.rails...)
		rails[i].Needed = need
		rails[i].Box = geom.Box{Max: geom.Pt(need, need)}
		for k := range rails {
			if k != i {
				w := rails[k].Width()
				rails[k].Box = geom.Box{Max: geom.Pt(w, w)}
			}
		}
		b.d.rails = rails
		return b.relayMarks()
	}
	return b
}

// relayMarks relays the rails and keeps the marks at their distances from the nearest panel edges.
func (b *Builder) relayMarks() *Builder {
	old := b.d.outline.Box()
	marks := b.d.marks
	b.d.marks = nil
	b.relay()
	now := b.d.outline.Box()
	b.d.marks = each(marks, func(m Mark) Mark {
		if m.At.X > old.Center().X {
			m.At.X = now.Max.X - (old.Max.X - m.At.X)
		} else {
			m.At.X = now.Min.X + (m.At.X - old.Min.X)
		}
		if m.At.Y > old.Center().Y {
			m.At.Y = now.Max.Y - (old.Max.Y - m.At.Y)
		} else {
			m.At.Y = now.Min.Y + (m.At.Y - old.Min.Y)
		}
		return m
	})
	return b
}

// Rail gives the rail on that side, and whether there is one.
func (p Panel) Rail(side RailSide) (Rail, bool) {
	for _, r := range p.get().rails {
		if r.Side == side {
			return r, true
		}
	}
	return Rail{}, false
}
