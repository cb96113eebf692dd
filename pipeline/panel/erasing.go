package panel

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// erasing is a copy's layer of which some clear object reaches into other copies' outlines, where it would
// erase what they have drawn before it.
type erasing struct {
	copy   Copy
	image  *artwork.Image
	others []Copy
}

// erasing finds the layers that erase. Boards whose bounding boxes interlock are looked at
// closely too: what is clear inside a board's own box may still lie on a neighbour.
func (p Panel) erasing(ctx context.Context) ([]erasing, error) {
	copies := p.get().copies
	var out []erasing
	clear := map[*artwork.Image]geom.Box{} // what each layer's clear objects reach, in the board's coordinates
	for _, b := range p.get().boards {
		for _, l := range b.Layers {
			box := geom.EmptyBox()
			for _, o := range l.Image.Objects {
				if o.Clear {
					box = box.Union(l.Image.Box(o))
				}
			}
			if !box.Empty() {
				clear[l.Image] = box
			}
		}
	}
	if len(clear) == 0 {
		return out, nil
	}
	boxes := make([]geom.Box, len(copies))
	var index geom.Index[int]
	for i, c := range copies {
		boxes[i] = c.Box()
		index.Insert(boxes[i], i)
	}
	for i, c := range copies {
		for _, l := range c.Board.Layers {
			reach, ok := clear[l.Image]
			if !ok {
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
			e := erasing{copy: c, image: l.Image}
			for _, k := range near {
				if err := ctx.Err(); err != nil {
					return nil, err
				}
				if erases(c, l.Image, copies[k], boxes[k]) {
					e.others = append(e.others, copies[k])
				}
			}
			if len(e.others) > 0 {
				out = append(out, e)
			}
		}
	}
	return out, nil
}

// erases tells whether a clear object of a copy's layer lies on another copy.
func erases(c Copy, m *artwork.Image, other Copy, box geom.Box) bool {
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
			return true
		}
	}
	return false
}

// overlapInside tells whether the boxes share more than a border.
func overlapInside(a, b geom.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}
