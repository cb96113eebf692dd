package overlay

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// A step is one segment of the border. Segments that coincide are one step.
type step struct {
	seg, edge int32
	node      int32 // the node that it comes from, −1 for a corner that nothing else meets
}

// A run is a row of steps that all come from one edge of an operand.
type run struct {
	steps     [2]int32 // among those of all rings
	end       int32    // the node to which it leads, or −1
	next      int32    // the run that follows it in its ring
	whole     candidate
	straight  bool
	bent      bool // a straight run whose corners between do not lie on it
	drifts    bool // nor does it meet the pixels of all of them
	keepNodes bool
}

// A restorer gives rings back as paths of the operands' own edges.
//
// A row of segments that come from one straight edge becomes one straight edge again, one of chords
// an arc about the same centre. Where an arc was cut, its chord was; the end is moved to where the two
// edges meet in truth.
type restorer struct {
	a     *Arrangement
	t     *tracer
	steps []step // of all rings, each from the beginning of a run on
	runs  []run
	rings []parted
	moved []refined      // by node
	buf   [2][]candidate // scratch
	walks []step
}

// refined is the point of a node, once it has been asked for.
type refined struct {
	at    geom.Point
	known bool
}

// parted is a ring in its runs, or a plain one: each of its segments stands for itself.
type parted struct {
	plain ring
	runs  [2]int32
	outer bool // not a cut-out
}

func (a *Arrangement) restore(ctx context.Context, pieces []piece, t *tracer) (geom.Region, error) {
	r := restorer{a: a, t: t}
	if a.shapes.arcs {
		r.moved = make([]refined, len(a.graph.at))
	}
	for _, p := range pieces {
		r.ring(p.outer, true)
		for _, c := range p.cutOuts {
			r.ring(c, false)
		}
	}
	if err := r.straighten(ctx); err != nil {
		return nil, err
	}
	if err := r.reconcile(ctx); err != nil {
		return nil, err
	}
	var out geom.Region
	next := 0
	path := func() geom.Path {
		p := r.rings[next]
		next++
		if p.plain != nil {
			return r.plainPath(p.plain)
		}
		return r.path(r.runs[p.runs[0]:p.runs[1]])
	}
	for _, p := range pieces {
		o := geom.Outline{Outer: path()}
		for range p.cutOuts {
			o.CutOuts = append(o.CutOuts, path())
		}
		slices.SortFunc(o.CutOuts, comparePaths)
		out = append(out, o)
	}
	slices.SortFunc(out, func(a, b geom.Outline) int { return comparePaths(a.Outer, b.Outer) })
	return out, nil
}

// A candidate is an edge of an operand that a step may come from, 2·source, plus 1 when the border runs
// against it.
type candidate int32

// up tells whether the border rises along an edge.
func (r *restorer) up(e int32) bool { return r.t.inside[r.a.graph.edges[e].above] }

func (r *restorer) candidate(seg int32, up bool) candidate {
	s := &r.a.graph.segs[seg]
	if s.up == up {
		return candidate(2 * s.src)
	}
	return candidate(2*s.src + 1)
}

