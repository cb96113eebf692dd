package dxf

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/geom"
)

func written(t *testing.T, sheets ...drawing.Sheet) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, sheets, "plan"))
	return b.Bytes()
}

// planOf is a sheet whose plan, at a scale, has the contours as its outline.
func planOf(scale drawing.Scale, contours ...geom.Path) drawing.Sheet {
	return drawing.Sheet{Name: "1", Box: samples.A4, Views: []drawing.View{{Name: "plan", Scale: scale, Origin: samples.Pt(31.7, 22.9),
		Shapes: []drawing.Shape{{Layer: drawing.Outline, Pen: drawing.Wide, Paths: contours}}}}}
}

// reread gives the outline layer of a written file.
func reread(t *testing.T, file []byte) []Curve {
	t.Helper()
	d, rep, err := Read("panel.dxf", file, Options{SetAside: true}) // as boards are read: frames may reach beyond 1 m
	require.NoError(t, err)
	require.Empty(t, d.Layer("outline").Refused)
	require.Equal(t, MM, rep.Unit)
	require.True(t, rep.UnitSaid)
	require.Equal(t, "AC1015", rep.Version)
	require.Empty(t, rep.Notes)
	return d.Layer("outline").Curves
}

// arcThrough gives an arc between two points that turns by so much, its middle rounded as the model has it.
func arcThrough(a, b geom.Point, sweep float64) geom.Edge {
	sin, cos := geom.SinCos(sweep / 2)
	d := b.Sub(a)
	h := cos / (2 * sin) // of the chord, to the left
	c := geom.Pt(a.X+d.X/2-geom.Round(float64(d.Y)*h), a.Y+d.Y/2+geom.Round(float64(d.X)*h))
	s := geom.CounterClockwise
	if sweep < 0 {
		s = geom.Clockwise
	}
	return geom.Arc(a, b, c, s)
}

// TestContoursComeBack: our own reader gives written contours back: corners exactly, arcs to 2.2 nm, that is to the
// roundings of their middles here and there and of the places looked at, 0.71 nm each. An arc that is nearly a whole circle may come back in two.
func TestContoursComeBack(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	worst, arcs, halved, flat := 0.0, 0, 0, 0
	for n := range 400 {
		var p geom.Path
		corners := 3 + r.IntN(9)
		pts := make([]geom.Point, corners)
		size := []float64{2e4, 1e6, 4e7, 4e8}[n%4]
		for i := range pts {
			a := 2 * math.Pi * (float64(i) + 0.7*r.Float64()) / float64(corners)
			sin, cos := geom.SinCos(a)
			q := size * (0.4 + 0.6*r.Float64())
			pts[i] = geom.Pt(geom.Round(q*cos), geom.Round(q*sin))
		}
		for i, a := range pts {
			b := pts[(i+1)%corners]
			sweep := 0.0
			switch r.IntN(7) {
			case 0:
				sweep = math.Pi / 2
			case 1:
				sweep = -math.Pi / 2
			case 2:
				sweep = math.Pi
			case 3:
				sweep = (r.Float64() - 0.5) * 4 * math.Pi
			case 4:
				sweep = math.Pow(10, -1-3*r.Float64()) // nearly straight
			case 5:
				sweep = -2*math.Pi + math.Pow(10, -3*r.Float64())
			}
			e := geom.Line(a, b)
			if sweep != 0 {
				e = arcThrough(a, b, sweep)
				if bx := e.Box(); e.Center == a || !bx.Min.Within() || !bx.Max.Within() || !e.Center.Within() {
					e = geom.Line(a, b) // what no panel has
				}
			}
			p = append(p, e)
		}
		scale := []drawing.Scale{{Paper: 1, Real: 1}, {Paper: 1, Real: 2}, {Paper: 2, Real: 5}, {Paper: 5, Real: 1}}[r.IntN(4)]
		got := reread(t, written(t, planOf(scale, p)))
		require.Len(t, got, 1)
		require.Equal(t, LWPolyline, got[0].Kind)
		require.False(t, got[0].Flattened, "%v", p)
		back := got[0].Path
		require.True(t, back.Closed())
		for _, e := range p {
			if e.Sense == geom.Straight {
				require.Equal(t, e, back[0])
				back = back[1:]
				continue
			}
			arcs++
			require.Equal(t, e.From, back[0].From)
			parts := back[:1]
			if back[0].To != e.To {
				parts = back[:2]
				halved++
			}
			back = back[len(parts):]
			require.Equal(t, e.To, parts[len(parts)-1].To)
			if parts[0].Sense == geom.Straight {
				flat++
			} else {
				require.Equal(t, e.Sense, parts[0].Sense)
			}
			to := geom.Prepare(geom.Path(parts))
			length := 0.0
			for _, x := range parts {
				length += x.Length()
			}
			require.InDelta(t, e.Length(), length, 20)
			for i := 1; i < 16; i++ {
				d, _, _ := to.Distance(e.At(float64(i) / 16))
				worst = max(worst, d)
				require.LessOrEqual(t, d, 2.2, "%v in %v", e, parts)
			}
		}
		require.Empty(t, back)
	}
	t.Logf("%d arcs, %d in two, %d so flat that they are lines: at most %.2f nm off", arcs, halved, flat, worst)
	require.Greater(t, arcs, 1000)
	require.Greater(t, halved, 10)
}

