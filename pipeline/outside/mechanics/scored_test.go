package mechanics

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// The grid beside grooves: distances from their lines, levels above the middle plane as parts of half the web and of what
// lies between web and surface. TestGroovedStrip tells how near they come.
var (
	besideGroove = []float64{0.2, 0.6} // mm
	aboveRoot    = []float64{0, 0.3, 1}
)

// openGrid is how far the grid's lines stand apart in the open, mm.
const openGrid = 8.0

// scored is a panel with score lines from edge to edge as the outside program gets it. Its corners' rounding is left out.
func scored(t testing.TB, p panel.Panel) *job {
	t.Helper()
	box := p.Outline().Box()
	require.Empty(t, p.Slots())
	scores := p.Scores()
	half := p.Thickness().MM() / 2
	l := &lattice{groove: groove{half: scores[0].HalfWidth().MM(), web: scores[0].RemainingWeb.MM(), reach: besideGroove[len(besideGroove)-1]}}
	l.levels(half)
	var x, y []float64
	for _, s := range scores {
		require.Equal(t, scores[0].RemainingWeb, s.RemainingWeb)
		require.False(t, s.Jumps())
		switch {
		case s.From.X == s.To.X:
			x = append(x, s.From.X.MM())
			require.LessOrEqual(t, max(box.Min.Y-min(s.From.Y, s.To.Y), max(s.From.Y, s.To.Y)-box.Max.Y), geom.UM)
		case s.From.Y == s.To.Y:
			y = append(y, s.From.Y.MM())
		default:
			require.Fail(t, "a score line is not square to the panel", s.ID)
		}
	}
	l.x = lines(box.Min.X.MM(), box.Max.X.MM(), x)
	l.y = lines(box.Min.Y.MM(), box.Max.Y.MM(), y)
	s := sectionsOf(t, p)
	near := func(at float64, grooves []float64) bool {
		return slices.ContainsFunc(grooves, func(g float64) bool { return math.Abs(at-g) < l.groove.reach })
	}
	j := &job{laminates: s.all, frequencies: 1}
	j.solid = l.solid(func(px, py float64) int32 {
		if near(px, x) || near(py, y) {
			return bare // copper keeps off the grooves, and what is left between their roots has none
		}
		return s.at(px, py)
	})
	j.carry(t, p)
	return j
}

// levels lays the grid's levels.
func (l *lattice) levels(half float64) {
	root := l.groove.web / 2
	l.z = []float64{0}
	for _, f := range aboveRoot {
		l.z = append(l.z, root+f*(half-root))
	}
}

// lines lays a grid's lines between two edges: at grooves, dense beside them, evenly between.
func lines(from, to float64, grooves []float64) []line {
	all := []line{{at: from}, {at: to}}
	for _, g := range grooves {
		all = append(all, line{at: g, groove: true})
		for _, d := range besideGroove {
			all = append(all, line{at: g - d}, line{at: g + d})
		}
	}
	slices.SortFunc(all, func(a, b line) int {
		if a.at < b.at {
			return -1
		}
		return 1
	})
	out := []line{all[0]}
	for _, next := range all[1:] {
		last := out[len(out)-1].at
		n := math.Ceil((next.at - last) / openGrid)
		for k := 1.0; k < n; k++ {
			out = append(out, line{at: last + (next.at-last)*k/n})
		}
		out = append(out, next)
	}
	return out
}
