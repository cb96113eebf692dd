package holding

import (
	"context"
	"fmt"
	"testing"

	"panelwright/pipeline/geom"
)

// BenchmarkChoose chooses for arrays of 10, 100 and 1,000 boards of 120 × 80 mm with 394 candidates each.
func BenchmarkChoose(b *testing.B) {
	for _, n := range [][2]int{{5, 2}, {10, 10}, {40, 25}} {
		boards, cands := array(n[0], n[1], 12, 8, 0.1, 0.5)
		lim := Limits{FreeSpan: 7 * mm, Overhang: 4500_000, Between: 300_000}
		for i := range cands {
			cands[i].Half, cands[i].OtherHalf, cands[i].Width = 250_000, 250_000, 300_000
		}
		b.Run(fmt.Sprint(n[0]*n[1]), func(b *testing.B) {
			for b.Loop() {
				c, err := Choose(context.Background(), boards, cands, lim, Options{})
				if err != nil || len(c.Lacks) > 0 {
					b.Fatal(err, c.Lacks)
				}
				b.ReportMetric(float64(len(c.Chosen)), "tabs")
				b.ReportMetric(float64(c.LowerBound), "bound")
			}
		})
	}
}

// BenchmarkOneBoard chooses on one board: of the fact's size; with wide limits, so that any two places
// may follow each other; with places on one edge alone, so that nothing holds; a comb; and a disc.
func BenchmarkOneBoard(b *testing.B) {
	small := Limits{FreeSpan: 7 * mm, Overhang: 4500_000, Between: 300_000}
	wide := Limits{FreeSpan: 100 * mm, Overhang: 50 * mm, Between: 300_000}
	boards, cands := array(1, 1, 12, 8, 0.1, 0.5)
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
		{"one edge", boards, below(cands, 12*mm), small},
		{"one edge, wide", boards, below(cands, 12*mm), wide},
		{"comb", comb, around(comb, 400), Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}},
		{"disc", round, around(round, 400), Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}},
	} {
		b.Run(x.name, func(b *testing.B) {
			for b.Loop() {
				c, err := Choose(context.Background(), x.boards, x.cands, x.lim, Options{})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(c.Chosen)), "tabs")
				b.ReportMetric(float64(len(c.Lacks)), "lacks")
			}
		})
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
