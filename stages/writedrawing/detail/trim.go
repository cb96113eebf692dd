package detail

import (
	"cmp"
	"slices"

	"panelwright/pipeline/geom"
)

// trim gives what of edges lies in a window: not every format can clip.
func trim(edges []geom.Edge, window geom.Box) (out []geom.Path) {
	border := geom.Rectangle(window)
	for _, e := range edges {
		if window.Holds(e.Box()) {
			out = append(out, geom.Path{e})
			continue
		}
		if !window.Overlaps(e.Box()) {
			continue
		}
		// A full circle begins and ends at one point: it is cut in two first.
		for _, half := range halves(e) {
			at := []geom.Point{half.From, half.To}
			for _, b := range border {
				at = append(at, half.Intersections(b)...)
			}
			slices.SortFunc(at, func(a, b geom.Point) int { return cmp.Compare(half.Along(a), half.Along(b)) })
			for i := 1; i < len(at); i++ {
				if at[i-1] == at[i] {
					continue
				}
				part := half
				part.From, part.To = at[i-1], at[i]
				if window.Grow(geom.NM).HoldsPoint(part.At(0.5)) {
					out = append(out, geom.Path{part})
				}
			}
		}
	}
	return out
}

func halves(e geom.Edge) []geom.Edge {
	if e.Sense == geom.Straight {
		return []geom.Edge{e}
	}
	a, b := e, e
	a.To = e.At(0.5)
	b.From = a.To
	return []geom.Edge{a, b}
}

// within gives the runs of a closed path that do not lie on the window's border.
func within(q geom.Path, window geom.Box) (out []geom.Path) {
	const close = 5 * geom.NM
	on := func(e geom.Edge) bool {
		side := func(a, b, at geom.Length) bool { return (a-at).Abs() <= close && (b-at).Abs() <= close }
		return e.Sense == geom.Straight && (side(e.From.X, e.To.X, window.Min.X) || side(e.From.X, e.To.X, window.Max.X) ||
			side(e.From.Y, e.To.Y, window.Min.Y) || side(e.From.Y, e.To.Y, window.Max.Y))
	}
	var run geom.Path
	for _, e := range q {
		if on(e) {
			if len(run) > 0 {
				out = append(out, run)
			}
			run = nil
			continue
		}
		run = append(run, e)
	}
	if len(run) > 0 {
		out = append(out, run)
	}
	return out
}
