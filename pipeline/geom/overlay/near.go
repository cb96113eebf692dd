package overlay

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
)

// A part is a step of a run, with all the room that it may take in the result.
type part struct {
	run  int32
	soft bool
	box  geom.Box
}

// parts lists the steps of all runs, in order.
func (r *restorer) parts() (list []part, any bool) {
	list = make([]part, 0, len(r.steps))
	for i := range r.runs {
		u := &r.runs[i]
		shift, soft := r.soft(u)
		any = any || soft
		radius := 0.0
		if !u.straight && !u.keepNodes {
			radius = r.edge(u.whole).Radius()
		}
		for _, s := range r.steps[u.steps[0]:u.steps[1]] {
			p, q := r.a.shapes.point(r.from(s)), r.a.shapes.point(r.to(s))
			margin := shift + bulge(p.Distance(q), radius)
			list = append(list, part{int32(i), soft, geom.BoxOf(p, q).Grow(geom.Round(margin) + 4)})
		}
	}
	return list, any
}

// bulge is how far an arc strays from a chord of so many nm, inside its circle or outside.
func bulge(chord, radius float64) float64 {
	half := chord / 2
	if half >= radius {
		return radius
	}
	return radius - math.Sqrt(float64(radius*radius)-float64(half*half))
}

// near calls test for each two runs that lie so near each other that they may meet, one of which is not
// just what was proved: once, the one with the lesser number first.
func (r *restorer) near(ctx context.Context, test func(i, k int32)) error {
	parts, any := r.parts()
	if !any {
		return nil
	}
	var wide, high int64
	for i := range parts {
		wide, high = wide+int64(parts[i].box.Width()), high+int64(parts[i].box.Height())
	}
	g := lay(r.a.shapes.box, len(parts), wide, high)
	cells := func(p *part, do func(cell int64)) {
		lo, hi := p.box.Min.Sub(r.a.shapes.origin), p.box.Max.Sub(r.a.shapes.origin)
		for y := max(int64(lo.Y)>>g.ky, 0); y <= min(int64(hi.Y)>>g.ky, g.ny-1); y++ {
			for x := max(int64(lo.X)>>g.kx, 0); x <= min(int64(hi.X)>>g.kx, g.nx-1); x++ {
				do(y*g.nx + x)
			}
		}
	}
	first := make([]int, g.nx*g.ny+1)
	for i := range parts {
		cells(&parts[i], func(c int64) { first[c+1]++ })
	}
	for c := 1; c < len(first); c++ {
		first[c] += first[c-1]
	}
	list := make([]int32, first[len(first)-1])
	next := make([]int, len(first)-1)
	copy(next, first)
	// From the last part down, so that a list may be left when it comes to the run itself.
	for i := len(parts) - 1; i >= 0; i-- {
		cells(&parts[i], func(c int64) {
			list[next[c]] = int32(i)
			next[c]++
		})
	}
	seen := make([]int32, len(r.runs)) // by which run, plus 1
	for i := range parts {
		if i%1024 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		a := &parts[i]
		cells(a, func(c int64) {
			for _, k := range list[first[c]:first[c+1]] {
				b := &parts[k]
				if b.run <= a.run {
					return
				}
				if seen[b.run] != a.run+1 && (a.soft || b.soft) && a.box.Overlaps(b.box) {
					seen[b.run] = a.run + 1
					test(a.run, b.run)
				}
			}
		})
	}
	return nil
}
