package breakage

import (
	"math"

	"panelwright/pipeline/mechanics/plate"
)

// spreading says how a moment that a strip of a plate's edge carries spreads into the plate: half of an infinite
// orthotropic thin plate, its edge along y at x = 0, the rest of the edge free.
//
// Own derivation, by Fourier's integral along the edge. For one wave, m cos(ky) on the edge, the deflection
// Σ aj exp(−rj k x) cos(ky)/k² satisfies Dx·r⁴ − 2(Dxy + 2 Ds) r² + Dy = 0 for the two roots with a part above 0, and the a
// follow from the moment across the edge, −Σ aj (Dx rj² − Dxy) = m, and from its free support after Kirchhoff,
// Σ aj rj (Dx rj² − Dxy − 4 Ds) = 0 (both conditions in S. G. Lekhnitskii, "Anisotropic Plates", 1968, and S. P. Timoshenko,
// S. Woinowsky-Krieger, "Theory of Plates and Shells", 1959, article 85). The waves of a strip from −h to h with a moment
// of 1 for each length are 2 sin(kh)/(πk), and their sums are arctangents and logarithms of u/(r x) for the distances
// u = h ± y to the strip's ends.
//
// What the tests hold it against: the isotropic case in real numbers, the moment across any parallel to the edge, a sum
// of waves, and the project's own plate elements.
type spreading struct{ waves []wave }

// wave is one root, and its share of the sum: twice the real part where the other root is its conjugate.
type wave struct {
	r, a   number
	weight float64
}

// spreadIn takes a plate's stiffness with x across the edge. Parts that join bending and twist are left out.
func spreadIn(d plate.Bending) spreading {
	dx, dy, dxy, ds := d[0][0], d[1][1], d[0][1], d[2][2]
	h := (dxy + float64(2*ds)) / dx
	g := dy / dx
	inner := float64(h*h) - g
	// Equal roots, as of an isotropic plate, would want another form: roots a little apart give the same to one part in 10⁵.
	if least := 1e-5 * g; math.Abs(inner) < least {
		inner = -least
	}
	moment := func(r number) number { // across the edge
		z := r.times(r).by(dx)
		return number{z.re - dxy, z.im}
	}
	support := func(r number) number {
		z := r.times(r).by(dx)
		return r.times(number{z.re - dxy - float64(4*ds), z.im})
	}
	if inner < 0 {
		r := number{h, math.Sqrt(-inner)}.root()
		m, v := moment(r), support(r)
		// Re(a m) = −1/2, Re(a v) = 0
		det := float64(m.im*v.re) - float64(m.re*v.im)
		return spreading{[]wave{{r, number{v.im / det / 2, v.re / det / 2}, 2}}}
	}
	s := math.Sqrt(inner)
	r1, r2 := number{math.Sqrt(h + s), 0}, number{math.Sqrt(max(h-s, 0)), 0}
	m1, m2, v1, v2 := moment(r1).re, moment(r2).re, support(r1).re, support(r2).re
	det := float64(m1*v2) - float64(m2*v1)
	return spreading{[]wave{{r1, number{-v2 / det, 0}, 1}, {r2, number{v1 / det, 0}, 1}}}
}

// bent is a curvature: across the edge, along it, and twist.
type bent struct{ x, y, xy float64 }

func (b *bent) add(f float64, c bent) {
	b.x += float64(f * c.x)
	b.y += float64(f * c.y)
	b.xy += float64(f * c.xy)
}

// greatest is the greatest curvature in any direction, by size.
func (b bent) greatest() float64 {
	mean, half := float64((b.x+b.y)/2), float64((b.x-b.y)/2)
	twist := float64(b.xy / 2)
	return math.Abs(mean) + math.Sqrt(float64(half*half)+float64(twist*twist))
}

// at is the curvature at a place, x > 0, y from the middle of a strip that is half wide to either side and carries 1 N.
func (s spreading) at(x, y, half float64) (out bent) {
	for _, w := range s.waves {
		z := w.r.by(x)
		// The logarithms of z ± iu for both ends of the strip: arctan(u/z) = (ln(z + iu) − ln(z − iu))/2i.
		var arc, log number
		for i, u := range [2]float64{half + y, half - y} {
			p, m := number{z.re, z.im + u}.ln(), number{z.re, z.im - u}.ln()
			arc = arc.plus(number{float64((p.im - m.im) / 2), float64((m.re - p.re) / 2)})
			sum := p.plus(m)
			if i == 1 {
				sum = sum.by(-1)
			}
			log = log.plus(sum)
		}
		by := w.weight / math.Pi
		ar := w.a.times(w.r)
		out.x -= float64(by * ar.times(w.r).times(arc).re)
		out.y += float64(by * w.a.times(arc).re)
		out.xy -= float64(by * ar.times(log).re)
	}
	return out
}

// turned gives a stiffness in axes turned by an angle, given its cosine and sine: x across the edge (R. M. Jones, "Mechanics
// of Composite Materials", 2nd ed. 1999, section 2.6). Parts that join bending and twist are left out.
func turned(d plate.Bending, cos, sin float64) (out plate.Bending) {
	c2, s2 := float64(cos*cos), float64(sin*sin)
	cs, c4, s4 := float64(c2*s2), float64(c2*c2), float64(s2*s2)
	x, y, xy, s := d[0][0], d[1][1], d[0][1], d[2][2]
	both := float64((float64(2*xy) + float64(4*s)) * cs)
	out[0][0] = float64(x*c4) + both + float64(y*s4)
	out[1][1] = float64(x*s4) + both + float64(y*c4)
	out[0][1] = float64((x+y-float64(4*s))*cs) + float64(xy*(c4+s4))
	out[1][0] = out[0][1]
	out[2][2] = float64((x+y-float64(2*xy)-float64(2*s))*cs) + float64(s*(c4+s4))
	return out
}

// yielding is the curvature in a direction under a moment of 1 N in that direction alone: 12/(E t³) of bare laminate.
func yielding(d plate.Bending, cos, sin float64) float64 {
	c2, s2 := float64(cos*cos), float64(sin*sin)
	det := float64(d[0][0]*d[1][1]) - float64(d[0][1]*d[0][1])
	xx, yy, xy := d[1][1]/det, d[0][0]/det, -d[0][1]/det
	return float64(float64(c2*c2)*xx) + float64(float64(s2*s2)*yy) + float64(float64(c2*s2)*(float64(2*xy)+1/d[2][2]))
}
