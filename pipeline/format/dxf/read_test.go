package dxf

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
)

// groups writes groups from words: code, value, code, value.
func groups(s string) string {
	words := strings.Fields(s)
	var b strings.Builder
	for i := 0; i+1 < len(words); i += 2 {
		fmt.Fprintf(&b, "%3s\n%s\n", words[i], words[i+1])
	}
	return b.String()
}

// drawingOf writes a file in millimetres whose sections hold what is given.
func drawingOf(tables, blocks, entities string) string {
	s := "0 SECTION 2 HEADER 9 $ACADVER 1 AC1015 9 $INSUNITS 70 4 0 ENDSEC"
	if tables != "" {
		s += " 0 SECTION 2 TABLES 0 TABLE 2 LAYER 70 9 " + tables + " 0 ENDTAB 0 ENDSEC"
	}
	if blocks != "" {
		s += " 0 SECTION 2 BLOCKS " + blocks + " 0 ENDSEC"
	}
	return groups(s + " 0 SECTION 2 ENTITIES " + entities + " 0 ENDSEC 0 EOF")
}

func read(t *testing.T, text string, opt Options) (*Drawing, *Report) {
	t.Helper()
	d, rep, err := Read("edge.dxf", []byte(text), opt)
	require.NoError(t, err)
	return d, rep
}

// mm writes a path as its corners in millimetres: "(0, 0) - (5, 0) ccw (0, 0) (0, 5)" is a line, then a
// counter-clockwise arc about the origin.
func mm(p geom.Path) string {
	if len(p) == 0 {
		return "nothing"
	}
	s := p[0].From.String()
	for _, e := range p {
		switch e.Sense {
		case geom.Straight:
			s += " - " + e.To.String()
		case geom.CounterClockwise:
			s += " ccw " + e.Center.String() + " " + e.To.String()
		case geom.Clockwise:
			s += " cw " + e.Center.String() + " " + e.To.String()
		}
	}
	return s
}

// curves writes all curves, each with its layer.
func curves(d *Drawing) []string {
	var out []string
	for _, l := range d.Layers {
		for _, c := range l.Curves {
			out = append(out, l.Name+": "+mm(c.Path))
		}
	}
	return out
}

