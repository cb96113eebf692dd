package laminate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// D = E t³/12(1 − ν²) with ν² the product of both contractions.
func TestBareLaminate(t *testing.T) {
	d := Bending(Default(), Stack{Thickness: 1.6}, false)
	i := 1.6 * 1.6 * 1.6 / 12                       // 0.341333 mm³
	by := 1 - 0.136*0.136*21/24                     // 0.983816
	assert.InEpsilon(t, 24000*i/by, d[0][0], 1e-12) // 8326.8 N·mm
	assert.InEpsilon(t, 21000*i/by, d[1][1], 1e-12)
	assert.InEpsilon(t, 0.136*21000*i/by, d[0][1], 1e-12)
	assert.InEpsilon(t, 2700*i, d[2][2], 1e-12) // Mxy = D66 · (−2 ∂²w/∂x∂y) = G t³/12 · …
	assert.Equal(t, d[0][1], d[1][0])
	assert.Zero(t, d[0][2])
	assert.Zero(t, d[1][2])
	hot := Bending(Default(), Stack{Thickness: 1.6}, true)
	assert.InEpsilon(t, 0.4, hot[0][0]/d[0][0], 1e-12)
	assert.InEpsilon(t, 0.4, hot[2][2]/d[2][2], 1e-12)
}

func TestStacks(t *testing.T) {
	// A full foil either side is a sandwich: E_g h³/12 + E_c (t³ − h³)/12 with t = 1.6, h = 1.53.
	full := 20000*1.53*1.53*1.53/12 + 120000*(1.6*1.6*1.6-1.53*1.53*1.53)/12 // 11144.9
	bare := 20000 * 1.53 * 1.53 * 1.53 / 12                                  // 5969.3
	half := bare + 0.5*bare/(bare+0.5*(full-bare))*(full-bare)               // 7774.7
	// Without the lower foil the neutral surface rises: laminate 1.53, copper 0.035 above it.
	// A_g = 20000·1.53 = 30600, A_c = 120000·0.035 = 4200 N/mm, 0.7825 apart;
	// each about its own middle and 30600·4200/34800 · 0.7825² about both.
	above := bare + 120000*0.035*0.035*0.035/12 + 30600*4200/34800.0*0.7825*0.7825
	// Four layers: outer as before, inner ones a third of the way: 1.6 − 4·0.035 = 1.46 of laminate in three pieces of
	// 0.48667, so the inner copper lies from 0.24333 to 0.27833 either side of the middle.
	inner := func(c float64) float64 {
		return full + c*(120000-20000)*2*(math.Pow(0.48666667/2+0.035, 3)-math.Pow(0.48666667/2, 3))/3
	}
	// The outer foils' gaps of 1/2 lie above the inner ones' gaps of 1/2: half of the strips are bare, half are whole.
	allHalf := 1 / (0.5/bare + 0.5/inner(1))
	// Outer 1/2, inner whole: half of the strips have inner copper alone, half are whole.
	outerHalf := 1 / (0.5/(inner(1)-full+bare) + 0.5/inner(1))
	f := func(share ...float64) []Foil {
		out := make([]Foil, len(share))
		for i, c := range share {
			out[i] = Foil{0.035, c}
		}
		return out
	}
	for _, c := range []struct {
		name string
		foil []Foil
		want float64
	}{
		{"two layers etched away", f(0, 0), bare},
		{"two whole layers", f(1, 1), full},
		{"two half layers, in series", f(0.5, 0.5), half},
		{"one side only", f(1, 0), above},
		{"the other side only", f(0, 1), above},
		{"four whole layers", f(1, 1, 1, 1), inner(1)},
		{"inner layers etched away", f(1, 0, 0, 1), full},
		{"four half layers", f(0.5, 0.5, 0.5, 0.5), allHalf},
		{"planes within", f(0.5, 1, 1, 0.5), outerHalf},
		{"more than all is all", f(7, 1), full},
		{"less than nothing is nothing", f(-1, 0), bare},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := Bending(plain(), Stack{1.6, c.foil}, false)
			assert.InEpsilon(t, c.want, d[0][0], 1e-7)
			assert.InEpsilon(t, c.want, d[1][1], 1e-7)
			assert.InDelta(t, 0, d[0][1], 1e-9)
			twice := Bending(plain(), Stack{1.6, c.foil}, true)
			assert.Less(t, twice[0][0], d[0][0])
		})
	}
	t.Run("in the oven copper stays as stiff", func(t *testing.T) {
		d := Bending(plain(), Stack{1.6, f(1, 1)}, true)
		assert.InEpsilon(t, full-0.6*bare, d[0][0], 1e-7)
	})
	t.Run("one layer", func(t *testing.T) { // laminate 1.565, copper 0.035, 0.8 apart
		d := Bending(plain(), Stack{1.6, f(1)}, false)
		ag, ac := 20000*1.565, 4200.0
		want := 20000*math.Pow(1.565, 3)/12 + 120000*math.Pow(0.035, 3)/12 + ag*ac/(ag+ac)*0.8*0.8
		assert.InEpsilon(t, want, d[0][0], 1e-9)
	})
}

