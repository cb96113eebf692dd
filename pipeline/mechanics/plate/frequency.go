package plate

import (
	"context"
	"errors"
	"math"

	"panelwright/pipeline/mechanics/sparse"
)

// Lowest gives the count lowest natural frequencies in Hz and their shapes. The mass is consistent.
func (s *System) Lowest(ctx context.Context, count int) (hertz []float64, shapes []State, err error) {
	m, err := s.masses(ctx)
	if err != nil {
		return nil, nil, err
	}
	return s.lowest(ctx, m, count, 0)
}

// LowestFree gives the same of a model that nothing need hold, for which New is an error: it begins with the frequencies of
// the ways it can move without bending, which are 0. K + s M is factorized instead of K, with s of the size that
// the square of the first frequency has.
func LowestFree(ctx context.Context, m *Model, count, workers int) (hertz []float64, shapes []State, err error) {
	s, err := prepare(m, workers)
	if err != nil {
		return nil, nil, err
	}
	k, err := s.stiffness(ctx)
	if err != nil {
		return nil, nil, err
	}
	mass, err := s.masses(ctx)
	if err != nil {
		return nil, nil, err
	}
	shift := s.shift()
	if !(shift > 0) || !finite(shift) {
		return nil, nil, errors.New("a plate without mass or stiffness has no frequencies")
	}
	k = plus(k, mass, shift)
	s.planFor(k)
	if err := s.factorize(ctx, k); err != nil {
		return nil, nil, err
	}
	return s.lowest(ctx, mass, count, shift)
}

func (s *System) lowest(ctx context.Context, m *sparse.Matrix, count int, shift float64) (hertz []float64, shapes []State, err error) {
	count = min(count, len(s.unknown))
	if count <= 0 {
		return nil, nil, nil
	}
	values, vectors, err := sparse.Lowest(ctx, s.factor, m, count)
	if err != nil {
		return nil, nil, err
	}
	for i, v := range values {
		v -= shift
		if v < 1e-6*shift { // nothing but rounding in the shift
			v = 0
		}
		hertz = append(hertz, math.Sqrt(v)/(2*math.Pi))
		shapes = append(shapes, s.state(vectors[i]))
	}
	return hertz, shapes, nil
}

// masses adds up M of triangles and lumped masses, with an entry wherever K of the triangles has one.
func (s *System) masses(ctx context.Context) (*sparse.Matrix, error) {
	b := sparse.NewBuilder(len(s.unknown))
	for i := range s.shapes {
		if i%every == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		m := s.shapes[i].mass(s.m.Triangles[i].Mass)
		at := s.at(s.m.Triangles[i].Nodes)
		b.Add(at[:], m[:])
	}
	for _, l := range s.m.Masses {
		n := s.shapes[l.Triangle].atPlace(l.X, l.Y)
		var m [81]float64
		for r := range n {
			for c := range n {
				m[9*r+c] = l.Value * n[r] * n[c]
			}
		}
		at := s.at(s.m.Triangles[l.Triangle].Nodes)
		b.Add(at[:], m[:])
	}
	return b.Matrix(), nil
}

// plus gives K + s M; every entry of M is one of K.
func plus(k, m *sparse.Matrix, s float64) *sparse.Matrix {
	out := &sparse.Matrix{N: k.N, Ptr: k.Ptr, Row: k.Row, Val: append([]float64(nil), k.Val...)}
	for c := range k.N {
		at := k.Ptr[c]
		for e := m.Ptr[c]; e < m.Ptr[c+1]; e++ {
			for k.Row[at] < m.Row[e] {
				at++
			}
			out.Val[at] += float64(s * m.Val[e])
		}
	}
	return out
}

// shift is 400 D / (μ L⁴), with the means of stiffness and of mass per area and the diagonal L of the box around the plate: a
// free square swings first at about twice that (13.5² D/μa⁴, L = a√2).
func (s *System) shift() float64 {
	var area, d, mass float64
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i := range s.shapes {
		t := &s.m.Triangles[i]
		area += s.shapes[i].area
		d += float64((t.D[0][0] + t.D[1][1]) / 2 * s.shapes[i].area)
		mass += float64(t.Mass * s.shapes[i].area)
		for k := range 3 {
			x0, x1 = min(x0, s.shapes[i].x[k]), max(x1, s.shapes[i].x[k])
			y0, y1 = min(y0, s.shapes[i].y[k]), max(y1, s.shapes[i].y[k])
		}
	}
	for _, l := range s.m.Masses {
		mass += l.Value
	}
	l := float64((x1-x0)*(x1-x0)) + float64((y1-y0)*(y1-y0))
	return 400 * d / mass / (l * l)
}
