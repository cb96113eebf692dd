package gerber

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// grids are the number formats that files have; step is in nanometres.
var grids = []struct {
	head string
	step float64
}{
	{"%FSLAX46Y46*%%MOMM*%", 1}, {"%FSLAX34Y34*%%MOMM*%", 100}, {"%FSLAX33Y33*%%MOMM*%", 1000},
	{"%FSLAX25Y25*%%MOIN*%", 254}, {"%FSLAX24Y24*%%MOIN*%", 2540}, {"%FSLAX23Y23*%%MOIN*%", 25400},
}

// Single-quadrant arcs leave out the signs of their offsets. Arcs of every sense that begin or end on an
// axis or beside it, from next to nothing to a quarter, rounded to the grids that files have, run
// where they were meant to.
func TestSingleQuadrantArcsAtEveryAxis(t *testing.T) {
	tried := 0
	for _, g := range grids {
		grid := func(nm float64) int64 { return int64(math.Round(nm / g.step)) }
		for _, steps := range []float64{10, 25, 100, 999, 4000} {
			r := max(steps*g.step, 25e3) // and not below 25 µm
			for axis := range 4 {
				for _, beside := range []float64{0, .02, 1, 30, 45, 60, 89, 89.98} {
					for _, sweep := range []float64{.02, 1, 30, 45, 60, 89, 89.98, 90} {
						// An arc of the mode stays within one quadrant.
						if beside+sweep > 90 {
							continue
						}
						for _, back := range []bool{false, true} {
							a, b := 90*float64(axis)+beside, 90*float64(axis)+beside+sweep
							code, sense := 3, geom.CounterClockwise
							if back {
								a, b, code, sense = b, a, 2, geom.Clockwise
							}
							place := func(deg float64) (x, y int64) {
								sin, cos := geom.FromDegrees(deg).SinCos()
								return grid(r * cos), grid(r * sin)
							}
							x0, y0 := place(a)
							x1, y1 := place(b)
							abs := func(v int64) int64 { return max(v, -v) }
							text := fmt.Sprintf("%s%%ADD10C,.1*%%D10*G74*X%dY%dD02*G%02dX%dY%dI%dJ%dD01*M02*", g.head, x0, y0, code, x1, y1, abs(x0), abs(y0))
							m, _, err := Read("q.gbr", []byte(text), Options{})
							require.NoError(t, err, text)
							tried++
							e := m.Objects[0].Edge
							if x0 == x1 && y0 == y1 {
								require.Equal(t, geom.Straight, e.Sense, text)
								continue
							}
							if e.Sense != geom.Straight {
								require.Equal(t, sense, e.Sense, text)
							}
							// An arc of a step or two may fit another centre as well, or be as good as straight: what counts is where it runs.
							for _, part := range []float64{.25, .5, .75} {
								sin, cos := geom.FromDegrees(a + part*(b-a)).SinCos()
								meant := geom.Pt(geom.Round(r*cos), geom.Round(r*sin))
								require.LessOrEqual(t, e.At(part).Distance(meant), 2*g.step+2, "%s at %v", text, part)
							}
						}
					}
				}
			}
		}
	}
	require.Greater(t, tried, 5000)
}

// Arcs anywhere, of which ends and offsets are each rounded to the file's grid, run where they were meant
// to in either mode. Refused are only arcs of a step or two whose numbers have lost where they go.
func TestArcsRoundedToAnyGrid(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	refused := 0
	for range 20_000 {
		g := grids[random.IntN(len(grids))]
		r := min(max(10*g.step*math.Pow(4000, random.Float64()), 25e3+25e3*random.Float64()), 2e8)
		cx, cy := 1e7*random.Float64(), 1e7*random.Float64()
		a := 90 * float64(random.IntN(4))
		beside := 0.0
		if random.IntN(3) > 0 {
			beside = 90 * random.Float64()
		}
		sweep := 90 - beside
		switch random.IntN(4) {
		case 0:
			sweep *= random.Float64()
		case 1:
			sweep = min(sweep, 3*random.Float64())
		}
		a += beside
		b, code := a+sweep, 3
		if random.IntN(2) == 0 {
			a, b, code = b, a, 2
		}
		place := func(deg float64) (x, y float64) {
			sin, cos := geom.FromDegrees(deg).SinCos()
			return cx + float64(r*cos), cy + float64(r*sin)
		}
		grid := func(nm float64) int64 { return int64(math.Round(nm / g.step)) }
		ax, ay := place(a)
		bx, by := place(b)
		mx, my := place((a + b) / 2)
		if grid(ax) == grid(bx) && grid(ay) == grid(by) {
			continue
		}
		i, j := grid(cx-ax), grid(cy-ay)
		single := fmt.Sprintf("G74*X%dY%dD02*G%02dX%dY%dI%dJ%dD01*M02*", grid(ax), grid(ay), code, grid(bx), grid(by), max(i, -i), max(j, -j))
		multi := fmt.Sprintf("G75*X%dY%dD02*G%02dX%dY%dI%dJ%dD01*M02*", grid(ax), grid(ay), code, grid(bx), grid(by), i, j)
		for _, text := range []string{single, multi} {
			m, _, err := Read("q.gbr", []byte(g.head+"%ADD10C,.1*%D10*"+text), Options{})
			if err != nil {
				require.LessOrEqual(t, math.Hypot(ax-bx, ay-by), 2*g.step, "%s\n%v", text, err)
				refused++
				continue
			}
			require.LessOrEqual(t, m.Objects[0].Edge.At(.5).Distance(geom.Pt(geom.Round(mx), geom.Round(my))), 2*g.step+2, "%s, sweep %v", text, sweep)
		}
	}
	require.LessOrEqual(t, refused, 4)
}

