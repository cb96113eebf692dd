package mechanics

import "math"

// A trial estimates the lowest natural frequency by masses lumped in the places watched: of every copy two thirds in its middle and a
// twelfth in each corner of its box, which swing and turn as a rectangle's do. With the yielding C of those places the frequencies are
// those of C M x = x / ω² (J. P. Den Hartog, "Mechanical Vibrations", influence numbers); the weight of waste is left out.

// shares of a copy's mass in its middle and in each corner of its box.
const (
	middleShare = 2.0 / 3
	cornerShare = 1.0 / 12
)

// weigh gives the watched places their masses.
func (t *Trial) weigh() {
	m := t.m
	mass := make([]float64, len(m.copyPieces()))
	area := make([]float64, m.mesh.Pieces)
	for i, x := range m.mesh.Triangles {
		a, b, c := m.mesh.Nodes[x[0]], m.mesh.Nodes[x[1]], m.mesh.Nodes[x[2]]
		u, v := b.Sub(a), c.Sub(a)
		_, per := m.stacks.at(int(m.squares[i]), false)
		area[m.mesh.Piece[i]] += float64(per * (float64(float64(u.X)*float64(v.Y)) - float64(float64(u.Y)*float64(v.X))) / 2e12)
	}
	for _, x := range m.masses {
		area[m.mesh.Piece[x.Triangle]] += x.Value
	}
	sharing := map[int]int{}
	for _, p := range m.copyPieces() {
		sharing[p]++
	}
	for i, p := range m.copyPieces() {
		if p >= 0 {
			mass[i] = area[p] / float64(sharing[p])
		}
	}
	corners := map[int]int{}
	for _, w := range t.watch {
		if !w.middle {
			corners[w.copy]++
		}
	}
	for _, w := range t.watch {
		share := cornerShare
		if w.middle {
			share = 1 - float64(cornerShare*float64(corners[w.copy]))
		}
		t.masses = append(t.masses, share*mass[w.copy])
	}
}

// How often the shape is turned towards the slowest: at first, and when it begins from that of a selection before. The figure is
// then within a hundredth or so.
const (
	firstSwings = 40
	moreSwings  = 6
)

// Hertz estimates the lowest natural frequency of the panel with those tabs that keep names; 0 where nothing is watched, or
// the panel does not hold.
func (t *Trial) Hertz(keep []bool) float64 {
	n := len(t.watch)
	c, ok := t.to(keep)
	if n == 0 || !ok {
		return 0
	}
	first, swings := 3*len(t.joints), moreSwings
	root := make([]float64, n)
	for i := range n {
		root[i] = math.Sqrt(t.masses[i])
	}
	if t.wave == nil {
		t.wave, swings = make([]float64, n), firstSwings
		for i := range n {
			t.wave[i] = float64(root[i] * (1 + float64(float64(i%7)/8))) // no shape is at right angles to it
		}
	}
	// What the change adds to C, as the product of what the changed joints do to each place and the other way round.
	var y []float64
	m := 3 * len(c.joints)
	if m > 0 {
		y = t.solve(c, n, func(i int) []float64 { return t.c[i*t.rows+first : (i+1)*t.rows] })
	}
	x, to, forces, value := t.wave, make([]float64, n), make([]float64, m), 0.0
	for range swings {
		for i := range n {
			to[i] = float64(root[i] * x[i])
		}
		for a := range m {
			forces[a] = dot(y[a*n:(a+1)*n], to)
		}
		sum := 0.0
		for i := range n {
			row := t.c[(first+i)*t.rows : (first+i+1)*t.rows]
			v := dot(row[first:], to)
			for a, j := range c.joints {
				v += dot(row[3*j:3*j+3], forces[3*a:])
			}
			x[i] = float64(root[i] * v)
			sum += float64(x[i] * x[i])
		}
		if sum = math.Sqrt(sum); !(sum > 0) {
			t.wave = nil
			return 0
		}
		value = sum
		for i := range n {
			x[i] /= sum
		}
	}
	return t.off.hertz / (2 * math.Pi * math.Sqrt(value))
}

// dot multiplies a with as much of b.
func dot(a, b []float64) (sum float64) {
	for i, v := range a {
		sum += float64(v * b[i])
	}
	return sum
}