func TestSeriesOfAnyCopperLiesBetweenBareAndTheParallelBound(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		l := Default()
		l.Poisson.Value = rnd.Float64() * 0.4
		l.CopperElastic.Value = 5 + 200*rnd.Float64() // weaker than laminate as well
		s := Stack{0.2 + 3*rnd.Float64(), make([]Foil, 1+rnd.IntN(8))}
		for i := range s.Copper {
			s.Copper[i] = Foil{0.1 * rnd.Float64() * s.Thickness, rnd.Float64()}
		}
		hot := rnd.IntN(2) == 0
		d := Bending(l, s, hot)
		assert.Positive(t, d[0][0])
		assert.Positive(t, d[2][2])
		assert.Greater(t, d[0][0]*d[1][1], d[0][1]*d[1][0])
		if l.CopperElastic.Value < 40 {
			continue
		}
		// More copper anywhere is stiffer, in every direction (pure bends and the twist).
		more := Stack{s.Thickness, append([]Foil{}, s.Copper...)}
		i := rnd.IntN(len(more.Copper))
		more.Copper[i].Share += (1 - more.Copper[i].Share) * rnd.Float64()
		e := Bending(l, more, hot)
		for range 5 {
			k := [3]float64{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}
			assert.GreaterOrEqual(t, energy(e, k), energy(d, k)*(1-1e-12))
		}
		// Every layer alone in parallel, as whole boards side by side that share the curvature, is stiffer than in series.
		one := Stack{s.Thickness, make([]Foil, len(s.Copper))}
		for j := range one.Copper {
			one.Copper[j].Thick = s.Copper[j].Thick
		}
		none := Bending(l, one, hot)
		one.Copper[i].Share = 1
		whole := Bending(l, one, hot)
		c := s.Copper[i].Share
		one.Copper[i].Share = c
		series := Bending(l, one, hot)
		k := [3]float64{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}
		assert.LessOrEqual(t, energy(series, k), ((1-c)*energy(none, k)+c*energy(whole, k))*(1+1e-12))
		assert.GreaterOrEqual(t, energy(series, k), energy(none, k)*(1-1e-12))
	}
}

func energy(d [3][3]float64, k [3]float64) (sum float64) {
	for i := range 3 {
		for j := range 3 {
			sum += k[i] * d[i][j] * k[j]
		}
	}
	return sum
}

func TestTurnedOverIsAsStiff(t *testing.T) {
	a := Bending(Default(), Stack{1.2, []Foil{{0.035, 0.8}, {0.018, 0.3}, {0.018, 0.6}, {0.035, 0.2}}}, false)
	b := Bending(Default(), Stack{1.2, []Foil{{0.035, 0.2}, {0.018, 0.6}, {0.018, 0.3}, {0.035, 0.8}}}, false)
	for i := range 3 {
		for j := range 3 {
			assert.InDelta(t, a[i][j], b[i][j], 1e-9)
		}
	}
}

func TestMass(t *testing.T) {
	for _, c := range []struct {
		name string
		s    Stack
		want float64 // g per m² = 1e-12 tonnes per mm²
	}{
		{"bare", Stack{Thickness: 1.6}, 1.6 * 1900},
		{"two layers etched away", Stack{1.6, []Foil{{0.035, 0}, {0.035, 0}}}, 1.53 * 1900},
		{"two layers", Stack{1.6, []Foil{{0.035, 1}, {0.035, 0.5}}}, 1.53*1900 + 1.5*0.035*8960},
		{"four layers", Stack{1.6, []Foil{{0.035, 1}, {0.018, 0.5}, {0.018, 0}, {0.035, 1}}}, (1.53-0.009)*1900 + 0.079*8960},
		{"nothing", Stack{}, 0},
	} {
		t.Run(c.name, func(t *testing.T) { assert.InDelta(t, c.want*1e-12, Mass(Default(), c.s), 1e-21) })
	}
}

func TestFoilsThickerThanTheirStackAreTakenThinner(t *testing.T) {
	s := Stack{0.05, []Foil{{0.035, 1}, {0.035, 1}, {0.035, 0}}}
	d := Bending(Default(), s, false)
	assert.Positive(t, d[0][0])
	assert.False(t, math.IsInf(d[0][0], 0))
	assert.Positive(t, Mass(Default(), s))
}

func TestStackOfABoard(t *testing.T) {
	b := &panel.Board{Thickness: 1600 * geom.UM, CopperCount: 4, Foils: []geom.Length{50 * geom.UM, 18 * geom.UM, 0}}
	s := Of(b, Default())
	assert.Equal(t, Stack{1.6, []Foil{{0.05, 0}, {0.018, 0}, {0.035, 0}, {0.035, 0}}}, s)
	assert.InDelta(t, 1.515, s.Bare(), 1e-12)
	assert.InDelta(t, 1.565, Of(&panel.Board{Thickness: 1600 * geom.UM, CopperCount: 1}, Default()).Bare(), 1e-12)
	assert.InDelta(t, 1.6, Of(&panel.Board{Thickness: 1600 * geom.UM}, Default()).Bare(), 1e-12)
	assert.Zero(t, Of(&panel.Board{CopperCount: -1}, Default()).Bare())
}

func BenchmarkBending(b *testing.B) {
	s := Stack{1.6, []Foil{{0.035, 0.5}, {0.035, 0.9}, {0.035, 0.8}, {0.035, 0.4}}}
	for b.Loop() {
		Bending(Default(), s, false)
	}
}
