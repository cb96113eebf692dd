package intake

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// pads are the places of a layer at which a hole may be expected.
type pads struct{ places geom.Index[geom.Point] }

// padsOf names an index: the places of flashes, or drawn ones too.
type padsOf struct {
	image *artwork.Image
	drawn bool
}

// onPad is how far a hole may lie from the middle of its pad: both are rounded, in the coarsest files to
// 25 µm (2.3 inch).
const onPad = 50 * geom.UM

// padsIn gives the index of a layer. Drawn places are the middles and ends of strokes, for tracks end
// at pads, and the middles of small regions.
func (r *Result) padsIn(m *artwork.Image, drawn bool) *pads {
	k := padsOf{m, drawn}
	if p := r.pads[k]; p != nil {
		return p
	}
	p := &pads{}
	for _, o := range m.Objects {
		switch {
		case o.Clear:
		case o.Kind == artwork.Flash:
			p.add(o.Edge.From)
		case !drawn:
		case o.Kind == artwork.Stroke:
			p.add(o.Edge.From)
			p.add(o.Edge.To)
			p.add(o.Edge.At(0.5))
		default:
			const small = 8 * geom.MM
			if b := m.Box(o); b.Width() < small && b.Height() < small {
				p.add(b.Center())
			}
		}
	}
	if r.pads == nil {
		r.pads = map[padsOf]*pads{}
	}
	r.pads[k] = p
	return p
}

func (p *pads) add(q geom.Point) { p.places.Insert(geom.BoxOf(q), q) }

// near tells whether there is a pad whose middle is at q.
func (p *pads) near(q geom.Point) bool {
	found := false
	p.places.Search(geom.BoxOf(q).Grow(onPad), func(_ geom.Box, there geom.Point) bool {
		found = there.Distance(q) <= float64(onPad)
		return !found
	})
	return found
}
