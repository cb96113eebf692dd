package compare

import (
	"context"
	"errors"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel/artwork"
)

// single: layers are worked out beside each other.
var single = overlay.Options{Workers: 1}

// differ gives what is in the first only, and what in the second only.
func differ(ctx context.Context, old, new overlay.Operand) (gone, added geom.Region, err error) {
	if gone, err = overlay.Difference(ctx, single, old, new); err != nil {
		return nil, nil, err
	}
	added, err = overlay.Difference(ctx, single, new, old)
	return solid(gone), solid(added), err
}

// solid leaves out slivers as thin as the rounding of coordinates, which are no change: those whose area is
// less than 5 nm along half their perimeter.
func solid(r geom.Region) geom.Region {
	const thin = 5
	return slices.DeleteFunc(r, func(o geom.Outline) bool { return o.Area() < o.Perimeter()/2*thin })
}

// areas puts the areas of what is gone and added into a change.
func areas(x Change, gone, added geom.Region) Change {
	g, a := mm2(gone.Area()), mm2(added.Area())
	sum := mm2(gone.Area() + added.Area())
	x.AreaMM2, x.GoneMM2, x.AddedMM2 = &sum, &g, &a
	return x
}

// mostPlaces is how many places of a changed area are shown; more are joined into their box.
const mostPlaces = 12

// regionSpots gives the places of an area, those near one another as one.
func regionSpots(on string, r geom.Region) (out []Spot) {
	var boxes []geom.Box
	for _, o := range r {
		boxes = append(boxes, o.Box())
	}
	for _, b := range places(boxes) {
		out = append(out, spot(on, b)...)
	}
	return out
}

// places joins boxes that lie within a millimetre of one another.
func places(boxes []geom.Box) []geom.Box {
	joined := clusters(boxes, geom.MM/2)
	if len(joined) <= mostPlaces {
		return joined
	}
	all := geom.EmptyBox()
	for _, b := range joined {
		all = all.Union(b)
	}
	return []geom.Box{all}
}

// clusters joins boxes that overlap when grown by as much; the result is in order of place.
func clusters(boxes []geom.Box, by geom.Length) []geom.Box {
	set := slices.Clone(boxes)
	for {
		slices.SortFunc(set, func(a, b geom.Box) int { return a.Min.Compare(b.Min) })
		var out []geom.Box
		var active []int // those that may still meet what follows
		for _, b := range set {
			grown := b.Grow(by)
			active = slices.DeleteFunc(active, func(i int) bool { return out[i].Max.X+by < grown.Min.X })
			k := slices.IndexFunc(active, func(i int) bool { return out[i].Grow(by).Overlaps(grown) })
			if k < 0 {
				active = append(active, len(out))
				out = append(out, b)
				continue
			}
			out[active[k]] = out[active[k]].Union(b)
		}
		if len(out) == len(set) {
			return out
		}
		set = out
	}
}

// mostWork is what measuring one change may cost, in artwork.Image.Work's unit: some seconds.
const mostWork = 6_000_000

// errTooMuch means that an area is not measured for what it would cost.
var errTooMuch = errors.New("the artwork differs by too much to measure")

// between gives what is dark in the old image only and what in the new one only.
func between(ctx context.Context, old, new *artwork.Image) (gone, added geom.Region, err error) {
	a, b := dirty(old, new)
	if len(a)+len(b) == 0 {
		return nil, nil, nil
	}
	var boxes []geom.Box
	for _, i := range a {
		boxes = append(boxes, old.Box(old.Objects[i]))
	}
	for _, i := range b {
		boxes = append(boxes, new.Box(new.Objects[i]))
	}
	windows := clusters(boxes, 1)
	var index geom.Index[struct{}]
	for _, w := range windows {
		index.Insert(w, struct{}{})
	}
	// All that reaches into the windows is drawn whole: outside of them it is the same before and after.
	within := func(m *artwork.Image) *artwork.Image {
		part := *m
		part.Objects = nil
		for _, o := range m.Objects {
			hit := false
			index.Search(m.Box(o), func(geom.Box, struct{}) bool { hit = true; return false })
			if hit {
				part.Objects = append(part.Objects, o)
			}
		}
		return &part
	}
	x, y := within(old), within(new)
	if x.Work()+y.Work() > mostWork {
		return nil, nil, errTooMuch
	}
	before, err := x.Dark(ctx)
	if err != nil {
		return nil, nil, err
	}
	after, err := y.Dark(ctx)
	if err != nil {
		return nil, nil, err
	}
	return differ(ctx, overlay.Of(before...), overlay.Of(after...))
}

