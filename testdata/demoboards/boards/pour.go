package boards

import (
	"cmp"
	"math"
	"slices"
)

// field is a signed distance on a square grid: positive where copper may lie.
type field struct {
	o      pt
	nx, ny int
	v      []float64
}

const (
	cell    = 100_000 // grid of the field, nm
	band    = 400_000 // beyond this the distance does not matter
	halfMin = 100_000 // half the narrowest copper that a pour may have
)

func (f *field) point(x, y int) pt { return pt{f.o.x + int64(x)*cell, f.o.y + int64(y)*cell} }

func newField(b *board) *field {
	bb := shape{pts: b.poly}.box().grow(3 * cell)
	f := &field{o: pt{bb.x0, bb.y0}, nx: int((bb.x1-bb.x0)/cell) + 2, ny: int((bb.y1-bb.y0)/cell) + 2}
	f.v = make([]float64, f.nx*f.ny)
	for y := range f.ny {
		for x := range f.nx {
			f.v[y*f.nx+x] = min(band, b.inset(f.point(x, y))-float64(b.edgeClear))
		}
	}
	return f
}

// keepOff lowers the field to the distance from s, less d.
func (f *field) keepOff(s shape, d int64) {
	bb := s.box().grow(d + band)
	for y := max(0, int((bb.y0-f.o.y)/cell)); y <= min(f.ny-1, int((bb.y1-f.o.y)/cell)+1); y++ {
		for x := max(0, int((bb.x0-f.o.x)/cell)); x <= min(f.nx-1, int((bb.x1-f.o.x)/cell)+1); x++ {
			i := y*f.nx + x
			if v := s.dist(f.point(x, y)) - float64(d); v < f.v[i] {
				f.v[i] = v
			}
		}
	}
}

// at interpolates the field.
func (f *field) at(p pt) float64 {
	x, y := int((p.x-f.o.x)/cell), int((p.y-f.o.y)/cell)
	if x < 0 || y < 0 || x+1 >= f.nx || y+1 >= f.ny {
		return -band
	}
	i := y*f.nx + x
	return min(f.v[i], f.v[i+1], f.v[i+f.nx], f.v[i+f.nx+1])
}

// contours follows the line where the field is level, copper on the left.
func (f *field) contours(level float64) [][]pt {
	next := make([]int32, 2*len(f.v)) // from crossed grid edge to crossed grid edge, by number plus one
	spot := make([]pt, 2*len(f.v))
	cross := func(x, y, side int) int32 {
		// sides of a cell: 0 lower, 1 right, 2 upper, 3 left
		var e int
		var p, q pt
		var a, z float64
		switch side {
		case 0, 2:
			yy := y + side/2
			e, p, q = 2*(yy*f.nx+x), f.point(x, yy), f.point(x+1, yy)
			a, z = f.v[yy*f.nx+x], f.v[yy*f.nx+x+1]
		default:
			xx := x + (3-side)/2
			e, p, q = 2*(y*f.nx+xx)+1, f.point(xx, y), f.point(xx, y+1)
			a, z = f.v[y*f.nx+xx], f.v[(y+1)*f.nx+xx]
		}
		t := float64(level-a) / float64(z-a)
		t = min(0.98, max(0.02, t))
		spot[e] = pt{p.x + snap(int64(float64(t*float64(q.x-p.x))), 1000), p.y + snap(int64(float64(t*float64(q.y-p.y))), 1000)}
		return int32(e)
	}
	for y := range f.ny - 1 {
		for x := range f.nx - 1 {
			in := [4]bool{}
			sum := 0.0
			for c, i := range [4]int{y*f.nx + x, y*f.nx + x + 1, (y+1)*f.nx + x + 1, (y+1)*f.nx + x} {
				in[c] = f.v[i] > level
				sum += f.v[i] - level
			}
			// Walking round the cell counter-clockwise, copper ends on a side that goes from in to out and begins again
			// on one that goes from out to in: the contour runs from the former to the latter.
			var ends, begins []int
			for s := range 4 {
				a, z := in[s], in[(s+1)%4]
				if a && !z {
					ends = append(ends, s)
				} else if !a && z {
					begins = append(begins, s)
				}
			}
			if len(ends) == 2 && (sum > 0) == ((begins[0]-ends[0]+4)%4 == 3) {
				begins[0], begins[1] = begins[1], begins[0]
			}
			for i, s := range ends {
				from, to := cross(x, y, s), cross(x, y, begins[i])
				next[from] = to + 1
			}
		}
	}
	var out [][]pt
	for e := range next {
		if next[e] == 0 {
			continue
		}
		var c []pt
		for i := int32(e); next[i] != 0; {
			c = append(c, spot[i])
			i, next[i] = next[i]-1, 0
		}
		if c = thin(c, 4000); len(c) > 2 {
			out = append(out, c)
		}
	}
	return out
}

