package detail

import (
	"fmt"
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// fiducialDetail is fiducials that are alike.
type fiducialDetail struct {
	first panel.Mark
	count int
}

// fiducials groups the panel's fiducials, in the order of the first of each.
func fiducials(p panel.Panel) (out []*fiducialDetail) {
	for _, m := range p.Marks() {
		if m.Kind != panel.Fiducial {
			continue
		}
		i := slices.IndexFunc(out, func(d *fiducialDetail) bool {
			f := d.first
			return f.Diameter == m.Diameter && f.Mask == m.Mask && f.Clear == m.Clear && slices.Equal(f.Sides, m.Sides)
		})
		if i < 0 {
			i = len(out)
			out = append(out, &fiducialDetail{first: m})
		}
		out[i].count++
	}
	return out
}

// reach is half of what is shown.
func (d *fiducialDetail) reach() geom.Length {
	return max(d.first.Diameter, d.first.Mask, d.first.Clear)/2 + 300*geom.UM
}

func (d *fiducialDetail) detail() Detail {
	return Detail{Title: "Fiducial", Where: geom.BoxOf(d.first.At).Grow(d.reach()), Like: d.count}
}

func (d *fiducialDetail) draw(letter string, s drawing.Style, scale drawing.Scale) drawing.Sheet {
	m := d.first
	p := newPiece("detail "+letter, s, scale, geom.BoxOf(m.At).Grow(d.reach()))
	v := p.Views[0]
	type ring struct {
		what, fact string
		diameter   geom.Length
		shape      drawing.Shape
		up         geom.Length // where on the rim the leader ends, in thousandths of the radius
		right      geom.Length
	}
	rings := []ring{
		{"free of all else", "clear_diameter", m.Clear, drawing.Shape{Layer: drawing.Marks, Pen: drawing.Pen{Width: drawing.Fine.Width, Dash: drawing.LongDashDot2}}, 600, 800},
		{"mask opening", "mask_diameter", m.Mask, drawing.Shape{Layer: drawing.Marks, Pen: drawing.Narrow, Fill: drawing.Paper}, 0, 1000},
		{"copper", "diameter", m.Diameter, drawing.Shape{Layer: drawing.Marks, Pen: drawing.Narrow, Fill: drawing.Hatch}, -600, 800},
	}
	for _, r := range rings {
		if r.diameter <= 0 {
			continue
		}
		r.shape.Paths = []geom.Path{circle(m.At, r.diameter)}
		p.draw(0, r.shape)
		off := geom.Pt(r.diameter/2*r.right/1000, r.diameter/2*r.up/1000)
		p.labels = append(p.labels, label{words: s.Units.Diameter(r.diameter) + " " + r.what, at: v.Paper(m.At.Add(off)), end: onEdge,
			dim: &drawing.Dimension{Kind: drawing.Diameter, From: m.At.Sub(off), To: m.At.Add(off), Value: int64(r.diameter), Of: []drawing.Fact{{Feature: m.ID, What: r.fact}}}})
	}
	p.setLabels(0)
	sides := ""
	for i, x := range m.Sides {
		if i > 0 {
			sides += " and "
		}
		sides += string(x)
	}
	words := fmt.Sprintf("%d alike", d.count)
	if d.count == 1 {
		words = "This one only"
	}
	if sides != "" {
		words += ", on " + sides
	}
	return p.finish(letter, d.detail().Title, say{words: words + "; no paste"})
}
