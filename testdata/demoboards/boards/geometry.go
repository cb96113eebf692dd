package boards

import "math"

// pt is a point in nanometres, x right and y up, seen from the top.
type pt struct{ x, y int64 }

func (p pt) add(q pt) pt { return pt{p.x + q.x, p.y + q.y} }

// mm turns millimetres into whole nanometres.
func mm(v float64) int64 { return int64(math.Round(v * 1e6)) }

// at is a point given in millimetres.
func at(x, y float64) pt { return pt{mm(x), mm(y)} }

// quarter turns p about the origin by whole quarter turns, counter-clockwise.
func (p pt) quarter(turns int) pt {
	switch turns & 3 {
	case 1:
		return pt{-p.y, p.x}
	case 2:
		return pt{-p.x, -p.y}
	case 3:
		return pt{p.y, -p.x}
	}
	return p
}

// dot and cross round every product on its own, so that no processor fuses it with the sum.
func dot(ax, ay, bx, by float64) float64   { return float64(ax*bx) + float64(ay*by) }
func cross(ax, ay, bx, by float64) float64 { return float64(ax*by) - float64(ay*bx) }
func hypot(x, y float64) float64           { return math.Sqrt(dot(x, y, x, y)) }

// segDist is the distance of p from the segment a-b, in nanometres.
func segDist(p, a, b pt) float64 {
	dx, dy := float64(b.x-a.x), float64(b.y-a.y)
	px, py := float64(p.x-a.x), float64(p.y-a.y)
	if n := dot(dx, dy, dx, dy); n > 0 {
		t := min(1, max(0, dot(px, py, dx, dy)/n))
		return hypot(px-float64(t*dx), py-float64(t*dy))
	}
	return hypot(px, py)
}

// shape is the convex hull of one, two or four points (counter-clockwise), grown by r: every pad, track and via is one.
type shape struct {
	pts []pt
	r   int64
}

// dist is the distance of p from the shape, nought inside it.
func (s shape) dist(p pt) float64 {
	d := math.Inf(1)
	inside := len(s.pts) > 2
	for i, a := range s.pts {
		b := s.pts[(i+1)%len(s.pts)]
		d = min(d, segDist(p, a, b))
		if cross(float64(b.x-a.x), float64(b.y-a.y), float64(p.x-a.x), float64(p.y-a.y)) < 0 {
			inside = false
		}
	}
	if inside {
		return 0
	}
	return max(0, d-float64(s.r))
}

// box is an axis-parallel rectangle.
type box struct{ x0, y0, x1, y1 int64 }

func (s shape) box() box {
	b := box{math.MaxInt64, math.MaxInt64, math.MinInt64, math.MinInt64}
	for _, p := range s.pts {
		b = box{min(b.x0, p.x), min(b.y0, p.y), max(b.x1, p.x), max(b.y1, p.y)}
	}
	return b.grow(s.r)
}

func (b box) grow(d int64) box { return box{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d} }
func (b box) meets(c box) bool {
	return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1
}

// edge is one line or arc of a closed contour.
type edge struct {
	a, b, c pt // start, end, centre of an arc
	arc     int
}

const (
	straight = iota
	clockwise
	counter
)

func polygon(ps ...pt) []edge {
	var es []edge
	for i, p := range ps {
		es = append(es, edge{a: p, b: ps[(i+1)%len(ps)]})
	}
	return es
}

// roundRect is a rectangle with rounded corners, counter-clockwise.
func roundRect(x0, y0, x1, y1, r float64) []edge {
	return []edge{
		{a: at(x0+r, y0), b: at(x1-r, y0)},
		{a: at(x1-r, y0), b: at(x1, y0+r), c: at(x1-r, y0+r), arc: counter},
		{a: at(x1, y0+r), b: at(x1, y1-r)},
		{a: at(x1, y1-r), b: at(x1-r, y1), c: at(x1-r, y1-r), arc: counter},
		{a: at(x1-r, y1), b: at(x0+r, y1)},
		{a: at(x0+r, y1), b: at(x0, y1-r), c: at(x0+r, y1-r), arc: counter},
		{a: at(x0, y1-r), b: at(x0, y0+r)},
		{a: at(x0, y0+r), b: at(x0+r, y0), c: at(x0+r, y0+r), arc: counter},
	}
}

// flatten turns a contour into a polygon; arcs become chords of at most 3 degrees.
func flatten(es []edge) []pt {
	var out []pt
	for _, e := range es {
		out = append(out, e.a)
		if e.arc == straight {
			continue
		}
		r := hypot(float64(e.a.x-e.c.x), float64(e.a.y-e.c.y))
		a0 := math.Atan2(float64(e.a.y-e.c.y), float64(e.a.x-e.c.x))
		sweep := math.Atan2(float64(e.b.y-e.c.y), float64(e.b.x-e.c.x)) - a0
		if e.arc == counter && sweep <= 1e-12 {
			sweep += 2 * math.Pi
		}
		if e.arc == clockwise && sweep >= -1e-12 {
			sweep -= 2 * math.Pi
		}
		n := int(math.Ceil(math.Abs(sweep) / (math.Pi / 60)))
		for i := 1; i < n; i++ {
			t := a0 + float64(sweep*float64(i)/float64(n))
			out = append(out, pt{e.c.x + int64(math.Round(r*math.Cos(t))), e.c.y + int64(math.Round(r*math.Sin(t)))})
		}
	}
	return out
}

func inPolygon(p pt, poly []pt) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a.y > p.y) != (b.y > p.y) {
			// The crossing lies right of p when p is left of the edge that goes up.
			c := cross(float64(b.x-a.x), float64(b.y-a.y), float64(p.x-a.x), float64(p.y-a.y))
			if (c > 0) == (b.y > a.y) {
				in = !in
			}
		}
	}
	return in
}

func polyDist(p pt, poly []pt) float64 {
	d := math.Inf(1)
	for i, a := range poly {
		d = min(d, segDist(p, a, poly[(i+1)%len(poly)]))
	}
	return d
}
