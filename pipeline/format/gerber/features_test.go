package gerber

import (
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

const mm = geom.MM

func read(t testing.TB, data string) (*artwork.Image, *Report) {
	t.Helper()
	m, rep, err := Read("test.gbr", []byte(data), Options{})
	require.NoError(t, err)
	return m, rep
}

// body reads statements in millimetres, 4.6, with D10 a circle and D11 a rectangle.
func body(t testing.TB, data string) *artwork.Image {
	t.Helper()
	m, _ := read(t, "%FSLAX46Y46*%%MOMM*%%ADD10C,0.5*%%ADD11R,2X1*%"+data+"M02*")
	return m
}

func TestNumbersAreExact(t *testing.T) {
	for _, c := range []struct {
		head, x string
		want    geom.Length
	}{
		{"%FSLAX46Y46*%%MOMM*%", "X1234567", 1_234_567},
		{"%FSLAX46Y46*%%MOMM*%", "X-0000001", -1},
		{"%FSLAX34Y34*%%MOMM*%", "X+15", 1500},
		{"%FSLAX25Y25*%%MOIN*%", "X1", 254},
		{"%FSLAX24Y24*%%MOIN*%", "X-10001", -25_402_540},
		{"%FSLAX26Y26*%%MOIN*%", "X1", 25},  // 25.4 nm
		{"%FSLAX26Y26*%%MOIN*%", "X5", 127}, // 127 nm
		{"%FSLAX26Y26*%%MOIN*%", "X-3", -76},
		{"%FSLAX27Y27*%%MOIN*%", "X39370079", 100_000_001},
		{"%FSTAX24Y24*%%MOIN*%", "X01", 25_400_000},
		{"%FSTAX24Y24*%%MOIN*%", "X0125", 31_750_000},
		{"%FSTAX23Y23*%%MOMM*%", "X-1", -10_000_000},
		{"%FSAX24Y24*%%MOIN*%", "X010000", 25_400_000},
		{"%FSLAN2G2X33Y33D2M2*%%MOMM*%", "X1500", 1_500_000},
		{"%MOMM*FSLAX33Y33*%", "X1500", 1_500_000},
		{"%FSLAX33Y33*%G71*", "X1500", 1_500_000},
		{"%FSLAX46Y46*%%MOMM*%", "X1.25", 1_250_000}, // not allowed, but met
	} {
		m, _, err := Read("t", []byte(c.head+"%ADD10C,1*%D10*"+c.x+"Y0D03*M02*"), Options{})
		require.NoError(t, err, c.head)
		assert.Equal(t, c.want, m.Objects[0].Edge.From.X, "%s %s", c.head, c.x)
	}
}

func TestDefaultsForWhatAFileLeavesOut(t *testing.T) {
	m, rep, err := Read("t", []byte("%ADD10C,1*%D10*X1500Y0D03*M02*"), Options{DefaultUnit: UnitMM, DefaultFormat: &NumberFormat{XWhole: 3, XPart: 3, YWhole: 3, YPart: 3}})
	require.NoError(t, err)
	assert.Equal(t, 3*mm/2, m.Objects[0].Edge.From.X)
	assert.Len(t, rep.Warnings, 2)

	m, rep = read(t, "%FSLAX33Y33*%\n%ADD10C,1*%\n%MOIN*%\nD10*X1000Y0D03*M02*") // the unit comes late
	assert.Equal(t, geom.Inch, m.Objects[0].Edge.From.X)
	assert.Equal(t, geom.Inch, m.Apertures[0].Width)
	assert.Equal(t, []Note{{Line: 2, What: remarks[warnLateUnit], Count: 1}}, rep.Warnings)
}

func TestLineEndsDoNotMatter(t *testing.T) {
	text := "%FSLAX46Y46*%\n%MOMM*%\n%AMA*\n1,1,$1,\n0,0*\n%\n%ADD10A,\n0.5*%\nD10*\nX1000000\nY2000000\nD02*\nG01\nX3\nD01*\nM02*\n"
	want, _ := read(t, text)
	for _, end := range []string{"\r\n", "\r", "", "\n\n"} {
		got, _ := read(t, strings.ReplaceAll(text, "\n", end))
		assert.Equal(t, want, got, "%q", end)
	}
}

func TestStandardApertures(t *testing.T) {
	for _, c := range []struct {
		def  string
		want artwork.Aperture
	}{
		{"C,0", artwork.Aperture{}},
		{"C,0.0059055X.001", artwork.Aperture{Width: 5906, Hole: 1000}}, // 5905.5 rounds away from zero
		{"R,1X0.5X0.2", artwork.Aperture{Shape: artwork.Rectangle, Width: mm, Height: mm / 2, Hole: mm / 5}},
		{"O,1.0X.5", artwork.Aperture{Shape: artwork.Obround, Width: mm, Height: mm / 2}},
		{"P,1X8X22.5", artwork.Aperture{Shape: artwork.Polygon, Width: mm, Vertices: 8, Turn: 22_500_000}},
		{"P,1X6X-45X0.3", artwork.Aperture{Shape: artwork.Polygon, Width: mm, Vertices: 6, Turn: 15 * geom.Degree, Hole: 300_000}},
		{"R,1X0.5X0.2X0.1", artwork.Aperture{Shape: artwork.Macro, Name: "RectangularHole", Primitives: []artwork.Primitive{
			{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{mm, mm / 2}, Points: []geom.Point{{}}},
			{Kind: artwork.PrimCenterLine, Off: true, Size: [5]geom.Length{mm / 5, mm / 10}, Points: []geom.Point{{}}}}}},
	} {
		assert.Equal(t, c.want, body(t, "%ADD12"+c.def+"*%D12*X0Y0D03*").Apertures[0], c.def)
	}
}

// The syntax is that of the published layer format; the values were worked out by hand.
func TestMacros(t *testing.T) {
	pt := func(x, y float64) geom.Point { return geom.Point{X: geom.FromMM(x), Y: geom.FromMM(y)} }
	size := func(v ...float64) (s [5]geom.Length) {
		for i, x := range v {
			s[i] = geom.FromMM(x)
		}
		return s
	}
	for _, c := range []struct {
		macro, values string
		want          []artwork.Primitive
	}{
		{"0 a comment 1,2*1,1,$1,$2,-0.25*", "0.5X1", []artwork.Primitive{{Kind: artwork.PrimCircle, Size: size(.5), Points: []geom.Point{pt(1, -.25)}}}},
		{"1,1,1,2,0,90*", "", []artwork.Primitive{{Kind: artwork.PrimCircle, Size: size(1), Points: []geom.Point{pt(0, 2)}}}},
		{"20,1,.1,0,0,1,2,45*2,0,.1,0,0,1,2,0*", "", []artwork.Primitive{
			{Kind: artwork.PrimVectorLine, Size: size(.1), Points: []geom.Point{pt(0, 0), pt(1, 2)}, Turn: 45 * geom.Degree},
			{Kind: artwork.PrimVectorLine, Off: true, Size: size(.1), Points: []geom.Point{pt(0, 0), pt(1, 2)}}}},
		{"21,1,2,1,.5,.25,-30*22,1,2,1,-1,-.5,0*", "", []artwork.Primitive{
			{Kind: artwork.PrimCenterLine, Size: size(2, 1), Points: []geom.Point{pt(.5, .25)}, Turn: 330 * geom.Degree},
			{Kind: artwork.PrimCenterLine, Size: size(2, 1), Points: []geom.Point{pt(0, 0)}}}},
		{"4,1,3,0,0,1,0,0,1,0,0,$1*", "12.5", []artwork.Primitive{{Kind: artwork.PrimOutline, Points: []geom.Point{pt(0, 0), pt(1, 0), pt(0, 1), pt(0, 0)}, Turn: 12_500_000}}},
		{"5,1,8,0,0,1.08239X$1,22.5*", "2", []artwork.Primitive{{Kind: artwork.PrimPolygon, Vertices: 8, Size: size(2.16478), Points: []geom.Point{{}}, Turn: 22_500_000}}},
		{"6,1,2,5,.5,.25,3,.1,6,45*", "", []artwork.Primitive{{Kind: artwork.PrimMoire, Vertices: 3, Size: size(5, .5, .25, .1, 6), Points: []geom.Point{pt(1, 2)}, Turn: 45 * geom.Degree}}},
		{"7,1,2,5,4,.5,30*7,0,0,25.4,12.7,2.54*", "", []artwork.Primitive{
			{Kind: artwork.PrimThermal, Size: size(5, 4, .5), Points: []geom.Point{pt(1, 2)}, Turn: 30 * geom.Degree},
			{Kind: artwork.PrimThermal, Size: size(25.4, 12.7, 2.54), Points: []geom.Point{{}}}}},
		// Order of operations, brackets, signs, and variables set and never set.
		{"$4=$1x2+$2/4-1*$5=-($4-(1+1))x-0.5*1,1,$4,$5,$9*", "1X6", []artwork.Primitive{{Kind: artwork.PrimCircle, Size: size(2.5), Points: []geom.Point{pt(.25, 0)}}}},
		{"1,1,1/3x3,1-0.9,--1*", "", []artwork.Primitive{{Kind: artwork.PrimCircle, Size: size(1), Points: []geom.Point{pt(.1, 1)}}}},
	} {
		m := body(t, "%AMTEST*\n"+strings.ReplaceAll(c.macro, "*", "*\n")+"%%ADD12TEST,"+c.values+"*%D12*X0Y0D03*")
		assert.Equal(t, artwork.Aperture{Shape: artwork.Macro, Name: "TEST", Primitives: c.want}, m.Apertures[0], c.macro)
	}
}

func TestArcs(t *testing.T) {
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x * mm, Y: y * mm} }
	for _, c := range []struct {
		text string
		want geom.Edge
	}{
		{"G75*X1000000Y0D02*G03X1000000Y0I-1000000J0D01*", geom.Arc(p(1, 0), p(1, 0), p(0, 0), geom.CounterClockwise)}, // a full circle
		{"G75*X1000000Y0D02*G02X0Y1000000I-1000000J0D01*", geom.Arc(p(1, 0), p(0, 1), p(0, 0), geom.Clockwise)},
		{"G74*X1000000Y0D02*G03X1000000Y0I1000000J0D01*", geom.Line(p(1, 0), p(1, 0))}, // a point
		{"G74*X1000000Y0D02*G03X0Y1000000I1000000J0D01*", geom.Arc(p(1, 0), p(0, 1), p(0, 0), geom.CounterClockwise)},
		{"G74*X1000000Y0D02*G02X0Y1000000I0J1000000D01*", geom.Arc(p(1, 0), p(0, 1), p(1, 1), geom.Clockwise)},
		{"X1000000Y0D02*G03X-1000000Y0I-1000000J0D01*", geom.Arc(p(1, 0), p(-1, 0), p(0, 0), geom.CounterClockwise)}, // no mode stated
	} {
		assert.Equal(t, c.want, body(t, "D10*"+c.text).Objects[0].Edge, c.text)
	}
	// Radii off by rounding stay as written; off by more, the centre moves so that they agree.
	m, rep := read(t, "%FSLAX33Y33*%%MOIN*%%ADD10C,.01*%D10*G75*X0Y0D02*G03X1001Y1000I0J1000D01*M02*")
	e := m.Objects[0].Edge
	assert.InDelta(t, e.Radius(), e.To.Distance(e.Center), 2)
	assert.Equal(t, remarks[warnRecentred], rep.Warnings[0].What)
	_, _, err := Read("t", []byte("%FSLAX33Y33*%%MOIN*%%ADD10C,.01*%D10*G75*X0Y0D02*G03X1001Y1000I0J1000D01*M02*"), Options{ArcTolerance: geom.UM})
	require.ErrorContains(t, err, "arc whose radii disagree: 25.4 mm from the centre to its start, 25.4254 mm to its end")
}

