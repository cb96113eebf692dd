package holding

import (
	"context"
	"fmt"
	"testing"
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
