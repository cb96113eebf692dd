package xnc

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

func read(t *testing.T, text string, opt Options) (*artwork.Drilling, *Report) {
	t.Helper()
	d, rep, err := Read("gauge.drl", []byte(text), opt)
	require.NoError(t, err)
	return d, rep
}

func places(d *artwork.Drilling) []geom.Point {
	var out []geom.Point
	for _, h := range d.Holes {
		out = append(out, h.At)
	}
	return out
}

// How one and the same number reads under each header. The rules are those of the drill machines'
// format (from memory of the open description); 00.0000 inch and 000.000 mm are its own figures.
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		name, header, x string
		opt             Options
		want            geom.Length
		guessed         string
	}{
		{"decimal mm", "METRIC", "1.5", Options{}, 1_500_000, ""},
		{"decimal inch", "INCH,TZ", "3.", Options{}, 3 * geom.Inch, ""},
		{"decimal, no zero", "INCH", "-.0001", Options{}, -2540, ""},
		{"plus", "METRIC", "+2.000001", Options{}, 2_000_001, ""},
		{"seven decimals round", "METRIC", "0.0000005", Options{}, 1, ""},
		{"mask, leading zeros left out", "METRIC,TZ,000.000", "24846", Options{}, 24_846_000, ""},
		{"mask, trailing zeros left out", "METRIC,LZ,000.000", "024846", Options{}, 24_846_000, ""},
		{"trailing zeros left out, short", "INCH,LZ,00.0000", "015", Options{}, 38_100_000, ""},
		{"shorter than the integer digits", "METRIC,LZ,0000.00", "01", Options{}, 100 * mm, ""},
		{"mask 0000.00", "METRIC,TZ,0000.00", "2484", Options{}, 24_840_000, ""},
		{"digits in a comment", ";FILE_FORMAT=2:4\nINCH", "049080", Options{}, 124_663_200, ""},
		{"format comment", ";FORMAT={3:3/ absolute / metric / suppress leading zeros}\nFMAT,2", "12500", Options{}, 12_500_000, ""},
		{"format comment, trailing", ";FORMAT={3:3/ absolute / metric / suppress trailing zeros}", "0125", Options{}, 12_500_000, ""},
		{"recipe's digits", "INCH,TZ", "12345", Options{Integer: 2, Decimals: 3}, 313_563_000, ""},
		{"recipe's zeros", "METRIC,000.000", "0125", Options{Zeros: LeadingKept}, 12_500_000, ""},
		{"recipe's unit", "", "1.5", Options{Unit: Inch}, 38_100_000, ""},
		{"guessed digits, inch", "INCH,TZ", "12345", Options{}, 31_356_300, "digits 2.4 (the usual for inch whose holes span a likely board)"},
		{"guessed digits, mm", "METRIC,TZ", "12345", Options{}, 12_345_000, "digits 3.3 (the usual for mm whose holes span a likely board)"},
		{"guessed zeros", "METRIC,000.000", "0125", Options{}, 12_500_000, "leading zeros kept (coordinates begin with zeros)"},
		{"guessed unit", "", "1.5", Options{}, 1_500_000, "unit mm (the tools would be too thick in inches)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, rep := read(t, "M48\n"+c.header+"\nT1C0.5\n%\nT1\nX"+c.x+"\nM30\n", c.opt)
			require.Len(t, d.Holes, 1)
			assert.Equal(t, c.want, d.Holes[0].At.X)
			assert.Equal(t, c.guessed, rep.GuessedWhat)
			assert.Equal(t, c.guessed != "", rep.Guessed)
			assert.Empty(t, rep.Warnings)
		})
	}
}

