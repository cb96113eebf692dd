package overlay

import (
	"cmp"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The exact pieces of the kernel, held against arithmetic in fractions of any size (math/big).

// full is the greatest coordinate that a place can have: 2 m and the margin that arcs are given.
const full = 2_000_000_000 + 2*2*int64(maxChordError)

func bigTurn(ax, ay, bx, by, cx, cy int64) *big.Int {
	i := big.NewInt
	p := new(big.Int).Mul(i(bx-ax), i(cy-ay))
	return p.Sub(p, new(big.Int).Mul(i(by-ay), i(cx-ax)))
}

// bigMeets tells whether a closed segment meets the pixel about (x, y), by clipping it: its points
// are lo + t·(hi − lo), and the pixel's four sides bound t.
func bigMeets(s span, x, y int32) bool {
	rat := func(n int64, d int64) *big.Rat { return big.NewRat(n, d) }
	from, to := rat(0, 1), rat(1, 1)
	fromIn, toIn := true, true // whether the bound itself is among the values left
	axis := func(p, d, c int64) bool {
		least, most := rat(2*c-1, 2), rat(2*c+1, 2) // least ≤ p + t·d < most
		if d == 0 {
			v := rat(p, 1)
			return v.Cmp(least) >= 0 && v.Cmp(most) < 0
		}
		at := func(v *big.Rat) *big.Rat {
			v = new(big.Rat).Sub(v, rat(p, 1))
			return v.Quo(v, rat(d, 1))
		}
		a, b, aIn, bIn := at(least), at(most), true, false
		if d < 0 {
			a, b, aIn, bIn = b, a, bIn, aIn
		}
		switch c := a.Cmp(from); {
		case c > 0:
			from, fromIn = a, aIn
		case c == 0:
			fromIn = fromIn && aIn
		}
		switch c := b.Cmp(to); {
		case c < 0:
			to, toIn = b, bIn
		case c == 0:
			toIn = toIn && bIn
		}
		return true
	}
	if !axis(int64(s.x0), int64(s.x1)-int64(s.x0), int64(x)) || !axis(int64(s.y0), int64(s.y1)-int64(s.y0), int64(y)) {
		return false
	}
	c := from.Cmp(to)
	return c < 0 || c == 0 && fromIn && toIn
}

func kernelMeets(s span, x, y int32) bool { return s.boxHolds(x, y) && s.touches(s.side(x, y)) }

func spanOf(ax, ay, bx, by int64) span {
	p, q := at(int32(ax), int32(ay)), at(int32(bx), int32(by))
	s := between(p, q, 0, 0)
	return s.span(0, true)
}

// Every segment of a small square against every pixel of it and round it.
func TestPixelAllOfASmallSquare(t *testing.T) {
	const n = 7
	met, corner := 0, 0
	for a := range int64(n * n) {
		for b := range a {
			s := spanOf(a/n+1, a%n+1, b/n+1, b%n+1)
			for x := range int32(n + 2) {
				for y := range int32(n + 2) {
					want := bigMeets(s, x, y)
					if want {
						met++
					}
					if s.boxHolds(x, y) && abs(2*s.side(x, y)) == s.reach() {
						corner++
					}
					if got := kernelMeets(s, x, y); got != want {
						t.Fatalf("segment (%d, %d)–(%d, %d), pixel (%d, %d): %t, want %t", s.x0, s.y0, s.x1, s.y1, x, y, got, want)
					}
				}
			}
		}
	}
	require.Greater(t, met, 1000)
	require.Greater(t, corner, 100) // the segments that pass through a corner of a pixel were among them
}

// randomSpan gives a segment within a square, flat, steep and diagonal ones included.
func randomSpan(r *rand.Rand, size int64) span {
	for {
		ax, ay, bx, by := r.Int64N(size+1), r.Int64N(size+1), r.Int64N(size+1), r.Int64N(size+1)
		switch r.IntN(6) {
		case 0:
			by = min(size, max(0, ay+r.Int64N(5)-2))
		case 1:
			bx = min(size, max(0, ax+r.Int64N(5)-2))
		case 2:
			by = min(size, max(0, ay+(bx-ax)*int64(r.IntN(3)-1)))
		case 3: // from one border to the other
			ax, bx = 0, size
		}
		if ax != bx || ay != by {
			return spanOf(ax, ay, bx, by)
		}
	}
}

// through gives a segment that passes through the corner of a pixel that lies half a nanometre right
// of and below or above (x, y), or not at all when it would leave the square.
func through(r *rand.Rand, x, y, up, size int64) (span, bool) {
	most := size
	if r.IntN(2) == 0 {
		most = min(size, 40)
	}
	k := 2*r.Int64N(3) + 1
	dx, dy := (2*r.Int64N(most/2+1)+1)*k, (2*r.Int64N(most/2+1)+1)*k
	if r.IntN(2) == 0 {
		dy = -dy
	}
	// The corner is ((2x + 1)/2, (2y ± 1)/2), the ends lie odd multiples of (dx, dy)/2 from it.
	m, n := (2*r.Int64N(2)+1)*dx, (2*r.Int64N(2)+1)*dx
	ax, bx := (2*x+1-m)/2, (2*x+1+n)/2
	ay, by := (2*y+up-m/dx*dy)/2, (2*y+up+n/dx*dy)/2
	ok := min(ax, ay, bx, by) >= 0 && max(ax, ay, bx, by) <= size
	if !ok {
		return span{}, false
	}
	return spanOf(ax, ay, bx, by), true
}

// Pixels next to random segments, and pixels whose corner a segment passes exactly, up to the full
// range.
func TestPixelAgainstFractions(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	met, missed, corners := 0, 0, 0
	hold := func(s span, x, y int64) {
		if min(x, y) < 0 || max(x, y) > math.MaxInt32 {
			return
		}
		want := bigMeets(s, int32(x), int32(y))
		if want {
			met++
		} else {
			missed++
		}
		if got := kernelMeets(s, int32(x), int32(y)); got != want {
			t.Fatalf("segment (%d, %d)–(%d, %d), pixel (%d, %d): %t, want %t", s.x0, s.y0, s.x1, s.y1, x, y, got, want)
		}
	}
	for i := range 40_000 {
		size := []int64{12, 1000, 1_000_000, full}[i%4]
		s := randomSpan(r, size)
		f := r.Float64()
		x := int64(s.x0) + int64(math.Round(f*float64(s.x1-s.x0)))
		y := int64(s.y0) + int64(math.Round(f*(float64(s.y1)-float64(s.y0))))
		hold(s, x+r.Int64N(3)-1, y+r.Int64N(3)-1)

		px, py := r.Int64N(size), 1+r.Int64N(size)
		up := int64(1 - 2*r.IntN(2))
		if s, ok := through(r, px, py, up, size); ok {
			corners++
			for _, d := range [][2]int64{{0, 0}, {1, 0}, {0, up}, {1, up}} { // the four pixels about the corner
				hold(s, px+d[0], py+d[1])
			}
		}
	}
	require.Greater(t, met, 10_000)
	require.Greater(t, missed, 10_000)
	require.Greater(t, corners, 3000)
}

func TestTurnAgainstIntegersOfAnySize(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1))
	signs := map[int]int{}
	hold := func(v [6]int64) {
		p, q, c := at(int32(v[0]), int32(v[1])), at(int32(v[2]), int32(v[3])), at(int32(v[4]), int32(v[5]))
		want := bigTurn(v[0], v[1], v[2], v[3], v[4], v[5])
		require.True(t, want.IsInt64(), "%v", v)
		require.Equal(t, want.Int64(), turn(p, q, c), "%v", v)
		if q > p {
			s := between(p, q, 0, 0)
			m := s.span(0, true)
			require.Equal(t, want.Int64(), m.side(c.x(), c.y()), "%v", v)
		}
		signs[want.Sign()]++
	}
	ends := []int64{0, 1, full / 2, full - 1, full}
	for i := range 5 * 5 * 5 * 5 * 5 * 5 { // everything at the corners and the middle of the range
		var v [6]int64
		for k := range v {
			v[k], i = ends[i%5], i/5
		}
		hold(v)
	}
	for range 20_000 {
		var v [6]int64
		for k := range v {
			v[k] = r.Int64N(full + 1)
		}
		if r.IntN(2) == 0 { // all but on the line: where rounding would lose the sign
			f := r.Float64()
			v[4] = v[0] + int64(f*float64(v[2]-v[0]))
			v[5] = v[1] + int64(f*float64(v[3]-v[1]))
		}
		hold(v)
	}
	for s := -1; s <= 1; s++ {
		require.Greater(t, signs[s], 100)
	}
}

