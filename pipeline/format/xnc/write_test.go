package xnc

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

const mm = geom.MM

// gauge is a small drilling with everything in it.
func gauge() *artwork.Drilling {
	return &artwork.Drilling{
		Plating: artwork.Plated,
		Tools: []artwork.Tool{
			{Number: 7, Diameter: 1 * mm, Set: 1},
			{Number: 3, Diameter: 300_001, Set: 2},
			{Number: 9, Diameter: 2 * mm},
		},
		Sets: []artwork.Attributes{nil,
			{{Name: ".AperFunction", Values: []string{"Plated", "PTH", "ComponentDrill"}}},
			{{Name: ".AperFunction", Values: []string{"Plated", "PTH", "ViaDrill"}}},
			{{Name: ".N", Values: []string{"/LEVEL,1"}}},
		},
		Holes: []artwork.Hole{
			{Tool: 0, At: geom.Pt(10*mm, 1)},
			{Tool: 1, At: geom.Pt(-1_234_567, 25_400)},
			{Tool: 0, At: geom.Pt(5*mm, 5*mm), Set: 3},
		},
		Routs: []artwork.Rout{
			{Tool: 0, Path: geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(0, 3*mm))}},
			{Tool: 0, Path: geom.Path{
				geom.Line(geom.Pt(0, 0), geom.Pt(2*mm, 0)),
				geom.Arc(geom.Pt(2*mm, 0), geom.Pt(3*mm, 1*mm), geom.Pt(2*mm, 1*mm), geom.CounterClockwise),
				geom.Arc(geom.Pt(3*mm, 1*mm), geom.Pt(4*mm, 2*mm), geom.Pt(4*mm, 1*mm), geom.Clockwise),
			}},
		},
	}
}

var plated = Header{
	Attributes: artwork.Attributes{{Name: ".FileFunction", Values: []string{"Plated", "1", "2", "PTH"}}},
	Comments:   []string{"RG-1042 revision C"},
}

func TestWriteRout(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, plated, []Piece{{Drilling: gauge()}}, Rout))
	assert.Equal(t, `M48
; #@! TF.FileFunction,Plated,1,2,PTH
; RG-1042 revision C
METRIC
; #@! TA.AperFunction,Plated,PTH,ViaDrill
T1C0.300001
; #@! TA.AperFunction,Plated,PTH,ComponentDrill
T2C1.000
%
G05
T1
X-1.234567Y0.0254
T2
X10.000Y0.000001
; #@! TO.N,/LEVEL\u002C1
X5.000Y5.000
; #@! TD
G00X0.000Y0.000
M15
G01X0.000Y3.000
M16
G05
G00X0.000Y0.000
M15
G01X2.000Y0.000
G03X3.000Y1.000A1.000
G02X4.000Y2.000A1.000
M16
G05
M30
`, b.String())
}

func TestWriteNibbled(t *testing.T) {
	d := gauge()
	d.Routs = d.Routs[:1]
	var b bytes.Buffer
	require.NoError(t, Write(&b, plated, []Piece{{d, geom.Transform{Shift: geom.Pt(mm, 0)}}}, Nibbled))
	assert.Contains(t, b.String(), "X1.000Y0.000G85X1.000Y3.000\nM30\n")

	err := Write(&b, plated, []Piece{{Drilling: gauge()}}, Nibbled)
	assert.EqualError(t, err, `the slot from (2, 0) to (3, 1) mm has an arc, which rows of holes (G85) cannot say: write it with slots = "rout"`)
}

func TestWriteRefuses(t *testing.T) {
	non := gauge()
	non.Plating = artwork.NonPlated
	thin := gauge()
	thin.Tools[0].Diameter = 0
	for name, c := range map[string]struct {
		head Header
		d    *artwork.Drilling
		how  Dialect
		want string
	}{
		"plating":   {plated, non, Rout, `tool 7, 1 mm, is NonPlated, but the file's function says Plated`},
		"diameter":  {plated, thin, Rout, `tool 7 has no diameter`},
		"dialect":   {plated, thin, "fine", `there is no drill dialect "fine"; the dialects are "rout" and "g85"`},
		"comment":   {Header{Comments: []string{"one\ntwo"}}, gauge(), Rout, `the comment "one\ntwo" cannot be written: it must be one line of plain letters, and #@! at its beginning marks an attribute`},
		"attribute": {Header{Attributes: artwork.Attributes{{Name: ".a b"}}}, gauge(), Rout, `the attribute name ".a b" cannot be written`},
	} {
		t.Run(name, func(t *testing.T) {
			assert.EqualError(t, Write(&bytes.Buffer{}, c.head, []Piece{{Drilling: c.d}}, c.how), c.want)
		})
	}
	far := gauge()
	err := Write(&bytes.Buffer{}, plated, []Piece{{far, geom.Transform{Shift: geom.Pt(2000*mm, 0)}}}, Rout)
	assert.EqualError(t, err, "the place (1998.765433, 0.0254) mm lies more than 1000 mm from the origin")
}

