package boards

import (
	"cmp"
	"math"
	"slices"
)

// router finds tracks on a square grid over the two outer layers. For each class of track it keeps, per layer, which
// net may have its centre line on a grid point: 0 any, n only that net, -1 none.
type router struct {
	b      *board
	nx, ny int
	n      int
	o      pt
	ids    map[string]int32
	trk    [][2][]int32
	via    [][]int32
	g, par []int32
	stamp  []int32
	goal   []int32
	seedOf []int32
	run    int32
	comps  map[string][]*comp
	nets   []string
	failed []string
}

// comp is a connected piece of a net: the grid nodes one may start from or arrive at.
type comp struct {
	nodes  []node
	pads   []*pad
	planed bool // reaches the net's plane
}

type node struct {
	at   int32
	cost int32
	link pt // where the track goes on to within the pad
	has  bool
}

// slack makes up for the corners a diagonal step cuts between two grid points.
const slack = 15_000

func newRouter(b *board) *router {
	r := &router{b: b, ids: map[string]int32{}, comps: map[string][]*comp{}}
	bb := shape{pts: b.poly}.box()
	r.o = pt{snap(bb.x0, b.step), snap(bb.y0, b.step)}
	r.nx, r.ny = int((bb.x1-r.o.x)/b.step)+1, int((bb.y1-r.o.y)/b.step)+1
	r.n = r.nx * r.ny
	for range b.classes {
		r.trk = append(r.trk, [2][]int32{make([]int32, r.n), make([]int32, r.n)})
		r.via = append(r.via, make([]int32, r.n))
	}
	r.g, r.par, r.stamp = make([]int32, 2*r.n), make([]int32, 2*r.n), make([]int32, 2*r.n)
	r.goal, r.seedOf = make([]int32, 2*r.n), make([]int32, 2*r.n)
	for i := range r.n {
		d := b.inset(r.point(int32(i)))
		for k, c := range b.classes {
			if d < float64(b.edgeClear+c.width/2+2000) {
				r.trk[k][0][i], r.trk[k][1][i] = -1, -1
			}
			if d < float64(b.edgeClear+b.viaPad/2+2000) {
				r.via[k][i] = -1
			}
		}
	}
	for _, h := range b.npth {
		s := shape{[]pt{h.p, h.to}, h.d / 2}
		keep := max(h.keep, mm(0.3))
		for k, c := range b.classes {
			r.mark(r.trk[k][0], s, keep+c.width/2, -1)
			r.mark(r.trk[k][1], s, keep+c.width/2, -1)
			r.mark(r.via[k], s, keep+b.viaPad/2, -1)
		}
	}
	for _, p := range b.pads() {
		r.copper(p.side, p.shape(), p.net)
		for k := range b.classes {
			if p.drill == 0 {
				r.mark(r.via[k], p.shape(), b.viaPad/2+mm(0.08), -1)
			} else {
				r.mark(r.via[k], p.shape(), b.viaPad/2+mm(0.1), -1)
			}
		}
	}
	for side := range b.extra {
		for _, it := range b.extra[side] {
			for _, s := range it.shapes() {
				r.copper(side, s, it.net)
			}
		}
	}
	for _, t := range b.tracks {
		r.copper(t.side, t.shape(), t.net)
	}
	return r
}

func (t track) shape() shape { return shape{[]pt{t.a, t.b}, t.w / 2} }

func (r *router) point(i int32) pt {
	i %= int32(r.n)
	return pt{r.o.x + int64(i%int32(r.nx))*r.b.step, r.o.y + int64(i/int32(r.nx))*r.b.step}
}

func (r *router) id(net string) int32 {
	if r.ids[net] == 0 {
		r.ids[net] = int32(len(r.ids) + 1)
	}
	return r.ids[net]
}

// near calls f for every grid point within d of s.
func (r *router) near(s shape, d int64, f func(i int32, p pt)) {
	bb := s.box().grow(d)
	st := r.b.step
	for y := max(0, (bb.y0-r.o.y)/st); y <= min(int64(r.ny-1), (bb.y1-r.o.y)/st+1); y++ {
		for x := max(0, (bb.x0-r.o.x)/st); x <= min(int64(r.nx-1), (bb.x1-r.o.x)/st+1); x++ {
			p := pt{r.o.x + x*st, r.o.y + y*st}
			if s.dist(p) < float64(d) || d == 0 && s.dist(p) == 0 {
				f(int32(y*int64(r.nx)+x), p)
			}
		}
	}
}

