package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/internal/shared"
)

// plain is a bare laminate.
var plain = orthotropic{
	ex: 24000, ey: 21000, ez: 8000, xy: 0.136, xz: 0.3, yz: 0.3,
	gxy: 3800, gxz: 3500, gyz: 3500, density: 1.85e-9,
}

// bending gives a plate's stiffness D11, D12, D22, D66 in N·mm.
func (l orthotropic) bending(thickness float64) (d11, d12, d22, d66 float64) {
	cube := thickness * thickness * thickness / 12
	yx := l.xy * l.ey / l.ex
	return cube * l.ex / (1 - l.xy*yx), cube * l.ey * l.xy / (1 - l.xy*yx), cube * l.ey / (1 - l.xy*yx), cube * l.gxy
}

// furthest is the largest way down of all nodes, and where.
func (j *job) furthest(a *answer) (down float64, at [3]float64) {
	for i := range j.nodes {
		if d := a.down[int32(i)]; d > down {
			down, at = d, j.nodes[i]
		}
	}
	return down, at
}

// nearly compares with what is known, to a part.
func nearly(t *testing.T, what string, known, found, part float64) {
	t.Helper()
	t.Logf("%-44s known %.6g, found %.6g, %+.2f %%", what, known, found, 100*(found/known-1))
	assert.InEpsilon(t, known, found, part, what)
}

// TestCantilever: what is passed on through a strip's cut is, by statics, the weight beyond it and that times its arm.
func TestCantilever(t *testing.T) {
	version := program(t)
	const long, wide, thick, at = 60.0, 8.0, 1.6, 20.0
	j := &job{solid: raise(rectangle(long, wide, 30, 4), thick), laminates: []orthotropic{plain}}
	j.hold(func(p [3]float64) bool { return p[0] == 0 }, 1, 2, 3)
	on := map[int32]bool{}
	for i, p := range j.nodes {
		if p[0] == at {
			on[int32(i)] = true
		}
	}
	j.cuts = []cut{j.beside([][2]float64{{at, wide}, {at, 0}}, on)}
	a := j.run(t)
	s := j.through(a, j.cuts[0], [2]float64{at, wide / 2})
	weight := (long - at) * wide * thick * plain.density * gravity
	nearly(t, "force through a cut, N", weight, s.force[2], 1e-5)
	nearly(t, "moment through a cut, N·mm", -weight*(long-at)/2, s.moment[1], 1e-5)
	shared.Ran(t, "mechanics: a cantilever's section forces by statics, "+version)
}

// TestStripOnRails: a narrow strip between two rails sags by 5 q L⁴ / 384 E I and swings with π/2 √(E I / m L⁴).
func TestStripOnRails(t *testing.T) {
	version := program(t)
	const long, wide, thick = 100.0, 10.0, 1.6
	j := &job{solid: raise(rectangle(long, wide, 25, 3), thick), laminates: []orthotropic{plain}, frequencies: 1}
	j.hold(func(p [3]float64) bool { return (p[0] == 0 || p[0] == long) && p[2] == 0 }, 3)
	a := j.run(t)
	e, m := plain.ex*thick*thick*thick/12, thick*plain.density
	sag, _ := j.furthest(a)
	nearly(t, "sag, mm", 5*m*gravity*long*long*long*long/384/e, sag, 0.01)
	nearly(t, "lowest frequency, Hz", math.Pi/2/long/long*math.Sqrt(e/m), a.hertz[0], 0.01)
	shared.Ran(t, "mechanics: a strip on two rails by beam theory, "+version)
}

