package overlay

import (
	"math"
	"math/rand/v2"

	"panelwright/pipeline/geom"
)

// What the tests feed the kernel: shapes that are hard for it, within ±e nm of the origin, from a few
// nanometres to a metre.

// A family makes operands of about n corners in all. All of a family's randomness comes from r.
type family struct {
	name string
	make func(r *rand.Rand, e geom.Length, n int) []Operand
}

var straightFamilies = []family{
	{"scribbles", scribbles},
	{"walks on a lattice", latticeWalks},
	{"nearly parallel edges", nearlyParallel},
	{"nearly coincident edges", nearlyCoincident},
	{"segments through one point", pencil},
	{"segments through corners of pixels", throughCorners},
	{"stars", stars},
	{"combs", combs},
	{"spirals", spirals},
	{"abutting rectangles", abutting},
	{"turned copies with jitter", jitteredCopies},
	{"nested rings", nestedRings},
	{"rings that touch", touchingRings},
	{"slivers", slivers},
	{"many operands", manyOperands},
	{"chains of steps", steppedChains},
}

var arcFamilies = []family{
	{"discs", discs},
	{"rounded rectangles and obrounds", roundedShapes},
	{"discs of one centre", concentric},
	{"discs that touch", touchingDiscs},
	{"scribbles with arcs", arcScribbles},
	{"plates with holes", drilledPlates},
}

var extents = []geom.Length{2, 3, 5, 15, 25, 100, 500, 1_000_000, 50_000_000, geom.Limit}

func closedPath(corners ...geom.Point) geom.Path {
	p := make(geom.Path, 0, len(corners))
	for i, c := range corners {
		p = append(p, geom.Line(c, corners[(i+1)%len(corners)]))
	}
	return p
}

func clamp(p geom.Point, e geom.Length) geom.Point {
	return geom.Pt(min(e, max(-e, p.X)), min(e, max(-e, p.Y)))
}

func randomPoint(r *rand.Rand, e geom.Length) geom.Point {
	return geom.Pt(geom.Length(r.Int64N(int64(2*e+1)))-e, geom.Length(r.Int64N(int64(2*e+1)))-e)
}

func jitter(r *rand.Rand, p geom.Point, d, e geom.Length) geom.Point {
	return clamp(p.Add(randomPoint(r, d)), e)
}

func randomRule(r *rand.Rand) Rule { return Rule(r.IntN(3)) }

func polar(c geom.Point, radius, angle float64) geom.Point {
	s, k := geom.SinCos(angle)
	return geom.Pt(c.X+geom.Round(float64(radius*k)), c.Y+geom.Round(float64(radius*s)))
}

// spread gives from + f·span for a random f from 0 to 1.
func spread(r *rand.Rand, from, span float64) float64 { return from + float64(span*r.Float64()) }

func scribbles(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		for range 1 + r.IntN(2) {
			var p []geom.Point
			for range 3 + r.IntN(max(1, n/3)) {
				p = append(p, randomPoint(r, e))
			}
			out[i].Paths = append(out[i].Paths, closedPath(p...))
		}
	}
	return out
}

// latticeWalks run to and fro over a few points, so that edges coincide and cancel.
func latticeWalks(r *rand.Rand, e geom.Length, n int) []Operand {
	k := geom.Length(1 + r.IntN(4))
	step := max(1, e/k)
	out := make([]Operand, 2+r.IntN(2))
	for i := range out {
		out[i].Rule = randomRule(r)
		q := geom.Pt(0, 0)
		var p []geom.Point
		for range n / len(out) {
			p = append(p, q)
			d := geom.Pt(geom.Length(r.IntN(3)-1)*step, geom.Length(r.IntN(3)-1)*step)
			q = clamp(q.Add(d), min(e, k*step))
		}
		out[i].Paths = append(out[i].Paths, closedPath(p...))
	}
	return out
}

// nearlyParallel are bundles of long edges a few nanometres wide. Every one crosses most others and is
// bent wherever two others cross.
func nearlyParallel(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	a, b := randomPoint(r, e), randomPoint(r, e)
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/8) {
			d := geom.Length(1 + r.IntN(3))
			out[i].Paths = append(out[i].Paths, closedPath(jitter(r, a, d, e), jitter(r, b, d, e), jitter(r, a, d, e), jitter(r, b, d, e)))
		}
	}
	return out
}