// Source of what the groups mean: the format owner's DXF reference (2024), sections ENTITIES and BLOCKS.
func TestEntities(t *testing.T) {
	const bit = "0 BLOCK 2 bit 10 1 20 0 0 LINE 8 0 10 1 20 0 11 3 21 0 0 ARC 8 cut 10 1 20 0 40 2 50 0 51 90 0 ENDBLK "
	for _, c := range []struct {
		name, blocks, entities string
		want                   []string
	}{
		{"line", "", "0 LINE 8 edge 10 0 20 0 30 7 11 2.5 21 -1 31 7", []string{"edge: (0, 0) - (2.5, -1)"}},
		{"line seen from below keeps its coordinates", "", "0 LINE 8 e 10 1 20 0 11 2 21 1 230 -1", []string{"e: (1, 0) - (2, 1)"}},
		{"arc", "", "0 ARC 8 e 10 1 20 1 40 2 50 270 51 0", []string{"e: (1, -1) ccw (1, 1) (3, 1)"}},
		{"arc over zero", "", "0 ARC 8 e 10 0 20 0 40 2 50 -90 51 450", []string{"e: (0, -2) ccw (0, 0) (0, 2)"}},
		{"arc of a whole turn", "", "0 ARC 8 e 10 0 20 0 40 2 50 90 51 90", []string{"e: (0, 2) ccw (0, 0) (0, 2)"}},
		{"arc from 0 to 360", "", "0 ARC 8 e 10 0 20 0 40 2 50 0 51 360", []string{"e: (2, 0) ccw (0, 0) (2, 0)"}},
		{"arc seen from below", "", "0 ARC 8 e 10 1 20 1 40 2 50 0 51 90 210 0 220 0 230 -1", []string{"e: (-3, 1) cw (-1, 1) (-1, 3)"}},
		{"arc that rises less than a nanometre over its chord", "", "0 ARC 8 e 10 -500 20 0 40 900 50 0 51 0.003", []string{"e: (400, 0) - (399.999999, 0.047124)"}},
		{"circle", "", "0 CIRCLE 8 e 10 -1 20 1 40 2", []string{"e: (1, 1) ccw (-1, 1) (1, 1)"}},
		{"circle without a layer", "", "0 CIRCLE 10 -1 20 1 40 2", []string{"0: (1, 1) ccw (-1, 1) (1, 1)"}},
		{"polyline, closed, with a half turn", "", "0 LWPOLYLINE 8 e 90 2 70 1 10 0 20 0 42 1 10 4 20 0", []string{"e: (0, 0) ccw (2, 0) (4, 0) - (0, 0)"}},
		{"polyline with a clockwise quarter", "", "0 LWPOLYLINE 8 e 90 2 70 0 10 0 20 0 42 -0.41421356237309503 10 2 20 2", []string{"e: (0, 0) cw (2, 0) (2, 2)"}},
		{"polyline with three quarters", "", "0 LWPOLYLINE 8 e 90 2 10 2 20 0 42 2.414213562373095 10 0 20 -2", []string{"e: (2, 0) ccw (0, 0) (0, -2)"}},
		{"polyline seen from below", "", "0 LWPOLYLINE 8 e 90 2 10 0 20 0 42 1 10 4 20 0 230 -1", []string{"e: (0, 0) cw (-2, 0) (-4, 0)"}},
		{"polyline closed twice", "", "0 LWPOLYLINE 8 e 90 4 70 1 10 0 20 0 10 1 20 0 10 1 20 1 10 0 20 0", []string{"e: (0, 0) - (1, 0) - (1, 1) - (0, 0)"}},
		{"old polyline", "", "0 POLYLINE 8 e 66 1 70 1 0 VERTEX 8 x 10 0 20 0 0 VERTEX 8 x 10 4 20 0 42 1 0 VERTEX 10 4 20 2 0 SEQEND 8 e",
			[]string{"e: (0, 0) - (4, 0) ccw (4, 1) (4, 2) - (0, 0)"}},
		{"the frame of a smoothed polyline is not drawn", "", "0 POLYLINE 8 e 70 4 0 VERTEX 10 9 20 9 70 16 0 VERTEX 10 0 20 0 70 8 0 VERTEX 10 1 20 1 70 8 0 VERTEX 10 9 20 9 70 16 0 SEQEND",
			[]string{"e: (0, 0) - (1, 1)"}},
		{"polyline in space", "", "0 POLYLINE 8 e 70 9 0 VERTEX 10 0 20 0 30 1 42 1 70 32 0 VERTEX 10 4 20 0 30 1 0 VERTEX 10 4 20 4 30 1 0 SEQEND", []string{"e: (0, 0) - (4, 0) - (4, 4) - (0, 0)"}},
		{"round ellipse", "", "0 ELLIPSE 8 e 10 1 20 1 11 0 21 2 40 1 41 0 42 6.283185", []string{"e: (1, 3) ccw (1, 1) (1, 3)"}},
		{"part of a round ellipse", "", "0 ELLIPSE 8 e 10 1 20 1 11 2 21 0 40 1 41 1.5707963267948966 42 3.141592653589793", []string{"e: (1, 3) ccw (1, 1) (-1, 1)"}},
		{"part of a round ellipse seen from below", "", "0 ELLIPSE 8 e 10 1 20 1 11 2 21 0 40 1 41 0 42 1.5707963267948966 230 -1", []string{"e: (3, 1) cw (1, 1) (1, -1)"}},
		{"straight spline", "", "0 SPLINE 8 e 71 1 72 5 73 3 40 0 40 0 40 1 40 2 40 2 10 0 20 0 10 1 20 0 10 1 20 5", []string{"e: (0, 0) - (1, 0) - (1, 5)"}},
		{"what follows an embedded object is not the line's", "", "0 LINE 8 e 10 0 20 0 11 1 21 0 101 Embedded 10 9 20 9", []string{"e: (0, 0) - (1, 0)"}},
		{"insert: layer 0 is that of the insert", bit, "0 INSERT 8 here 2 BIT 10 10 20 0", []string{"here: (10, 0) - (12, 0)", "cut: (12, 0) ccw (10, 0) (10, 2)"}},
		{"insert turned", bit, "0 INSERT 8 here 2 bit 10 10 20 0 50 90", []string{"here: (10, 0) - (10, 2)", "cut: (10, 2) ccw (10, 0) (8, 0)"}},
		{"insert scaled and turned", bit, "0 INSERT 8 here 2 bit 10 10 20 0 41 2 42 2 50 180", []string{"here: (10, 0) - (6, 0)", "cut: (6, 0) ccw (10, 0) (10, -4)"}},
		{"insert mirrored", bit, "0 INSERT 8 here 2 bit 10 10 20 0 41 -1", []string{"here: (10, 0) - (8, 0)", "cut: (8, 0) cw (10, 0) (10, 2)"}},
		{"insert mirrored twice", bit, "0 INSERT 8 here 2 bit 10 10 20 0 41 -1 42 -1", []string{"here: (10, 0) - (8, 0)", "cut: (8, 0) ccw (10, 0) (10, -2)"}},
		{"insert seen from below", bit, "0 INSERT 8 here 2 bit 10 10 20 0 50 90 230 -1", []string{"here: (-10, 0) - (-10, 2)", "cut: (-10, 2) cw (-10, 0) (-8, 0)"}},
		{"columns and rows, turned but not scaled", bit, "0 INSERT 8 here 2 bit 10 0 20 0 41 2 42 2 50 90 70 2 71 2 44 10 45 20",
			[]string{
				"here: (0, 0) - (0, 4)", "here: (0, 10) - (0, 14)", "here: (-20, 0) - (-20, 4)", "here: (-20, 10) - (-20, 14)",
				"cut: (0, 4) ccw (0, 0) (-4, 0)", "cut: (0, 14) ccw (0, 10) (-4, 10)", "cut: (-20, 4) ccw (-20, 0) (-24, 0)", "cut: (-20, 14) ccw (-20, 10) (-24, 10)",
			}},
		{"insert in an insert, layer 0 all the way", bit + "0 BLOCK 2 two 10 0 20 0 0 INSERT 8 0 2 bit 10 0 20 0 41 -1 0 ENDBLK", "0 INSERT 8 out 2 two 10 0 20 0 42 -1",
			[]string{"out: (0, 0) - (-2, 0)", "cut: (-2, 0) ccw (0, 0) (0, -2)"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, _ := read(t, drawingOf("", c.blocks, c.entities), Options{})
			var want []string
			want = append(want, c.want...)
			assert.Equal(t, want, curves(d))
		})
	}
}

