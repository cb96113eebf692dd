package dxf

import (
	"math"

	"panelwright/pipeline/geom"
)

// A pen makes the path of one curve. It says what went wrong at the end: whoever draws need not ask
// after each edge, but must stop when the pen is spent.
type pen struct {
	path geom.Path
	at   geom.Point
	tol  float64 // nm, what a chord may stray before its ends are rounded

	left      int  // edges that may still be drawn, those without length too
	far       bool // something lies beyond ±1 m
	flattened bool
}

// rounding is by how much the ends of a chord may move when they are rounded, in nm.
const rounding = 0.75

// spent tells whether nothing more is to be drawn.
func (p *pen) spent() bool { return p.left <= 0 || p.far }

// point rounds a place.
func (p *pen) point(x, y float64) geom.Point {
	const limit = float64(geom.Limit)
	if !(math.Abs(x) <= limit && math.Abs(y) <= limit) {
		p.far = true
		return geom.Point{}
	}
	return geom.Pt(geom.Round(x), geom.Round(y))
}

func (p *pen) moveTo(q geom.Point) { p.at = q }

func (p *pen) lineTo(q geom.Point) { p.add(geom.Line(p.at, q)) }

func (p *pen) add(e geom.Edge) {
	p.left--
	if p.spent() || e.Sense == geom.Straight && e.From == e.To {
		return
	}
	if e.Sense != geom.Straight {
		if b := e.Box(); !b.Min.Within() || !b.Max.Within() {
			p.far = true
			return
		}
	}
	p.path = append(p.path, e)
	p.at = e.To
}

// close lets the path end where it begins when only rounding keeps it from that.
func (p *pen) close() {
	n := len(p.path)
	if n < 3 || p.path[n-1].Sense != geom.Straight {
		return
	}
	first, last := p.path[0].From, &p.path[n-1]
	if last.From != first && last.To.Distance(first) <= 2 {
		last.To, p.at = first, first
	}
}