// nearlyCoincident puts corners on, or a nanometre beside, one line and leads paths along it.
func nearlyCoincident(r *rand.Rand, e geom.Length, n int) []Operand {
	a, b := randomPoint(r, e), randomPoint(r, e)
	on := func() geom.Point {
		f := r.Float64()
		p := geom.Pt(a.X+geom.Round(f*float64(b.X-a.X)), a.Y+geom.Round(f*float64(b.Y-a.Y)))
		return jitter(r, p, geom.Length(r.IntN(2)), e)
	}
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/8) {
			out[i].Paths = append(out[i].Paths, closedPath(on(), on(), randomPoint(r, e)))
			out[i].Paths = append(out[i].Paths, closedPath(on(), on(), on(), on()))
		}
	}
	return out
}

// pencil leads bow ties through one point, exactly or nearly.
func pencil(r *rand.Rand, e geom.Length, n int) []Operand {
	c := randomPoint(r, e/2)
	off := geom.Length(r.IntN(3))
	out := make([]Operand, 1+r.IntN(3))
	for i := range max(1, n/4) {
		o := &out[i%len(out)]
		o.Rule = randomRule(r)
		d := randomPoint(r, e/2+1)
		f := randomPoint(r, e/2+1)
		at := func(v geom.Point, sign geom.Length) geom.Point {
			return jitter(r, geom.Pt(c.X+sign*v.X, c.Y+sign*v.Y), off, e)
		}
		o.Paths = append(o.Paths, closedPath(at(d, 1), at(d, -1), at(f, 1), at(f, -1)))
	}
	return out
}

// throughCorners makes edges that pass exactly through places half a nanometre off the grid both ways.
func throughCorners(r *rand.Rand, e geom.Length, n int) []Operand {
	odd := func() geom.Length { return 2*geom.Length(r.Int64N(int64(e/2+1))) + 1 }
	out := make([]Operand, 2)
	k := min(e, 1+geom.Length(r.IntN(8)))
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/8) {
			c := randomPoint(r, k/2) // the corner is half a nanometre right of and above it
			var p []geom.Point
			for range 2 {
				dx, dy := odd(), odd()
				if r.IntN(2) == 0 {
					dy = -dy
				}
				p = append(p, geom.Pt(c.X+(1-dx)/2, c.Y+(1-dy)/2), geom.Pt(c.X+(1+dx)/2, c.Y+(1+dy)/2))
			}
			for i := range p {
				p[i] = clamp(p[i], e)
			}
			out[i].Paths = append(out[i].Paths, closedPath(p...))
		}
	}
	return out
}

func stars(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		k := 5 + r.IntN(max(1, n/2))
		step := 2 + r.IntN(max(1, k/2-1))
		c, radius, from := randomPoint(r, e/3), float64(e)*spread(r, 0.3, 0.3), r.Float64()
		var p []geom.Point
		for j := range k {
			p = append(p, clamp(polar(c, radius, from+float64(2*math.Pi*float64(j*step)/float64(k))), e))
		}
		out[i].Paths = []geom.Path{closedPath(p...)}
	}
	return out
}

// combs are two combs at right angles, or at nearly none.
func combs(r *rand.Rand, e geom.Length, n int) []Operand {
	teeth := geom.Length(max(1, min(n/8, int(e))))
	comb := func(swap bool, shift geom.Length) geom.Path {
		var p []geom.Point
		pitch := max(2, 2*e/teeth)
		for k := range teeth {
			x := -e + k*pitch
			if x+pitch > e+1 {
				break
			}
			p = append(p, geom.Pt(x+shift, -e), geom.Pt(x+shift, e-1), geom.Pt(x+shift+pitch/2, e-1), geom.Pt(x+shift+pitch/2, -e+1))
		}
		p = append(p, geom.Pt(e, -e+1), geom.Pt(e, -e))
		for i := range p {
			if swap {
				p[i].X, p[i].Y = p[i].Y, p[i].X
			}
			p[i] = clamp(p[i], e)
		}
		return closedPath(p...)
	}
	return []Operand{
		{[]geom.Path{comb(false, 0)}, randomRule(r)},
		{[]geom.Path{comb(r.IntN(3) > 0, geom.Length(r.IntN(3)-1))}, randomRule(r)},
	}
}

