package rule

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

func fiducialClearArea(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	var out []pipeline.Finding
	boards := map[*panel.Board]sights{}
	for _, b := range placedBoards(p) {
		boards[b.Board] = newSights(b.Board)
	}
	for _, m := range marks(p, panel.Fiducial) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		radius := float64(m.Clear) / 2
		list, err := intruders(ctx, p, m, radius, boards)
		if err != nil {
			return nil, err
		}
		for _, what := range list {
			at := m.At
			v, needed := math.Round(what.distance)/1e6, math.Round(radius)/1e6
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s lies %s mm from the middle of %s, inside its clear area of %v", what.id, trim(v), m.ID, m.Clear),
				At:      &at, Feature: m.ID, Measured: &v, Limit: &needed,
			})
		}
	}
	return out, nil
}

// intruder is something that reaches into a fiducial's clear area.
type intruder struct {
	id       string
	distance float64 // nm, from the fiducial's middle
}

func intruders(ctx context.Context, p panel.Panel, m panel.Mark, radius float64, boards map[*panel.Board]sights) ([]intruder, error) {
	var out []intruder
	add := func(id string, d float64) {
		if d < radius-tolerance*1e6 {
			out = append(out, intruder{id, max(d, 0)})
		}
	}
	to := func(e geom.Edge) float64 { d, _ := geom.PointEdgeDistance(m.At, e); return d }
	along := func(id string, paths ...geom.Path) {
		least := math.Inf(1)
		for _, path := range paths {
			for _, e := range path {
				least = min(least, to(e))
			}
		}
		add(id, least)
	}
	outline := p.Outline()
	along("the panel's edge", append([]geom.Path{outline.Outer}, outline.CutOuts...)...)
	for _, o := range p.Marks() {
		if o.ID == m.ID {
			continue
		}
		reach := o.Diameter
		if o.Kind == panel.Fiducial {
			if !slices.ContainsFunc(o.Sides, func(s panel.Side) bool { return slices.Contains(m.Sides, s) }) {
				continue
			}
			reach = max(o.Diameter, o.Mask)
		}
		add(o.ID, m.At.Distance(o.At)-float64(reach)/2)
	}
	for _, s := range p.Slots() {
		if s.Outline.Locate(m.At) == geom.Inside {
			add(s.ID, 0)
			continue
		}
		along(s.ID, append([]geom.Path{s.Outline.Outer}, s.Outline.CutOuts...)...)
	}
	for _, h := range p.Perforations() {
		add(h.ID, m.At.Distance(h.At)-float64(h.Diameter)/2)
	}
	for _, s := range p.Scores() {
		add(s.ID, to(s.Groove())-float64(s.HalfWidth()))
	}
	for _, x := range p.Prints() {
		if id, d, ok := printNear(x, m); ok {
			add(id, d)
		}
	}
	for _, c := range p.Copies() {
		list, err := copyNear(ctx, c, m, radius, boards[c.Board])
		if err != nil {
			return nil, err
		}
		for _, near := range list {
			add(near.id, near.distance)
		}
	}
	return out, nil
}

// seen tells whether a fiducial's camera sees a layer: outer copper, mask and legend of one of its sides.
func seen(m panel.Mark, f panel.Function) bool {
	return (f.Kind == panel.Copper || f.Kind == panel.Soldermask || f.Kind == panel.Legend) && slices.Contains(m.Sides, f.Side)
}

// printNear gives how far what the panel prints of its own lies from a fiducial's middle. An opening in the mask
// that lies all round the fiducial shows no edge near it; room that is kept for a label counts as printed.
func printNear(x panel.Print, m panel.Mark) (id string, distance float64, ok bool) {
	best := math.Inf(1)
	for _, f := range x.Layers {
		if !seen(m, f) {
			continue
		}
		id, ok = x.ID, true
		if x.Use == panel.LabelArea {
			best = min(best, geom.Outline{Outer: geom.Rectangle(x.Area)}.Distance(m.At))
			if x.Area.HoldsPoint(m.At) {
				best = 0
			}
		}
		image := x.Image(nil)
		for _, o := range image.Objects {
			if f.Kind == panel.Soldermask && o.Kind == artwork.Fill {
				for _, c := range image.Regions[o.Region].Contours {
					for _, e := range c {
						d, _ := geom.PointEdgeDistance(m.At, e)
						best = min(best, d)
					}
				}
				continue
			}
			best = min(best, image.DistanceToPoint(o, m.At))
		}
	}
	return id, best, ok
}

// sights is how far what a board shows to a camera reaches, in the board's coordinates.
type sights struct {
	layers []geom.Box // as the board's layers
	holes  geom.Box
	all    geom.Box
}

func newSights(b *panel.Board) sights {
	s := sights{holes: geom.EmptyBox(), all: geom.EmptyBox()}
	for _, l := range b.Layers {
		box := geom.EmptyBox()
		if k := l.Function.Kind; l.Function.Side != panel.Inner && (k == panel.Copper || k == panel.Soldermask || k == panel.Legend) {
			box = l.Image.Extent()
		}
		s.layers, s.all = append(s.layers, box), s.all.Union(box)
	}
	for _, x := range bores(b) {
		s.holes = s.holes.Union(x.box())
	}
	s.all = s.all.Union(s.holes)
	return s
}

