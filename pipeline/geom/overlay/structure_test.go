package overlay

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"panelwright/pipeline/geom"
)

// What a region must look like, whatever it is the region of. For straight edges all of it is
// decided exactly, by other means than the kernel's.

// crossSign gives the sign of (b − a) × (c − a) for coordinates up to ±8 m.
func crossSign(a, b, c geom.Point) int {
	p := float64(b.X-a.X) * float64(c.Y-a.Y)
	q := float64(b.Y-a.Y) * float64(c.X-a.X)
	if d := p - q; math.Abs(d) > 1e-15*(math.Abs(p)+math.Abs(q)) {
		return cmp.Compare(d, 0)
	}
	i := func(l geom.Length) *big.Int { return big.NewInt(int64(l)) }
	m := new(big.Int).Mul(i(b.X-a.X), i(c.Y-a.Y))
	return m.Cmp(new(big.Int).Mul(i(b.Y-a.Y), i(c.X-a.X)))
}

// meeting tells how two straight edges meet elsewhere than in common ends; "" when they do not.
func meeting(e, f geom.Edge) string {
	if max(e.From.X, e.To.X) < min(f.From.X, f.To.X) || max(f.From.X, f.To.X) < min(e.From.X, e.To.X) ||
		max(e.From.Y, e.To.Y) < min(f.From.Y, f.To.Y) || max(f.From.Y, f.To.Y) < min(e.From.Y, e.To.Y) {
		return ""
	}
	if e.From == f.From && e.To == f.To || e.From == f.To && e.To == f.From {
		return "run along each other"
	}
	a, b := crossSign(e.From, e.To, f.From), crossSign(e.From, e.To, f.To)
	c, d := crossSign(f.From, f.To, e.From), crossSign(f.From, f.To, e.To)
	on := func(sign int, e geom.Edge, q geom.Point) bool {
		return sign == 0 && q != e.From && q != e.To && geom.BoxOf(e.From, e.To).HoldsPoint(q)
	}
	switch {
	case on(a, e, f.From), on(b, e, f.To), on(c, f, e.From), on(d, f, e.To):
		return "have a corner of one on the other"
	case a*b < 0 && c*d < 0:
		return "cross"
	}
	return ""
}

// separate makes sure that straight edges meet in common ends only.
func separate(edges []geom.Edge) error {
	list := slices.Clone(edges)
	left := func(e geom.Edge) geom.Length { return min(e.From.X, e.To.X) }
	slices.SortFunc(list, func(e, f geom.Edge) int { return cmp.Compare(left(e), left(f)) })
	var open []geom.Edge
	for _, e := range list {
		rest := open[:0]
		for _, f := range open {
			if max(f.From.X, f.To.X) < left(e) {
				continue
			}
			rest = append(rest, f)
			if how := meeting(e, f); how != "" {
				return fmt.Errorf("edges %v–%v and %v–%v %s", e.From, e.To, f.From, f.To, how)
			}
		}
		open = append(rest, e)
	}
	return nil
}

// sides gives how often paths of straight edges run round the places just right and left of the
// middle of one of their edges. They must meet in common corners only.
func sides(paths []geom.Path, e geom.Edge) (right, left int) {
	mx, my := e.From.X+e.To.X, e.From.Y+e.To.Y // doubled
	flip := e.From.X == e.To.X
	if flip { // turned by a quarter, so that no ray runs along an edge
		mx, my = my, -mx
	}
	count := 0
	for _, p := range paths {
		for _, f := range p {
			if f.From == e.From && f.To == e.To {
				continue
			}
			a, b, sign := geom.Pt(2*f.From.X, 2*f.From.Y), geom.Pt(2*f.To.X, 2*f.To.Y), 1
			if flip {
				a, b = geom.Pt(a.Y, -a.X), geom.Pt(b.Y, -b.X)
			}
			if a.X > b.X {
				a, b, sign = b, a, -1
			}
			if a.X <= mx && mx < b.X && crossSign(a, b, geom.Pt(mx, my)) > 0 { // the edge runs below the middle
				count += sign
			}
		}
	}
	a, b := e.From, e.To
	if flip {
		a, b = geom.Pt(a.Y, -a.X), geom.Pt(b.Y, -b.X)
	}
	if a.X < b.X {
		return count, count + 1
	}
	return count - 1, count // the count is that of the place below, on the left
}

func signedTwice(p geom.Path) *big.Int {
	sum := new(big.Int)
	for _, e := range p {
		sum.Add(sum, new(big.Int).Mul(big.NewInt(int64(e.From.X)), big.NewInt(int64(e.To.Y))))
		sum.Sub(sum, new(big.Int).Mul(big.NewInt(int64(e.From.Y)), big.NewInt(int64(e.To.X))))
	}
	return sum
}

