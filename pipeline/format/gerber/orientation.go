package gerber

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// hand is how apertures are loaded: mirrored top to bottom, then scaled, then turned. (Left to right
// is top to bottom and half a turn.)
type hand struct {
	mirror   bool
	turn     geom.Angle
	num, den int64 // scale
}

var plain = hand{num: 1, den: 1}

// derivation names a definition under a hand.
type derivation struct {
	def int32
	hand
}

// orientation reads LM, LR and LS. Each sets its own part of the hand.
func (p *parser) orientation(at int, kind byte, c *cursor) error {
	switch kind {
	case 'M':
		x, y := false, false
		switch {
		case c.take('N'):
		case c.take('X'):
			x, y = true, c.take('Y')
		case c.take('Y'):
			y = true
		default:
			return p.fault(at, "unknown mirroring", "%LMN*%, %LMX*%, %LMY*% or %LMXY*% is expected here")
		}
		p.hand.turn -= p.mirrorTurn
		p.mirrorTurn = 0
		if x {
			p.mirrorTurn = geom.Half
		}
		p.hand.turn = (p.hand.turn + p.mirrorTurn).Normal()
		p.hand.mirror = x != y
	case 'R':
		n, ok := c.decimal()
		v, near := n.scaled(int64(geom.Degree), 1e6*int64(geom.FullTurn))
		if !ok || !near {
			return p.fault(at, "rotation that cannot be read", "%LR45*% turns apertures by 45 degrees")
		}
		p.hand.turn = (geom.Angle(v) + p.mirrorTurn).Normal()
	case 'S':
		n, ok := c.decimal()
		f := n.float()
		if !ok || !n.exact() || !(f > 1e-6) || f > 1e6 || n.den > 1e9 || n.num > 1e15 {
			return p.fault(at, "scale that cannot be read", "%LS0.8*% scales apertures by 0.8; the scale is greater than 0")
		}
		p.hand.num, p.hand.den = n.num, n.den
	}
	if !c.done() {
		return p.fault(at, "unexpected text after mirroring, rotation or scale", "export the file again; this place is damaged")
	}
	p.slot = -1
	return nil
}

func (h hand) scale(l geom.Length) geom.Length {
	if h.num == h.den {
		return l
	}
	return geom.Length(geom.MulDiv(int64(l), h.num, h.den))
}

// near tells whether l, scaled, stays within 2 m.
func (h hand) near(l geom.Length) bool {
	return float64(l.Abs())*float64(h.num)/float64(h.den) <= 2*float64(geom.Limit)
}

// sized scales the sides of a standard aperture.
func (h hand) sized(a artwork.Aperture) (artwork.Aperture, bool) {
	if !h.near(a.Width) || !h.near(a.Height) || !h.near(a.Hole) {
		return a, false
	}
	a.Width, a.Height, a.Hole = h.scale(a.Width), h.scale(a.Height), h.scale(a.Hole)
	return a, true
}

// apply gives the aperture under the hand, in the one form that equal pictures share.
func (h hand) apply(a artwork.Aperture) (artwork.Aperture, bool) {
	if h.mirror {
		a.Turn = (-a.Turn).Normal()
	}
	a, ok := h.sized(a)
	if !ok {
		return a, false
	}
	if (h.mirror || h.num != h.den) && a.Shape == artwork.Macro {
		prims := make([]artwork.Primitive, len(a.Primitives))
		for i, q := range a.Primitives {
			for k, s := range q.Size {
				if !h.near(s) {
					return a, false
				}
				q.Size[k] = h.scale(s)
			}
			pts := make([]geom.Point, len(q.Points))
			for k, pt := range q.Points {
				if !h.near(pt.X) || !h.near(pt.Y) {
					return a, false
				}
				pts[k] = geom.Point{X: h.scale(pt.X), Y: h.scale(pt.Y)}
				if h.mirror {
					pts[k].Y = -pts[k].Y
				}
			}
			if h.mirror {
				q.Turn = (-q.Turn).Normal()
			}
			q.Points = pts
			prims[i] = q
		}
		a.Primitives = prims
	}
	return canonical(a.Turned(h.turn)), true
}

// canonical writes equal pictures in one form: a disc carries its turn in its centre.
func canonical(a artwork.Aperture) artwork.Aperture {
	switch a.Shape {
	case artwork.Polygon:
		a.Turn = polygonTurn(a.Turn, a.Vertices)
	case artwork.Macro:
		copied := false
		for i := range a.Primitives {
			q := &a.Primitives[i]
			if q.Kind != artwork.PrimCircle || q.Turn == 0 {
				continue
			}
			if !copied {
				a.Primitives = append([]artwork.Primitive(nil), a.Primitives...)
				q, copied = &a.Primitives[i], true
			}
			q.Points = []geom.Point{geom.Transform{Turn: q.Turn}.Apply(q.Points[0])}
			q.Turn = 0
		}
	}
	return a
}