func TestGuesses(t *testing.T) {
	t.Run("thin tools are inches", func(t *testing.T) {
		d, rep := read(t, "M48\nT1C0.0157\nT2C0.126\n%\nT1\nX1.5Y1.5\nM30\n", Options{})
		assert.Equal(t, "unit inch (the tools would be too thin in millimetres)", rep.GuessedWhat)
		assert.Equal(t, geom.Length(38_100_000), d.Holes[0].At.X)
	})
	t.Run("a board of three metres is no board", func(t *testing.T) {
		// 3.3 would give a span of 0.9 m, 4.2 of 9 m; six digits in full are 3.3 first, then 4.4.
		_, rep := read(t, "M48\nMETRIC,TZ\nT1C0.5\n%\nT1\nX00100000Y00100000\nX00900000Y00100000\nM30\n", Options{})
		assert.Equal(t, [2]int{4, 4}, [2]int{rep.Integer, rep.Decimals})
	})
	t.Run("the file wins over the recipe", func(t *testing.T) {
		d, rep := read(t, "M48\nMETRIC,TZ,000.000\nT1C0.5\n%\nT1\nX1000Y1000\nM30\n", Options{Unit: Inch, Zeros: LeadingKept, Integer: 2, Decimals: 4})
		assert.Equal(t, mm, d.Holes[0].At.X)
		assert.Equal(t, []string{
			"the recipe says unit inch, the file says mm; the file's own word is taken",
			"the recipe says zeros leading, the file says trailing; the file's own word is taken",
			"the recipe says digits 2.4, the file says 3.3; the file's own word is taken",
		}, rep.Warnings)
	})
}

func TestHeaders(t *testing.T) {
	for name, text := range map[string]string{
		"plain":            "M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y2.0\nM30\n",
		"M95":              "M48\nMETRIC\nT1C0.5\nM95\nT1\nX1.0Y2.0\nM30\n",
		"CRLF":             "M48\r\nMETRIC\r\nT1C0.5\r\n%\r\nT1\r\nX1.0Y2.0\r\nM30\r\n",
		"CR":               "M48\rMETRIC\rT1C0.5\r%\rT1\rX1.0Y2.0\rM30\r",
		"no header":        "METRIC\nT1C0.5\nX1.0Y2.0\nM30\n",
		"leading percent":  "%\nM48\nMETRIC\nT1C0.5\n%\nT01\nX1.0Y2.0\nM30\n",
		"tool parameters":  "M48\nM71\nT01F00S00C0.5\nT2H100C1.0B2Z-0.1\n%\nT01\nX1.0Y2.0\nT0\nM30\n",
		"spaces, numbers":  "M48\nMETRIC\nT1 C0.5\n%\nN10 T1\nN20 G05\nN30 X1.0 Y2.0\nN40 M30\n",
		"lower case":       "m48\nmetric\nt1c0.5\n%\nt1\nx1.0y2.0\nm30\n",
		"compensation":     "M48\nMETRIC\nT01C0.5\n%\nT0101\nX1.0Y2.0\nM30\n",
		"header words":     "M48\nVER,1\nFMAT,2\nICI,OFF\nATC,ON\nMETRIC,TZ,000.000\nT1C0.5\n%\nG90\nG05\nM71\nT1\nX1.0Y2.0\nT00\nM30\n",
		"message, comment": "M48\nMETRIC\nT1C0.5 ; thin\n%\nM47,ONE MOMENT X9\n(text)\nT1\nX1.0Y2.0\nM30\n",
		"M00, DOS end":     "M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y2.0\nM00\nM30\n\x1a",
		"tool later":       "M48\nMETRIC\n%\nT1C0.5\nX1.0Y2.0\nM30\n",
		"no percent":       "M48\nMETRIC\nT1C0.5\nG90\nT1\nX1.0Y2.0\nM30\n",
	} {
		t.Run(name, func(t *testing.T) {
			d, rep := read(t, text, Options{})
			require.Equal(t, []geom.Point{{X: mm, Y: 2 * mm}}, places(d))
			tool := d.Tools[d.Holes[0].Tool]
			assert.Equal(t, 1, tool.Number)
			assert.Equal(t, mm/2, tool.Diameter)
			assert.True(t, rep.HasEnd)
			assert.Empty(t, rep.Warnings)
		})
	}
}

