package mechanics

import (
	"flag"
	"fmt"
	"math"
	"testing"

	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/mechanics/laminate"
)

var allCells = flag.Bool("cells", false, "hold every figure of laminate's table of crowding against the outside program, not three of them")

// woven is the usual laminate as the mechanics take it.
func woven() orthotropic {
	l := laminate.Default()
	return orthotropic{
		ex: 1000 * l.ElasticWarp.Value, ey: 1000 * l.ElasticFill.Value, ez: 1000 * l.Through.Value,
		xy: l.Poisson.Value, xz: l.PoissonThrough.Value, yz: l.PoissonThrough.Value,
		gxy: 1000 * l.Shear.Value, gxz: 1000 * l.ShearThrough.Value, gyz: 1000 * l.ShearThrough.Value, density: 1e-3 * l.Density.Value * 1e-9,
	}
}

// halfCell is half of a cell: from the middle of a hole up to the middle of the web above it or to a shoulder's edge.
// Turned over it goes from the middle of a web up to that of a hole.
type halfCell struct {
	height float64
	over   bool
}

// bent is half of a strip with a row of holes across it, from the holes' middle at x = 0, by symmetry, to its tip. Half cells
// lie one upon another from y = 0. A line along bears it at x = rest, and a force bends the tip down, so that the moment is the
// same all over the row.
type bent struct {
	cells               []halfCell
	diameter, thickness float64
	shoulder            bool // the upper edge is free; otherwise it is a plane of symmetry, as y = 0 always is
	// fine is by what factor the bricks are finer.
	fine int
}

func (b bent) wide() (sum float64) {
	for _, c := range b.cells {
		sum += c.height
	}
	return sum
}

// near is up to where bricks lie around holes.
func (b bent) near() float64 {
	x := b.diameter
	for _, c := range b.cells {
		x = max(x, c.height)
	}
	return x
}

// rest and tip are so far away that what the holes disturb has died out: in a woven laminate it reaches about three times as
// far as in a sheet that is alike in all directions.
func (b bent) rest() float64 { return b.near() + 4*b.pitch() + 3*b.thickness }
func (b bent) tip() float64  { return b.rest() + 2*b.thickness + 2*b.pitch() }

func (b bent) pitch() float64 { return 2 * b.near() }

// blocks is a solid that is put together from blocks of bricks that share the nodes where they touch.
type blocks struct {
	*solid
	known map[[3]int64]int32
}

// add cuts a block into bricks: place says where what lies at u, v, w, each a whole or half step, goes.
func (s *blocks) add(steps [3]int, over bool, place func(u, v, w float64) [3]float64) {
	for i := range steps[0] {
		for j := range steps[1] {
			for k := range steps[2] {
				e := element{}
				for _, c := range brickOrder {
					if over { // the order of corners must not turn over with the block
						c[1] = 2 - c[1]
					}
					p := place(float64(2*i+c[0])/2, float64(2*j+c[1])/2, float64(2*k+c[2])/2)
					key := [3]int64{}
					for d := range 3 {
						key[d] = int64(math.Round(p[d] * 1e6))
					}
					n, ok := s.known[key]
					if !ok {
						n = int32(len(s.nodes))
						s.known[key] = n
						s.nodes = append(s.nodes, p)
					}
					e.nodes = append(e.nodes, n)
				}
				s.elements = append(s.elements, e)
			}
		}
	}
}

// between gives the place at a whole or half step along places.
func between(places []float64, step float64) float64 {
	k := min(int(step), len(places)-2)
	return places[k] + (step-float64(k))*(places[k+1]-places[k])
}

// spread gives places from a to b in steps that grow by a factor.
func spread(a, b, grow float64, steps int) []float64 {
	at, sum := []float64{0}, 0.0
	step := 1.0
	for range steps {
		sum += step
		at = append(at, sum)
		step *= grow
	}
	for i := range at {
		at[i] = a + (b-a)*at[i]/sum
	}
	return at
}

// job is the strip as the outside program gets it, with its holes or uncut.
func (b bent) job(cut bool) *job {
	s := &blocks{solid: &solid{}, known: map[[3]int64]int32{}}
	n := 2 * b.fine // bricks along half of a quarter of a hole's rim
	r, near := b.diameter/2, b.near()
	levels := spread(0, b.thickness/2, 0.7, 3*b.fine)
	along := append(spread(near, b.rest(), 1.5, 6*b.fine), b.rest()+(b.tip()-b.rest())/2, b.tip())
	bottom := 0.0
	for _, c := range b.cells {
		y := func(v float64) float64 {
			if c.over {
				return bottom + c.height - v
			}
			return bottom + v
		}
		even := func(v float64) float64 { return y(c.height * v / float64(n)) }
		s.add([3]int{len(along) - 1, n, len(levels) - 1}, c.over, func(u, v, w float64) [3]float64 {
			return [3]float64{between(along, u), even(v), between(levels, w)}
		})
		if cut {
			out := spread(0, 1, 1.5, 2*b.fine+1)
			s.add([3]int{len(out) - 1, 2 * n, len(levels) - 1}, c.over, func(u, v, w float64) [3]float64 {
				sin, cos := math.Sincos(v / float64(2*n) * math.Pi / 2)
				ex, ey := near, c.height*v/float64(n)
				if v > float64(n) {
					ex, ey = near*(2-v/float64(n)), c.height
				}
				f := between(out, u)
				return [3]float64{r*cos + f*(ex-r*cos), y(r*sin + f*(ey-r*sin)), between(levels, w)}
			})
		} else {
			s.add([3]int{n, n, len(levels) - 1}, c.over, func(u, v, w float64) [3]float64 {
				return [3]float64{near * u / float64(n), even(v), between(levels, w)}
			})
		}
		bottom += c.height
	}
	j := &job{solid: s.solid, laminates: []orthotropic{woven()}, weightless: true}
	const close = 1e-7
	j.hold(func(p [3]float64) bool { return math.Abs(p[0]) < close }, 1)
	j.hold(func(p [3]float64) bool {
		return math.Abs(p[1]) < close || !b.shoulder && math.Abs(p[1]-bottom) < close
	}, 2)
	j.hold(func(p [3]float64) bool { return math.Abs(p[0]-b.rest()) < close && p[2] == 0 }, 3)
	for i, p := range j.nodes {
		if math.Abs(p[0]-b.tip()) < close && p[2] == 0 {
			j.forces = append(j.forces, force{int32(i), 1e-3})
		}
	}
	return j
}

