package offset

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// CentreLines gives the lines that run midway between the sides of a region's channels, as far as
// these are no wider than widest: straight between straight sides, arcs between concentric ones, else
// chains of short straight edges that stray from the middle by no more than a hundredth of the width.
//
// A line ends where a disc that fits the channel ends: half a width before a square end, at the
// centre of a round one. Where channels meet, lines are led on straight until they meet. Lines come
// in canonical order; one that closes on itself begins at its least corner.
//
// The middle is where a disc touches both sides and nothing lies in it: the medial axis of H. Blum ("A
// transformation for extracting new descriptors of shape", 1967), as far as its two nearest edges face
// each other; the disc is found by shrinking it, as J. Ma, S. W. Bae and S. Choi do in "3D medial axis
// point approximation using nearest neighbors and the normal field" (The Visual Computer 28, 2012).
func CentreLines(ctx context.Context, r geom.Region, widest geom.Length) ([]geom.Path, error) {
	if widest <= 0 {
		return nil, fmt.Errorf("offset: channels no wider than %v; the width must be positive", widest)
	}
	var out []geom.Path
	for _, o := range r {
		c := gather(geom.Region{o})
		c.widest = float64(min(widest, 4*geom.Limit)) // nothing is wider
		if err := c.pairs(ctx); err != nil {
			return nil, err
		}
		out = append(out, c.paths()...)
	}
	slices.SortFunc(out, comparePaths)
	return out, nil
}

// channels are the edges round one outline and the middle lines found between them.
type channels struct {
	edges  []geom.Edge
	index  geom.Index[int]
	widest float64
	pieces []piece
}

func gather(r geom.Region) *channels {
	c := &channels{}
	for _, p := range r.Paths() {
		for _, e := range p {
			if e.From != e.To || e.Sense != geom.Straight {
				c.index.Insert(e.Box(), len(c.edges))
				c.edges = append(c.edges, e)
			}
		}
	}
	return c
}

// A piece is a middle line between two edges, with half the width at its ends.
type piece struct {
	path       geom.Path
	half, last float64
}

// pairs finds the middle lines between every two edges that face each other.
func (c *channels) pairs(ctx context.Context) error {
	for i, e := range c.edges {
		if err := ctx.Err(); err != nil {
			return err
		}
		var across []int
		var marks []float64
		c.index.Search(e.Box().Grow(geom.Length(c.widest)+2), func(_ geom.Box, k int) bool {
			if k > i {
				across = append(across, k)
			}
			if k != i {
				marks = c.mark(marks, e, c.edges[k])
			}
			return true
		})
		slices.Sort(across)
		slices.Sort(marks)
		marks = slices.Compact(marks)
		for _, k := range across {
			c.pair(e, c.edges[k], marks)
		}
	}
	return nil
}

// A middle gives the disc that touches two edges, by the place on the first: how far along it, from 0
// to 1. It is not ok where there is none.
type middle struct {
	at   func(f float64) (x, y, half float64, ok bool)
	edge func(from, to geom.Point, f, g float64) geom.Path // the line between two places
	full bool                                              // whether it may close on itself
}

// pair adds the middle lines between two edges; marks are places on the first to try.
func (c *channels) pair(e, f geom.Edge, marks []float64) {
	var m middle
	switch {
	case e.Sense == geom.Straight && f.Sense == geom.Straight:
		var ok bool
		if m, ok = betweenLines(e, f); !ok {
			return
		}
	case e.Sense != geom.Straight && f.Sense == -e.Sense && e.Center.Distance(f.Center) <= 2:
		m = betweenArcs(e, f)
	default:
		m = c.betweenAny(e, f)
	}
	good := func(s float64) bool {
		x, y, half, ok := m.at(s)
		return ok && 2*half <= c.widest+2 && c.empty(x, y, half)
	}
	for _, w := range c.windows(e, f) {
		c.search(&m, w.samples(marks), good)
	}
}

// search adds the middle lines for runs of good places among samples. Where a run begins and ends is
// found by halving.
func (c *channels) search(m *middle, samples []float64, good func(float64) bool) {
	edge := func(bad, ok float64) float64 {
		for range 40 { // to a thousandth of a nanometre in a metre
			s := (bad + ok) / 2
			if good(s) {
				ok = s
			} else {
				bad = s
			}
		}
		return ok
	}
	begin := -1.0
	for i, s := range samples {
		now := good(s)
		switch {
		case now && begin < 0:
			begin = s
			if i > 0 {
				begin = edge(samples[i-1], s)
			}
		case !now && begin >= 0:
			c.add(m, begin, edge(s, samples[i-1]))
			begin = -1
		}
	}
	if begin >= 0 {
		c.add(m, begin, samples[len(samples)-1])
	}
}

func (c *channels) add(m *middle, from, to float64) {
	x, y, half, _ := m.at(from)
	u, v, last, _ := m.at(to)
	p, q := geom.Pt(geom.Round(x), geom.Round(y)), geom.Pt(geom.Round(u), geom.Round(v))
	if p.Distance(q) <= 2*slack && !(m.full && from == 0 && to == 1) {
		return // no more than rounding
	}
	c.pieces = append(c.pieces, piece{m.edge(p, q, from, to), half, last})
}

// slack is how much nearer in nm than the sides something may lie: rounding of both.
const slack = 3

// empty tells whether nothing lies in a disc.
func (c *channels) empty(x, y, half float64) bool {
	p := geom.Pt(geom.Round(x), geom.Round(y))
	free := true
	// Every edge in the box is looked at: cheaper than the nearest first.
	c.index.Search(geom.BoxOf(p).Grow(geom.Length(math.Ceil(half))), func(_ geom.Box, i int) bool {
		d, _ := geom.PointEdgeDistance(p, c.edges[i])
		free = d >= half-slack
		return free
	})
	return free
}

