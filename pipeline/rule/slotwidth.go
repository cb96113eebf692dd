package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// slotWidth finds slots that are narrow anywhere: two flanks of one slot, run along in opposite directions, with
// the opening between them. Slots that are as narrow as one another are told together.
func slotWidth(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	reach := geom.FromMM(in.Limit)
	type told struct {
		at, n int
	}
	seen := map[float64]told{}
	var out []pipeline.Finding
	for i, s := range in.Panel.Slots() {
		if i%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if strings.HasPrefix(s.ID, "relief/") {
			continue // beside a score line, with ends that taper off: its cutter counts
		}
		v, at, ok := narrowest(s.Outline, reach)
		if !ok {
			continue
		}
		v = math.Round(v) / 1e6
		if v >= in.Limit-tolerance {
			continue
		}
		k := math.Round(v * 1e3) // whole micrometres
		if t, ok := seen[k]; ok {
			seen[k] = told{t.at, t.n + 1}
			continue
		}
		seen[k] = told{len(out), 0}
		out = append(out, pipeline.Finding{
			Message: fmt.Sprintf("%s is %s mm wide; at least %v mm are asked for", s.ID, trim(v), in.Limit),
			At:      &at, Feature: s.ID, Measured: &v,
		})
	}
	for _, t := range seen {
		if t.n > 0 {
			out[t.at].Message += ", the same for " + counted(t.n, "other slot", "other slots")
		}
	}
	return out, nil
}

// narrowest gives the least width of an opening where that is less than reach, and the middle of that place.
func narrowest(o geom.Outline, reach geom.Length) (width float64, at geom.Point, ok bool) {
	edges := flanks(o, reach)
	var index geom.Index[int]
	for i, e := range edges {
		if !e.skip {
			index.Insert(e.Box(), i)
		}
	}
	width = float64(reach)
	for i, e := range edges {
		if e.skip {
			continue
		}
		var near []int
		index.Search(e.Box().Grow(reach), func(_ geom.Box, k int) bool {
			if k > i {
				near = append(near, k)
			}
			return true
		})
		slices.Sort(near)
		for _, k := range near {
			d, p, q := e.to(edges[k])
			if d > 0 && (e.chord || edges[k].chord) {
				d += chordSlack
			}
			if d == 0 || d > width || d == width && ok {
				continue
			}
			// Flanks that face each other run in opposite directions, within 45 degrees.
			a, b := onward(e.Edge, p), onward(edges[k].Edge, q)
			dot := float64(float64(a.X)*float64(b.X)) + float64(float64(a.Y)*float64(b.Y))
			if dot > -math.Sqrt2/2*a.Norm()*b.Norm() {
				continue
			}
			middle := geom.Pt(p.X+(q.X-p.X)/2, p.Y+(q.Y-p.Y)/2)
			if o.Locate(middle) == geom.Outside { // what lies between them is an island
				continue
			}
			width, at, ok = d, middle, true
		}
	}
	return width, at, ok
}

// flank is an edge of a slot's contour.
type flank struct {
	geom.Edge
	chord bool // one of a chain that stands for an arc: its ends alone are where they should be
	skip  bool // no flank
}

// flanks lists the edges of an opening. The round corners that a cutter leaves at a slot's ends are no flanks;
// where the kernel could not keep an arc there is a chain of short chords, which lie up to some micrometres
// inside of it.
func flanks(o geom.Outline, corner geom.Length) []flank {
	const short, bend = 600 * float64(geom.UM), 0.26 // 15 degrees
	const least = 10 * float64(geom.UM)              // a shorter edge runs nowhere
	var out []flank
	for _, path := range append([]geom.Path{o.Outer}, o.CutOuts...) {
		for i, e := range path {
			f := flank{Edge: e, skip: e.Length() < least || e.Sense == geom.CounterClockwise && e.Radius() <= float64(corner)}
			if e.Sense == geom.Straight && e.Length() < short {
				for _, other := range [2]geom.Edge{path[(i+1)%len(path)], path[(i+len(path)-1)%len(path)]} {
					a, b := e.Heading(e.From), other.Heading(other.From)
					if other.From != e.To {
						b = other.Heading(other.To)
					}
					cross := math.Abs(float64(float64(a.X)*float64(b.Y)) - float64(float64(a.Y)*float64(b.X)))
					dot := float64(float64(a.X)*float64(b.X)) + float64(float64(a.Y)*float64(b.Y))
					f.chord = f.chord || dot > 0 && cross > 0 && cross < bend*dot
				}
			}
			out = append(out, f)
		}
	}
	return out
}

// chordSlack is how far the ends of chords may lie off their arc, in nm; in doubt a slot is wide enough.
const chordSlack = 2000

// to is the distance of two flanks, and the nearest point of each.
func (f flank) to(g flank) (d float64, pf, pg geom.Point) {
	switch {
	case f.chord && g.chord:
		d = math.Inf(1)
		for _, p := range [2]geom.Point{f.From, f.To} {
			for _, q := range [2]geom.Point{g.From, g.To} {
				if x := p.Distance(q); x < d {
					d, pf, pg = x, p, q
				}
			}
		}
		return d, pf, pg
	case f.chord:
		d = math.Inf(1)
		for _, p := range [2]geom.Point{f.From, f.To} {
			if x, q := geom.PointEdgeDistance(p, g.Edge); x < d {
				d, pf, pg = x, p, q
			}
		}
		return d, pf, pg
	case g.chord:
		d, pg, pf = g.to(f)
		return d, pf, pg
	}
	return geom.EdgeDistance(f.Edge, g.Edge)
}

// onward gives the direction in which an edge is run along at a point of it.
func onward(e geom.Edge, at geom.Point) geom.Point {
	d := runs(e, at)
	if e.Sense == geom.Clockwise {
		return geom.Pt(-d.X, -d.Y)
	}
	return d
}
