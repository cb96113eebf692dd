package overlay

import (
	"context"
	"slices"
)

// straighten makes sure that straight runs may leave out the corners where they were bent: that they
// meet no pixel of another corner of the result then. Those that do keep their corners.
//
// A run that meets the pixels of all its corners then passes every other corner on the side on which it
// passed it bent: between the two lies nothing that is not within half a nanometre of it. One that was
// bent time and again may have drifted farther, and past a corner. So where there are such runs, a sweep
// makes sure that the border is still one; if not, they keep their corners, too.
func (r *restorer) straighten(ctx context.Context) error {
	if !slices.ContainsFunc(r.runs, func(u run) bool { return u.bent }) {
		return nil
	}
	for {
		f := finder{ctx: ctx, workers: r.a.o.Workers, moved: []bool{}}
		var of []int32 // the run of each segment
		any := false
		for i := range r.runs {
			u := &r.runs[i]
			if u.straight && !u.keepNodes {
				from, to := r.ends(u)
				f.segs = append(f.segs, between(from, to, 0, 0))
				f.moved = append(f.moved, u.bent)
				of = append(of, int32(i))
				any = any || u.bent
				continue
			}
			for _, s := range r.steps[u.steps[0]:u.steps[1]] {
				f.segs = append(f.segs, between(r.from(s), r.to(s), 0, 0))
				f.moved = append(f.moved, false)
				of = append(of, int32(i))
			}
		}
		for _, p := range r.rings {
			for _, s := range r.walk(p.plain) {
				f.segs = append(f.segs, between(r.from(s), r.to(s), 0, 0))
				f.moved = append(f.moved, false)
				of = append(of, -1)
			}
		}
		if !any {
			return nil
		}
		kept := r.apart(f.segs, of)
		hits, err := f.find(r.a.shapes.box)
		if err != nil {
			return err
		}
		if len(hits) == 0 && !kept {
			if !slices.ContainsFunc(r.runs, func(u run) bool { return u.bent && u.drifts }) {
				return nil
			}
			ok, err := bounds(ctx, f.segs)
			if ok || err != nil {
				return err
			}
			for i := range r.runs {
				if u := &r.runs[i]; u.bent && u.drifts {
					u.bent, u.keepNodes = false, true
				}
			}
			continue
		}
		for _, h := range hits {
			if of[h.seg] < 0 {
				continue
			}
			if u := &r.runs[of[h.seg]]; u.bent {
				u.bent, u.keepNodes, kept = false, true, true
			}
		}
		if !kept { // something else is met: then none
			for i := range r.runs {
				if u := &r.runs[i]; u.bent {
					u.bent, u.keepNodes = false, true
				}
			}
		}
	}
}

// apart bends runs again that would lie on another edge of the border from end to end: between the two
// lies a sliver less than a nanometre wide, which may not become one of no area. It tells whether there
// were any.
func (r *restorer) apart(segs []segment, of []int32) bool {
	bent := map[[2]place]int32{}
	kept := false
	for k, s := range segs {
		if i := of[k]; i >= 0 && r.runs[i].bent {
			key := [2]place{s.lo, s.hi}
			if other, ok := bent[key]; ok && r.runs[other].bent {
				u := &r.runs[other]
				u.bent, u.keepNodes, kept = false, true, true
			}
			bent[key] = i
		}
	}
	for k, s := range segs {
		if i, ok := bent[[2]place{s.lo, s.hi}]; ok && i != of[k] && r.runs[i].bent {
			u := &r.runs[i]
			u.bent, u.keepNodes, kept = false, true, true
		}
	}
	return kept
}

// bounds tells whether segments that run round an area meet in their ends only and have it on their left:
// whether winding numbers are nowhere but 0 and 1.
func bounds(ctx context.Context, segs []segment) (bool, error) {
	for i := range segs {
		segs[i].nodes = loEnd | hiEnd
	}
	g, err := connect(segs, func(int32) int32 { return 0 })
	if err != nil || len(g.edges) < len(segs) {
		return false, nil
	}
	s := newSweep(g, nil)
	err = s.run(ctx, func(below int32, fan []int32, above int32, p place) error {
		winding, end := int32(0), int32(0)
		if below >= 0 {
			winding = g.edges[below].above
		}
		for _, i := range fan {
			e := &g.edges[i]
			e.below = winding
			winding += g.seg(g.order[e.first]).delta()
			e.above = winding
			if winding != 0 && winding != 1 {
				return s.fault("a border with its area on the wrong side", p)
			}
		}
		if above >= 0 {
			end = g.edges[above].below
		}
		if winding != end {
			return s.fault("winding numbers do not add up", p)
		}
		return nil
	})
	if _, is := isFault(err); is {
		return false, nil
	}
	return err == nil, err
}
