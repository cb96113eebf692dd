package intake

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// fit is how well places agree with pads when they are moved by shift.
type fit struct {
	shift geom.Point
	agree int
}

// fitter holds places against the pads of one side.
type fitter struct {
	field   *field
	centres []geom.Point // made when needed
}

func newFitter(pads []pad) *fitter { return &fitter{field: newField(pads)} }

// at counts the places that agree with pads when all are moved by shift, and gives the shift by which
// they agree best: the median of what is left. Places that agree with the same pads count once: no two
// parts stand at one place, but in a wrong unit all of them would.
func (f *fitter) at(places []geom.Point, shift geom.Point) fit {
	var dx, dy []geom.Length
	var taken []geom.Point
	for _, p := range places {
		q := p.Add(shift)
		if c, ok := f.field.centre(q); ok {
			dx, dy = append(dx, c.X-q.X), append(dy, c.Y-q.Y)
			taken = append(taken, c)
		}
	}
	if len(dx) == 0 {
		return fit{shift, 0}
	}
	slices.Sort(dx)
	slices.Sort(dy)
	slices.SortFunc(taken, geom.Point.Compare)
	return fit{shift.Add(geom.Pt(dx[len(dx)/2], dy[len(dy)/2])), len(slices.Compact(taken))}
}

// search finds the shifts by which most places agree with pads: the best, and the best of those that
// lie elsewhere. Every pair of a place and a centre votes for a shift.
func (f *fitter) search(places []geom.Point) (best, second fit) {
	const (
		voters = 48
		bin    = 40 * geom.UM
		tried  = 24
		kept   = 6 // of those, by what the sample says
	)
	if f.centres == nil {
		f.centres = f.field.centres()
	}
	if len(places) == 0 || len(f.centres) == 0 {
		return
	}
	sample := places
	if len(places) > voters {
		sample = nil
		for i := range voters {
			sample = append(sample, places[i*len(places)/voters])
		}
	}
	votes := make([]int64, 0, len(sample)*len(f.centres))
	for _, p := range sample {
		for _, c := range f.centres {
			d := c.Sub(p)
			x, y := math.Floor(float64(d.X)/float64(bin)), math.Floor(float64(d.Y)/float64(bin))
			votes = append(votes, int64(x)<<32|int64(uint32(int32(y))))
		}
	}
	slices.Sort(votes)
	type heap struct {
		key int64
		n   int
	}
	var heaps []heap
	for i := 0; i < len(votes); {
		j := i
		for j < len(votes) && votes[j] == votes[i] {
			j++
		}
		if j-i > 1 || len(places) == 1 {
			heaps = append(heaps, heap{votes[i], j - i})
		}
		i = j
	}
	slices.SortFunc(heaps, func(a, b heap) int { return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.key, b.key)) })
	var first, fits []fit
	for _, h := range heaps[:min(tried, len(heaps))] {
		x, y := geom.Length(int32(h.key>>32)), geom.Length(int32(uint32(h.key)))
		a := f.at(sample, geom.Pt(x*bin+bin/2, y*bin+bin/2))
		if !slices.ContainsFunc(first, func(b fit) bool { return b.shift.Distance(a.shift) <= float64(bin)/2 }) {
			first = append(first, a)
		}
	}
	slices.SortStableFunc(first, func(a, b fit) int { return cmp.Compare(b.agree, a.agree) })
	for _, h := range first[:min(kept, len(first))] {
		a := f.at(places, h.shift)
		if b := f.at(places, a.shift); b.agree >= a.agree {
			a = b
		}
		fits = append(fits, a)
	}
	slices.SortStableFunc(fits, func(a, b fit) int { return cmp.Compare(b.agree, a.agree) })
	for i, x := range fits {
		if i == 0 {
			best = x
		} else if x.shift.Distance(best.shift) > 4*float64(agreement) {
			return best, x
		}
	}
	return best, fit{}
}

// chance is the logarithm to base ten of how many shifts one may expect by which n of the places
// agree with pads though nothing speaks for them.
func (f *fitter) chance(places, n int) float64 {
	if f.centres == nil {
		f.centres = f.field.centres()
	}
	b := f.field.box.Grow(geom.MM)
	area := float64(b.Width()) * float64(b.Height())
	covered := math.Min(1, float64(len(f.centres))*math.Pi*float64(agreement*agreement)/area)
	if n < 2 {
		return 9
	}
	// Pairs that vote, times the ways to choose the other places, times their chance.
	v := math.Log10(float64(places)) + math.Log10(float64(len(f.centres)))
	for k := range n - 1 {
		v += math.Log10(float64(places-1-k)) - math.Log10(float64(k+1)) + math.Log10(covered)
	}
	return v
}
