package plate

// The deflection within a triangle is a cubic in area coordinates L (see the package's source): corner i adds
//
//	w_i (L_i³ + 3 L_i² L_j + 3 L_i² L_k + 2 L_i L_j L_k)
//	p_i (x_ji (L_i² L_j + ½ L_i L_j L_k) + x_ki (L_i² L_k + ½ L_i L_j L_k)), and likewise q_i with y,
//
// where j and k are the other corners and x_ji = x_j − x_i. It is exact for every deflection of second degree.

// cubics is how many products of three area coordinates there are: L_i³, then L_i² L_j and L_i² L_k for each corner i (with
// the corner after it first), then L_1 L_2 L_3.
const cubics = 10

// powers are the exponents of the products.
var powers = func() (p [cubics][3]int) {
	for i := range 3 {
		j, k := next[i], next[next[i]]
		p[i][i] = 3
		p[3+2*i][i], p[3+2*i][j] = 2, 1
		p[4+2*i][i], p[4+2*i][k] = 2, 1
	}
	p[9] = [3]int{1, 1, 1}
	return p
}()

// means is the mean of each product over a triangle, products the mean of each two of them multiplied: the mean of
// L_1^a L_2^b L_3^c is 2 a! b! c! / (a+b+c+2)!.
var means, products = func() (m [cubics]float64, p [cubics][cubics]float64) {
	mean := func(a [3]int) float64 {
		factorial := func(n int) float64 {
			f := 1
			for i := 2; i <= n; i++ {
				f *= i
			}
			return float64(f)
		}
		return 2 * factorial(a[0]) * factorial(a[1]) * factorial(a[2]) / factorial(a[0]+a[1]+a[2]+2)
	}
	for i, a := range powers {
		m[i] = mean(a)
		for j, b := range powers {
			p[i][j] = mean([3]int{a[0] + b[0], a[1] + b[1], a[2] + b[2]})
		}
	}
	return m, p
}()

// deflection gives each unknown's cubic by its factors of the products.
func (s *shape) deflection() (t [9][cubics]float64) {
	for i := range 3 {
		j, k := next[i], next[next[i]]
		t[3*i][i], t[3*i][3+2*i], t[3*i][4+2*i], t[3*i][9] = 1, 3, 3, 2
		for u, at := range [2]*[3]float64{&s.x, &s.y} {
			a, b := at[j]-at[i], at[k]-at[i]
			t[3*i+1+u][3+2*i], t[3*i+1+u][4+2*i], t[3*i+1+u][9] = a, b, (a+b)/2
		}
	}
	return t
}

// atPlace gives how far each unknown deflects the triangle's place (x, y).
func (s *shape) atPlace(x, y float64) (n [9]float64) {
	var l [3]float64
	for i := range 3 {
		j := next[i]
		l[i] = float64((x-s.x[j])*s.bx[i]) + float64((y-s.y[j])*s.by[i]) // nothing at corner j
	}
	var v [cubics]float64
	for i, p := range powers {
		v[i] = 1
		for k, e := range p {
			for range e {
				v[i] *= l[k]
			}
		}
	}
	return s.weigh(&v)
}

// meanDeflection gives the mean over the triangle of what each unknown deflects it.
func (s *shape) meanDeflection() [9]float64 { return s.weigh(&means) }

func (s *shape) weigh(v *[cubics]float64) (n [9]float64) {
	t := s.deflection()
	for u := range n {
		for c := range v {
			n[u] += float64(t[u][c] * v[c])
		}
	}
	return n
}

// mass is the consistent 9 × 9 mass matrix of a triangle, row by row, for a mass per area.
func (s *shape) mass(perArea float64) (m [81]float64) {
	t := s.deflection()
	for c := range 9 {
		var v [cubics]float64
		for i := range v {
			for j := range v {
				v[i] += float64(products[i][j] * t[c][j])
			}
			v[i] *= perArea * s.area
		}
		for r := range c + 1 {
			sum := 0.0
			for i := range v {
				sum += float64(t[r][i] * v[i])
			}
			m[9*r+c], m[9*c+r] = sum, sum
		}
	}
	return m
}
