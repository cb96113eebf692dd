package groove

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// alike is the same in all directions.
var alike = Material{Across: 10_000, Along: 10_000, Through: 10_000, Shear: 10_000 / 2.6, AcrossAlong: 0.3, AcrossThrough: 0.3, AlongThrough: 0.3}

// woven is glass laminate: constants of a finite-element tutorial on a circuit board, 25, 25 and 8 GPa, shear through the
// thickness 3.5 GPa, ratios 0.18, 0.30 and 0.30.
var woven = Material{Across: 25_000, Along: 25_000, Through: 8_000, Shear: 3_500, AcrossAlong: 0.18, AcrossThrough: 0.3, AlongThrough: 0.3}

func section(thickness, web, offset, degrees float64) Section {
	return Section{Thickness: geom.FromMM(thickness), Web: geom.FromMM(web), Offset: geom.FromMM(offset), Angle: geom.FromDegrees(degrees)}
}

func of(t *testing.T, s Section, m Material) float64 {
	t.Helper()
	c, err := Compliance(t.Context(), s, m)
	require.NoError(t, err)
	return c
}

// release is the energy that a crack through the thickness releases for K² = 1: G. C. Sih, P. C. Paris and G. R. Irwin, "On
// cracks in rectilinearly anisotropic bodies", International Journal of Fracture Mechanics 1, 1965 (from memory). Where all
// directions are alike it is 1/E'.
func release(t *testing.T, m Material) float64 {
	e, err := m.inPlane()
	require.NoError(t, err)
	det := (e.xx*e.zz - e.xz*e.xz) * e.unit
	across, through, both, shear := e.zz/det, e.xx/det, -e.xz/det, 1/(e.shear*e.unit)
	return math.Sqrt(across*through/2) * math.Sqrt(math.Sqrt(across/through)+(2*both+shear)/(2*through))
}

// Two deep slits in a body leave a neck of 2c: K = 2M/(c √(πc)) (H. Tada, P. C. Paris, G. R. Irwin, The Stress Analysis of
// Cracks Handbook; from memory), whence by energy C = 8/(πc²) for a release of 1. Here the neck is 1/50 of the thickness,
// whose faces matter by its square; the bound is 1 %.
func TestDeepSlits(t *testing.T) {
	assert.InEpsilon(t, (1-0.3*0.3)/10_000, release(t, alike), 1e-12)
	for name, m := range map[string]Material{"alike": alike, "woven": woven} {
		c := 1.6 / 50 / 2
		assert.InEpsilon(t, 8/(math.Pi*c*c)*release(t, m), of(t, section(1.6, 2*c, 0, 0), m), 0.01, name)
	}
}

// Two shallow slits, depth d, where the bending stress is 6M/t²: K = 1.1215 σ √(πd) (the same handbook, from memory), whence
// C = 72 π 1.1215² d²/t⁴ for a release of 1. Here d is 1/300 of the thickness, over which stress falls by 0.7 %; the
// bound is 1 %.
func TestShallowSlits(t *testing.T) {
	d := 1.6 / 300
	want := 72 * math.Pi * 1.1215 * 1.1215 * d * d / math.Pow(1.6, 4) * release(t, alike)
	assert.InEpsilon(t, want, of(t, section(1.6, 1.6-2*d, 0, 0), alike), 0.01)
}

// Grooves so shallow that they are not reckoned themselves go on with those that are.
func TestVeryShallow(t *testing.T) {
	s := Section{Thickness: 2_000_000, Web: 2_000_000 - 2*6_000, Angle: 30 * geom.Degree}
	c := of(t, s, woven)
	s.Web = 2_000_000 - 2*5_999
	assert.InEpsilon(t, c, of(t, s, woven), 4e-4)
	s.Web = 2_000_000 - 2
	assert.InEpsilon(t, c/36e6, of(t, s, woven), 1e-9)
}