// crossingOf gives the crossing of two lines as fractions.
func crossingOf(a, b span) (x, y *big.Rat) {
	c0 := bigTurn(int64(b.x0), int64(b.y0), int64(b.x1), int64(b.y1), int64(a.x0), int64(a.y0))
	c1 := bigTurn(int64(b.x0), int64(b.y0), int64(b.x1), int64(b.y1), int64(a.x1), int64(a.y1))
	f := new(big.Rat).SetFrac(c0, new(big.Int).Sub(c0, c1))
	on := func(p, q int32) *big.Rat {
		v := new(big.Rat).Mul(f, big.NewRat(int64(q)-int64(p), 1))
		return v.Add(v, big.NewRat(int64(p), 1))
	}
	return on(a.x0, a.x1), on(a.y0, a.y1)
}

// pixelOf gives floor(v + ½).
func pixelOf(v *big.Rat) int64 {
	v = new(big.Rat).Add(v, big.NewRat(1, 2))
	q, m := new(big.Int).DivMod(v.Num(), v.Denom(), new(big.Int)) // Euclidean: m ≥ 0, so q is the floor
	_ = m
	return q.Int64()
}

func TestCrossingAgainstFractions(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 1))
	crossed, halves := 0, 0
	hold := func(a, b span) {
		c0, c1 := a.side(b.x0, b.y0), a.side(b.x1, b.y1)
		d0, d1 := b.side(a.x0, a.y0), b.side(a.x1, a.y1)
		if !(c0 > 0 && c1 < 0 || c0 < 0 && c1 > 0) || !(d0 > 0 && d1 < 0 || d0 < 0 && d1 > 0) {
			return
		}
		crossed++
		fx, fy := crossingOf(a, b)
		if fx.Denom().Cmp(big.NewInt(2)) == 0 && fy.Denom().Cmp(big.NewInt(2)) == 0 {
			halves++
		}
		wx, wy := pixelOf(fx), pixelOf(fy)
		for _, swapped := range []bool{false, true} {
			x, y := crossing(&a, d0, d1)
			if swapped {
				x, y = crossing(&b, c0, c1)
			}
			if int64(x) != wx || int64(y) != wy {
				t.Fatalf("(%d, %d)–(%d, %d) and (%d, %d)–(%d, %d) cross in pixel (%d, %d), not (%d, %d); swapped: %t",
					a.x0, a.y0, a.x1, a.y1, b.x0, b.y0, b.x1, b.y1, wx, wy, x, y, swapped)
			}
		}
		// Either segment meets the pixel of the crossing.
		require.True(t, kernelMeets(a, int32(wx), int32(wy)) && kernelMeets(b, int32(wx), int32(wy)))
	}
	for i := range 60_000 {
		size := []int64{8, 60, 1_000_000, full}[i%4]
		hold(randomSpan(r, size), randomSpan(r, size))
		// Two segments through one corner of pixels.
		px, py := r.Int64N(size), 1+r.Int64N(size)
		a, ok := through(r, px, py, -1, size)
		b, also := through(r, px, py, -1, size)
		if ok && also {
			hold(a, b)
		}
	}
	require.Greater(t, crossed, 10_000)
	require.Greater(t, halves, 2000)
}