func TestRegions(t *testing.T) {
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x, Y: y} }
	// Two contours; the second is left open and begins without a move of its own line; a zero-length edge.
	m, rep := read(t, "%FSLAX46Y46*%%MOMM*%%TA.AperFunction,Conductor*%%TO.N,GND*%G36*X0Y0D02*G01X10D01*X10D01*G75*G03X0Y10I-5J5D01*G01Y0D01*X20Y0D02*X30D01*Y9D01*G37*M02*")
	require.Len(t, m.Objects, 1)
	o := m.Objects[0]
	assert.Equal(t, artwork.Fill, o.Kind)
	assert.Equal(t, "Conductor", m.Sets[o.AperSet].Get(".AperFunction")[0])
	assert.Equal(t, "GND", m.Sets[o.Set].Get(".N")[0])
	assert.Equal(t, []geom.Path{
		{geom.Line(p(0, 0), p(10, 0)), geom.Arc(p(10, 0), p(0, 10), p(5, 5), geom.CounterClockwise), geom.Line(p(0, 10), p(0, 0))},
		{geom.Line(p(20, 0), p(30, 0)), geom.Line(p(30, 0), p(30, 9)), geom.Line(p(30, 9), p(20, 0))},
	}, m.Regions[o.Region].Contours)
	assert.Equal(t, []Note{{Line: 1, What: remarks[warnOpenContour], Count: 1}}, rep.Warnings)
}

