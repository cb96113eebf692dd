package kernel

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// heard keeps what agree complains of.
type heard []string

func (h *heard) Errorf(format string, args ...any) { *h = append(*h, fmt.Sprintf(format, args...)) }
func (h *heard) FailNow()                          {} // agree is to go on
func (h *heard) Helper()                           {}
func (h *heard) Logf(string, ...any)               {}

// What would be wrong with a result must be told: the same checks as elsewhere, with faults planted.
func TestPlantedFaultsAreTold(t *testing.T) {
	a, b := geom.Region{star(0, 0, 9, 4e6, 9e6)}, geom.Region{{Outer: disc(0, 0, 2e6, 40)}, {Outer: disc(3e6, 0, 6e5, 20)}}
	right := answerOf(t, &job{op: difference, a: a, b: b})
	require.Len(t, right, 1)
	require.Len(t, right[0].CutOuts, 2)
	moved := func(r geom.Region, x geom.Length) geom.Region {
		by := geom.Transform{Shift: geom.Pt(x, 0)}
		var out geom.Region
		for _, o := range r {
			out = append(out, by.Outline(o))
		}
		return out
	}
	speck := moved(geom.Region{{Outer: polygon([]geom.Point{{}, {X: 50_000}, {X: 50_000, Y: 50_000}, {Y: 50_000}})}}, 20e6)
	cases := []struct {
		name   string
		result geom.Region
		told   string // the part of the complaint that matters; empty: none
	}{
		{"right", right, ""},
		{"moved by 1 nm, within the bound", moved(right, 1), ""},
		{"moved by 100 nm", moved(right, 100), "symmetric difference"},
		{"a cut-out left out", geom.Region{{Outer: right[0].Outer, CutOuts: right[0].CutOuts[1:]}}, "cut-outs"},
		{"a piece too many", slices.Concat(right, speck), "pieces"},
		{"nothing", geom.Region{}, "area"},
	}
	var jobs []job
	for _, c := range cases {
		j := job{name: c.name, op: difference, a: a, b: b, ours: c.result}
		j.bound = j.length()
		jobs = append(jobs, j)
	}
	g, p := geos(t, jobs), polyclipping(t, jobs)
	for i, c := range cases {
		var fromGEOS, fromOther heard
		ours := measure(c.result, jobs[i].bound)
		agree(&fromGEOS, "GEOS", &jobs[i], ours, g[i])
		agree(&fromOther, "libpolyclipping", &jobs[i], ours, p[i])
		if c.told == "" {
			require.Empty(t, fromGEOS, c.name)
			require.Empty(t, fromOther, c.name)
			continue
		}
		require.Contains(t, fmt.Sprint(fromGEOS), ": "+c.told, c.name)
		if c.told != "symmetric difference" { // which only GEOS is asked for
			require.Contains(t, fmt.Sprint(fromOther), ": "+c.told, c.name)
		}
	}
}