func TestWarnings(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\nT2C1.0\n%\nT1\n"
	for _, c := range []struct{ text, want string }{
		{head + "X1.0Y1.0\n", "the file does not end with M30: it may have been cut off"},
		{head + "X1.0Y1.0\nM02\n", "the program ends with M02 instead of M30"},
		{"M48\nNEWWORD,3\nMETRIC\nT1C1.0\n%\nM30\n", `the header line "NEWWORD,3" is not known and was passed over`},
		{head + "M72\nX1.0Y1.0\nM30\n", "the unit changes within the file from mm to inch"},
		{head + "G00X0.0Y0.0\nM15\nG01X1.0\nG05\nM30\n", "drilling begins without the cutter having been raised; it is taken as raised"},
		{head + "G00X0.0Y0.0\nM15\nG01X1.0\nG00X2.0\nM30\n", "the cutter moves on without having been raised; it is taken as raised"},
		{head + "G00X0.0Y0.0\nM15\nG01X1.0\nT2\nM30\n", "tool 2 is chosen without the cutter having been raised; it is taken as raised"},
		{head + "G00X0.0Y0.0\nM15\nG01X1.0\nM30\n", "the program ends with the cutter down"},
		{head + "G00X0.0Y0.0\nM15\nX1.0\nM16\nM30\n", "the lowered cutter moves without G01; a straight cut is taken"},
		{head + "X1.0Y1.0\nT1C0.6\nX2.0\nM30\n", "tool 1 changes within the file"},
		{"M48\nMETRIC\nT1C05\n%\nM30\n", "the diameter of tool 1 has no decimal point; it is taken behind the first digit"},
	} {
		t.Run(c.want, func(t *testing.T) {
			_, rep := read(t, c.text, Options{})
			assert.Equal(t, []string{c.want}, rep.Warnings)
		})
	}
}

func TestHoles(t *testing.T) {
	const head = "M48\nMETRIC,TZ,000.000\nT1C0.5\n%\nT1\n"
	for _, c := range []struct {
		name, body string
		want       []geom.Point
	}{
		{"modal", "X1000Y2000\nY3000\nX4000\n", []geom.Point{{X: mm, Y: 2 * mm}, {X: mm, Y: 3 * mm}, {X: 4 * mm, Y: 3 * mm}}},
		{"modal over tools", "X1000Y2000\nT1\nY3000\n", []geom.Point{{X: mm, Y: 2 * mm}, {X: mm, Y: 3 * mm}}},
		{"mixed points", "X1000Y2.5\n", []geom.Point{{X: mm, Y: 5 * mm / 2}}},
		{"incremental", "X1000Y1000\nG91\nX1000\nY-500\nG90\nX0Y0\n", []geom.Point{{X: mm, Y: mm}, {X: 2 * mm, Y: mm}, {X: 2 * mm, Y: mm / 2}, {}}},
		{"repeat", "X1000Y1000\nR3X2000\nR1X-1000Y500\n", []geom.Point{
			{X: mm, Y: mm}, {X: 3 * mm, Y: mm}, {X: 5 * mm, Y: mm}, {X: 7 * mm, Y: mm}, {X: 6 * mm, Y: 3 * mm / 2}}},
		{"G81, G80, G93", "G93X0Y0\nG81\nX1000Y1000\nG80\n", []geom.Point{{X: mm, Y: mm}}},
		{"lowered and raised in one place", "G00X1000Y1000\nM15\nM16\nG05\nX2000\n", []geom.Point{{X: mm, Y: mm}, {X: 2 * mm, Y: mm}}},
		{"slot without length", "X1000Y1000G85X1000Y1000\n", []geom.Point{{X: mm, Y: mm}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, rep := read(t, head+c.body+"M30\n", Options{})
			assert.Equal(t, c.want, places(d))
			assert.Empty(t, d.Routs)
			assert.Empty(t, rep.Warnings)
		})
	}
}