// The grid must list a segment for every cell in which it meets a pixel.
func TestGridListsEveryCellThatASegmentMeets(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	listed := 0
	for i := range 3000 {
		size := []int64{20, 300, 1_000_000, full}[i%4]
		x0, y0 := r.Int64N(size), r.Int64N(size)
		b := box{x0, y0, x0 + 1 + r.Int64N(size+1-x0), y0 + 1 + r.Int64N(size+1-y0)}
		g := lay(b, 1+r.IntN(200), r.Int64N(size*50), r.Int64N(size*50))
		require.Less(t, (g.nx-1)<<g.kx, b.x1-b.x0)
		require.Less(t, (g.ny-1)<<g.ky, b.y1-b.y0)
		require.GreaterOrEqual(t, g.nx<<g.kx, b.x1-b.x0)
		require.GreaterOrEqual(t, g.ny<<g.ky, b.y1-b.y0)
		for range 20 {
			s := randomSpan(r, size)
			seg := segment{lo: at(s.x0, s.y0), hi: at(s.x1, s.y1)}
			cells := g.visit(&seg, nil)
			seen := map[int32]bool{}
			for _, c := range cells {
				require.False(t, seen[c], "a cell listed twice")
				require.True(t, c >= 0 && int64(c) < g.nx*g.ny)
				seen[c] = true
			}
			look := func(x, y int64) {
				if !(box{0, 0, full + 1, full + 1}).holds(int32(x), int32(y)) || !b.holds(int32(x), int32(y)) || !kernelMeets(s, int32(x), int32(y)) {
					return
				}
				c := int32((y-b.y0)>>g.ky*g.nx + (x-b.x0)>>g.kx)
				if !seen[c] {
					t.Fatalf("(%d, %d)–(%d, %d) meets pixel (%d, %d) in cell %d of %+v, which is not listed", s.x0, s.y0, s.x1, s.y1, x, y, c, g)
				}
				listed++
			}
			on := func(x int64) { // the pixels that the segment meets at x, or next to them
				if s.x0 == s.x1 {
					return
				}
				m := new(big.Int).Mul(big.NewInt(x-int64(s.x0)), big.NewInt(int64(s.y1)-int64(s.y0)))
				m.Div(m, big.NewInt(int64(s.x1)-int64(s.x0)))
				y := int64(s.y0) + m.Int64()
				for d := int64(-1); d <= 2; d++ {
					look(x, y+d)
				}
			}
			for range 20 {
				on(int64(s.x0) + r.Int64N(int64(s.x1)-int64(s.x0)+1))
			}
			for c := range min(g.nx, 20) { // next to the borders of cells
				for d := int64(-2); d <= 2; d++ {
					if x := b.x0 + c<<g.kx + d; x >= int64(s.x0) && x <= int64(s.x1) {
						on(x)
					}
				}
			}
		}
	}
	require.Greater(t, listed, 50_000)
}

func TestSortTips(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 1))
	for i := range 60 {
		n := 1 + r.IntN(3000)
		size := []int64{0, 3, 1000, full}[i%4]
		tips := make([]tip, n)
		for k := range tips {
			tips[k] = tip{at(int32(r.Int64N(size+1)), int32(r.Int64N(size+1))), uint32(k)}
		}
		r.Shuffle(n, func(a, b int) { tips[a], tips[b] = tips[b], tips[a] })
		want := slices.Clone(tips)
		slices.SortFunc(want, func(p, q tip) int {
			return cmp.Or(cmp.Compare(p.at.x(), q.at.x()), cmp.Compare(p.at.y(), q.at.y()), cmp.Compare(p.ref, q.ref))
		})
		require.Equal(t, want, sortTips(tips))
	}
}
