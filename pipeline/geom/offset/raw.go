package offset

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// A builder draws raw paths; the package's description says what they are.
type builder struct {
	o     Options
	raw   []geom.Path // those done
	parts []int       // where in raw shapes begin that do not add up with those before

	path geom.Path  // the one being drawn
	at   geom.Point // where it has come to
}

// begin begins a path that will have about so many edges.
func (b *builder) begin(at geom.Point, edges int) {
	b.path, b.at = make(geom.Path, 0, edges), at
}

// line leads straight on to a point.
func (b *builder) line(p geom.Point) {
	if p != b.at {
		b.path = append(b.path, geom.Line(b.at, p))
		b.at = p
	}
}

// small is how near in nm the ends of an arc may lie for rounding to decide how far it turns.
const small = 2

// arc leads on along an arc, which is known to turn by more than half a turn or not. Where its ends have
// come so close that rounding could make next to nothing of a full turn, or a full turn of next to
// nothing, it goes all the way round and then on straight, or just straight.
//
// A wide arc with a narrow mouth goes in two halves. The ends, being rounded, are not equally far from
// the centre, and the circle through both of them would have its centre far from there.
func (b *builder) arc(to, center geom.Point, s geom.Sense, wide bool) {
	from, mouth := b.at, b.at.Distance(to)
	switch {
	case mouth > small:
		if r := from.Distance(center); wide && mouth < r {
			v := to.Sub(from)
			b.at = unit(float64(v.X), float64(v.Y)).right().from(center, float64(s)*r)
			b.path = append(b.path, geom.Arc(from, b.at, center, s))
		}
		b.path = append(b.path, geom.Arc(b.at, to, center, s))
		b.at = to
		return
	case wide && from != center:
		b.path = append(b.path, geom.Arc(from, from, center, s))
	}
	b.line(to)
}

// add takes a path that is done.
func (b *builder) add(p geom.Path) {
	if len(p) > 0 {
		b.raw = append(b.raw, p)
	}
}

// divide makes the paths to come a shape of their own.
func (b *builder) divide() { b.parts = append(b.parts, len(b.raw)) }

// ring adds the raw path of a closed path moved to its right by d.
func (b *builder) ring(p geom.Path, d geom.Length) {
	p = regular(p)
	n := len(p)
	if n == 0 {
		return
	}
	dist := float64(d)
	last, next := move(&p[n-1], dist), move(&p[0], dist)
	seam := b.join(&last, &next, dist, allClose(p, d))
	b.begin(seam.to, 2*n+2)
	for i := 1; i < n; i++ {
		m := next
		next = move(&p[i], dist)
		j := b.join(&m, &next, dist, false)
		b.edge(&m, j.from)
		b.way(&j)
	}
	b.edge(&next, seam.from)
	b.way(&seam)
	b.add(b.path)
}

// union gives what the pieces cover whose borders were added up.
func (b *builder) union(ctx context.Context) (geom.Region, error) {
	for _, p := range b.raw {
		for i := range p {
			if !p[i].From.Within() {
				return nil, fmt.Errorf("offset: the moved border leaves the limits of ±%v at %v", geom.Limit, p[i].From)
			}
		}
	}
	var operands []overlay.Operand
	begin := 0
	for _, end := range append(b.parts, len(b.raw)) {
		if end > begin {
			operands = append(operands, overlay.Operand{Paths: b.raw[begin:end], Rule: overlay.Positive})
		}
		begin = end
	}
	r, err := overlay.Union(ctx, b.o.Overlay, operands...)
	if err != nil {
		return nil, fmt.Errorf("offset: the moved border: %w", err)
	}
	return r, nil
}