// A strip that is held along its whole middle is uncut: nothing is added to its turning by plate theory, whatever the
// triangles.
func TestUncut(t *testing.T) {
	assert.Zero(t, of(t, section(1.6, 1.6, 0, 30), woven))
	assert.Zero(t, of(t, section(1.6, 1.6, 0.1, 30), woven))
	e, err := woven.inPlane()
	require.NoError(t, err)
	g := section(1.6, 0.4, 0, 0).grid(usual)
	g.high = g.rows
	turned, err := g.turned(t.Context(), e)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*g.reach, turned, 1e-9)
	g = section(1.6, 0.4, 0.1, 0).grid(fineness{first: 0.1, growth: 2, most: 0.7})
	g.high = g.rows
	turned, err = g.turned(t.Context(), e)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*g.reach, turned, 1e-9)
}

// Less material yields more, always (by energy): compliance rises as the web gets thinner and the grooves wider.
func TestLessMaterialYieldsMore(t *testing.T) {
	for offset, webs := range map[float64][]float64{0: {1.55, 1.2, 0.8, 0.5, 0.4, 0.3, 0.1}, 0.1: {0.5, 0.3}} {
		last := 0.0
		for _, web := range webs {
			c := of(t, section(1.6, web, offset, 30), woven)
			assert.Greater(t, c, last, "web %v, offset %v", web, offset)
			last = c
		}
	}
	last := 0.0
	for _, degrees := range []float64{0, 30, 60, 90, 150} {
		c := of(t, section(1.6, 0.4, 0, degrees), woven)
		assert.Greater(t, c, last, "%v degrees", degrees)
		last = c
	}
}

// A narrow groove yields several times as much as a profile of thickness in plate theory would.
func TestProfileIsFarTooStiff(t *testing.T) {
	e, err := woven.inPlane()
	require.NoError(t, err)
	const thick, web = 1.6, 0.4
	slope := math.Tan(math.Pi / 12)
	profile := 24 * slope / e.unit * ((1/(web*web)-1/(thick*thick))/4 - (thick-web)/2/(thick*thick*thick))
	c := of(t, section(thick, web, 0, 30), woven)
	assert.Greater(t, c, 2.5*profile)
	assert.Less(t, c, 20*profile)
}

// Tips a nanometre beside each other are reckoned by a half of the section, tips above each other by a quarter: the same
// must come out, but for triangles' other diagonals, 0.1 %. Which way they lie does not matter; and tips far beside each other leave more material between them.
func TestOffset(t *testing.T) {
	s := section(1.6, 0.4, 0, 30)
	above := of(t, s, woven)
	s.Offset = 1
	assert.InEpsilon(t, above, of(t, s, woven), 0.001)
	s.Offset = 200 * geom.UM
	beside := of(t, s, woven)
	assert.Less(t, beside, above)
	s.Offset = -s.Offset
	assert.Equal(t, beside, of(t, s, woven))
}

// Compliance goes with one over modulus and over the square of lengths.
func TestUnits(t *testing.T) {
	one := of(t, section(1.6, 0.4, 0, 30), woven)
	assert.InEpsilon(t, one/4, of(t, section(3.2, 0.8, 0, 30), woven), 1e-12)
	hot := woven
	hot.Across, hot.Along, hot.Through, hot.Shear = hot.Across/2, hot.Along/2, hot.Through/2, hot.Shear/2
	assert.InEpsilon(t, 2*one, of(t, section(1.6, 0.4, 0, 30), hot), 1e-12)
}

// With smaller triangles compliance rises towards its limit, and is never more than 0.3 % below it.
func TestConvergence(t *testing.T) {
	for _, c := range []struct {
		s     Section
		exact fineness
	}{
		{section(1.6, 0.4, 0, 0), fineness{0.0005, 1.4, 0.4}},
		{section(1.6, 0.4, 0, 30), fineness{0.0005, 1.4, 0.4}},
		{section(1.6, 0.3, 0, 60), fineness{0.0005, 1.4, 0.4}},
		{section(1.6, 1.2, 0, 30), fineness{0.0005, 1.4, 0.4}},
		{section(1.6, 0.4, 0.15, 30), fineness{0.0005, 1.4, 0.4}},
	} {
		exact, err := compliance(t.Context(), c.s, alike, c.exact)
		require.NoError(t, err)
		coarse, err := compliance(t.Context(), c.s, alike, fineness{0.05, 2.5, 1})
		require.NoError(t, err)
		got := of(t, c.s, alike)
		assert.Less(t, coarse, got, "%+v", c.s)
		assert.Less(t, got, exact, "%+v", c.s)
		assert.InEpsilon(t, exact, got, 0.003, "%+v", c.s)
	}
}

