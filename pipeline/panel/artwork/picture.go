package artwork

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
)

// Picture gives an image as it is drawn, where that differs from its objects one by one: what a later clear
// object takes away is not there. It is not for use by several goroutines at once.
type Picture struct {
	image *Image
	all   *geom.Index[int] // of objects, made when first needed
	clear *geom.Index[int] // of clear ones, likewise
}

// NewPicture makes an image ready to be asked.
func NewPicture(m *Image) *Picture { return &Picture{image: m} }

// index makes an index of the objects that are wanted.
func (d *Picture) index(wanted func(Object) bool) *geom.Index[int] {
	out := &geom.Index[int]{}
	for i, o := range d.image.Objects {
		if wanted(o) {
			out.Insert(d.image.Box(o), i)
		}
	}
	return out
}

// Doubts tells whether the distance from an object, as Drawn gives it, to what lies in a window may be too
// small: the object has holes, or something clear lies over it there.
func (d *Picture) Doubts(i int, window geom.Box) bool {
	if !d.image.Exact(d.image.Objects[i]) {
		return true
	}
	if d.clear == nil {
		d.clear = d.index(func(o Object) bool { return o.Clear })
	}
	doubt := false
	d.clear.Search(window, func(_ geom.Box, k int) bool {
		doubt = k > i
		return !doubt
	})
	return doubt
}

// Nearest gives the distance in nm from an edge to what is dark in a window, and the place on the edge; false
// when nothing is.
func (d *Picture) Nearest(ctx context.Context, e geom.Edge, window geom.Box) (float64, geom.Point, bool, error) {
	if d.all == nil {
		d.all = d.index(func(Object) bool { return true })
	}
	var objects []int
	d.all.Search(window, func(_ geom.Box, i int) bool {
		objects = append(objects, i)
		return true
	})
	slices.Sort(objects)
	r, err := d.image.RegionIn(ctx, window, objects)
	if err != nil || len(r) == 0 {
		return 0, geom.Point{}, false, err
	}
	v, _, at := geom.Distance(r, geom.Path{e})
	return v, at, true, nil
}
