package sparse

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
)

// Lowest gives the count lowest eigenvalues of K x = λ M x, ascending, and their vectors (M-normalised, the greatest entry positive). K is
// what f is the factor of; a K that is singular by itself the caller shifts beforehand, and takes the shift off the values.
// M is symmetric and not negative. Values come as often as they are multiple. There are fewer of them where M has a smaller
// rank. It ends when each eigenvalue is settled to one part in 10⁹.
//
// By block Lanczos on K⁻¹M, each new vector made orthogonal to all before it; then again, beside what was found, until no
// more is found: a value more often multiple than the block is wide shows only so. Source: R. G. Grimes, J. G. Lewis, H. D. Simon, "A shifted block
// Lanczos algorithm for solving sparse symmetric generalized eigenproblems", SIAM J. Matrix Anal. Appl. 15, 1994.
func Lowest(ctx context.Context, f *Factor, m *Matrix, count int) (values []float64, vectors [][]float64, err error) {
	if m.N != f.plan.n {
		return nil, nil, errors.New("the masses are those of another system")
	}
	if count <= 0 {
		return nil, nil, nil
	}
	z := lanczos{ctx: ctx, f: f, m: m, count: min(count, m.N)}
	for z.count > 0 {
		found, err := z.run()
		if err != nil {
			return nil, nil, err
		}
		if !found {
			break
		}
	}
	return z.finish()
}

const (
	blockWidth = 3     // vectors solved for at once
	settled    = 1e-9  // residual of a value that counts as found, as a share of it
	direction  = 1e-6  // what a vector that counts as found may be off
	unhurried  = 1e-5  // residual of a value that is too small to be looked for: one that is greater would show by then
	dependent  = 1e-10 // what is left of a vector that depends on others, as a share of it
	rankless   = 1e-13 // values that are only rounding, as a share of the greatest: M has no more of a rank
)

// lanczos is a search for eigenvalues θ = 1/λ of K⁻¹M, the greatest ones.
type lanczos struct {
	ctx   context.Context
	f     *Factor
	m     *Matrix
	count int
	seed  uint64

	theta    []float64   // found so far
	locked   [][]float64 // their vectors
	mlocked  [][]float64 // M times them
	v, mv    [][]float64 // the run's basis, and M times it
	t        []float64   // K⁻¹M in the basis, of which the last block's is still missing: most × most
	most     int         // vectors of the basis before it is drawn together
	from     int         // where the block starts to which K⁻¹M has not been applied
	coupling []float64   // of the block before with that one: what its images have outside of the basis, new × old
	before   int         // where the block before starts
}

// run searches in what is orthogonal to all that is locked, and locks what is new. It says whether there was anything.
func (z *lanczos) run() (bool, error) {
	n := z.m.N
	z.v, z.mv, z.from, z.before = nil, nil, 0, 0
	z.most = min(n, 64+2*z.count)
	z.t = make([]float64, (z.most+blockWidth)*(z.most+blockWidth))
	start := make([][]float64, min(blockWidth, n))
	for i := range start {
		start[i] = make([]float64, n)
		for j := range start[i] {
			start[i][j] = z.random()
		}
		z.m.Multiply(start[i], slices.Clone(start[i]))
	}
	z.apply(start)
	z.extend(start, nil)
	for range 500 + 20*z.count { // far more than it takes
		if err := z.ctx.Err(); err != nil {
			return false, err
		}
		if z.from == len(z.v) { // the basis is all there is
			theta, s := z.ritz()
			return z.lock(theta, s, z.worth(theta, nil)), nil
		}
		z.step()
		theta, s := z.ritz()
		if k := z.worth(theta, z.residuals(s, len(theta))); k >= 0 {
			return z.lock(theta, s, k), nil
		}
		if len(z.v)+blockWidth > z.most {
			z.drawTogether(theta, s)
		}
	}
	return false, errors.New("the eigenvalues do not settle")
}

// random gives numbers from −1 to 1, the same ones every time (the generator is from G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
// pseudorandom number generators", OOPSLA 2014).
func (z *lanczos) random() float64 {
	z.seed += 0x9e3779b97f4a7c15
	x := z.seed
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	x ^= x >> 31
	return float64(int64(x)>>11) / (1 << 52)
}

// apply replaces vectors by K⁻¹ times them.
func (z *lanczos) apply(w [][]float64) {
	n := z.m.N
	all := make([]float64, 0, n*len(w))
	for _, x := range w {
		all = append(all, x...)
	}
	z.f.Solve(all)
	for i, x := range w {
		copy(x, all[i*n:])
	}
}