// Two copies, one turned: tools are merged, holes stand tool by tool in the order of the copies.
func TestWriteMerges(t *testing.T) {
	d := gauge()
	d.Routs = nil
	var b bytes.Buffer
	require.NoError(t, Write(&b, plated, []Piece{
		{d, geom.Transform{}},
		{d, geom.Transform{Turn: geom.Half, Shift: geom.Pt(100*mm, 100*mm)}},
	}, Rout))
	back, rep, err := Read("merged.drl", b.Bytes(), Options{})
	require.NoError(t, err)
	assert.Empty(t, rep.Warnings)
	var at []geom.Point
	for _, h := range back.Holes {
		at = append(at, h.At)
	}
	assert.Equal(t, []geom.Point{
		{X: -1_234_567, Y: 25_400}, {X: 101_234_567, Y: 99_974_600},
		{X: 10 * mm, Y: 1}, {X: 5 * mm, Y: 5 * mm}, {X: 90 * mm, Y: 99_999_999}, {X: 95 * mm, Y: 95 * mm},
	}, at)
	assert.Len(t, back.Tools, 2)
}

// What is written is read back object for object, in both dialects.
func TestRoundTrip(t *testing.T) {
	d := gauge()
	d.Routs = append(d.Routs, artwork.Rout{Tool: 2, Path: geom.Path{
		geom.Arc(geom.Pt(7*mm, 5*mm), geom.Pt(7*mm, 5*mm), geom.Pt(5*mm, 5*mm), geom.Clockwise), // full circle: three parts
	}})
	var b bytes.Buffer
	require.NoError(t, Write(&b, plated, []Piece{{Drilling: d}}, Rout))
	back, rep, err := Read("gauge.drl", b.Bytes(), Options{})
	require.NoError(t, err)
	assert.Equal(t, &Report{Unit: Millimetre, HasEnd: true}, rep)
	assert.Equal(t, artwork.Plated, back.Plating)
	assert.Equal(t, [2]int{1, 2}, [2]int{back.From, back.To})
	assert.Equal(t, plated.Attributes, back.Attributes)
	require.Len(t, back.Holes, 3)
	assert.Equal(t, d.Holes[1].At, back.Holes[0].At)
	assert.Equal(t, d.Holes[0].At, back.Holes[1].At)
	assert.Equal(t, d.Holes[2].At, back.Holes[2].At)
	assert.Equal(t, []string{"/LEVEL,1"}, back.Sets[back.Holes[2].Set].Get(".N"))
	assert.Equal(t, "ViaDrill", back.Sets[back.Tools[0].Set].Get(".AperFunction")[2])
	require.Len(t, back.Routs, 3)
	assert.Equal(t, d.Routs[0].Path, back.Routs[0].Path)
	assert.Equal(t, d.Routs[1].Path, back.Routs[1].Path)
	circle := back.Routs[2].Path
	require.Len(t, circle, 3)
	assert.True(t, circle.Closed())
	for _, e := range circle {
		assert.InDelta(t, 0, e.Center.Distance(geom.Pt(5*mm, 5*mm)), 3)
	}
	assert.Empty(t, back.Sets[back.Tools[2].Set], "the third tool has no attributes of its own")

	var again bytes.Buffer
	require.NoError(t, Write(&again, plated, []Piece{{Drilling: back}}, Rout))
	assert.Equal(t, b.String(), again.String())
}

// Without a file function the tools say their plating themselves.
func TestMixedPlatingRoundTrip(t *testing.T) {
	d := gauge()
	d.Plating = artwork.PlatingUnknown
	d.Sets = d.Sets[:1]
	d.Tools = []artwork.Tool{
		{Number: 1, Diameter: mm, Plating: artwork.Plated},
		{Number: 2, Diameter: mm, Plating: artwork.NonPlated},
		{Number: 3, Diameter: 2 * mm},
	}
	d.Holes = []artwork.Hole{{Tool: 0}, {Tool: 1}, {Tool: 2}}
	d.Routs = nil
	var b bytes.Buffer
	require.NoError(t, Write(&b, Header{}, []Piece{{Drilling: d}}, Rout))
	back, _, err := Read("mixed.drl", b.Bytes(), Options{})
	require.NoError(t, err)
	assert.Equal(t, d.Tools, back.Tools)
	assert.Equal(t, artwork.PlatingUnknown, back.Plating)
}
