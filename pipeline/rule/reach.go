package rule

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// cutAtNeighbour tells of data outside a board's outline that would land on a neighbouring copy, and is
// cut or left out half-way.
func cutAtNeighbour(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	type key struct {
		board *panel.Board
		layer string
		left  int
		cut   int
	}
	at := map[key]int{}
	carrier, err := p.NewCarrier(ctx)
	if err != nil {
		return nil, err
	}
	var out []pipeline.Finding
	clippedAt := map[key]int{}
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for i := range c.Board.Layers {
			l := &c.Board.Layers[i]
			if n := carrier.Clipped(c, l); n > 0 {
				k := key{board: c.Board, layer: l.Function.Key()}
				if m, ok := clippedAt[k]; ok {
					out[m].Copies = append(out[m].Copies, c.ID)
				} else {
					clippedAt[k] = len(out)
					out = append(out, pipeline.Finding{
						Message: fmt.Sprintf("layer %s of board %s has clear objects that would erase what a neighbouring copy has drawn: they are clipped to keep off it", k.layer, c.Board.Name),
						Feature: c.ID, Copies: []string{c.ID},
					})
				}
			}
			_, t := carrier.Layer(c, l)
			if t.Left+t.Cut == 0 {
				continue
			}
			k := key{c.Board, l.Function.Key(), t.Left, t.Cut}
			if n, ok := at[k]; ok {
				out[n].Copies = append(out[n].Copies, c.ID)
				continue
			}
			at[k] = len(out)
			var what []string
			if t.Cut > 0 {
				what = append(what, counted(t.Cut, "is cut half-way", "are cut half-way"))
			}
			if t.Left > 0 {
				what = append(what, counted(t.Left, "lies wholly beyond half-way and is left out", "lie wholly beyond half-way and are left out"))
			}
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("layer %s of board %s has objects that reach a neighbouring copy: %s",
					k.layer, c.Board.Name, strings.Join(what, ", ")),
				Feature: c.ID, Copies: []string{c.ID},
			})
		}
	}
	return out, nil
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// reachIntoNeighbour finds what a panel carries of one copy that lies on another: artwork that could
// not be cut, and holes.
func reachIntoNeighbour(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	carrier, err := p.NewCarrier(ctx)
	if err != nil {
		return nil, err
	}
	copies := p.Copies()
	var index geom.Index[int]
	outlines := make([]geom.Outline, len(copies))
	for i, c := range copies {
		outlines[i] = c.Outline()
		index.Insert(outlines[i].Box(), i)
	}
	interlocked := make([][]int, len(copies))
	for i := range copies {
		own := outlines[i].Box()
		index.Search(own, func(b geom.Box, k int) bool {
			if k != i && own.Min.X < b.Max.X && b.Min.X < own.Max.X && own.Min.Y < b.Max.Y && b.Min.Y < own.Max.Y {
				interlocked[i] = append(interlocked[i], k)
			}
			return true
		})
		slices.Sort(interlocked[i])
	}
	seen := map[string]bool{}
	var out []pipeline.Finding
	report := func(c panel.Copy, what string, other int, at geom.Point) {
		key := c.ID + " " + what + " " + copies[other].ID
		if seen[key] {
			return
		}
		seen[key] = true
		out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s of %s lies on %s", what, c.ID, copies[other].ID),
			At: &at, Feature: c.ID, Copies: []string{c.ID, copies[other].ID}})
	}
	for i, c := range copies {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		back := c.Place.Inverse()
		theirs := map[int]geom.Outline{}
		edges := map[int][]geom.Edge{}
		outline := func(k int) (geom.Outline, []geom.Edge) { // in this board's coordinates
			if _, ok := theirs[k]; !ok {
				theirs[k] = back.Outline(outlines[k])
				edges[k] = theirs[k].Edges()
			}
			return theirs[k], edges[k]
		}
		near := func(box geom.Box, look func(k int)) {
			index.Search(c.Place.Box(box), func(_ geom.Box, k int) bool {
				if k != i {
					look(k)
				}
				return true
			})
		}
		for n := range c.Board.Layers {
			l := &c.Board.Layers[n]
			image, t := carrier.Layer(c, l)
			check := func(m *artwork.Image, o artwork.Object) {
				near(m.Box(o), func(k int) {
					if seen[c.ID+" artwork on layer "+l.Function.Key()+" "+copies[k].ID] {
						return
					}
					if x, e := outline(k); m.LiesOn(o, x, e) {
						report(c, "artwork on layer "+l.Function.Key(), k, c.Place.Apply(m.Anchor(o)))
					}
				})
			}
			for _, o := range t.Over { // they stand in the image too, whole
				check(image, o)
			}
			// Boards whose bounding boxes interlock have no gap to cut in: every object counts there.
			for _, k := range interlocked[i] {
				with := back.Box(outlines[k].Box())
				for _, o := range image.Objects {
					if !o.Clear && image.Box(o).Overlaps(with) {
						check(image, o)
					}
				}
			}
		}
		share := c.Board.Outline.Box()
		for _, f := range c.Board.Drills {
			for _, h := range f.Drilling.Holes {
				r := (f.Drilling.Tools[h.Tool].Diameter + 1) / 2
				box := geom.BoxOf(h.At).Grow(r)
				if share.Holds(box) {
					continue
				}
				near(box, func(k int) {
					x, _ := outline(k)
					if x.Locate(h.At) == geom.Inside || x.Distance(h.At) < float64(r) {
						report(c, "a hole", k, c.Place.Apply(h.At))
					}
				})
			}
		}
	}
	return out, nil
}
