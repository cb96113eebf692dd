package mechanics

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// BenchmarkPanels times the outside program's whole run (reading its input, the weight's load case, one frequency) against ours
// (from the panel: cold, hot, three frequencies, every tab left out, breaking) in one go, both on one core: by the default mesh, which
// comes within the tests' 5 %, and by one with at least as many unknowns as the outside program solves for.
func BenchmarkPanels(b *testing.B) {
	program(b)
	for _, c := range panels {
		b.Run(c.name, func(b *testing.B) {
			p := c.panel(b)
			j, _ := solidOf(b, p)
			for range b.N {
				theirs := j.run(b)
				ours, usual := timed(b, p, 1)
				b.ReportMetric(theirs.wall.Seconds(), "theirs-s")
				b.ReportMetric(float64(j.unknowns()), "their-unknowns")
				b.ReportMetric(usual.Seconds(), "ours-s")
				b.ReportMetric(theirs.wall.Seconds()/usual.Seconds(), "times")
				var same time.Duration
				for finer := math.Sqrt(float64(j.unknowns()) / float64(ours.Unknowns)); ours.Unknowns < j.unknowns(); finer *= 1.1 {
					ours, same = timed(b, p, finer)
				}
				b.ReportMetric(same.Seconds(), "ours-alike-s")
				b.ReportMetric(float64(ours.Unknowns), "our-unknowns-alike")
				b.ReportMetric(theirs.wall.Seconds()/same.Seconds(), "times-alike")
				b.ReportMetric(0, "ns/op")
			}
		})
	}
}

// timed reckons a panel on a mesh that is finer by a factor.
func timed(b *testing.B, p panel.Panel, finer float64) (*mechanics.Answers, time.Duration) {
	s := *p.Support()
	s.Open, s.Fine = geom.Round(float64(s.Open)/finer), geom.Round(float64(s.Fine)/finer)
	q, err := p.Edit().SetSupport(s).Build()
	require.NoError(b, err)
	begun := time.Now()
	a, err := mechanics.Of(b.Context(), q, 1)
	took := time.Since(begun)
	require.NoError(b, err)
	require.Empty(b, a.Problems)
	return a, took
}