// TestCirclesComeBack: whole circles stay what they are.
func TestCirclesComeBack(t *testing.T) {
	for i, r := range []geom.Length{1, 250_000, 123_457, 90 * geom.MM} {
		at := geom.Pt(geom.Length(i)*1_000_003, -7)
		c := samples.Circle(at, r)
		got := reread(t, written(t, planOf(drawing.Scale{Paper: 1, Real: 3}, c)))
		require.Len(t, got, 1)
		require.Equal(t, Circle, got[0].Kind)
		require.Equal(t, c, got[0].Path)
	}
	// Begun anywhere: the radius is no whole number.
	p := geom.Pt(333_333, 777_777)
	got := reread(t, written(t, planOf(drawing.Scale{Paper: 1, Real: 1}, geom.Path{geom.Arc(p, p, geom.Point{}, geom.Clockwise)})))
	require.InDelta(t, p.Norm(), got[0].Path[0].Radius(), 0.5)
}

// TestOutlineLayerIsThePanel: nothing but the plan's contours lies on the outline layer; what else draws an outline
// is a detail.
func TestOutlineLayerIsThePanel(t *testing.T) {
	second := samples.Everything()
	second.Name = "2"
	contour := geom.RoundedRectangle(samples.Box(0, 0, 200.123457, 150), 3*geom.MM)
	got := reread(t, written(t, samples.Measured(), second))
	require.Len(t, got, 1)
	require.Equal(t, contour, got[0].Path)

	// Without a plan the paper is in real size from its lower left corner.
	d, _, err := Read("panel.dxf", written(t, drawing.Sheet{Name: "1", Box: samples.Box(-5, -5, 205, 292), Shapes: []drawing.Shape{
		{Layer: drawing.Frame, Pen: drawing.Wide, Paths: []geom.Path{geom.Rectangle(samples.Box(5, 5, 195, 282))}}}}), Options{})
	require.NoError(t, err)
	require.Equal(t, geom.Rectangle(samples.Box(10, 10, 200, 287)), d.Layer("frame").Curves[0].Path)
}

// TestSheetsStandApart: further sheets stand to the right of the first, in its scale.
func TestSheetsStandApart(t *testing.T) {
	size := samples.Box(0, 0, 100, 80)
	sheet := func(name string) drawing.Sheet {
		s := planOf(drawing.Scale{Paper: 1, Real: 2}, samples.Circle(samples.Pt(10, 10), geom.MM))
		s.Name, s.Box = name, size
		s.Shapes = []drawing.Shape{{Layer: drawing.Frame, Pen: drawing.Wide, Paths: []geom.Path{geom.Rectangle(size)}}}
		return s
	}
	d, _, err := Read("panel.dxf", written(t, sheet("1"), sheet("2"), sheet("3")), Options{})
	require.NoError(t, err)
	var at []geom.Box
	for _, c := range d.Layer("frame").Curves {
		at = append(at, c.Path.Box())
	}
	first := samples.Box(-2*31.7, -2*22.9, 2*(100-31.7), 2*(80-22.9))
	step := samples.Pt(2*1.1*100, 0)
	require.Equal(t, []geom.Box{first, first.Move(step), first.Move(step).Move(step)}, at)
}

// TestClipped: nothing is drawn outside a view's clip, and lines end on it.
func TestClipped(t *testing.T) {
	d, _, err := Read("panel.dxf", written(t, samples.Everything()), Options{})
	require.NoError(t, err)
	b := geom.EmptyBox()
	for _, c := range d.Layer("outline").Curves {
		b = b.Union(c.Path.Box())
	}
	require.True(t, samples.Box(0, 0, 100, 60).Grow(2).Holds(b), "%v", b)
	require.InDelta(t, 100e6-math.Sqrt(7)*10e6, float64(b.Max.X), 20, "where the circle leaves the clip")

	// The detail at 5:1, ten times as large as the plan at 1:2: a square's corner within a circle of 4 mm.
	middle := samples.Pt(2*(150-20), 2*(130-120))
	within := geom.EmptyBox()
	for _, c := range d.Layer("details").Curves {
		if c.Path.Box().Max.Y > samples.Pt(0, -40).Y && c.Path.Box().Min.X > samples.Pt(0, 0).X && c.Path[0].Sense == geom.Straight && len(c.Path) == 1 {
			within = within.Union(c.Path.Box())
		}
	}
	require.InDelta(t, float64(middle.X+10*geom.MM), float64(within.Max.X), 2)
	require.InDelta(t, float64(middle.Y)+math.Sqrt(15)*10e6, float64(within.Max.Y), 20, "where the square's side leaves the circle")
	require.InDelta(t, float64(middle.Y)-math.Sqrt(15)*10e6, float64(within.Min.Y), 20)
}