func (r *router) mark(m []int32, s shape, d int64, id int32) {
	r.near(s, d, func(i int32, _ pt) {
		if m[i] == 0 {
			m[i] = id
		} else if m[i] != id {
			m[i] = -1
		}
	})
}

// copper takes the room that a piece of copper needs away from all other nets.
func (r *router) copper(side int, s shape, net string) {
	id := r.id(net)
	for k, c := range r.b.classes {
		cl := max(c.clear, r.b.class(net).clear) + slack
		for l := range 2 {
			if side == both || side == l {
				r.mark(r.trk[k][l], s, cl+c.width/2, id)
			}
		}
		r.mark(r.via[k], s, cl+r.b.viaPad/2, id)
	}
}

func (r *router) addVia(p pt, net string) {
	r.b.vias = append(r.b.vias, via{p, net})
	r.copper(both, shape{[]pt{p}, r.b.viaPad / 2}, net)
	for k := range r.b.classes {
		r.mark(r.via[k], shape{pts: []pt{p}}, r.b.viaPad+mm(0.1), -1)
	}
}

// layTracks routes the board several times, each time beginning with what failed before, and keeps the best.
func (b *board) layTracks() *router {
	base := newRouter(b)
	byHand := b.tracks
	var below []via // in the large pads below parts, down to the plane
	for _, p := range b.pads() {
		n := int64(p.windows)
		for i := range n * n {
			q := pt{p.p.x + (i%n-n/2)*p.ap.w/(n+1), p.p.y + (i/n-n/2)*p.ap.h/(n+1)}
			below = append(below, via{q, p.net})
			base.copper(both, shape{[]pt{q}, b.viaPad / 2}, p.net)
			for k := range b.classes {
				base.mark(base.via[k], shape{pts: []pt{q}}, b.viaPad+mm(0.1), -1)
			}
		}
	}
	b.urgent = map[string]int{}
	var best *router
	var tracks []track
	var vias []via
	for range 3 {
		b.tracks, b.vias = slices.Clone(byHand), slices.Clone(below)
		r := base.fresh()
		r.route()
		if best == nil || len(r.failed) < len(best.failed) {
			best, tracks, vias = r, b.tracks, b.vias
		}
		if len(r.failed) == 0 {
			break
		}
		for _, f := range r.failed {
			b.urgent[f]++
		}
	}
	b.tracks, b.vias = tracks, vias
	best.settle()
	return best
}

// fresh is the router with nothing laid yet.
func (r *router) fresh() *router {
	c := *r
	c.trk, c.via = nil, nil
	for k := range r.trk {
		c.trk = append(c.trk, [2][]int32{slices.Clone(r.trk[k][0]), slices.Clone(r.trk[k][1])})
		c.via = append(c.via, slices.Clone(r.via[k]))
	}
	c.stamp, c.run = make([]int32, 2*r.n), 0
	c.comps = map[string][]*comp{}
	return &c
}

