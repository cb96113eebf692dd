package rule

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// step is how far apart the places are at which a board's edge is looked at.
const step = 250 * geom.UM

// touching is how near a cut must come to a board's edge to free it: roundings of positions, and what
// the trade cannot see.
const touching = 2 * geom.UM

// boardNotFree finds boards' edges that nothing parts from the rest of the panel: no slot, no score
// line, no tab to break, and not the panel's own edge. Edges are looked at every 0.25 mm. What no cutter
// reaches of a board's own inner corners stays on the board and holds it to nothing: that is for
// cutter-reach to tell.
func boardNotFree(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	index := partings(p)
	type key struct {
		board    *panel.Board
		attached int
	}
	at := map[key]int{}
	hint := ""
	if cutters := p.Cutters(); len(p.Slots()) > 0 && len(cutters) > 0 {
		hint = fmt.Sprintf("; the thinnest cutter takes %s mm", trim(slices.Min(cutters).MM()))
	}
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		attached, first := attachedAt(c, index)
		if attached == 0 {
			continue
		}
		k := key{c.Board, attached}
		if i, ok := at[k]; ok {
			out[i].Copies = append(out[i].Copies, c.ID)
			continue
		}
		at[k] = len(out)
		length := (geom.Length(attached) * step).MM() // whole quarters of a millimetre
		out = append(out, pipeline.Finding{
			Message: fmt.Sprintf("about %v mm of the edge of %s (board %s) is parted by nothing, from %v mm on: no slot, score line or tab lies there%s",
				length, c.ID, c.Board.Name, first, hint),
			At: &first, Feature: c.ID, Copies: []string{c.ID}, Measured: &length,
		})
	}
	return out, nil
}

// parting is what frees an edge that lies within reach of it.
type parting struct {
	edge  geom.Edge
	reach float64 // nm
	copy  string  // the only copy that it frees; empty: all
}

func partings(p panel.Panel) *geom.Index[parting] {
	var index geom.Index[parting]
	add := func(e geom.Edge, reach float64) {
		index.Insert(e.Box().Grow(geom.Length(math.Ceil(reach))), parting{e, reach, ""})
	}
	for _, e := range p.Outline().Edges() {
		add(e, float64(touching))
	}
	for _, s := range p.Slots() {
		for _, e := range s.Outline.Edges() {
			add(e, float64(touching))
		}
	}
	for _, x := range p.Unreached() {
		for _, e := range x.Outline.Edges() {
			index.Insert(e.Box().Grow(touching), parting{e, float64(touching), x.Copy})
		}
	}
	for _, s := range p.Scores() {
		add(geom.Line(s.From, s.To), float64(s.Leave+touching))
	}
	for _, x := range p.Blanks() {
		for _, e := range x.Outline.Edges() {
			index.Insert(e.Box().Grow(touching), parting{e, float64(touching), x.Copy})
		}
	}
	for _, t := range p.Tabs() {
		// At a board's edge a tab is as wide as its waist and the slots' round ends beside it.
		e := geom.Line(t.Feet[0], t.Feet[1])
		add(e, float64(t.Width)/2+e.Length()/2+float64(step))
	}
	return &index
}

// attachedAt counts the places along a copy's outer edge that nothing frees, and gives the first.
func attachedAt(c panel.Copy, index *geom.Index[parting]) (n int, first geom.Point) {
	for _, e := range c.Outline().Outer {
		places := max(1, int(e.Length()/float64(step)))
		for i := range places {
			q := e.At((float64(i) + 0.5) / float64(places))
			free := false
			index.Search(geom.BoxOf(q), func(_ geom.Box, x parting) bool {
				if x.copy != "" && x.copy != c.ID {
					return true
				}
				d, _ := geom.PointEdgeDistance(q, x.edge)
				free = d <= x.reach
				return !free
			})
			if free {
				continue
			}
			if n == 0 {
				first = q
			}
			n++
		}
	}
	return n, first
}