func TestAttributes(t *testing.T) {
	m, rep := read(t, `%TF.GenerationSoftware,Gaugeworks,Layout,2.1*%
G04 #@! TF.Part,Single*
%TF.Note,a\u002Cb\u00e9\U0001F30A\q*%
%FSLAX46Y46*%
%MOMM*%
G04 #@! TA.AperFunction,SMDPad,CuDef*
%ADD10C,1*%
G04 #@! TD*
%ADD11C,1*%
D10*
%TO.N,VCC*%
%TO.C,R1*%
X1Y0D03*
%TO.N,GND*%
X2Y0D03*
%TD.N*%
X3Y0D03*
%TO.N,VCC*%
%TO.Empty*%
%TD.Empty*%
D11*
X4Y0D03*
%TD*%
X5Y0D03*
M02*
`)
	assert.Equal(t, "Gaugeworks Layout 2.1", rep.Generator)
	assert.Equal(t, artwork.Attributes{{Name: ".GenerationSoftware", Values: []string{"Gaugeworks", "Layout", "2.1"}}, {Name: ".Part", Values: []string{"Single"}},
		{Name: ".Note", Values: []string{"a,bé🌊\\q"}}}, m.Attributes)
	sets := func(i int) artwork.Attributes { return m.Sets[m.Objects[i].Set] }
	assert.Equal(t, artwork.Attributes{{Name: ".N", Values: []string{"VCC"}}, {Name: ".C", Values: []string{"R1"}}}, sets(0))
	assert.Equal(t, artwork.Attributes{{Name: ".N", Values: []string{"GND"}}, {Name: ".C", Values: []string{"R1"}}}, sets(1))
	assert.Equal(t, artwork.Attributes{{Name: ".C", Values: []string{"R1"}}}, sets(2))
	assert.Equal(t, artwork.Attributes{{Name: ".C", Values: []string{"R1"}}, {Name: ".N", Values: []string{"VCC"}}}, sets(3))
	assert.Empty(t, sets(4))
	assert.Equal(t, []string{"SMDPad", "CuDef"}, m.Sets[m.Apertures[m.Objects[0].Aperture].Set].Get(".AperFunction"))
	assert.Zero(t, m.Apertures[m.Objects[3].Aperture].Set)
}