func spirals(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		c := randomPoint(r, e/8)
		turns, phase, sense := spread(r, 1, float64(n)/16), r.Float64()*6, float64(1-2*r.IntN(2))
		var p, back []geom.Point
		k := max(3, n/4)
		for j := range k {
			f := float64(j) / float64(k-1)
			a := phase + float64(sense*2*math.Pi*turns*f)
			p = append(p, clamp(polar(c, 0.9*f*float64(e), a), e))
			back = append(back, clamp(polar(c, float64(0.9*f*float64(e))+float64(e)/(20*turns), a), e))
		}
		for j := range back {
			p = append(p, back[len(back)-1-j])
		}
		out[i].Paths = []geom.Path{closedPath(p...)}
	}
	return out
}

// abutting parts a square into rectangles that share sides in full or in part, one path or operand each.
func abutting(r *rand.Rand, e geom.Length, n int) []Operand {
	var boxes []geom.Box
	var part func(b geom.Box, depth int)
	part = func(b geom.Box, depth int) {
		w, h := int64(b.Width()), int64(b.Height())
		switch {
		case depth == 0 || w < 2 || h < 2 || r.IntN(12) == 0:
			boxes = append(boxes, b)
		case r.IntN(2) == 0:
			x := b.Min.X + geom.Length(1+r.Int64N(w-1))
			part(geom.Box{Min: b.Min, Max: geom.Pt(x, b.Max.Y)}, depth-1)
			part(geom.Box{Min: geom.Pt(x, b.Min.Y), Max: b.Max}, depth-1)
		default:
			y := b.Min.Y + geom.Length(1+r.Int64N(h-1))
			part(geom.Box{Min: b.Min, Max: geom.Pt(b.Max.X, y)}, depth-1)
			part(geom.Box{Min: geom.Pt(b.Min.X, y), Max: b.Max}, depth-1)
		}
	}
	depth := 1
	for 4<<depth < n {
		depth++
	}
	part(geom.BoxOf(geom.Pt(-e, -e), geom.Pt(e, e)), depth)
	out := make([]Operand, 2+r.IntN(3))
	for i := range out {
		out[i].Rule = randomRule(r)
	}
	for _, b := range boxes {
		p := geom.Rectangle(b)
		if r.IntN(4) == 0 {
			p = p.Reverse()
		}
		i := r.IntN(len(out))
		out[i].Paths = append(out[i].Paths, p)
	}
	return out
}

// jitteredCopies are one polygon several times, turned by any angle and back, each corner a
// nanometre off.
func jitteredCopies(r *rand.Rand, e geom.Length, n int) []Operand {
	k := 3 + r.IntN(max(1, n/3))
	var p []geom.Point
	for j := range k {
		a := 2 * math.Pi * float64(j) / float64(k)
		p = append(p, polar(geom.Pt(0, 0), float64(e)*spread(r, 0.3, 0.4), a))
	}
	turn := geom.Transform{Turn: geom.FromDegrees(r.Float64() * 360)}
	out := make([]Operand, 2+r.IntN(2))
	for i := range out {
		out[i].Rule = randomRule(r)
		q := make([]geom.Point, k)
		for j := range p {
			q[j] = jitter(r, clamp(turn.Inverse().Apply(clamp(turn.Apply(p[j]), e)), e), 1, e)
		}
		out[i].Paths = []geom.Path{closedPath(q...)}
	}
	return out
}

func nestedRings(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 1+r.IntN(2))
	for i := range out {
		out[i].Rule = randomRule(r)
		c := randomPoint(r, e/8)
		for j := range max(1, n/(6*len(out))) {
			radius := float64(e) * 0.85 * float64(j+1) / float64(max(1, n/(6*len(out))))
			k := 3 + r.IntN(5)
			phase := r.Float64()
			var p []geom.Point
			for l := range k {
				p = append(p, clamp(polar(c, radius, phase+float64(2*math.Pi*float64(l)/float64(k))), e))
			}
			q := closedPath(p...)
			if r.IntN(2) == 0 {
				q = q.Reverse()
			}
			out[i].Paths = append(out[i].Paths, q)
		}
	}
	return out
}

