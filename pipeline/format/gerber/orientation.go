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

// ofAperture is the hand with the old image rotation added.
func (h hand) ofAperture(b base) hand {
	h.turn = (h.turn + b.turn).Normal()
	return h
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

// base is the transform of the whole image by the old statements, done in the order in which the
// format does them whatever their order in the file: mirror, scale, offset, rotation. Mirror and
// scale hold for coordinates only, rotation for apertures too.
type base struct {
	active           bool
	mirrorX, mirrorY bool
	scale            number
	offset           geom.Point
	turn             geom.Angle
}

func (b *base) point(q geom.Point) geom.Point {
	if b.mirrorX {
		q.X = -q.X
	}
	if b.mirrorY {
		q.Y = -q.Y
	}
	if b.scale != whole(1) {
		q.X = geom.Length(geom.MulDiv(int64(q.X), b.scale.num, b.scale.den))
		q.Y = geom.Length(geom.MulDiv(int64(q.Y), b.scale.num, b.scale.den))
	}
	return geom.Transform{Turn: b.turn}.Apply(q.Add(b.offset))
}

func (b *base) edge(e geom.Edge) (geom.Edge, bool) {
	f := geom.Edge{From: b.point(e.From), To: b.point(e.To), Sense: e.Sense}
	if e.Sense == geom.Straight {
		return f, true
	}
	f.Center = b.point(e.Center)
	if b.mirrorX != b.mirrorY {
		f.Sense = -f.Sense
	}
	return refit(settle(e, f))
}

// imageStatement reads the old statements on the whole image. What leaves the image as it is passes;
// offset, equal scale, mirror and quarter turns are carried out; the rest is refused.
func (p *parser) imageStatement(at int, a, b byte, c *cursor) error {
	kind := string([]byte{a, b})
	refuse := func(what string) error {
		return p.fault(at, what, "export the layer without it; this old statement has no safe meaning")
	}
	if kind == "IP" {
		p.note(oldImagePolarity, at)
		if text := trimmed(c.data[c.i:c.end]); text != "POS" {
			if text == "NEG" {
				return p.fault(at, "negative image (IPNEG) is not supported", "export the layer as a positive image")
			}
			return refuse("unknown image polarity")
		}
		return nil
	}
	p.note(oldTransform, at)
	text := trimmed(c.data[c.i:c.end])
	next := p.base
	switch kind {
	case "AS":
		if text != "AXBY" && text != "" {
			return refuse("swapped axes (AS" + text + ") are not supported")
		}
		return nil
	case "IJ":
		if text != "" && text != "ALBL" {
			return refuse("image justification (IJ) is not supported")
		}
		return nil
	case "IR":
		n, ok := c.decimal()
		v, isWhole := n.integer()
		if !ok || !isWhole || v%90 != 0 || !c.done() {
			return refuse("image rotation (IR) other than quarter turns")
		}
		next.turn = (geom.Angle(v) * geom.Degree).Normal()
	default:
		var v [2]number
		v[0], v[1] = whole(0), whole(0)
		if kind == "SF" {
			v[0], v[1] = whole(1), whole(1)
		}
		for k, letter := range []byte("AB") {
			if c.take(letter) {
				var ok bool
				if v[k], ok = c.decimal(); !ok {
					return refuse("number missing in " + kind)
				}
			}
		}
		if !c.done() {
			return refuse("unexpected text in " + kind)
		}
		switch kind {
		case "OF", "IO":
			if v[0].zero() && v[1].zero() {
				return nil
			}
			if err := p.needUnit(at); err != nil {
				return err
			}
			x, errX := p.length(at, v[0])
			y, errY := p.length(at, v[1])
			if errX != nil || errY != nil {
				return refuse("image offset beyond 2 m")
			}
			next.offset = next.offset.Add(geom.Point{X: x, Y: y})
			if max(next.offset.X.Abs(), next.offset.Y.Abs()) > 2*geom.Limit {
				return refuse("image offset beyond 2 m")
			}
		case "SF":
			f := v[0].float()
			if v[0] != v[1] {
				return refuse("different scale factors (SF) along the two axes are not supported")
			}
			if !(f >= 1e-3) || f > 1e3 || !v[0].exact() {
				return refuse("scale factor (SF) outside 0.001 to 1000")
			}
			next.scale = v[0]
		case "MI":
			if v[0] != whole(0) && v[0] != whole(1) || v[1] != whole(0) && v[1] != whole(1) {
				return refuse("unknown mirroring (MI)")
			}
			next.mirrorX, next.mirrorY = v[0] == whole(1), v[1] == whole(1)
		}
	}
	if next == p.base {
		return nil
	}
	if p.count > 0 || p.inRegion || len(p.stack) > 0 || p.out.sr != nil {
		return refuse("the whole image is moved, mirrored, scaled or turned (" + kind + ") after drawing has begun")
	}
	p.base, p.slot = next, -1
	p.base.active = next.mirrorX || next.mirrorY || next.scale != whole(1) || next.turn != 0 || next.offset != geom.Point{}
	return nil
}
