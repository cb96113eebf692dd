package gerber

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

func write(t testing.TB, h Header, pieces ...Piece) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, h, pieces))
	return b.String()
}

// The whole file, so that a change of any byte is seen.
func TestWholeFile(t *testing.T) {
	m, _ := read(t, `%FSLAX46Y46*%
%MOMM*%
%AMdot-1*1,1,$1,0,0*20,0,0.1,-1,0,1,0,0*%
%TA.AperFunction,SMDPad,CuDef*%
%ADD20R,1X0.5*%
%TD*%
%ADD21dot-1,0.75*%
%ADD22dot-1,0.8*%
%ADD23C,0.2*%
D23*
%TO.N,GND*%
X0Y0D02*
G01X1000000D01*
G75*
G03X2000000Y1000000I0J1000000D01*
D20*
%TO.C,U1*%
X5000000Y5000000D03*
%TD.N*%
%LPC*%
D21*
X6000000D03*
D22*
X7000000D03*
%TA.AperFunction,Conductor*%
G36*
X0Y0D02*
G01X1000000D01*
Y1000000D01*
X0Y0D01*
G37*
M02*`)
	got := write(t, Header{
		Attributes: artwork.Attributes{{Name: ".FileFunction", Values: []string{"Copper", "L1", "Top"}}, {Name: ".Part", Values: []string{"Array"}}},
		Comments:   []string{"first\nsecond 100% *\n#@! TF.Part,Single"},
	}, Piece{Image: m, Comment: "copy A1"}, Piece{Image: m, Place: geom.Transform{Turn: geom.Quarter, Shift: geom.Point{X: 100 * mm}}, Comment: "copy B1"})
	assert.Equal(t, `%FSLAX46Y46*%
%MOMM*%
%TF.FileFunction,Copper,L1,Top*%
%TF.Part,Array*%
G04 first*
G04 second 100. .*
G04 # @! TF.Part,Single*
G01*
G75*
%ADD10C,0.2*%
%TA.AperFunction,SMDPad,CuDef*%
%ADD11R,1X0.5*%
%TD*%
%AMdot_1*
1,1,0.75,0,0*
20,0,0.1,-1,0,1,0,0*
%
%ADD12dot_1*%
%AMdot_1_2*
1,1,0.8,0,0*
20,0,0.1,-1,0,1,0,0*
%
%ADD13dot_1_2*%
%TA.AperFunction,SMDPad,CuDef*%
%ADD14R,0.5X1*%
%TD*%
%AMdot_1_3*
1,1,0.75,0,0*
20,0,0.1,-1,0,1,0,90*
%
%ADD15dot_1_3*%
%AMdot_1_4*
1,1,0.8,0,0*
20,0,0.1,-1,0,1,0,90*
%
%ADD16dot_1_4*%
%LPD*%
G04 copy A1*
%TO.N,GND*%
D10*
X0Y0D02*
X1000000Y0D01*
G03*
X2000000Y1000000I0J1000000D01*
%TO.C,U1*%
D11*
X5000000Y5000000D03*
%LPC*%
%TD.N*%
D12*
X6000000Y5000000D03*
D13*
X7000000Y5000000D03*
%TA.AperFunction,Conductor*%
G36*
X0Y0D02*
G01*
X1000000Y0D01*
X1000000Y1000000D01*
X0Y0D01*
G37*
G04 copy B1*
%LPD*%
%TD.C*%
%TO.N,GND*%
D10*
X100000000Y0D02*
X100000000Y1000000D01*
G03*
X99000000Y2000000I-1000000J0D01*
%TO.C,U1*%
D14*
X95000000Y5000000D03*
%LPC*%
%TD.N*%
D15*
X95000000Y6000000D03*
D16*
X95000000Y7000000D03*
G36*
X100000000Y0D02*
G01*
X100000000Y1000000D01*
X99000000Y1000000D01*
X100000000Y0D01*
G37*
M02*
`, got)
}

