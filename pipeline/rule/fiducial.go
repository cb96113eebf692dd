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

func fiducialClearArea(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	var out []pipeline.Finding
	for _, m := range p.Marks() {
		if m.Kind != panel.Fiducial {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		radius := float64(m.Clear) / 2
		for _, what := range intruders(p, m, radius) {
			at := m.At
			v := math.Round(what.distance) / 1e6
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s lies %s mm from the middle of %s, inside its clear area of %v", what.id, trim(v), m.ID, m.Clear),
				At:      &at, Feature: m.ID, Measured: &v,
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

func intruders(p panel.Panel, m panel.Mark, radius float64) []intruder {
	var out []intruder
	add := func(id string, d float64) {
		if d < radius-tolerance*1e6 {
			out = append(out, intruder{id, max(d, 0)})
		}
	}
	to := func(e geom.Edge) float64 { d, _ := geom.PointEdgeDistance(m.At, e); return d }
	for _, e := range p.Outline().Edges() {
		add("the panel's edge", to(e))
	}
	for _, o := range p.Marks() {
		if o.ID != m.ID {
			add(o.ID, m.At.Distance(o.At)-float64(o.Diameter)/2)
		}
	}
	for _, s := range p.Slots() {
		for _, e := range s.Outline.Edges() {
			add(s.ID, to(e))
		}
	}
	for _, h := range p.Perforations() {
		add(h.ID, m.At.Distance(h.At)-float64(h.Diameter)/2)
	}
	for _, s := range p.Scores() {
		sin, cos := geom.SinCos(s.IncludedAngle.Degrees() / 2 * math.Pi / 180)
		groove := float64(float64(s.Depth) * sin / cos)
		add(s.ID, to(geom.Line(s.From, s.To))-groove)
	}
	for _, c := range p.Copies() {
		if id, d, ok := copperNear(c, m, radius); ok {
			add(id, d)
		}
	}
	return out
}

// copperNear finds the copy's outer copper that lies nearest to the mark, within radius.
func copperNear(c panel.Copy, m panel.Mark, radius float64) (id string, distance float64, ok bool) {
	at := c.Place.Inverse().Apply(m.At)
	reach := geom.BoxOf(at).Grow(geom.Length(math.Ceil(radius)))
	best := math.Inf(1)
	for _, l := range c.Board.Layers {
		if l.Function.Kind != panel.Copper || !slices.Contains(m.Sides, l.Function.Side) || !l.Image.Extent().Overlaps(reach) {
			continue
		}
		for _, o := range l.Image.Objects {
			if o.Clear || !l.Image.Box(o).Overlaps(reach) {
				continue
			}
			if d := l.Image.DistanceToPoint(o, at); d < best {
				best, id = d, "copper on layer "+l.Function.Key()+" of "+c.ID
			}
		}
	}
	return id, best, best < radius
}
