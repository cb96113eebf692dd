package panel

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Erasure is a clear object of one copy that reaches into another copy, where it would erase what
// the other has drawn before it.
type Erasure struct {
	Copy, Other string // ids
	Layer       string // the function's key
	At          geom.Point
}

// Erasures finds clear objects that reach into another copy's outline, the first of each layer and pair
// of copies, and no more than a hundred in all. Boards whose bounding boxes interlock are looked at
// closely too: what is clear inside a board's own box may still lie on a neighbour.
func (p Panel) Erasures(ctx context.Context) ([]Erasure, error) {
	copies := p.get().copies
	boxes := make([]geom.Box, len(copies))
	var index geom.Index[int]
	for i, c := range copies {
		boxes[i] = c.Box()
		index.Insert(boxes[i], i)
	}
	clear := map[*artwork.Image]geom.Box{} // what each layer's clear objects reach, in the board's coordinates
	for _, b := range p.get().boards {
		for _, l := range b.Layers {
			box := geom.EmptyBox()
			for _, o := range l.Image.Objects {
				if o.Clear {
					box = box.Union(l.Image.Box(o))
				}
			}
			clear[l.Image] = box
		}
	}
	var out []Erasure
	for i, c := range copies {
		for _, l := range c.Board.Layers {
			reach := clear[l.Image]
			if reach.Empty() {
				continue
			}
			var near []int
			index.Search(c.Place.Box(reach), func(_ geom.Box, k int) bool {
				if k != i && overlapInside(c.Place.Box(reach), boxes[k]) {
					near = append(near, k)
				}
				return true
			})
			slices.Sort(near)
			for _, k := range near {
				if err := ctx.Err(); err != nil {
					return nil, err
				}
				if at, ok := erases(c, l.Image, copies[k], boxes[k]); ok {
					out = append(out, Erasure{c.ID, copies[k].ID, l.Function.Key(), at})
					if len(out) == 100 {
						return out, nil
					}
				}
			}
		}
	}
	return out, nil
}

// erases tells whether a clear object of a copy's layer lies on another copy, and where.
func erases(c Copy, m *artwork.Image, other Copy, box geom.Box) (geom.Point, bool) {
	back := c.Place.Inverse()
	theirs := back.Outline(other.Outline())
	edges := theirs.Edges()
	inMine := back.Box(box)
	for _, o := range m.Objects {
		if !o.Clear {
			continue
		}
		x := m.Box(o)
		if !overlapInside(x, inMine) {
			continue
		}
		if m.LiesOn(o, theirs, edges) {
			return c.Place.Apply(geom.Box{
				Min: geom.Pt(max(x.Min.X, inMine.Min.X), max(x.Min.Y, inMine.Min.Y)),
				Max: geom.Pt(min(x.Max.X, inMine.Max.X), min(x.Max.Y, inMine.Max.Y)),
			}.Center()), true
		}
	}
	return geom.Point{}, false
}

// overlapInside tells whether the boxes share more than a border.
func overlapInside(a, b geom.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// RefuseErasures gives an error that names the first few erasures, nil when there is none.
func (p Panel) RefuseErasures(ctx context.Context) error {
	found, err := p.Erasures(ctx)
	if err != nil {
		return err
	}
	if len(found) == 0 {
		return nil
	}
	var b strings.Builder
	for i, e := range found {
		if i == 3 {
			fmt.Fprintf(&b, "; and %d more", len(found)-i)
			break
		}
		if i > 0 {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "clear polarity on layer %s of %s reaches into %s at %v mm and would erase what is drawn there", e.Layer, e.Copy, e.Other, e.At)
	}
	b.WriteString(": place the copies further apart")
	return errors.New(b.String())
}