// checkRing looks at one path of a region, of lines and arcs: closed, joined, from its least corner on,
// no corner twice.
func checkRing(p geom.Path) error {
	if len(p) == 0 {
		return errors.New("an empty path")
	}
	seen := map[geom.Point]bool{}
	for i, e := range p {
		if next := p[(i+1)%len(p)]; e.To != next.From {
			return fmt.Errorf("edge %d ends at %v, the next begins at %v", i, e.To, next.From)
		}
		if e.From == e.To && (e.Sense == geom.Straight || len(p) > 1) {
			return fmt.Errorf("edge %d has no length", i)
		}
		if seen[e.From] {
			return fmt.Errorf("a path comes by %v twice", e.From)
		}
		seen[e.From] = true
		if e.From.Less(p[0].From) {
			return fmt.Errorf("a path begins at %v and comes by %v", p[0].From, e.From)
		}
		if e.Sense == geom.Straight && e.Center != (geom.Point{}) {
			return fmt.Errorf("edge %d is straight and has a centre", i)
		}
	}
	return nil
}

// checkOrder makes sure of the canonical order of outlines and of cut-outs.
func checkOrder(r geom.Region) error {
	sorted := func(paths []geom.Path) error {
		for i := 1; i < len(paths); i++ {
			if comparePlainly(paths[i-1], paths[i]) >= 0 {
				return fmt.Errorf("the path from %v comes after that from %v", paths[i][0].From, paths[i-1][0].From)
			}
		}
		return nil
	}
	outer := make([]geom.Path, len(r))
	for i, o := range r {
		outer[i] = o.Outer
		if err := sorted(o.CutOuts); err != nil {
			return err
		}
	}
	return sorted(outer)
}

// comparePlainly orders by least corner only; rings that touch there count as in order.
func comparePlainly(p, q geom.Path) int {
	if p[0].From == q[0].From {
		return -1
	}
	return cmp.Or(cmp.Compare(p[0].From.X, q[0].From.X), cmp.Compare(p[0].From.Y, q[0].From.Y))
}

// connected makes sure that an outline's paths touch in so few places that its inside hangs together:
// paths and the corners that several of them share must make a forest.
func connected(o geom.Outline) error {
	paths := append([]geom.Path{o.Outer}, o.CutOuts...)
	at := map[geom.Point][]int{}
	for i, p := range paths {
		for _, e := range p {
			at[e.From] = append(at[e.From], i)
		}
	}
	root := make([]int, len(paths))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			i = root[i]
		}
		return i
	}
	for p, list := range at {
		for _, i := range list[1:] {
			a, b := find(list[0]), find(i)
			if a == b {
				return fmt.Errorf("an outline falls apart where its paths touch, at %v", p)
			}
			root[a] = b
		}
	}
	return nil
}

// checkStraight makes sure that a region of straight edges is what the documentation of geom.Region
// promises.
func checkStraight(r geom.Region) error {
	var edges []geom.Edge
	for _, p := range r.Paths() {
		if err := checkRing(p); err != nil {
			return err
		}
		if len(p) < 3 {
			return fmt.Errorf("a path of %d straight edges", len(p))
		}
		for _, e := range p {
			if e.Sense != geom.Straight {
				return errors.New("an arc where there was none")
			}
		}
		edges = append(edges, p...)
	}
	if err := separate(edges); err != nil {
		return err
	}
	if err := checkOrder(r); err != nil {
		return err
	}
	all := r.Paths()
	for _, o := range r {
		if signedTwice(o.Outer).Sign() <= 0 {
			return fmt.Errorf("the outer path from %v runs clockwise", o.Outer[0].From)
		}
		for _, c := range o.CutOuts {
			if signedTwice(c).Sign() >= 0 {
				return fmt.Errorf("the cut-out from %v runs counter-clockwise", c[0].From)
			}
		}
		if err := connected(o); err != nil {
			return err
		}
		own := append([]geom.Path{o.Outer}, o.CutOuts...)
		for _, p := range own {
			every := max(1, len(p)*len(edges)/20_000)
			for i := 0; i < len(p); i += every {
				// Once with respect to everything: no outline overlaps another. Once with respect to its
				// own outline: cut-outs lie inside theirs, and not in one another.
				for k, paths := range [][]geom.Path{all, own} {
					if right, left := sides(paths, p[i]); right != 0 || left != 1 {
						return fmt.Errorf("%d and %d times inside right and left of %v–%v (%d)", right, left, p[i].From, p[i].To, k)
					}
				}
			}
		}
	}
	return nil
}

// checkCurved makes sure of what can be told of a region with arcs: all but what arcs meet to the
// nanometre.
func checkCurved(r geom.Region) error {
	for _, p := range r.Paths() {
		if err := checkRing(p); err != nil {
			return err
		}
	}
	if err := checkOrder(r); err != nil {
		return err
	}
	for _, o := range r {
		if o.Outer.Area() <= 0 {
			return fmt.Errorf("the outer path from %v runs clockwise", o.Outer[0].From)
		}
		for _, c := range o.CutOuts {
			if c.Area() >= 0 {
				return fmt.Errorf("the cut-out from %v runs counter-clockwise", c[0].From)
			}
		}
		if err := connected(o); err != nil {
			return err
		}
	}
	return nil
}
