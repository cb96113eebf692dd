package outlines

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

// Sizes of random boards: common practice, no published source. What hangs on by less than thin is no
// part of a board, and a gap narrower than it is none.
const (
	smallest = 15.0 // mm
	largest  = 150.0
	thin     = 1.5
)

// Random gives an outline made of unions and differences of rectangles, discs, slots, notches, polygons
// and blobs of arcs, 15 to 150 mm large, with one outer path and sometimes cut-outs. The same seed gives
// the same outline, on any processor. It lies about the origin.
func Random(seed uint64) geom.Outline {
	m := &maker{rand.New(rand.NewPCG(seed, 0x7461627321))}
	for {
		o, ok := m.board()
		if ok {
			return o
		}
	}
}

type maker struct{ *rand.Rand }

// between gives a number between two, in whole hundredths: boards are drawn on a grid.
func (m *maker) between(a, b float64) float64 {
	n := max(1, int(math.Floor((b-a)*100)))
	return a + float64(m.IntN(n+1))/100
}

// board makes one; false where nothing like a board came out.
func (m *maker) board() (geom.Outline, bool) {
	w := m.between(smallest, largest)
	h := max(smallest, math.Round(w*m.between(0.4, 1)*100)/100)
	if m.IntN(2) == 0 {
		w, h = h, w
	}
	var r geom.Region
	switch m.IntN(6) {
	case 0: // a polygon, all corners at once, never changed afterwards
		r = geom.Region{{Outer: m.polygon(w, h)}}
	case 1, 2:
		r = m.cut(geom.Region{{Outer: m.rectangle(0, 0, w, h)}}, w, h)
	case 3:
		r = m.cut(geom.Region{{Outer: circle(0, 0, min(w, h)/2)}}, min(w, h), min(w, h))
	case 4:
		r = m.cut(geom.Region{{Outer: m.blob(w, h)}}, w, h)
	default: // of several pieces
		parts := geom.Region{{Outer: m.rectangle(0, 0, w, h/2)}}
		for range 1 + m.IntN(3) {
			parts = append(parts, geom.Outline{Outer: m.piece(w, h, 0.3, 0.7)})
		}
		r = must(overlay.Union(context.Background(), overlay.Options{Workers: 1}, overlay.Of(parts...)))
		r = m.cut(r, w, h)
	}
	return m.clean(r)
}

// cut takes pieces away at the border, and sometimes from within.
func (m *maker) cut(r geom.Region, w, h float64) geom.Region {
	less := overlay.Operand{}
	for range m.IntN(4) {
		less.Paths = append(less.Paths, m.piece(w, h, 0.08, 0.3))
	}
	if m.IntN(3) == 0 { // a cut-out near the middle
		x, y, d := m.between(-w/6, w/6), m.between(-h/6, h/6), m.between(2, max(3, min(w, h)/4))
		if m.IntN(2) == 0 {
			less.Paths = append(less.Paths, circle(x, y, d/2))
		} else {
			less.Paths = append(less.Paths, box(x, y, d, m.between(2, max(3, min(w, h)/4)), 0.5))
		}
	}
	if len(less.Paths) == 0 {
		return r
	}
	return must(overlay.Difference(context.Background(), overlay.Options{Workers: 1}, overlay.Of(r...), less))
}

// rectangle gives one with corners square or round.
func (m *maker) rectangle(x, y, w, h float64) geom.Path {
	r := 0.0
	if m.IntN(2) == 0 {
		r = m.between(0.5, min(w, h)/3)
	}
	return box(x, y, w, h, r)
}

