package drawing_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/drawingtest"
	"panelwright/pipeline/geom"
)

func mm(v float64) geom.Length { return geom.FromMM(v) }

// Spans from a hair to much, either way round: what is stated is what is measured, arrows touch both ends, and the
// words lie on no line.
func TestLinearDimensions(t *testing.T) {
	v := drawing.View{Scale: drawing.Scale{Paper: 5, Real: 1}, Origin: geom.Pt(mm(30), mm(40))}
	for _, x := range []struct {
		span   float64
		before bool
		words  string
		want   string
	}{
		{0.1, false, "", "0.1"}, {0.1, true, "", "0.1"}, {0.8, false, "4 × 0.8", "4 × 0.8"}, {1.2, true, "4 × 0.8", "4 × 0.8"},
		{3, false, "", "3"}, {12.3456, false, "", "12.346"}, {25.4, true, "", "25.4"},
	} {
		for _, turned := range []bool{false, true} {
			from, to := geom.Pt(mm(1), mm(2)), geom.Pt(mm(1+x.span), mm(2+x.span))
			if turned {
				from, to = to, from
			}
			p := drawing.Span{View: v, From: from, To: to, Words: x.words, Before: x.before, Of: []drawing.Fact{{Feature: "a", What: "b"}}}
			s := drawing.Usual(drawing.Metric)
			for kind, d := range map[drawing.DimensionKind]drawing.Dimension{
				drawing.LinearX: drawing.MeasureX(p, mm(20), s),
				drawing.LinearY: drawing.MeasureY(p, mm(10), s),
			} {
				assert.Equal(t, kind, d.Kind)
				assert.Equal(t, int64(mm(x.span)), d.Value)
				assert.Equal(t, x.want, d.Text.S)
				assert.Equal(t, p.Of, d.Of)
				sheet := drawing.Sheet{Box: geom.Box{Min: geom.Pt(mm(-40), mm(-40)), Max: geom.Pt(mm(400), mm(400))}, Dimensions: []drawing.Dimension{d}}
				assert.Empty(t, drawingtest.Clashes(sheet))
				tips := map[geom.Length]bool{}
				for _, l := range d.Lines {
					if l.Fill == drawing.Ink {
						tip := l.Paths[0][0].From
						if kind == drawing.LinearX {
							assert.Equal(t, mm(20), tip.Y)
							tips[tip.X] = true
						} else {
							assert.Equal(t, mm(10), tip.X)
							tips[tip.Y] = true
						}
					}
				}
				a, b := v.Paper(from), v.Paper(to)
				if kind == drawing.LinearX {
					assert.Equal(t, map[geom.Length]bool{a.X: true, b.X: true}, tips)
				} else {
					assert.Equal(t, map[geom.Length]bool{a.Y: true, b.Y: true}, tips)
				}
			}
		}
	}
}

func TestRoundDimensions(t *testing.T) {
	v := drawing.View{Scale: drawing.Scale{Paper: 10, Real: 1}, Origin: geom.Pt(mm(30), mm(40))}
	c := drawing.Circle{View: v, Middle: geom.Pt(mm(2), mm(2)), Radius: mm(0.25), Knee: geom.Pt(mm(70), mm(90)), ToRight: true}
	s := drawing.Usual(drawing.Both)
	d := drawing.MeasureDiameter(c, s)
	assert.Equal(t, "Ø0.5 [Ø0.0197]", d.Text.S)
	assert.Equal(t, int64(mm(0.5)), d.Value)
	assert.InDelta(t, float64(mm(0.5)), d.From.Distance(d.To), 3)
	r := drawing.MeasureRadius(c, s)
	assert.Equal(t, "R0.25 [R0.0098]", r.Text.S)
	assert.InDelta(t, float64(mm(0.25)), r.From.Distance(r.To), 2)
	for _, x := range []drawing.Dimension{d, r} {
		require.Empty(t, drawingtest.Clashes(drawing.Sheet{Box: geom.Box{Max: geom.Pt(mm(200), mm(200))}, Dimensions: []drawing.Dimension{x}}))
	}
}

