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

// carried gives the sides of the panel that the conveyor holds: those that stage support names, else those that panels are
// usually carried by.
func carried(p panel.Panel) []panel.RailSide {
	if s := p.Support(); s != nil && s.Carried == panel.ByTwoRails {
		return s.Sides
	}
	return p.CarriedSides()
}

// inward gives how far a box lies from one side of the panel: negative where it reaches over it.
func inward(side panel.RailSide, whole, b geom.Box) geom.Length {
	switch side {
	case panel.Upper:
		return whole.Max.Y - b.Max.Y
	case panel.Lower:
		return b.Min.Y - whole.Min.Y
	case panel.Left:
		return b.Min.X - whole.Min.X
	}
	return whole.Max.X - b.Max.X
}

// room gives what a part takes on the panel: its body, else its place.
func room(c panel.Copy, x panel.Part) (box geom.Box, body bool) {
	if o, ok := x.BodyOutline(); ok {
		return c.Place.Path(o).Box(), true
	}
	return geom.BoxOf(c.Place.Apply(x.At)), false
}

// conveyorEdge finds parts in the strip that the conveyor holds, and openings in the edges by which it holds
// the panel.
func conveyorEdge(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	whole := p.Outline().Box()
	var out []pipeline.Finding
	for _, side := range carried(p) {
		found, err := partsInStrip(ctx, p, side, whole, in.Limit)
		if err != nil {
			return nil, err
		}
		out = append(append(out, found...), openings(p, side, whole, in.Limit)...)
	}
	return out, nil
}

func partsInStrip(ctx context.Context, p panel.Panel, side panel.RailSide, whole geom.Box, limit float64) ([]pipeline.Finding, error) {
	type key struct {
		board *panel.Board
		part  int
		away  geom.Length
	}
	at := map[key]int{}
	var out []pipeline.Finding
	err := fromSide(ctx, p, side, whole, limit, func(c panel.Copy, i int, away geom.Length, body bool) {
		if away.MM() >= limit-tolerance {
			return
		}
		k := key{c.Board, i, away}
		if n, ok := at[k]; ok {
			out[n].Copies = append(out[n].Copies, c.ID)
			return
		}
		at[k] = len(out)
		x := c.Board.Parts[i]
		v, place := away.MM(), c.Place.Apply(x.At)
		what := "its body is"
		if !body {
			what = "its place, for its body is not known, is"
		}
		out = append(out, pipeline.Finding{At: &place, Feature: c.ID + "/part/" + x.Refdes, Copies: []string{c.ID}, Measured: &v,
			Message: fmt.Sprintf("%s of board %s lies where the conveyor holds the panel: %s %v from the %s edge, nearer than %v mm",
				x.Refdes, c.Board.Name, what, away, side, limit)})
	})
	return out, err
}

// fromSide calls f for the parts of copies, with how far each lies from a side of the panel. Copies whose parts all lie
// further off than reach, in mm, are left out.
func fromSide(ctx context.Context, p panel.Panel, side panel.RailSide, whole geom.Box, reach float64, f func(c panel.Copy, part int, away geom.Length, body bool)) error {
	extents := map[*panel.Board]geom.Box{}
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return err
		}
		if c.Board.PartsElsewhere || len(c.Board.Parts) == 0 {
			continue
		}
		extent, ok := extents[c.Board]
		if !ok {
			extent = geom.EmptyBox()
			for _, x := range c.Board.Parts {
				box, _ := room(panel.Copy{Board: c.Board}, x)
				extent = extent.Union(box)
			}
			extent = extent.Grow(geom.UM) // roundings of places
			extents[c.Board] = extent
		}
		if inward(side, whole, c.Place.Box(extent)).MM() > reach {
			continue
		}
		for i, x := range c.Board.Parts {
			box, body := room(c, x)
			f(c, i, inward(side, whole, box), body)
		}
	}
	return nil
}

// conveyorFigure gives the part that lies nearest to an edge which the conveyor holds. What opens such an edge stands
// among the findings.
func conveyorFigure(ctx context.Context, in pipeline.Case, found []pipeline.Finding) (pipeline.Figure, error) {
	if w := worstFigure(pipeline.AtLeast, found); w != nil {
		return pipeline.Figure{Worst: w}, nil
	}
	// Of the copies of a board that are turned alike the same part is the nearest to a side.
	type key struct {
		board *panel.Board
		turn  geom.Angle
	}
	var w *pipeline.Finding
	whole := in.Panel.Outline().Box()
	for _, side := range carried(in.Panel) {
		outermost := map[key]int{}
		for _, c := range in.Panel.Copies() {
			if err := ctx.Err(); err != nil {
				return pipeline.Figure{}, err
			}
			if c.Board.PartsElsewhere || len(c.Board.Parts) == 0 {
				continue
			}
			away := func(part int) geom.Length {
				box, _ := room(c, c.Board.Parts[part])
				return inward(side, whole, box)
			}
			k := key{c.Board, c.Place.Turn.Normal()}
			i, ok := outermost[k]
			if !ok {
				least := away(0)
				for n := range c.Board.Parts {
					if d := away(n); d < least {
						i, least = n, d
					}
				}
				outermost[k] = i
			}
			if v := away(i).MM(); w == nil || v < *w.Measured {
				x := c.Board.Parts[i]
				at := c.Place.Apply(x.At)
				w = &pipeline.Finding{At: &at, Feature: c.ID + "/part/" + x.Refdes, Copies: []string{c.ID}, Measured: &v}
			}
		}
	}
	return pipeline.Figure{Worst: w, Nothing: w == nil}, nil
}