// touchingRings are squares, some stood on a corner, whose corners touch corners and sides of others.
func touchingRings(r *rand.Rand, e geom.Length, n int) []Operand {
	k := geom.Length(max(1, min(int(math.Sqrt(float64(n)/4)), int(e/2))))
	cell := 2 * e / k
	out := make([]Operand, 1+r.IntN(3))
	for i := range out {
		out[i].Rule = randomRule(r)
	}
	add := func(p geom.Path) {
		if r.IntN(3) == 0 {
			p = p.Reverse()
		}
		i := r.IntN(len(out))
		out[i].Paths = append(out[i].Paths, p)
	}
	for i := range k {
		for j := range k {
			a := geom.Pt(-e+i*cell, -e+j*cell)
			b := geom.Pt(a.X+cell/2*2, a.Y+cell/2*2)
			h := cell / 2
			if r.IntN(3) > 0 || (i+j)%2 == 0 {
				add(geom.Rectangle(geom.BoxOf(a, b)))
			}
			if r.IntN(2) == 0 { // a square on its corner, which touches the middles of the sides
				add(closedPath(geom.Pt(a.X+h, a.Y), geom.Pt(b.X, a.Y+h), geom.Pt(a.X+h, b.Y), geom.Pt(a.X, a.Y+h)))
			}
			if r.IntN(2) == 0 { // a triangle that touches one corner
				add(closedPath(a, geom.Pt(a.X+h, a.Y+h/2), geom.Pt(a.X+h/2, a.Y+h)))
			}
		}
	}
	return out
}

// slivers are triangles as long as can be and a nanometre or so wide.
func slivers(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/6) {
			a, b := randomPoint(r, e), randomPoint(r, e)
			if r.IntN(3) == 0 {
				b.Y = a.Y
			}
			out[i].Paths = append(out[i].Paths, closedPath(a, b, jitter(r, b, 1, e)))
		}
	}
	return out
}

func manyOperands(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, max(2, n/4))
	size := max(1, e/geom.Length(1+r.IntN(4)))
	for i := range out {
		out[i].Rule = randomRule(r)
		c := randomPoint(r, e)
		var p []geom.Point
		for range 3 + r.IntN(3) {
			p = append(p, jitter(r, c, size, e))
		}
		out[i].Paths = []geom.Path{closedPath(p...)}
	}
	return out
}

// steppedChains run along a slope in steps of a nanometre or two, next to a straight edge of the same
// slope: hot pixels all along it.
func steppedChains(r *rand.Rand, e geom.Length, n int) []Operand {
	k := geom.Length(max(2, min(n/3, int(e))))
	dx, dy := max(1, 2*e/k), geom.Length(r.IntN(3))
	if e < 20 {
		dy = geom.Length(r.IntN(2))
	}
	p := []geom.Point{geom.Pt(-e, -e/2)}
	x, y := -e, -e/2
	for range k {
		x, y = min(e, x+dx), min(e, y+dy+geom.Length(r.IntN(3)-1))
		if r.IntN(2) == 0 {
			p = append(p, geom.Pt(x, p[len(p)-1].Y))
		}
		p = append(p, clamp(geom.Pt(x, y), e))
	}
	last := p[len(p)-1]
	p = append(p, geom.Pt(-e, e))
	q := closedPath(jitter(r, p[0], 1, e), jitter(r, last, 1, e), randomPoint(r, e))
	return []Operand{{[]geom.Path{closedPath(p...)}, randomRule(r)}, {[]geom.Path{q}, randomRule(r)}}
}

func ringOf(c geom.Point, radius geom.Length, from float64) geom.Path {
	p := polar(c, float64(radius), from)
	if p == c {
		p.X++
	}
	return geom.Path{geom.Arc(p, p, c, geom.CounterClockwise)}
}

func discs(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2+r.IntN(2))
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/20) {
			p := ringOf(randomPoint(r, e/2), 1+geom.Length(r.Int64N(int64(e/2))), r.Float64()*6)
			if r.IntN(4) == 0 {
				p = p.Reverse()
			}
			out[i].Paths = append(out[i].Paths, p)
		}
	}
	return out
}

func roundedShapes(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/24) {
			b := geom.BoxOf(randomPoint(r, e), randomPoint(r, e))
			short := min(b.Width(), b.Height())
			p := geom.RoundedRectangle(b, short/2)
			if r.IntN(2) == 0 && short > 1 {
				p = geom.RoundedRectangle(b, geom.Length(r.Int64N(int64(short/2)))+1)
			}
			if short < 1 {
				continue
			}
			if r.IntN(4) == 0 {
				p = p.Reverse()
			}
			out[i].Paths = append(out[i].Paths, p)
		}
	}
	return out
}

