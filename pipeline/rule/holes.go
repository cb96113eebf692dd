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

// A fabricator's tolerances (pcbbaltic.lt, tolerances): a hole's position ±0.05 mm, a non-plated
// hole's diameter ±0.05 mm.
const (
	positionTolerance = 50 * geom.UM
	diameterTolerance = 50 * geom.UM
)

func perforationInBoard(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	return perforationsIn(ctx, p, limit, 0, "as drawn")
}

func perforationAtWorst(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	return perforationsIn(ctx, p, limit, positionTolerance+diameterTolerance/2,
		fmt.Sprintf("at the worst of its position (± %v) and diameter (± %v)", positionTolerance, diameterTolerance))
}

// perforationsIn finds rows of perforations that reach into a copy by more than limit (mm), grown by
// the given allowance on their radius: the deepest hole of each row.
func perforationsIn(ctx context.Context, p panel.Panel, limit float64, grow geom.Length, how string) ([]pipeline.Finding, error) {
	var index geom.Index[int]
	copies := p.Copies()
	outlines := make([]geom.Outline, len(copies))
	for i, c := range copies {
		outlines[i] = c.Outline()
		index.Insert(outlines[i].Box(), i)
	}
	type row struct {
		tab  string
		copy int
	}
	insets := map[rowKey]panel.Row{}
	for _, t := range p.Tabs() {
		for n, r := range t.Rows {
			insets[rowKey{t.ID, n}] = r
		}
	}
	at := map[row]int{}
	var out []pipeline.Finding
	for _, h := range p.Perforations() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		radius := float64(h.Diameter)/2 + float64(grow)
		near := geom.BoxOf(h.At).Grow(geom.Length(math.Ceil(radius)))
		index.Search(near, func(_ geom.Box, i int) bool {
			depth := radius - outlines[i].Distance(h.At)
			if outlines[i].Locate(h.At) == geom.Inside {
				depth = radius + outlines[i].Distance(h.At)
			}
			if row := insets[rowKey{h.Tab, h.Row}]; row.Inset > 0 && slices.Contains(row.Copies, copies[i].ID) {
				depth -= float64(row.Inset)
			}
			v := math.Round(depth) / 1e6
			k, seen := at[row{h.Tab, i}]
			if v <= limit+tolerance || seen && v <= *out[k].Measured {
				return true
			}
			place := h.At
			f := pipeline.Finding{
				Message: fmt.Sprintf("%s reaches %s mm into %s, %s; at most %v mm are allowed", h.ID, trim(v), copies[i].ID, how, limit),
				At:      &place, Feature: h.ID, Copies: []string{copies[i].ID}, Measured: &v,
			}
			if seen {
				out[k] = f
				return true
			}
			at[row{h.Tab, i}] = len(out)
			out = append(out, f)
			return true
		})
	}
	return out, nil
}

// rowKey names a row of a tab.
type rowKey struct {
	tab string
	row int
}

// hole is a round hole on the panel.
type hole struct {
	id    string
	at    geom.Point
	d     geom.Length
	added bool // by the panel, not by a board
}

func holeSpacing(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	var holes []hole
	for _, h := range p.Perforations() {
		holes = append(holes, hole{h.ID, h.At, h.Diameter, true})
	}
	for _, m := range p.Marks() {
		if m.Kind == panel.ToolingHole {
			holes = append(holes, hole{m.ID, m.At, m.Diameter, true})
		}
	}
	if len(holes) == 0 {
		return nil, nil
	}
	for _, c := range p.Copies() {
		for _, f := range c.Board.Drills {
			for _, h := range f.Drilling.Holes {
				holes = append(holes, hole{c.ID + "/hole", c.Place.Apply(h.At), f.Drilling.Tools[h.Tool].Diameter, false})
			}
		}
	}
	var index geom.Index[int]
	for i, h := range holes {
		index.Insert(geom.BoxOf(h.at).Grow((h.d+1)/2), i)
	}
	var out []pipeline.Finding
	for i, h := range holes {
		if !h.added {
			break // the panel's own holes come first
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		index.Search(geom.BoxOf(h.at).Grow((h.d+1)/2+geom.FromMM(limit)), func(_ geom.Box, k int) bool {
			o := holes[k]
			if k == i || o.added && k < i {
				return true
			}
			v := math.Round(h.at.Distance(o.at)-float64(h.d+o.d)/2) / 1e6
			if v < limit-tolerance {
				at := h.at
				out = append(out, pipeline.Finding{
					Message: fmt.Sprintf("%s mm of material between %s and %s; at least %v mm are asked for", trim(v), h.id, o.id, limit),
					At:      &at, Feature: h.id, Measured: &v,
				})
			}
			return true
		})
	}
	return out, nil
}
