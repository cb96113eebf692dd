package mesh

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
)

// inCircleOf is inCircle in whole numbers of any size.
func inCircleOf(a, b, c, d geom.Point) bool {
	n := func(v geom.Length) *big.Int { return big.NewInt(int64(v)) }
	mul := func(a, b *big.Int) *big.Int { return new(big.Int).Mul(a, b) }
	cross := func(p, q geom.Point) *big.Int {
		return new(big.Int).Sub(mul(n(p.X), n(q.Y)), mul(n(p.Y), n(q.X)))
	}
	square := func(p geom.Point) *big.Int { return new(big.Int).Add(mul(n(p.X), n(p.X)), mul(n(p.Y), n(p.Y))) }
	a, b, c = a.Sub(d), b.Sub(d), c.Sub(d)
	s := mul(square(a), cross(b, c))
	s.Add(s, mul(square(b), cross(c, a)))
	s.Add(s, mul(square(c), cross(a, b)))
	return s.Sign() > 0
}

// Points on a circle with whole coordinates, a nanometre beside it, in all corners of what is allowed, and at random.
func TestInCircleIsExact(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	far := geom.Limit + frameMargin
	inside, outside := 0, 0
	for k := range 20000 {
		var p [4]geom.Point
		for i := range p {
			switch k % 4 {
			case 0: // anywhere
				p[i] = geom.Pt(geom.Length(r.Int64N(2*int64(far)+1))-far, geom.Length(r.Int64N(2*int64(far)+1))-far)
			case 1: // corners and their neighbours
				p[i] = geom.Pt(far*geom.Length(r.IntN(3)-1)/1, far*geom.Length(r.IntN(3)-1))
				p[i].X, p[i].Y = min(max(p[i].X+geom.Length(r.IntN(3)-1), -far), far), min(max(p[i].Y+geom.Length(r.IntN(3)-1), -far), far)
			case 2: // 3, 4, 5 and the like on one circle, now and then beside it
				v := [][2]geom.Length{{7, 24}, {15, 20}, {25, 0}, {24, 7}, {20, 15}, {0, 25}}[r.IntN(6)]
				s := []geom.Length{1, -1}
				p[i] = geom.Pt(v[0]*s[r.IntN(2)]*39_000_000, v[1]*s[r.IntN(2)]*39_000_000)
				if i == 3 {
					p[i].X += geom.Length(r.IntN(3) - 1)
				}
			case 3: // nearly straight
				x := geom.Length(r.Int64N(2*int64(far))) - far
				p[i] = geom.Pt(x, x/3+geom.Length(r.IntN(5)))
			}
		}
		a, b, c, d := p[0], p[1], p[2], p[3]
		if turn(a, b, c) < 0 {
			b, c = c, b
		}
		if turn(a, b, c) == 0 {
			continue
		}
		want := inCircleOf(a, b, c, d)
		assert.Equal(t, want, inCircle(a, b, c, d), "%v %v %v %v", a, b, c, d)
		if want {
			inside++
		} else {
			outside++
		}
	}
	assert.Greater(t, inside, 1000)
	assert.Greater(t, outside, 1000)
}
