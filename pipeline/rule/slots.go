package rule

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// slotInBoard finds slots whose band reaches into a board.
func slotInBoard(ctx context.Context, p panel.Panel, limit float64) ([]pipeline.Finding, error) {
	copies := p.Copies()
	var index geom.Index[int]
	outlines := make([]geom.Outline, len(copies))
	for i, c := range copies {
		outlines[i] = c.Outline()
		index.Insert(outlines[i].Box(), i)
	}
	var out []pipeline.Finding
	for _, s := range p.Slots() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		half := float64(s.Width) / 2
		worst := map[int]float64{}
		at := map[int]geom.Point{}
		for _, e := range s.Path {
			index.Search(e.Box().Grow(geom.Length(math.Ceil(half))), func(_ geom.Box, i int) bool {
				d, _, q := geom.PathDistance(geom.Path{e}, outlines[i].Outer)
				depth := half - d
				if outlines[i].Locate(e.At(0.5)) == geom.Inside {
					depth = half + d
				}
				if depth > worst[i] {
					worst[i], at[i] = depth, q
				}
				return true
			})
		}
		for i := range copies {
			v := math.Round(worst[i]) / 1e6
			if v <= limit+2*tolerance { // two roundings: the slot's path and the board's edge
				continue
			}
			place := at[i]
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s reaches %s mm into %s; at most %v mm are allowed", s.ID, trim(v), copies[i].ID, limit),
				At:      &place, Feature: s.ID, Copies: []string{copies[i].ID}, Measured: &v,
			})
		}
	}
	return out, nil
}

// slotWidth finds slots that are narrower than a cutter.
func slotWidth(_ context.Context, p panel.Panel, limit float64) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, s := range p.Slots() {
		if v := s.Width.MM(); v < limit-tolerance {
			at := s.Path[0].From
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s is %s mm wide; at least %v mm are asked for", s.ID, trim(v), limit),
				At:      &at, Feature: s.ID, Measured: &v,
			})
		}
	}
	return out, nil
}

// holeOffPanel finds holes of boards that do not lie wholly on the panel.
func holeOffPanel(ctx context.Context, p panel.Panel, _ float64) ([]pipeline.Finding, error) {
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
