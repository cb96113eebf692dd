package detail

import (
	"context"
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// cornerDetail is the panel's lower left corner with its radius.
type cornerDetail struct {
	arc      geom.Edge
	corners  int // that are round alike
	window   geom.Box
	open     []geom.Path
	contours []geom.Path
	rails    []geom.Path
	marks    []panel.Mark
}

// cornerArc finds the arc in the outline's lower left corner.
func cornerArc(p panel.Panel) (geom.Edge, bool) {
	box := p.Outline().Box()
	for _, e := range p.Outline().Outer {
		if e.Sense != geom.Straight && e.Center.X-box.Min.X == e.Center.Y-box.Min.Y && e.Box().Min == box.Min {
			return e, true
		}
	}
	return geom.Edge{}, false
}

// newCorner gives the corner's detail; nil where it is not round.
func newCorner(ctx context.Context, p panel.Panel) (*cornerDetail, error) {
	arc, ok := cornerArc(p)
	if !ok {
		return nil, nil
	}
	r := geom.Round(arc.Radius())
	d := &cornerDetail{arc: arc}
	for _, e := range p.Outline().Outer {
		if e.Sense != geom.Straight && geom.Round(e.Radius()) == r {
			d.corners++
		}
	}
	low := p.Outline().Box().Min
	reach := 2*r + 4*geom.MM
	for _, x := range p.Rails() {
		if x.Box.HoldsPoint(low) {
			reach = max(reach, min(x.Width()+4*geom.MM, 20*geom.MM))
		}
	}
	d.window = geom.Box{Min: low.Sub(geom.Pt(geom.MM, geom.MM)), Max: low.Add(geom.Pt(reach, reach))}
	o := overlay.Options{Workers: 1}
	window := overlay.Operand{Paths: []geom.Path{geom.Rectangle(d.window)}}
	away := overlay.Operand{Rule: overlay.NonZero}
	for _, s := range p.Slots() {
		if s.Outline.Box().Overlaps(d.window) {
			away.Paths = append(append(away.Paths, s.Outline.Outer), s.Outline.CutOuts...)
		}
	}
	whole, err := overlay.Intersection(ctx, o, window, overlay.Operand{Paths: []geom.Path{p.Outline().Outer}})
	if err != nil {
		return nil, err
	}
	stays, err := overlay.Difference(ctx, o, overlay.Of(whole...), away)
	if err != nil {
		return nil, err
	}
	open, err := overlay.Difference(ctx, o, overlay.Of(whole...), overlay.Of(stays...))
	if err != nil {
		return nil, err
	}
	d.open = open.Paths()
	for _, q := range stays.Paths() {
		d.contours = append(d.contours, within(q, d.window)...)
	}
	for _, x := range p.Rails() {
		if x.Box.Overlaps(d.window) {
			d.rails = append(d.rails, trim(geom.Rectangle(x.Box), d.window)...)
		}
	}
	for _, m := range p.Marks() {
		if d.window.Holds(geom.BoxOf(m.At).Grow(max(m.Diameter, m.Mask) / 2)) {
			d.marks = append(d.marks, m)
		}
	}
	return d, nil
}

func (d *cornerDetail) detail() Detail {
	return Detail{Title: "Rail corner", Where: d.window, Like: d.corners}
}

func (d *cornerDetail) draw(letter string, s drawing.Style, scale drawing.Scale) drawing.Sheet {
	p := newPiece("detail "+letter, s, scale, d.window)
	p.draw(0, drawing.Shape{Layer: drawing.Slots, Fill: drawing.Light, Paths: d.open},
		lines(drawing.Rails, drawing.Fine, d.rails...), lines(drawing.Outline, drawing.Wide, d.contours...))
	for _, m := range d.marks {
		x := drawing.Shape{Layer: drawing.Marks, Pen: drawing.Narrow, Paths: []geom.Path{circle(m.At, m.Diameter)}}
		if m.Kind == panel.Fiducial {
			x.Fill = drawing.Grey
			p.draw(0, lines(drawing.Marks, drawing.Fine, circle(m.At, m.Mask)))
		}
		p.draw(0, x)
	}
	p.border(0)
	v := p.Views[0]
	r := geom.Round(d.arc.Radius())
	on := d.arc.At(0.5)
	f := p.frame(0)
	words := s.Units.Radius(r)
	if d.corners > 1 {
		words = fmt.Sprintf("%d× %s", d.corners, words)
	}
	tip := v.Paper(on)
	knee := geom.Pt(f.Max.X+5*geom.MM, f.Min.Y+(f.Max.Y-f.Min.Y)/2)
	shapes, text := drawing.Leader(words, true, true, s, tip, knee)
	p.dimension(drawing.Dimension{Kind: drawing.Radius, From: d.arc.Center, To: on, Value: int64(r), Text: text, Lines: shapes,
		Of: []drawing.Fact{{Feature: "panel", What: "corner_radius"}}})
	return p.finish(letter, d.detail().Title)
}
