package plate

import (
	"context"
	"errors"
	"fmt"

	"panelwright/pipeline/mechanics/sparse"
)

// System is a model made ready to be solved.
type System struct {
	m       *Model
	shapes  []shape
	place   []int32 // of each of the nodes' unknowns its place in the equations, -1 where it is held
	unknown []int32 // the other way round
	plan    *sparse.Plan
	k       *sparse.Matrix
	factor  *sparse.Factor
	workers int
}

// New makes a system ready: assembles and factorizes it. A model that is not held is an error (*sparse.NotDefinite, with
// the node's unknown at which it came out); whoever makes models sees to that beforehand. Other errors are that ctx is
// done, and that the model makes no sense.
func New(ctx context.Context, m *Model, workers int) (*System, error) {
	s, err := prepare(m, workers)
	if err != nil {
		return nil, err
	}
	if s.k, err = s.stiffness(ctx); err != nil {
		return nil, err
	}
	s.planFor(s.k)
	return s, s.factorize(ctx, s.k)
}

// Scaled is the same system with all stiffness of triangles and joints replaced (same nodes, triangles, sides of joints
// and held unknowns): for another temperature. It spares the search for an order of elimination.
func (s *System) Scaled(ctx context.Context, m *Model) (*System, error) {
	t, err := prepare(m, s.workers)
	if err != nil {
		return nil, err
	}
	if err := samePattern(s.m, m); err != nil {
		return nil, err
	}
	if t.k, err = t.stiffness(ctx); err != nil {
		return nil, err
	}
	t.plan = s.plan
	return t, t.factorize(ctx, t.k)
}

// Unknowns is how many unknowns are not held.
func (s *System) Unknowns() int { return len(s.unknown) }

// prepare checks a model and numbers its unknowns.
func prepare(m *Model, workers int) (*System, error) {
	s := &System{m: m, workers: workers}
	if err := m.check(); err != nil {
		return nil, err
	}
	used := make([]bool, len(m.X))
	s.shapes = make([]shape, len(m.Triangles))
	for i, t := range m.Triangles {
		for k, n := range t.Nodes {
			used[n] = true
			s.shapes[i].x[k], s.shapes[i].y[k] = m.X[n], m.Y[n]
		}
		if !s.shapes[i].measure() {
			return nil, fmt.Errorf("triangle %d at (%.6g, %.6g) has no area, or runs clockwise", i, m.X[t.Nodes[0]], m.Y[t.Nodes[0]])
		}
	}
	s.place = make([]int32, 3*len(m.X))
	for _, h := range m.Held {
		for k, held := range [3]bool{h.Deflection, h.SlopeX, h.SlopeY} {
			if held {
				s.place[3*h.Node+int32(k)] = -1
			}
		}
	}
	for u, held := range s.place {
		if held < 0 {
			continue
		}
		if !used[u/3] { // a node that nothing reaches
			return nil, &sparse.NotDefinite{Unknown: u}
		}
		s.place[u] = int32(len(s.unknown))
		s.unknown = append(s.unknown, int32(u))
	}
	if len(s.unknown) == 0 {
		return nil, errors.New("there is nothing to solve: no node can move")
	}
	return s, nil
}

// every is how many triangles go by between two looks at whether the context is done.
const every = 4096

// stiffness adds up K of triangles and joints.
func (s *System) stiffness(ctx context.Context) (*sparse.Matrix, error) {
	b := sparse.NewBuilder(len(s.unknown))
	for i := range s.shapes {
		if i%every == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		k := s.shapes[i].stiffness(&s.m.Triangles[i].D, s.m.Triangles[i].Shear)
		at := s.at(s.m.Triangles[i].Nodes)
		b.Add(at[:], k[:])
	}
	for j := range s.m.Joints {
		nodes, means := s.m.Joints[j].means()
		b.Add(s.at3(nodes), spread(means, &s.m.Joints[j].Stiffness))
	}
	return b.Matrix(), nil
}

// at gives the places in the equations of the unknowns of a triangle's nodes.
func (s *System) at(nodes [3]int32) (at [9]int32) {
	for i, n := range nodes {
		copy(at[3*i:3*i+3], s.place[3*n:3*n+3])
	}
	return at
}

func (s *System) at3(nodes []int32) []int32 {
	var at []int32
	for _, n := range nodes {
		at = append(at, s.place[3*n:3*n+3]...)
	}
	return at
}

// planFor finds the order of elimination.
func (s *System) planFor(k *sparse.Matrix) {
	x, y := make([]float64, len(s.unknown)), make([]float64, len(s.unknown))
	for e, u := range s.unknown {
		x[e], y[e] = s.m.X[u/3], s.m.Y[u/3]
	}
	s.plan = sparse.NewPlan(k, sparse.Order(k, x, y))
}

func (s *System) factorize(ctx context.Context, k *sparse.Matrix) (err error) {
	s.factor, err = s.plan.Factor(ctx, k, s.workers)
	var not *sparse.NotDefinite
	if errors.As(err, &not) && not.Unknown >= 0 && not.Unknown < len(s.unknown) {
		return &sparse.NotDefinite{Unknown: int(s.unknown[not.Unknown])}
	}
	return err
}
