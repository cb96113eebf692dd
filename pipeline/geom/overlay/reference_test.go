package overlay

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// The definition of the arrangement, carried out plainly: no grid, no sweep, no memory of what has
// moved, fractions of any size. The kernel must come to the same edges with the same covers on either
// side, bit for bit, and trace the same borders.

type refPoint struct{ x, y int64 }

func (p refPoint) less(q refPoint) bool { return p.x < q.x || p.x == q.x && p.y < q.y }

type refSegment struct {
	from, to refPoint
	op       int32
}

func (s refSegment) span() span { return spanOf(s.from.x, s.from.y, s.to.x, s.to.y) }

// refMeets tells whether a segment meets a pixel. Only what is far off is left to floating point.
func refMeets(s span, p refPoint) bool {
	dx, dy := float64(s.x1)-float64(s.x0), float64(s.y1)-float64(s.y0)
	side := dx*(float64(p.y)-float64(s.y0)) - dy*(float64(p.x)-float64(s.x0))
	if math.Abs(side) > dx+math.Abs(dy)+1e-9*math.Abs(dx*dy) {
		return false
	}
	return bigMeets(s, int32(p.x), int32(p.y))
}

// refHot gives the hot pixels: those of all ends and all crossings. Of segments that coincide it looks
// at one.
func refHot(segs []refSegment) []refPoint {
	segs = slices.Clone(segs)
	for i, s := range segs {
		if s.to.less(s.from) {
			s.from, s.to = s.to, s.from
		}
		segs[i] = refSegment{from: s.from, to: s.to}
	}
	slices.SortFunc(segs, func(a, b refSegment) int {
		return cmp.Or(cmp.Compare(a.from.x, b.from.x), cmp.Compare(a.from.y, b.from.y), cmp.Compare(a.to.x, b.to.x), cmp.Compare(a.to.y, b.to.y))
	})
	segs = slices.Compact(segs)
	hot := map[refPoint]bool{}
	spans := make([]span, len(segs))
	for i, s := range segs {
		hot[s.from], hot[s.to] = true, true
		spans[i] = s.span()
	}
	for i, a := range segs {
		for k, b := range segs[:i] {
			if spans[k].x1 < spans[i].x0 || spans[i].x1 < spans[k].x0 {
				continue
			}
			sign := func(a, b, c refPoint) int {
				return crossSign(geom.Pt(geom.Length(a.x), geom.Length(a.y)), geom.Pt(geom.Length(b.x), geom.Length(b.y)), geom.Pt(geom.Length(c.x), geom.Length(c.y)))
			}
			if sign(a.from, a.to, b.from)*sign(a.from, a.to, b.to) < 0 && sign(b.from, b.to, a.from)*sign(b.from, b.to, a.to) < 0 {
				x, y := crossingOf(spans[i], spans[k])
				hot[refPoint{pixelOf(x), pixelOf(y)}] = true
			}
		}
	}
	return slices.SortedFunc(maps.Keys(hot), func(p, q refPoint) int { return cmp.Or(cmp.Compare(p.x, q.x), cmp.Compare(p.y, q.y)) })
}

// refNode bends segments through hot pixels until nothing changes, and tells how often it did.
func refNode(segs []refSegment) ([]refSegment, int) {
	for pass := 0; ; pass++ {
		hot := refHot(segs)
		var out []refSegment
		for _, s := range segs {
			m := s.span()
			lo, _ := slices.BinarySearchFunc(hot, int64(m.x0), func(p refPoint, x int64) int { return cmp.Compare(p.x, x) })
			var on []refPoint
			for _, p := range hot[lo:] {
				if p.x > int64(m.x1) {
					break
				}
				if p.y >= int64(m.low) && p.y <= int64(m.high) && p != s.from && p != s.to && refMeets(m, p) {
					on = append(on, p)
				}
			}
			dx, dy := s.to.x-s.from.x, s.to.y-s.from.y
			slices.SortFunc(on, func(p, q refPoint) int {
				return cmp.Or(cmp.Compare(0, (q.x-p.x)*dx), cmp.Compare(0, (q.y-p.y)*dy))
			})
			last := s.from
			for _, p := range append(on, s.to) {
				out = append(out, refSegment{last, p, s.op})
				last = p
			}
		}
		if len(out) == len(segs) {
			return out, pass
		}
		segs = out
	}
}

