package writereport

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// linear gives the three channels of a colour as light, 0 to 1.
func linear(hex string) (c [3]float64) {
	for i := range c {
		v, _ := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		s := float64(v) / 255
		if s <= 0.04045 {
			c[i] = s / 12.92
		} else {
			c[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return c
}

// lightness is CIE 1976 L* of a light (IEC 61966-2-1 for the channels, CIE 15 for L*).
func lightness(c [3]float64) float64 {
	y := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// Eyes without one of the kinds of cones, in linear RGB: Machado, Oliveira and Fernandes, "A Physiologically-based Model
// for Simulation of Color Vision Deficiency", 2009, severity 1.0.
var eyes = map[string][3][3]float64{
	"all cones":         {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"no long waves":     {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"no middle waves":   {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"no short waves":    {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	"light alone, grey": {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
}

// The order of the bands is seen by every eye and in grey print: each is darker than the one before.
func TestRampIsOrdered(t *testing.T) {
	for eye, m := range eyes {
		for _, n := range []int{2, 5, 8, 9, 10} {
			last := math.Inf(1)
			for i := range n {
				c := linear(shadeOf(i, n))
				var seen [3]float64
				for k := range seen {
					seen[k] = max(0, min(1, m[k][0]*c[0]+m[k][1]*c[1]+m[k][2]*c[2]))
				}
				l := lightness(seen)
				assert.Greater(t, last-l, 5.0, "%s: band %d of %d", eye, i, n)
				last = l
			}
		}
	}
	assert.Equal(t, ramp[0], shadeOf(0, 9))
	assert.Equal(t, ramp[len(ramp)-1], shadeOf(8, 9))
	assert.Equal(t, ramp[4], shadeOf(0, 1))
}

func TestScale(t *testing.T) {
	for _, c := range []struct {
		least, most float64
		edges       string
	}{
		{15.2, 85, "10 20 30 40 50 60 70 80 90"},
		{0, 1, "0.0 0.2 0.4 0.6 0.8 1.0"},
		{0.0012, 0.0079, "0.001 0.002 0.003 0.004 0.005 0.006 0.007 0.008"},
		{-2, 2, "-2.0 -1.5 -1.0 -0.5 0.0 0.5 1.0 1.5 2.0"},
		{7, 7, "7"}, {0, 0, "0.0"},
		{1000, 3000, "1000 1250 1500 1750 2000 2250 2500 2750 3000"},
	} {
		s := scaleFor(c.least, c.most)
		var edges []string
		for i := range s.bands + 1 {
			edges = append(edges, s.text(i))
		}
		if c.least != c.most {
			assert.Equal(t, c.edges, strings.Join(edges, " "))
		}
		assert.LessOrEqual(t, s.edge(0), c.least)
		assert.GreaterOrEqual(t, s.edge(s.bands), c.most)
		assert.Equal(t, 0, s.band(c.least))
		assert.Equal(t, s.bands-1, s.band(c.most))
		assert.LessOrEqual(t, s.bands, 10)
	}
}

// A field's squares lie where the field says, its lines between them, and from below it is mirrored.
func TestFieldIsDrawn(t *testing.T) {
	b := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(40*geom.MM, 20*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().Build()
	require.NoError(t, err)
	f, _, _ := prepare(p)
	x := pipeline.Field{ID: "share", Title: "Share", Unit: "%", Origin: geom.Pt(0, 0), Step: 10 * geom.MM, Columns: 4, Rows: 2, Most: figureOf(35),
		Values: []float64{10, 10, 30, 30, math.NaN(), 10, 40, 40}}
	got := f.shade("field-1", x)
	svg := string(got.Svg)
	assert.Contains(t, svg, `fill="`+shadeOf(0, 6)+`" shape-rendering="crispEdges" d="M0 0h20v10h-20zM10 10h10v10h-10z"`)
	assert.Contains(t, svg, `<path fill="url(#field-1-beyond)" d="M20 10h20v10h-20z"/>`)
	assert.Contains(t, svg, `<path class="limit" d="M25 10`, "half-way between 30 and 40")
	assert.Contains(t, svg, `translate(0 20) scale(1 -1)`)
	assert.Contains(t, string(got.Scale), "at most 35 %")
	assert.Equal(t, "From 10 % to 40 %. Limit: at most 35 %, not kept where the picture is hatched, 28.6 % of what is shown.", strings.ReplaceAll(got.Range, ".0", ""))

	x.Side, x.Most = panel.Bottom, figureOf(50)
	got = f.shade("field-1", x)
	assert.Contains(t, string(got.Svg), `translate(40 20) scale(-1 -1)`)
	assert.NotContains(t, string(got.Svg), "beyond")
	assert.Contains(t, got.Range, "at most 50 %, kept everywhere.")

	// A fine grid is joined, and its mean stays.
	fine := pipeline.Field{ID: "fine", Title: "Fine", Step: 100 * geom.UM, Columns: 400, Rows: 200, Values: make([]float64, 400*200)}
	for i := range fine.Values {
		fine.Values[i] = float64(i % 2 * 2)
	}
	g, joined := gridOf(fine)
	assert.Equal(t, 3, joined)
	assert.LessOrEqual(t, g.columns*g.rows, mostSquares)
	assert.InDelta(t, 1, g.values[0], 0.34)
	assert.Less(t, len(f.shade("fine", fine).Svg), 1<<20)
}
