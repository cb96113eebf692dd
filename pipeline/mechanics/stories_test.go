package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// TestBeamUnderItsWeight: a narrow strip on two rails is a beam, w = 5 q l⁴ / (384 E I), and swings at π/2 √(E I / (m l⁴));
// one held at one end sinks by q l⁴ / (8 E I) (Roark's Formulas for Stress and Strain, 7th edition, table 8.1). E is the fill's,
// for the strip runs along y; what its width adds is below 1 %.
func TestBeamUnderItsWeight(t *testing.T) {
	l := laminate.Default()
	const length, width, thick = 150.0, 12.0, 1.6
	// By hand: q = 1900e-12 t/mm³ × 1.6 mm × 9806.65 mm/s² = 2.9812e-5 N/mm², D = 21000 × 1.6³ / 12 = 7168 N·mm.
	q := l.Density.Value * 1e-12 * thick * gravity
	d := l.ElasticFill.Value * 1000 * thick * thick * thick / 12
	a := of(t, plain(t, 12*geom.MM, 150*geom.MM, nil))
	assert.InEpsilon(t, 5*q*math.Pow(length, 4)/(384*d), a.States[0].Sag, 0.01)
	assert.InEpsilon(t, math.Pi/2*math.Sqrt(d/(q/gravity*math.Pow(length, 4))), a.Hertz[0], 0.01)
	assert.InEpsilon(t, a.States[0].Sag/l.HotElastic.Value, a.States[1].Sag, 1e-6, "a bare laminate sags by its factor more in the oven")

	a = of(t, plain(t, 12*geom.MM, 150*geom.MM, func(s *panel.Support) {
		s.Carried, s.Sides, s.Grip = panel.ByOneRail, []panel.RailSide{panel.Lower}, 10*geom.MM
	}))
	assert.InEpsilon(t, q*math.Pow(140, 4)/(8*d), a.States[0].Sag, 0.01, "140 mm stand out")
	assert.Equal(t, 140*geom.MM, a.Span)
}

// TestSpanCounts: over its long span a strip sags (ratio of spans)⁴ more than over its short one, by the beam's
// formula (Roark's, table 8.1); a plate as broad as the demo's panel nearly so, for its free edges sink further than its middle.
func TestSpanCounts(t *testing.T) {
	want := math.Pow(254.0/147, 4)
	same := func(s *panel.Support) { s.ElasticFill = s.ElasticWarp }
	along := func(s *panel.Support) { same(s); s.Sides = []panel.RailSide{panel.Left, panel.Right} }
	for _, x := range []struct {
		name        string
		short, long panel.Panel
		within      float64
	}{
		{"strips 20 mm wide", plain(t, 20*geom.MM, 147*geom.MM, same), plain(t, 20*geom.MM, 254*geom.MM, same), 0.01},
		{"a plate carried by its long and by its short sides", plain(t, 254*geom.MM, 147*geom.MM, same), plain(t, 254*geom.MM, 147*geom.MM, along), 0.06},
	} {
		short, long := of(t, x.short).States[0].Sag, of(t, x.long).States[0].Sag
		t.Logf("%s: %.4f mm over 147 mm, %.4f mm over 254 mm: %.2f times; (254/147)⁴ = %.2f", x.name, short, long, long/short, want)
		assert.InEpsilon(t, want, long/short, x.within, x.name)
	}
}

func TestThickerIsStiffer(t *testing.T) {
	var sag, hertz []float64
	for _, thick := range []geom.Length{800, 1000, 1600, 2400} {
		a := of(t, supported(t, held(t, thick*geom.UM, []int{10, 30}, []int{10, 30}), nil))
		sag, hertz = append(sag, a.States[0].Sag), append(hertz, a.Hertz[0])
		assert.Greater(t, a.States[1].Sag, a.States[0].Sag, "hot sags more")
	}
	for i := 1; i < len(sag); i++ {
		assert.Less(t, sag[i], sag[i-1])
		assert.Greater(t, hertz[i], hertz[i-1])
	}
	assert.InEpsilon(t, 4, sag[0]/sag[2], 0.05, "nearly as the square of the thickness: weight grows with it, stiffness with its cube, but that against shear with itself")
}

// TestFewerTabsAreNeverStiffer: what is never less is the work of the panel's weight, ∫ q w: it is the panel's yielding to
// that load (Clapeyron; a single place may well rise as another sinks).
func TestFewerTabsAreNeverStiffer(t *testing.T) {
	sunk, hertz := 0.0, math.Inf(1)
	for _, at := range [][2][]int{{{8, 20, 32}, {8, 20, 32}}, {{8, 32}, {8, 20, 32}}, {{8, 32}, {8, 32}}, {{8}, {8, 32}}, {{8}, {32}}} {
		p := supported(t, held(t, 1600*geom.UM, at[0], at[1]), nil)
		m, err := build(t.Context(), p, *p.Support(), 1)
		require.NoError(t, err)
		r, err := m.solve(t.Context(), 1, 1)
		require.NoError(t, err)
		q, err := r.cold.Weight(gravity, nil)
		require.NoError(t, err)
		work := 0.0
		for n, w := range r.states[0].state.W {
			work += q[3*n]*w + q[3*n+1]*r.states[0].state.P[n] + q[3*n+2]*r.states[0].state.Q[n]
		}
		assert.Greater(t, work, sunk, "tabs at %v", at)
		assert.Less(t, r.hertz[0], hertz, "tabs at %v", at)
		sunk, hertz = work, r.hertz[0]
	}
}