func TestApertureRedefined(t *testing.T) {
	m := body(t, "D10*X0Y0D03*%ADD10C,0.7*%D10*X0Y0D03*")
	assert.Equal(t, mm/2, m.Apertures[m.Objects[0].Aperture].Width)
	assert.Equal(t, 7*mm/10, m.Apertures[m.Objects[1].Aperture].Width)
	m = body(t, "D10*X0Y0D03*%ADD12C,0.5*%D12*X0Y0D03*")
	assert.Equal(t, m.Objects[0].Aperture, m.Objects[1].Aperture, "equal apertures are one")
}

func TestOrientation(t *testing.T) {
	corner := "%AMCORNER*4,1,3,0,0,3,1,0,2,0,0,0*%%ADD12CORNER*%D12*"
	outline := func(m *artwork.Image) []geom.Point {
		q := m.Apertures[m.Objects[0].Aperture].Primitives[0]
		var out []geom.Point
		for _, p := range q.Points[:3] {
			out = append(out, geom.Transform{Turn: q.Turn}.Apply(p))
		}
		return out
	}
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x * mm, Y: y * mm} }
	for text, want := range map[string][]geom.Point{
		"%LMX*%":                {p(0, 0), p(-3, 1), p(0, 2)},
		"%LMY*%":                {p(0, 0), p(3, -1), p(0, -2)},
		"%LMXY*%":               {p(0, 0), p(-3, -1), p(0, -2)},
		"%LR90*%":               {p(0, 0), p(-1, 3), p(-2, 0)},
		"%LMX*%%LR90*%":         {p(0, 0), p(-1, -3), p(-2, 0)}, // mirrored first, then turned
		"%LR90*%%LMX*%":         {p(0, 0), p(-1, -3), p(-2, 0)},
		"%LS2*%":                {p(0, 0), p(6, 2), p(0, 4)},
		"%LMX*%%LMN*%":          {p(0, 0), p(3, 1), p(0, 2)},
		"%LMXY*%%LR180*%%LS1*%": {p(0, 0), p(3, 1), p(0, 2)},
	} {
		assert.Equal(t, want, outline(body(t, corner+text+"X0Y0D03*")), text)
	}
	assert.Equal(t, artwork.Aperture{Shape: artwork.Rectangle, Width: mm / 2, Height: mm}, body(t, "D11*%LR90*%%LS.5*%X0Y0D03*").Apertures[0])
	assert.Equal(t, 60*geom.Degree, body(t, "%ADD12P,1X3*%D12*%LMX*%X0Y0D03*").Apertures[0].Turn, "a triangle mirrored left to right points left")

	// A rectangle drawn along its own diagonal direction, turned by 45 degrees, covers a rectangle.
	m := body(t, "%ADD12R,1.414214X1.414214*%D12*%LR45*%X0Y0D02*X10000000D01*")
	assert.Empty(t, m.Apertures)
	want := geom.Path{}
	pts := []geom.Point{{X: -mm}, {Y: -mm}, {X: 10 * mm, Y: -mm}, {X: 11 * mm}, {X: 10 * mm, Y: mm}, {Y: mm}}
	for i := range pts {
		want = append(want, geom.Line(pts[i], pts[(i+1)%len(pts)]))
	}
	assert.Equal(t, want, m.Regions[0].Contours[0])
}