// further is how much further the strip turns for its holes, on both sides of them together: told as a length in mm of the strip
// uncut that turns as much. Between planes of symmetry a strip can neither narrow nor curve across, which makes it stiffer, cut
// or not, by 1/(1 − ν₁₂ν₂₁).
func (b bent) further(t *testing.T) (length, seconds float64) {
	t.Helper()
	var down [2]float64
	moment, arm := 0.0, b.tip()-b.rest()
	for i, cut := range []bool{false, true} {
		j := b.job(cut)
		a := j.run(t)
		seconds += a.spent.Seconds()
		for _, f := range j.forces {
			down[i] += a.down[f.node] / float64(len(j.forces))
		}
		moment = float64(len(j.forces)) * j.forces[0].value * arm
	}
	m := woven()
	stiff := m.ex * b.wide() * b.thickness * b.thickness * b.thickness / 12
	if !b.shoulder {
		stiff /= 1 - m.xy*m.xy*m.ey/m.ex
	}
	return 2 * (down[1] - down[0]) / arm / moment * stiff, seconds
}

// ofLigaments is what laminate says to that: the turn of the row, less that of the uncut strip between the lines that touch the holes.
func ofLigaments(webs []float64, diameter, thickness, wide float64, beside []int) float64 {
	r := laminate.Row{Diameter: diameter, Thickness: thickness, Webs: webs, Cos: 1, Holes: true, Beside: beside}
	stiff := 0.0
	for _, k := range r.Ligaments(laminate.Default(), false) {
		stiff += k[4][4] - k[3][4]*k[3][4]/k[3][3] // the end turns and is free to sink
	}
	return woven().ex*wide*thickness*thickness*thickness/12/stiff - diameter
}

// TestCells holds how much further cells turn, of holes beside one another and of shoulders, against the outside program: the
// figures that laminate's table of crowding is made of. All 28, on a finer grid, by: go test ./pipeline/outside/mechanics -run TestCells -v -cells
func TestCells(t *testing.T) {
	version := program(t)
	const d = 0.5
	spent := 0.0
	for _, shoulder := range []bool{false, true} {
		for _, thick := range []float64{0.8, 1.6} {
			for tenths := 2; tenths <= 8; tenths++ {
				always := thick == 1.6 && (tenths == 5 || tenths == 7 && !shoulder)
				if !always && !*allCells {
					continue
				}
				half := 10 * d / float64(tenths) / 2
				b := bent{cells: []halfCell{{height: half}}, diameter: d, thickness: thick, shoulder: shoulder, fine: 1}
				if *allCells {
					b.fine = 2
				}
				known, seconds := b.further(t)
				spent += seconds
				kind, web, beside := "between holes", 2*half-d, 2
				if shoulder {
					kind, web, beside = "at a shoulder", half-d/2, 1
				}
				found := ofLigaments([]float64{web}, d, thick, web+float64(beside)*d/2, []int{beside})
				what := fmt.Sprintf("%s, %.1f mm thick, d/P 0.%d", kind, thick, tenths)
				nearly(t, what+", mm", known, found, 0.015)
				if !t.Failed() && always {
					shared.Ran(t, "mechanics: a cell bent, "+what+", "+version)
				}
			}
		}
	}
	t.Logf("processor of %s %.2f s", version, spent)
}

// TestRowOfFive holds a whole strip with five holes against the sum of laminate's ligaments. Half of it is bent.
func TestRowOfFive(t *testing.T) {
	version := program(t)
	const d, web, thick = 0.5, 0.3, 1.6
	const half = (d + web) / 2
	b := bent{
		cells:    []halfCell{{height: half}, {height: half, over: true}, {height: half}, {height: half, over: true}, {height: d/2 + web}},
		diameter: d, thickness: thick, shoulder: true, fine: 1,
	}
	known, seconds := b.further(t)
	found := ofLigaments([]float64{web, web, web, web, web, web}, d, thick, 2*b.wide(), nil)
	nearly(t, "a row of five holes, mm", known, found, 0.02)
	t.Logf("processor of %s %.2f s", version, seconds)
	if !t.Failed() {
		shared.Ran(t, "mechanics: a strip with a row of five holes bent, "+version)
	}
}