// TestTabsBearTheBoard: what the tabs bear together is half of the board's weight on either side, by equilibrium.
func TestTabsBearTheBoard(t *testing.T) {
	p := supported(t, held(t, 1600*geom.UM, []int{10, 30}, []int{10, 30}), func(s *panel.Support) {
		s.Force = panel.Constant{Value: 3, Unit: "N"}
	})
	a := of(t, p)
	require.Len(t, a.Tabs, 4)
	weight := 1900e-12 * 1.6 * 40 * 40 * gravity // N; the board alone, rows touch its edges
	for n, total := range []float64{weight, weight, weight + 3} {
		var sum float64
		for _, x := range a.Tabs {
			sum += math.Abs(x.Loads[n].Shear)
		}
		assert.InEpsilon(t, total, sum, 0.005, a.States[n].Kind)
	}
	assert.InEpsilon(t, 1900e-12*1.6*9806.65*1600, weight, 1e-9)
}

// TestRowByHand: a board held by two opposite tabs, pressed in its middle, is a beam on two supports at the rails' outer edges.
// At its end the moment in a row is by equilibrium force / 2 × distance from the carried edge: the rails reach 10 mm, the
// slot 2 mm, the row's middle lies 0.25 mm off the board. All of it passes through the one row.
func TestRowByHand(t *testing.T) {
	weightless := func(s *panel.Support) {
		s.Density.Value = 1e-6
		s.Force = panel.Constant{Value: 4, Unit: "N"}
	}
	a := of(t, supported(t, held(t, 1600*geom.UM, []int{20}, []int{20}), weightless))
	require.Len(t, a.Tabs, 2)
	for _, x := range a.Tabs {
		l := x.Loads[2]
		assert.InEpsilon(t, 2*11.75, math.Abs(l.Moment), 0.005) // N·mm
		assert.InEpsilon(t, 2.0, math.Abs(l.Shear), 0.001)
		// Five holes in 4.2 mm leave webs of 0.1? No: 4.2 − 5 × 0.5 − 4 × 0.3 = 0.5 in two shoulders of 0.25 mm and four webs of 0.3 mm:
		// Z = (2 × 0.25 + 4 × 0.3) × 1.6² / 6 = 0.7253 mm³.
		assert.InEpsilon(t, 0.72533, x.Modulus, 1e-4)
		// Were the moment shared by width alone the stress would be M / Z × notch = 23.5 / 0.7253 × 1.6 = 51.8 MPa.
		assert.InEpsilon(t, 23.5/0.72533*1.6, l.Stress, 0.12, "shoulders are stiffer for their width: they widen on one side only")
		assert.InEpsilon(t, l.Strength/l.Stress, l.Reserve, 1e-9)
	}
}

// TestPartsWeigh: parts sag the panel and slow it, wherever they stand: here one of 20 g in the middle, and one of 20 g whose place
// lies 30 mm off the board, which its board bears all the same.
func TestPartsWeigh(t *testing.T) {
	with := func(parts ...panel.Part) *Answers {
		board := &panel.Board{Name: "stave", Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 100*geom.MM)})}, Parts: parts}
		return of(t, supported(t, panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline(), nil))
	}
	heavy := func(x, y geom.Length) panel.Part {
		return panel.Part{Refdes: "T1", Side: panel.Top, At: geom.Pt(x*geom.MM, y*geom.MM), Body: panel.Body{By: panel.ByTable, Length: geom.MM, Width: geom.MM, Mass: 20_000_000}}
	}
	bare, middle, beside := with(), with(heavy(30, 50)), with(heavy(-30, 50))
	assert.Greater(t, middle.States[0].Sag, 2*bare.States[0].Sag)
	assert.Less(t, middle.Hertz[0], bare.Hertz[0]/1.3)
	assert.Greater(t, beside.States[0].Sag, 2*bare.States[0].Sag)
	// By hand: 20 g × 9.80665 m/s² = 0.1961 N amid a strip of 60 × 100 mm: F l³/(48 E I) = 0.1961 × 10⁶/(48 × 21000 × 60 × 1.53³/12) = 0.0109 mm; a plate
	// pressed at a point sinks a little more.
	assert.InDelta(t, 0.0109, middle.States[0].Sag-bare.States[0].Sag, 0.002)
}
