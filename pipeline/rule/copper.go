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
	"panelwright/pipeline/panel/edgeclass"
)

// cut is something that takes material away: a band of half the width round an edge.
type cut struct {
	id   string
	edge geom.Edge
	half float64 // nm
}

// layers says which copper layers a rule is about.
type layers func(panel.Function) bool

func outerLayers(f panel.Function) bool { return f.Side != panel.Inner }
func innerLayers(f panel.Function) bool { return f.Side == panel.Inner }

// copperRule makes the two functions of a rule about copper near cuts.
func copperRule(cuts func(panel.Panel) []cut, of layers, byClass bool) (judge judging, measure measuring) {
	judge = func(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
		return copperTo(ctx, in.Panel, cuts(in.Panel), of, in.Limit, byClass)
	}
	measure = func(ctx context.Context, c pipeline.Case, _ []pipeline.Finding) (pipeline.Figure, error) {
		all := cuts(c.Panel)
		if len(all) == 0 || !anyBoard(c.Panel, func(b *panel.Board) bool {
			return slices.ContainsFunc(b.Layers, func(l panel.Layer) bool { return l.Function.Kind == panel.Copper && of(l.Function) })
		}) {
			return pipeline.Figure{Nothing: true}, nil
		}
		for _, within := range [2]float64{0.6, 3} { // mm; what lies further away is of no interest
			found, err := copperTo(ctx, c.Panel, all, of, within, byClass)
			if err != nil {
				return pipeline.Figure{}, err
			}
			if w := worstFigure(pipeline.AtLeast, found); w != nil {
				return pipeline.Figure{Worst: w}, nil
			}
		}
		return pipeline.Figure{}, nil
	}
	return judge, measure
}

// edges lists all that is routed: slots, cut-outs and the panel's own edge.
func edges(p panel.Panel) []cut {
	var cuts []cut
	for _, s := range p.Slots() {
		for _, e := range s.Outline.Edges() {
			cuts = append(cuts, cut{s.ID, e, 0})
		}
	}
	for _, e := range p.Outline().Edges() {
		cuts = append(cuts, cut{"the panel's edge", e, 0})
	}
	for _, c := range p.Copies() {
		o := c.Outline()
		for i, path := range o.CutOuts {
			for _, e := range path {
				cuts = append(cuts, cut{fmt.Sprintf("%s/cut_out/%d", c.ID, i+1), e, 0})
			}
		}
	}
	return cuts
}

func perforations(p panel.Panel) []cut {
	var cuts []cut
	for _, h := range p.Perforations() {
		cuts = append(cuts, cut{h.Tab, geom.Line(h.At, h.At), float64(h.Diameter) / 2})
	}
	return cuts
}

// near is a cut as one board's copies see it, in the board's coordinates.
type near struct {
	edge   geom.Edge
	half   float64
	copies []string
	ids    []string         // of the cut, for each copy
	places []geom.Transform // of each copy
}

// plain gives what is left of a cut along a board where the edge is castellated, plated or has fingers:
// copper belongs there. Places are looked at every 50 µm, and a stretch begins and ends between two of them.
func plain(e geom.Edge, classes *edgeclass.Locator) []geom.Edge {
	if classes == nil {
		return []geom.Edge{e}
	}
	const step = float64(50 * geom.UM)
	n := max(1, int(math.Ceil(e.Length()/step)))
	var out []geom.Edge
	from := -1
	for i := 0; i <= n; i++ {
		free := i < n
		if free {
			free = !classes.Holds(e.At((float64(i) + 0.5) / float64(n)))
		}
		switch {
		case free && from < 0:
			from = i
		case !free && from >= 0:
			f := geom.Edge{From: e.At(float64(from) / float64(n)), To: e.At(float64(i) / float64(n)), Center: e.Center, Sense: e.Sense}
			if from == 0 && i == n {
				f = e
			}
			out = append(out, f)
			from = -1
		}
	}
	return out
}

