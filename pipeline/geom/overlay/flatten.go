package overlay

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// Arcs of one circle must get the same chords wherever they run along each other, or slivers would
// lie between them. So the corners of the chords are not spread over the arc but lie at fixed
// directions from the centre, and each arc also has a corner where another arc of its circle ends.

// A flattener makes chords for arcs.
type flattener struct {
	err    float64 // nm
	chords Chords
	ends   map[geom.Point][]arcEnd // of arcs that share their centre with others, by radius
	units  map[int][]unit          // by number of directions
	buf    []corner
}

// An arcEnd is a place where an arc of some radius ends.
type arcEnd struct {
	radius geom.Length
	at     geom.Point
}

// others gives the ends of all arcs about a centre whose radius is r to within a nanometre.
func (f *flattener) others(center geom.Point, r geom.Length) []arcEnd {
	if len(f.ends) == 0 {
		return nil
	}
	list := f.ends[center]
	find := func(r geom.Length) int {
		i, _ := slices.BinarySearchFunc(list, r, func(e arcEnd, r geom.Length) int {
			if e.radius < r {
				return -1
			}
			return 1
		})
		return i
	}
	return list[find(r-1):find(r+2)]
}

// shared lists by centre where arcs end that share it with others.
func shared(arcs []geom.Edge) map[geom.Point][]arcEnd {
	tips := make([]tip, len(arcs))
	for i, e := range arcs {
		tips[i] = tip{at(int32(e.Center.X+geom.Limit), int32(e.Center.Y+geom.Limit)), uint32(i)}
	}
	tips = sortTips(tips)
	var out map[geom.Point][]arcEnd
	for i := 0; i < len(tips); {
		first := i
		for i++; i < len(tips) && tips[i].at == tips[first].at; i++ {
		}
		if i-first == 1 {
			continue
		}
		list := make([]arcEnd, 0, 2*(i-first))
		for _, t := range tips[first:i] {
			e := arcs[t.ref]
			r, _ := circle(e)
			list = append(list, arcEnd{geom.Length(r), e.From}, arcEnd{geom.Length(r), e.To})
		}
		slices.SortFunc(list, func(a, b arcEnd) int {
			return cmp.Or(cmp.Compare(a.radius, b.radius), a.at.Compare(b.at))
		})
		if out == nil {
			out = map[geom.Point][]arcEnd{}
		}
		out[arcs[tips[first].ref].Center] = slices.Compact(list)
	}
	return out
}

// A unit is a direction from a centre.
type unit struct{ x, y float64 }

// A corner is a place on an arc, by how far along it lies: 0 to 1.
type corner struct {
	along float64
	at    geom.Point
	dir   unit
}

// outside tells whether an arc's chords are to run outside its circle.
func (f *flattener) outside(e geom.Edge) bool {
	switch f.chords {
	case Circumscribed:
		return true
	case Shrinking:
		return e.Sense == geom.Clockwise
	case Growing:
		return e.Sense == geom.CounterClockwise
	}
	return false
}

// steps gives how many chords a full circle needs so that none strays from it by more than err: a
// multiple of four, so that a circle and its quarter turns get the same.
func steps(r, err float64, outside bool) int {
	// Half a chord's angle a strays by r·(1 − cos a) ≤ r·a²/2 inside, r·(1/cos a − 1) outside.
	n := math.Pi * math.Sqrt(r/(2*err))
	if outside {
		n = float64(n*1.1) + 1
	}
	const most = 1 << 20
	return max(8, 4*int(math.Ceil(min(n, most)/4)))
}

// circle gives the middle and the radius of an arc's circle, in nm. Where the ends agree about the
// radius to the rounding, it is the same for all arcs of one circle.
func circle(e geom.Edge) (r float64, regular bool) {
	rf, rt := e.From.Distance(e.Center), e.To.Distance(e.Center)
	return math.Round((rf + rt) / 2), math.Abs(rf-rt) <= 2
}

// flatten gives the corners of an arc's chords between its ends, in order. Run backwards an arc has the
// same: always the counter-clockwise one is flattened.
func (f *flattener) flatten(e geom.Edge) []geom.Point {
	if e.Sense != geom.Clockwise {
		return f.chordsOf(e, f.outside(e))
	}
	list := f.chordsOf(e.Reverse(), f.outside(e))
	slices.Reverse(list)
	return list
}

// chordsOf gives the corners of a counter-clockwise arc's chords, inside its circle or outside.
func (f *flattener) chordsOf(e geom.Edge, outside bool) []geom.Point {
	r, regular := circle(e)
	if r == 0 {
		return nil
	}
	if !regular {
		return f.sample(e, r)
	}
	// Of an arc no larger than a few steps of the grid, nothing is left but its corners.
	const tiny = 64
	outside = outside && r > tiny
	n := steps(r, f.err, outside)
	list := f.corners(e, r, n)
	out := make([]geom.Point, 0, len(list)+1)
	if !outside {
		for _, c := range list {
			out = append(out, c.at)
		}
		return out
	}
	// The sides touch the circle at the corners found, and meet half way between them.
	last := direction(e.From, e.Center)
	meet := func(u unit) {
		sum := unit{last.x + u.x, last.y + u.y}
		k := r / (1 + float64(last.x*u.x) + float64(last.y*u.y))
		out = append(out, geom.Pt(e.Center.X+geom.Round(float64(sum.x*k)), e.Center.Y+geom.Round(float64(sum.y*k))))
		last = u
	}
	for _, c := range list {
		meet(c.dir)
	}
	meet(direction(e.To, e.Center))
	return out
}