func TestCurve(t *testing.T) {
	text := drawingOf("0 LAYER 2 Edge 70 0 62 7", "0 BLOCK 2 in 10 0 20 0 0 CIRCLE 5 2F 8 0 10 0 20 0 40 1 0 ENDBLK 0 BLOCK 2 out 10 0 20 0 0 INSERT 8 0 2 in 10 0 20 0 0 ENDBLK",
		"0 LWPOLYLINE 5 2A 8 EDGE 90 3 43 0.1 10 0 20 0 40 0.3 41 0.2 10 1 20 0 10 1 20 1 0 INSERT 8 other 2 OUT 10 0 20 0 0 POLYLINE 8 edge 40 0.25 41 0.25 0 VERTEX 10 0 20 0 0 VERTEX 10 0 20 1 0 SEQEND")
	d, rep := read(t, text, Options{})
	require.Len(t, d.Layers, 2)
	l := d.Layer("eDGE")
	require.NotNil(t, l)
	assert.Equal(t, "Edge", l.Name)
	require.Len(t, l.Curves, 2)
	c := l.Curves[0]
	c.Path = nil
	assert.Equal(t, Curve{Kind: LWPolyline, Layer: "Edge", Handle: "2A", Line: 89, Width: 300 * geom.UM}, c)
	assert.Equal(t, 250*geom.UM, l.Curves[1].Width)
	o := d.Layer("other").Curves[0]
	assert.Equal(t, []string{"out", "in"}, o.Blocks)
	assert.Equal(t, Circle, o.Kind)
	assert.Equal(t, "2F", o.Handle)
	assert.True(t, o.Path.Closed())
	assert.Nil(t, d.Layer("none"))
	assert.Equal(t, geom.Box{Min: geom.Pt(-geom.MM, -geom.MM), Max: geom.Pt(geom.MM, geom.MM)}, d.Box())
	assert.Equal(t, &Report{Version: "AC1015", Unit: MM, UnitSaid: true, Entities: 5, Curves: 3}, rep)
}

// A closed spline ends just where it begins, also where rounding would part the two.
func TestClosedSpline(t *testing.T) {
	for i := range 20 {
		x := float64(i) / 7
		corner := []string{fmt.Sprintf("10 %v 20 0.1", x), "10 5 20 0.3", "10 5.1 20 5", fmt.Sprintf("10 0 20 %v", 5+x/3)}
		s := "0 SPLINE 70 3 71 3"
		for k := range 11 {
			s += fmt.Sprintf(" 40 %v", float64(k)/3)
		}
		for k := range 7 {
			s += " " + corner[k%4]
		}
		d, rep := read(t, drawingOf("", "", s), Options{})
		assert.True(t, d.Layers[0].Curves[0].Path.Closed())
		assert.Empty(t, rep.Notes)
	}
	_, rep := read(t, drawingOf("", "", "0 SPLINE 70 1 71 1 40 0 40 0 40 1 40 2 40 2 10 0 20 0 10 1 20 0 10 1 20 1"), Options{})
	assert.Equal(t, []Note{{19, "SPLINE that is marked as closed but does not end where it begins; it is left open", 1}}, rep.Notes)
}

func TestPenCloses(t *testing.T) {
	for _, c := range []struct {
		end  geom.Point
		want bool
	}{{geom.Pt(1, -1), true}, {geom.Pt(0, 2), true}, {geom.Pt(2, 2), false}} {
		p := &pen{left: 9}
		for _, q := range []geom.Point{{X: 1000}, {X: 1000, Y: 1000}, c.end} {
			p.lineTo(q)
		}
		p.close()
		assert.Equal(t, c.want, p.path.Closed(), c.end)
	}
}

func TestUnits(t *testing.T) {
	file := func(header string) string {
		return groups("0 SECTION 2 HEADER " + header + " 0 ENDSEC 0 SECTION 2 ENTITIES 0 LINE 10 0 20 0 11 0.01 21 0 0 ENDSEC 0 EOF")
	}
	for _, c := range []struct {
		name, header string
		opt          Options
		want         geom.Length
		notes        int
		fault        string
	}{
		{"inch", "9 $INSUNITS 70 1", Options{}, 254 * geom.UM, 0, ""},
		{"feet", "9 $INSUNITS 70 2", Options{}, 3048 * geom.UM, 0, ""},
		{"mm", "9 $INSUNITS 70 4", Options{}, 10 * geom.UM, 0, ""},
		{"cm", "9 $INSUNITS 70 5", Options{}, 100 * geom.UM, 0, ""},
		{"m", "9 $INSUNITS 70 6", Options{}, 10 * geom.MM, 0, ""},
		{"mil", "9 $INSUNITS 70 9", Options{}, 254, 0, ""},
		{"microns", "9 $INSUNITS 70 13", Options{}, 10, 0, ""},
		{"yards", "9 $INSUNITS 70 10", Options{}, 9144 * geom.UM, 0, ""},
		{"old inches of surveys", "9 $INSUNITS 70 22", Options{}, 254_001, 0, ""},
		{"the file's unit counts", "9 $INSUNITS 70 4", Options{Unit: Inch}, 10 * geom.UM, 0, ""},
		{"unless told otherwise", "9 $INSUNITS 70 4", Options{Unit: Inch, UnitWins: true}, 254 * geom.UM, 1, ""},
		{"no unit, one given", "9 $INSUNITS 70 0", Options{Unit: Inch}, 254 * geom.UM, 0, ""},
		{"nothing said, one given", "9 $X 70 0", Options{Unit: MM}, 10 * geom.UM, 0, ""},
		{"hint agrees", "9 $MEASUREMENT 70 0 9 $INSUNITS 70 1", Options{}, 254 * geom.UM, 0, ""},
		{"hint disagrees", "9 $MEASUREMENT 70 1 9 $INSUNITS 70 1", Options{}, 254 * geom.UM, 1, ""},
		{"a unit too large is replaced", "9 $INSUNITS 70 20", Options{Unit: MM, UnitWins: true}, 10 * geom.UM, 1, ""},

		{"no unit", "9 $INSUNITS 70 0", Options{}, 0, 0, "edge.dxf:8:1: the drawing does not say the unit of its numbers ($INSUNITS); what it draws is 0.01 by 0 units large\n    0\n    set the drawing's unit and export it again"},
		{"a hint is not enough", "9 $MEASUREMENT 70 1", Options{}, 0, 0, "edge.dxf:1:1: the drawing does not say the unit of its numbers ($INSUNITS); what it draws is 0.01 by 0 units large; its $MEASUREMENT hints at mm, which is not enough to go by\n      0\n    set the drawing's unit and export it again"},
		{"a unit too large", "9 $INSUNITS 70 20", Options{}, 0, 0, "edge.dxf:8:1: the drawing says that it is in parsec ($INSUNITS), which is no unit for boards\n    20\n    set the drawing's unit and export it again, or say which unit its numbers are in"},
		{"a unit that is none", "9 $INSUNITS 70 25", Options{}, 0, 0, "edge.dxf:8:1: the drawing says that it is in unit 25 ($INSUNITS), which is no unit for boards\n    25\n    set the drawing's unit and export it again, or say which unit its numbers are in"},
		{"options ask for a unit that is none", "", Options{Unit: 20}, 0, 0, "edge.dxf: no drawing of a board is in the unit parsec\n    say the unit that it is drawn in: mm, inch, mil, um, cm or m"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, rep, err := Read("edge.dxf", []byte(file(c.header)), c.opt)
			if c.fault != "" {
				require.EqualError(t, err, c.fault)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, geom.Pt(c.want, 0), d.Layers[0].Curves[0].Path[0].To)
			assert.Len(t, rep.Notes, c.notes, "%v", rep.Notes)
			assert.Equal(t, len(c.opt.Unit.String()) > 0 && (c.opt.Unit == Unitless || !c.opt.UnitWins && strings.Contains(c.name, "file's")), rep.UnitSaid)
		})
	}
}

