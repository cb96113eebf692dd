package mechanics

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// fineness is the grid beside grooves: distances from their lines in mm; levels below the roots as parts of half the web, and
// above as parts of what lies between root and surface.
type fineness struct{ beside, below, above []float64 }

// grooveGrid is that of panels. TestGroovedStrip tells how near it comes.
var grooveGrid = fineness{beside: []float64{0.2, 0.6}, below: []float64{0}, above: []float64{0, 0.3, 1}}

// openGrid is how far the grid's lines stand apart in the open, mm.
const openGrid = 8.0

// scored is a panel with score lines from edge to edge as the outside program gets it. Its corners' rounding is left out.
func scored(t testing.TB, p panel.Panel) *job {
	t.Helper()
	box := p.Outline().Box()
	require.Empty(t, p.Slots())
	scores := p.Scores()
	half := p.Thickness().MM() / 2
	l := grooveGrid.lattice(scores[0].HalfWidth().MM(), scores[0].RemainingWeb.MM(), half)
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
	l.x = grooveGrid.lines(box.Min.X.MM(), box.Max.X.MM(), x)
	l.y = grooveGrid.lines(box.Min.Y.MM(), box.Max.Y.MM(), y)
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

// lattice lays the grid's levels up to half the thickness, for grooves of half a breadth and a web.
func (g fineness) lattice(halfBreadth, web, half float64) *lattice {
	l := &lattice{groove: groove{half: halfBreadth, web: web, reach: g.beside[len(g.beside)-1]}}
	root := web / 2
	for _, f := range g.below {
		l.z = append(l.z, root*f)
	}
	for _, f := range g.above {
		l.z = append(l.z, root+f*(half-root))
	}
	return l
}

// lines lays a grid's lines between two edges: at grooves, dense beside them, evenly between.
func (g fineness) lines(from, to float64, grooves []float64) []line {
	all := []line{{at: from}, {at: to}}
	for _, v := range grooves {
		all = append(all, line{at: v, groove: true})
		for _, d := range g.beside {
			all = append(all, line{at: v - d}, line{at: v + d})
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