// candidates appends what a step may come from.
func (r *restorer) candidates(s step, out []candidate) []candidate {
	g := r.a.graph
	d, up := &g.edges[s.edge], r.up(s.edge)
	if d.count == 1 {
		return append(out, r.candidate(s.seg, up))
	}
	for _, k := range g.order[d.first : d.first+d.count] {
		if c := r.candidate(g.chains[k].first, up); !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// from is where a step comes from, to where it leads.
func (r *restorer) from(s step) place {
	if g := &r.a.graph.segs[s.seg]; r.up(s.edge) {
		return g.lo
	} else {
		return g.hi
	}
}

func (r *restorer) to(s step) place {
	if g := &r.a.graph.segs[s.seg]; r.up(s.edge) {
		return g.hi
	} else {
		return g.lo
	}
}

// edge gives a candidate in the direction of the border.
func (r *restorer) edge(c candidate) geom.Edge {
	e := r.a.shapes.edge(int32(c >> 1))
	if c&1 == 1 {
		return e.Reverse()
	}
	return e
}

// joins tells whether a run may go on over the beginning of a step: nothing else meets there, and the
// candidate does not end there.
func (r *restorer) joins(s step, c candidate) bool {
	if s.node >= 0 && r.t.first[s.node+1]-r.t.first[s.node] != 2 {
		return false
	}
	if !r.a.shapes.arcs {
		return true
	}
	e := r.a.shapes.edge(int32(c >> 1))
	return e.From != e.To || r.a.shapes.point(r.from(s)) != e.From
}

// walk lists the steps of a ring.
func (r *restorer) walk(edges ring) []step {
	out := r.walks[:0]
	for _, e := range edges {
		c := r.a.graph.edges[e].chain
		for k := range c.count {
			s := step{c.first + k, e, -1}
			if c.up != r.up(e) {
				s.seg = c.first + c.count - 1 - k
			}
			if k == 0 {
				s.node = r.t.from(e)
			}
			out = append(out, s)
		}
	}
	r.walks = out
	return out
}

// plain tells whether all segments of a ring are straight and come from different edges.
func (r *restorer) plain(edges ring) bool {
	if r.a.shapes.arcs {
		return false
	}
	g := r.a.graph
	last := int32(-1)
	for i := -1; i < len(edges); i++ {
		d := &g.edges[edges[(i+len(edges))%len(edges)]]
		if d.count > 1 {
			return false
		}
		segs := g.segs[d.chain.first : d.chain.first+d.chain.count]
		for k := range segs {
			s := &segs[k]
			if d.chain.up != r.t.inside[d.above] {
				s = &segs[len(segs)-1-k]
			}
			if s.src == last {
				return false
			}
			last = s.src
		}
	}
	return true
}

// plainPath makes a path of a plain ring, which begins at its least place.
func (r *restorer) plainPath(edges ring) geom.Path {
	g := r.a.graph
	n := int32(0)
	for _, e := range edges {
		n += g.edges[e].chain.count
	}
	out := make(geom.Path, 0, n)
	last := r.a.shapes.point(g.at[r.t.from(edges[0])])
	for _, e := range edges {
		d := &g.edges[e]
		up := r.t.inside[d.above]
		for k := range d.chain.count {
			p := geom.Point{}
			if up {
				p = r.a.shapes.point(d.chain.at(g.segs, k).hi)
			} else {
				p = r.a.shapes.point(d.chain.at(g.segs, d.chain.count-1-k).lo)
			}
			out = append(out, geom.Line(last, p))
			last = p
		}
	}
	return out
}

// ring parts a ring into runs.
func (r *restorer) ring(edges ring, outer bool) {
	if r.plain(edges) {
		r.rings = append(r.rings, parted{plain: edges})
		return
	}
	begin := int32(len(r.runs))
	steps := r.walk(edges)
	n := len(steps)
	start := 0
	last := r.candidates(steps[n-1], r.buf[0][:0])
	for i, s := range steps { // a corner where a run must end
		next := r.candidates(s, r.buf[1][:0])
		if !r.share(s, last, next) {
			start = i
			break
		}
		last, r.buf[0], r.buf[1] = next, next, last
	}
	base := len(r.steps)
	r.steps = append(append(r.steps, steps[start:]...), steps[:start]...)
	steps = r.steps[base:]
	for i := 0; i < n; {
		from := r.candidates(steps[i], r.buf[0][:0])
		j := i + 1
		for ; j < n; j++ {
			next := r.candidates(steps[j], r.buf[1][:0])
			r.buf[1] = next
			if !r.share(steps[j], from, next) {
				break
			}
			from = slices.DeleteFunc(from, func(c candidate) bool { return !slices.Contains(next, c) || !r.joins(steps[j], c) })
		}
		r.runs = append(r.runs, r.run(base+i, base+j, steps[j%n].node, from))
		r.runs[len(r.runs)-1].next = int32(len(r.runs))
		r.buf[0] = from
		i = j
	}
	r.runs[len(r.runs)-1].next = begin
	r.rings = append(r.rings, parted{runs: [2]int32{begin, int32(len(r.runs))}, outer: outer})
}

// share tells whether a candidate of the step before another goes on over the beginning of that.
func (r *restorer) share(s step, before, after []candidate) bool {
	for _, c := range before {
		if slices.Contains(after, c) && r.joins(s, c) {
			return true
		}
	}
	return false
}

func (r *restorer) run(begin, end int, node int32, from []candidate) run {
	best := from[0]
	for _, c := range from[1:] {
		if compareEdges(r.edge(c), r.edge(best)) < 0 {
			best = c
		}
	}
	u := run{steps: [2]int32{int32(begin), int32(end)}, end: node, whole: best}
	u.straight = !r.a.shapes.arcs || r.edge(best).Sense == geom.Straight
	if u.straight && end-begin > 1 {
		a, b := r.ends(&u)
		whole := between(a, b, 0, 0)
		span := whole.span(0, false)
		for _, s := range r.steps[begin+1 : end] {
			p := r.from(s)
			side := turn(whole.lo, whole.hi, p)
			u.bent = u.bent || side != 0
			u.drifts = u.drifts || !span.boxHolds(p.x(), p.y()) || !span.touches(side)
		}
	}
	return u
}

// ends are the places between which a run leads.
func (r *restorer) ends(u *run) (from, to place) {
	return r.from(r.steps[u.steps[0]]), r.to(r.steps[u.steps[1]-1])
}

// path makes a path of a ring's runs, from its least point on.
func (r *restorer) path(runs []run) geom.Path {
	out := make(geom.Path, 0, len(runs))
	for i := range runs {
		out = r.pieces(&runs[i], out)
	}
	low := 0
	for i, e := range out {
		if e.From.Less(out[low].From) {
			low = i
		}
	}
	if low == 0 {
		return out
	}
	return slices.Concat(out[low:], out[:low])
}

// points are the ends of a run in the result.
func (r *restorer) points(u *run) (from, to geom.Point) {
	a, b := r.ends(u)
	return r.end(a, r.steps[u.steps[0]].node), r.end(b, u.end)
}

func (r *restorer) chords(u *run, out geom.Path) geom.Path {
	from, to := r.points(u)
	steps := r.steps[u.steps[0]:u.steps[1]]
	for i, s := range steps {
		e := geom.Line(from, to)
		if i > 0 {
			e.From = r.a.shapes.point(r.from(s))
		}
		if i+1 < len(steps) {
			e.To = r.a.shapes.point(r.to(s))
		}
		if e.From != e.To {
			out = append(out, e)
		}
	}
	return out
}

// arc gives a run of chords back as an arc between two places, or the nearest to them on its circle. A
// part of an arc whose ends disagree about the radius is about the centre that they agree on.
func (r *restorer) arc(u *run, from, to geom.Point) geom.Edge {
	e := r.edge(u.whole)
	if from == e.From && to == e.To {
		return e
	}
	if _, regular := circle(e); !regular {
		e, _ = e.Recentred()
	}
	return geom.Arc(onCircle(from, e), onCircle(to, e), e.Center, e.Sense)
}

// onCircle gives p, or if it does not lie there the nearest point on an arc's circle. An arc must end on
// its circle: another circle through its ends may lie farther from it than they do.
func onCircle(p geom.Point, e geom.Edge) geom.Point {
	d := p.Sub(e.Center)
	l, rad := d.Norm(), e.Radius()
	if l == 0 || math.Abs(l-rad) <= 2 {
		return p
	}
	k := rad / l
	return geom.Pt(e.Center.X+geom.Round(float64(d.X)*k), e.Center.Y+geom.Round(float64(d.Y)*k))
}

// bend appends an arc, with what leads to it and from it where its ends do not lie on its circle: no
// more than the chord error.
func (r *restorer) bend(u *run, out geom.Path) geom.Path {
	from, to := r.points(u)
	e := r.arc(u, from, to)
	if from != e.From {
		out = append(out, geom.Line(from, e.From))
	}
	out = append(out, e)
	if to != e.To {
		out = append(out, geom.Line(e.To, to))
	}
	return out
}

// settle makes sure of every run of chords that its arc is the one that the chords stand for: as long as
// the way of its ends allows. Where moving the ends has made another of it, they go back to where the
// chords were cut; a run for which that does not help keeps its chords.
func (r *restorer) settle() {
	if !r.a.shapes.arcs {
		return
	}
	for again := true; again; {
		again = false
		for i := range r.runs {
			u := &r.runs[i]
			if u.straight || u.keepNodes || r.fits(u) {
				continue
			}
			again = true
			back := false
			for _, node := range [2]int32{r.steps[u.steps[0]].node, u.end} {
				if node < 0 {
					continue
				}
				p := r.a.shapes.point(r.a.graph.at[node])
				back = back || r.end(r.a.graph.at[node], node) != p
				r.moved[node] = refined{p, true}
			}
			u.keepNodes = !back
		}
	}
}

// fits tells whether the arc of a run is the one that its chords stand for.
func (r *restorer) fits(u *run) bool {
	a, b := r.ends(u)
	from, to := r.points(u)
	p, q := r.a.shapes.point(a), r.a.shapes.point(b)
	e, cut := r.arc(u, from, to), r.arc(u, p, q)
	if (e.From == e.To) != (a == b) || (cut.From == cut.To) != (a == b) || e.From == e.Center || e.To == e.Center {
		return false
	}
	if math.Abs(e.Length()-cut.Length()) > float64(1.5*(p.Distance(from)+q.Distance(to)))+8 {
		return false
	}
	length := 0.0
	for _, s := range r.steps[u.steps[0]:u.steps[1]] {
		length += r.a.shapes.point(r.from(s)).Distance(r.a.shapes.point(r.to(s)))
	}
	return math.Abs(cut.Length()-length) <= length/3+float64(2*r.chordError())+4
}

// tolerance is how far the crossing of two chords may lie from that of their arcs: a chord's length,
// in nm.
func (r *restorer) tolerance(e geom.Edge) float64 {
	return math.Sqrt(8*e.Radius()*r.chordError()) + 2
}

func (r *restorer) chordError() float64 {
	if r.a.o.ChordError == 0 {
		return float64(geom.UM)
	}
	return float64(r.a.o.ChordError)
}

// end gives the point of a corner: where arcs cross something, the true crossing nearest to it.
func (r *restorer) end(at place, node int32) geom.Point {
	if !r.a.shapes.arcs || node < 0 {
		return r.a.shapes.point(at)
	}
	m := &r.moved[node]
	if !m.known {
		*m = refined{r.refine(node), true}
	}
	return m.at
}

func (r *restorer) refine(v int32) geom.Point {
	p := r.a.shapes.point(r.a.graph.at[v])
	var ids []candidate
	for _, e := range r.t.list[r.t.first[v]:r.t.first[v+1]] {
		// The chain's segment at the node.
		d := &r.a.graph.edges[e]
		k := d.chain.first
		if (d.lo == v) != d.chain.up {
			k += d.chain.count - 1
		}
		ids = r.candidates(step{k, e, v}, ids)
	}
	arcs := false
	edges := make([]geom.Edge, 0, 4)
	for _, c := range ids {
		e := forwards(r.edge(c))
		if e.From == p || e.To == p {
			return p // a corner of an operand stays
		}
		arcs = arcs || e.Sense != geom.Straight
		edges = append(edges, e)
	}
	if !arcs || len(edges) < 2 {
		return p
	}
	slices.SortFunc(edges, compareEdges)
	best, least := p, math.Inf(1)
	for i, e := range edges {
		for _, f := range edges[i+1:] {
			if sameCarrier(e, f) {
				continue
			}
			if !sameCarrier(e, edges[0]) && !sameCarrier(f, edges[0]) {
				return p // three ways through one node
			}
			limit := 0.0
			if e.Sense != geom.Straight {
				limit = r.tolerance(e)
			}
			if f.Sense != geom.Straight {
				limit = max(limit, r.tolerance(f))
			}
			for _, q := range e.Intersections(f) {
				if d := q.Distance(p); d <= limit && d < least {
					best, least = q, d
				}
			}
		}
	}
	return best
}

// forwards gives an edge in the one of its two directions that does not depend on how an operand runs
// along it.
func forwards(e geom.Edge) geom.Edge {
	if e.Sense == geom.Clockwise || e.Sense == geom.Straight && e.To.Less(e.From) {
		return e.Reverse()
	}
	return e
}

// sameCarrier tells whether two edges lie on one line or circle.
func sameCarrier(e, f geom.Edge) bool {
	if (e.Sense == geom.Straight) != (f.Sense == geom.Straight) {
		return false
	}
	if e.Sense == geom.Straight {
		d := e.To.Sub(e.From)
		return d.Cross(f.From.Sub(e.From)) == 0 && d.Cross(f.To.Sub(e.From)) == 0
	}
	return e.Center == f.Center && math.Abs(e.Radius()-f.Radius()) <= 2
}

// compareEdges orders edges by what they are, straight ones first, not by which operand has them.
func compareEdges(e, f geom.Edge) int {
	if (e.Sense == geom.Straight) != (f.Sense == geom.Straight) {
		if e.Sense == geom.Straight {
			return -1
		}
		return 1
	}
	for _, c := range [...]int{e.From.Compare(f.From), e.To.Compare(f.To), e.Center.Compare(f.Center)} {
		if c != 0 {
			return c
		}
	}
	return int(e.Sense) - int(f.Sense)
}

// comparePaths orders paths by their first points, then edge by edge.
func comparePaths(p, q geom.Path) int {
	if len(p) > 0 && len(q) > 0 {
		if c := p[0].From.Compare(q[0].From); c != 0 {
			return c
		}
	}
	return slices.CompareFunc(p, q, compareEdges)
}
