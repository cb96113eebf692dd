package laminate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A uniform beam with shear: with φ = 12 EI/(G A/1.2 L²), K is EI/L³(1 + φ) times 12, 6L, (4 + φ)L², (2 − φ)L²
// (J. S. Przemieniecki, "Theory of Matrix Structural Analysis", 1968); twist GJ/L.
func TestUniformBeam(t *testing.T) {
	l := plain()
	r := Row{Diameter: 2, Thickness: 1.6, Webs: []float64{3}, Cos: 1}
	k := r.Ligaments(l, false)
	require.Len(t, k, 1)
	ei := 20000 * 3 * 1.6 * 1.6 * 1.6 / 12          // 20480 N·mm²
	phi := 12 * ei / (3000 * 3 * 1.6 / 1.2 * 2 * 2) // 5.12
	by := ei / (8 * (1 + phi))                      // 418.30
	gj := 3000 * 0.2221 * 3 * 1.6 * 1.6 * 1.6       // side to side 1.875: Saint-Venant's factor 0.2221, by the series below
	want := [6][6]float64{                          // w, along, across
		{12, 12, 0, -12, 12, 0},                       // 6L = 12
		{12, (4 + phi) * 4, 0, -12, (2 - phi) * 4, 0}, // moments
		{0, 0, gj / 2 / by, 0, 0, -gj / 2 / by},       // twist
		{-12, -12, 0, 12, -12, 0},                     //
		{12, (2 - phi) * 4, 0, -12, (4 + phi) * 4, 0}, //
		{0, 0, -gj / 2 / by, 0, 0, gj / 2 / by},       //
	}
	for i := range 6 {
		for j := range 6 {
			tol := 1e-6 * by * 12
			if i%3 == 2 {
				tol = 0.01 * gj / 2
			}
			assert.InDelta(t, want[i][j]*by, k[0][i][j], tol, "%d %d", i, j)
		}
	}
}

// saintVenant is the torsion constant of a rectangle a ≥ b by the series of Saint-Venant (S. P. Timoshenko and J. N. Goodier,
// "Theory of Elasticity", article 109).
func saintVenant(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	sum := 0.0
	for n := 1.0; n < 60; n += 2 {
		sum += math.Tanh(n*math.Pi*a/(2*b)) / math.Pow(n, 5)
	}
	return a * b * b * b / 3 * (1 - 192*b/(math.Pow(math.Pi, 5)*a)*sum)
}

func TestTorsionOfRectangles(t *testing.T) {
	// The book's own table: 0.1406 for a square, 0.229 for 2 to 1, 0.312 for 10 to 1.
	assert.InDelta(t, 0.1406, saintVenant(1, 1), 5e-5)
	assert.InDelta(t, 0.229*2, saintVenant(2, 1), 1e-3)
	assert.InDelta(t, 0.312*10, saintVenant(10, 1), 5e-3)
	worst := 0.0
	for _, b := range []float64{0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9, 1, 1.2, 1.5, 1.6, 2, 2.5, 3, 4, 6, 10, 30} {
		got := torsion(b, 1.6, 2700, 2700)
		want := 2700 * saintVenant(1.6, b)
		worst = max(worst, math.Abs(got/want-1))
		// Another shear modulus through the thickness: the series of the stretched rectangle.
		got = torsion(b, 1.6, 2700, 3500)
		want = saintVenant(b*math.Sqrt(3500), 1.6*math.Sqrt(2700)) / math.Sqrt(2700*3500)
		worst = max(worst, math.Abs(got/want-1))
	}
	assert.Less(t, worst, 0.005)
	t.Logf("torsion of rectangles: within %.2g of the series", worst)
	// Of thin sections only the shear along the broad side counts.
	assert.InEpsilon(t, 3500*1.6*0.01*0.01*0.01/3, torsion(0.01, 1.6, 2700, 3500), 0.01)
	assert.InEpsilon(t, 2700*160*1.6*1.6*1.6/3, torsion(160, 1.6, 2700, 3500), 0.01)
}

// demo is a row of five holes of 0.5 with 0.3 between them, shoulders of 0.2.
func demo() Row {
	return Row{Diameter: 0.5, Thickness: 1.6, Webs: []float64{0.2, 0.3, 0.3, 0.3, 0.3, 0.2}, At: []float64{-2.05, -1.6, -0.8, 0, 0.8, 1.6, 2.05},
		Ends: [2]float64{-2.15, 2.15}, Cos: 1, Holes: true}
}

