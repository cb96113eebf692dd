package returned_test

import (
	gocontext "context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

func context() gocontext.Context { return gocontext.Background() }

// style is how a fabricator's programs write: nothing of it is the project's writers.
type style struct {
	names    map[string]string // of files, by the build's names of layers; others are called by those, without attributes
	inch     bool              // numbers are inches with four decimals, else millimetres with three
	flat     bool              // all objects are regions of straight edges
	mirrored bool
	turn     int     // quarter turns
	x, y     float64 // mm
	scale    float64 // 0 is 1
	twice    float64 // a second panel so many millimetres to the right
	drills   [][]string
	points   bool   // drill files with decimal points
	header   string // of drill files, in the place of a true one
	say      *geom.Point
}

func (w style) place(p geom.Point) (x, y float64) {
	if w.mirrored {
		p.X = -p.X
	}
	p = geom.Transform{Turn: geom.Angle(w.turn) * geom.Quarter}.Apply(p)
	k := max(w.scale, 0)
	if k == 0 {
		k = 1
	}
	return p.X.MM()*k + w.x, p.Y.MM()*k + w.y
}

func (w style) number(v float64) string {
	if w.inch {
		return fmt.Sprint(int(math.Round(v / 25.4 * 1e4)))
	}
	return fmt.Sprint(int(math.Round(v * 1e3)))
}

func (w style) at(p geom.Point) string {
	x, y := w.place(p)
	return "X" + w.number(x) + "Y" + w.number(y)
}

func (w style) size(l geom.Length) string {
	if w.inch {
		return fmt.Sprintf("%.4f", l.MM()/25.4)
	}
	return fmt.Sprintf("%.3f", l.MM())
}

// chords gives an edge as straight pieces.
func chords(e geom.Edge) []geom.Point {
	if e.Sense == geom.Straight {
		return []geom.Point{e.To}
	}
	n := max(4, int(e.Length()/float64(100*geom.UM)))
	var out []geom.Point
	for i := 1; i < n; i++ {
		out = append(out, e.At(float64(i)/float64(n)))
	}
	return append(out, e.To)
}

// layer writes an image.
func (w style) layer(t *testing.T, m *artwork.Image) string {
	t.Helper()
	var b strings.Builder
	if w.inch {
		b.WriteString("%FSLAX24Y24*%\n%MOIN*%\n")
	} else {
		b.WriteString("%FSLAX33Y33*%\n%MOMM*%\n")
	}
	pens := map[string]int{}
	pen := func(s string) int {
		if pens[s] == 0 {
			pens[s] = 20 + len(pens)
			fmt.Fprintf(&b, "%%ADD%d%s*%%\n", pens[s], s)
		}
		return pens[s]
	}
	clear := false
	for _, o := range m.Objects {
		if o.Clear != clear {
			clear = o.Clear
			b.WriteString(map[bool]string{true: "%LPC*%\n", false: "%LPD*%\n"}[clear])
		}
		simple := o.Kind != artwork.Fill && !w.flat
		if simple {
			a := m.Apertures[o.Aperture].Turned(geom.Angle(w.turn) * geom.Quarter)
			shape := map[artwork.ShapeKind]string{artwork.Circle: "C,", artwork.Rectangle: "R,", artwork.Obround: "O,"}[a.Shape] + w.size(a.Width)
			if a.Shape != artwork.Circle {
				shape += "X" + w.size(a.Height)
			}
			fmt.Fprintf(&b, "D%d*\nG01*\n", pen(shape))
			if o.Kind == artwork.Flash {
				b.WriteString(w.at(o.Edge.From) + "D03*\n")
				continue
			}
			b.WriteString(w.at(o.Edge.From) + "D02*\n")
			for _, p := range chords(o.Edge) {
				b.WriteString(w.at(p) + "D01*\n")
			}
			continue
		}
		r, err := m.Area(t.Context(), o)
		require.NoError(t, err)
		contours, err := artwork.WithoutHoles(t.Context(), r)
		require.NoError(t, err)
		for _, c := range contours {
			b.WriteString("G36*\nG01*\n" + w.at(c[0].From) + "D02*\n")
			for _, e := range c {
				for _, p := range chords(e) {
					b.WriteString(w.at(p) + "D01*\n")
				}
			}
			b.WriteString("G37*\n")
		}
	}
	b.WriteString("M02*\n")
	return b.String()
}

// drill writes drill data, perhaps of several files of the build in one.
func (w style) drill(all ...*artwork.Drilling) string {
	w.x, w.y = w.x*1, w.y*1
	var b strings.Builder
	b.WriteString("M48\n")
	header := map[bool]string{true: "INCH,TZ\n", false: "METRIC,TZ\n"}[w.inch]
	if w.header != "" {
		header = w.header
	}
	b.WriteString(header)
	xy := func(p geom.Point) string {
		x, y := w.place(p)
		if w.points && !w.inch {
			return fmt.Sprintf("X%.3fY%.3f", x, y)
		}
		return "X" + w.number(x) + "Y" + w.number(y)
	}
	n := 0
	var body strings.Builder
	for _, d := range all {
		for i, tool := range d.Tools {
			n++
			fmt.Fprintf(&b, "T%02dC%s\n", n, w.size(tool.Diameter))
			fmt.Fprintf(&body, "T%02d\n", n)
			for _, h := range d.Holes {
				if int(h.Tool) == i {
					body.WriteString(xy(h.At) + "\n")
				}
			}
			for _, r := range d.Routs {
				if int(r.Tool) == i {
					body.WriteString(xy(r.Path[len(r.Path)-1].To) + "G85" + xy(r.Path[0].From) + "\n") // the other way round
				}
			}
		}
	}
	return b.String() + "%\n" + body.String() + "M30\n"
}

// write gives the files by their names.
func (s *set) write(t *testing.T, w style) map[string]string {
	t.Helper()
	out := map[string]string{}
	for key, m := range s.layers {
		name := w.names[key]
		if name == "" {
			name = key + ".gbr"
		}
		text := w.layer(t, m)
		if w.twice > 0 {
			second := w
			second.x += w.twice
			text = strings.Replace(text, "M02*\n", "", 1) + strings.SplitN(second.layer(t, m), "*%\n", 3)[2]
		}
		out[name] = text
	}
	groups := w.drills
	if groups == nil {
		groups = [][]string{{"plated.drl", "plated-1-4"}, {"npth.drl", "nonplated-1-4"}, {"breakoff-npth.drl", "breakoff"}}
	}
	for _, g := range groups {
		var all []*artwork.Drilling
		for _, key := range g[1:] {
			all = append(all, s.drills[key])
		}
		text := w.drill(all...)
		if w.twice > 0 {
			second := w
			second.x += w.twice
			body := strings.SplitN(second.drill(all...), "%\n", 2)[1]
			text = strings.Replace(text, "M30\n", "", 1) + body
		}
		out[g[0]] = text
	}
	return out
}

// trade are names by an old convention of the trade.
var trade = map[string]string{
	"copper-1-top": "ACME7781.GTL", "copper-2-inner": "ACME7781.G2", "copper-3-inner": "ACME7781.G3", "copper-4-bottom": "ACME7781.GBL",
	"mask-top": "ACME7781.GTS", "mask-bottom": "ACME7781.GBS", "paste-top": "ACME7781.GTP", "legend-top": "ACME7781.GTO", "profile": "ACME7781.GKO", "score": "ACME7781_v-cut.gbr",
}

// edit gives a copy of an image to change.
func edit(m *artwork.Image, change func(m *artwork.Image)) *artwork.Image {
	out := *m
	out.Objects, out.Apertures, out.Regions = slices.Clone(m.Objects), slices.Clone(m.Apertures), slices.Clone(m.Regions)
	change(&out)
	return &out
}