// route connects every net it can. A pad that stays out of reach gets a net of its own: the boards are invented, so
// the nets follow the copper.
func (r *router) route() {
	b := r.b
	var nets []string
	by := map[string][]*pad{}
	for _, p := range b.pads() {
		if by[p.net] == nil {
			nets = append(nets, p.net)
		}
		by[p.net] = append(by[p.net], p)
	}
	type wire struct {
		net  string
		a, z *pad
		d    float64
	}
	var wires []wire
	key := func(w wire) string { return w.a.part.ref + w.a.num + "-" + w.z.part.ref + w.z.num }
	at := map[*pad]*comp{}
	for _, n := range nets {
		for _, p := range by[n] {
			c := &comp{nodes: r.padNodes(p), pads: []*pad{p}, planed: (p.drill > 0 || p.windows > 0) && b.hasPlane(n)}
			at[p] = c
			r.comps[n] = append(r.comps[n], c)
		}
	}
	join := func(net string, a, z *comp) {
		if a == z {
			return
		}
		a.nodes = append(a.nodes, z.nodes...)
		a.pads = append(a.pads, z.pads...)
		a.planed = a.planed || z.planed
		for _, p := range z.pads {
			at[p] = a
		}
		r.comps[net] = slices.DeleteFunc(r.comps[net], func(c *comp) bool { return c == z })
	}
	// Copper laid by hand joins what it touches.
	for _, n := range nets {
		for i, p := range by[n] {
			for _, q := range by[n][:i] {
				if r.handJoined(p, q) {
					join(n, at[q], at[p])
				}
			}
		}
	}
	// Fine pads first: they have the fewest ways out.
	var planed []*pad
	for _, n := range nets {
		if b.hasPlane(n) {
			planed = append(planed, by[n]...)
		} else {
			ps := by[n]
			in := map[*pad]bool{ps[0]: true}
			for range len(ps) - 1 {
				best := wire{d: math.Inf(1)}
				for _, p := range ps {
					for _, q := range ps {
						if d := hypot(float64(p.p.x-q.p.x), float64(p.p.y-q.p.y)); in[p] && !in[q] && d < best.d {
							best = wire{n, p, q, d}
						}
					}
				}
				in[best.z] = true
				wires = append(wires, best)
			}
		}
	}
	slices.SortStableFunc(planed, func(a, z *pad) int {
		return cmp.Or(cmp.Compare(b.urgent[z.part.ref+z.num], b.urgent[a.part.ref+a.num]), cmp.Compare(a.ap.narrow(), z.ap.narrow()))
	})
	for _, p := range planed {
		c := at[p]
		if c.planed {
			continue
		}
		others := &comp{}
		for _, o := range r.comps[p.net] {
			if o.planed {
				others.nodes = append(others.nodes, o.nodes...)
			}
		}
		nodes, ok, _ := r.search(p.net, c, others, true, 150_000)
		if !ok && len(others.nodes) > 0 {
			nodes, ok = r.connect(p.net, c, others)
		}
		if !ok {
			r.failed = append(r.failed, p.part.ref+p.num)
			continue
		}
		c.planed = true
		c.nodes = append(c.nodes, nodes...)
	}
	slices.SortStableFunc(wires, func(a, z wire) int {
		return cmp.Or(cmp.Compare(b.urgent[key(z)], b.urgent[key(a)]), cmp.Compare(a.d, z.d))
	})
	for _, w := range wires {
		a, z := at[w.a], at[w.z]
		if a == z {
			continue
		}
		nodes, ok := r.connect(w.net, a, z)
		if !ok {
			r.failed = append(r.failed, key(w))
			continue
		}
		a.nodes = append(a.nodes, nodes...)
		join(w.net, a, z)
	}
	r.nets = nets
}

// settle gives the pieces that stayed alone their own nets.
func (r *router) settle() {
	b := r.b
	for _, n := range r.nets {
		cs := slices.Clone(r.comps[n])
		// The name stays with copper laid by hand, else with the largest piece.
		slices.SortStableFunc(cs, func(a, z *comp) int {
			return cmp.Compare(len(z.pads)+1000*b.onHandWork(n, z), len(a.pads)+1000*b.onHandWork(n, a))
		})
		for i, c := range cs {
			if i == 0 && !b.hasPlane(n) || c.planed {
				continue
			}
			r.rename(n, c)
		}
	}
}

// stitch drops vias between the pours and the plane of the same net, on a coarse grid where nothing is in the way.
func (r *router) stitch() {
	b := r.b
	if b.stitchPitch == 0 || len(b.pours) == 0 {
		return
	}
	net, n := b.pours[0].net, b.stitchPitch/b.step
	k := b.classOf[net]
	for y := n / 2; y < int64(r.ny); y += n {
		for x := n / 2; x < int64(r.nx); x += n {
			i := int32(y*int64(r.nx) + x)
			if v := r.via[k][i]; v != 0 && v != r.id(net) {
				continue
			}
			p := r.point(i)
			if a := b.pours[0].area; a != nil && (!inPolygon(p, a) || polyDist(p, a) < float64(b.viaPad)) {
				continue
			}
			if !b.hasPlane(net) || b.planeAt(net, p) {
				r.addVia(p, net)
			}
		}
	}
}

// onHandWork counts the pads of a piece that stand in copper drawn by hand.
func (b *board) onHandWork(net string, c *comp) int {
	n := 0
	for _, p := range c.pads {
		for side := range b.extra {
			for _, it := range b.extra[side] {
				for _, s := range it.shapes() {
					if it.net == net && s.dist(p.p) == 0 {
						n++
					}
				}
			}
		}
	}
	return n
}

