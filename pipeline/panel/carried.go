package panel

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// A board's files may hold data outside its outline: pads of holes beside the edge, outlines of
// overhanging parts, notes to the fabricator. On a panel they would land on the neighbours: copper
// there is a short circuit. So each copy's layers are carried within the copy's own share of the panel:
// its bounding box and half of the way to the nearest copy on each side.

// shares gives each copy's share of the panel. Sides that face no other copy are open: they lie beyond
// the largest coordinate.
func (p Panel) shares() map[string]geom.Box {
	copies := p.get().copies
	boxes := make([]geom.Box, len(copies))
	for i, c := range copies {
		boxes[i] = c.Box()
	}
	out := map[string]geom.Box{}
	for i, own := range boxes {
		share := geom.Box{Min: geom.Pt(-open, -open), Max: geom.Pt(open, open)}
		for k, b := range boxes {
			if i == k {
				continue
			}
			if b.Min.X < own.Max.X && own.Min.X < b.Max.X { // above or below
				if b.Min.Y >= own.Max.Y {
					share.Max.Y = min(share.Max.Y, own.Max.Y+(b.Min.Y-own.Max.Y)/2)
				}
				if b.Max.Y <= own.Min.Y {
					share.Min.Y = max(share.Min.Y, own.Min.Y-(own.Min.Y-b.Max.Y)/2)
				}
			}
			if b.Min.Y < own.Max.Y && own.Min.Y < b.Max.Y { // beside
				if b.Min.X >= own.Max.X {
					share.Max.X = min(share.Max.X, own.Max.X+(b.Min.X-own.Max.X)/2)
				}
				if b.Max.X <= own.Min.X {
					share.Min.X = max(share.Min.X, own.Min.X-(own.Min.X-b.Max.X)/2)
				}
			}
		}
		out[copies[i].ID] = share
	}
	return out
}

// open is where an open side of a share lies, so far out that moving it by any shift leaves it there.
const open = 4 * geom.Limit

// Carrier gives copies' layers as the panel carries them, each distinct one computed once. It is not
// for use by several goroutines at once.
type Carrier struct {
	shares  map[string]geom.Box
	extents map[*artwork.Image]geom.Box
	done    map[carried]result
}

type carried struct {
	image *artwork.Image
	box   geom.Box // the share, in the board's coordinates
}

type result struct {
	image *artwork.Image
	trim  artwork.Trim
}

// NewCarrier makes a Carrier for the panel.
func (p Panel) NewCarrier() *Carrier {
	return &Carrier{p.shares(), map[*artwork.Image]geom.Box{}, map[carried]result{}}
}

// Layer gives a copy's layer within the copy's share of the panel, and what was left out or cut for it.
// A copy at an odd angle has no box for a share in its own coordinates: it is carried whole, and what
// reaches over stands in Trim.Over.
func (r *Carrier) Layer(c Copy, l *Layer) (*artwork.Image, artwork.Trim) {
	share := r.shares[c.ID]
	if _, quarter := c.Place.Turn.Quarters(); !quarter {
		return l.Image, artwork.Trim{Over: reachOver(c, l.Image, share)}
	}
	// Open sides stay open whatever the copy's place, so that copies with equal shares are one.
	box := c.Place.Inverse().Box(share)
	for _, side := range []*geom.Length{&box.Min.X, &box.Min.Y, &box.Max.X, &box.Max.Y} {
		switch {
		case *side > open/2:
			*side = open
		case *side < -open/2:
			*side = -open
		}
	}
	extent, ok := r.extents[l.Image]
	if !ok {
		extent = l.Image.Extent()
		r.extents[l.Image] = extent
	}
	if extent.Empty() || box.Holds(extent) {
		return l.Image, artwork.Trim{} // as most layers of most boards
	}
	k := carried{l.Image, box}
	x, ok := r.done[k]
	if !ok {
		x.image, x.trim = l.Image.Within(box)
		r.done[k] = x
	}
	return x.image, x.trim
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