func TestUnitNamed(t *testing.T) {
	for _, u := range []Unit{Inch, MM, CM, Metre, Mil, Micron} {
		got, ok := UnitNamed(strings.ToUpper(u.String()))
		assert.True(t, ok)
		assert.Equal(t, u, got)
	}
	for _, s := range []string{"", "no unit", "parsec", "cubit"} {
		_, ok := UnitNamed(s)
		assert.False(t, ok, s)
	}
	assert.Equal(t, "unknown unit", Unit(99).String())
}

// TestTold: nothing that is left out is left out in silence.
func TestTold(t *testing.T) {
	const layers = "0 LAYER 2 cold 70 1 62 7 0 LAYER 2 off 70 0 62 -3 0 LAYER 2 quiet 70 4 290 0 0 LAYER 2 Defpoints 290 1"
	const blocks = "0 BLOCK 2 b 10 0 20 0 0 LINE 8 seen 10 0 20 0 11 1 21 0 0 ENDBLK 0 BLOCK 2 lone 10 0 20 0 0 LINE 10 0 20 0 11 1 21 0 0 ENDBLK" +
		" 0 BLOCK 2 empty 10 0 20 0 0 ENDBLK 0 BLOCK 2 *Paper_Space0 10 0 20 0 0 LINE 8 sheet 10 0 20 0 11 1 21 0 0 ENDBLK 0 BLOCK 2 idle 0 POINT 0 ENDBLK 0 BLOCK 2 _Arrow 0 POINT 0 ENDBLK 0 BLOCK 2 *D1 0 POINT 0 ENDBLK 0 BLOCK 2 $PAPER_SPACE 0 LINE 8 sheet 10 0 20 0 11 1 21 0 0 ENDBLK 0 BLOCK 2 *Model_Space 0 LINE 10 1 20 1 11 2 21 2 0 ENDBLK"
	const entities = "0 LINE 8 cold 10 0 20 0 11 1 21 0 0 LINE 8 off 10 0 20 0 11 1 21 0 0 LINE 8 seen 60 1 10 0 20 0 11 1 21 0" +
		" 0 INSERT 8 cold 2 b 10 0 20 0 0 LINE 8 seen 10 0 20 0 11 1 21 0" +
		" 0 TEXT 8 notes 1 hello 10 0 20 0 0 TEXT 8 NOTES 1 hello 0 HATCH 8 seen 91 1 10 0 20 0 0 FRESCO 8 seen 0 MLINE 8 seen" +
		" 0 LINE 8 sheet 67 1 10 0 20 0 11 1 21 0 0 LINE 8 seen 10 1 20 1 30 1 11 1 21 1 31 9 0 LINE 8 seen 10 0 20 0 30 1 11 1 21 1 31 9" +
		" 0 POLYLINE 8 seen 70 64 0 VERTEX 10 0 20 0 0 SEQEND 0 POLYLINE 8 seen 0 VERTEX 10 0 20 0 0 VERTEX 10 1 20 0 0 CIRCLE 8 seen 10 0 20 0 40 0 0 CIRCLE 8 quiet 10 0 20 0 40 1"
	d, rep := read(t, drawingOf(layers, blocks, entities), Options{})
	var state, hidden []string
	for _, l := range d.Layers {
		state = append(state, fmt.Sprintf("%s %v %v %v", l.Name, l.Frozen, l.Off, l.Plots))
		for _, c := range l.Curves {
			hidden = append(hidden, fmt.Sprintf("%s %v", l.Name, c.Hidden))
		}
	}
	assert.Equal(t, []string{"cold true false true", "off false true true", "quiet false false false", "Defpoints false false false", "seen false false true", "notes false false true", "sheet false false true"}, state)
	assert.Equal(t, []string{"cold true", "off true", "quiet false", "seen true", "seen true", "seen false", "seen false", "seen false"}, hidden)
	var ignored []string
	for _, i := range rep.Ignored {
		ignored = append(ignored, fmt.Sprintf("%d %s on %s, %s: drawn %v, area %v", i.Count, i.Kind, i.Layer, i.Why, i.Drawn, i.Area))
	}
	assert.Equal(t, []string{
		"2 TEXT on notes, : drawn false, area false",
		"1 HATCH on seen, : drawn true, area true",
		"1 FRESCO on seen, : drawn true, area false",
		"1 MLINE on seen, : drawn true, area false",
		"3 LINE on sheet, paper space: drawn true, area false", // two of them in paper space's blocks
		"1 POLYLINE (mesh) on seen, : drawn true, area true",
	}, ignored)
	var notes []string
	for _, n := range rep.Notes {
		notes = append(notes, fmt.Sprintf("%d %s", n.Count, n.What))
		assert.Positive(t, n.Line)
	}
	assert.Equal(t, []string{
		`1 LINE without length on layer "seen", dropped`,
		"1 LINE that reaches out of the plane of x and y; it is taken as seen from above",
		"1 POLYLINE that is not ended by SEQEND",
		`1 CIRCLE without length on layer "seen", dropped`,
		"1 the block of the model space has entities; they are left out",
		`2 blocks that are never inserted are left out; the first is "lone"`,
		`1 curves of layer "cold" are hidden: the layer is frozen`,
		`1 curves of layer "off" are hidden: the layer is off`,
		`1 layer "quiet" is not to be plotted, yet has curves`,
		`2 curves of layer "seen" are hidden: marked invisible, or inserted on a frozen layer`,
	}, notes)
}