func TestTurnedByAnOddAngle(t *testing.T) {
	turn := geom.Transform{Turn: 30 * geom.Degree, Shift: geom.Point{X: 50 * mm, Y: 50 * mm}}
	m := body(t, `%TA.AperFunction,Conductor*%%ADD12R,2X1*%%TD*%%ADD13O,2X1X0.3*%%ADD14P,2X5X10*%
%TO.N,A*%D12*X0Y0D02*G01X10000000D01*X0Y0D03*D13*X0Y0D03*D14*X0Y0D03*D10*X0Y0D02*X10000000D01*`)
	again := reread(t, []byte(write(t, Header{}, Piece{Image: m, Place: turn})))
	require.Len(t, again.Objects, 5)

	swept := again.Objects[0]
	assert.Equal(t, artwork.Fill, swept.Kind)
	assert.Equal(t, "Conductor", again.Sets[swept.AperSet].Get(".AperFunction")[0])
	assert.Equal(t, "A", again.Sets[swept.Set].Get(".N")[0])
	c := again.Regions[swept.Region].Contours[0]
	assert.LessOrEqual(t, len(c), 6, "along its own side a rectangle sweeps a rectangle, with corners rounded to the nanometre on the way")
	assert.InDelta(t, float64(12*mm)*float64(mm), c.Area(), 1e7) // 12 mm × 1 mm within 1 nm along the outline

	rect := again.Apertures[again.Objects[1].Aperture]
	assert.Equal(t, artwork.Macro, rect.Shape)
	assert.Equal(t, 30*geom.Degree, rect.Primitives[0].Turn)
	assert.Equal(t, "Conductor", again.Sets[rect.Set].Get(".AperFunction")[0])
	assert.Len(t, again.Apertures[again.Objects[2].Aperture].Primitives, 4)
	assert.Equal(t, 40*geom.Degree, again.Apertures[again.Objects[3].Aperture].Turn)
	assert.Equal(t, turn.Apply(geom.Point{X: 10 * mm}), again.Objects[4].Edge.To)
	assert.Equal(t, write(t, Header{}, Piece{Image: again}), write(t, Header{}, Piece{Image: m, Place: turn}), "stable")

	var b bytes.Buffer
	m = body(t, "D11*G75*X0Y0D02*G03X10000000Y0I5000000J0D01*")
	require.EqualError(t, Write(&b, Header{}, []Piece{{Image: m, Place: turn}}), "piece 1: object 1: an arc drawn with a rectangle cannot be turned by 30 deg, only by quarter turns")
	require.NoError(t, Write(&b, Header{}, []Piece{{Image: m, Place: geom.Transform{Turn: geom.Quarter}}}))
}

// A short arc whose ends fall together when rounded must not turn into a full circle.
func TestShortArcStaysShort(t *testing.T) {
	m := body(t, "D10*G75*X1000000Y0D02*G03X1000000Y1I-1000000J0D01*")
	for deg := range geom.Angle(90) {
		again := reread(t, []byte(write(t, Header{}, Piece{Image: m, Place: geom.Transform{Turn: deg * geom.Degree}})))
		assert.Less(t, again.Objects[0].Edge.Length(), 3.0, "%d degrees", deg)
	}
}

func TestWriteRefuses(t *testing.T) {
	far := geom.Transform{Shift: geom.Point{X: 999 * mm}}
	flash := body(t, "D10*X5000000Y0D03*")
	gap := &artwork.Image{Regions: []artwork.Region{{Contours: []geom.Path{{geom.Line(geom.Pt(0, 0), geom.Pt(1, 0)), geom.Line(geom.Pt(2, 0), geom.Pt(0, 0))}}}},
		Objects: []artwork.Object{{Kind: artwork.Fill, Aperture: -1}}}
	open := &artwork.Image{Regions: []artwork.Region{{Contours: []geom.Path{{geom.Line(geom.Pt(0, 0), geom.Pt(1, 0))}}}},
		Objects: []artwork.Object{{Kind: artwork.Fill, Aperture: -1}}}
	for _, c := range []struct {
		head  Header
		piece Piece
		want  string
	}{
		{Header{}, Piece{Image: flash, Place: far}, "piece 1: object 1: (1004, 0) mm lies beyond 1 m from the origin"},
		{Header{}, Piece{Image: gap}, "piece 1: object 1: contour 1 of region 0 has a gap at (0.000001, 0) mm"},
		{Header{}, Piece{Image: open}, "piece 1: object 1: contour 1 of region 0 is not closed"},
		{Header{}, Piece{Image: &artwork.Image{Objects: []artwork.Object{{Aperture: 3}}}}, "piece 1: object 1 has no aperture"},
		{Header{Attributes: artwork.Attributes{{}}}, Piece{Image: flash}, "a file attribute without a name cannot be written"},
	} {
		require.EqualError(t, Write(&bytes.Buffer{}, c.head, []Piece{c.piece}), c.want)
	}
	m := body(t, "D10*"+strings.Repeat("X5000000Y0D03*", 10_000))
	require.ErrorIs(t, Write(full{}, Header{}, []Piece{{Image: m}}), errFull)
}

type full struct{}

var errFull = errors.New("disk full")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestTextSurvives(t *testing.T) {
	for _, s := range []string{"", " ", "a b ", "a,b", "100%", "*", `\u0041`, `\`, "é", "🌊", "\u00a0", "tab\t", "line\nend"} {
		h := Header{Attributes: artwork.Attributes{{Name: "note " + s, Values: []string{s, s}}, {Name: "bare"}}}
		m, _ := read(t, write(t, h))
		assert.Equal(t, h.Attributes, m.Attributes, "%q", s)
	}
}
