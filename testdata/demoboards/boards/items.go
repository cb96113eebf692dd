package boards

// item is one object of an image: a flash, a stroke, an arc or a region.
type item struct {
	kind          int
	light         bool // clear polarity
	ap            aperture
	a, b, c       pt
	arc           int
	paths         [][]edge
	net, ref, pin string
}

const (
	flash = iota
	stroke
	region
)

// shapes are the convex pieces an item covers; arcs become chords. Regions have none.
func (it item) shapes() []shape {
	switch {
	case it.kind == flash:
		return []shape{it.ap.shape(it.a)}
	case it.kind == stroke && it.arc == straight:
		return []shape{{[]pt{it.a, it.b}, it.ap.w / 2}}
	case it.kind == stroke:
		var out []shape
		ps := append(flatten([]edge{{it.a, it.b, it.c, it.arc}}), it.b)
		for i := 1; i < len(ps); i++ {
			out = append(out, shape{ps[i-1 : i+1], it.ap.w / 2})
		}
		return out
	}
	return nil
}