// copperTo finds copper nearer than limit (mm) to a cut, by its true shape: arcs, macros, regions, and what a
// later clear object takes away is not there. Copies for which a cut lies in the same place are judged once.
// With byClass the stretches of a board's edge to which copper belongs do not count.
func copperTo(ctx context.Context, p panel.Panel, cuts []cut, of layers, limit float64, byClass bool) ([]pipeline.Finding, error) {
	if len(cuts) == 0 {
		return nil, nil
	}
	var index geom.Index[int]
	for i, c := range cuts {
		index.Insert(c.edge.Box().Grow(geom.Length(math.Ceil(c.half))), i)
	}
	type key struct {
		edge geom.Edge
		half float64
	}
	reach := geom.FromMM(limit)
	var out []pipeline.Finding
	for _, b := range p.Boards() {
		extent := copperExtent(b)
		if extent.Empty() {
			continue
		}
		byPlace := map[key]int{}
		plains := map[geom.Edge][]geom.Edge{} // copies in a row see the same edges
		var seen []near
		var classes *edgeclass.Locator
		if byClass {
			list, err := edgeclass.Find(ctx, b)
			if err != nil {
				return nil, err
			}
			if len(list) > 0 {
				classes = edgeclass.NewLocator(b, list)
			}
		}
		for _, c := range p.Copies() {
			if c.Board != b {
				continue
			}
			back := c.Place.Inverse()
			var hits []int
			index.Search(c.Place.Box(extent).Grow(reach), func(_ geom.Box, i int) bool {
				hits = append(hits, i)
				return true
			})
			slices.Sort(hits)
			for _, i := range hits {
				// Only what lies near the board counts: a long line is cut down to there, so that
				// copies along it look alike.
				whole := trimmed(back.Edge(cuts[i].edge), extent.Grow(reach+geom.Length(math.Ceil(cuts[i].half))))
				pieces, ok := plains[whole]
				if !ok {
					pieces = plain(whole, classes)
					plains[whole] = pieces
				}
				for _, e := range pieces {
					k := key{e, cuts[i].half}
					if n, ok := byPlace[k]; ok {
						if !slices.Contains(seen[n].copies, c.ID) {
							seen[n].copies, seen[n].ids = append(seen[n].copies, c.ID), append(seen[n].ids, cuts[i].id)
							seen[n].places = append(seen[n].places, c.Place)
						}
						continue
					}
					byPlace[k] = len(seen)
					seen = append(seen, near{e, cuts[i].half, []string{c.ID}, []string{cuts[i].id}, []geom.Transform{c.Place}})
				}
			}
		}
		for _, l := range b.Layers {
			if l.Function.Kind != panel.Copper || !of(l.Function) {
				continue
			}
			found, err := layerTo(ctx, b, l, seen, reach)
			if err != nil {
				return nil, err
			}
			out = append(out, found...)
		}
	}
	return out, nil
}

func copperExtent(b *panel.Board) geom.Box {
	box := geom.EmptyBox()
	for _, l := range b.Layers {
		if l.Function.Kind == panel.Copper {
			box = box.Union(l.Image.Extent())
		}
	}
	return box
}

// trimmed cuts a straight edge that runs along an axis down to the box's extent along it; other edges
// stay whole.
func trimmed(e geom.Edge, b geom.Box) geom.Edge {
	if e.Sense != geom.Straight || e.From == e.To {
		return e
	}
	clamp := func(v, lo, hi geom.Length) geom.Length { return min(max(v, lo), hi) }
	switch {
	case e.From.Y == e.To.Y:
		e.From.X, e.To.X = clamp(e.From.X, b.Min.X, b.Max.X), clamp(e.To.X, b.Min.X, b.Max.X)
	case e.From.X == e.To.X:
		e.From.Y, e.To.Y = clamp(e.From.Y, b.Min.Y, b.Max.Y), clamp(e.To.Y, b.Min.Y, b.Max.Y)
	}
	if e.To.Less(e.From) { // the same line whichever way a turned copy sees it
		e = e.Reverse()
	}
	return e
}

