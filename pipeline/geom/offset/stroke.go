package offset

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
)

// Stroke gives the area that a pen of the given width covers as it follows paths, open or closed: a
// path that ends where it begins is a closed one, and has no ends. Corners get the join of the options
// on the outer side of their turn, ends the end.
//
// Half of an odd width is a nanometre more on the right than on the left. A path of no length is a
// dot: with round ends a disc, a nanometre wider than an odd width; with square ends a square along the
// axes; nothing with butt ends. The bound of By holds for the border.
//
// It is an error if the edges of a path do not join, or if path or border leave the limits of
// ±geom.Limit.
func Stroke(ctx context.Context, paths []geom.Path, width geom.Length, o Options) (geom.Region, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if width < 0 || width > geom.Limit {
		return nil, fmt.Errorf("offset: a stroke %v wide; the width must lie between 0 and %v", width, geom.Limit)
	}
	b := builder{o: o}
	for i, p := range paths {
		for k, e := range p {
			if k > 0 && p[k-1].To != e.From {
				return nil, fmt.Errorf("offset: path %d: edge %d begins at %v, where the one before it does not end", i, k, e.From)
			}
			if !e.From.Within() || !e.To.Within() || e.Sense != geom.Straight && !e.Center.Within() {
				return nil, fmt.Errorf("offset: path %d: edge %d, from %v, leaves the limits of ±%v", i, k, e.From, geom.Limit)
			}
		}
		b.stroke(p, width)
	}
	return b.union(ctx)
}

// stroke adds the raw path round a path: along its right side, round its end and back on its left.
func (b *builder) stroke(p geom.Path, width geom.Length) {
	left := width / 2
	right := width - left
	fore := regular(p)
	switch {
	case len(p) == 0:
		return
	case len(fore) == 0:
		b.dot(p[0].From, left, right)
		return
	case fore.Closed():
		b.ring(fore, right)
		b.ring(fore.Reverse(), left)
		return
	}
	n := len(fore)
	rev := fore.Reverse()
	r, l := float64(right), float64(left)
	first, last := move(&fore[0], r), move(&fore[n-1], r)
	firstBack, lastBack := move(&rev[0], l), move(&rev[n-1], l)
	there, here := b.end(&last, &firstBack, right), b.end(&lastBack, &first, right)
	b.begin(here.to, 4*n+8)
	b.side(fore, r, there.from)
	b.way(&there)
	b.side(rev, l, here.from)
	b.way(&here)
	b.add(b.path)
}

// side leads along an open path, moved to its right by d, to where its last edge is to end.
func (b *builder) side(p geom.Path, d float64, end geom.Point) {
	next := move(&p[0], d)
	for i := 1; i < len(p); i++ {
		m := next
		next = move(&p[i], d)
		j := b.join(&m, &next, d, false)
		b.edge(&m, j.from)
		b.way(&j)
	}
	b.edge(&next, end)
}

// end leads round the end of a stroke, from its right side to its left.
func (b *builder) end(a, c *moved, half geom.Length) join {
	j := join{from: a.to, to: c.from}
	switch b.o.End {
	case SquareEnd:
		j.lead(a, c, a.out.from(a.to, float64(half)), c.in.from(c.from, -float64(half)))
	case RoundEnd:
		j.kind, j.p = about, a.edge.To
	}
	return j
}

// dot adds what a pen covers that does not move.
func (b *builder) dot(p geom.Point, left, right geom.Length) {
	if right == 0 {
		return
	}
	switch b.o.End {
	case RoundEnd:
		q := geom.Pt(p.X+right, p.Y)
		b.add(geom.Path{geom.Arc(q, q, p, geom.CounterClockwise)})
	case SquareEnd:
		b.add(geom.Rectangle(geom.BoxOf(geom.Pt(p.X-left, p.Y-left), geom.Pt(p.X+right, p.Y+right))))
	}
}