// TestText: line ends, blanks, comments, encodings.
func TestText(t *testing.T) {
	plain := drawingOf("", "", "0 LINE 8 edge 10 0 20 0 11 1 21 0 0 CIRCLE 8 edge 10 0 20 0 40 1")
	want, rep := read(t, plain, Options{})
	require.Empty(t, rep.Notes)
	for name, text := range map[string]string{
		"CRLF":                  strings.ReplaceAll(plain, "\n", "\r\n"),
		"CR":                    strings.ReplaceAll(plain, "\n", "\r"),
		"UTF-8 mark":            "\xef\xbb\xbf" + plain,
		"empty lines":           "\n\n" + plain + "\n\n \n",
		"blanks":                strings.ReplaceAll(plain, "\n", "  \n\t"),
		"comments":              strings.ReplaceAll(plain, "  8\n", "999\nby hand\n  8\n"),
		"comment first":         "999\nmade by hand\n" + plain,
		"no end of line at end": strings.TrimSpace(plain),
	} {
		t.Run(name, func(t *testing.T) {
			assert.True(t, Looks([]byte(text)))
			d, rep := read(t, text, Options{})
			assert.Equal(t, curves(want), curves(d))
			assert.Empty(t, rep.Notes)
		})
	}
	for in, out := range map[string]string{
		"Kontur-\xfc": "Kontur-ü", "Kontur-ü": "Kontur-ü", `Kontur-\U+00FC\U+20`: `Kontur-ü\U+20`, `\U+zzzz`: `\U+zzzz`,
	} {
		d, _ := read(t, drawingOf("", "", "0 LINE 8 "+in+" 10 0 20 0 11 1 21 0"), Options{})
		assert.Equal(t, out, d.Layers[0].Name)
	}
	_, rep = read(t, strings.TrimSuffix(plain, groups("0 EOF")), Options{})
	assert.Equal(t, []Note{{43, "the drawing does not end with EOF", 1}}, rep.Notes)
	clip := strings.Replace(plain, groups("0 EOF"), groups("0 SECTION 2 OBJECTS 0 SPATIAL_FILTER 0 ENDSEC 0 EOF"), 1)
	_, rep = read(t, clip, Options{})
	assert.Equal(t, []Note{{47, "an insert is clipped; it is taken whole", 1}}, rep.Notes)
	_, rep = read(t, plain+"and more", Options{})
	assert.Equal(t, []Note{{45, "something stands after the end of the drawing; it is left out", 1}}, rep.Notes)
	assert.False(t, Looks([]byte("G04 hello*")))
	assert.False(t, Looks(nil))
}