// TestPlateHeldAllRound: a simply supported orthotropic plate by Navier's series; its frequencies in closed form.
// S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., 1959, section 87. The plate there is thin: it
// does not shear, and its edges are held against twisting; the solid shears, and lies on a line: that makes up to 1 %.
func TestPlateHeldAllRound(t *testing.T) {
	version := program(t)
	const a, b, thick = 120.0, 90.0, 1.6
	d11, d12, d22, d66 := plain.bending(thick)
	stiff := func(m, n float64) float64 {
		x, y := m/a, n/b
		return d11*x*x*x*x + 2*(d12+2*d66)*x*x*y*y + d22*y*y*y*y
	}
	known := 0.0
	for m := 1.0; m < 40; m += 2 {
		for n := 1.0; n < 40; n += 2 {
			known += 16 * thick * plain.density * gravity / math.Pow(math.Pi, 6) / m / n / stiff(m, n) * math.Sin(m*math.Pi/2) * math.Sin(n*math.Pi/2)
		}
	}
	grid := &lattice{z: []float64{0, thick / 2}}
	for i := range 25 {
		grid.x = append(grid.x, line{at: a * float64(i) / 24})
	}
	for i := range 19 {
		grid.y = append(grid.y, line{at: b * float64(i) / 18})
	}
	for _, x := range []struct {
		of    string
		solid *solid
	}{
		{"wedges: ", raise(rectangle(a, b, 16, 12), thick)},
		{"bricks: ", grid.solid(func(_, _ float64) int32 { return 0 })},
	} {
		j := &job{solid: x.solid, laminates: []orthotropic{plain}, frequencies: 2}
		j.hold(func(p [3]float64) bool { return (p[0] == 0 || p[0] == a || p[1] == 0 || p[1] == b) && p[2] == 0 }, 3)
		got := j.run(t)
		sag, _ := j.furthest(got)
		nearly(t, x.of+"sag, mm", known, sag, 0.015)
		nearly(t, x.of+"lowest frequency, Hz", math.Pi/2*math.Sqrt(stiff(1, 1)/thick/plain.density), got.hertz[0], 0.01)
		nearly(t, x.of+"next frequency, Hz", math.Pi/2*math.Sqrt(stiff(2, 1)/thick/plain.density), got.hertz[1], 0.01)
		shared.Ran(t, "mechanics: an orthotropic plate of "+x.of[:6]+" by Navier's series, "+version)
	}
}

// TestGroovedStrip: how much further a strip turns for a V-groove, by the grid that panels are cut by, comes near what a
// far finer one gives.
func TestGroovedStrip(t *testing.T) {
	version := program(t)
	const long, wide, thick, web, half = 20.0, 4.0, 1.6, 0.3, 0.1742
	tip := func(g fineness, cut bool) float64 {
		l := g.lattice(half, web, thick/2)
		l.x = g.lines(0, long, []float64{long / 2})
		for i := range l.x {
			l.x[i].groove = l.x[i].groove && cut
		}
		l.y = []line{{at: 0}, {at: wide}}
		j := &job{solid: l.solid(func(_, _ float64) int32 { return 0 }), laminates: []orthotropic{plain}, weightless: true}
		j.hold(func(p [3]float64) bool { return p[0] == 0 }, 1, 2, 3)
		for i, p := range j.nodes {
			if p[0] > long-1e-6 && p[2] == 0 {
				j.forces = append(j.forces, force{int32(i), 1})
			}
		}
		a := j.run(t)
		down := 0.0
		for _, f := range j.forces {
			down += a.down[f.node] / float64(len(j.forces))
		}
		return down
	}
	extra := func(g fineness) float64 { return tip(g, true) - tip(g, false) }
	fine := fineness{
		beside: []float64{0.01, 0.03, 0.1, 0.2, 0.4, 0.8, 1.6},
		below:  []float64{0, 0.5, 0.8, 0.93},
		above:  []float64{0, 0.015, 0.05, 0.1, 0.23, 0.4, 0.7, 1},
	}
	nearly(t, "what the groove adds, mm", extra(fine), extra(grooveGrid), 0.03)
	shared.Ran(t, "mechanics: a grooved strip by two grids, "+version)
}