func TestSameFile(t *testing.T) {
	second := samples.Everything()
	second.Name = "2"
	a := written(t, samples.Measured(), second)
	require.Equal(t, a, written(t, samples.Measured(), second))
	require.NotContains(t, string(a), "\r")
	require.NotContains(t, string(a), "e-") // no exponents
	require.Contains(t, string(a), "\n1\n\xd80.5 \xb10.1\xb0\n")
}

// TestWords: letters of the code page are bytes, others and the format's own signs are spelled.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		in, want string
		long     bool
	}{
		{"Ø0.5 ±0.1°", "\xd80.5 \xb10.1\xb0", false}, {"3× 57 – 35 µm", "3\xd7 57 \x96 35 \xb5m", true},
		{"水位", `\U+6C34\U+4F4D`, false}, {"🌊", `\U+FFFD`, false}, {"50%", "50%", false}, {"50%%d", `50%\U+0025d`, false}, {`a\P^J`, `a\U+005CP\U+005EJ`, false},
		{"{<>}", "{<>}", false}, {"{<>}", `\U+007B\U+003C\U+003E\U+007D`, true}, {"a\nb\x00", "a b ", false},
	} {
		assert.Equal(t, c.want, words(c.in, c.long), c.in)
	}
	assert.Equal(t, "a_b_", name("a/b°"))
}

// TestManySymbols: thousands of holes and symbols stay small and quick, and stand where they belong.
func TestManySymbols(t *testing.T) {
	s := planOf(drawing.Scale{Paper: 1, Real: 1})
	v := &s.Views[0]
	holes := drawing.Shape{Layer: drawing.Perforations, Pen: drawing.Fine}
	for i := range 6000 {
		holes.Paths = append(holes.Paths, samples.Circle(geom.Pt(geom.Length(i%100)*5_013_000, geom.Length(i/100)*6_417_000), 250*geom.UM))
	}
	v.Shapes = append(v.Shapes, holes)
	var want []geom.Point
	for i := range 50_000 {
		at := geom.Pt(geom.Length(i%250)*2_301_001, geom.Length(i/250)*2_047_003)
		want = append(want, at)
		v.Shapes = append(v.Shapes, drawing.Shape{Layer: drawing.Holes, Pen: drawing.Fine, Paths: []geom.Path{samples.Circle(at, 400*geom.UM),
			{geom.Line(at.Add(samples.Pt(-0.5, 0)), at.Add(samples.Pt(0.5, 0)))}, {geom.Line(at.Add(samples.Pt(0, -0.5)), at.Add(samples.Pt(0, 0.5)))}}})
	}
	begun := time.Now()
	file := written(t, s)
	t.Logf("%d bytes in %v", len(file), time.Since(begun))
	assert.Less(t, len(file), 9_000_000)
	assert.Less(t, time.Since(begun), 10*time.Second) // measured: 0.6 s
	d, _, err := Read("panel.dxf", file, Options{})
	require.NoError(t, err)
	require.Len(t, d.Layer("perforations").Curves, 6000)
	var got []geom.Point
	for _, c := range d.Layer("holes").Curves {
		if c.Kind == Circle {
			got = append(got, c.Path[0].Center)
		}
	}
	require.Equal(t, want, got)
}

func TestRefusedSheets(t *testing.T) {
	require.EqualError(t, Write(io.Discard, nil, "plan"), "a DXF file needs at least one sheet")
	require.NoError(t, Write(io.Discard, []drawing.Sheet{{}}, "plan"), "a sheet with nothing on it")
	require.Error(t, Write(full{}, []drawing.Sheet{samples.Everything()}, "plan"))
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// TestHandles: each handle stands for one thing only, and the seed lies beyond them all.
func TestHandles(t *testing.T) {
	lines := strings.Split(string(written(t, samples.Measured(), samples.Everything())), "\n")
	seen := map[string]bool{}
	seed := ""
	for i := 0; i+1 < len(lines); i += 2 {
		switch code, v := lines[i], lines[i+1]; {
		case code == "5" && i >= 2 && lines[i-1] == "$HANDSEED":
			seed = v
		case code == "5" || code == "105":
			require.False(t, seen[v], v)
			seen[v] = true
		}
	}
	for h := range seen {
		require.True(t, len(h) < len(seed) || len(h) == len(seed) && h < seed, fmt.Sprint(h, seed))
	}
}
