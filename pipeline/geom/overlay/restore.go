package overlay

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// A run is a chain of border edges that all come from one edge of an operand.
type run struct {
	from, to  int32    // vertices
	chain     [2]int32 // its edges among those of all rings
	whole     candidate
	straight  bool
	bent      bool // a straight run whose vertices between do not lie on it
	keepNodes bool
}

// A restorer gives rings back as paths of the operands' own edges.
//
// A chain of border edges that come from one straight edge becomes one straight edge again, one of
// chords an arc about the same centre. Where an arc was cut, its chord was; the end is moved to where
// the two edges meet in truth.
type restorer struct {
	a     *Arrangement
	t     *tracer
	edges []int32 // of all rings, each from the beginning of a run on
	runs  []run
	spans [][2]int32 // of each ring, its runs
	moved map[int32]geom.Point
	buf   [2][]candidate
}

func (a *Arrangement) restore(ctx context.Context, pieces []piece, t *tracer) (geom.Region, error) {
	r := restorer{a: a, t: t, moved: map[int32]geom.Point{}}
	for _, p := range pieces {
		r.ring(p.outer)
		for _, c := range p.cutOuts {
			r.ring(c)
		}
	}
	if err := r.straighten(ctx); err != nil {
		return nil, err
	}
	var out geom.Region
	next := 0
	path := func() geom.Path {
		s := r.spans[next]
		next++
		return r.path(r.runs[s[0]:s[1]])
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

// A candidate is an edge of an operand that a border edge may come from, 2·source, plus 1 when the
// border runs against it.
type candidate int32

// candidates appends what a border edge may come from.
func (r *restorer) candidates(e int32, out []candidate) []candidate {
	g := r.a.graph
	d := &g.edges[e]
	up := r.t.inside[d.above]
	for _, k := range g.order[d.first : d.first+d.count] {
		c := candidate(2 * g.segs[k].src)
		if (g.segs[k].delta > 0) != up {
			c++
		}
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// edge gives a candidate in the direction of the border.
func (r *restorer) edge(c candidate) geom.Edge {
	e := r.a.shapes.edge(int32(c >> 1))
	if c&1 == 1 {
		return e.Reverse()
	}
	return e
}

// joins tells whether a run may go on over a vertex: nothing else meets there, and the candidate does
// not end there.
func (r *restorer) joins(v int32, c candidate) bool {
	if r.t.first[v+1]-r.t.first[v] != 2 {
		return false
	}
	e := r.a.shapes.edge(int32(c >> 1))
	return e.From != e.To || r.a.shapes.point(r.a.graph.at[v]) != e.From
}

// ring parts a ring into runs.
func (r *restorer) ring(edges ring) {
	begin := int32(len(r.runs))
	n := len(edges)
	start := 0
	last := r.candidates(edges[n-1], r.buf[0][:0])
	for i, e := range edges { // a vertex where a run must end
		next := r.candidates(e, r.buf[1][:0])
		if !r.share(r.t.from(e), last, next) {
			start = i
			break
		}
		last, r.buf[0], r.buf[1] = next, next, last
	}
	base := len(r.edges)
	r.edges = append(append(r.edges, edges[start:]...), edges[:start]...)
	chain := r.edges[base:]
	for i := 0; i < n; {
		from := r.candidates(chain[i], r.buf[0][:0])
		j := i + 1
		for ; j < n; j++ {
			v, next := r.t.from(chain[j]), r.candidates(chain[j], r.buf[1][:0])
			r.buf[1] = next
			if !r.share(v, from, next) {
				break
			}
			from = slices.DeleteFunc(from, func(c candidate) bool { return !slices.Contains(next, c) || !r.joins(v, c) })
		}
		r.runs = append(r.runs, r.run(base+i, base+j, from))
		r.buf[0] = from
		i = j
	}
	r.spans = append(r.spans, [2]int32{begin, int32(len(r.runs))})
}

// share tells whether a candidate of the edge before a vertex goes on over it to the edge after it.
func (r *restorer) share(v int32, before, after []candidate) bool {
	for _, c := range before {
		if slices.Contains(after, c) && r.joins(v, c) {
			return true
		}
	}
	return false
}

func (r *restorer) run(begin, end int, from []candidate) run {
	best := from[0]
	for _, c := range from[1:] {
		if compareEdges(r.edge(c), r.edge(best)) < 0 {
			best = c
		}
	}
	chain := r.edges[begin:end]
	u := run{from: r.t.from(chain[0]), to: r.t.to(chain[len(chain)-1]), chain: [2]int32{int32(begin), int32(end)}, whole: best}
	u.straight = !r.a.shapes.arcs || r.edge(best).Sense == geom.Straight
	if u.straight {
		g := r.a.graph
		for _, e := range chain[1:] {
			u.bent = u.bent || turn(g.at[u.from], g.at[u.to], g.at[r.t.from(e)]) != 0
		}
	}
	return u
}

func (r *restorer) chain(u *run) []int32 { return r.edges[u.chain[0]:u.chain[1]] }

// straighten makes sure that straight runs may leave out the vertices where they were bent: that they
// meet no pixel of another vertex of the result then. Those that do keep their vertices.
func (r *restorer) straighten(ctx context.Context) error {
	if !slices.ContainsFunc(r.runs, func(u run) bool { return u.bent }) {
		return nil
	}
	g := r.a.graph
	for {
		f := finder{ctx: ctx, workers: r.a.o.Workers, moved: []bool{}}
		var of []int32 // the run of each segment
		any := false
		for i := range r.runs {
			u := &r.runs[i]
			if u.straight && !u.keepNodes {
				f.segs = append(f.segs, between(g.at[u.from], g.at[u.to], 0, 0))
				f.moved = append(f.moved, u.bent)
				of = append(of, int32(i))
				any = any || u.bent
				continue
			}
			for _, e := range r.chain(u) {
				f.segs = append(f.segs, between(g.at[r.t.from(e)], g.at[r.t.to(e)], 0, 0))
				f.moved = append(f.moved, false)
				of = append(of, int32(i))
			}
		}
		if !any {
			return nil
		}
		hits, err := f.find(r.a.shapes.box)
		if err != nil {
			return err
		}
		if len(hits) == 0 {
			return nil
		}
		kept := false
		for _, h := range hits {
			if u := &r.runs[of[h.seg]]; u.bent {
				u.bent, u.keepNodes, kept = false, true, true
			}
		}
		if !kept { // something else is met: then none
			for i := range r.runs {
				if u := &r.runs[i]; u.bent {
					u.bent, u.keepNodes = false, true
				}
			}
		}
	}
}

// path makes a path of a ring's runs, from its least point on.
func (r *restorer) path(runs []run) geom.Path {
	out := make(geom.Path, 0, len(runs))
	for i := range runs {
		u := &runs[i]
		switch {
		case !u.straight:
			out = r.arc(u, out)
		case u.keepNodes:
			out = r.chords(u, out)
		default:
			out = append(out, geom.Line(r.end(u.from), r.end(u.to)))
		}
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

func (r *restorer) chords(u *run, out geom.Path) geom.Path {
	for _, e := range r.chain(u) {
		out = append(out, geom.Line(r.end(r.t.from(e)), r.end(r.t.to(e))))
	}
	return out
}

// arc gives a run of chords back as an arc, unless it would be another than the chords stand for.
func (r *restorer) arc(u *run, out geom.Path) geom.Path {
	whole := r.edge(u.whole)
	e := geom.Arc(r.end(u.from), r.end(u.to), whole.Center, whole.Sense)
	if (e.From == e.To) == (u.from == u.to) && e.From != e.Center && e.To != e.Center {
		length := 0.0
		for _, c := range r.chain(u) {
			length += r.end(r.t.from(c)).Distance(r.end(r.t.to(c)))
		}
		if math.Abs(e.Length()-length) <= length/4+8*r.tolerance(e) {
			return append(out, e)
		}
	}
	return r.chords(u, out)
}

// tolerance is how far the crossing of two chords may lie from that of their arcs: a chord's length,
// in nm.
func (r *restorer) tolerance(e geom.Edge) float64 {
	err := r.a.o.ChordError
	if err == 0 {
		err = geom.UM
	}
	return math.Sqrt(8*e.Radius()*float64(err)) + 2
}

// end gives the point of a vertex: where arcs cross something, the true crossing nearest to it.
func (r *restorer) end(v int32) geom.Point {
	if !r.a.shapes.arcs {
		return r.a.shapes.point(r.a.graph.at[v])
	}
	if p, ok := r.moved[v]; ok {
		return p
	}
	p := r.refine(v)
	r.moved[v] = p
	return p
}

func (r *restorer) refine(v int32) geom.Point {
	p := r.a.shapes.point(r.a.graph.at[v])
	var ids []candidate
	for _, e := range r.t.list[r.t.first[v]:r.t.first[v+1]] {
		ids = r.candidates(e, ids)
	}
	arcs := false
	edges := make([]geom.Edge, 0, 4)
	for _, c := range ids {
		e := r.edge(c &^ 1)
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
				return p // three ways through one vertex
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
	for _, c := range [...]int{comparePoints(e.From, f.From), comparePoints(e.To, f.To), comparePoints(e.Center, f.Center)} {
		if c != 0 {
			return c
		}
	}
	return int(e.Sense) - int(f.Sense)
}

func comparePoints(p, q geom.Point) int {
	switch {
	case p.Less(q):
		return -1
	case q.Less(p):
		return 1
	}
	return 0
}

func comparePaths(p, q geom.Path) int { return slices.CompareFunc(p, q, compareEdges) }