// copyNear finds what of a copy lies nearest to the mark, within radius: on each layer that its camera sees, as it is
// drawn, and of its holes.
func copyNear(ctx context.Context, c panel.Copy, m panel.Mark, radius float64, reaches sights) ([]intruder, error) {
	at := c.Place.Inverse().Apply(m.At)
	reach := geom.BoxOf(at).Grow(geom.Length(math.Ceil(radius)))
	if !reaches.all.Overlaps(reach) {
		return nil, nil
	}
	var out []intruder
	what := map[panel.FunctionKind]string{panel.Copper: "copper on layer ", panel.Soldermask: "an opening of layer ", panel.Legend: "print on layer "}
	for i, l := range c.Board.Layers {
		if !seen(m, l.Function) || !reaches.layers[i].Overlaps(reach) {
			continue
		}
		best := math.Inf(1)
		for _, o := range l.Image.Objects {
			if o.Clear || !l.Image.Box(o).Overlaps(reach) {
				continue
			}
			best = min(best, l.Image.DistanceToPoint(o, at))
		}
		if best < radius { // something clear may lie over it, or it has a hole there
			d, _, ok, err := artwork.NewPicture(l.Image).Nearest(ctx, geom.Line(at, at), reach)
			if err != nil {
				return nil, err
			}
			if best = d; !ok {
				continue
			}
			out = append(out, intruder{what[l.Function.Kind] + l.Function.Key() + " of " + c.ID, best})
		}
	}
	if !reaches.holes.Overlaps(reach) {
		return out, nil
	}
	best := math.Inf(1)
	for _, x := range bores(c.Board) {
		d, _ := geom.PointEdgeDistance(at, x.edge)
		best = min(best, d-float64(x.d)/2)
	}
	if best < radius {
		out = append(out, intruder{"a hole of " + c.ID, best})
	}
	return out, nil
}

func fiducialLeast(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, m := range marks(in.Panel, panel.Fiducial) {
		if v := m.Diameter.MM(); v < in.Limit-tolerance {
			at := m.At
			out = append(out, pipeline.Finding{At: &at, Feature: m.ID, Measured: &v,
				Message: fmt.Sprintf("%s has a dot of %v, less than %v mm", m.ID, m.Diameter, in.Limit)})
		}
	}
	return out, nil
}

func fiducialMost(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, m := range marks(in.Panel, panel.Fiducial) {
		if v := m.Diameter.MM(); v > in.Limit+tolerance {
			at := m.At
			out = append(out, pipeline.Finding{At: &at, Feature: m.ID, Measured: &v,
				Message: fmt.Sprintf("%s has a dot of %v, more than %v mm", m.ID, m.Diameter, in.Limit)})
		}
	}
	return out, nil
}

func fiducialSpread(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	all := marks(in.Panel, panel.Fiducial)
	if len(all) == 0 {
		return nil, nil
	}
	by := func(a, b panel.Mark) int { return int(a.Diameter - b.Diameter) }
	small, large := slices.MinFunc(all, by), slices.MaxFunc(all, by)
	v := (large.Diameter - small.Diameter).MM()
	if v <= in.Limit+tolerance {
		return nil, nil
	}
	at := large.At
	return []pipeline.Finding{{At: &at, Feature: large.ID, Measured: &v,
		Message: fmt.Sprintf("fiducials differ in size by %s mm, more than %v mm: %s has a dot of %v, %s one of %v",
			trim(v), in.Limit, small.ID, small.Diameter, large.ID, large.Diameter)}}, nil
}

func fiducialClearSize(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, m := range marks(in.Panel, panel.Fiducial) {
		if m.Diameter <= 0 || (m.Clear-m.Diameter).MM() >= float64(in.Limit*m.Diameter.MM())-tolerance {
			continue
		}
		v, at := math.Round(float64(m.Clear-m.Diameter)/float64(m.Diameter)*1e6)/1e6, m.At
		out = append(out, pipeline.Finding{At: &at, Feature: m.ID, Measured: &v,
			Message: fmt.Sprintf("%s has a dot of %v and is kept clear over a diameter of %v: beyond the dot that is %s times its radius, less than %v times",
				m.ID, m.Diameter, m.Clear, trim(v), in.Limit)})
	}
	return out, nil
}

func fiducialToEdge(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	outline := in.Panel.Outline()
	for _, m := range marks(in.Panel, panel.Fiducial) {
		if v := rimToEdge(outline, m.At, m.Clear); v < in.Limit-tolerance {
			at := m.At
			out = append(out, pipeline.Finding{At: &at, Feature: m.ID, Measured: &v,
				Message: fmt.Sprintf("the clear area of %s, of %v, lies %s mm from the panel's edge, nearer than %v mm", m.ID, m.Clear, trim(v), in.Limit)})
		}
	}
	return out, nil
}

// fiducialCount wants enough fiducials on every side that parts are known to be on.
func fiducialCount(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	for _, side := range partSides(in.Panel) {
		on := onSide(in.Panel, side)
		if v := float64(len(on)); v < in.Limit {
			out = append(out, pipeline.Finding{Feature: "panel", Measured: &v,
				Message: fmt.Sprintf("the panel has %s on its %s, where parts are; at least %v are wanted", counted(len(on), "fiducial", "fiducials"), side, in.Limit)})
		}
	}
	return out, nil
}

func onSide(p panel.Panel, side panel.Side) []panel.Mark {
	return slices.DeleteFunc(marks(p, panel.Fiducial), func(m panel.Mark) bool { return !slices.Contains(m.Sides, side) })
}
