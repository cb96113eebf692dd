package rule

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// slotInBoard finds slots that reach into a board, and how deep.
func slotInBoard(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	copies := p.Copies()
	var index geom.Index[int]
	outlines := make([]geom.Outline, len(copies))
	for i, c := range copies {
		outlines[i] = geom.Outline{Outer: c.Outline().Outer}
		index.Insert(outlines[i].Box(), i)
	}
	var out []pipeline.Finding
	for _, s := range p.Slots() {
		var near []int
		index.Search(s.Outline.Box(), func(_ geom.Box, i int) bool {
			near = append(near, i)
			return true
		})
		slices.Sort(near)
		for _, i := range near {
			in, err := overlay.Intersection(ctx, overlay.Options{}, overlay.Of(s.Outline), overlay.Of(outlines[i]))
			if err != nil {
				return nil, err
			}
			depth, at := deepest(in, outlines[i])
			v := math.Round(depth) / 1e6
			if v <= limit+2*tolerance { // two roundings: the slot's flank and the board's edge
				continue
			}
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s reaches %s mm into %s; at most %v mm are allowed", s.ID, trim(v), copies[i].ID, limit),
				At:      &at, Feature: s.ID, Copies: []string{copies[i].ID}, Measured: &v,
			})
		}
	}
	return out, nil
}

// deepest gives how far the border of a region inside an outline lies from its edge, at most.
func deepest(in geom.Region, o geom.Outline) (depth float64, at geom.Point) {
	for _, path := range in.Paths() {
		for _, e := range path {
			for _, q := range [2]geom.Point{e.From, e.At(0.5)} {
				if d := o.Distance(q); d > depth {
					depth, at = d, q
				}
			}
		}
	}
	return depth, at
}

// cutterDiameter finds cutters thinner than fabricators keep.
func cutterDiameter(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	var out []pipeline.Finding
	for _, c := range p.Cutters() {
		if v := c.MM(); v < limit-tolerance {
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("a cutter of %s mm is asked for; at least %v mm are wanted", trim(v), limit), Measured: &v,
			})
		}
	}
	return out, nil
}

// noticed is how far material must stand out for anybody to tell it from a cutter's own tolerance, ± 0.1 mm
// (pcbbaltic.lt, tolerances): a fifth of that, from memory, no published source.
const noticed = 20 * geom.UM

// cutterReach finds material that stays on a board because no cutter reaches it. Copies of a board
// that keep it in the same places are told of once.
func cutterReach(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	type key struct {
		board *panel.Board
		at    geom.Point
	}
	copies := map[string]panel.Copy{}
	for _, c := range p.Copies() {
		copies[c.ID] = c
	}
	seen := map[key]int{}
	var out []pipeline.Finding
	for _, x := range p.Unreached() {
		v := x.Radius.MM()
		if size := x.Outline.Box(); v <= limit+tolerance || min(size.Width(), size.Height()) < noticed {
			continue
		}
		c := copies[x.Copy]
		k := key{c.Board, c.Place.Inverse().Apply(x.At)}
		if i, ok := seen[k]; ok {
			out[i].Copies = append(out[i].Copies, x.Copy)
			continue
		}
		seen[k] = len(out)
		at := x.At
		box := x.Outline.Box()
		out = append(out, pipeline.Finding{
			Message: fmt.Sprintf("no cutter reaches the inner corner or notch of %s at %v mm: a radius of %s mm remains there, and %s x %s mm of material stay on the board",
				x.Copy, at, trim(v), trim(box.Width().MM()), trim(box.Height().MM())),
			At: &at, Feature: x.ID, Copies: []string{x.Copy}, Measured: &v,
		})
	}
	return out, nil
}

// holeOffPanel finds holes of boards that do not lie wholly on the panel.
func holeOffPanel(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	outline := p.Outline()
	box := outline.Box()
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n := 0
		var first geom.Point
		for _, f := range c.Board.Drills {
			for _, h := range f.Drilling.Holes {
				at := c.Place.Apply(h.At)
				r := (f.Drilling.Tools[h.Tool].Diameter + 1) / 2
				if box.Grow(-outlineSlack(outline)).Holds(geom.BoxOf(at).Grow(r)) {
					continue
				}
				if outline.Locate(at) == geom.Inside && outline.Distance(at) >= float64(r) {
					continue
				}
				if n == 0 {
					first = at
				}
				n++
			}
		}
		if n > 0 {
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("holes of %s that do not lie wholly on the panel: %d, the first at %v mm", c.ID, n, first),
				At: &first, Feature: c.ID, Copies: []string{c.ID}})
		}
	}
	return out, nil
}

// outlineSlack is how far inside its box a panel's rounded corners may reach.
func outlineSlack(o geom.Outline) geom.Length {
	var r geom.Length
	for _, e := range o.Outer {
		if e.Sense != geom.Straight {
			r = max(r, geom.Length(math.Ceil(e.Radius())))
		}
	}
	return r
}