// The radii at the two ends of an arc may differ by what rounding explains, and no more.
func TestRadiiThatDisagree(t *testing.T) {
	const mm46, mm33, in24 = "%FSLAX46Y46*%%MOMM*%", "%FSLAX33Y33*%%MOMM*%", "%FSLAX24Y24*%%MOIN*%"
	for _, c := range []struct {
		name, head, arc string
		options         Options
		moved           bool
		refused         string
	}{
		{"not at all", mm46, "X10000000Y0D02*G03X0Y10000000I-10000000J0D01*", Options{}, false, ""},
		{"5 µm is left alone", mm46, "X10000000Y0D02*G03X0Y10005000I-10000000J0D01*", Options{}, false, ""},
		{"5.002 µm: 5 µm and two steps of the file", mm46, "X10000000Y0D02*G03X0Y10005002I-10000000J0D01*", Options{}, true, ""},
		{"a nanometre more", mm46, "X10000000Y0D02*G03X0Y10005003I-10000000J0D01*", Options{}, false, "10 mm from the centre to its start, 10.005003 mm to its end"},
		{"less at the end", mm46, "X10000000Y0D02*G03X0Y9994997I-10000000J0D01*", Options{}, false, "10 mm from the centre to its start, 9.994997 mm to its end"},
		{"7 µm in a file of three digits", mm33, "X10000Y0D02*G03X0Y10007I-10000J0D01*", Options{}, true, ""},
		{"8 µm in a file of three digits", mm33, "X10000Y0D02*G03X0Y10008I-10000J0D01*", Options{}, false, "10 mm from the centre to its start, 10.008 mm to its end"},
		{"four steps in inches", in24, "X10000Y0D02*G03X0Y10004I-10000J0D01*", Options{}, false, "25.4 mm from the centre to its start, 25.41016 mm to its end"},
		{"three steps in inches", in24, "X10000Y0D02*G03X0Y10003I-10000J0D01*", Options{}, true, ""},
		{"as much as asked for", mm46, "X10000000Y0D02*G03X0Y10100000I-10000000J0D01*", Options{ArcTolerance: 100 * geom.UM}, true, ""},
		{"more than asked for", mm46, "X10000000Y0D02*G03X0Y10100001I-10000000J0D01*", Options{ArcTolerance: 100 * geom.UM}, false, "10 mm from the centre to its start, 10.100001 mm to its end"},
		{"nearly a full circle, whose ends are too close for its radii", mm33, "X10000Y0D02*G02X10006Y1I-10000J0D01*", Options{}, false, "10 mm from the centre to its start, 10.006 mm to its end, which are too close to tell where it goes"},
		{"the same ends the short way: no longer than the file can tell apart", mm33, "X10000Y0D02*G03X10006Y1I-10000J0D01*", Options{}, false, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, region := range []bool{false, true} {
				text := c.head + "%ADD10C,.1*%D10*G75*" + c.arc + "M02*"
				if region {
					text = c.head + "G75*G36*" + c.arc + "G37*M02*"
				}
				m, rep, err := Read("arc.gbr", []byte(text), c.options)
				if c.refused != "" {
					require.ErrorContains(t, err, "arc whose radii disagree: "+c.refused)
					continue
				}
				require.NoError(t, err)
				told := false
				for _, w := range rep.Warnings {
					told = told || w.What == remarks[warnRecentred]
				}
				require.Equal(t, c.moved, told)
				if c.moved && !region {
					e := m.Objects[0].Edge
					require.InDelta(t, e.Radius(), e.To.Distance(e.Center), 2)
				}
			}
		})
	}
}
