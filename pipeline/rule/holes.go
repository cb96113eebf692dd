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
	// A limit below 0 asks for room between hole and board. Copies further off than a millimetre are not looked at.
	clear := geom.FromMM(min(max(0, -limit), 1))
	at := map[row]int{}
	var out []pipeline.Finding
	for _, h := range p.Perforations() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		radius := float64(h.Diameter)/2 + float64(grow)
		near := geom.BoxOf(h.At).Grow(geom.Length(math.Ceil(radius)) + clear)
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
	id string
	at geom.Point
	d  geom.Length
}

func (h hole) box() geom.Box { return geom.BoxOf(h.at).Grow((h.d + 1) / 2) }

// drilled is the round holes of a board, in its coordinates.
type drilled struct {
	holes  []hole
	index  geom.Index[int]
	extent geom.Box
}

func drilledIn(b *panel.Board) *drilled {
	out := &drilled{extent: geom.EmptyBox()}
	for _, f := range b.Drills {
		for _, h := range f.Drilling.Holes {
			x := hole{"", h.At, f.Drilling.Tools[h.Tool].Diameter}
			out.index.Insert(x.box(), len(out.holes))
			out.holes, out.extent = append(out.holes, x), out.extent.Union(x.box())
		}
	}
	return out
}

// holeSpacing holds each of the panel's own holes against the others of them, and against those of the copies
// near it.
func holeSpacing(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	var holes []hole
	var whose []string // the copy whose edge a perforation's row follows; none for tooling holes
	for _, h := range p.Perforations() {
		holes, whose = append(holes, hole{h.ID, h.At, h.Diameter}), append(whose, h.Copy)
	}
	for _, m := range p.Marks() {
		if m.Kind == panel.ToolingHole {
			holes, whose = append(holes, hole{m.ID, m.At, m.Diameter}), append(whose, "")
		}
	}
	if len(holes) == 0 {
		return nil, nil
	}
	var index, copyIndex geom.Index[int]
	for i, h := range holes {
		index.Insert(h.box(), i)
	}
	boards := map[*panel.Board]*drilled{}
	copies := p.Copies()
	byID := map[string]panel.Copy{}
	for i, c := range copies {
		byID[c.ID] = c
		if boards[c.Board] == nil {
			boards[c.Board] = drilledIn(c.Board)
		}
		if b := boards[c.Board]; len(b.holes) > 0 {
			copyIndex.Insert(c.Place.Box(b.extent), i)
		}
	}
	// Perforations that lie alike for several copies are told once.
	type alike struct {
		board *panel.Board
		a, b  geom.Point
		v     float64
	}
	told := map[alike]int{}
	var out []pipeline.Finding
	for i, h := range holes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		against := func(o hole) {
			v := math.Round(h.at.Distance(o.at)-float64(h.d+o.d)/2) / 1e6
			if v >= limit-tolerance {
				return
			}
			at := h.at
			f := pipeline.Finding{
				Message: fmt.Sprintf("%s mm of material between %s and %s; at least %v mm are asked for", trim(v), h.id, o.id, limit),
				At:      &at, Feature: h.id, Measured: &v,
			}
			if c, ok := byID[whose[i]]; ok {
				back := c.Place.Inverse()
				x := alike{c.Board, back.Apply(h.at), back.Apply(o.at), v}
				if n, ok := told[x]; ok {
					out[n].Copies = append(out[n].Copies, c.ID)
					return
				}
				told[x] = len(out)
				f.Copies = []string{c.ID}
			}
			out = append(out, f)
		}
		reach := (h.d+1)/2 + geom.FromMM(limit)
		index.Search(geom.BoxOf(h.at).Grow(reach), func(_ geom.Box, k int) bool {
			if k > i {
				against(holes[k])
			}
			return true
		})
		copyIndex.Search(geom.BoxOf(h.at).Grow(reach), func(_ geom.Box, k int) bool {
			c := copies[k]
			// A turn that is no quarter rounds places to the nanometre.
			boards[c.Board].index.Search(geom.BoxOf(c.Place.Inverse().Apply(h.at)).Grow(reach+2), func(_ geom.Box, n int) bool {
				o := boards[c.Board].holes[n]
				against(hole{c.ID + "/hole", c.Place.Apply(o.at), o.d})
				return true
			})
			return true
		})
	}
	return out, nil
}