// openings finds slots, and boards' holes and slots, that run out through a side of the panel. Tooling holes have
// a rule of their own.
func openings(p panel.Panel, side panel.RailSide, whole geom.Box, limit float64) []pipeline.Finding {
	var out []pipeline.Finding
	do := ""
	if !slices.ContainsFunc(p.Rails(), func(r panel.Rail) bool { return r.Side == side }) {
		do = "; there is no rail: stage rails lays one"
	}
	open := func(id, what string, copies []string, b geom.Box) {
		// Slots that run out end on the outline itself.
		if inward(side, whole, b) > 0 || !b.Overlaps(whole) {
			return
		}
		v, at := 0.0, b.Center()
		out = append(out, pipeline.Finding{At: &at, Feature: id, Copies: copies, Measured: &v,
			Message: fmt.Sprintf("%s opens the %s edge, which the conveyor holds; %v mm along it are to be whole%s", what, side, limit, do)})
	}
	for _, s := range p.Slots() {
		open(s.ID, s.ID, nil, s.Outline.Box())
	}
	for _, c := range p.Copies() {
		extent := c.Box()
		if inward(side, whole, extent) > 2*geom.MM {
			continue // holes that reach so far over their board are for hit-inside-board
		}
		var box geom.Box
		n := 0
		add := func(b geom.Box) {
			if inward(side, whole, b) <= 0 && b.Overlaps(whole) {
				if n == 0 {
					box = b
				}
				n++
			}
		}
		for _, f := range c.Board.Drills {
			for _, h := range f.Drilling.Holes {
				add(geom.BoxOf(c.Place.Apply(h.At)).Grow((f.Drilling.Tools[h.Tool].Diameter + 1) / 2))
			}
			for _, r := range f.Drilling.Routs {
				add(c.Place.Path(r.Path).Box().Grow((f.Drilling.Tools[r.Tool].Diameter + 1) / 2))
			}
		}
		if n > 0 {
			open(c.ID, counted(n, "hole or slot", "holes and slots")+" of "+c.ID, []string{c.ID}, box)
		}
	}
	return out
}

// partSides gives the sides on which the placed boards have parts.
func partSides(p panel.Panel) []panel.Side {
	var out []panel.Side
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		if slices.ContainsFunc(placedBoards(p), func(b placedBoard) bool {
			return slices.ContainsFunc(b.Parts, func(x panel.Part) bool { return x.Side == side })
		}) {
			out = append(out, side)
		}
	}
	return out
}

// marks gives the marks of a kind, in their order.
func marks(p panel.Panel, kind panel.MarkKind) []panel.Mark {
	return slices.DeleteFunc(p.Marks(), func(m panel.Mark) bool { return m.Kind != kind })
}

func toolingHoleCount(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	n := len(marks(in.Panel, panel.ToolingHole))
	v := float64(n)
	if v >= in.Limit {
		return nil, nil
	}
	return []pipeline.Finding{{Feature: "panel", Measured: &v,
		Message: fmt.Sprintf("the panel has %s, fewer than %v", counted(n, "tooling hole", "tooling holes"), in.Limit)}}, nil
}

func toolingHoleDiameter(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, m := range marks(in.Panel, panel.ToolingHole) {
		if v := m.Diameter.MM(); v < in.Limit-tolerance {
			at := m.At
			out = append(out, pipeline.Finding{At: &at, Feature: m.ID, Measured: &v,
				Message: fmt.Sprintf("%s has a diameter of %v, less than %v mm", m.ID, m.Diameter, in.Limit)})
		}
	}
	return out, nil
}

func toolingHoleToEdge(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	outline := in.Panel.Outline()
	for _, m := range marks(in.Panel, panel.ToolingHole) {
		if v := rimToEdge(outline, m.At, m.Diameter); v < in.Limit-tolerance {
			at := m.At
			out = append(out, pipeline.Finding{At: &at, Feature: m.ID, Measured: &v,
				Message: fmt.Sprintf("the rim of %s lies %s mm from the panel's edge, nearer than %v mm", m.ID, trim(v), in.Limit)})
		}
	}
	return out, nil
}

// rimToEdge is how far a disc's rim lies from the panel's edge, in mm; negative where it reaches over it.
func rimToEdge(o geom.Outline, at geom.Point, diameter geom.Length) float64 {
	d := o.Distance(at)
	if o.Locate(at) == geom.Outside {
		d = -d
	}
	return math.Round(d-float64(diameter)/2) / 1e6
}
