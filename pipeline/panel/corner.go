package panel

import (
	"fmt"
	"strings"

	"panelwright/pipeline/geom"
)

// Corner is a corner of the panel.
type Corner string

// The four corners, in the order in which marks are numbered.
const (
	LowerLeft  Corner = "lower_left"
	LowerRight Corner = "lower_right"
	UpperRight Corner = "upper_right"
	UpperLeft  Corner = "upper_left"
)

// At gives the point that lies inward from the corner's two panel edges.
func (c Corner) At(panel geom.Box, inwardX, inwardY geom.Length) geom.Point {
	p := geom.Pt(panel.Min.X+inwardX, panel.Min.Y+inwardY)
	if c == LowerRight || c == UpperRight {
		p.X = panel.Max.X - inwardX
	}
	if c == UpperLeft || c == UpperRight {
		p.Y = panel.Max.Y - inwardY
	}
	return p
}

// rails gives the two sides that meet at the corner, the horizontal one first.
func (c Corner) rails() [2]RailSide {
	sides := [2]RailSide{Lower, Left}
	if c == UpperLeft || c == UpperRight {
		sides[0] = Upper
	}
	if c == LowerRight || c == UpperRight {
		sides[1] = Right
	}
	return sides
}

// CornerMark is a mark that AddCornerMarks puts near each corner named.
type CornerMark struct {
	Kind             MarkKind
	Corners          []Corner
	InwardX, InwardY geom.Length // from the nearest panel edges to the mark's middle
	Diameter         geom.Length
	Mask, Clear      geom.Length
	Keep             geom.Length // radius round the middle that must lie on a rail
	Sides            []Side
	OffCorner        Corner      // this corner's mark lies Off further from it, along its rail; empty: none
	Off              geom.Length // so that the marks tell which way round the panel lies
}

// AddCornerMarks places one mark near each corner, numbered on from those of its kind, on the rails
// that meet there, and lets rails of derived width follow what the marks need.
func (p Panel) AddCornerMarks(m CornerMark) (Panel, error) {
	b := p.Edit()
	for _, c := range m.Corners {
		sides := c.rails()
		_, horizontal := p.Rail(sides[0])
		_, vertical := p.Rail(sides[1])
		switch {
		case horizontal:
			b.FitRail(sides[0], m.InwardY+m.Keep)
		case vertical:
			b.FitRail(sides[1], m.InwardX+m.Keep)
		default:
			return Panel{}, fmt.Errorf("no rail meets the corner %s: add a rail at the %s or %s side, or name other corners", c, sides[0], sides[1])
		}
	}
	number := 1
	for _, x := range b.d.marks {
		if x.Kind == m.Kind {
			number++
		}
	}
	box := b.d.outline.Box()
	for _, c := range m.Corners {
		x, y := m.InwardX, m.InwardY
		if c == m.OffCorner {
			if _, lying := (Panel{&b.d}).Rail(c.rails()[0]); lying {
				x += m.Off
			} else {
				y += m.Off
			}
		}
		at := c.At(box, x, y)
		if r := b.holder(at, m.Keep); r == "" {
			return Panel{}, fmt.Errorf("the %s at %s, %v mm, and the %v mm kept round it do not lie on a rail: "+
				"make the rail wider or the inward distances smaller", strings.ReplaceAll(string(m.Kind), "_", " "), c, at, m.Keep.Decimal())
		}
		b.AddMark(Mark{ID: fmt.Sprintf("%s/%d", m.Kind, number), Kind: m.Kind, At: at, Diameter: m.Diameter,
			Mask: m.Mask, Clear: m.Clear, Sides: m.Sides})
		number++
	}
	return b.Build()
}

// holder names a rail that holds the disc of radius keep round at; empty when none does. At a corner
// where two rails meet the disc may lie on both.
func (b *Builder) holder(at geom.Point, keep geom.Length) string {
	disc := geom.BoxOf(at).Grow(keep)
	corner := geom.EmptyBox()
	for _, r := range b.d.rails {
		if r.Box.Holds(disc) {
			return r.ID
		}
		if r.Box.Overlaps(disc) {
			corner = corner.Union(r.Box)
		}
	}
	copies := geom.EmptyBox()
	for _, c := range b.d.copies {
		if c.Box().Overlaps(disc) {
			copies = copies.Union(c.Box())
		}
	}
	if !corner.Empty() && corner.Holds(disc) && copies.Empty() && b.countRails(disc) > 1 {
		return "corner"
	}
	return ""
}

func (b *Builder) countRails(disc geom.Box) int {
	n := 0
	for _, r := range b.d.rails {
		if r.Box.Overlaps(disc) {
			n++
		}
	}
	return n
}