// thin leaves out the points of a closed contour that lie within tol of the line between those kept.
func thin(c []pt, tol float64) []pt {
	if len(c) < 4 {
		return c
	}
	keep := make([]bool, len(c)+1)
	far := 0
	for i, p := range c {
		if hypot(float64(p.x-c[0].x), float64(p.y-c[0].y)) > hypot(float64(c[far].x-c[0].x), float64(c[far].y-c[0].y)) {
			far = i
		}
	}
	c = append(slices.Clone(c), c[0])
	keep[0], keep[far], keep[len(c)-1] = true, true, true
	var cut func(a, z int)
	cut = func(a, z int) {
		worst, at := tol, -1
		for i := a + 1; i < z; i++ {
			if d := segDist(c[i], c[a], c[z]); d > worst {
				worst, at = d, i
			}
		}
		if at >= 0 {
			keep[at] = true
			cut(a, at)
			cut(at, z)
		}
	}
	cut(0, far)
	cut(far, len(c)-1)
	var out []pt
	for i := range len(c) - 1 {
		if keep[i] {
			out = append(out, c[i])
		}
	}
	return out
}

// fill pours one area: it keeps off all that is not of its net, leaves out what is too narrow and what no pad or via
// of its net reaches, and joins pads by four spokes.
func (b *board) fill(p pour, inset *field) {
	f := &field{o: inset.o, nx: inset.nx, ny: inset.ny, v: slices.Clone(inset.v)}
	if p.area != nil {
		for y := range f.ny {
			for x := range f.nx {
				q := f.point(x, y)
				d := polyDist(q, p.area)
				if !inPolygon(q, p.area) {
					d = -d
				}
				f.v[y*f.nx+x] = min(f.v[y*f.nx+x], d)
			}
		}
	}
	for _, h := range b.npth {
		f.keepOff(shape{[]pt{h.p, h.to}, h.d / 2}, max(h.keep, mm(0.3)))
	}
	clear := func(net string) int64 { return max(b.pourClear, b.clear(net, p.net)) }
	var anchors []pt
	for _, t := range b.tracks {
		if t.side == p.side && t.net != p.net {
			f.keepOff(t.shape(), clear(t.net))
		}
	}
	for _, it := range b.extra[p.side] {
		for _, s := range it.shapes() {
			if it.net != p.net {
				f.keepOff(s, clear(it.net))
			}
		}
	}
	for _, v := range b.vias {
		if v.net == p.net {
			anchors = append(anchors, v.p)
		} else {
			f.keepOff(shape{[]pt{v.p}, b.viaPad / 2}, clear(v.net))
		}
	}
	var own []*pad
	for _, q := range b.pads() {
		if q.side != both && q.side != p.side {
			continue
		}
		if q.net != p.net {
			d := clear(q.net)
			if q.mask > d {
				d = q.mask // a fiducial keeps its whole window free
			}
			f.keepOff(q.shape(), d)
		} else {
			own = append(own, q)
		}
	}
	other := &field{o: f.o, nx: f.nx, ny: f.ny, v: slices.Clone(f.v)} // without the gaps around the net's own pads
	gap := mm(0.25)
	for _, q := range own {
		f.keepOff(q.shape(), gap)
	}
	var wide int64
	var spokes []track
	for _, q := range own {
		if q.drill > 0 && q.ap.narrow() > mm(1.5) {
			wide = mm(0.5)
		} else {
			wide = mm(0.25)
		}
		for i, d := range []pt{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			half := q.ap.w / 2
			if i&1 == 1 && q.ap.kind != 'C' {
				half = q.ap.h / 2
			}
			l := half + gap + halfMin + mm(0.05)
			e := pt{q.p.x + d.x*l, q.p.y + d.y*l}
			ok := f.at(e) > halfMin
			for s := int64(0); s <= l; s += cell {
				if s > half && other.at(pt{q.p.x + d.x*s, q.p.y + d.y*s}) < float64(wide/2-b.pourClear+mm(0.17)) {
					ok = false
				}
			}
			if ok {
				spokes = append(spokes, track{q.p, e, wide, p.side, p.net})
				anchors = append(anchors, e)
			}
		}
	}
	for _, t := range b.tracks {
		if t.side == p.side && t.net == p.net {
			anchors = append(anchors, t.a, t.b)
		}
	}
	f.dropIslands(anchors)
	// Opening: the core is what stays after shrinking; growing it back rounds it and loses the narrow parts.
	core := f.contours(halfMin)
	g := &field{o: f.o, nx: f.nx, ny: f.ny, v: make([]float64, len(f.v))}
	for i, v := range f.v {
		g.v[i] = -3 * halfMin
		if v > halfMin {
			g.v[i] = halfMin
		}
	}
	for _, c := range core {
		for i, a := range c {
			s := shape{pts: []pt{a, c[(i+1)%len(c)]}}
			bb := s.box().grow(3 * halfMin)
			for y := max(0, int((bb.y0-g.o.y)/cell)); y <= min(g.ny-1, int((bb.y1-g.o.y)/cell)+1); y++ {
				for x := max(0, int((bb.x0-g.o.x)/cell)); x <= min(g.nx-1, int((bb.x1-g.o.x)/cell)+1); x++ {
					d := s.dist(g.point(x, y))
					if j := y*g.nx + x; g.v[j] < 0 {
						g.v[j] = max(g.v[j], -d)
					} else {
						g.v[j] = min(g.v[j], d)
					}
				}
			}
		}
	}
	var outer, inner [][]pt
	for _, c := range g.contours(-halfMin) {
		if area(c) > 0 {
			outer = append(outer, c)
		} else {
			inner = append(inner, c)
		}
	}
	for _, o := range outer {
		var in [][]pt
		for _, h := range inner {
			if inPolygon(h[0], o) && smallest(h[0], outer, o) {
				in = append(in, h)
			}
		}
		b.regions[p.side] = append(b.regions[p.side], item{kind: region, net: p.net, paths: [][]edge{polygon(cutIn(o, in)...)}})
	}
	for _, s := range spokes {
		if g.at(s.b) > -halfMin {
			b.spokes = append(b.spokes, s)
		}
	}
}

