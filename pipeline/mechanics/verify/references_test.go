package verify

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/mechanics/plate"
)

// Ways in which both sides along a direction are held, as newSeries wants them.
var allFast, allFree = [4]int{2, 2, 2, 2}, [4]int{}

// The Ritz method, which knows nothing of finite elements, must give the references that name it, to their digits. Two
// parts in ten thousand: the last digit, and what corners that are clamped on one side and free on the other leave of
// the series, whose figures these are.
func TestRitzGivesTheReferences(t *testing.T) {
	same := func(want, got float64, what string, a ...any) {
		t.Helper()
		assert.InEpsilon(t, want, got, 2e-4, what, a)
	}
	even := [2]int{0, 0}
	for _, c := range clampedFigures {
		r := newSeries(0.3, c.ratio, 12, allFast, even)
		x := r.uniform()
		xx, yy := -dot(r.at(2, 0, 1, 1), x)/4, -dot(r.at(0, 2, 1, 1), x)/4
		same(c.w, dot(r.at(0, 0, 1, 1), x)/16, "clamped, w")
		same(c.edge, -dot(r.at(2, 0, 0, 1), x)/4, "clamped, edge")
		same(c.mx, xx+0.3*yy, "clamped, Mx")
		same(c.my, yy+0.3*xx, "clamped, My")
	}
	for _, c := range []struct{ poisson, w float64 }{{0.3, 0.025507}, {0.25, 0.025669}, {0.18, 0.026092}} {
		r := newSeries(c.poisson, 1, 12, allFree, even)
		x := r.uniform(r.at(0, 0, 0, 0))
		same(c.w, dot(r.at(0, 0, 1, 1), x)/16, "corners, w, ν = %g", c.poisson)
		if c.poisson == 0.3 {
			same(0.017747, dot(r.at(0, 0, 1, 0), x)/16, "corners, w in the middle of a side")
			same(0.11171, -1.3*dot(r.at(2, 0, 1, 1), x)/4, "corners, M")
			same(0.15044, -(dot(r.at(2, 0, 1, 0), x)+0.3*dot(r.at(0, 2, 1, 0), x))/4, "corners, M in the middle of a side")
		}
	}
	r := newSeries(0.3, 1, 8, [4]int{1, 1, 0, 0}, even)
	x := r.uniform()
	same(0.013094, dot(r.at(0, 0, 1, 1), x)/16, "rails")
	same(0.015011, dot(r.at(0, 0, 1, 0), x)/16, "rails, free side")
	oneSide := [4]int{2, 0, 0, 0}
	r = newSeries(0.3, 1, 14, oneSide, [2]int{2, 0})
	x = r.uniform()
	same(0.12907, dot(r.at(0, 0, 2, 1), x)/16, "one side")
	same(0.12723, dot(r.at(0, 0, 2, 0), x)/16, "one side, corner")

	for _, c := range []struct {
		held   [4]int
		parity [2]int
		at     []int
		want   []float64
	}{
		{allFast, even, []int{0}, []float64{35.985}},
		{allFast, [2]int{1, 0}, []int{0}, []float64{73.394}},
		{allFast, [2]int{1, 1}, []int{0}, []float64{108.22}},
		{oneSide, [2]int{2, 0}, []int{0, 1, 2}, []float64{3.4710, 21.285, 27.199}},
		{oneSide, [2]int{2, 1}, []int{0}, []float64{8.5067}},
		{allFree, [2]int{1, 1}, []int{0}, []float64{13.468}},
		{allFree, even, []int{1, 2}, []float64{19.596, 24.270}},
		{allFree, [2]int{1, 0}, []int{1}, []float64{34.801}},
	} {
		n := 6
		if c.held == oneSide {
			n = 10
		}
		got := newSeries(0.3, 1, n, c.held, c.parity).lowest()
		for i, k := range c.at {
			same(c.want[i], got[k], "frequency, held %v, parity %v", c.held, c.parity)
		}
	}
}

// Navier's series rounds to what Roark's Formulas for Stress and Strain, table 11.4 case 1a, print (excerpt scribd 248898958;
// b/a = 1.5 from memory of Timoshenko's table 8).
func TestSeriesGivesPrintedFigures(t *testing.T) {
	d := plate.Isotropic(elastic, 0.3, thickness)
	for _, c := range []struct {
		ratio     float64
		w, mx, my string
	}{
		{1, "0.00406", "0.0479", "0.0479"},
		{1.2, "0.00565", "0.0627", "0.0501"},
		{1.5, "0.00772", "0.0812", "0.0498"},
		{2, "0.01013", "0.1017", "0.0464"},
	} {
		s := navierMiddle(d, 1, c.ratio)
		assert.Equal(t, c.w, fmt.Sprintf("%.5f", s.w*d[0][0]))
		assert.Equal(t, c.mx, fmt.Sprintf("%.4f", s.mx))
		assert.Equal(t, c.my, fmt.Sprintf("%.4f", s.my))
	}
}

// A row that is off fails.
func TestRowsCanFail(t *testing.T) {
	assert.True(t, Row{Reference: 2, Got: 2.019, Bound: 0.01}.Within())
	assert.False(t, Row{Reference: 2, Got: 2.021, Bound: 0.01}.Within())
	assert.False(t, Row{Reference: -2, Got: 2, Bound: 0.01}.Within())
	assert.False(t, Row{Got: 1e-8, Bound: 1e-9}.Within())
	assert.True(t, Row{Got: 1e-10, Bound: 1e-9}.Within())
}

func TestLog2(t *testing.T) {
	for v, want := range map[float64]float64{1: 0, 2: 1, 4: 2, 0.25: -2, 3: 1.584962500721156, 0: 0, -1: 0} {
		assert.InDelta(t, want, log2(v), 1e-8, "%g", v)
	}
}
