package gerber

import (
	"context"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel/artwork"
)

// The files spec_*_test.go state what the published layer format says, in examples of our own: each
// fact names the section it comes from (revisions 2021 to 2024; section numbers and wording are from
// memory), gives a file, and the image that the file must make: its area, worked out by hand, its box,
// and places that must be dark or clear. The image is judged by the exact geometry.

// fact is one thing that the format states. Lengths are millimetres.
type fact struct {
	of    string     // section, then the fact
	data  string     // after %FSLAX33Y33*% and %MOMM*%, unless it states its own format
	area  float64    // mm²
	box   [4]float64 // left, low, right, high; all 0 for an image without anything
	dark  string     // places, "x,y x,y"
	clear string
}

const metric = "%FSLAX33Y33*%\n%MOMM*%\n"

func (f fact) file() string {
	if strings.Contains(f.data, "%FS") {
		return f.data
	}
	return metric + f.data
}

// holds judges the image of a fact's file.
func (f fact) holds(t *testing.T) {
	t.Helper()
	m, _, err := Read("fact.gbr", []byte(f.file()), Options{})
	require.NoError(t, err)
	f.holdsOf(t, m)
	// 3.3: line ends, or none, change nothing.
	bare := strings.NewReplacer("\r", "", "\n", "").Replace(f.file())
	for _, end := range []string{"", "\n", "\r\n", "\r"} {
		same, _, err := Read("fact.gbr", []byte(strings.ReplaceAll(bare, "*", "*"+end)), Options{})
		require.NoError(t, err, "%q", end)
		require.Equal(t, m, same, "%q", end)
	}
}

func (f fact) holdsOf(t *testing.T, m *artwork.Image) {
	t.Helper()
	require.False(t, m.Negative)
	got := dark(t, m)
	if f.box == [4]float64{} {
		require.Empty(t, got, "nothing is dark")
		return
	}
	// A micrometre along the border is what chords may stray; crossings are rounded to a nanometre.
	assert.InDelta(t, f.area, got.Area()/1e12, 1e-5+1e-6*f.area, "area")
	b := got.Box()
	for i, v := range []geom.Length{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y} {
		assert.InDelta(t, f.box[i], v.MM(), 0.0011, "box %d", i)
	}
	where := geom.NewLocator(got)
	for _, q := range places(t, f.dark) {
		assert.Equal(t, geom.Inside, where.Locate(q), "%v must be dark", q)
	}
	for _, q := range places(t, f.clear) {
		assert.Equal(t, geom.Outside, where.Locate(q), "%v must be clear", q)
	}
}

func places(t *testing.T, s string) (out []geom.Point) {
	t.Helper()
	for _, w := range strings.Fields(s) {
		x, y, ok := strings.Cut(w, ",")
		a, errA := strconv.ParseFloat(x, 64)
		b, errB := strconv.ParseFloat(y, 64)
		require.True(t, ok && errA == nil && errB == nil, "place %q", w)
		out = append(out, geom.Pt(geom.FromMM(a), geom.FromMM(b)))
	}
	return out
}

// dark gives what is dark once everything has been drawn.
func dark(t *testing.T, m *artwork.Image) geom.Region {
	t.Helper()
	ctx := context.Background()
	var out geom.Region
	for _, o := range m.Objects {
		r, err := m.Area(ctx, o)
		require.NoError(t, err)
		if o.Clear {
			out, err = overlay.Difference(ctx, overlay.Options{Workers: 1}, overlay.Of(out...), overlay.Of(r...))
		} else {
			out, err = overlay.Union(ctx, overlay.Options{Workers: 1}, overlay.Of(out...), overlay.Of(r...))
		}
		require.NoError(t, err)
	}
	return out
}

func holdAll(t *testing.T, facts []fact) {
	t.Helper()
	for _, f := range facts {
		t.Run(f.of, func(t *testing.T) { f.holds(t) })
	}
}

// Areas of plain shapes, mm².

func disc(d float64) float64 { return math.Pi * d * d / 4 }

// bar is a straight stroke of a round pen, its round ends included.
func bar(d, long float64) float64 { return d*long + disc(d) }

// ngon is a regular polygon by its outer diameter.
func ngon(n int, d float64) float64 {
	return float64(n) / 8 * d * d * math.Sin(2*math.Pi/float64(n))
}

// lens is what two discs of diameter d have in common whose centres are s apart.
func lens(d, s float64) float64 {
	r := d / 2
	return 2*r*r*math.Acos(s/d) - s/2*math.Sqrt(d*d-s*s)
}

// strip is what a disc of diameter d has within half a width on each side of a line through its middle.
func strip(d, width float64) float64 {
	r, h := d/2, width/2
	return 2 * (h*math.Sqrt(r*r-h*h) + r*r*math.Asin(h/r))
}

// The judge itself finds a wrong area, box and place.
func TestJudgeOfFacts(t *testing.T) {
	m := body(t, "D11*X0Y0D03*")
	got := dark(t, m)
	require.InDelta(t, 2, got.Area()/1e12, 1e-9)
	require.Equal(t, geom.Box{Min: geom.Pt(-mm, -mm/2), Max: geom.Pt(mm, mm/2)}, got.Box())
	require.Equal(t, geom.Inside, geom.NewLocator(got).Locate(geom.Pt(0, 0)))
	require.Equal(t, geom.Outside, geom.NewLocator(got).Locate(geom.Pt(0, mm)))
	require.InDelta(t, math.Pi/2-1, lens(2, math.Sqrt2), 1e-12)
	require.InDelta(t, disc(2), strip(2, 2), 1e-12)
	require.InDelta(t, 2, ngon(4, 2), 1e-12)
}

// specFacts gives every fact of these files.
func specFacts() (out []fact) {
	for _, list := range [][]fact{specNumbers(), specApertures(), specMacros(), specStrokes(), specRegions(), specOrientation(), specBlocks(), specDeprecated()} {
		out = append(out, list...)
	}
	return out
}
