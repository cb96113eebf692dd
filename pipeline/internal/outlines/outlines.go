// Package outlines makes outlines of boards to try the planning of break-off tabs on: a few by name,
// whose sizes are chosen so that a person can say beforehand how many tabs they take, and any number at
// random. Arcs are kept.
package outlines

import (
	"math"

	"panelwright/pipeline/geom"
)

// Named is an outline with a name.
type Named struct {
	Name    string
	Outline geom.Outline
}

// All gives the named outlines, always in the same order. Lengths in their functions are millimetres.
func All() []Named {
	plain := func(p geom.Path) geom.Outline { return geom.Outline{Outer: p} }
	return []Named{
		{"round", plain(circle(0, 0, 25))},
		{"rectangle", plain(polygon(0, 0, 110, 0, 110, 70, 0, 70))},
		{"rounded rectangle", plain(geom.RoundedRectangle(geom.Box{Max: geom.Pt(90*geom.MM, 60*geom.MM)}, 8*geom.MM))},
		{"L", plain(polygon(0, 0, 70, 0, 70, 20, 30, 20, 30, 50, 0, 50))},
		{"U", plain(polygon(0, 0, 70, 0, 70, 50, 45, 50, 45, 20, 25, 20, 25, 50, 0, 50))},
		{"T", plain(polygon(25, 0, 45, 0, 45, 40, 70, 40, 70, 60, 0, 60, 0, 40, 25, 40))},
		{"comb", plain(comb(4, 15, 10, 15, 30))},
		{"star", plain(star(6, 20, 40))},
		{"ring", geom.Outline{Outer: circle(0, 0, 30), CutOuts: []geom.Path{circle(0, 0, 18).Reverse()}}},
		{"two lobes", plain(lobes(15, 20, 2))},
		{"blob", plain(wavy(300, 33, 2, 3, 1, 5))},
		{"crescent", plain(crescent(30, 25, 15))},
		{"strip", plain(polygon(0, 0, 100, 0, 100, 6, 0, 6))},
		{"slit", plain(polygon(0, 0, 50, 0, 50, 40, 10.6, 40, 10.6, 30, 9.4, 30, 9.4, 40, 0, 40))},
		{"small", plain(polygon(0, 0, 12, 0, 12, 12, 0, 12))},
		{"button", plain(circle(0, 0, 4))},
	}
}

// ByName gives a named outline; the empty one where there is none of the name.
func ByName(name string) geom.Outline {
	for _, n := range All() {
		if n.Name == name {
			return n.Outline
		}
	}
	return geom.Outline{}
}

// mm gives the point at x, y millimetres.
func mm(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// polygon gives the closed path through corners in millimetres, x and y in turn.
func polygon(xy ...float64) geom.Path {
	var p geom.Path
	for i := 0; i < len(xy); i += 2 {
		k := (i + 2) % len(xy)
		from, to := mm(xy[i], xy[i+1]), mm(xy[k], xy[k+1])
		if from != to {
			p = append(p, geom.Line(from, to))
		}
	}
	return p
}

func circle(x, y, r float64) geom.Path {
	from := mm(x+r, y)
	return geom.Path{geom.Arc(from, from, mm(x, y), geom.CounterClockwise)}
}

// comb has n teeth on a back: width of teeth, gap between them, height of the back, length of the teeth.
func comb(n int, width, gap, back, length float64) geom.Path {
	pitch := width + gap
	xy := []float64{0, 0, float64(pitch*float64(n)) - gap, 0}
	for k := n - 1; k >= 0; k-- {
		left := float64(pitch * float64(k))
		xy = append(xy, left+width, back+length, left, back+length)
		if k > 0 {
			xy = append(xy, left, back, left-gap, back)
		}
	}
	return polygon(xy...)
}

// star has n points between two radii.
func star(n int, inner, outer float64) geom.Path {
	var xy []float64
	for k := range 2 * n {
		s, c := geom.SinCos(math.Pi * float64(k) / float64(n))
		r := outer
		if k%2 == 1 {
			r = inner
		}
		xy = append(xy, float64(r*c), float64(r*s))
	}
	return polygon(xy...)
}

// lobes are two discs, their middles away from the origin to both sides, joined by a neck.
func lobes(r, away, neck float64) geom.Path {
	half := neck / 2
	reach := away - math.Sqrt(float64(r*r)-float64(half*half))
	left, right := mm(-away, 0), mm(away, 0)
	return geom.Path{
		geom.Line(mm(-reach, -half), mm(reach, -half)),
		geom.Arc(mm(reach, -half), mm(reach, half), right, geom.CounterClockwise),
		geom.Line(mm(reach, half), mm(-reach, half)),
		geom.Arc(mm(-reach, half), mm(-reach, -half), left, geom.CounterClockwise),
	}
}

// crescent is a disc less another one, whose middle lies off to the right.
func crescent(r, less, off float64) geom.Path {
	x := (float64(r*r) - float64(less*less) + float64(off*off)) / (2 * off)
	y := math.Sqrt(float64(r*r) - float64(x*x))
	return geom.Path{
		geom.Arc(mm(x, y), mm(x, -y), mm(0, 0), geom.CounterClockwise),
		geom.Arc(mm(x, -y), mm(x, y), mm(off, 0), geom.Clockwise),
	}
}

// wavy is a blob of n arcs: its radius waves about r, by a so many times round and by b so many.
func wavy(n int, r, a float64, timesA int, b float64, timesB int) geom.Path {
	return blob(n, func(at float64) float64 {
		p, _ := geom.SinCos(float64(timesA) * at)
		q, _ := geom.SinCos(float64(timesB)*at + 1)
		return r + float64(a*p) + float64(b*q)
	})
}

// blob runs about the origin at a radius that is a function of the angle, as n arcs, each through three
// points of it.
func blob(n int, r func(float64) float64) geom.Path {
	at := func(i int) geom.Point {
		a := math.Pi * float64(i%(2*n)) / float64(n)
		s, c := geom.SinCos(a)
		l := r(a)
		return mm(float64(l*c), float64(l*s))
	}
	var p geom.Path
	for i := range n {
		p = append(p, through(at(2*i), at(2*i+1), at(2*i+2)))
	}
	return p
}

// flat is how little the middle of three points lies off the chord, as a part of it, for the three to be
// taken as straight: the arc's centre would lie far off.
const flat = 2e-3

// through gives the arc through three points, or the straight edge where they lie as good as straight.
func through(a, b, c geom.Point) geom.Edge {
	u, v := b.Sub(a), c.Sub(a)
	cross := float64(u.Cross(v))
	chord := float64(v.Dot(v))
	if math.Abs(cross) <= float64(flat*chord) {
		return geom.Line(a, c)
	}
	uu := float64(u.Dot(u))
	x := (float64(float64(v.Y)*uu) - float64(float64(u.Y)*chord)) / (2 * cross)
	y := (float64(float64(u.X)*chord) - float64(float64(v.X)*uu)) / (2 * cross)
	sense := geom.CounterClockwise
	if cross < 0 {
		sense = geom.Clockwise
	}
	e, ok := geom.Arc(a, c, a.Add(geom.Pt(geom.Round(x), geom.Round(y))), sense).Recentred()
	if !ok {
		return geom.Line(a, c)
	}
	return e
}