// worst is the copper nearest to one cut.
type worst struct {
	distance float64
	at       geom.Point // on the cut, in the board's coordinates
}

// layerTo finds the copper of one layer that is too near to the cuts: the nearest for each. Distances are
// measured object by object; where that may be too near, because something clear lies there or an object has
// holes, the copper there is worked out as it is drawn.
func layerTo(ctx context.Context, b *panel.Board, l panel.Layer, cuts []near, reach geom.Length) ([]pipeline.Finding, error) {
	var index geom.Index[int]
	for i, c := range cuts {
		index.Insert(c.edge.Box().Grow(geom.Length(math.Ceil(c.half))), i)
	}
	exact := artwork.NewPicture(l.Image)
	found := map[int]worst{}
	doubtful := map[int]bool{}
	for i, o := range l.Image.Objects {
		if i%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if o.Clear {
			continue
		}
		index.Search(l.Image.Box(o).Grow(reach), func(_ geom.Box, k int) bool {
			d, at := l.Image.Drawn(o).NearestToEdge(cuts[k].edge)
			d -= cuts[k].half
			if d < float64(reach)-tolerance*1e6 {
				doubtful[k] = doubtful[k] || exact.Doubts(i, cuts[k].window(reach))
				if w, ok := found[k]; !ok || d < w.distance {
					found[k] = worst{d, at}
				}
			}
			return true
		})
	}
	for k := range cuts {
		if !doubtful[k] {
			continue
		}
		d, at, ok, err := exact.Nearest(ctx, cuts[k].edge, cuts[k].window(reach))
		if err != nil {
			return nil, err
		}
		if d -= cuts[k].half; !ok || d >= float64(reach)-tolerance*1e6 {
			delete(found, k)
		} else {
			found[k] = worst{d, at}
		}
	}
	// To one copy a row of holes or a slot of several edges is one place: its worst counts. Another copy, for
	// which that worst does not lie there, has a worst of its own. Of equals, to the nanometre, the one that most copies have counts,
	// so that they are told together.
	type place struct{ id, copy string }
	nearest := map[place]int{}
	for k, c := range cuts {
		w, ok := found[k]
		if !ok {
			continue
		}
		for i, id := range c.ids {
			at := place{id, c.copies[i]}
			n, seen := nearest[at]
			mine, other := math.Round(w.distance), math.Round(found[n].distance)
			if !seen || mine < other || mine == other && len(c.copies) > len(cuts[n].copies) {
				nearest[at] = k
			}
		}
	}
	var out []pipeline.Finding
	for k, c := range cuts {
		first := -1 // of the copies for which this is the worst
		var copies []string
		for i, id := range c.ids {
			if n, ok := nearest[place{id, c.copies[i]}]; ok && n == k {
				if first < 0 {
					first = i
				}
				copies = append(copies, c.copies[i])
			}
		}
		if first < 0 {
			continue
		}
		w, id := found[k], c.ids[first]
		at := c.places[first].Apply(w.at)
		v := math.Round(w.distance) / 1e6
		what := fmt.Sprintf("comes within %s mm of", trim(v))
		if v <= 0 {
			what = "is cut by"
			v = max(v, -float64(c.half)/1e6)
		}
		out = append(out, pipeline.Finding{
			Message: fmt.Sprintf("copper on layer %s of board %s %s %s; at least %s is asked for",
				l.Function.Key(), b.Name, what, id, reach),
			At: &at, Feature: id, Copies: copies, Measured: &v,
		})
	}
	return out, nil
}

// trim writes a number of millimetres without trailing zeros.
func trim(v float64) string {
	return geom.FromMM(v).Decimal()
}

func sortFloats(v []float64) { slices.Sort(v) }

// window is where copper must lie to be within reach of a cut.
func (c near) window(reach geom.Length) geom.Box {
	return c.edge.Box().Grow(geom.Length(math.Ceil(c.half)) + reach + geom.UM)
}
