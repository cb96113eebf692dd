package dxf

import (
	"math"

	"panelwright/pipeline/geom"
)

// affine maps drawing coordinates: (x, y) to (a·x + b·y + x0, c·x + d·y + y0). It can mirror and squeeze,
// which geom.Transform does not. Products are rounded one by one, so that every processor gives the same.
type affine struct{ a, b, c, d, x0, y0 float64 }

func scaling(x, y float64) affine { return affine{a: x, d: y} }

func shift(x, y float64) affine { return affine{1, 0, 0, 1, x, y} }

// mirror turns x over: what the extrusion direction (0, 0, −1) does to an entity's own coordinates.
var mirror = scaling(-1, 1)

func turn(degrees float64) affine {
	sin, cos := sinCosDegrees(degrees)
	return affine{cos, -sin, sin, cos, 0, 0}
}

// sum2 is p·q + r·s.
func sum2(p, q, r, s float64) float64 { return float64(p*q) + float64(r*s) }

// linear maps a direction.
func (m affine) linear(x, y float64) (float64, float64) {
	return sum2(m.a, x, m.b, y), sum2(m.c, x, m.d, y)
}

// apply maps a place.
func (m affine) apply(x, y float64) (float64, float64) {
	u, v := m.linear(x, y)
	return u + m.x0, v + m.y0
}

// of gives the map that does n first and m after it.
func (m affine) of(n affine) affine {
	x0, y0 := m.apply(n.x0, n.y0)
	return affine{
		sum2(m.a, n.a, m.b, n.c), sum2(m.a, n.b, m.b, n.d),
		sum2(m.c, n.a, m.d, n.c), sum2(m.c, n.b, m.d, n.d),
		x0, y0,
	}
}

// stretch is by how much the map lengthens what it lengthens most.
func (m affine) stretch() float64 { return stretch(m.a, m.c, m.b, m.d) }

// stretch is the larger half axis of the ellipse with the conjugate half axes u and v.
func stretch(ux, uy, vx, vy float64) float64 {
	s, d := sum2(ux, ux, uy, uy), sum2(vx, vx, vy, vy)
	p := sum2(ux, vx, uy, vy)
	h := (s - d) / 2
	return math.Sqrt(float64((s+d)/2) + math.Sqrt(sum2(h, h, p, p)))
}

// sinCosDegrees is exact for quarter turns.
func sinCosDegrees(degrees float64) (sin, cos float64) {
	degrees = math.Mod(degrees, 360)
	n := math.Round(degrees / 90)
	s, c := geom.SinCos((degrees - float64(90*n)) * (math.Pi / 180))
	switch int(n) & 3 {
	case 1:
		return c, -s
	case 2:
		return -s, -c
	case 3:
		return -c, s
	}
	return s, c
}