func TestHourglassByAnotherQuadrature(t *testing.T) {
	l := Default()
	r := demo()
	for _, web := range []float64{0.05, 0.3, 1} {
		r.Webs[2], r.Webs[5] = web, web
		m := material{24000, 2700, 1000 * l.ShearThrough.Value, 3.28}
		for _, c := range []struct {
			name  string
			at    int
			sides float64
		}{{"web", 2, 2}, {"shoulder", 5, 1}} {
			// Midpoints in the angle round the hole: s = −d/2 cos a.
			k := r.beam(c.at, m).stiffness(0.5, 1, 0)
			const n = 20000
			var ff, fm, mm, tt, along float64
			for i := range n {
				a := (float64(i) + 0.5) / n * math.Pi
				s, ds := -0.25*math.Cos(a), 0.25*math.Sin(a)*math.Pi/n
				along += ds
				b := web + c.sides*(0.25-math.Sqrt(0.0625-s*s))
				ei := 24000 * b * 1.6 * 1.6 * 1.6 / 12
				mm += ds / ei
				fm += (0.25 - s) * ds / ei
				ff += (0.25-s)*(0.25-s)*ds/ei + ds*1.2/(3500*b*1.6)
				tt += ds * math.Sqrt(2700*3500) / saintVenant(b*math.Sqrt(3500), 1.6*math.Sqrt(2700))
			}
			require.InDelta(t, 0.5, along, 1e-8)
			det := ff*mm - fm*fm
			assert.InEpsilon(t, mm/det, k[3][3], 1e-7, "%s of %v: force", c.name, web)
			assert.InEpsilon(t, -fm/det, k[3][4], 1e-7, "%s of %v: force by slope", c.name, web)
			assert.InEpsilon(t, ff/det, k[4][4], 1e-7, "%s of %v: moment", c.name, web)
			assert.InEpsilon(t, 1/tt, k[5][5], 0.005, "%s of %v: twist", c.name, web)
			// The ligament holds more than a beam of its least width, less than one of its greatest.
			least, most := 24000*web*1.6*1.6*1.6/12/0.5, 24000*(web+c.sides*0.25)*1.6*1.6*1.6/12/0.5
			assert.Greater(t, 1/mm, least)
			assert.Less(t, 1/mm, most)
		}
	}
}

// TestRowTurnsAsInThreeDimensions: a row of five holes turned by a moment turns further than the uncut strip, by 3.33e-5 rad for
// each N·mm in three-dimensional finite elements (calculix-ccx 2.20, 20-node bricks; a strip of 4.3 mm, holes of 0.5 mm, webs of
// 0.3 mm, thickness 1.6 mm, pulled along the warp). The beams alone give two fifths of that.
func TestRowTurnsAsInThreeDimensions(t *testing.T) {
	r := demo()
	r.Webs = []float64{0.3, 0.3, 0.3, 0.3, 0.3, 0.3}
	m := material{24000, 2700, 3500, slant(24000, 21000, 0.136, 2700)}
	uncut := 0.5 / (24000 * 4.3 * 1.6 * 1.6 * 1.6 / 12)
	var beams, cells float64
	for i := range r.Webs {
		beams += 1 / r.beam(i, m).moment
		cells += 1 / r.flexibility(i, m).moment
	}
	t.Logf("further turn %.3g rad/N·mm; of the beams alone %.3g", 1/cells-uncut, 1/beams-uncut)
	assert.InEpsilon(t, 3.33e-5, 1/cells-uncut, 0.06)
	assert.Less(t, 1/beams-uncut, 1.5e-5)
}

func TestConstrictionIsSteady(t *testing.T) {
	last := math.Inf(1)
	for web := 0.01; web < 5; web *= 1.05 {
		for _, holes := range []int{1, 2} {
			v := further(web, 0.5, 1.6, holes, 3.28)
			assert.Positive(t, v)
			assert.False(t, math.IsNaN(v))
		}
		f := further(web, 0.5, 1.6, 2, 3.28)
		assert.Less(t, f, last, "wider webs draw moments together less")
		last = f
	}
	assert.InEpsilon(t, 1.088*math.Pi*0.25/4*4.28/1, further(0.5, 0.5, 1.6, 2, 3.28), 1e-9, "half of the pitch is hole, as measured")
	assert.InDelta(t, 2, slant(20000, 20000, 0.3, 20000/2.6), 1e-12, "alike in all directions")
}

