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
// comes as near as TestPanels tells, and by one with at least as many unknowns as the outside program solves for. Where the
// machine does other work too, processor times tell more.
func BenchmarkPanels(b *testing.B) {
	program(b)
	for _, c := range panels {
		b.Run(c.name, func(b *testing.B) {
			p := c.panel(b)
			j, _ := solidOf(b, p)
			for range b.N {
				theirs := j.run(b)
				b.ReportMetric(float64(j.unknowns()), "their-unknowns")
				b.ReportMetric(theirs.wall.Seconds(), "theirs-s")
				b.ReportMetric(theirs.spent.Seconds(), "theirs-processor-s")
				ours, wall, spent := reckoned(b, p, 1)
				tell := func(how string) {
					b.ReportMetric(float64(ours.Unknowns), "our-unknowns"+how)
					b.ReportMetric(wall.Seconds(), "ours"+how+"-s")
					b.ReportMetric(spent.Seconds(), "ours"+how+"-processor-s")
					b.ReportMetric(theirs.wall.Seconds()/wall.Seconds(), "times"+how)
					b.ReportMetric(theirs.spent.Seconds()/spent.Seconds(), "times"+how+"-processor")
				}
				tell("")
				for finer := math.Sqrt(float64(j.unknowns()) / float64(ours.Unknowns)); ours.Unknowns < j.unknowns(); finer *= 1.1 {
					ours, wall, spent = reckoned(b, p, finer)
				}
				tell("-alike")
				b.ReportMetric(0, "ns/op")
			}
		})
	}
}

// reckoned reckons a panel on a mesh that is finer by a factor.
func reckoned(b *testing.B, p panel.Panel, finer float64) (a *mechanics.Answers, wall, spent time.Duration) {
	s := *p.Support()
	s.Open, s.Fine = geom.Round(float64(s.Open)/finer), geom.Round(float64(s.Fine)/finer)
	q, err := p.Edit().SetSupport(s).Build()
	require.NoError(b, err)
	wall, spent = clocked(b, func() { a, err = mechanics.Of(b.Context(), q, 1) })
	require.NoError(b, err)
	require.Empty(b, a.Problems)
	return a, wall, spent
}