func TestStepAndRepeat(t *testing.T) {
	m := body(t, "D10*%SRX2Y3I10J5*%X0Y0D03*%LPC*%G36*X0Y0D02*X1D01*Y1D01*X0Y0D01*G37*%LPD*%%SR*%X1Y1D03*")
	require.Len(t, m.Objects, 13)
	var at []geom.Point
	for i := 0; i < 12; i += 2 {
		assert.Equal(t, artwork.Flash, m.Objects[i].Kind)
		assert.True(t, m.Objects[i+1].Clear)
		at = append(at, m.Objects[i].Edge.From)
		assert.Equal(t, m.Objects[i].Edge.From, m.Regions[m.Objects[i+1].Region].Contours[0][0].From)
	}
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x * mm, Y: y * mm} }
	assert.Equal(t, []geom.Point{p(0, 0), p(0, 5), p(0, 10), p(10, 0), p(10, 5), p(10, 10)}, at)

	m = body(t, "D10*%SRX2Y1I1J0*%X0Y0D03*%SRX3Y1I1J0*%X0Y0D03*") // a second ends the first; the end of the file ends both
	assert.Len(t, m.Objects, 5)
}

func TestApertureBlocks(t *testing.T) {
	// A block of a pad and a stroke; a block of two of those; flashed mirrored, turned, scaled, clear.
	inner := "%ABD20*%D10*X1000000Y0D03*%LPC*%X0Y0D02*G01X2000000Y1000000D01*%LPD*%%AB*%"
	m := body(t, inner+"%ABD21*%D20*X0Y0D03*%LPC*%X10000000Y0D03*%LPD*%%AB*%D21*%LMX*%%LR90*%%LS2*%X100000000Y0D03*")
	require.Len(t, m.Objects, 4)
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x * mm, Y: y * mm} }
	var from []geom.Point
	var clear []bool
	for _, o := range m.Objects {
		from, clear = append(from, o.Edge.From), append(clear, o.Clear)
		assert.Equal(t, mm, m.Apertures[o.Aperture].Width)
	}
	// (x, y) goes to (−x, y), then ×2, then a quarter turn: (−2y, −2x), then to (100, 0).
	assert.Equal(t, []geom.Point{p(100, -2), p(100, 0), p(100, -22), p(100, -20)}, from)
	assert.Equal(t, p(98, -4), m.Objects[1].Edge.To)
	assert.Equal(t, []bool{false, true, true, false}, clear)

	// An object without attributes takes those of the flash; an arc mirrored turns the other way.
	m = body(t, "%ABD20*%D10*G75*X0Y0D02*G03X2000000Y0I1000000J0D01*%AB*%%TO.C,U1*%D20*%LMY*%X0Y0D03*")
	assert.Equal(t, "U1", m.Sets[m.Objects[0].Set].Get(".C")[0])
	assert.Equal(t, geom.Clockwise, m.Objects[0].Edge.Sense)
	// The definition before holds until the new one is complete.
	m = body(t, "%ABD10*%D10*X0Y0D03*%AB*%D10*X1Y1D03*")
	assert.Equal(t, mm/2, m.Apertures[m.Objects[0].Aperture].Width)
}