// Angles from a blade's to an obtuse one, opening upwards: their arrows lie on the arc, their words on no line.
func TestAngles(t *testing.T) {
	v := drawing.View{Scale: drawing.Scale{Paper: 10, Real: 1}, Origin: geom.Pt(mm(100), mm(40))}
	for _, deg := range []float64{5, 20, 30, 45, 90, 120, 170} {
		sin, cos := geom.SinCos(deg / 2 * math.Pi / 180)
		o := drawing.Opening{View: v, From: geom.Pt(mm(sin), mm(cos)), To: geom.Pt(mm(-sin), mm(cos)),
			Value: geom.FromDegrees(deg), Reach: mm(20)}
		d := drawing.MeasureAngle(o, drawing.Usual(drawing.Metric))
		assert.Equal(t, geom.FromDegrees(deg).Decimal()+"°", d.Text.S)
		assert.Empty(t, drawingtest.Clashes(drawing.Sheet{Box: geom.Box{Max: geom.Pt(mm(200), mm(200))}, Dimensions: []drawing.Dimension{d}}), "%v", deg)
		arrows := 0
		for _, l := range d.Lines {
			if l.Fill == drawing.Ink {
				arrows++
				assert.InDelta(t, float64(mm(20)), l.Paths[0][0].From.Distance(geom.Pt(mm(100), mm(40))), 2)
			}
		}
		assert.Equal(t, 2, arrows)
	}
}

func TestToleranced(t *testing.T) {
	for _, x := range []struct {
		u            drawing.Units
		l, within    float64
		before, want string
	}{
		{drawing.Metric, 0.5, 0.076, "Ø", "Ø0.5 ±0.076"},
		{drawing.Inch, 0.5, 0.0762, "Ø", "Ø0.0197 ±0.0030"},
		{drawing.Both, 0.3, 0.1, "", "0.3 ±0.1 [0.0118 ±0.0039]"},
		{drawing.Both, 0.3, 0, "R", "R0.3 [R0.0118]"},
	} {
		assert.Equal(t, x.want, x.u.Toleranced(x.before, mm(x.l), mm(x.within)))
	}
}

// What the tests of drawings rest on finds what is planted.
func TestClashes(t *testing.T) {
	box := geom.Box{Max: geom.Pt(mm(100), mm(100))}
	text := func(s string, x, y float64) drawing.Text {
		return drawing.Text{S: s, At: geom.Pt(mm(x), mm(y)), Height: mm(2.5)}
	}
	line := drawing.Shape{Pen: drawing.Fine, Paths: []geom.Path{{geom.Line(geom.Pt(mm(10), mm(51)), geom.Pt(mm(90), mm(51)))}}}
	view := drawing.View{Name: "x", Scale: drawing.Scale{Paper: 2, Real: 1}, Shapes: []drawing.Shape{{Pen: drawing.Wide,
		Paths: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(mm(5), mm(5)), Max: geom.Pt(mm(20), mm(25.5))})}}}}
	for _, x := range []struct {
		name  string
		sheet drawing.Sheet
		count int
	}{
		{"apart", drawing.Sheet{Texts: []drawing.Text{text("gauge", 10, 10), text("modem", 10, 14)}}, 0},
		{"over one another", drawing.Sheet{Texts: []drawing.Text{text("gauge", 10, 10), text("modem", 15, 12)}}, 1},
		{"beyond", drawing.Sheet{Texts: []drawing.Text{text("gauge", 98, 10)}}, 1},
		{"over a line", drawing.Sheet{Texts: []drawing.Text{text("gauge", 40, 50)}, Shapes: []drawing.Shape{line}}, 1},
		{"above a line", drawing.Sheet{Texts: []drawing.Text{text("gauge", 40, 52)}, Shapes: []drawing.Shape{line}}, 0},
		{"over a view's line", drawing.Sheet{Texts: []drawing.Text{text("gauge", 20, 50)}, Views: []drawing.View{view}}, 1},
		{"no such letter", drawing.Sheet{Texts: []drawing.Text{text("水", 10, 10)}}, 1},
	} {
		x.sheet.Box = box
		assert.Len(t, drawingtest.Clashes(x.sheet), x.count, x.name)
	}
}
