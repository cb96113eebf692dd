package layout

import (
	"cmp"
	"slices"

	"panelwright/pipeline/geom"
)

// Distances of what stands on a sheet: pieces from one another, from the title block and from the stamp; from the frame less,
// because pieces have no line of their own there. Common practice, no published source.
const (
	apart = 6 * geom.MM
	inset = 4 * geom.MM
)

// rooms are the largest free rectangles of a sheet; they overlap one another.
type rooms []drawingRoom

type drawingRoom = geom.Box

// without takes a box away.
func (r rooms) without(b geom.Box) rooms {
	var out rooms
	for _, f := range r {
		if b.Min.X >= f.Max.X || f.Min.X >= b.Max.X || b.Min.Y >= f.Max.Y || f.Min.Y >= b.Max.Y {
			out = append(out, f)
			continue
		}
		for _, part := range []geom.Box{
			{Min: f.Min, Max: geom.Pt(b.Min.X, f.Max.Y)},
			{Min: geom.Pt(b.Max.X, f.Min.Y), Max: f.Max},
			{Min: f.Min, Max: geom.Pt(f.Max.X, b.Min.Y)},
			{Min: geom.Pt(f.Min.X, b.Max.Y), Max: f.Max},
		} {
			if part.Width() >= leastRoom && part.Height() >= leastRoom {
				out = append(out, part)
			}
		}
	}
	var kept rooms
	for i, x := range out {
		if !slices.ContainsFunc(out[:i], func(y geom.Box) bool { return y.Holds(x) }) &&
			!slices.ContainsFunc(out[i+1:], func(y geom.Box) bool { return y != x && y.Holds(x) }) {
			kept = append(kept, x)
		}
	}
	// From the top downwards, and from the left, as people read.
	slices.SortFunc(kept, func(a, b geom.Box) int {
		return cmp.Or(cmp.Compare(b.Max.Y, a.Max.Y), cmp.Compare(a.Min.X, b.Min.X), cmp.Compare(b.Width(), a.Width()), cmp.Compare(b.Height(), a.Height()))
	})
	return kept
}

// leastRoom is how wide and high a room is at least.
const leastRoom = 8 * geom.MM

// holding gives the first room that holds something of that size.
func (r rooms) holding(size geom.Point) (geom.Box, bool) {
	i := slices.IndexFunc(r, func(b geom.Box) bool { return b.Width() >= size.X && b.Height() >= size.Y })
	if i < 0 {
		return geom.Box{}, false
	}
	return r[i], true
}