// rename gives a piece that stayed alone its own net, copper and all.
func (r *router) rename(net string, c *comp) {
	r.b.unrouted++
	name := net + "_" + c.pads[0].part.ref + "_" + c.pads[0].num
	on := map[pt]bool{}
	for _, n := range c.nodes {
		on[r.point(n.at)] = true
	}
	for _, p := range c.pads {
		p.net = name
	}
	for i, t := range r.b.tracks {
		if t.net == net && (on[t.a] || on[t.b]) {
			r.b.tracks[i].net = name
		}
	}
	for i, v := range r.b.vias {
		if v.net == net && on[v.p] {
			r.b.vias[i].net = name
		}
	}
}

func (r *router) handJoined(p, q *pad) bool {
	for side := range 2 {
		if p.side != both && p.side != side || q.side != both && q.side != side {
			continue
		}
		for _, t := range r.b.tracks {
			if t.side != side || t.net != p.net {
				continue
			}
			s, z := p.shape(), q.shape()
			if s.dist(t.a) == 0 && z.dist(t.b) == 0 || s.dist(t.b) == 0 && z.dist(t.a) == 0 {
				return true
			}
		}
	}
	return false
}

func (r *router) padNodes(p *pad) []node {
	var out []node
	r.near(p.shape(), 0, func(i int32, q pt) {
		c := int32((abs(q.x-p.p.x) + abs(q.y-p.p.y)) * 5 / r.b.step)
		for l := range int32(2) {
			if p.side == both || p.side == int(l) {
				out = append(out, node{at: l*int32(r.n) + i, cost: c, link: p.p, has: true})
			}
		}
	})
	return out
}

func abs(v int64) int64 {
	if v < 0 {
		return -v
	}
	return v
}

type entry struct{ f, at int32 }

// heap is a binary heap of entries; ties go to the lower node number, so the order is fixed.
type heap []entry

func less(a, b entry) bool { return a.f < b.f || a.f == b.f && a.at < b.at }

func (h *heap) push(e entry) {
	*h = append(*h, e)
	s := *h
	for i := len(s) - 1; i > 0; {
		p := (i - 1) / 2
		if !less(s[i], s[p]) {
			break
		}
		s[i], s[p] = s[p], s[i]
		i = p
	}
}

func (h *heap) pop() entry {
	s := *h
	e := s[0]
	n := len(s) - 1
	s[0] = s[n]
	s = s[:n]
	*h = s
	for i := 0; ; {
		c := 2*i + 1
		if c >= n {
			break
		}
		if c+1 < n && less(s[c+1], s[c]) {
			c++
		}
		if !less(s[c], s[i]) {
			break
		}
		s[i], s[c] = s[c], s[i]
		i = c
	}
	return e
}

const (
	viaCost  = 90
	bendCost = 3
)

// connect lays one connection; it looks from the far end first, a little way, since a pad that is walled in shows
// itself there without a walk over the whole board.
func (r *router) connect(net string, a, z *comp) ([]node, bool) {
	nodes, ok, shut := r.search(net, z, a, false, 4000)
	if ok || shut {
		return nodes, ok
	}
	nodes, ok, _ = r.search(net, a, z, false, 150_000)
	return nodes, ok
}