// step applies K⁻¹M to the last block and makes the next one of what is new in its images.
func (z *lanczos) step() {
	w := make([][]float64, len(z.v)-z.from)
	for i := range w {
		w[i] = slices.Clone(z.mv[z.from+i])
	}
	z.apply(w)
	old := z.from
	z.before, z.from = old, len(z.v)
	z.extend(w, func(i, j int, h float64) {
		z.t[i*z.width()+old+j] += h
	})
}

func (z *lanczos) width() int { return z.most + blockWidth }

// extend makes w orthogonal to what is locked and to the basis, twice over, and appends what is left to it. keep gets the
// coefficients: w[j] has the share h of basis vector i.
func (z *lanczos) extend(w [][]float64, keep func(i, j int, h float64)) {
	if len(w) == 0 {
		return
	}
	size := make([]float64, len(w)) // of each, squared
	for range 2 {
		z.subtract(w, z.locked, z.mlocked, func(i, j int, h float64) { size[j] += float64(h * h) })
		z.subtract(w, z.v, z.mv, func(i, j int, h float64) {
			size[j] += float64(h * h)
			if keep != nil {
				keep(i, j, h)
			}
		})
	}
	first := len(z.v)
	k := len(w)
	z.coupling = make([]float64, k*k)
	for j, x := range w {
		for range 2 {
			for i := first; i < len(z.v); i++ {
				h := dot(z.mv[i], x)
				z.coupling[(i-first)*k+j] += h
				size[j] += float64(h * h)
				subtractTimes(x, z.v[i], h)
			}
		}
		mx := make([]float64, len(x))
		z.m.Multiply(mx, x)
		left := dot(x, mx)
		if !(left > dependent*dependent*(size[j]+left)) || !(left > 0) || math.IsInf(left, 0) {
			continue
		}
		root := math.Sqrt(left)
		z.coupling[(len(z.v)-first)*k+j] = root
		for i := range x {
			x[i] /= root
			mx[i] /= root
		}
		z.v, z.mv = append(z.v, x), append(z.mv, mx)
	}
}

// subtract takes off each of w (up to three) its share of every vector of the orthonormal basis v.
func (z *lanczos) subtract(w, v, mv [][]float64, keep func(i, j int, h float64)) {
	k := len(w)
	w0, w1, w2 := w[0], w[min(1, k-1)], w[k-1]
	h := make([][3]float64, len(v)+1)
	for i := 0; i < len(v); i += 2 {
		a, b := &h[i], &h[i+1]
		a[0], b[0], a[1], b[1], a[2], b[2] = six(w0, w1, w2, mv[i], mv[min(i+1, len(v)-1)])
	}
	for i := range v {
		for j := range k {
			keep(i, j, h[i][j])
		}
	}
	if k < 3 {
		for i, x := range v {
			for j := range k {
				subtractTimes(w[j], x, h[i][j])
			}
		}
		return
	}
	i := 0
	for ; i+2 <= len(v); i += 2 {
		subtractTwo3(w0, w1, w2, v[i], v[i+1], h[i], h[i+1])
	}
	if i < len(v) {
		subtractTimes3(w0, w1, w2, v[i], h[i])
	}
}

// ritz gives the eigenvalues of K⁻¹M in the basis, without the block that it has not been applied to.
func (z *lanczos) ritz() (theta, s []float64) {
	n := z.from
	a := make([]float64, n*n)
	for i := range n {
		for j := i; j < n; j++ { // what the later column says of the earlier row
			a[i*n+j] = z.t[i*z.width()+j]
			a[j*n+i] = a[i*n+j]
		}
	}
	return symmetricEigen(a, n)
}

// residuals gives how far from being eigenvectors the first ones of ritz are.
func (z *lanczos) residuals(s []float64, n int) []float64 {
	out := make([]float64, n)
	k := z.from - z.before
	for r := range out {
		sum := 0.0
		for i := range len(z.v) - z.from {
			c := dot(z.coupling[i*k:i*k+k], s[r*n+z.before:r*n+n])
			sum += float64(c * c)
		}
		out[r] = math.Sqrt(sum)
	}
	return out
}