// dirty gives the objects of each image that the other does not draw alike: round all others the picture is the same.
// Where something is erased, order counts.
func dirty(old, new *artwork.Image) (a, b []int) {
	k, l := keysOf(old), keysOf(new)
	erases := func(m *artwork.Image) bool {
		return slices.ContainsFunc(m.Objects, func(o artwork.Object) bool { return o.Clear })
	}
	if !erases(old) && !erases(new) {
		return unmatched(k, l)
	}
	return outOfStep(k, l)
}

// unmatched gives what of either list the other does not have, in whatever order.
func unmatched(k, l []digest) (a, b []int) {
	n := map[digest]int{}
	for _, x := range l {
		n[x]++
	}
	for i, x := range k {
		if n[x] > 0 {
			n[x]--
		} else {
			a = append(a, i)
		}
	}
	clear(n)
	for _, x := range k {
		n[x]++
	}
	for i, x := range l {
		if n[x] > 0 {
			n[x]--
		} else {
			b = append(b, i)
		}
	}
	return a, b
}

// mostSteps is how many objects may be out of step before everything between the common beginning and the
// common end counts as changed.
const mostSteps = 1500

// outOfStep gives what is left of either list beside a longest common sequence, by the greedy algorithm of
// E. W. Myers, "An O(ND) difference algorithm and its variations", Algorithmica 1, 1986.
func outOfStep(k, l []digest) (a, b []int) {
	begin := 0
	for begin < len(k) && begin < len(l) && k[begin] == l[begin] {
		begin++
	}
	end := 0
	for end < len(k)-begin && end < len(l)-begin && k[len(k)-1-end] == l[len(l)-1-end] {
		end++
	}
	x, y := k[begin:len(k)-end], l[begin:len(l)-end]
	n, m := len(x), len(y)
	all := func() (a, b []int) {
		for i := range x {
			a = append(a, begin+i)
		}
		for i := range y {
			b = append(b, begin+i)
		}
		return a, b
	}
	if n == 0 || m == 0 {
		return all()
	}
	most := min(n+m, mostSteps)
	v := make([]int, 2*most+2)
	var trace [][]int
	for d := 0; d <= most; d++ {
		trace = append(trace, slices.Clone(v[most-d:most+d+1]))
		for q := -d; q <= d; q += 2 {
			var i int
			if q == -d || q != d && v[most+q-1] < v[most+q+1] {
				i = v[most+q+1]
			} else {
				i = v[most+q-1] + 1
			}
			for i < n && i-q < m && x[i] == y[i-q] {
				i++
			}
			v[most+q] = i
			if i < n || i-q < m {
				continue
			}
			// Back along the way: every step aside is an object of one side only.
			i, j := n, m
			for ; d > 0; d-- {
				w := trace[d] // as it was before round d, for diagonals from -d to d
				at := func(q int) int { return w[q+d] }
				q := i - j
				from := q - 1
				if q == -d || q != d && at(q-1) < at(q+1) {
					from = q + 1
				}
				pi := at(from)
				pj := pi - from
				if from == q+1 {
					b = append(b, begin+pj)
				} else {
					a = append(a, begin+pi)
				}
				i, j = pi, pj
			}
			slices.Sort(a)
			slices.Sort(b)
			return a, b
		}
	}
	return all()
}
