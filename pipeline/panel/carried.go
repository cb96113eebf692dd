package panel

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// A board's files may hold data outside its outline: pads of holes beside the edge, outlines of
// overhanging parts, notes to the fabricator. On a panel they would land on the neighbours: copper
// there is a short circuit. So what reaches as far as the nearest copy's box is cut half-way to it.

// share is the part of the panel that a copy may draw on: out to the bounding boxes of its neighbours, and
// half-way to them. Sides that face no other copy are open: they lie beyond the largest coordinate.
type share struct{ limit, half geom.Box }

// shares gives each copy's share.
func (p Panel) shares() map[string]share {
	copies := p.get().copies
	boxes := make([]geom.Box, len(copies))
	for i, c := range copies {
		boxes[i] = c.Box()
	}
	out := map[string]share{}
	for i, own := range boxes {
		limit := geom.Box{Min: geom.Pt(-open, -open), Max: geom.Pt(open, open)}
		half := limit
		upTo := func(edge, own geom.Length, limit, half *geom.Length, nearer func(a, b geom.Length) geom.Length) {
			*limit = nearer(*limit, edge)
			*half = nearer(*half, own+(edge-own)/2)
		}
		less := func(a, b geom.Length) geom.Length { return min(a, b) }
		more := func(a, b geom.Length) geom.Length { return max(a, b) }
		for k, b := range boxes {
			if i == k {
				continue
			}
			if b.Min.X < own.Max.X && own.Min.X < b.Max.X { // above or below
				if b.Min.Y >= own.Max.Y {
					upTo(b.Min.Y, own.Max.Y, &limit.Max.Y, &half.Max.Y, less)
				}
				if b.Max.Y <= own.Min.Y {
					upTo(b.Max.Y, own.Min.Y, &limit.Min.Y, &half.Min.Y, more)
				}
			}
			if b.Min.Y < own.Max.Y && own.Min.Y < b.Max.Y { // beside
				if b.Min.X >= own.Max.X {
					upTo(b.Min.X, own.Max.X, &limit.Max.X, &half.Max.X, less)
				}
				if b.Max.X <= own.Min.X {
					upTo(b.Max.X, own.Min.X, &limit.Min.X, &half.Min.X, more)
				}
			}
		}
		out[copies[i].ID] = share{limit, half}
	}
	return out
}

// open is where an open side of a share lies, so far out that moving it by any shift leaves it there.
const open = 4 * geom.Limit

// Carrier gives copies' layers as the panel carries them, each distinct one computed once. It is not
// for use by several goroutines at once.
type Carrier struct {
	shares  map[string]share
	extents map[*artwork.Image]geom.Box
	clipped map[clippedFor]clipped // layers whose clear objects would erase a neighbour
	done    map[carried]result
}

type carried struct {
	image *artwork.Image
	share share // in the board's coordinates
}

type result struct {
	image *artwork.Image
	trim  artwork.Trim
}

// clipped is a layer whose clear objects keep off the neighbours, and how many had to be clipped for it.
type clipped struct {
	image *artwork.Image
	count int
}

// clippedFor names the layer of one copy.
type clippedFor struct {
	copy  string
	image *artwork.Image
}

// NewCarrier makes a Carrier for the panel. Where a clear object of a copy would erase what another copy has
// drawn, the other's outline is cut out of it: on its own board and beside it the object clears as before.
func (p Panel) NewCarrier(ctx context.Context) (*Carrier, error) {
	r := &Carrier{p.shares(), map[*artwork.Image]geom.Box{}, map[clippedFor]clipped{}, map[carried]result{}}
	found, err := p.erasing(ctx)
	if err != nil {
		return r, err
	}
	done := map[string]clipped{} // by layer and where the neighbours lie
	for _, e := range found {
		key := fmt.Sprintf("%p", e.image)
		var others []geom.Outline
		back := e.copy.Place.Inverse()
		for _, k := range e.others {
			others = append(others, back.Outline(k.Outline()))
			key += fmt.Sprint(" ", k.Board.Name, k.Place.Then(back))
		}
		x, ok := done[key]
		if !ok {
			if x.image, x.count, err = e.image.ClearBeside(ctx, others); err != nil {
				return nil, fmt.Errorf("clear polarity of a layer of %s could not be clipped: %w", e.copy.ID, err)
			}
			done[key] = x
		}
		r.clipped[clippedFor{e.copy.ID, e.image}] = x
	}
	return r, nil
}

// Clipped tells how many clear objects of a copy's layer were clipped because they would have erased what a
// neighbouring copy has drawn.
func (r *Carrier) Clipped(c Copy, l *Layer) int { return r.clipped[clippedFor{c.ID, l.Image}].count }

// Layer gives a copy's layer as the copy's share of the panel allows, and what was left out or cut for it.
// A copy at an odd angle has no box for a share in its own coordinates: it is carried whole, and what
// reaches over stands in Trim.Over.
func (r *Carrier) Layer(c Copy, l *Layer) (*artwork.Image, artwork.Trim) {
	if x, ok := r.clipped[clippedFor{c.ID, l.Image}]; ok {
		clear := *l
		clear.Image = x.image
		l = &clear
	}
	own := r.shares[c.ID]
	if _, quarter := c.Place.Turn.Quarters(); !quarter {
		return l.Image, artwork.Trim{Over: reachOver(c, l.Image, own.limit)}
	}
	back := c.Place.Inverse()
	k := carried{l.Image, share{shut(back.Box(own.limit)), shut(back.Box(own.half))}}
	extent, ok := r.extents[l.Image]
	if !ok {
		extent = l.Image.Extent()
		r.extents[l.Image] = extent
	}
	if extent.Empty() || k.share.limit.Holds(extent) {
		return l.Image, artwork.Trim{} // as most layers of most boards
	}
	x, ok := r.done[k]
	if !ok {
		x.image, x.trim = l.Image.Within(k.share.limit, k.share.half)
		r.done[k] = x
	}
	return x.image, x.trim
}

// shut brings open sides back to one place wherever the copy lies, so that copies with equal shares are
// one.
func shut(box geom.Box) geom.Box {
	for _, side := range []*geom.Length{&box.Min.X, &box.Min.Y, &box.Max.X, &box.Max.Y} {
		switch {
		case *side > open/2:
			*side = open
		case *side < -open/2:
			*side = -open
		}
	}
	return box
}

// reachOver lists the objects of an image that reach over a copy's share.
func reachOver(c Copy, m *artwork.Image, share geom.Box) []artwork.Object {
	var out []artwork.Object
	for _, o := range m.Objects {
		if !share.Holds(c.Place.Box(m.Box(o))) {
			out = append(out, o)
		}
	}
	return out
}
