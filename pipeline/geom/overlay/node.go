package overlay

import (
	"cmp"
	"context"
	"fmt"
	"slices"
)

// passes is how often segments are bent through hot pixels at most. Two or three times do in
// practice: the first pass bends what crosses, the next finds what the bent pieces have come upon.
const passes = 64

// maxHits is how many hits there may be in one pass. Bundles have many: n edges that run side by side
// within a few nanometres cross n²/2 times, and half of them or so meet the pixel of each crossing.
const maxHits = 1 << 27

// node bends the segments through all pixels that are hot until nothing moves any more: no segment
// then meets the pixel of another's end, and segments meet in common ends only.
//
// This is snap rounding (J. D. Hobby, "Practical segment intersection with finite precision output",
// Computational Geometry 13, 1999; half-open pixels as in D. Halperin and E. Packer, "Iterated snap
// rounding", Computational Geometry 23, 2002, whose repetition it also takes over).
func node(ctx context.Context, segs []segment, b box, workers int) ([]segment, error) {
	return nodeWhere(ctx, segs, b, workers, crowded)
}

// nodeWhere keeps equal pieces as one from the first pass on whose hits make it worth while.
func nodeWhere(ctx context.Context, segs []segment, b box, workers int, worth func(hits []hit, segs int) bool) ([]segment, error) {
	f := finder{ctx: ctx, segs: segs, workers: workers, room: maxHits}
	var m *merger
	for range passes {
		hits, err := f.find(b)
		if err != nil {
			return nil, err
		}
		if len(hits) == 0 {
			if m != nil {
				return m.expand(maxPieces)
			}
			return f.segs, nil
		}
		if m == nil && worth(hits, len(f.segs)) {
			m = merge(&f, hits)
		}
		if m != nil {
			m.bend(&f, hits)
		} else {
			f.bend(hits)
		}
		if len(f.segs) > maxSegments || m != nil && len(m.parts) > 2*maxSegments {
			return nil, fmt.Errorf("overlay: %d segments are cut into more than %d pieces: too many for one call", len(segs), maxSegments)
		}
	}
	return nil, &Fault{What: "segments still move after 64 passes"}
}

// bend cuts segments at their hits into pieces, and notes which of these do not lie on the segment
// that they come from.
func (f *finder) bend(hits []hit) {
	order := f.order(hits)
	out := make([]segment, 0, len(f.segs)+len(hits))
	moved := make([]bool, 0, cap(out))
	for i, s := range f.segs {
		h := order(int32(i))
		if len(h) == 0 {
			out, moved = append(out, s), append(moved, false)
			continue
		}
		// Pieces keep the order of the path: their numbers tell that one follows the other.
		last, off, known := s.from(), false, s.nodes&loEnd
		if !s.up {
			slices.Reverse(h)
			known = s.nodes >> 1
		}
		put := func(p place, o bool, met ends) {
			if p != last {
				out = append(out, between(last, p, s.src, known|met<<1))
				moved = append(moved, off || o)
				last, off, known = p, o, met
			}
		}
		for _, p := range h {
			put(p.at, turn(s.lo, s.hi, p.at) != 0, loEnd)
		}
		if s.up {
			put(s.hi, false, s.nodes>>1)
		} else {
			put(s.lo, false, s.nodes&loEnd)
		}
	}
	f.segs, f.moved = out, moved
}

// order sorts hits by segment and along it and gives access to those of each.
func (f *finder) order(hits []hit) func(seg int32) []hit {
	segs := f.segs
	first := make([]int32, len(segs)+1)
	for _, h := range hits {
		first[h.seg+1]++
	}
	for i := range segs {
		first[i+1] += first[i]
	}
	sorted := make([]hit, len(hits))
	fill := slices.Clone(first)
	for _, h := range hits {
		sorted[fill[h.seg]] = h
		fill[h.seg]++
	}
	return func(seg int32) []hit {
		list := sorted[first[seg]:first[seg+1]]
		if len(list) > 1 {
			// x never falls along a segment, y never turns back: pixels are met in that order.
			down := segs[seg].hi.y() < segs[seg].lo.y()
			slices.SortFunc(list, func(p, q hit) int {
				c := cmp.Compare(p.at.y(), q.at.y())
				if down {
					c = -c
				}
				return cmp.Or(cmp.Compare(p.at.x(), q.at.x()), c)
			})
		}
		return list
	}
}
