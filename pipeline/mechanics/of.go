package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// gravity is the standard acceleration of free fall in mm/s² (3rd CGPM, 1901).
const gravity = 9806.65

// key is what Answers are remembered by.
type key struct{}

// Of reckons a panel that a support is stated for; nil where none is. It is reckoned once for each panel value, whoever asks:
// nobody may change what it gives. The result does not depend on the number of workers. Errors are that ctx is done, or a fault of the
// geometry; what is wrong with the panel is among Problems.
func Of(ctx context.Context, p panel.Panel, workers int) (*Answers, error) {
	if p.Support() == nil {
		return nil, nil
	}
	v, err := p.Remember(key{}, func() (any, error) { return reckon(ctx, p, *p.Support(), workers) })
	if err != nil {
		return nil, err
	}
	return v.(*Answers), nil
}

// reckon does the work of Of.
func reckon(ctx context.Context, p panel.Panel, s panel.Support, workers int) (*Answers, error) {
	m, err := build(ctx, p, s, workers)
	if err != nil {
		return nil, err
	}
	out := &Answers{Support: s, Constants: Constants(s), Problems: m.problems}
	broken, err := Breaking(ctx, p, workers)
	if err != nil {
		return nil, err
	}
	out.Breaks, out.Parts = broken.Breaks, broken.Parts
	if len(m.problems) > 0 {
		return out, nil
	}
	out.Span = m.span()
	out.IdlePins = m.idlePins()
	out.Nodes, out.Triangles, out.Joints = len(m.mesh.Nodes), len(m.mesh.Triangles), len(m.joints)
	out.Unknowns = 3 * out.Nodes
	for _, h := range m.held {
		for _, x := range [...]bool{h.Deflection, h.SlopeX, h.SlopeY} {
			if x {
				out.Unknowns--
			}
		}
	}
	r, err := m.solve(ctx, modes, workers)
	if err != nil {
		return nil, err
	}
	for i := 0; i < len(r.states[0].right); i += 3 {
		out.Mass += float64(r.states[0].right[i] / gravity * 1e6) // N over mm/s² are t
	}
	if x, ok := m.tips(r.states[0].right); ok {
		out.Problems = append(out.Problems, x)
		return out, nil
	}
	for _, x := range r.states {
		s := m.sag(x, out.Span)
		s.Pull, s.PullAt = m.pull(r, x, x.right)
		out.States = append(out.States, s)
	}
	out.Hertz = r.hertz
	out.Tabs = m.tabs(r)
	out.Rows = len(out.Tabs)
	out.Lines = m.lines(r)
	if err := m.leaveOut(ctx, r, out); err != nil {
		return nil, err
	}
	out.Shapes = m.shapes(r)
	return out, ctx.Err()
}

// loaded is the plate in one state.
type loaded struct {
	kind  StateKind
	state plate.State
	right []float64 // the right side that it answers
	copy  string    // pressed
}

// solved is the plate solved.
type solved struct {
	cold, hot *plate.System
	models    [2]*plate.Model      // cold, hot
	rows      [2][][][6][6]float64 // ligaments of each band, cold and hot
	states    []loaded
	hertz     []float64
}

// solve loads the plate in every state, and finds its lowest modes.
func (m *model) solve(ctx context.Context, modes, workers int) (*solved, error) {
	r := &solved{}
	for k := range 2 {
		r.rows[k] = make([][][6][6]float64, len(m.bands))
		for i := range m.bands {
			r.rows[k][i] = m.bands[i].ligaments.Ligaments(m.stacks.laminate, k == 1)
		}
		r.models[k] = m.plate(r.rows[k], k == 1)
	}
	var err error
	if r.cold, err = plate.New(ctx, r.models[0], workers); err != nil {
		return nil, err
	}
	cold, right, err := weighed(r.cold)
	if err != nil {
		return nil, err
	}
	r.states = append(r.states, loaded{kind: Cold, state: cold, right: right})
	if modes > 0 {
		if r.hertz, _, err = r.cold.Lowest(ctx, modes); err != nil {
			return nil, err
		}
	}
	if r.hot, err = r.cold.Scaled(ctx, r.models[1]); err != nil {
		return nil, err
	}
	hot, right, err := weighed(r.hot)
	if err != nil {
		return nil, err
	}
	r.states = append(r.states, loaded{kind: Hot, state: hot, right: right})
	if m.support.Force.Value > 0 {
		x, ok, err := m.press(ctx, r)
		if err != nil {
			return nil, err
		}
		if ok {
			r.states = append(r.states, x)
		}
	}
	return r, ctx.Err()
}

// weighed is the plate under its weight, and that as a right side.
func weighed(s *plate.System) (plate.State, []float64, error) {
	right, err := s.Weight(gravity, nil)
	if err != nil {
		return plate.State{}, nil, err
	}
	return s.Solve(right)[0], right, nil
}

// modes is how many natural frequencies are told.
const modes = 3

// middleOf is the centre of mass of a copy's outline.
func (m *model) middleOf(c panel.Copy) geom.Point {
	return c.Place.Apply(c.Board.Outline.Outer.Moments().Centroid())
}

// deflection is how far a place within a triangle lies below its supports, mm, straight between the nodes.
func (m *model) deflection(x plate.State, t int32, q geom.Point) float64 {
	n := m.mesh.Triangles[t]
	s := m.finder.shares(t, q)
	return float64(s[0]*x.W[n[0]]) + float64(s[1]*x.W[n[1]]) + float64(s[2]*x.W[n[2]])
}

// sag finds the place that sinks furthest.
func (m *model) sag(l loaded, span geom.Length) State {
	out := State{Kind: l.kind, Pressed: l.copy}
	worst := 0
	for i, w := range l.state.W {
		if math.Abs(w) > math.Abs(l.state.W[worst]) {
			worst = i
		}
	}
	out.Sag = math.Abs(l.state.W[worst])
	out.SagAt = m.mesh.Nodes[worst]
	for _, c := range m.p.Copies() {
		if c.Box().HoldsPoint(out.SagAt) && c.Outline().Locate(out.SagAt) != geom.Outside {
			out.SagCopy = c.ID
			break
		}
	}
	if span > 0 {
		out.Percent = out.Sag / span.MM() * 100
	}
	return out
}

// tabs tells what the rows of the tabs bear.
func (m *model) tabs(r *solved) []Tab {
	var out []Tab
	all := m.p.Tabs()
	at := map[int]int{} // band to its place in out
	for _, j := range m.joints {
		b := &m.bands[j.band]
		i, ok := at[j.band]
		if !ok {
			i = len(out)
			at[j.band] = i
			t := all[b.tab]
			out = append(out, Tab{Tab: t.ID, Row: b.row, Copies: t.Copies, At: b.center(), Modulus: b.ligaments.Modulus(), Loads: make([]RowLoad, len(r.states))})
		}
		for n, s := range r.states {
			k := 0
			if s.kind == Hot {
				k = 1
			}
			x := m.rowLoad(j, r.rows[k][j.band], motionOf(j, s.state), s.kind == Hot)
			if out[i].Loads[n].Strength == 0 {
				out[i].Loads[n] = x
			} else {
				out[i].Loads[n].and(x)
			}
		}
	}
	for i := range out {
		out[i].Least = highest
		for _, l := range out[i].Loads {
			out[i].Least = math.Min(out[i].Least, l.Reserve)
		}
	}
	return out
}
