package geom

// Locate tells where q lies with respect to the region.
func (r Region) Locate(q Point) Location {
	at := Outside
	for _, o := range r {
		if l := o.Locate(q); l == Inside {
			return Inside
		} else if l == OnEdge {
			at = OnEdge
		}
	}
	return at
}

// A Locator tells for many points where they lie with respect to a region. Each outline's paths must
// lie as a Region's do: cut-outs inside the outer path.
type Locator struct {
	edges []Edge
	index Index[int]
	box   Box
}

// NewLocator makes a region ready to be asked.
func NewLocator(r Region) *Locator {
	l := &Locator{box: r.Box()}
	for _, p := range r.Paths() {
		for _, e := range p {
			l.index.Insert(e.Box(), len(l.edges))
			l.edges = append(l.edges, e)
		}
	}
	return l
}

// Locate tells where q lies: exactly for straight edges; a point counts as on an arc within 1 nm.
func (l *Locator) Locate(q Point) Location {
	if !l.box.Grow(1).HoldsPoint(q) {
		return Outside
	}
	on, w := false, 0
	// All that a ray to the right can meet; a nanometre more for points on arcs.
	ray := Box{Point{q.X - 1, q.Y - 1}, Point{max(q.X, l.box.Max.X) + 1, q.Y + 1}}
	l.index.Search(ray, func(_ Box, i int) bool {
		e := l.edges[i]
		if e.holds(q) {
			on = true
			return false
		}
		w += e.winding(q)
		return true
	})
	switch {
	case on:
		return OnEdge
	case w != 0:
		return Inside
	}
	return Outside
}
