package overlay

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
)

// Patch is all of the plane that exactly these operands cover.
type Patch struct {
	Operands []int // ascending
	Region   geom.Region
}

// Arrangement is the plane cut along the edges of all operands. It can be asked for any number of
// regions, also by several goroutines at once.
type Arrangement struct {
	o      Options
	shapes *shapes
	graph  *graph
	covers []Cover // by state
}

// Arrange cuts the plane along the edges of all operands.
//
// It fails when a path is not closed or lies beyond ±1 m (*PathError), when ctx is done, and with a
// *Fault when one of its invariants does not hold.
func Arrange(ctx context.Context, o Options, operands ...Operand) (*Arrangement, error) {
	s, err := load(ctx, o, operands)
	if err != nil {
		return nil, err
	}
	if o.KeepChords {
		// The chords take the part of edges: nothing is given back but them.
		if s, err = load(ctx, o, s.straight()); err != nil {
			return nil, err
		}
	}
	a := &Arrangement{o: o, shapes: s, graph: &graph{out: []int32{0}}, covers: []Cover{{}}}
	if len(s.segs) == 0 {
		return a, nil
	}
	if err := a.cut(ctx); err != nil {
		return nil, a.report(err, func(part *Arrangement) error { return nil })
	}
	return a, nil
}

func (a *Arrangement) cut(ctx context.Context) error {
	s := a.shapes
	segs, err := node(ctx, s.segs, s.box, a.o.Workers)
	if err != nil {
		return err
	}
	s.segs = nil // the pieces take their place
	return a.finish(ctx, segs)
}

// finish builds the graph of segments that meet in common ends only.
func (a *Arrangement) finish(ctx context.Context, segs []segment) (err error) {
	s := a.shapes
	if a.graph, err = connect(segs, s.op); err != nil {
		return err
	}
	st := newStates()
	if err := a.wind(ctx, st); err != nil {
		return err
	}
	rules := make([]Rule, len(s.operands))
	for i, op := range s.operands {
		rules[i] = op.Rule
	}
	a.covers = make([]Cover, len(st.list))
	for i := range st.list {
		a.covers[i] = st.cover(int32(i), rules)
	}
	return nil
}

// wind finds the state on either side of every edge, from the outside up, and makes sure that what it
// counts adds up at every vertex.
func (a *Arrangement) wind(ctx context.Context, st *states) error {
	g := a.graph
	s := newSweep(g, nil)
	return s.run(ctx, func(below int32, fan []int32, above int32, p place) error {
		var state, end int32
		if below >= 0 {
			state = g.edges[below].above
		}
		for _, i := range fan {
			e := &g.edges[i]
			e.below = state
			for _, k := range g.order[e.first : e.first+e.count] {
				c := g.seg(k)
				g.gains.add(a.shapes.op(c.src), c.delta())
			}
			state = st.after(state, g.gains.take())
			e.above = state
		}
		if above >= 0 {
			end = g.edges[above].below
		}
		if state != end {
			return s.fault("winding numbers do not add up", p)
		}
		return nil
	})
}

// Region gives the union of the places whose cover is inside. What no operand covers is never part of
// it, and inside is not asked about it.
func (a *Arrangement) Region(ctx context.Context, inside func(Cover) bool) (geom.Region, error) {
	r, err := a.region(ctx, inside)
	if err != nil {
		return nil, a.report(err, func(part *Arrangement) error {
			_, err := part.region(ctx, inside)
			return err
		})
	}
	return r, nil
}

func (a *Arrangement) region(ctx context.Context, inside func(Cover) bool) (geom.Region, error) {
	in := make([]bool, len(a.covers))
	for i, c := range a.covers {
		in[i] = c.Len() > 0 && inside(c)
	}
	pieces, t, err := trace(ctx, a.graph, in)
	if err != nil {
		return nil, err
	}
	return a.restore(ctx, pieces, t)
}

// Patches tells which operands cover what: one patch for each set of operands that occurs, in order
// of their numbers.
func (a *Arrangement) Patches(ctx context.Context) ([]Patch, error) {
	order := make([]int, 0, len(a.covers))
	for i, c := range a.covers {
		if c.Len() > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, k int) int { return slices.Compare(a.covers[i].operands, a.covers[k].operands) })
	var out []Patch
	for i := 0; i < len(order); {
		c := a.covers[order[i]]
		same := func(d Cover) bool { return slices.Equal(c.operands, d.operands) }
		for i < len(order) && same(a.covers[order[i]]) {
			i++
		}
		r, err := a.Region(ctx, same)
		if err != nil {
			return nil, err
		}
		if len(r) > 0 {
			out = append(out, Patch{c.Operands(), r})
		}
	}
	return out, nil
}

// report completes a fault with its place and with a small case for which the arrangement, or what
// then makes of it, fails, too.
func (a *Arrangement) report(err error, then func(*Arrangement) error) error {
	f, ok := isFault(err)
	if !ok {
		return err
	}
	if f.known {
		f.At = a.shapes.point(f.place)
	}
	// A context of its own: the caller's may end while the case is looked for.
	ctx := context.Background()
	again, err := load(ctx, a.o, a.shapes.operands)
	if err != nil {
		return f
	}
	f.Case = shrink(again.straight(), func(ops []Operand) bool {
		s, err := load(ctx, a.o, ops)
		if err != nil || len(s.segs) == 0 {
			return false
		}
		part := &Arrangement{o: a.o, shapes: s}
		if err = part.cut(ctx); err == nil {
			err = then(part)
		}
		_, bad := isFault(err)
		return bad
	})
	return f
}