// What moves as one bears nothing, in every direction; each stiffness is symmetric and pushes back in its three
// own ways.
func TestRigidMotionsBearNothing(t *testing.T) {
	for _, turn := range []float64{0, 0.3, math.Pi / 2, 2, 4} {
		r := demo()
		r.Cos, r.Sin = math.Cos(turn), math.Sin(turn)
		for _, k := range r.Ligaments(Default(), false) {
			for _, u := range [][6]float64{
				{1, 0, 0, 1, 0, 0},
				{0, 1, 0, 0.5 * r.Cos, 1, 0}, // w = x
				{0, 0, 1, 0.5 * r.Sin, 0, 1}, // w = y
			} {
				for i := range 6 {
					sum, scale := 0.0, 0.0
					for j := range 6 {
						sum += k[i][j] * u[j]
						scale += math.Abs(k[i][j] * u[j])
						assert.Equal(t, k[i][j], k[j][i])
					}
					assert.InDelta(t, 0, sum, 1e-13*scale+1e-300)
				}
			}
		}
	}
}

func TestARowAcrossYIsThatAcrossXTurned(t *testing.T) {
	l := plain() // the same along x and y
	r := demo()
	along := r.Ligaments(l, false)
	r.Cos, r.Sin = 0, 1
	up := r.Ligaments(l, false)
	// Along y the slope along is ∂w/∂y, the slope across (to the left of the beam) −∂w/∂x.
	at, sign := [6]int{0, 2, 1, 3, 5, 4}, [6]float64{1, 1, -1, 1, 1, -1}
	for n := range along {
		for i := range 6 {
			for j := range 6 {
				assert.InDelta(t, along[n][i][j], up[n][at[i]][at[j]]*sign[i]*sign[j], 1e-9)
			}
		}
	}
	r.Cos, r.Sin = 0, 9 // of any length
	assert.Equal(t, up, r.Ligaments(l, false))
}

func TestWhatHoldsNothing(t *testing.T) {
	for _, c := range []struct {
		name string
		r    Row
	}{
		{"holes that meet", Row{Diameter: 0.5, Thickness: 1.6, Webs: []float64{0}, Holes: true}},
		{"holes that overlap", Row{Diameter: 0.5, Thickness: 1.6, Webs: []float64{-0.1}, Holes: true}},
		{"no thickness", Row{Diameter: 0.5, Webs: []float64{1}}},
		{"no length", Row{Thickness: 1, Webs: []float64{1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, [][6][6]float64{{}}, c.r.Ligaments(Default(), false))
			assert.Equal(t, []float64{0}, c.r.Shares())
		})
	}
	assert.Empty(t, Row{}.Ligaments(Default(), false))
}

func TestHotThickAndWide(t *testing.T) {
	r := demo()
	cold := r.Ligaments(Default(), false)
	hot := r.Ligaments(Default(), true)
	assert.InEpsilon(t, 0.4, hot[0][4][4]/cold[0][4][4], 1e-12)
	assert.InEpsilon(t, 0.4, hot[0][2][2]/cold[0][2][2], 1e-12)
	r.Thickness = 2
	assert.Greater(t, r.Ligaments(Default(), false)[0][4][4], cold[0][4][4])
}

// Σ b = 2·0.2 + 4·0.3 = 1.6; 1.6 · 1.6²/6 = 0.68267 mm³.
func TestModulusAndShares(t *testing.T) {
	r := demo()
	assert.InEpsilon(t, 0.682667, r.Modulus(), 1e-6)
	s := r.Shares()
	sum := 0.0
	for _, x := range s {
		sum += x
	}
	assert.InDelta(t, 1, sum, 1e-12)
	assert.Equal(t, s[1], s[4])
	assert.Equal(t, s[0], s[5])
	// A shoulder widens on one side only: it is less stiff than 0.2/0.3 of a web.
	assert.Less(t, s[0]/s[1], 0.2/0.3)
	assert.Greater(t, s[0]/s[1], 0.5)
}

func BenchmarkLigaments(b *testing.B) {
	for b.Loop() {
		demo().Ligaments(Default(), false)
	}
}