func TestSlots(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\n%\nT1\n"
	line := func(x1, y1, x2, y2 geom.Length) geom.Edge {
		return geom.Line(geom.Pt(x1*mm, y1*mm), geom.Pt(x2*mm, y2*mm))
	}
	for _, c := range []struct {
		name, body string
		want       []artwork.Rout
	}{
		{"G85", "X1.0Y1.0G85X1.0Y3.0\n", []artwork.Rout{{Path: geom.Path{line(1, 1, 1, 3)}, Canned: true}}},
		{"G85 modal", "X1.0Y1.0G85Y3.0\nX2.0G85X4.0\n", []artwork.Rout{
			{Path: geom.Path{line(1, 1, 1, 3)}, Canned: true}, {Path: geom.Path{line(2, 3, 4, 3)}, Canned: true}}},
		{"G85 from here", "G91\nX1.0Y1.0G85X1.0\nG85Y1.0\n", []artwork.Rout{
			{Path: geom.Path{line(1, 1, 2, 1)}, Canned: true}, {Path: geom.Path{line(2, 1, 2, 2)}, Canned: true}}},
		{"routed", "G00X1.0Y1.0\nM15\nG01X1.0Y3.0\nX2.0\nM16\nG05\n", []artwork.Rout{{Path: geom.Path{line(1, 1, 1, 3), line(1, 3, 2, 3)}}}},
		{"two routed", "G00X1.0Y1.0\nM15\nG01X2.0\nM17\nG00X3.0\nM15\nG01X4.0\nM16\n", []artwork.Rout{
			{Path: geom.Path{line(1, 1, 2, 1)}}, {Path: geom.Path{line(3, 1, 4, 1)}}}},
		{"arc by radius", "G00X1.0Y0.0\nM15\nG03X0.0Y1.0A1.0\nM16\n", []artwork.Rout{{Path: geom.Path{
			geom.Arc(geom.Pt(mm, 0), geom.Pt(0, mm), geom.Pt(0, 0), geom.CounterClockwise)}}}},
		{"arc by centre", "G00X1.0Y0.0\nM15\nG02X0.0Y1.0I0.0J1.0\nM16\n", []artwork.Rout{{Path: geom.Path{
			geom.Arc(geom.Pt(mm, 0), geom.Pt(0, mm), geom.Pt(mm, mm), geom.Clockwise)}}}},
		{"half turn by radius", "G00X1.0Y0.0\nM15\nG02X-1.0Y0.0A1.0\nM16\n", []artwork.Rout{{Path: geom.Path{
			geom.Arc(geom.Pt(mm, 0), geom.Pt(-mm, 0), geom.Pt(0, 0), geom.Clockwise)}}}},
		{"full circle", "G00X1.0Y0.0\nM15\nG03X1.0Y0.0I-1.0J0.0\nM16\n", []artwork.Rout{{Path: geom.Path{
			geom.Arc(geom.Pt(mm, 0), geom.Pt(mm, 0), geom.Pt(0, 0), geom.CounterClockwise)}}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, rep := read(t, head+c.body+"M30\n", Options{})
			assert.Equal(t, c.want, d.Routs)
			assert.Empty(t, d.Holes)
			assert.Empty(t, rep.Warnings)
		})
	}
}

func TestAttributes(t *testing.T) {
	d, rep := read(t, `M48
; #@! TF.GenerationSoftware,Gauge works,Layout,1.2
; #@! TF.FileFunction,Plated,1,4,PTH
METRIC
; #@! TA.AperFunction,Plated,PTH,ViaDrill
T1C0.400
; #@! TA.AperFunction,NonPlated,NPTH,ComponentDrill
T2C0.500
; #@! TD.AperFunction
T3C0.600
%
T1
; #@! TO.N,Rain\u002C gauge
X1.0Y1.0
; #@! TD
X2.0Y1.0
M30
`, Options{})
	assert.Equal(t, "Gauge works Layout 1.2", rep.Generator)
	assert.Equal(t, artwork.Plated, d.Plating)
	assert.Equal(t, [2]int{1, 4}, [2]int{d.From, d.To})
	assert.Equal(t, []string{"Gauge works", "Layout", "1.2"}, d.Attributes.Get(".GenerationSoftware"))
	assert.Equal(t, []artwork.Plating{artwork.Plated, artwork.NonPlated, artwork.PlatingUnknown},
		[]artwork.Plating{d.Tools[0].Plating, d.Tools[1].Plating, d.Tools[2].Plating})
	assert.Equal(t, []string{"Plated", "PTH", "ViaDrill"}, d.Sets[d.Tools[0].Set].Get(".AperFunction"))
	assert.Zero(t, d.Tools[2].Set)
	assert.Equal(t, []string{"Rain, gauge"}, d.Sets[d.Holes[0].Set].Get(".N"))
	assert.Zero(t, d.Holes[1].Set)
}

