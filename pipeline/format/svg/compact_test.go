package svg_test

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// TestCompactPaths: steps are relative, in whole micrometres, and roundings do not add up.
func TestCompactPaths(t *testing.T) {
	pt := func(x, y geom.Length) geom.Point { return geom.Pt(x*geom.UM, y*geom.UM) }
	line := func(x1, y1, x2, y2 geom.Length) artwork.Object {
		return artwork.Object{Kind: artwork.Stroke, Region: -1, Edge: geom.Line(pt(x1, y1), pt(x2, y2))}
	}
	square := func(o artwork.Object) artwork.Object { o.Aperture = 1; return o }
	third := geom.Length(333_400)
	for _, c := range []struct {
		name    string
		objects []artwork.Object
		regions []artwork.Region
		want    string
	}{
		{"lines that meet, and one that does not", []artwork.Object{line(1000, 1000, 2000, 1000), line(2000, 1000, 2000, 500), line(0, 0, 50, -60), line(0, 0, 0, 0)}, nil, "m1 1h1v-.5m-2-.5l.05-.06m-.05 .06l0 0"},
		{"arcs, the near-full in two", []artwork.Object{
			{Kind: artwork.Stroke, Region: -1, Edge: geom.Arc(pt(1000, 0), pt(0, 1000), pt(0, 0), geom.CounterClockwise)},
			{Kind: artwork.Stroke, Region: -1, Edge: geom.Arc(pt(0, 1000), pt(0, 1000), pt(0, 0), geom.Clockwise)},
		}, nil, "m1 0a1 1 0 0 1 -1 1a1 1 0 0 0 0-2a1 1 0 0 0 0 2"},
		{"roundings", nil, []artwork.Region{{Contours: []geom.Path{{
			geom.Line(geom.Pt(0, 0), geom.Pt(third, 0)), geom.Line(geom.Pt(third, 0), geom.Pt(2*third, 0)),
			geom.Line(geom.Pt(2*third, 0), geom.Pt(3*third, 0)), geom.Line(geom.Pt(3*third, 0), geom.Pt(3*third, geom.MM)), geom.Line(geom.Pt(3*third, geom.MM), geom.Pt(0, 0))}}}},
			"m0 0h.333h.334h.333v1l-1-1z"},
		{"rectangles swept, all counter-clockwise", []artwork.Object{square(line(0, 0, 1000, 0)), square(line(0, 1000, 0, 0)), square(line(1000, 1000, 0, 0)), square(line(1000, 0, 0, 1000))}, nil,
			"m-.1-.2h1.2v.4h-1.2z" + "m0 0h.2v1.4h-.2z" + "m0 0h.2l1 1v.4h-.2l-1-1z" + "m0 1l1-1h.2v.4l-1 1h-.2z"},
	} {
		m := &artwork.Image{Sets: []artwork.Attributes{nil}, Regions: c.regions,
			Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: geom.MM}, {Shape: artwork.Rectangle, Width: 200 * geom.UM, Height: 400 * geom.UM}}}
		m.Objects = c.objects
		for i := range c.regions {
			m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Fill, Aperture: -1, Region: int32(i)})
		}
		s := svg.New()
		s.Compact = true
		s.Layer("x", m)
		got := regexp.MustCompile(` d="([^"]*)"`).FindStringSubmatch(string(s.Bytes([4]float64{0, 0, 1, 1}, "t")))
		require.NotNil(t, got, c.name)
		require.Equal(t, c.want, got[1], c.name)
	}
}
