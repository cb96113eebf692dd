package breakofftabs

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// reason says why a tab must not stand somewhere along an edge.
type reason string

// The reasons, as findings tell them.
const (
	atCorner     reason = "lies within from_corner of a corner"
	facesNothing reason = "faces no board, rail or waste that stays across a slot"
	facesItself  reason = "faces the same board across a notch"
	isPanelEdge  reason = "is the panel's own edge, with no rail beside it"
	facesOblique reason = "faces an edge that leans, or a gap that is not as wide as a slot"
	atCopper     reason = "has copper nearer to the holes at worst tolerance than copper_clearance, or inner_copper_clearance, allows"
	atPlated     reason = "is castellated or plated"
	atFingers    reason = "has contact fingers"
	atHole       reason = "has a hole of the board too near"
	atPart       reason = "lies under or beside a part that overhangs or is fragile"
	isForbidden  reason = "is forbidden by the recipe"
	tooShort     reason = "is shorter than a tab's foot between what bars the rest"
)

// barred is a stretch of an outline from which a tab must keep away: its middle by margin at least.
type barred struct {
	from, to float64 // along the outline, nm; may lie past the end where it begins
	margin   float64
	why      reason
}

// stretch is a part of an outline; to is not less than from and may lie past the outline's end.
type stretch struct{ from, to float64 }

// free gives the stretches in which the middle of a tab may lie, and whether that is all of it.
func free(length float64, bars []barred) (out []stretch, all bool) {
	if len(bars) == 0 {
		return nil, true
	}
	var no []stretch
	for _, b := range bars {
		from, to := b.from-b.margin, b.to+b.margin
		if to-from >= length {
			return nil, false
		}
		shift := float64(math.Floor(from/length) * length)
		from, to = from-shift, to-shift
		if to > length {
			no = append(no, stretch{from, length}, stretch{0, to - length})
		} else {
			no = append(no, stretch{from, to})
		}
	}
	slices.SortFunc(no, func(a, b stretch) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	at := 0.0
	for _, x := range no {
		if x.from > at {
			out = append(out, stretch{at, x.from})
		}
		at = max(at, x.to)
	}
	if at < length {
		out = append(out, stretch{at, length})
	}
	// What ends where the outline begins goes on there.
	if n := len(out); n > 1 && out[0].from == 0 && out[n-1].to == length {
		out[n-1].to += out[0].to
		out = out[1:]
	}
	return out, false
}

// places gives places for the middle of a tab in a free stretch: both ends, the middle, and between
// them at equal steps no longer than step, so that what is symmetric stays so.
func places(x stretch, step float64) []float64 {
	n := 2 * int(math.Ceil((x.to-x.from)/(2*step)))
	if x.to-x.from < float64(geom.UM) {
		return []float64{(x.from + x.to) / 2}
	}
	out := make([]float64, 0, n+1)
	for i := range n + 1 {
		out = append(out, x.from+float64((x.to-x.from)*float64(i)/float64(n)))
	}
	return out
}

// runs turns what samples along an outline say into stretches: those next to one another that say the
// same are one, and reach half-way to the next.
func runs[T comparable](length float64, say []T) (out []run[T]) {
	n := len(say)
	step := length / float64(n)
	for i, v := range say {
		if k := len(out) - 1; k >= 0 && out[k].says == v {
			out[k].to = float64(step * (float64(i) + 1))
			continue
		}
		out = append(out, run[T]{stretch{float64(step * float64(i)), float64(step * (float64(i) + 1))}, v})
	}
	if k := len(out) - 1; k > 0 && out[k].says == out[0].says {
		out[k].to += out[0].to
		out = out[1:]
	}
	return out
}

// run is a stretch along which samples say the same.
type run[T comparable] struct {
	stretch
	says T
}