// Every mistake has its place and says what to do.
func TestFaults(t *testing.T) {
	const line = "0 LINE 8 e 10 0 20 0 11 1 21 0"
	for _, c := range []struct{ name, blocks, entities, want string }{
		{"leaning arc", "", "0 ARC 8 e 10 0 20 0 40 1 50 0 51 90 210 0 220 0.5 230 0.5", "edge.dxf:33:1: ARC whose plane leans (groups 210, 220, 230)\n    210\n    draw the outline in the plane of x and y"},
		{"leaning ellipse", "", "0 ELLIPSE 10 0 20 0 11 1 21 0 31 1 40 0.5", "edge.dxf:19:3: ELLIPSE whose plane leans"},
		{"arc without radius", "", "0 ARC 8 e 10 0 20 0 50 0 51 90", "edge.dxf:19:3: ARC without group 40"},
		{"arc without end", "", "0 ARC 8 e 10 0 20 0 40 0 50 90", "edge.dxf:19:3: ARC without group 51"},
		{"radius below zero", "", "0 CIRCLE 10 0 20 0 40 -1", "CIRCLE with a radius below zero"},
		{"line without end", "", "0 LINE 10 0 20 0 11 1", "LINE without group 21"},
		{"decimal comma", "", "0 LINE 10 0,5 20 0 11 1 21 1", "edge.dxf:22:1: group 10 needs a number\n    0,5\n    write numbers with a point, not a comma; export the file again"},
		{"no number", "", "0 LINE 10 nan 20 0 11 1 21 1", "group 10 needs a number"},
		{"hexadecimal", "", "0 LINE 10 0x1p3 20 0 11 1 21 1", "group 10 needs a number"},
		{"too large", "", "0 LINE 10 1e99 20 0 11 1 21 1", "group 10 needs a number of common size"},
		{"beyond a metre", "", "0 LINE 10 0 20 0 11 1000.1 21 1", "edge.dxf:19:3: LINE that reaches beyond 1 m from the origin\n      0\n    check the unit, and move the drawing nearer to the origin"},
		{"arc bulging beyond a metre", "", "0 ARC 10 999 20 0 40 2 50 270 51 90", "ARC that reaches beyond 1 m"},
		{"spline beyond a metre", "", "0 SPLINE 71 2 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 9000 20 0 10 0 20 1", "SPLINE that reaches beyond 1 m"},
		{"huge arc", "", "0 ARC 10 0 20 0 40 1e20 50 0 51 1e-15", "ARC that reaches beyond 1 m"},
		{"huge bulge", "", "0 LWPOLYLINE 90 2 10 0 20 0 42 1e12 10 1 20 0", "LWPOLYLINE whose numbers are too large to be read to the nanometre"},
		{"ellipse without proportion", "", "0 ELLIPSE 10 0 20 0 11 1 21 0 40 0", "ELLIPSE whose half axes are not in a proportion above zero"},
		{"corners missing", "", "0 LWPOLYLINE 90 3 10 0 20 0 10 1 20 0", "LWPOLYLINE that should have 3 corners but has 2"},
		{"corner without y", "", "0 LWPOLYLINE 90 2 10 0 10 1 20 0", "LWPOLYLINE with a corner that has no group 20"},
		{"bulge first", "", "0 LWPOLYLINE 90 2 42 1 10 0 20 0", "group 42 of a corner stands before group 10"},
		{"old corner without y", "", "0 POLYLINE 0 VERTEX 10 0 0 SEQEND", "edge.dxf:21:3: VERTEX without group 20"},
		{"fit points only", "", "0 SPLINE 71 3 74 3 11 0 21 0 11 1 21 0 11 1 21 1", "SPLINE that has points to run through but no control points: its course is not settled by the file\n      0\n    convert it"},
		{"spline with too few knots", "", "0 SPLINE 71 2 40 0 40 0 40 1 40 1 10 0 20 0 10 1 20 0 10 1 20 1", "SPLINE of degree 2 with 3 control points and 4 knots, which do not go together"},
		{"spline cut off", "", "0 SPLINE 71 1 72 4 73 3 40 0 40 0 40 1 40 1 10 0 20 0 10 1 20 0", "SPLINE that should have 4 knots and 3 control points but has 4 and 2"},
		{"spline of degree 0", "", "0 SPLINE 71 0 40 0 40 1 10 0 20 0", "SPLINE of degree 0; degrees are 1 to 11"},
		{"falling knots", "", "0 SPLINE 71 1 40 0 40 1 40 0 40 1 10 0 20 0 10 1 20 0", "SPLINE whose knots fall: knot 2 is 1 and the next 0"},
		{"knots all the same", "", "0 SPLINE 71 1 40 0 40 0 40 0 40 0 10 0 20 0 10 1 20 0", "SPLINE whose knots leave it no length"},
		{"jump", "", "0 SPLINE 71 1 40 0 40 0 40 1 40 1 40 2 40 2 10 0 20 0 10 1 20 0 10 2 20 0 10 3 20 0", "SPLINE that may jump at knot 4, which stands there 2 times"},
		{"weight of zero", "", "0 SPLINE 71 1 40 0 40 0 40 1 40 1 41 1 41 0 10 0 20 0 10 1 20 0", "SPLINE with weights that are not above zero"},
		{"weights missing", "", "0 SPLINE 71 1 40 0 40 0 40 1 40 1 41 1 10 0 20 0 10 1 20 0", "SPLINE with 1 weights for 2 control points"},
		{"no whole number", "", "0 LWPOLYLINE 70 1.5", "group 70 needs a whole number"},
		{"old line: no whole number", "", "0 POLYLINE 70 x 0 SEQEND", "group 70 needs a whole number"},
		{"old corner: no whole number", "", "0 POLYLINE 0 VERTEX 10 0 20 0 70 x 0 SEQEND", "group 70 needs a whole number"},
		{"insert: no number", "", "0 INSERT 2 b 10 x 20 0", "group 10 needs a number"},
		{"insert: no whole number", "", "0 INSERT 2 b 10 0 20 0 71 x", "group 71 needs a whole number"},
		{"ellipse: no number", "", "0 ELLIPSE 10 x", "group 10 needs a number"},
		{"direction: no number", "", "0 CIRCLE 10 0 20 0 40 1 220 x", "group 220 needs a number"},
		{"no direction", "", "0 CIRCLE 10 0 20 0 40 1 230 0", "CIRCLE whose plane leans"},
		{"spline: no number", "", "0 SPLINE 71 3 40 x", "group 40 needs a number"},
		{"spline: no whole number", "", "0 SPLINE 71 x", "group 71 needs a whole number"},
		{"spline: y first", "", "0 SPLINE 71 3 20 0", "group 20 of a control point stands before group 10"},
		{"spline: no y", "", "0 SPLINE 71 3 10 0", "SPLINE whose control point 1 has no group 20"},
		{"block: no number", "0 BLOCK 2 b 10 x 0 ENDBLK", line, "group 10 needs a number"},
		{"block: no whole number", "0 BLOCK 2 b 70 x 0 ENDBLK", line, "group 70 needs a whole number"},
		{"no block at all", "0 LINE 0 ENDBLK", line, "the section of blocks has something that is no block"},
		{"no entity", "", "8 edge " + line, "an entity begins with group 0"},
		{"no such block", "", "0 INSERT 2 none 10 0 20 0", "edge.dxf:22:1: INSERT of block \"none\", which the file does not have"},
		{"no block", "", "0 INSERT 10 0 20 0", "INSERT without the name of a block"},
		{"scale of zero", "0 BLOCK 2 b " + line + " 0 ENDBLK", "0 INSERT 2 b 10 0 20 0 42 0", "INSERT of block \"b\" with a scale of zero"},
		{"columns below zero", "0 BLOCK 2 b " + line + " 0 ENDBLK", "0 INSERT 2 b 10 0 20 0 70 -1", "INSERT with a number of columns or rows below zero"},
		{"into itself", "0 BLOCK 2 a 0 INSERT 2 b 10 0 20 0 0 ENDBLK 0 BLOCK 2 b 0 INSERT 2 A 10 0 20 0 0 ENDBLK", "0 INSERT 2 a 10 0 20 0", `edge.dxf:40:1: block "A" is inserted into itself`},
		{"other file", "0 BLOCK 2 b 70 4 1 that.dwg 0 ENDBLK", "0 INSERT 2 b 10 0 20 0", "INSERT of block \"b\", which lies in another file"},
		{"block twice", "0 BLOCK 2 b 0 ENDBLK 0 BLOCK 2 B 0 ENDBLK", "0 INSERT 2 b 10 0 20 0", "INSERT of block \"b\", which is there twice, on lines 19 and 25"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("edge.dxf", []byte(drawingOf("", c.blocks, c.entities)), Options{})
			require.ErrorContains(t, err, c.want)
			var f *format.Fault
			require.ErrorAs(t, err, &f)
			assert.NotEmpty(t, f.Do)
			assert.Positive(t, f.Line)
		})
	}
	head := groups("0 SECTION 2 HEADER 9 $INSUNITS 70 4 0 ENDSEC")
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "edge.dxf:1:1: the drawing is empty"},
		{"binary", "AnyMake Binary DXF\r\n\x1a\x00\x00\x00", "this is a drawing in binary DXF, which is not read\n    AnyMake Binary DXF\n    export it as a text (ASCII) DXF"},
		{"another form", "AC1032\x00\x00\x00\x00", "this is a drawing in a drawing program's own form, not a DXF"},
		{"zeros", head + "\x00", "edge.dxf:11:1: this is no text: it holds binary data"},
		{"no drawing", "G04 hello*\nX0Y0D02*\n", "edge.dxf:1:1: this is no group code\n    G04 hello*\n    each value of a drawing follows a line with its group code"},
		{"no section", "0\nLINE\n", "a section should begin here"},
		{"no entities", head + groups("0 EOF"), "the drawing has no section of entities"},
		{"cut off in a header", groups("0 SECTION 2 HEADER 9 $INSUNITS"), "the drawing ends within its header"},
		{"units in words", groups("0 SECTION 2 HEADER 9 $INSUNITS 70 mm"), "edge.dxf:8:1: group 70 needs a whole number"},
		{"header of entities", groups("0 SECTION 2 HEADER 0 LINE"), "the header has something that is no variable"},
		{"a section without a name", groups("0 SECTION 0 HEADER"), "a section without a name"},
		{"colour in words", head + groups("0 SECTION 2 TABLES 0 TABLE 2 LAYER 0 LAYER 2 e 62 red"), "edge.dxf:24:1: group 62 needs a whole number"},
		{"cut off in tables", head + groups("0 SECTION 2 TABLES 0 TABLE"), "the drawing ends within its tables"},
		{"cut off in blocks", head + groups("0 SECTION 2 BLOCKS 0 BLOCK 2 b"), "the drawing ends within a block"},
		{"cut off in a block", head + groups("0 SECTION 2 BLOCKS 0 BLOCK 2 b 0 LINE"), "the drawing ends before ENDBLK"},
		{"cut off in entities", head + groups("0 SECTION 2 ENTITIES 0 LINE 10 0"), "edge.dxf:19:1: the drawing ends before ENDSEC"},
		{"cut off in an unknown section", head + groups("0 SECTION 2 OBJECTS 0 LINE 10 0"), "a section without an end"},
		{"cut off in a group", head + "0\nSECTION\n2\nENTITIES\n0", "edge.dxf:15:1: the file ends after a group code, without its value"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("edge.dxf", []byte(c.text), Options{})
			require.ErrorContains(t, err, c.want)
		})
	}
}

