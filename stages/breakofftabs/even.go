package breakofftabs

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// even chooses the tabs of placing "even": each side, from corner to corner, gets one tab for each
// longest_free_span or part of it, at equal spacing, as near to there as a tab may stand. Sides with
// pinned tabs get those alone.
func (s *standing) even(candidates, pins []candidate) []candidate {
	type sideKey struct {
		copy, side, target int
	}
	groups := map[sideKey][]candidate{}
	var order []sideKey
	for _, k := range candidates {
		key := sideKey{k.copy, s.copies[k.copy].side(k.at), k.target}
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], k)
	}
	out := slices.Clone(pins)
	for _, key := range order {
		if slices.ContainsFunc(pins, func(p candidate) bool {
			return p.copy == key.copy && s.copies[key.copy].side(p.at) == key.side && p.target == key.target ||
				p.target == key.copy && p.copy == key.target && s.copies[key.copy].side(p.otherAt) == key.side
		}) {
			continue
		}
		side := s.copies[key.copy].extent(key.side)
		n := max(1, int(math.Ceil((side.to-side.from)/float64(s.LongestFreeSpan))))
		var chosen []candidate
		for i := range n {
			want := side.from + float64((side.to-side.from)*(2*float64(i)+1)/float64(2*n))
			best := slices.MinFunc(groups[key], func(a, b candidate) int {
				return cmpFloat(s.copies[key.copy].apart(a.at, want), s.copies[key.copy].apart(b.at, want))
			})
			if !slices.ContainsFunc(chosen, func(c candidate) bool {
				return s.copies[key.copy].apart(c.at, best.at) < c.half+best.half+float64(s.corner)
			}) {
				chosen = append(chosen, best)
			}
		}
		out = append(out, chosen...)
	}
	return out
}

func cmpFloat(a, b float64) int {
	switch d := geom.Round(a) - geom.Round(b); {
	case d < 0:
		return -1
	case d > 0:
		return 1
	}
	return 0
}

// side numbers the sides of a copy between its corners that open outwards; the one before the first
// corner is that after the last.
func (c *placed) side(at float64) int {
	n := 0
	for _, z := range c.zones {
		if z.convex() && c.track.wrap(at) > z.middle() {
			n++
		}
	}
	if n == c.sides() {
		n = 0
	}
	return n
}

func (c *placed) sides() int {
	n := 0
	for _, z := range c.zones {
		if z.convex() {
			n++
		}
	}
	return n
}

// extent gives a side's stretch of the outline.
func (c *placed) extent(side int) stretch {
	var middles []float64
	for _, z := range c.zones {
		if z.convex() {
			middles = append(middles, z.middle())
		}
	}
	if len(middles) == 0 {
		return stretch{0, c.track.length}
	}
	to := middles[side]
	from := middles[(side+len(middles)-1)%len(middles)]
	if from >= to {
		from -= c.track.length
	}
	return stretch{from, to}
}

// apart is how far two places of the outline are apart along it, the shorter way.
func (c *placed) apart(a, b float64) float64 {
	d := c.track.wrap(a - b)
	return min(d, c.track.length-d)
}