func direction(p, center geom.Point) unit {
	d := p.Sub(center)
	l := d.Norm()
	return unit{float64(d.X) / l, float64(d.Y) / l}
}

// corners gives the places along an arc, ends left out, at n directions all round and where arcs of the
// same circle end.
func (f *flattener) corners(e geom.Edge, r float64, n int) []corner {
	start, sweep := e.Angles()
	list := f.buf[:0]
	near := geom.Round(min(4, r/4))
	apart := func(p, q geom.Point) bool { return max((p.X-q.X).Abs(), (p.Y-q.Y).Abs()) > near }
	units := f.directions(n)
	full := e.From == e.To
	step := 2 * math.Pi / float64(n)
	from, to := start, start+sweep
	if sweep < 0 {
		from, to = to, from
	}
	// Which directions lie within the arc is decided in floating point, but what is near its ends is
	// left out, so that no rounding matters.
	const slack = 1e-6
	for k := int(math.Ceil(from/step - slack)); k <= int(math.Floor(to/step+slack)); k++ {
		u := units[((k%n)+n)%n]
		p := geom.Pt(e.Center.X+geom.Round(r*u.x), e.Center.Y+geom.Round(r*u.y))
		if apart(p, e.From) && apart(p, e.To) {
			list = append(list, corner{(float64(float64(k)*step) - start) / sweep, p, u})
		}
	}
	if sweep < 0 {
		slices.Reverse(list)
	}
	if ends := f.others(e.Center, geom.Length(r)); len(ends) > 2 || full && len(ends) > 1 {
		list = f.insert(list, ends, e, start, sweep, apart)
	}
	f.buf = list
	return list
}

// insert adds the ends of other arcs of the same circle.
func (f *flattener) insert(list []corner, ends []arcEnd, e geom.Edge, start, sweep float64, apart func(p, q geom.Point) bool) []corner {
	n := len(list)
	for _, end := range ends {
		p := end.at
		if !apart(p, e.From) || !apart(p, e.To) {
			continue
		}
		d := p.Sub(e.Center)
		turn := geom.Atan2(float64(d.Y), float64(d.X)) - start
		for turn < 0 {
			turn += 2 * math.Pi
		}
		if sweep < 0 {
			turn -= 2 * math.Pi
		}
		if along := turn / sweep; along < 1 {
			list = append(list, corner{along, p, direction(p, e.Center)})
		}
	}
	if len(list) == n {
		return list
	}
	added := slices.Clone(list[n:])
	slices.SortStableFunc(list, func(a, b corner) int {
		return cmp.Or(cmp.Compare(a.along, b.along), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
	// An end stands for a corner next to it.
	isEnd := func(c corner) bool { return slices.ContainsFunc(added, func(a corner) bool { return a.at == c.at }) }
	out := list[:0]
	for _, c := range list {
		if k := len(out); k > 0 && !apart(out[k-1].at, c.at) {
			if out[k-1].at == c.at || !isEnd(c) {
				continue
			}
			if !isEnd(out[k-1]) {
				out[k-1] = c
				continue
			}
		}
		out = append(out, c)
	}
	return out
}

// sample spreads corners over an arc whose ends disagree about its radius.
func (f *flattener) sample(e geom.Edge, r float64) []geom.Point {
	_, sweep := e.Angles()
	n := int(math.Ceil(math.Abs(sweep) / (2 * math.Pi) * float64(steps(r, f.err, false))))
	var out []geom.Point
	for i := 1; i < n; i++ {
		out = append(out, e.At(float64(i)/float64(n)))
	}
	return out
}

// directions gives n directions spread over the circle, n a multiple of four, from that of x on.
func (f *flattener) directions(n int) []unit {
	if u, ok := f.units[n]; ok {
		return u
	}
	u := make([]unit, n)
	q := n / 4
	for k := range q {
		// From the nearer axis, so that what mirrors mirrors to the last bit.
		var c, s float64
		if 2*k <= q {
			s, c = geom.SinCos(2 * math.Pi * float64(k) / float64(n))
		} else {
			c, s = geom.SinCos(2 * math.Pi * float64(q-k) / float64(n))
		}
		u[k], u[k+q], u[k+2*q], u[k+3*q] = unit{c, s}, unit{-s, c}, unit{-c, -s}, unit{s, -c}
	}
	if f.units == nil {
		f.units = map[int][]unit{}
	}
	f.units[n] = u
	return u
}