// TestSetAside: where it is asked for, what cannot be read leaves the rest of the drawing readable.
func TestSetAside(t *testing.T) {
	text := drawingOf("", "0 BLOCK 2 b 10 0 20 0 0 SPLINE 8 notes 11 0 21 0 0 ENDBLK",
		"0 LINE 8 edge 10 0 20 0 11 1 21 0 0 INSERT 2 b 10 0 20 0 70 5 0 LINE 8 notes 10 0 20 0 11 5000 21 0 0 LINE 8 notes 10 0 20 0 11 5 21 0")
	_, _, err := Read("edge.dxf", []byte(text), Options{})
	require.ErrorContains(t, err, "SPLINE that has points to run through")
	d, _ := read(t, text, Options{SetAside: true})
	require.NoError(t, d.Layer("edge").Err())
	require.Len(t, d.Layer("notes").Refused, 2)
	require.ErrorContains(t, d.Layer("notes").Err(), `SPLINE that has points to run through but no control points: its course is not settled by the file; layer "notes" has 1 more that cannot be read`)
	assert.Equal(t, []string{"edge: (0, 0) - (1, 0)", "notes: (0, 0) - (5, 0)"}, curves(d))

	// What an insert would have drawn may be on any layer, but for another file's.
	const line = "0 LINE 8 edge 10 0 20 0 11 1 21 0 "
	for entities, refused := range map[string]int{
		line + "0 INSERT 8 notes 2 none 10 0 20 0":                               1,
		"0 INSERT 8 notes 10 0 20 0 " + line:                                     1,
		"0 INSERT 8 notes 2 b 10 0 20 0 0 INSERT 8 notes 2 c 10 0 20 0 " + line:  1,
		line + "0 INSERT 8 edge 2 none 10 0 20 0 0 INSERT 8 notes 2 x 10 0 20 0": 1,
		line + "0 INSERT 8 notes 2 far 10 0 20 0":                                0,
		line + "0 INSERT 8 edge 2 far 10 0 20 0":                                 1,
	} {
		d, _ := read(t, drawingOf("", "0 BLOCK 2 b 0 INSERT 8 0 2 b 10 0 20 0 0 ENDBLK 0 BLOCK 2 c 0 ENDBLK 0 BLOCK 2 far 70 4 0 ENDBLK", entities), Options{SetAside: true})
		assert.Len(t, d.Layer("edge").Refused, refused, entities)
	}
}