// betweenLines is for two straight edges whose left sides face each other and that turn by less than
// 60° against each other: the disc's middle runs straight as its foot runs along the first.
func betweenLines(e, f geom.Edge) (middle, bool) {
	d, g := e.To.Sub(e.From), f.To.Sub(f.From)
	le, lf := d.Norm(), g.Norm()
	u, v := unit(float64(d.X), float64(d.Y)), unit(float64(g.X), float64(g.Y))
	if u.dot(v) > -0.5 {
		return middle{}, false
	}
	w := e.From.Sub(f.From)
	wx, wy := float64(w.X), float64(w.Y)
	left := vector{-u.y, u.x}
	at := func(s float64) (x, y, half float64, ok bool) {
		s *= le
		px, py := wx+float64(u.x*s), wy+float64(u.y*s) // relative to f's beginning
		half = (float64(v.x*py) - float64(v.y*px)) / (1 - v.cross(left))
		px, py = px+float64(left.x*half), py+float64(left.y*half)
		foot := float64(px*v.x) + float64(py*v.y)
		return float64(f.From.X) + px, float64(f.From.Y) + py, half, half > 0 && foot >= -0.5 && foot <= lf+0.5
	}
	line := func(from, to geom.Point, _, _ float64) geom.Path { return geom.Path{geom.Line(from, to)} }
	return middle{at, line, false}, true
}

// betweenArcs is for two arcs about one centre: the middle runs on an arc, too.
func betweenArcs(e, f geom.Edge) middle {
	start, sweep := e.Angles()
	re, rf := e.Radius(), f.Radius()
	other, turn := f.Angles()
	at := func(s float64) (x, y, half float64, ok bool) {
		a := start + float64(s*sweep)
		// How far round the other edge, which runs the other way.
		b := math.Mod((a-other)*float64(f.Sense), 2*math.Pi)
		if b < 0 {
			b += 2 * math.Pi
		}
		const tiny = 1e-9
		ok = b <= math.Abs(turn)+tiny || b >= 2*math.Pi-tiny
		r := (re + rf) / 2
		sin, cos := geom.SinCos(a)
		half = (re - rf) / 2 * float64(e.Sense)
		return float64(e.Center.X) + float64(r*cos), float64(e.Center.Y) + float64(r*sin), half, ok && half > 0
	}
	arc := func(from, to geom.Point, f, g float64) geom.Path {
		if f == 0 && g == 1 && e.From == e.To {
			to = from
		}
		return geom.Path{geom.Arc(from, to, e.Center, e.Sense)}
	}
	return middle{at, arc, e.From == e.To && f.From == f.To}
}

// betweenAny is for any two edges: the disc that touches the first is shrunk until it touches the
// second, too.
func (c *channels) betweenAny(e, f geom.Edge) middle {
	at := func(s float64) (x, y, half float64, ok bool) {
		p := e.At(s)
		n := inward(e, p)
		px, py := float64(p.X), float64(p.Y)
		half = c.widest
		for range 60 {
			x, y = px+float64(n.x*half), py+float64(n.y*half)
			d, q := geom.PointEdgeDistance(geom.Pt(geom.Round(x), geom.Round(y)), f)
			if d >= half-0.5 {
				break
			}
			wx, wy := float64(q.X)-px, float64(q.Y)-py
			along := float64(wx*n.x) + float64(wy*n.y)
			if along <= 0 {
				return 0, 0, 0, false
			}
			half = (float64(wx*wx) + float64(wy*wy)) / (2 * along)
		}
		d, q := geom.PointEdgeDistance(geom.Pt(geom.Round(x), geom.Round(y)), f)
		// The feet must lie across from each other, and not at the end of the other edge.
		wx, wy := float64(q.X)-x, float64(q.Y)-y
		facing := float64(wx*n.x)+float64(wy*n.y) >= 0.5*d
		return x, y, half, half > 1 && half < c.widest && math.Abs(d-half) <= slack && facing && q != f.From && q != f.To
	}
	chain := func(from, to geom.Point, s, t float64) geom.Path {
		corners := []geom.Point{from}
		var cut func(p, q geom.Point, s, t float64, depth int)
		cut = func(p, q geom.Point, s, t float64, depth int) {
			x, y, half, ok := at((s + t) / 2)
			m := geom.Pt(geom.Round(x), geom.Round(y))
			d, _ := geom.PointEdgeDistance(m, geom.Line(p, q))
			if !ok || depth == 0 || depth < 10 && d <= half/50 {
				corners = append(corners, q)
				return
			}
			cut(p, m, s, (s+t)/2, depth-1)
			cut(m, q, (s+t)/2, t, depth-1)
		}
		cut(from, to, s, t, 12)
		var out geom.Path
		for i := 1; i < len(corners); i++ {
			if corners[i] != corners[i-1] {
				out = append(out, geom.Line(corners[i-1], corners[i]))
			}
		}
		return out
	}
	return middle{at, chain, false}
}

// inward is the direction to the left of an edge at a point on it.
func inward(e geom.Edge, p geom.Point) vector {
	if e.Sense == geom.Straight {
		d := e.To.Sub(e.From)
		return unit(-float64(d.Y), float64(d.X))
	}
	d := e.Center.Sub(p)
	s := float64(e.Sense)
	return unit(s*float64(d.X), s*float64(d.Y))
}