// search lays one connection from a to z, or from a to a new via down to the net's plane, and returns its nodes. shut
// says that it looked everywhere it could get to.
func (r *router) search(net string, a, z *comp, toPlane bool, budget int) (laid []node, ok, shut bool) {
	b, k, id := r.b, r.b.classOf[net], r.id(net)
	free := func(v int32) bool { return v == 0 || v == id }
	r.run++
	run := r.run
	defer func() {
		for _, n := range z.nodes {
			r.goal[n.at] = 0
		}
	}()
	hx0, hy0, hx1, hy1 := int32(r.nx), int32(r.ny), int32(0), int32(0)
	for i, n := range z.nodes {
		if r.goal[n.at] == 0 {
			r.goal[n.at] = int32(i + 1)
		}
		x, y := n.at%int32(r.n)%int32(r.nx), n.at%int32(r.n)/int32(r.nx)
		hx0, hy0, hx1, hy1 = min(hx0, x), min(hy0, y), max(hx1, x), max(hy1, y)
	}
	guess := func(i int32) int32 {
		if toPlane {
			return 0
		}
		x, y := i%int32(r.n)%int32(r.nx), i%int32(r.n)/int32(r.nx)
		dx, dy := max(hx0-x, x-hx1, 0), max(hy0-y, y-hy1, 0)
		return 10*max(dx, dy) + 4*min(dx, dy)
	}
	var open heap
	for i, n := range a.nodes {
		l := n.at / int32(r.n)
		if !free(r.trk[k][l][n.at%int32(r.n)]) {
			continue
		}
		if r.stamp[n.at] != run || n.cost < r.g[n.at] {
			r.stamp[n.at], r.g[n.at], r.par[n.at], r.seedOf[n.at] = run, n.cost, -1, int32(i)
			open.push(entry{n.cost + guess(n.at), n.at})
		}
	}
	steps := [8][2]int32{{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}
	heading := func(i int32) int32 {
		p := r.par[i]
		if p < 0 || p/int32(r.n) != i/int32(r.n) {
			return -1
		}
		for d, s := range steps {
			if i-p == s[1]*int32(r.nx)+s[0] {
				return int32(d)
			}
		}
		return -1
	}
	for len(open) > 0 {
		e := open.pop()
		i := e.at
		if e.f > r.g[i]+guess(i) {
			continue
		}
		if budget--; budget < 0 {
			return nil, false, false
		}
		c, l := i%int32(r.n), i/int32(r.n)
		if gi := r.goal[i]; gi > 0 {
			return r.lay(net, a, i, &z.nodes[gi-1], false), true, false
		}
		viaOK := free(r.via[k][c])
		if toPlane && viaOK && b.planeAt(net, r.point(c)) {
			return r.lay(net, a, i, nil, true), true, false
		}
		if toPlane && r.g[i] > 400 {
			return nil, false, true
		}
		was := heading(i)
		x, y := c%int32(r.nx), c/int32(r.nx)
		for d, s := range steps {
			u, v := x+s[0], y+s[1]
			if u < 0 || v < 0 || u >= int32(r.nx) || v >= int32(r.ny) {
				continue
			}
			q := v*int32(r.nx) + u
			if !free(r.trk[k][l][q]) {
				continue
			}
			cost := int32(10)
			if s[0] != 0 && s[1] != 0 {
				cost = 14
			} else if (s[0] == 0) == (l == top) {
				cost = 12 // against the layer's grain: lying above, standing below
			}
			if was >= 0 && was != int32(d) {
				t := (int32(d) - was + 8) % 8
				if t = min(t, 8-t); t > 2 {
					continue
				}
				cost += bendCost * t * t
			}
			r.relax(&open, i, l*int32(r.n)+q, cost, guess)
		}
		if viaOK && !toPlane {
			o := (1-l)*int32(r.n) + c
			if free(r.trk[k][1-l][c]) {
				r.relax(&open, i, o, viaCost, guess)
			}
		}
	}
	return nil, false, true
}

func (r *router) relax(open *heap, from, to, cost int32, guess func(int32) int32) {
	g := r.g[from] + cost
	if r.stamp[to] == r.run && r.g[to] <= g {
		return
	}
	r.stamp[to], r.g[to], r.par[to] = r.run, g, from
	open.push(entry{g + guess(to), to})
}

// lay turns the path that ends at i into tracks and vias.
func (r *router) lay(net string, a *comp, i int32, goal *node, down bool) []node {
	var path []int32
	for j := i; ; j = r.par[j] {
		path = append(path, j)
		if r.par[j] < 0 {
			break
		}
	}
	slices.Reverse(path)
	var out []node
	for _, p := range path {
		out = append(out, node{at: p})
	}
	w := r.b.class(net).width
	add := func(p, q pt, side int32) {
		if p == q {
			return
		}
		t := track{p, q, w, int(side), net}
		r.b.tracks = append(r.b.tracks, t)
		r.copper(int(side), t.shape(), net)
	}
	n := int32(r.n)
	if s := a.nodes[r.seedOf[path[0]]]; s.has {
		add(s.link, r.point(path[0]), path[0]/n)
	}
	for s := 0; s < len(path)-1; {
		if path[s]/n != path[s+1]/n {
			r.addVia(r.point(path[s]), net)
			s++
			continue
		}
		e := s + 1
		for e+1 < len(path) && path[e+1]/n == path[s]/n && path[e+1]-path[e] == path[s+1]-path[s] {
			e++
		}
		add(r.point(path[s]), r.point(path[e]), path[s]/n)
		s = e
	}
	if goal != nil && goal.has {
		add(r.point(i), goal.link, i/n)
	}
	if down {
		r.addVia(r.point(i), net)
		out = append(out, node{at: (i + n) % (2 * n)})
	}
	return out
}
