// Package plate is a thin plate in bending by finite elements: the discrete Kirchhoff triangle (J.-L. Batoz, K.-J. Bathe,
// L.-W. Ho, "A study of three-node triangular plate bending elements", Int. J. Numer. Meth. Engng 15, 1980; the explicit form:
// J.-L. Batoz, 18, 1982), with any symmetric bending stiffness, and joints between borders.
//
// Units: N, mm, MPa, tonnes, seconds. Every node has three unknowns: the deflection w in mm, positive downwards, and its
// slopes ∂w/∂x, ∂w/∂y. Curvatures are κx = −∂²w/∂x², κy = −∂²w/∂y², κxy = −2 ∂²w/∂x∂y; moments per length are
// (Mx, My, Mxy) = D (κx, κy, κxy), positive where the lower face is pulled.
package plate

import (
	"context"
	"errors"

	"panelwright/pipeline/mechanics/sparse"
)

// Bending is the stiffness D in N·mm, symmetric.
type Bending [3][3]float64

// Triangle is one element.
type Triangle struct {
	Nodes [3]int32 // counter-clockwise
	D     Bending
	Mass  float64 // tonnes per mm²
}

// Share is a node's weight in a mean over a stretch of border.
type Share struct {
	Node   int32
	Weight float64 // those of one side add up to 1
}

// Joint is a short beam between two stretches of border. Each end follows the means of deflection and slopes over its
// side. Stiffness couples (wA, pA, qA, wB, pB, qB), in the plate's axes.
type Joint struct {
	A, B      []Share
	Stiffness [6][6]float64
}

// Held says which unknowns of a node are zero.
type Held struct {
	Node           int32
	Deflection     bool
	SlopeX, SlopeY bool
}

// Model is a plate.
type Model struct {
	X, Y      []float64 // mm
	Triangles []Triangle
	Joints    []Joint
	Held      []Held
	Masses    []Load // lumped masses in tonnes
}

// Load is a force in N (or a mass) at a place within a triangle.
type Load struct {
	Triangle int32
	X, Y     float64
	Value    float64
}

// System is a model made ready to be solved.
type System struct{}

// New makes a system ready: assembles and factorizes it. A model that is not held is an error (*sparse.NotDefinite);
// whoever makes models sees to that beforehand.
func New(ctx context.Context, m *Model, workers int) (*System, error) {
	return nil, errors.New("not built yet")
}

// Scaled is the same system with all stiffness of triangles and joints replaced (same pattern): for another temperature.
func (s *System) Scaled(ctx context.Context, m *Model) (*System, error) { return nil, nil }

// State is what the nodes do: W, P = ∂w/∂x, Q = ∂w/∂y of each.
type State struct{ W, P, Q []float64 }

// Weight gives the right side of the plate's own weight and lumped masses under the acceleration g in mm/s², and of forces.
func (s *System) Weight(g float64, forces []Load) []float64 { return nil }

// Solve gives the states for right sides.
func (s *System) Solve(rhs ...[]float64) []State { return nil }

// Lowest gives the count lowest natural frequencies in Hz and their shapes. The mass is consistent.
func (s *System) Lowest(ctx context.Context, count int) (hertz []float64, shapes []State, err error) {
	return nil, nil, nil
}

// Moments gives (Mx, My, Mxy) in N at the nodes of every triangle (each triangle's own, not averaged).
func (s *System) Moments(x State) [][3][3]float64 { return nil }

// JointForces gives the generalised forces on a joint's ends: Stiffness times the ends' means.
func (s *System) JointForces(j int, x State) [6]float64 { return [6]float64{} }

// RightSides of joints: Release gives the sparse columns of the relative motions of a joint (see Gram).
func (s *System) Gram(ctx context.Context, columns []sparse.Column) ([]float64, error) {
	return nil, nil
}
