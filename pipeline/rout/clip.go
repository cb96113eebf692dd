package rout

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
)

// nearRest keeps of passes what comes within reach of what is to be cut.
func nearRest(ctx context.Context, o offset.Options, passes []geom.Path, rest geom.Region, reach geom.Length) ([]geom.Path, error) {
	near, err := offset.By(ctx, rest, reach, o)
	if err != nil {
		return nil, err
	}
	var walls geom.Index[geom.Edge]
	for _, p := range near.Paths() {
		for _, e := range p {
			walls.Insert(e.Box(), e)
		}
	}
	locate := geom.NewLocator(near)
	var out []geom.Path
	for _, p := range passes {
		for _, part := range inside(p, &walls, locate) {
			if part.Length() > float64(overlap)/2 { // less is where a pass grazes the border
				out = append(out, part)
			}
		}
	}
	return out, nil
}

// inside gives the parts of a path that lie in a region.
func inside(p geom.Path, walls *geom.Index[geom.Edge], locate *geom.Locator) []geom.Path {
	var parts []geom.Path
	on := false
	add := func(e geom.Edge) {
		if !on {
			parts = append(parts, nil)
		}
		k := len(parts) - 1
		parts[k] = append(parts[k], e)
		on = true
	}
	whole := true
	for _, e := range p {
		for _, piece := range split(e, walls) {
			if locate.Locate(piece.At(0.5)) == geom.Outside {
				on, whole = false, false
				continue
			}
			add(piece)
		}
	}
	// The part on which a closed path begins and ends is one.
	if n := len(parts); !whole && n > 1 && p.Closed() && parts[0][0].From == p[0].From && parts[n-1][len(parts[n-1])-1].To == p[0].From {
		parts[0] = append(parts[n-1], parts[0]...)
		parts = parts[:n-1]
	}
	return parts
}

// split cuts an edge where it crosses others.
func split(e geom.Edge, walls *geom.Index[geom.Edge]) []geom.Edge {
	var at []geom.Point
	walls.Search(e.Box(), func(_ geom.Box, w geom.Edge) bool {
		for _, q := range e.Intersections(w) {
			if q != e.From && q != e.To {
				at = append(at, q)
			}
		}
		return true
	})
	if len(at) == 0 {
		return []geom.Edge{e}
	}
	slices.SortFunc(at, func(a, b geom.Point) int {
		x, y := e.Along(a), e.Along(b)
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return a.Compare(b)
	})
	at = slices.Compact(at)
	var out []geom.Edge
	from := e.From
	for _, q := range append(at, e.To) {
		if q == from {
			continue
		}
		piece := e
		piece.From, piece.To = from, q
		out = append(out, piece)
		from = q
	}
	return out
}
