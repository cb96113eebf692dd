package kernel

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"panelwright/pipeline/geom"
)

// Source of the expected values here and below: GEOS and libpolyclipping, on the same polygons.
func TestBoardsOutOfPanel(t *testing.T) {
	var jobs []job
	for _, c := range []struct {
		name      string
		gap, turn float64
		jitter    int64
	}{
		{"spaced", 2e6, 0, 0},
		{"abutting", 0, 0, 0},
		{"abutting, turned by 0.3, jittered by 1 nm", 0, 0.3, 1},
		{"20 nm apart, turned by 0.7, jittered by 1 nm", 20, 0.7, 1},
	} {
		panel, list := boards(c.gap, c.turn, c.jitter)
		for op, name := range []string{"union", "intersection", "difference", "symmetric difference"} {
			j := job{name: c.name + ", " + name, op: operation(op), a: panel, b: list}
			if op == 0 {
				j.a, j.b = list, nil
			}
			jobs = append(jobs, j)
		}
		jobs = append(jobs, job{name: c.name + ", one after another", op: sequence, a: panel, b: list})
	}
	// One after another, and where jittered boards touch, the order matters in which corners are rounded
	// to the grid: only areas and counts are held against each other there.
	hold(t, jobs, false)
}

func TestScatteredShapes(t *testing.T) {
	hold(t, []job{{name: "10,000 circles, obrounds and rectangles", op: union, a: scattered(10000)}}, false)
}

func TestStarsCombsSpirals(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	var jobs []job
	shape := func() geom.Outline {
		x, y := 10e6*rnd.Float64(), 10e6*rnd.Float64()
		switch rnd.IntN(3) {
		case 0:
			return star(x, y, 3+rnd.IntN(40), 1e6+2e6*rnd.Float64(), 5e6+5e6*rnd.Float64())
		case 1:
			return comb(x, y, 2+rnd.IntN(20), 1e5+3e5*rnd.Float64(), 8e6*rnd.Float64(), 6.3*rnd.Float64())
		}
		return spiral(x, y, 1+6*rnd.Float64(), 2e5+4e5*rnd.Float64(), 40+rnd.IntN(400))
	}
	for i := range 200 {
		a, b := geom.Region{shape()}, geom.Region{shape()}
		op := operation(i % 4)
		if op == union {
			a = append(a, b...)
			b = nil
		}
		jobs = append(jobs, job{name: fmt.Sprintf("pair %d", i), op: op, a: a, b: b})
	}
	hold(t, jobs, true)
}