// concentric are discs, rings, halves and quarters about one centre, so that arcs coincide.
func concentric(r *rand.Rand, e geom.Length, n int) []Operand {
	c := randomPoint(r, e/4)
	radii := [3]geom.Length{1 + e/2, 1 + e/3, 1 + geom.Length(r.Int64N(int64(e/2+1)))}
	out := make([]Operand, 2+r.IntN(2))
	for i := range out {
		out[i].Rule = randomRule(r)
		for range max(1, n/16) {
			q := radii[r.IntN(3)]
			if r.IntN(2) == 0 {
				out[i].Paths = append(out[i].Paths, ringOf(c, q, float64(r.IntN(4))*math.Pi/2))
				continue
			}
			at := func(k int) geom.Point {
				return c.Add([4]geom.Point{{X: q}, {Y: q}, {X: -q}, {Y: -q}}[k%4])
			}
			k := r.IntN(4)
			a, b := at(k), at(k+1+r.IntN(3))
			if r.IntN(2) == 0 {
				a, b = polar(c, float64(q), r.Float64()*6), polar(c, float64(q), r.Float64()*6)
			}
			if a == b || a == c || b == c {
				continue
			}
			out[i].Paths = append(out[i].Paths, geom.Path{geom.Arc(a, b, c, geom.CounterClockwise), geom.Line(b, c), geom.Line(c, a)})
		}
	}
	return out
}

// touchingDiscs lie in a row and a square whose sides they touch.
func touchingDiscs(r *rand.Rand, e geom.Length, n int) []Operand {
	k := geom.Length(max(1, min(n/12, 6)))
	radius := max(1, e/(2*k))
	var a, b Operand
	a.Rule, b.Rule = randomRule(r), randomRule(r)
	for i := range k {
		a.Paths = append(a.Paths, ringOf(geom.Pt(-e+radius+2*radius*i, geom.Length(r.IntN(2))*radius), radius, float64(r.IntN(4))*math.Pi/2))
	}
	b.Paths = append(b.Paths, geom.Rectangle(geom.BoxOf(geom.Pt(-e, -radius), geom.Pt(e, geom.Length(r.IntN(2))*radius+geom.Length(r.IntN(3)-1)))))
	return []Operand{a, b}
}

// arcScribbles mix lines with arcs, some of which do not quite agree with their centre.
func arcScribbles(r *rand.Rand, e geom.Length, n int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
		var p geom.Path
		first := randomPoint(r, e/2)
		last := first
		k := 2 + r.IntN(max(1, n/12))
		for j := range k {
			next := randomPoint(r, e/2)
			if j == k-1 {
				next = first
			}
			d := next.Sub(last)
			if r.IntN(3) > 0 && d != (geom.Point{}) {
				// A centre on the bisector, rounded: the radii agree to a nanometre or so.
				f := (r.Float64() - 0.5) * 0.8
				c := geom.Pt((last.X+next.X)/2-geom.Round(f*float64(d.Y)), (last.Y+next.Y)/2+geom.Round(f*float64(d.X)))
				if e > 1000 && r.IntN(20) == 0 {
					c = jitter(r, c, 20, e)
				}
				arc := geom.Arc(last, next, c, geom.Sense(1-2*r.IntN(2)))
				if box := arc.Box().Grow(2 * geom.MM); c != last && c != next && box.Min.Within() && box.Max.Within() {
					p = append(p, arc)
					last = next
					continue
				}
			}
			p = append(p, geom.Line(last, next))
			last = next
		}
		out[i].Paths = []geom.Path{p}
	}
	return out
}

// drilledPlates are rounded plates less rows of holes, some of them over the edge.
func drilledPlates(r *rand.Rand, e geom.Length, n int) []Operand {
	plate := Operand{Rule: randomRule(r)}
	b := geom.BoxOf(geom.Pt(-e*3/4, -e/2), geom.Pt(e*3/4, e/2))
	plate.Paths = append(plate.Paths, geom.RoundedRectangle(b, e/geom.Length(3+r.IntN(5))))
	var holes Operand
	k := geom.Length(max(1, n/12))
	radius := max(1, e/(3*k))
	for i := range k {
		c := geom.Pt(-e*3/4+i*(e*3/2)/k, geom.Length(1-2*r.IntN(2))*e/2)
		if r.IntN(2) == 0 {
			c.Y = randomPoint(r, e/2).Y
		}
		holes.Paths = append(holes.Paths, ringOf(c, radius, 0))
	}
	return []Operand{plate, holes}
}