func TestLimits(t *testing.T) {
	block := func(name, inner string) string { return "0 BLOCK 2 " + name + " 10 0 20 0 " + inner + " 0 ENDBLK " }
	const line = "0 LINE 10 0 20 0 11 1 21 0 "
	nest := block("a", strings.Repeat("0 INSERT 2 b 10 0 20 0 ", 10)) + block("b", strings.Repeat("0 INSERT 2 c 10 0 20 0 ", 10)) + block("c", strings.Repeat(line, 10))
	for _, c := range []struct {
		name, blocks, entities string
		opt                    Options
		fault                  string
	}{
		{"entities", "", strings.Repeat(line, 11), Options{MaxEntities: 10}, "edge.dxf:119:3: more than 10 entities"},
		{"inserted entities", nest, "0 INSERT 2 a 10 0 20 0", Options{MaxEntities: 1110}, "more than 1110 entities"},
		{"columns and rows", block("a", line), "0 INSERT 2 a 10 0 20 0 70 32767 71 32767", Options{}, "more than 500000 entities"},
		{"empty columns", block("a", ""), "0 INSERT 2 a 10 0 20 0 70 700 71 700" + strings.Repeat(" 0 INSERT 2 a 10 0 20 0 70 700 71 700", 9), Options{}, "more than 500000 entities"},
		{"depth", nest, "0 INSERT 2 a 10 0 20 0", Options{MaxDepth: 2}, "inserts within inserts, more than 2 deep"},
		{"edges", nest, "0 INSERT 2 a 10 0 20 0", Options{MaxEdges: 999}, "more than 999 edges are drawn"},
		{"edges of an ellipse", "", "0 ELLIPSE 10 0 20 0 11 100 21 0 40 0.5", Options{MaxEdges: 100}, "more than 100 edges are drawn"},
		{"edges of a spline", "", "0 SPLINE 71 2 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 100 20 0 10 0 20 1", Options{MaxEdges: 10}, "more than 10 edges are drawn"},
		{"points of a spline", "", "0 SPLINE 71 1 40 0 40 0 40 1 40 1 10 0 20 0 10 100 20 0", Options{MaxSplinePoints: 3}, "SPLINE with more than 3 control points and knots"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("edge.dxf", []byte(drawingOf("", c.blocks, c.entities)), c.opt)
			require.ErrorContains(t, err, c.fault)
			c.opt.SetAside = true
			if c.name != "points of a spline" {
				_, _, err = Read("edge.dxf", []byte(drawingOf("", c.blocks, c.entities)), c.opt)
				require.ErrorContains(t, err, c.fault, "a limit is never set aside")
			}
		})
	}
	_, rep := read(t, drawingOf("", nest, "0 INSERT 2 a 10 0 20 0"), Options{MaxEntities: 1111, MaxDepth: 3, MaxEdges: 1000})
	assert.Equal(t, 1111, rep.Entities)
}

// The drawings that lie beside the open boards. Source of the sizes: the profile in the board's own layer
// files, 99.949 × 69.977 mm (the drawing's left edge is at 93.427, that of the layer file at 93.472, so
// that 45 µm are theirs) and 162.179 × 126.492 mm; for the third, which has no such file, the extents
// $EXTMIN and $EXTMAX of its header, whose width takes in a dimension at the left.
func TestOpenDrawings(t *testing.T) {
	dir := shared.Dir(t, "boards")
	for _, c := range []struct {
		file   string
		opt    Options
		loops  int
		width  float64
		height float64
	}{
		{"daughter-2l-arcs74/stm32f4discovery_daughterboard_outline.dxf", Options{}, 5, 99.949 + 0.045, 69.977},
		{"half-2l-manyslots/redox_rev1-brd.dxf", Options{Unit: Inch}, 41, 162.179, 126.492},
		{"half-2l-manyslots/RedoxRev2Top_2d.dxf", Options{}, 41, 497.7982498852529 - 325.174869, 576.2860565603972 - 437.9094040231801},
	} {
		t.Run(filepath.Base(c.file), func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(c.file)))
			require.NoError(t, err)
			d, _, err := Read(c.file, data, c.opt)
			require.NoError(t, err)
			var edges []geom.Edge
			for _, x := range d.Layer("0").Curves {
				edges = append(edges, x.Path...)
			}
			j, err := geom.Join(edges, geom.JoinTolerance)
			require.NoError(t, err)
			assert.Empty(t, j.Open)
			require.Len(t, j.Loops, c.loops)
			assert.InDelta(t, c.width, j.Loops[0].Box().Width().MM(), 1.1e-3)
			assert.InDelta(t, c.height, j.Loops[0].Box().Height().MM(), 1.1e-3)
		})
	}
}