// piece gives a rectangle, a disc, a slot with round ends or a turned square somewhere about the border,
// its size a part of the board's.
func (m *maker) piece(w, h, least, most float64) geom.Path {
	a, b := float64(w*m.between(least, most)), float64(h*m.between(least, most))
	x, y := m.between(-w/2, w/2), m.between(-h/2, h/2)
	switch m.IntN(4) { // at one of the sides
	case 0:
		x = w / 2
	case 1:
		x = -w / 2
	case 2:
		y = h / 2
	default:
		y = -h / 2
	}
	switch m.IntN(4) {
	case 0:
		return box(x, y, a, b, 0)
	case 1:
		return circle(x, y, max(1.5, min(a, b)/2))
	case 2:
		return box(x, y, a, b, min(a, b)/2)
	default:
		var xy []float64
		turn := m.between(0, 2*math.Pi)
		for k := range 4 {
			s, c := geom.SinCos(turn + float64(math.Pi/2*float64(k)))
			xy = append(xy, x+float64(a/2*c), y+float64(a/2*s))
		}
		return polygon(xy...)
	}
}

// polygon gives one of 3 to 300 corners about the middle, which waves the more the fewer they are.
func (m *maker) polygon(w, h float64) geom.Path {
	n := 3 + m.IntN(10)
	if m.IntN(2) == 0 {
		n = 12 + m.IntN(289)
	}
	times := 2 + m.IntN(5) // boards are no gears: the more waves, the flatter
	wave, phase := m.between(0, min(0.25, 2/float64(times*times))), m.between(0, 2*math.Pi)
	rough := 0.3 / float64(n)
	var xy []float64
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		s, c := geom.SinCos(a)
		p, _ := geom.SinCos(float64(times)*a + phase)
		l := 1 - wave + float64(wave*p) - float64(rough*m.Float64())
		xy = append(xy, float64(w/2*l*c), float64(h/2*l*s))
	}
	return polygon(xy...)
}

// blob gives one of arcs.
func (m *maker) blob(w, h float64) geom.Path {
	n := 8 + m.IntN(112)
	r := min(w, h) / 2
	waves := [3]float64{m.between(0, 0.12), m.between(0, 0.08), m.between(0, 0.03)}
	phases := [3]float64{m.between(0, 6), m.between(0, 6), m.between(0, 6)}
	return blob(n, func(at float64) float64 {
		l := 0.8
		for i := range waves {
			s, _ := geom.SinCos(float64(i+2)*at + phases[i])
			l += float64(waves[i] * s)
		}
		return float64(r * l)
	})
}

// clean drops what hangs on by too little, keeps the largest piece and its cut-outs that are large
// enough to be meant.
func (m *maker) clean(r geom.Region) (geom.Outline, bool) {
	o := offset.Options{Overlay: overlay.Options{Workers: 1}}
	reach := must(offset.By(context.Background(), r, -geom.FromMM(thin/2), o))
	r = must(offset.By(context.Background(), reach, geom.FromMM(thin/2), offset.Options{Join: offset.Mitre, MitreLimit: 6, Overlay: o.Overlay}))
	if len(r) == 0 {
		return geom.Outline{}, false
	}
	best := slices.MaxFunc(r, func(a, b geom.Outline) int {
		switch x, y := a.Area(), b.Area(); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	best.CutOuts = slices.DeleteFunc(slices.Clone(best.CutOuts), func(p geom.Path) bool {
		b := p.Box()
		return min(b.Width(), b.Height()) < geom.FromMM(thin)
	})
	b := best.Box()
	if min(b.Width(), b.Height()) < geom.FromMM(smallest-1) || max(b.Width(), b.Height()) > geom.FromMM(largest+1) {
		return geom.Outline{}, false
	}
	return best, true
}

// box gives a rectangle about a place, its corners rounded.
func box(x, y, w, h, r float64) geom.Path {
	b := geom.Box{Min: mm(x-w/2, y-h/2), Max: mm(x+w/2, y+h/2)}
	return geom.RoundedRectangle(b, min(geom.FromMM(r), b.Width()/2, b.Height()/2))
}

// must is for what cannot fail on coordinates as small as these.
func must(r geom.Region, err error) geom.Region {
	if err != nil {
		panic(fmt.Sprintf("outlines: %v", err))
	}
	return r
}
