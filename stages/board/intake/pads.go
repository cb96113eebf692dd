package intake

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// pads are the places of a layer at which a hole may be expected.
type pads struct {
	at map[[2]int32][]geom.Point
}

// padsOf names an index: the places of flashes, or drawn ones too.
type padsOf struct {
	image *artwork.Image
	drawn bool
}

const (
	// onPad is how far a hole may lie from the middle of its pad: both are rounded, in the coarsest
	// files to 25 µm (2.3 inch).
	onPad   = 50 * geom.UM
	padCell = 200 * geom.UM
)

// padsIn gives the index of a layer. Drawn places are the middles and ends of strokes, for tracks end
// at pads, and the middles of small regions.
func (r *Result) padsIn(m *artwork.Image, drawn bool) *pads {
	k := padsOf{m, drawn}
	if p := r.pads[k]; p != nil {
		return p
	}
	p := &pads{at: map[[2]int32][]geom.Point{}}
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

func cellOf(q geom.Point) [2]int32 {
	down := func(v geom.Length) int32 {
		n := int32(v / padCell)
		if v < 0 && v%padCell != 0 {
			n--
		}
		return n
	}
	return [2]int32{down(q.X), down(q.Y)}
}

func (p *pads) add(q geom.Point) {
	c := cellOf(q)
	for _, there := range p.at[c] {
		if there == q {
			return
		}
	}
	p.at[c] = append(p.at[c], q)
}

// near tells whether there is a pad whose middle is at q.
func (p *pads) near(q geom.Point) bool {
	low, high := cellOf(q.Sub(geom.Pt(onPad, onPad))), cellOf(q.Add(geom.Pt(onPad, onPad)))
	for x := low[0]; x <= high[0]; x++ {
		for y := low[1]; y <= high[1]; y++ {
			for _, there := range p.at[[2]int32{x, y}] {
				if there.Distance(q) <= float64(onPad) {
					return true
				}
			}
		}
	}
	return false
}
