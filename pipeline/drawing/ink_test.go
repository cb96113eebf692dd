package drawing_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

func TestPatterns(t *testing.T) {
	for _, c := range []struct {
		dash drawing.Dash
		want []geom.Length
	}{
		{drawing.Continuous, nil},
		{drawing.Dashed, []geom.Length{3000, 750}},
		{drawing.LongDashDot, []geom.Length{6000, 750, 125, 750}},
		{drawing.LongDashDot2, []geom.Length{6000, 750, 125, 750, 125, 750}},
	} {
		require.Equal(t, c.want, c.dash.Pattern(250), c.dash)
	}
}

// TestHatchLines: lines lie 2 mm apart, end on the box, and those of boxes side by side go on in each other.
func TestHatchLines(t *testing.T) {
	left := geom.Box{Min: geom.Pt(-7*geom.MM, 3*geom.MM), Max: geom.Pt(5*geom.MM, 11*geom.MM)}
	right := geom.Box{Min: geom.Pt(5*geom.MM, 3*geom.MM), Max: geom.Pt(19*geom.MM, 11*geom.MM)}
	for _, f := range []drawing.Fill{drawing.Hatch, drawing.Hatch2} {
		lines := drawing.HatchLines(left, f)
		require.InDelta(t, (12+8)/(2*1.41421356), len(lines), 1)
		ends := map[geom.Length]bool{}
		for i, e := range lines {
			require.True(t, left.HoldsPoint(e.From) && left.HoldsPoint(e.To), "%v", e)
			d := e.To.Sub(e.From)
			require.Equal(t, d.X, d.Y.Abs())
			require.Equal(t, f == drawing.Hatch, d.Y > 0)
			if i > 0 {
				gap, _ := geom.PointEdgeDistance(e.From, geom.Line(lines[i-1].From.Sub(d), lines[i-1].To.Add(d)))
				require.InDelta(t, 2e6, gap, 2)
			}
			if e.To.X == left.Max.X {
				ends[e.To.Y] = true
			}
		}
		require.NotEmpty(t, ends)
		for _, e := range drawing.HatchLines(right, f) {
			if e.From.X == right.Min.X {
				require.True(t, ends[e.From.Y], "%v goes on in no line", e)
			}
		}
	}
	require.Empty(t, drawing.HatchLines(geom.EmptyBox(), drawing.Hatch))
	require.Empty(t, drawing.HatchLines(left, drawing.Ink))
}

// TestShortArcsStayShort: an arc so short that its ends meet on paper is no whole circle there.
func TestShortArcsStayShort(t *testing.T) {
	v := drawing.View{Scale: drawing.Scale{Paper: 1, Real: 10}}
	short := geom.Arc(geom.Pt(1000, 0), geom.Pt(1000, 2), geom.Pt(0, 0), geom.CounterClockwise)
	p := v.Path(geom.Path{short, geom.Arc(geom.Pt(1000, 2), geom.Pt(1000, 0), geom.Pt(0, 0), geom.CounterClockwise)})
	require.Equal(t, geom.Straight, p[0].Sense)
	require.Equal(t, p[0].From, p[0].To)
	require.Equal(t, geom.CounterClockwise, p[1].Sense)
}

// TestPasses: layers come in their order, views before paper, what is unknown last.
func TestPasses(t *testing.T) {
	s := drawing.Sheet{
		Views:      []drawing.View{{Shapes: []drawing.Shape{{Layer: drawing.Outline}, {Layer: drawing.Score}, {Layer: drawing.Outline}}}},
		Shapes:     []drawing.Shape{{Layer: drawing.Frame}, {Layer: "own"}, {Layer: drawing.Outline}},
		Texts:      []drawing.Text{{Layer: drawing.Notes, S: "a"}},
		Dimensions: []drawing.Dimension{{Text: drawing.Text{Layer: drawing.Dimensions, S: "b"}, Lines: []drawing.Shape{{Layer: drawing.Dimensions}}}},
	}
	var got []drawing.Layer
	for _, p := range s.Passes() {
		got = append(got, p.Layer)
		if p.Layer == drawing.Outline {
			require.Len(t, p.Parts, 2)
			require.Len(t, p.Parts[0].Shapes, 2)
			require.Nil(t, p.Parts[1].View)
		}
	}
	require.Equal(t, []drawing.Layer{drawing.Frame, drawing.Outline, drawing.Score, drawing.Notes, drawing.Dimensions, "own"}, got)
	require.Empty(t, (&drawing.Sheet{}).Passes())
}

func TestApart(t *testing.T) {
	box := func(x geom.Length) geom.Path {
		return geom.Rectangle(geom.Box{Min: geom.Pt(x, 0), Max: geom.Pt(x+10, 10)})
	}
	require.True(t, drawing.Apart([]geom.Path{box(0), box(11), box(-20)}))
	require.False(t, drawing.Apart([]geom.Path{box(0), box(11), box(5)}))
}
