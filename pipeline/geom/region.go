package geom

// Region is a piece of the plane: outlines that do not overlap, each one connected piece with its
// cut-outs. Outlines may touch one another, and cut-outs their outer path, in single points only.
//
// A region made by package overlay is in canonical order: every path is simple, outer paths run
// counter-clockwise and cut-outs clockwise, each begins at its least point (by x, then y), and the
// outlines and the cut-outs of each are sorted by that point. The nil Region is empty.
type Region []Outline

// Box is the smallest box round the region.
func (r Region) Box() Box {
	b := EmptyBox()
	for _, o := range r {
		b = b.Union(o.Box())
	}
	return b
}

// Paths gives all paths of the region: of each outline the outer path, then its cut-outs.
func (r Region) Paths() []Path {
	var out []Path
	for _, o := range r {
		out = append(out, o.Outer)
		out = append(out, o.CutOuts...)
	}
	return out
}
