package offset

import (
	"math"

	"panelwright/pipeline/geom"
)

// regular gives a path whose edges all have a length and whose arcs are about their centres: ends that
// lie equally far from it but for rounding. Of most paths that is the path itself.
//
// Arcs from elsewhere may have ends that disagree about the radius. They are taken as package geom
// takes them: about the centre nearest to theirs that is equally far from both ends; with a step at
// either end where arcs are so nearly full circles that this would throw the centre far off; and as
// straight where no circle can be meant.
func regular(p geom.Path) geom.Path {
	for i := range p {
		if isRegular(&p[i]) {
			continue
		}
		out := append(make(geom.Path, 0, len(p)+4), p[:i]...)
		for k := i; k < len(p); k++ {
			if isRegular(&p[k]) {
				out = append(out, p[k])
			} else {
				out = regularize(out, p[k])
			}
		}
		return out
	}
	return p
}

// mismatch is by how much in nm ends may disagree about the radius.
const mismatch = 2

func isRegular(e *geom.Edge) bool {
	if e.Sense == geom.Straight {
		return e.From != e.To
	}
	if e.From == e.To {
		return e.From != e.Center
	}
	f, t := e.From.Distance(e.Center), e.To.Distance(e.Center)
	if f == 0 || t == 0 || math.Abs(f-t) > mismatch {
		return false
	}
	// The centre that is meant lies (f² − t²)/(2·chord) away, along the chord: far where a wide arc has
	// a narrow mouth.
	return !wide(e) || math.Abs(f-t)*(f+t) <= 2*e.From.Distance(e.To)
}

// regularize appends what stands for an edge that is not regular.
func regularize(out geom.Path, e geom.Edge) geom.Path {
	line := func(to geom.Point, from geom.Point) {
		if from != to {
			out = append(out, geom.Line(from, to))
		}
	}
	if e.Sense == geom.Straight || e.From == e.Center || e.To == e.Center {
		line(e.To, e.From)
		return out
	}
	f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
	rf, rt := f.Norm(), t.Norm()
	l := e.From.Distance(e.To)
	turn := f.Cross(t) * int64(e.Sense)
	whole := turn == 0 && f.Dot(t) > 0
	half := turn > 0 || turn == 0 && !whole
	switch {
	case half && math.Abs(rf-rt) > l/4:
		line(e.To, e.From)
	case whole || !half && l < rf/8:
		r := (rf + rt) / 2
		from := unit(float64(f.X), float64(f.Y)).from(e.Center, r)
		to := unit(float64(t.X), float64(t.Y)).from(e.Center, r)
		if whole {
			to = from
		}
		line(from, e.From)
		out = append(out, geom.Arc(from, to, e.Center, e.Sense))
		line(e.To, to)
	default:
		e, _ = e.Recentred()
		out = append(out, e)
	}
	return out
}
