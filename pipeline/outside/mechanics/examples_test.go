package mechanics

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/internal/shared"
)

// board is a plain laminate.
var board = laminate{
	ex: 24000, ey: 21000, ez: elasticAcross, xy: 0.136, xz: poissonAcross, yz: poissonAcross,
	gxy: 3800, gxz: shearAcross, gyz: shearAcross, density: 1.85e-9,
}

// bending gives a plate's stiffness D11, D12, D22, D66 in N·mm.
func (l laminate) bending(thickness float64) (d11, d12, d22, d66 float64) {
	cube := thickness * thickness * thickness / 12
	yx := l.xy * l.ey / l.ex
	return cube * l.ex / (1 - l.xy*yx), cube * l.ey * l.xy / (1 - l.xy*yx), cube * l.ey / (1 - l.xy*yx), cube * l.gxy
}

// hold holds every node of the solid at the plan's nodes that are chosen, in the directions given.
func (j *job) hold(chosen func(x, y float64) bool, directions ...int32) {
	for i := range j.x {
		if !chosen(j.x[i], j.y[i]) {
			continue
		}
		for _, n := range j.level[i] {
			for _, d := range directions {
				if n >= 0 {
					j.held = append(j.held, fixed{n, d})
				}
			}
		}
	}
}

// steady keeps a plate whose deflection is held from sliding and turning in its plane: at one corner of a triangle at half
// the thickness in x and y, at another in one of both.
func (j *job) steady(a, b int32) {
	j.held = append(j.held, fixed{j.middle(a), 1}, fixed{j.middle(a), 2})
	if math.Abs(j.x[a]-j.x[b]) > math.Abs(j.y[a]-j.y[b]) {
		j.held = append(j.held, fixed{j.middle(b), 2})
	} else {
		j.held = append(j.held, fixed{j.middle(b), 1})
	}
}

// furthest is the largest way down of all nodes.
func (a *answer) furthest() (down float64, at int32) {
	for i, m := range a.moved {
		if -m[2] > down {
			down, at = -m[2], int32(i)
		}
	}
	return down, at
}

// nearly compares with what is known, to a part.
func nearly(t *testing.T, what string, known, found, part float64) {
	t.Helper()
	t.Logf("%-42s known %.6g, found %.6g, %+.2f %%", what, known, found, 100*(found/known-1))
	assert.InEpsilon(t, known, found, part, what)
}

// TestCantilever: what is passed on through a strip's cut is, by statics, the weight beyond it and that times its arm.
func TestCantilever(t *testing.T) {
	version := program(t)
	const long, wide, thick, at = 60.0, 8.0, 1.6, 20.0
	j := &job{solid: raise(rectangle(long, wide, 30, 4, thick), 1), laminates: []laminate{board}}
	j.hold(func(x, _ float64) bool { return x == 0 }, 1, 2, 3)
	j.stresses, j.cut = j.beyond(at)
	a := j.run(t)
	s := j.through(a, [3]float64{at, wide / 2, 0})
	weight := (long - at) * wide * thick * board.density * gravity
	nearly(t, "force through a cut, N", weight, s.force[2], 1e-5)
	nearly(t, "moment through a cut, N·mm", -weight*(long-at)/2, s.moment[1], 1e-5)
	shared.Ran(t, "mechanics: a cantilever's section forces by statics, "+version)
}

// beyond gives the wedges beyond the line x that have nodes on it, and these nodes.
func (j *job) beyond(x float64) (side []int32, cut map[int32]bool) {
	cut = map[int32]bool{}
	for i, n := range j.nodes {
		if math.Abs(n[0]-x) < 1e-9 {
			cut[int32(i)] = true
		}
	}
	for e, w := range j.wedges {
		on, past := false, true
		for _, n := range w {
			on, past = on || cut[n], past && (cut[n] || j.nodes[n][0] > x)
		}
		if on && past {
			side = append(side, int32(e))
		}
	}
	return side, cut
}

// TestStripOnRails: a narrow strip between two rails sags by 5 q L⁴ / 384 E I and swings with π/2 √(E I / m L⁴).
func TestStripOnRails(t *testing.T) {
	version := program(t)
	const long, wide, thick = 100.0, 10.0, 1.6
	j := &job{solid: raise(rectangle(long, wide, 25, 3, thick), 1), laminates: []laminate{board}, frequencies: 1}
	j.hold(func(x, _ float64) bool { return x == 0 || x == long }, 3)
	j.steady(0, 25)
	a := j.run(t)
	e, m := board.ex*thick*thick*thick/12, thick*board.density
	sag, _ := a.furthest()
	nearly(t, "sag, mm", 5*m*gravity*long*long*long*long/384/e, sag, 0.01)
	nearly(t, "lowest frequency, Hz", math.Pi/2/long/long*math.Sqrt(e/m), a.hertz[0], 0.01)
	shared.Ran(t, "mechanics: a strip on two rails by beam theory, "+version)
}

// TestPlateHeldAllRound: a simply supported orthotropic plate by Navier's series; its frequencies in closed form.
// S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., 1959, section 87. The plate there is thin: it
// does not shear, which the solid does, by some thousandths.
func TestPlateHeldAllRound(t *testing.T) {
	version := program(t)
	const a, b, thick = 120.0, 90.0, 1.6
	for _, columns := range []int{8, 16} {
		j := &job{solid: raise(rectangle(a, b, columns, columns*3/4, thick), 1), laminates: []laminate{board}, frequencies: 2}
		j.hold(func(x, y float64) bool { return x == 0 || x == a || y == 0 || y == b }, 3)
		j.steady(0, int32(columns))
		got := j.run(t)
		d11, d12, d22, d66 := board.bending(thick)
		stiff := func(m, n float64) float64 {
			x, y := m/a, n/b
			return d11*x*x*x*x + 2*(d12+2*d66)*x*x*y*y + d22*y*y*y*y
		}
		q, sag := thick*board.density*gravity, 0.0
		for m := 1.0; m < 40; m += 2 {
			for n := 1.0; n < 40; n += 2 {
				sag += 16 * q / math.Pow(math.Pi, 6) / m / n / stiff(m, n) * math.Sin(m*math.Pi/2) * math.Sin(n*math.Pi/2)
			}
		}
		down, _ := got.furthest()
		name := fmt.Sprintf("%d columns: ", columns)
		if columns == 8 { // how fast it closes in is told, not held
			t.Logf("%ssag %+.2f %%", name, 100*(down/sag-1))
			continue
		}
		nearly(t, name+"sag, mm", sag, down, 0.01)
		nearly(t, name+"lowest frequency, Hz", math.Pi/2*math.Sqrt(stiff(1, 1)/thick/board.density), got.hertz[0], 0.01)
		nearly(t, name+"next frequency, Hz", math.Pi/2*math.Sqrt(stiff(2, 1)/thick/board.density), got.hertz[1], 0.01)
	}
	shared.Ran(t, "mechanics: an orthotropic plate by Navier's series, "+version)
}
