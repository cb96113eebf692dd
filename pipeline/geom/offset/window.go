package offset

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// A window is a part of an edge, from 0 at its beginning to 1 at its end.
type window struct{ from, to float64 }

// samples are places in a window: evenly spread, those marked, and between each two of them one more.
func (w window) samples(marks []float64) []float64 {
	const even = 24
	var s []float64
	for i := range even + 1 {
		s = append(s, w.from+float64((w.to-w.from)*float64(i)/even))
	}
	first, _ := slices.BinarySearch(marks, w.from)
	last, _ := slices.BinarySearch(marks, w.to)
	s = append(s, marks[first:max(first, last)]...)
	slices.Sort(s)
	s = slices.Compact(s)
	out := s[:1:1]
	for i := 1; i < len(s); i++ {
		out = append(out, (s[i-1]+s[i])/2, s[i])
	}
	return out
}

// mark adds where on an edge others begin, end and come nearest: what stands in a channel, however
// small, and how far another side runs along it shows there.
func (c *channels) mark(marks []float64, e, other geom.Edge) []float64 {
	_, nearest, _ := geom.EdgeDistance(e, other)
	for _, q := range [3]geom.Point{other.From, other.To, nearest} {
		if s := along(e, q); s > 0 && s < 1 {
			marks = append(marks, s)
		}
	}
	return marks
}

// along is how far along an edge, or before or behind it, the foot of a place lies.
func along(e geom.Edge, q geom.Point) float64 {
	if e.Sense == geom.Straight {
		d, w := e.To.Sub(e.From), q.Sub(e.From)
		x, y := float64(d.X), float64(d.Y)
		return (float64(float64(w.X)*x) + float64(float64(w.Y)*y)) / (float64(x*x) + float64(y*y))
	}
	start, sweep := e.Angles()
	return math.Mod(float64((bearing(e.Center, q)-start)*float64(e.Sense))+4*math.Pi, 2*math.Pi) / math.Abs(sweep)
}

// foot is the place nearest to q on an edge, or on the line or circle beyond its ends.
func foot(e geom.Edge, q geom.Point) geom.Point {
	if e.Sense == geom.Straight {
		s, d := along(e, q), e.To.Sub(e.From)
		return vector{float64(d.X), float64(d.Y)}.from(e.From, s)
	}
	d := q.Sub(e.Center)
	return unit(float64(d.X), float64(d.Y)).from(e.Center, e.Radius())
}

func bearing(from, to geom.Point) float64 {
	d := to.Sub(from)
	return geom.Atan2(float64(d.Y), float64(d.X))
}

// windows gives the parts of an edge beside which a channel to another may run: all that lies within
// the widest of it lies in them.
func (c *channels) windows(e, f geom.Edge) []window {
	ends := []geom.Point{f.From, f.To}
	box := f.Box()
	if f.Sense != geom.Straight {
		ends = []geom.Point{box.Min, box.Max, geom.Pt(box.Min.X, box.Max.Y), geom.Pt(box.Max.X, box.Min.Y)}
	}
	if e.Sense == geom.Straight {
		w := window{math.Inf(1), math.Inf(-1)}
		for _, q := range ends {
			s := along(e, q)
			w.from, w.to = min(w.from, s), max(w.to, s)
		}
		wider := (c.widest + 2) / e.Length()
		return clip(nil, window{w.from - wider, w.to + wider})
	}
	r := e.Radius()
	if c.widest+2 >= r || box.Grow(2).HoldsPoint(e.Center) {
		return []window{{0, 1}}
	}
	// Seen from the centre, what is nearer to f than the widest lies no further beside it than this.
	middle := bearing(e.Center, box.Center())
	from, to := 0.0, 0.0
	for _, q := range ends {
		turn := math.Remainder(bearing(e.Center, q)-middle, 2*math.Pi) * float64(e.Sense)
		from, to = min(from, turn), max(to, turn)
	}
	sin := (c.widest + 2) / r
	beside := geom.Atan2(sin, math.Sqrt(1-float64(sin*sin))) + 1e-6
	if to-from+float64(2*beside) >= 2*math.Pi {
		return []window{{0, 1}}
	}
	_, sweep := e.Angles()
	s, round := along(e, box.Center()), math.Abs(sweep)
	var out []window
	for turns := -1.0; turns <= 1; turns++ {
		by := s + 2*math.Pi*turns/round
		out = clip(out, window{by + (from-beside)/round, by + (to+beside)/round})
	}
	return out
}

// clip adds what of a window lies on the edge.
func clip(list []window, w window) []window {
	w.from, w.to = max(w.from, 0), min(w.to, 1)
	if w.from >= w.to {
		return list
	}
	return append(list, w)
}