// worth says how many of the values, the greatest first, are settled and belong to those looked for, or −1 if that cannot
// be said yet. Without residuals all are settled.
func (z *lanczos) worth(theta, residual []float64) int {
	have := slices.Clone(z.theta)
	slices.SortFunc(have, func(a, b float64) int { return cmp.Compare(b, a) })
	again := len(have) > 0
	for i, t := range theta {
		r := 0.0
		if residual != nil {
			r = residual[i]
		}
		if len(have) >= z.count {
			if !again {
				return i // what may be missing yet is searched for by itself
			}
			if t <= have[z.count-1]*(1+settled) {
				if r > unhurried*t {
					return -1
				}
				return i
			}
		}
		if greatest := append(have, t)[0]; !(t > rankless*greatest) {
			return i
		}
		if residual != nil && !isSettled(theta, residual, i) {
			return -1
		}
		at, _ := slices.BinarySearchFunc(have, t, func(a, b float64) int { return cmp.Compare(b, a) })
		have = slices.Insert(have, at, t)
	}
	if residual == nil {
		return len(theta)
	}
	return -1
}

// isSettled says whether the value i is known to one part in 10⁹. It is off by no more than its residual, nor by more than the residual's
// square over the distance to the next other value (a theorem of T. Kato and G. Temple: B. N. Parlett, "The Symmetric Eigenvalue
// Problem", SIAM 1998, section 11.7); the vector is off by the residual over that distance.
func isSettled(theta, residual []float64, i int) bool {
	t, r := theta[i], residual[i]
	if r <= settled*t {
		return true
	}
	gap := math.Inf(1)
	if i > 0 {
		gap = theta[i-1] - t - residual[i-1] - r
	}
	if i+1 < len(theta) {
		gap = min(gap, t-theta[i+1]-residual[i+1]-r)
	}
	return r <= direction*gap && float64(r*r) <= settled/10*float64(t*gap)
}

// lock keeps the first k vectors of ritz.
func (z *lanczos) lock(theta, s []float64, k int) bool {
	x := combine(z.v[:z.from], s, k)
	for i := range x {
		mx := make([]float64, z.m.N)
		z.m.Multiply(mx, x[i])
		z.locked, z.mlocked, z.theta = append(z.locked, x[i]), append(z.mlocked, mx), append(z.theta, theta[i])
	}
	return k > 0
}

// combine gives k vectors of a basis' span; s has their coefficients, row by row.
func combine(v [][]float64, s []float64, k int) [][]float64 {
	out := make([][]float64, k)
	for r := range out {
		out[r] = make([]float64, len(v[0]))
		for i, x := range v {
			subtractTimes(out[r], x, -s[r*len(v)+i])
		}
	}
	return out
}

// drawTogether replaces the basis by its best vectors and the block that is still to be worked on. Source: K. Wu, H. Simon,
// "Thick-restart Lanczos method for large symmetric eigenvalue problems", SIAM J. Matrix Anal. Appl. 22, 2000.
func (z *lanczos) drawTogether(theta, s []float64) {
	k := min(z.count+3*blockWidth, z.from)
	v, mv := combine(z.v[:z.from], s, k), combine(z.mv[:z.from], s, k)
	z.v, z.mv = append(v, z.v[z.from:]...), append(mv, z.mv[z.from:]...)
	clear(z.t)
	for i := range k {
		z.t[i*z.width()+i] = theta[i]
	}
	z.from = k
}

// finish puts what was found in order.
func (z *lanczos) finish() (values []float64, vectors [][]float64, err error) {
	by := make([]int, len(z.theta))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(i, j int) int { return cmp.Compare(z.theta[j], z.theta[i]) })
	by = by[:min(len(by), z.count)]
	// Once more through K⁻¹M: that takes out what M does not see. Then orthogonal to the last digit.
	for _, i := range by {
		vectors = append(vectors, slices.Clone(z.mlocked[i]))
		values = append(values, 1/z.theta[i])
	}
	z.apply(vectors)
	z.v, z.mv, z.locked, z.mlocked = nil, nil, nil, nil
	z.extend(vectors, nil)
	if len(z.v) != len(by) {
		return nil, nil, errors.New("the vectors found depend on each other") // cannot be: they are orthogonal
	}
	for _, x := range z.v {
		at := 0
		for i, a := range x {
			if math.Abs(a) > math.Abs(x[at]) {
				at = i
			}
		}
		if x[at] < 0 {
			for i := range x {
				x[i] = -x[i]
			}
		}
	}
	return values, z.v, nil
}
