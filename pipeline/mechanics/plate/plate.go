// Package plate is a thin plate in bending by finite elements: the discrete Kirchhoff triangle (J.-L. Batoz, K.-J. Bathe,
// L.-W. Ho, "A study of three-node triangular plate bending elements", Int. J. Numer. Meth. Engng 15, 1980; the explicit form:
// J.-L. Batoz, 18, 1982), with any symmetric bending stiffness, and joints between borders. Where it is told to, a plate
// yields to shear as well (shear.go).
//
// That element says nothing of the deflection within a triangle. For loads and masses it is the cubic with nine terms
// of G. P. Bazeley, Y. K. Cheung, B. M. Irons, O. C. Zienkiewicz, "Triangular elements in plate bending: conforming and
// non-conforming solutions", Proc. 1st Conf. Matrix Methods in Structural Mechanics, Wright-Patterson AFB, 1965.
//
// Units: N, mm, MPa, tonnes, seconds. Every node has three unknowns: the deflection w in mm, positive downwards, and its
// slopes ∂w/∂x, ∂w/∂y (where it yields to shear, those that its normals' rotations stand for). Those of node n are the unknowns 3n, 3n+1, 3n+2, of which sums of forces on them are right sides.
// Curvatures are κx = −∂²w/∂x², κy = −∂²w/∂y², κxy = −2 ∂²w/∂x∂y; moments per length are
// (Mx, My, Mxy) = D (κx, κy, κxy), positive where the lower face is pulled.
package plate

// Bending is the stiffness D in N·mm, symmetric.
type Bending [3][3]float64

// Isotropic is the stiffness of a plate of one material that is alike in all directions: its elastic modulus in MPa, its
// thickness in mm.
func Isotropic(elastic, poisson, thickness float64) Bending {
	d := elastic * thickness * thickness * thickness / (12 * (1 - float64(poisson*poisson)))
	return Bending{{d, d * poisson, 0}, {d * poisson, d, 0}, {0, 0, d * (1 - poisson) / 2}}
}

// Triangle is one element.
type Triangle struct {
	Nodes [3]int32 // counter-clockwise
	D     Bending
	Shear float64 // stiffness against transverse shear, κ G t in N/mm; 0: the plate is thin and does not yield to it
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

// State is what the nodes do: W, P = ∂w/∂x, Q = ∂w/∂y of each.
type State struct{ W, P, Q []float64 }