// refEdges adds up segments that coincide: for each pair of places, the lesser first, how often each
// operand's paths run from the one to the other. What cancels is left out.
func refEdges(segs []refSegment) map[[2]refPoint]map[int32]int {
	out := map[[2]refPoint]map[int32]int{}
	for _, s := range segs {
		k, d := [2]refPoint{s.from, s.to}, 1
		if s.to.less(s.from) {
			k, d = [2]refPoint{s.to, s.from}, -1
		}
		if out[k] == nil {
			out[k] = map[int32]int{}
		}
		if out[k][s.op] += d; out[k][s.op] == 0 {
			delete(out[k], s.op)
		}
		if len(out[k]) == 0 {
			delete(out, k)
		}
	}
	return out
}

// refSides gives how often each operand runs round the places on either side of the middle of an
// edge: below it, or right of an upright one, and on the other side.
func refSides(edges map[[2]refPoint]map[int32]int, e [2]refPoint) (below, above map[int32]int) {
	below = map[int32]int{}
	upright := e[0].x == e[1].x
	m := refPoint{e[0].x + e[1].x, e[0].y + e[1].y}
	for f, deltas := range edges {
		if f == e {
			continue
		}
		p, q, sign := f[0], f[1], 1
		var under bool
		if upright { // a ray to the right
			if p.y > q.y {
				p, q, sign = q, p, -1
			}
			under = 2*p.y <= m.y && m.y < 2*q.y && refSide(p, q, m) > 0
		} else { // a ray downwards
			under = 2*p.x <= m.x && m.x < 2*q.x && refSide(p, q, m) > 0
		}
		if under {
			for op, d := range deltas {
				below[op] += sign * d
			}
		}
	}
	above = maps.Clone(below)
	for op, d := range edges[e] {
		above[op] += d
	}
	return below, above
}

// refSide tells on which side of a line a place lies whose coordinates are doubled.
func refSide(p, q, m refPoint) int {
	pt := func(p refPoint, k int64) geom.Point { return geom.Pt(geom.Length(p.x*k), geom.Length(p.y*k)) }
	return crossSign(pt(p, 2), pt(q, 2), pt(m, 1))
}

func refCover(turns map[int32]int, rules []Rule) []int {
	out := []int{}
	for op, w := range turns {
		switch rules[op] {
		case NonZero:
			if w != 0 {
				out = append(out, int(op))
			}
		case EvenOdd:
			if w&1 == 1 {
				out = append(out, int(op))
			}
		case Positive:
			if w > 0 {
				out = append(out, int(op))
			}
		}
	}
	slices.Sort(out)
	return out
}

// againstDefinition holds the kernel's arrangement of operands of straight paths against the
// definition. It gives how often the definition bent the segments.
func againstDefinition(ops []Operand, o Options) (passes int, err error) {
	ctx := context.Background()
	a, err := Arrange(ctx, o, ops...)
	if err != nil {
		return 0, err
	}
	s := a.shapes
	var segs []refSegment
	var rules []Rule
	for i, op := range ops {
		rules = append(rules, op.Rule)
		for _, p := range op.Paths {
			for _, e := range p {
				if e.From != e.To {
					segs = append(segs, refSegment{refPlace(s, e.From), refPlace(s, e.To), int32(i)})
				}
			}
		}
	}
	segs, passes = refNode(segs)
	want := refEdges(segs)
	g := a.graph
	borders := map[[2]refPoint][2][]int{}
	for i := range g.edges {
		e := &g.edges[i]
		delta := map[int32]int{}
		for _, k := range g.order[e.first : e.first+e.count] {
			c := g.seg(k)
			if delta[s.op(c.src)] += int(c.delta()); delta[s.op(c.src)] == 0 {
				delete(delta, s.op(c.src))
			}
		}
		for k := range e.chain.count {
			seg := e.chain.at(g.segs, k)
			key := [2]refPoint{{int64(seg.lo.x()), int64(seg.lo.y())}, {int64(seg.hi.x()), int64(seg.hi.y())}}
			w, ok := want[key]
			if !ok {
				return passes, fmt.Errorf("edge %v should not be", key)
			}
			if _, twice := borders[key]; twice {
				return passes, fmt.Errorf("edge %v is there twice", key)
			}
			if !maps.Equal(w, delta) {
				return passes, fmt.Errorf("edge %v changes winding numbers by %v, want %v", key, delta, w)
			}
			below, above := refSides(want, key)
			got := [2][]int{a.covers[e.below].Operands(), a.covers[e.above].Operands()}
			if b, u := refCover(below, rules), refCover(above, rules); !slices.Equal(b, got[0]) || !slices.Equal(u, got[1]) {
				return passes, fmt.Errorf("edge %v has covers %v, want %v and %v", key, got, b, u)
			}
			borders[key] = got
		}
	}
	if len(borders) != len(want) {
		return passes, fmt.Errorf("%d edges, want %d", len(borders), len(want))
	}
	return passes, refTrace(a, borders, len(ops))
}

