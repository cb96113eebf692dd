package gerber

import (
	"math"

	"panelwright/pipeline/geom"
)

// base is the transform of the whole image by the old statements, done in the order in which the
// format does them whatever their order in the file: mirror (MI), scale (SF), offset (OF, IO),
// rotation (IR), axes (AS). Mirror, scale and offset hold for coordinates only, rotation and axes
// for apertures too.
type base struct {
	active           bool
	mirrorX, mirrorY bool
	scale            [2]number
	offset           [2]geom.Point // by OF and by IO
	turn             geom.Angle
	swap             bool // x and y change places
}

func (b *base) settle() {
	b.active = b.mirrorX || b.mirrorY || b.scaled() || b.offset != [2]geom.Point{} || b.turn != 0 || b.swap
}

func (b *base) scaled() bool { return b.scale[0] != whole(1) || b.uneven() }

// uneven tells that a circle does not stay one.
func (b *base) uneven() bool { return b.scale[0] != b.scale[1] }

// ofAperture is the hand with the old image rotation and axes added. Changing places of x and y is
// mirroring top to bottom and then a quarter turn.
func (h hand) ofAperture(b base) hand {
	h.turn = (h.turn + b.turn).Normal()
	if b.swap {
		h.mirror, h.turn = !h.mirror, (geom.Quarter - h.turn).Normal()
	}
	return h
}

func (b *base) point(q geom.Point) geom.Point {
	if b.mirrorX {
		q.X = -q.X
	}
	if b.mirrorY {
		q.Y = -q.Y
	}
	if b.scaled() {
		q.X = geom.Length(geom.MulDiv(int64(q.X), b.scale[0].num, b.scale[0].den))
		q.Y = geom.Length(geom.MulDiv(int64(q.Y), b.scale[1].num, b.scale[1].den))
	}
	return b.direction(q.Add(b.offset[0]).Add(b.offset[1]))
}

// direction does to a step between copies what is done to the image after the offset.
func (b *base) direction(q geom.Point) geom.Point {
	q = geom.Transform{Turn: b.turn}.Apply(q)
	if b.swap {
		q.X, q.Y = q.Y, q.X
	}
	return q
}

func (b *base) edge(e geom.Edge) (geom.Edge, bool) {
	f := geom.Edge{From: b.point(e.From), To: b.point(e.To), Sense: e.Sense}
	if e.Sense == geom.Straight {
		return f, true
	}
	f.Center = b.point(e.Center)
	if (b.mirrorX != b.mirrorY) != b.swap {
		f.Sense = -f.Sense
	}
	return refit(settle(e, f))
}

// chordError is how far the chords of an arc that is scaled unequally may lie from the ellipse.
const chordError = geom.UM / 2

// chords cuts an arc into straight edges that stay within chordError of it after scaling.
func (b *base) chords(e geom.Edge) []geom.Edge {
	start, sweep := e.Angles()
	r := e.Radius()
	most := r * max(b.scale[0].float(), b.scale[1].float())
	step := math.Sqrt(8 * float64(chordError) / max(most, float64(chordError)))
	n := max(1, int(math.Ceil(math.Abs(sweep)/step)))
	out := make([]geom.Edge, 0, n)
	from := e.From
	for i := 1; i <= n; i++ {
		to := e.To
		if i < n {
			sin, cos := geom.SinCos(start + float64(sweep*float64(i))/float64(n))
			to = e.Center.Add(geom.Point{X: geom.Round(r * cos), Y: geom.Round(r * sin)})
		}
		if to != from {
			out = append(out, geom.Line(from, to))
		}
		from = to
	}
	return out
}

// placed moves an edge as the old statements say, in pieces where it does not stay one edge.
func (p *parser) placed(at int, e geom.Edge) ([]geom.Edge, error) {
	list := []geom.Edge{e}
	if e.Sense != geom.Straight && p.base.uneven() {
		p.note(warnUnevenArc, at)
		list = p.base.chords(e)
	}
	for i := range list {
		var ok bool
		if list[i], ok = p.base.edge(list[i]); !ok {
			return nil, p.fault(at, "arc too small or too uneven to be scaled (SF)", "export the layer without the scale factor")
		}
		if !list[i].From.Within() || !list[i].To.Within() || !list[i].Center.Within() {
			return nil, p.tooFar(at)
		}
	}
	return list, nil
}

// imageStatement reads the old statements on the whole image. Mirror, scale, offset and axes that
// change after drawing has begun hold for what follows, as the format's first edition has it;
// rotation, polarity and justification are the whole image's.
func (p *parser) imageStatement(at int, a, b byte, c *cursor) error {
	kind := string([]byte{a, b})
	refuse := func(what string) error {
		return p.fault(at, what, "export the layer without it; this old statement has no safe meaning")
	}
	text := trimmed(c.data[c.i:c.end])
	begun := p.count > 0 || p.inRegion || len(p.stack) > 0 || p.out.sr != nil
	p.note(oldTransform, at)
	next := p.base
	switch kind {
	case "AS":
		switch text {
		case "AXBY", "":
			next.swap = false
		case "AYBX":
			next.swap = true
		default:
			return refuse("unknown axes (AS" + text + ")")
		}
	case "IJ":
		if text != "" && text != "ALBL" {
			return refuse("image justification (IJ) is not supported: it would move this layer against the others")
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
			k := 0
			if kind == "IO" {
				k = 1
			}
			next.offset[k] = geom.Point{}
			if v[0].zero() && v[1].zero() {
				break
			}
			if err := p.needUnit(at); err != nil {
				return err
			}
			x, errX := p.length(at, v[0])
			y, errY := p.length(at, v[1])
			if errX != nil || errY != nil {
				return refuse("image offset beyond 2 m")
			}
			next.offset[k] = geom.Point{X: x, Y: y}
		case "SF":
			for _, s := range v {
				if f := s.float(); !(f >= 1e-3) || f > 1e3 || !s.exact() {
					return refuse("scale factor (SF) outside 0.001 to 1000")
				}
			}
			next.scale = v
		case "MI":
			if v[0] != whole(0) && v[0] != whole(1) || v[1] != whole(0) && v[1] != whole(1) {
				return refuse("unknown mirroring (MI)")
			}
			next.mirrorX, next.mirrorY = v[0] == whole(1), v[1] == whole(1)
		}
	}
	if next.settle(); next == p.base {
		return nil
	}
	switch {
	case p.inRegion || len(p.stack) > 0 || p.out.sr != nil || begun && (kind == "IR" || kind == "IO"):
		return refuse("the whole image is moved, mirrored, scaled or turned (" + kind + ") after drawing has begun")
	case begun:
		p.note(warnLateTransform, at)
	}
	p.base, p.slot = next, -1
	return nil
}

// imagePolarity reads IP: a negative image is dark where it is not drawn.
func (p *parser) imagePolarity(at int, c *cursor) error {
	p.note(oldImagePolarity, at)
	negative := false
	switch text := trimmed(c.data[c.i:c.end]); text {
	case "POS":
	case "NEG":
		negative = true
	default:
		return p.fault(at, "unknown image polarity", "%IPPOS*% or %IPNEG*% is expected here")
	}
	if p.hasIP && negative != p.img.Negative {
		return p.fault(at, "image polarity (IP) stated twice, once positive and once negative", "it holds for the whole image: export the layer with one of them")
	}
	p.hasIP, p.img.Negative = true, negative
	return nil
}
