package edgeclass

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

const (
	platingStep     = geom.MM / 10 // between the places that are looked at
	platingShortest = geom.MM      // less is the end of a track
	platingAcross   = 10 * geom.UM // how far on either side of the edge there must be copper
)

// plating finds where copper of both outer layers lies across the path. Where the outline's attribute says
// that the edge is plated that is a plated edge. Where nothing says so it is not taken for one: it may as
// well be a plane that was drawn too large.
func (e *edge) plating(ctx context.Context, b *panel.Board, without []Stretch) ([]Stretch, error) {
	if !b.EdgePlated {
		return nil, nil
	}
	top, bottom := b.Layer(panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}), b.Layer(panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: b.CopperCount})
	if top == nil || bottom == nil {
		return nil, nil
	}
	covers := [2]*cover{newCover(e, top.Image), newCover(e, bottom.Image)}
	var list []span
	step := float64(platingStep)
	for s := step / 2; s < e.length; s += step {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		i := sortSearch(e.begins, s)
		f := (s - e.begins[i]) / max(e.path[i].Length(), 1)
		in, out := e.path[i].Beside(f, platingAcross), e.path[i].Beside(f, -platingAcross)
		if covers[0].dark(in) && covers[0].dark(out) && covers[1].dark(in) && covers[1].dark(out) {
			list = append(list, span{s - step/2, s + step/2, 0})
		}
	}
	var out []Stretch
	for _, s := range e.merge(list, step/2) {
		castellated := false
		for _, c := range without {
			castellated = castellated || s.from < c.To && c.From < s.to
		}
		if s.to-s.from >= float64(platingShortest) && !castellated {
			out = append(out, Stretch{Class: Plated, From: s.from, To: min(s.to, s.from+e.length), By: "the outline's attribute, and copper across the edge on both sides"})
		}
	}
	return out, nil
}

// cover tells what is dark near a path.
type cover struct {
	image *artwork.Image
	drawn map[int]artwork.Drawn
	index geom.Index[int] // of objects, by their boxes
}

func newCover(e *edge, m *artwork.Image) *cover {
	c := &cover{image: m, drawn: map[int]artwork.Drawn{}}
	for i, o := range m.Objects {
		box := m.Box(o).Grow(platingAcross + 1)
		near := false
		e.index.Search(box, func(geom.Box, int) bool { near = true; return false })
		if near {
			c.index.Insert(box, i)
		}
	}
	return c
}

// dark tells whether the last object drawn over a place is dark.
func (c *cover) dark(p geom.Point) bool {
	last := -1
	c.index.Search(geom.BoxOf(p), func(_ geom.Box, i int) bool {
		if i > last {
			d, ok := c.drawn[i]
			if !ok {
				d = c.image.Drawn(c.image.Objects[i])
				c.drawn[i] = d
			}
			if d.DistanceToPoint(p) == 0 {
				last = i
			}
		}
		return true
	})
	return last >= 0 && !c.image.Objects[last].Clear
}
