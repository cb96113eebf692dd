package holding

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"panelwright/pipeline/geom"
)

// BenchmarkChoose chooses for arrays of 10, 100 and 1,000 boards of 120 × 80 mm with 364 candidates each.
func BenchmarkChoose(b *testing.B) {
	for _, n := range [][2]int{{5, 2}, {10, 10}, {40, 25}} {
		boards, cands := array(n[0], n[1], 120, 80, 1, 5)
		for _, x := range limits {
			b.Run(fmt.Sprint(n[0]*n[1], " ", x.name), func(b *testing.B) { bench(b, boards, cands, x.Limits) })
		}
	}
}

// limits are those of the fact, as tight as the boards' edges, and some that leave a choice.
var limits = []struct {
	name string
	Limits
}{
	{"tight", Limits{70 * mm, 45 * mm, 3 * mm}},
	{"loose", Limits{110 * mm, 70 * mm, 3 * mm}},
}

func bench(b *testing.B, boards []Board, cands []Candidate, lim Limits) {
	for b.Loop() {
		c, err := Choose(context.Background(), boards, cands, lim, Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(c.Chosen)), "tabs")
		b.ReportMetric(float64(c.LowerBound), "bound")
		b.ReportMetric(float64(len(c.Lacks)), "lacks")
	}
}

// BenchmarkOneBoard chooses on one board: of the fact's size; with wide limits, so that any two places
// may follow each other; with places on one edge alone, so that nothing holds; a comb; and a disc.
func BenchmarkOneBoard(b *testing.B) {
	small := limits[0].Limits
	wide := Limits{FreeSpan: 1000 * mm, Overhang: 500 * mm, Between: 3 * mm}
	boards, cands := array(1, 1, 120, 80, 1, 5)
	comb := []Board{board("comb", combPath(75, 8, 20))}
	round := []Board{board("disc", disc(pt(0, 0), 50*mm))}
	for _, x := range []struct {
		name   string
		boards []Board
		cands  []Candidate
		lim    Limits
	}{
		{"tight", boards, cands, small},
		{"wide", boards, cands, wide},
		{"one edge", boards, below(cands, 120*mm), small},
		{"one edge, wide", boards, below(cands, 120*mm), wide},
		{"comb", comb, around(comb, 400), Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}},
		{"disc", round, around(round, 400), Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}},
	} {
		b.Run(x.name, func(b *testing.B) { bench(b, x.boards, x.cands, x.lim) })
	}
}

func combPath(teeth int, pitch, deep float64) geom.Path {
	ps := []geom.Point{pt(0, -10), pt(float64(teeth)*pitch, -10)}
	for i := teeth - 1; i >= 0; i-- {
		x := float64(i) * pitch
		ps = append(ps, pt(x+pitch, deep), pt(x+pitch/2, deep), pt(x+pitch/2, 0), pt(x, 0))
	}
	return polygon(ps...)
}

// BenchmarkRagged chooses for arrays in which no two boards have the same candidates: three in ten are
// missing.
func BenchmarkRagged(b *testing.B) {
	for _, n := range [][2]int{{5, 2}, {10, 10}} {
		boards, all := array(n[0], n[1], 120, 80, 1, 5)
		r := rand.New(rand.NewPCG(1, 2))
		var cands []Candidate
		for _, c := range all {
			if r.IntN(10) >= 3 {
				cands = append(cands, c)
			}
		}
		for _, x := range limits {
			b.Run(fmt.Sprint(n[0]*n[1], " ", x.name), func(b *testing.B) { bench(b, boards, cands, x.Limits) })
		}
	}
}

// below gives the candidates that lie before a position.
func below(cands []Candidate, at geom.Length) (cs []Candidate) {
	for _, c := range cands {
		if c.At < at {
			cs = append(cs, c)
		}
	}
	return cs
}

func around(boards []Board, n int) (cs []Candidate) {
	l := boards[0].Outline.Length()
	for i := range n {
		cs = append(cs, private(boards, 0, geom.Length(l*(float64(i)+0.3)/float64(n))))
	}
	return cs
}