func TestPlatingComments(t *testing.T) {
	d, _ := read(t, "; NON-PLATED HOLES START AT T1\n; THROUGH (PLATED) HOLES START AT T100\nM48\nINCH\nT1C0.126\nT100C0.038\n%\nM30\n", Options{})
	assert.Equal(t, artwork.NonPlated, d.Tools[0].Plating)
	assert.Equal(t, artwork.Plated, d.Tools[1].Plating)
	assert.Equal(t, artwork.PlatingUnknown, d.Plating)

	d, _ = read(t, "M48\nINCH\n;TYPE=PLATED\nT1C0.1\n;TYPE=NON_PLATED\nT2C0.2\n%\nM30\n", Options{})
	assert.Equal(t, artwork.Plated, d.Tools[0].Plating)
	assert.Equal(t, artwork.NonPlated, d.Tools[1].Plating)

	d, _ = read(t, "M48\nINCH\n;TYPE=NON_PLATED\nT1C0.1\nT2C0.2\n%\nM30\n", Options{})
	assert.Equal(t, artwork.NonPlated, d.Plating)
}

func TestFaults(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\nT2C0\n%\nT1\n"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "gauge.drl: this is not a drill file: there is no header, tool or coordinate in it\n    leave the file out, or export it again"},
		{"binary", "M48\n\x00\x01", "gauge.drl:2:1: this is not a drill file: it holds binary data\n    ..\n    leave the file out, or export it again as text"},
		{"layer file", "%FSLAX46Y46*%\n", "gauge.drl:1:1: % must stand alone on its line\n    %FSLAX46Y46*%\n    export the file again, as XNC or as a plain drill file"},
		{"prose", "Dear fabricator,\n", "gauge.drl:1:1: this is not a drill file\n    Dear fabricator,\n    leave the file out, or export it again"},
		{"cut off", head + "X1.0Y", "gauge.drl:7:5: Y needs a number of 1 to 17 digits behind it\n    X1.0Y\n    the line may have been cut off; export the file again, as XNC or as a plain drill file"},
		{"unknown tool", head + "T3\n", "gauge.drl:7:1: tool 3 has no diameter\n    T3\n    add a line such as T3C0.5 to the header, or export the file with its tool table"},
		{"no tool", "M48\nMETRIC\nT1C0.5\n%\nX1.0Y1.0\n", "gauge.drl:5:1: no tool is selected\n    X1.0Y1.0\n    a line such as T1 must come before the first hole; export the file again, as XNC or as a plain drill file"},
		{"diameter 0", head + "T2\nX1.0\n", "gauge.drl:8:1: tool 2, used here, has a diameter of 0\n    X1.0\n    give the tool its finished diameter; export the file again, as XNC or as a plain drill file"},
		{"thick", "M48\nMETRIC\nT1C101.\n", "gauge.drl:3:3: this is no diameter of a tool\n    T1C101.\n    check the unit; diameters go up to 100 mm"},
		{"twice", "M48\nMETRIC\nT1C1.0\nT1C2.0\n", "gauge.drl:4:1: tool 1 is defined twice\n    T1C2.0\n    export the file again, as XNC or as a plain drill file"},
		{"far", head + "X1000.1\n", "gauge.drl:7:1: the coordinate is more than 1000 mm from the origin\n    X1000.1\n    check unit, zeros and digits of the file, and say them in the recipe where the file does not"},
		{"very far", head + "X99999999999999999\n", "gauge.drl:7:1: the coordinate is more than 1000 mm from the origin\n    X99999999999999999\n    check unit, zeros and digits of the file, and say them in the recipe where the file does not"},
		{"too many digits", head + "X999999999999999999\n", "gauge.drl:7:1: X needs a number of 1 to 17 digits behind it\n    X999999999999999999\n    the line may have been cut off; export the file again, as XNC or as a plain drill file"},
		{"repeats", head + "X0.0\nR1000000X0.0001\n", "gauge.drl:8:1: the file has more than 1000000 holes\n    R1000000X0.0001\n    where the file is right, raise the limit in the recipe, in its drill block: most_holes; otherwise export the file again, as XNC or as a plain drill file"},
		{"repeat of nothing", head + "R2X1.0\n", "gauge.drl:7:1: there is no hole before this repeat\n    R2X1.0\n    export the file again, as XNC or as a plain drill file"},
		{"pattern repeat", head + "X1.0\nM02X1.0Y0.0\n", "gauge.drl:8:1: a pattern is repeated that has no end\n    M02X1.0Y0.0\n    M01 must end the pattern; export the file with every hole written out"},
		{"compensation", head + "G00X0.0Y0.0\nG41\n", "gauge.drl:8:1: G41, compensation for the cutter's radius, is not supported\n    G41\n    have the way of the cutter's middle written out, without compensation (G40)"},
		{"canned", head + "G84X1.0\n", "gauge.drl:7:1: G84, a canned group of holes, is not supported\n    G84X1.0\n    export the file with every hole written out"},
		{"mirror", head + "M80\n", "gauge.drl:7:1: M80 swaps or mirrors the axes, which is not supported: about which line is not agreed between machines\n    M80\n    export the file with every hole written out"},
		{"depth", head + "Z-0.5\n", "gauge.drl:7:1: drilling to a depth is not supported\n    Z-0.5\n    put depth-controlled holes into a file of their own, agreed with the fabricator"},
		{"unlowered cut", head + "G00X0.0Y0.0\nG01X1.0\n", "gauge.drl:8:4: the cutter is told to cut but has not been lowered\n    G01X1.0\n    M15 must come before the cut; export the file again, as XNC or as a plain drill file"},
		{"lowered in drill mode", head + "M15\n", "gauge.drl:7:1: the cutter goes down outside rout mode\n    M15\n    G00 must come before M15; export the file again, as XNC or as a plain drill file"},
		{"short radius", head + "G00X0.0Y0.0\nM15\nG02X2.0A0.5\n", "gauge.drl:9:8: an arc of this radius does not reach its end\n    G02X2.0A0.5\n    export the file again, as XNC or as a plain drill file"},
		{"bad centre", head + "G00X0.0Y0.0\nM15\nG02X2.0I0.5\n", "gauge.drl:9:4: the arc's start and end are not equally far from its centre\n    G02X2.0I0.5\n    export the file again, as XNC or as a plain drill file"},
		{"after the end", head + "M30\nX1.0\n", "gauge.drl:8:1: the program goes on after its end\n    X1.0\n    split the file into one program a file, or export it again"},
		{"second header", head + "X1.0\nM48\n", "gauge.drl:8:1: a second header begins here\n    M48\n    split the file into one program a file, or export it again"},
		{"unknown in body", head + "HELLO\n", "gauge.drl:7:1: this is not a drill or rout command\n    HELLO\n    export the file again, as XNC or as a plain drill file"},
		{"unit line", "M48\nMETRIC,XZ\n", "gauge.drl:2:8: METRIC is followed by something unknown\n    METRIC,XZ\n    the forms known are INCH or METRIC, then ,LZ or ,TZ, then digits like ,000.000"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("gauge.drl", []byte(c.text), Options{})
			assert.EqualError(t, err, c.want)
		})
	}
}
