package compare

import (
	"slices"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// owners tells for the objects of a layer file, in their order, which copy each belongs to: the one that it lies
// on, or, where it lies beside all copies, the one whose objects it stands among. Writers put copy after copy and then
// what the panel itself adds.
type owners struct {
	copies []copyOf
	index  geom.Index[int]
	now    int // the copy whose objects come just now, -1 before the first
	left   []bool
	tail   bool // all copies are through
	wait   []held
	give   func(owner int, m *artwork.Image, o *artwork.Object) // owner is len(copies) for the panel
}

// held is an object whose owner what follows will tell.
type held struct {
	object artwork.Object
	image  *artwork.Image // holds its region
	at     geom.Point
}

// mostHeld bounds what waits; beyond it the rest is the panel's.
const mostHeld = 200_000

func newOwners(copies []copyOf, give func(int, *artwork.Image, *artwork.Object)) *owners {
	w := &owners{copies: copies, now: -1, left: make([]bool, len(copies)), give: give}
	for i, c := range copies {
		w.index.Insert(c.box, i)
	}
	return w
}

func (w *owners) next(m *artwork.Image, o *artwork.Object) {
	at := m.Box(*o).Center()
	on := -1
	if w.now >= 0 && w.copies[w.now].box.HoldsPoint(at) {
		on = w.now
	} else {
		w.index.Search(at.Box(), func(_ geom.Box, i int) bool {
			if on < 0 || w.left[on] && !w.left[i] || w.left[on] == w.left[i] && i < on {
				on = i
			}
			return true
		})
	}
	switch {
	case on < 0 && w.tail:
		w.give(len(w.copies), m, o)
	case on < 0:
		if len(w.wait) == mostHeld {
			w.release(-1)
			w.tail = true
		}
		w.wait = append(w.wait, hold(m, o, at))
	default:
		if on != w.now {
			w.tail = w.tail || w.left[on]
		}
		w.release(on)
		if w.now >= 0 && on != w.now {
			w.left[w.now] = true
		}
		w.now = on
		w.give(on, m, o)
	}
}

// release hands over what waits, when an object of a copy follows, or with -1 when nothing does.
func (w *owners) release(next int) {
	for i := range w.wait {
		h := &w.wait[i]
		to := len(w.copies)
		switch {
		case next < 0 || w.tail:
		case next == w.now || w.now < 0:
			to = next
		case apart(w.copies[next].box, h.at) < apart(w.copies[w.now].box, h.at):
			to = next
		default:
			to = w.now
		}
		w.give(to, h.image, &h.object)
	}
	w.wait = w.wait[:0]
}

// apart is how far a place lies from a box, squared.
func apart(b geom.Box, p geom.Point) float64 {
	dx := float64(max(b.Min.X-p.X, p.X-b.Max.X, 0))
	dy := float64(max(b.Min.Y-p.Y, p.Y-b.Max.Y, 0))
	return float64(dx*dx) + float64(dy*dy)
}

// hold keeps an object beyond the call that showed it: regions are valid during that only.
func hold(m *artwork.Image, o *artwork.Object, at geom.Point) held {
	h := held{object: *o, at: at, image: m}
	if o.Kind == artwork.Fill {
		part := *m
		part.Regions = []artwork.Region{copyRegion(m.Regions[o.Region])}
		h.image, h.object.Region = &part, 0
	}
	return h
}

func copyRegion(r artwork.Region) artwork.Region {
	var out artwork.Region
	for _, c := range r.Contours {
		out.Contours = append(out.Contours, slices.Clone(c))
	}
	return out
}

// sums are digests of all that one owner has on a layer.
type sums struct {
	drawn, said digest
	objects     int
}

// mostObjects is how many objects a panel's layer may have: as the proof allows.
const mostObjects = 1 << 28

// sumLayer gives the sums of every copy on a layer, each as seen from its own frame, and last those of the panel's own.
func sumLayer(name string, text []byte, copies []copyOf) ([]sums, error) {
	out := make([]sums, len(copies)+1)
	frames := framesOf(copies)
	var g digester
	w := newOwners(copies, func(i int, m *artwork.Image, o *artwork.Object) {
		drawn, said := g.object(m, o, frames[i])
		out[i].drawn.add(drawn)
		out[i].said.add(said)
		out[i].objects++
	})
	return out, eachObject(name, text, w)
}

func framesOf(copies []copyOf) []frame {
	out := make([]frame, len(copies)+1)
	for i, c := range copies {
		out[i] = frameOf(c.place)
	}
	return out
}

func eachObject(name string, text []byte, w *owners) error {
	_, _, err := gerber.Read(name, text, gerber.Options{MaxObjects: mostObjects, Visit: func(m *artwork.Image, objects []artwork.Object) {
		for i := range objects {
			w.next(m, &objects[i])
		}
	}})
	w.release(-1)
	return err
}

// imagesOf gives what some owners have on a layer, each in its board's own coordinates.
func imagesOf(name string, text []byte, copies []copyOf, wanted map[int]bool) (map[int]*artwork.Image, error) {
	out := map[int]*artwork.Image{}
	last := map[int]*artwork.Image{} // what apertures and sets are taken from
	w := newOwners(copies, func(i int, m *artwork.Image, o *artwork.Object) {
		if !wanted[i] {
			return
		}
		img := out[i]
		if img == nil {
			img = &artwork.Image{}
			out[i] = img
		}
		last[i] = m
		x := *o
		var back geom.Transform
		if i < len(copies) {
			back = copies[i].place.Inverse()
		}
		x.Edge = back.Edge(o.Edge)
		if o.Kind == artwork.Fill {
			r := copyRegion(m.Regions[o.Region])
			for k, c := range r.Contours {
				r.Contours[k] = back.Path(c)
			}
			x.Region = int32(len(img.Regions))
			img.Regions = append(img.Regions, r)
		}
		img.Objects = append(img.Objects, x)
	})
	if err := eachObject(name, text, w); err != nil {
		return nil, err
	}
	for i, img := range out {
		img.Sets = last[i].Sets
		img.Apertures = slices.Clone(last[i].Apertures)
		if i < len(copies) {
			for k := range img.Apertures {
				img.Apertures[k] = img.Apertures[k].Turned(-copies[i].place.Turn)
			}
		}
	}
	return out, nil
}
