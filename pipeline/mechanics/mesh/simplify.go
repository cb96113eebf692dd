package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

// A simplifier leaves out corners of the border that stray from what is left by no more than chords stray from arcs: outlines that
// were drawn in short strokes would take a node for each. What lies near a line or a point of the domain stays as it is, so that
// what runs along the border keeps doing so.
type simplifier struct {
	d     *Domain
	f     *field
	lines geom.Index[int]
}

func newSimplifier(d *Domain, f *field) *simplifier {
	s := &simplifier{d: d, f: f}
	for i, l := range d.Lines {
		s.lines.Insert(geom.BoxOf(l.From, l.To), i)
	}
	for i, p := range d.Points {
		s.lines.Insert(geom.BoxOf(p), len(d.Lines)+i)
	}
	return s
}

// stray is how far chords may stray at a place, in nm.
func stray(size float64) float64 { return min(max(sagPart*size, leastSag), mostSag) }

// held tells whether a line or a point of the domain lies so near to an edge of the border that the edge must stay.
func (s *simplifier) held(a, b geom.Point) bool {
	if s.lines.Len() == 0 {
		return false
	}
	const far = mostSag + 10e3
	d := far + s.d.Tidy
	found := false
	s.lines.Search(geom.BoxOf(a, b).Grow(d), func(_ geom.Box, k int) bool {
		l := Line{}
		if k < len(s.d.Lines) {
			l = s.d.Lines[k]
		} else {
			l.From = s.d.Points[k-len(s.d.Lines)]
			l.To = l.From
		}
		_, cross := crossing(a, b, l.From, l.To)
		found = cross || min(away(l.From, a, b), away(l.To, a, b), away(a, l.From, l.To), away(b, l.From, l.To)) <= float64(d)
		return !found
	})
	return found
}

// away is how far a point is from a segment, in nm, the same whichever way the segment runs.
func away(p, a, b geom.Point) float64 {
	if b.Less(a) {
		a, b = b, a
	}
	d, v := b.Sub(a), p.Sub(a)
	dot, l2 := d.Dot(v), d.Dot(d)
	switch {
	case dot <= 0:
		return v.Norm()
	case dot >= l2:
		return p.Distance(b)
	}
	return math.Abs(float64(d.Cross(v))) / math.Sqrt(float64(l2))
}

// path gives the corners that are kept of a closed path (D. H. Douglas, T. K. Peucker, "Algorithms for the reduction of the number
// of points required to represent a digitized line or its caricature", Cartographica 10, 1973). They do not depend on where the
// path begins or which way it runs.
func (s *simplifier) path(p []geom.Point) []geom.Point {
	n := len(p)
	if n < 4 {
		return p
	}
	keep := make([]bool, n)
	fixed := -1
	for i := range p {
		if j := (i + 1) % n; s.held(p[i], p[j]) {
			keep[i], keep[j] = true, true
			fixed = i
		}
	}
	if fixed < 0 {
		fixed = 0
		for i := range p {
			if p[i].Less(p[fixed]) {
				fixed = i
			}
		}
		keep[fixed] = true
		second := fixed
		for i := range p {
			u, v := p[i].Sub(p[fixed]), p[second].Sub(p[fixed])
			if e, f := u.Dot(u), v.Dot(v); e > f || e == f && p[i].Less(p[second]) {
				second = i
			}
		}
		keep[second] = true
	}
	type stretch struct{ from, to int } // positions from fixed on, the last that of fixed again
	at := func(i int) geom.Point { return p[(fixed+i)%n] }
	var todo []stretch
	last := 0
	for i := 1; i <= n; i++ {
		if keep[(fixed+i)%n] {
			todo = append(todo, stretch{last, i})
			last = i
		}
	}
	for len(todo) > 0 {
		x := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		a, b := at(x.from), at(x.to)
		worst, most := 0, 1.0
		for i := x.from + 1; i < x.to; i++ {
			q := at(i)
			v := away(q, a, b) / leastSag
			if v > 1 {
				v = v * leastSag / stray(s.f.of(q))
			}
			if v > most || worst > 0 && v == most && q.Less(at(worst)) {
				worst, most = i, v
			}
		}
		if worst > 0 {
			keep[(fixed+worst)%n] = true
			todo = append(todo, stretch{x.from, worst}, stretch{worst, x.to})
		}
	}
	var out []geom.Point
	for i, k := range keep {
		if k {
			out = append(out, p[i])
		}
	}
	return out
}