func TestRefused(t *testing.T) {
	good := section(1.6, 0.4, 0, 30)
	for name, s := range map[string]Section{
		"no thickness": section(0, 0, 0, 30), "no web": section(1.6, 0, 0, 30), "web below nothing": section(1.6, -1, 0, 30),
		"web too thick": section(1.6, 1.7, 0, 30), "angle below nothing": section(1.6, 0.4, 0, -1), "flat": section(1.6, 0.4, 0, 180),
		"far beside": section(1.6, 0.4, 0.81, 30), "far beside the other way": section(1.6, 0.4, -0.81, 30),
		"least of numbers": {Thickness: math.MinInt64, Web: math.MinInt64, Offset: math.MinInt64, Angle: math.MinInt64},
		"most of numbers":  {Thickness: math.MaxInt64, Web: math.MaxInt64, Offset: math.MaxInt64, Angle: math.MaxInt64},
	} {
		_, err := Compliance(t.Context(), s, woven)
		assert.Error(t, err, name)
	}
	for name, change := range map[string]func(*Material){
		"no modulus":       func(m *Material) { m.Across = 0 },
		"no shear modulus": func(m *Material) { m.Shear = -1 },
		"not a number":     func(m *Material) { m.Through = math.NaN() },
		"without bound":    func(m *Material) { m.Along = math.Inf(1) },
		"gives work away":  func(m *Material) { m.AcrossAlong = 1 },
		"the same through": func(m *Material) { m.AlongThrough = 2 },
		"and between":      func(m *Material) { m.AcrossThrough = -1.8 },
	} {
		m := woven
		change(&m)
		_, err := Compliance(t.Context(), good, m)
		assert.Error(t, err, name)
		assert.Equal(t, m.Shear > 0 && m.Across > 0 && m.Through > 0 && m.Along < 1e9, errors.Is(err, ErrContractions), name)
	}
	ctx, end := context.WithCancel(t.Context())
	end()
	_, err := Compliance(ctx, good, woven)
	assert.ErrorIs(t, err, context.Canceled)
}

// Whatever the section within the bounds, a figure comes out, never below 0.
func TestExtremes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	try := func(s Section, m Material) {
		c, err := compliance(t.Context(), s, m, fineness{0.05, 2.5, 1})
		require.NoError(t, err, "%+v %+v", s, m)
		assert.True(t, c >= 0 && c < 1e9, "%+v %+v: %v", s, m, c)
	}
	for _, web := range []geom.Length{6_400, 800_000, 1_599_999} {
		for _, offset := range []geom.Length{0, 2 * web} {
			for _, angle := range []geom.Angle{0, WidestAngle} {
				try(Section{Thickness: 1_600_000, Web: web, Offset: offset, Angle: angle}, woven)
			}
		}
	}
	for range 20 {
		m := Material{Across: 1 + 3e4*r.Float64(), Along: 1 + 3e4*r.Float64(), Through: 1 + 3e4*r.Float64(), Shear: 1 + 1e4*r.Float64()}
		try(section(0.1+5*r.Float64(), 0.05*r.Float64()+0.05, 0, 150*r.Float64()), m)
	}
}

func BenchmarkCompliance(b *testing.B) {
	for _, offset := range []float64{0, 0.1} {
		b.Run(fmt.Sprintf("offset %v", offset), func(b *testing.B) {
			for b.Loop() {
				if _, err := Compliance(b.Context(), section(1.6, 0.4, offset, 30), woven); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