func TestOldCodes(t *testing.T) {
	m, rep := read(t, "G04 exported by an older CAD system*%ASAXBY*%%FSLAX23Y23*%%MOIN*%%OFA0B0*%%SFA1.0B1.0*%%IPPOS*%%LNCOPPER*%%ADD10C,.05*%N5G90*G70*G54D10*X100Y100D02*X200D01*Y200*G55X0Y0D3*G91*X10D03*X10Y10*M00*")
	assert.Equal(t, "exported by an older CAD system", rep.Generator)
	assert.True(t, rep.HasEnd)
	require.Len(t, m.Objects, 5)
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x * geom.Mil, Y: y * geom.Mil} }
	assert.Equal(t, geom.Line(p(200, 100), p(200, 200)), m.Objects[1].Edge)
	assert.Equal(t, p(0, 0), m.Objects[2].Edge.From)
	assert.Equal(t, p(20, 10), m.Objects[4].Edge.From)
	var kinds []string
	for _, n := range rep.Deprecated {
		kinds = append(kinds, n.What)
	}
	for _, r := range []remark{oldNoOperation, oldSelect, oldPrepare, oldUnit, oldNotation, oldStop, oldSequence, oldImagePolarity, oldTransform, oldLayerName} {
		assert.Contains(t, kinds, remarks[r])
	}
}

func TestStatementsOnTheWholeImage(t *testing.T) {
	p := func(x, y geom.Length) geom.Point { return geom.Point{X: x * mm, Y: y * mm} }
	for text, want := range map[string]geom.Edge{
		"%OFA1B-2*%":              geom.Arc(p(2, -2), p(1, -1), p(1, -2), geom.CounterClockwise),
		"%MIA1B0*%":               geom.Arc(p(-1, 0), p(0, 1), p(0, 0), geom.Clockwise),
		"%MIA1B1*%":               geom.Arc(p(-1, 0), p(0, -1), p(0, 0), geom.CounterClockwise),
		"%SFA2B2*%":               geom.Arc(p(2, 0), p(0, 2), p(0, 0), geom.CounterClockwise),
		"%IR90*%":                 geom.Arc(p(0, 1), p(-1, 0), p(0, 0), geom.CounterClockwise),
		"%IR90*%%OFA1B0*MIA1B0*%": geom.Arc(p(0, 0), p(-1, 1), p(0, 1), geom.Clockwise),
	} {
		assert.Equal(t, want, body(t, text+"D10*G75*X1000000Y0D02*G03X0Y1000000I-1000000J0D01*").Objects[0].Edge, text)
	}
	assert.Equal(t, 2*mm, body(t, "%IR90*%D11*X0Y0D03*").Apertures[0].Height)
}

func TestEnds(t *testing.T) {
	_, rep := read(t, start+"X1Y1D03*\n")
	assert.False(t, rep.HasEnd)
	assert.Equal(t, []Note{{Line: 5, What: remarks[warnNoEnd], Count: 1}}, rep.Warnings)
	_, rep = read(t, start+"X1Y1D03*\nM02*\n\x1a")
	assert.Empty(t, rep.Warnings)
	_, rep = read(t, start+"X1Y1D03*\nM02*\nX2Y2D03*\n")
	assert.Equal(t, remarks[warnAfterEnd], rep.Warnings[0].What)
	_, rep = read(t, start+"X1Y1D03*\nM02")
	assert.True(t, rep.HasEnd)
}

// The reader allocates less than ten times the bytes it reads; it can hold no more than that.
func TestMemory(t *testing.T) {
	files := layers(t, "boards")
	for _, name := range names(files) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, _, err := Read(name, files[name], Options{})
		runtime.ReadMemStats(&after)
		require.NoError(t, err)
		assert.Less(t, int(after.TotalAlloc-before.TotalAlloc), 8*len(files[name])+1<<18, name)
	}
}