// smallest says whether no other outer contour around p lies within o.
func smallest(p pt, outer [][]pt, o []pt) bool {
	for _, q := range outer {
		if &q[0] != &o[0] && inPolygon(p, q) && inPolygon(q[0], o) {
			return false
		}
	}
	return true
}

func area(c []pt) float64 {
	s := 0.0
	for i, a := range c {
		b := c[(i+1)%len(c)]
		s += cross(float64(a.x-c[0].x), float64(a.y-c[0].y), float64(b.x-c[0].x), float64(b.y-c[0].y))
	}
	return s / 2
}

// dropIslands takes the copper away that holds no anchor.
func (f *field) dropIslands(anchors []pt) {
	seen := make([]bool, len(f.v))
	for start := range f.v {
		if seen[start] || f.v[start] <= halfMin {
			continue
		}
		todo, all := []int{start}, []int{}
		seen[start] = true
		box := map[int]bool{}
		for len(todo) > 0 {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			all = append(all, i)
			box[i] = true
			for _, j := range [4]int{i - 1, i + 1, i - f.nx, i + f.nx} {
				if !seen[j] && f.v[j] > halfMin {
					seen[j] = true
					todo = append(todo, j)
				}
			}
		}
		held := false
		for _, a := range anchors {
			x, y := int((a.x-f.o.x+cell/2)/cell), int((a.y-f.o.y+cell/2)/cell)
			held = held || box[y*f.nx+x]
		}
		if held && len(all) > 60 {
			continue
		}
		for _, i := range all {
			f.v[i] = -halfMin
		}
	}
}

// cutIn joins the holes to the contour around them by pairs of edges that lie on one another.
func cutIn(o []pt, holes [][]pt) []pt {
	left := func(h []pt) int {
		at := 0
		for i, p := range h {
			if p.x < h[at].x || p.x == h[at].x && p.y < h[at].y {
				at = i
			}
		}
		return at
	}
	slices.SortStableFunc(holes, func(a, z []pt) int { return cmp.Compare(a[left(a)].x, z[left(z)].x) })
	out := slices.Clone(o)
	for _, h := range holes {
		i := left(h)
		v := h[i]
		best, hit := math.Inf(-1), -1
		for j, a := range out {
			b := out[(j+1)%len(out)]
			if (a.y > v.y) == (b.y > v.y) {
				continue
			}
			x := float64(a.x) + float64(float64(b.x-a.x)*(float64(v.y-a.y)/float64(b.y-a.y)))
			if x <= float64(v.x) && x > best {
				best, hit = x, j
			}
		}
		if hit < 0 {
			continue
		}
		p := pt{int64(math.Floor(best)), v.y}
		ins := []pt{p}
		ins = append(append(append(ins, h[i:]...), h[:i+1]...), p)
		out = slices.Insert(out, hit+1, ins...)
	}
	return out
}
