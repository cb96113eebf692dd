package plate

import (
	"errors"
	"fmt"
	"math"
)

// most is how many nodes a model may have: three unknowns of each are numbered by 32 bits.
const most = math.MaxInt32/3 - 1

// check says what in a model makes no sense: indices of nothing, figures that are none.
func (m *Model) check() error {
	n := len(m.X)
	switch {
	case len(m.Y) != n:
		return fmt.Errorf("a plate has %d places along x and %d along y", n, len(m.Y))
	case n == 0 || len(m.Triangles) == 0:
		return errors.New("a plate without triangles cannot be reckoned")
	case n > most:
		return fmt.Errorf("a plate may have at most %d nodes, and this has %d", most, n)
	}
	for i := range m.X {
		if !finite(m.X[i], m.Y[i]) {
			return fmt.Errorf("node %d has no place", i)
		}
	}
	node := func(k int32) bool { return k >= 0 && int(k) < n }
	for i, t := range m.Triangles {
		for _, k := range t.Nodes {
			if !node(k) {
				return fmt.Errorf("triangle %d has node %d, and there are %d", i, k, n)
			}
		}
		if !finite(t.D[0][:]...) || !finite(t.D[1][:]...) || !finite(t.D[2][:]...) || !finite(t.Mass, t.Shear) || t.Mass < 0 || t.Shear < 0 {
			return fmt.Errorf("triangle %d has no stiffness or no mass that can be reckoned with", i)
		}
		if t.D[0][1] != t.D[1][0] || t.D[0][2] != t.D[2][0] || t.D[1][2] != t.D[2][1] {
			return fmt.Errorf("the stiffness of triangle %d is not symmetric", i)
		}
	}
	for i, j := range m.Joints {
		for _, side := range [][]Share{j.A, j.B} {
			if len(side) == 0 {
				return fmt.Errorf("joint %d has an end on nothing", i)
			}
			for _, s := range side {
				if !node(s.Node) || !finite(s.Weight) {
					return fmt.Errorf("joint %d has a share of node %d with weight %g, and there are %d nodes", i, s.Node, s.Weight, n)
				}
			}
		}
		for r := range j.Stiffness {
			for c := range r + 1 {
				if !finite(j.Stiffness[r][c]) || !nearly(j.Stiffness[r][c], j.Stiffness[c][r], math.Sqrt(math.Abs(j.Stiffness[r][r]*j.Stiffness[c][c]))) {
					return fmt.Errorf("the stiffness of joint %d is not symmetric", i)
				}
			}
		}
	}
	for i, h := range m.Held {
		if !node(h.Node) {
			return fmt.Errorf("node %d is held (entry %d), and there are %d", h.Node, i, n)
		}
	}
	for i, l := range m.Masses {
		if err := m.checkLoad(l); err != nil || l.Value < 0 {
			return fmt.Errorf("lumped mass %d cannot be reckoned with: triangle %d, %g t", i, l.Triangle, l.Value)
		}
	}
	return nil
}

func (m *Model) checkLoad(l Load) error {
	if l.Triangle < 0 || int(l.Triangle) >= len(m.Triangles) || !finite(l.X, l.Y, l.Value) {
		return fmt.Errorf("a load of %g at (%g, %g) lies on triangle %d, and there are %d", l.Value, l.X, l.Y, l.Triangle, len(m.Triangles))
	}
	return nil
}

// samePattern says whether two models differ in figures only.
func samePattern(a, b *Model) error {
	differ := errors.New("the plate to be reckoned anew has other nodes, triangles, joints or held nodes")
	if len(a.X) != len(b.X) || len(a.Triangles) != len(b.Triangles) || len(a.Joints) != len(b.Joints) || len(a.Held) != len(b.Held) {
		return differ
	}
	for i := range a.Triangles {
		if a.Triangles[i].Nodes != b.Triangles[i].Nodes {
			return differ
		}
	}
	for i := range a.Held {
		if a.Held[i] != b.Held[i] {
			return differ
		}
	}
	for i := range a.Joints {
		p, q := &a.Joints[i], &b.Joints[i]
		if !sameNodes(p.A, q.A) || !sameNodes(p.B, q.B) {
			return differ
		}
	}
	return nil
}

func sameNodes(a, b []Share) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Node != b[i].Node {
			return false
		}
	}
	return true
}

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// nearly says whether two entries of a matrix are the same but for rounding in the size of its diagonal.
func nearly(a, b, size float64) bool {
	return math.Abs(a-b) <= 1e-9*max(size, math.Abs(a), math.Abs(b))
}