func refPlace(s *shapes, p geom.Point) refPoint {
	return refPoint{int64(p.X - s.origin.X), int64(p.Y - s.origin.Y)}
}

// refTrace holds the rings of four regions against the edges that must bound them.
func refTrace(a *Arrangement, borders map[[2]refPoint][2][]int, n int) error {
	for name, inside := range map[string]func(c Cover) bool{
		"union":        func(c Cover) bool { return c.Len() > 0 },
		"intersection": func(c Cover) bool { return c.Len() == n },
		"difference":   func(c Cover) bool { return c.Len() == 1 && c.Has(0) },
		"odd":          func(c Cover) bool { return c.Len()%2 == 1 },
	} {
		in := make([]bool, len(a.covers))
		for i, c := range a.covers {
			in[i] = c.Len() > 0 && inside(c)
		}
		pieces, t, err := trace(context.Background(), a.graph, in)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		var r geom.Region
		path := func(edges ring) geom.Path {
			var p geom.Path
			for _, e := range edges {
				c := &a.graph.edges[e].chain
				for k := range c.count {
					seg := *c.at(a.graph.segs, k)
					l := geom.Line(a.shapes.point(seg.lo), a.shapes.point(seg.hi))
					if !t.inside[a.graph.edges[e].above] {
						seg = *c.at(a.graph.segs, c.count-1-k)
						l = geom.Line(a.shapes.point(seg.hi), a.shapes.point(seg.lo))
					}
					p = append(p, l)
				}
			}
			return p
		}
		left := map[[2]refPoint]bool{} // the directed edges that the rings must be made of
		for key, c := range borders {
			is := func(ops []int) bool {
				var cover Cover
				for _, o := range ops {
					cover.operands = append(cover.operands, int32(o))
				}
				return len(ops) > 0 && inside(cover)
			}
			switch b, u := is(c[0]), is(c[1]); {
			case !b && u:
				left[key] = true
			case b && !u:
				left[[2]refPoint{key[1], key[0]}] = true
			}
		}
		for _, p := range pieces {
			o := geom.Outline{Outer: path(p.outer)}
			for _, c := range p.cutOuts {
				o.CutOuts = append(o.CutOuts, path(c))
			}
			r = append(r, o)
			for _, q := range append([]geom.Path{o.Outer}, o.CutOuts...) {
				for _, e := range q {
					key := [2]refPoint{refPlace(a.shapes, e.From), refPlace(a.shapes, e.To)}
					if !left[key] {
						return fmt.Errorf("%s: a ring has edge %v, which bounds nothing or is there twice", name, key)
					}
					delete(left, key)
				}
			}
		}
		if len(left) > 0 {
			return fmt.Errorf("%s: rings lack %d edges of the border", name, len(left))
		}
		if err := checkStraight(r); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

func TestArrangementAgainstItsDefinition(t *testing.T) {
	rounds := 8
	if testing.Short() {
		rounds = 3
	}
	passes := map[int]int{}
	for f, fam := range straightFamilies {
		for k, e := range extents {
			for round := range rounds {
				r := rand.New(rand.NewPCG(uint64(round), uint64(100*f+k)))
				n := 6 + r.IntN(26)
				ops := fam.make(r, e, n)
				p, err := againstDefinition(ops, Options{})
				require.NoError(t, err, "%s, %v, round %d: %s", fam.name, e, round, listing(ops))
				passes[p]++
			}
		}
	}
	t.Logf("how often segments had to be bent: %v", passes)
	require.Greater(t, passes[1], 100)
	require.Greater(t, passes[2]+passes[3]+passes[4], 20) // bent pieces came upon others
}
