package xnc

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

func pt(x, y float64) geom.Point { return geom.Pt(geom.Round(x*1e6), geom.Round(y*1e6)) }

// How the dialects of the field write one and the same holes. Words and rules are from memory of the
// drill machines' open description and of files as common systems write them, except where a case
// names another source.
func TestDialects(t *testing.T) {
	for _, c := range []struct {
		name, text string
		opt        Options
		want       []geom.Point
		tool       geom.Length
		plating    artwork.Plating
		guessed    string
	}{
		{"2.4, trailing zeros kept", "M48\nINCH,TZ\nT1C0.020\n%\nT1\nX10000Y5000\nX15Y0\nM30\n", Options{Integer: 2, Decimals: 4},
			[]geom.Point{pt(25.4, 12.7), pt(0.0381, 0)}, 508_000, 0, ""},
		{"2.4, leading zeros kept", "M48\nINCH,LZ\nT1C0.020\n%\nT1\nX01Y005\nX015Y0\nM30\n", Options{Integer: 2, Decimals: 4},
			[]geom.Point{pt(25.4, 12.7), pt(38.1, 0)}, 508_000, 0, ""},
		{"2.5", ";FILE_FORMAT=2:5\nM48\nINCH,TZ\nT1C0.020\n%\nT1\nX100000Y50000\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"2.5, spaces and capitals", "; File_Format = 2:5\nM48\nINCH,TZ\nT1C0.020\n%\nT1\nX100000Y50000\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"3.3", "M48\nMETRIC,TZ,000.000\nT1C0.5\n%\nT1\nX25400Y12700\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"zeros on a line of their own", "M48\nMETRIC,000.000\nLZ\nT1C0.5\n%\nT1\nX0254Y0127\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"3.3, trailing zeros left out", "M48\nMETRIC,LZ,000.000\nT1C0.5\n%\nT1\nX0254Y0127\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"4.4", ";FILE_FORMAT=4:4\nM48\nMETRIC,LZ\nT1F00S00C0.5000\n%\nT01\nX00254Y00127\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"4.4, both sides full", ";FILE_FORMAT=4:4\nM48\nMETRIC\nT1F00S00C0.5000\n%\nT01\nX00254000Y00127000\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"mask 00.0000 without zeros", "M48\nINCH,00.0000\nT1C0.02\n%\nT1\nX010000Y005000\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"decimal by comment, whole numbers among them", "M48\n; FORMAT={-:-/ absolute / metric / decimal}\nFMAT,2\nMETRIC\nT1C0.5\n%\nG90\nG05\nT1\nX25.4Y12.7\nX3Y-4\nM30\n", Options{},
			[]geom.Point{pt(25.4, 12.7), pt(3, -4)}, 500_000, 0, ""},
		{"decimal by comment, INCH,TZ", "M48\n; FORMAT={-:-/ absolute / inch / decimal}\nFMAT,2\nINCH,TZ\nT1C0.02\n%\nG90\nG05\nM72\nT1\nX1.Y0.5\nX-2Y1.5\nM30\n", Options{},
			[]geom.Point{pt(25.4, 12.7), pt(-50.8, 38.1)}, 508_000, 0, ""},
		{"byte order mark", "\xef\xbb\xbfM48\nMETRIC\nT1C0.5\n%\nT1\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"the recipe's unit against the file's", "M48\nMETRIC\nT1C0.02\n%\nM71\nT1\nX1.0Y0.5\nM30\n", Options{Unit: Inch, Override: true}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"keep zeros by comment", "M48\n;FORMAT={2:4/ absolute / inch / keep zeros}\nFMAT,2\nINCH,TZ\nT1C0.020\n%\nT1\nX010000Y005000\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"suppress trailing zeros by comment", "M48\n;FORMAT={3:3/ absolute / metric / suppress trailing zeros}\nT1C0.5\n%\nT1\nX0254Y0127\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"format in words", "; Format : 2.4 / Absolute / INCH / Trailing\nT1C0.020\nT1\nX010000Y005000\nM30\n", Options{Zeros: TrailingKept}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"points in some, nothing said", "M48\nMETRIC\nT1C0.5\n%\nT1\nX25.4Y12.7\nX3Y0\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7), pt(3, 0)}, 500_000, 0,
			"whole units where there is no point (other numbers have one)"},
		{"zeros alone need no format", "M48\nMETRIC\nT1C0.5\n%\nT1\nX25.4Y0\nX0Y0\nM30\n", Options{}, []geom.Point{pt(25.4, 0), pt(0, 0)}, 500_000, 0, ""},
		{"the recipe against the file", "M48\nINCH,LZ\nT1C0.02\n%\nT1\nX10000Y5000\nM30\n", Options{Zeros: TrailingKept, Integer: 2, Decimals: 4, Override: true}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},

		{"unit in the body", "M48\nT01C.5\n%\nM71\nG93X0Y0\nT01\nX025400Y012700\nM30\n", Options{Integer: 3, Decimals: 3, Zeros: TrailingKept}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"no header at all", "G90\nM72\nT01\nX1.0Y0.5\nT00\nM30\n", Options{Tools: []ListedTool{{1, 508_000, artwork.NonPlated}}}, []geom.Point{pt(25.4, 12.7)}, 508_000, artwork.NonPlated, ""},
		{"tools in comments", "; T01 0.500\n; T02 0.8 mm\n%\nG90\nM71\nT01\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"tools in comments, by words", ";Tool 1: 20 mil\n%\nG90\nM71\nT01\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"hole sizes in comments", ";CODE  : ASCII\n;T01 Holesize 1. = 20.000000 Tolerance = +0.000000/-0.000000 PLATED MILS Quantity = 1\n%\nG90\nT01\nX010000Y005000\nM30\n",
			Options{Unit: Inch, Integer: 2, Decimals: 4, Zeros: TrailingKept}, []geom.Point{pt(25.4, 12.7)}, 508_000, artwork.Plated, ""},
		{"hole sizes in comments, metric", ";   Holesize 1. = 0.5 Tolerance = +0.1/-0.1 NON_PLATED MM Quantity = 1\n%\nG90\nM71\nT01\nX25.4Y12.7\nM30\n",
			Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, artwork.NonPlated, ""},
		{"a diameter of its own wins over a comment", "; T01 0.9 mm\nM48\nMETRIC\nT01C0.5\n%\nT01\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"all words of a tool", "M48\nMETRIC\nT1C0.5F200S65B100H2000Z-0.1\n%\nT1\nX25.4Y12.7\nT0\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"header words", "M48\nVER,1\nFMAT,2\nICI,OFF\nDETECT,ON\nATC,ON\nAFS,OFF\nMETRIC\nT1C0.5\nM95\nT1\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"format 1, what is alike in both", "M48\nFMAT,1\nMETRIC\nT1C0.5\n%\nG90\nT1\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"ICI,ON", "M48\nMETRIC\nICI,ON\nT1C0.5\n%\nT1\nX25.4Y12.7\nX1.0\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7), pt(26.4, 12.7)}, 500_000, 0, ""},
		{"stops with a place to park", "M48\nMETRIC\nT1C0.5\n%\nT1\nX25.4Y12.7\nM06X100.0Y100.0\nM09X100.0\nY13.7\nM30X0.0Y200.0\n", Options{}, []geom.Point{pt(25.4, 12.7), pt(25.4, 13.7)}, 500_000, 0, ""},
		{"a second header before anything is drilled", "G90\nM72\nM48\nT1C0.02\n%\nG90\nM48\n%\nT1\nX1.0Y0.5\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 508_000, 0, ""},
		{"feed, speed, hits and a number alone", "M48\nMETRIC\nT1C0.5\n%\nN5\nT1\nF200\nS65\nB100\nH2000\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"messages", "M48\nMETRIC\nT1C0.5\n%\nM47, CHANGE X1.0\nT1\nX25.4Y12.7\nM47\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		{"pecks", "M48\nMETRIC\nT1C0.5\n%\nM62\nT1\nX25.4Y12.7\nM63\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, 0, ""},
		// Attribute comments: XNC revision 2021.11.
		{"plated by attribute", "M48\n; #@! TF.FileFunction,Plated,1,4,PTH\nMETRIC\n; #@! TA.AperFunction,Plated,PTH,ViaDrill\nT1C0.5\n%\nG05\nT1\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, artwork.Plated, ""},
		{"plated by comment", "M48\n;TYPE=NON_PLATED\nMETRIC\nT1C0.5\n%\nT1\nX25.4Y12.7\nM30\n", Options{}, []geom.Point{pt(25.4, 12.7)}, 500_000, artwork.NonPlated, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, rep := read(t, c.text, c.opt)
			assert.Equal(t, c.want, places(d))
			require.NotEmpty(t, d.Tools)
			assert.Equal(t, c.tool, d.Tools[d.Holes[0].Tool].Diameter)
			assert.Equal(t, c.plating, d.Tools[d.Holes[0].Tool].Plating)
			assert.Equal(t, c.guessed, rep.GuessedWhat)
			if !c.opt.Override {
				assert.Empty(t, rep.Warnings)
			}
		})
	}
}

// Step and repeat, from memory of the machines' open description.
func TestPatterns(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\nT2C1.0\n%\nT1\n"
	for _, c := range []struct {
		name, body string
		want       []geom.Point
		warnings   int
	}{
		{"once", "M25\nX1.0Y1.0\nM01\nM02X10.0Y0.0\nM08\nM30\n", []geom.Point{pt(1, 1), pt(11, 1)}, 0},
		{"from the header's end", "X1.0Y1.0\nX2.0\nM01\nM02X10.0\nM30\n", []geom.Point{pt(1, 1), pt(2, 1), pt(11, 1), pt(12, 1)}, 0},
		{"only from its beginning", "X1.0Y1.0\nM25\nX2.0Y2.0\nM01\nM02Y10.0\nM08\nM30\n", []geom.Point{pt(1, 1), pt(2, 2), pt(2, 12)}, 0},
		{"shifts add up", "M25\nX1.0Y1.0\nM01\nM02X10.0\nM02X10.0\nM02Y5.0\nM08\nM30\n", []geom.Point{pt(1, 1), pt(11, 1), pt(21, 1), pt(21, 6)}, 1},
		{"counted", "M25\nX1.0Y1.0\nM01\nR3M02X10.0Y0.0\nM08\nM30\n", []geom.Point{pt(1, 1), pt(11, 1), pt(21, 1), pt(31, 1)}, 1},
		{"two patterns", "M25\nX1.0Y1.0\nM01\nM02X10.0\nM08\nT2\nM25\nX5.0Y5.0\nM01\nM02X10.0\nM08\nM30\n", []geom.Point{pt(1, 1), pt(11, 1), pt(5, 5), pt(15, 5)}, 0},
		{"a place after it, then one axis", "X1.0Y1.0\nM01\nM02X10.0\nM08\nX5.0Y5.0\nX6.0\nM30\n", []geom.Point{pt(1, 1), pt(11, 1), pt(5, 5), pt(6, 5)}, 0},
		{"no repeat", "M25\nX1.0Y1.0\nM01\nM08\nX2.0\nM30\n", []geom.Point{pt(1, 1), pt(2, 1)}, 0},
		{"repeats within", "M25\nX1.0Y1.0\nR2X1.0\nM01\nM02Y10.0\nM08\nM30\n", []geom.Point{pt(1, 1), pt(2, 1), pt(3, 1), pt(1, 11), pt(2, 11), pt(3, 11)}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, rep := read(t, head+c.body, Options{})
			assert.Equal(t, c.want, places(d))
			assert.Len(t, rep.Warnings, c.warnings)
		})
	}
	t.Run("slots and arcs", func(t *testing.T) {
		d, _ := read(t, head+"M25\nX1.0Y1.0G85X2.0\nG00X5.0Y0.0\nM15\nG03X4.0Y1.0A1.0\nM16\nG05\nM01\nM02X10.0Y1.0\nM08\nM30\n", Options{})
		require.Len(t, d.Routs, 4)
		assert.Equal(t, geom.Path{geom.Line(pt(11, 2), pt(12, 2))}, d.Routs[2].Path)
		assert.Equal(t, geom.Path{geom.Arc(pt(15, 1), pt(14, 2), pt(14, 1), geom.CounterClockwise)}, d.Routs[3].Path)
	})
}

func TestSlotWords(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\n%\nT1\n"
	t.Run("G87 is routed", func(t *testing.T) {
		d, _ := read(t, head+"X1.0Y1.0G87X1.0Y3.0\nM30\n", Options{})
		assert.Equal(t, []artwork.Rout{{Path: geom.Path{geom.Line(pt(1, 1), pt(1, 3))}}}, d.Routs)
	})
	t.Run("a full circle by J alone", func(t *testing.T) {
		d, _ := read(t, head+"G00X1.0Y1.0\nM15\nG03J1.0\nM16\nM30\n", Options{})
		assert.Equal(t, geom.Path{geom.Arc(pt(1, 1), pt(1, 1), pt(1, 2), geom.CounterClockwise)}, d.Routs[0].Path)
	})
	t.Run("never lowered", func(t *testing.T) {
		text := head + "G00X1.0Y1.0\nG01X3.0\nY2.0\nG00X5.0Y5.0\nG01X6.0\nG05\nX9.0Y9.0\nM30\n"
		d, rep := read(t, text, Options{CutsUnlowered: true})
		assert.Equal(t, []artwork.Rout{
			{Path: geom.Path{geom.Line(pt(1, 1), pt(3, 1)), geom.Line(pt(3, 1), pt(3, 2))}}, {Path: geom.Path{geom.Line(pt(5, 5), pt(6, 5))}}}, d.Routs)
		assert.Equal(t, []geom.Point{pt(9, 9)}, places(d))
		assert.Equal(t, []string{"the file never lowers the cutter (M15): what it moves with G01, G02 and G03 is taken as cut"}, rep.Warnings)
		_, _, err := Read("gauge.drl", []byte(text), Options{})
		assert.ErrorContains(t, err, "gauge.drl:7:4: the cutter is told to cut but has not been lowered")
		// Lowered once means lowered where it says so.
		_, _, err = Read("gauge.drl", []byte(head+"G00X1.0Y1.0\nM15\nG01X3.0\nM16\nG01X6.0\nM30\n"), Options{CutsUnlowered: true})
		assert.ErrorContains(t, err, "gauge.drl:10:4: the cutter is told to cut but has not been lowered")
	})
}

// What could move or make a hole and is not understood is refused, with its place.
func TestRefusedCodes(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\n%\nT1\n"
	for _, c := range []struct{ text, want string }{
		{head + "X1.0Y1.0G82X9.0Y4.0\n", "gauge.drl:6:9: G82, a canned group of holes, is not supported"},
		{head + "X1.0Y1.0G81X9.0Y4.0\n", "gauge.drl:6:9: G81, a canned group of holes, is not supported"},
		{head + "G81X9.0Y4.0\n", "gauge.drl:6:1: G81 with coordinates drills one hole on one machine and a row of pins on another"},
		{head + "G83X1.0\n", "gauge.drl:6:1: G83, a canned group of holes, is not supported"},
		{head + "G32X1.0Y1.0A2.0\n", "gauge.drl:6:1: G32, a canned circle, is not supported: whether"},
		{head + "G33X1.0Y1.0A2.0\n", "gauge.drl:6:1: G33, a canned circle"},
		{head + "G42\n", "gauge.drl:6:1: G42, compensation for the cutter's radius"},
		{head + "G93X1.0Y1.0\n", "gauge.drl:6:1: G93, a shifted origin, is not supported"},
		{head + "G38X1.0Y1.0\n", "gauge.drl:6:1: G38, work by camera, is not supported"},
		{head + "G99\n", "gauge.drl:6:1: G99 is not supported"},
		{head + "M127\n", "gauge.drl:6:1: M127 is not supported"},
		{head + "M14\n", "gauge.drl:6:1: routing to a depth is not supported"},
		{head + "M50,1\n", "gauge.drl:6:4: this is not a drill or rout command"},
		{head + "M50\n", "gauge.drl:6:1: patterns that the machine finds by camera (M50)"},
		{head + "M60\n", "gauge.drl:6:1: scaling is not supported"},
		{head + "M99\n", "gauge.drl:6:1: patterns stored under a number"},
		{head + "P1X1.0\n", "gauge.drl:6:1: patterns stored under a number"},
		{head + "M97\n", "gauge.drl:6:1: drilled text is not supported"},
		{head + "/X1.0\n", "gauge.drl:6:1: a line that the operator may switch off"},
		{head + "X1.0G91\n", "gauge.drl:6:5: G91 stands behind the coordinates"},
		{head + "X1.0T1\n", "gauge.drl:6:5: T01 stands behind the coordinates"},
		{head + "X1.0Y1.0\nM25\nX1.0\nM01\nM02X1.0M70\n", "gauge.drl:10:8: M70 swaps or mirrors the axes"},
		{head + "X1.0Y1.0\nM01\nM01\nM02X1.0\n", "gauge.drl:9:1: a pattern with several ends (M01) is repeated"},
		{head + "X1.0Y1.0\nM01\nX2.0\nM02X1.0\n", "gauge.drl:9:1: something was drilled between the end of the pattern (M01) and its repeat"},
		{head + "X1.0Y1.0\nM01\nM02X1.0\nX5.0Y5.0\n", "gauge.drl:9:1: the file goes on after a repeated pattern without ending the repeats"},
		{head + "X1.0Y1.0\nM01\nM02X1.0\nM08\nX5.0\n", "gauge.drl:10:1: where the table stands after a repeated pattern is not said"},
		{head + "X1.0Y1.0\nM01\nM02X1.0\nM08\nG85X5.0Y5.0\n", "gauge.drl:10:1: where the table stands after a repeated pattern is not said"},
		{head + "X1.0Y1.0\nM01\nM02X1.0\nM08\nG00\nM15\n", "gauge.drl:11:1: where the table stands after a repeated pattern is not said"},
		{head + "X1.0Y1.0\nM01\nM02X1.0\nG00\nM15\n", "gauge.drl:10:1: the file goes on after a repeated pattern without ending the repeats"},
		{head + "X1.0Y1.0\nM01\nM02X1.0\nM08\nG91\nX5.0Y5.0\n", "gauge.drl:11:1: where the table stands after a repeated pattern is not said"},
		{head + "X1.0Y1.0\nM01\nR2M03X1.0\n", "gauge.drl:8:1: this repeat is not understood"},
		{head + "X1.0Y1.0\nM01\nR2M02\n", "gauge.drl:8:3: this repeat of a pattern is not understood"},
		{head + "X1.0Y1.0\nM01\nR1000000M02X0.001\n", "gauge.drl:8:9: the file has more than 1000000 holes"},
		{head + "X1.0Y1.0\nM01\nR900M02X2.0\n", "gauge.drl:8:5: the repeat runs more than 1000 mm from the origin"},
		{"M48\nFMAT,1\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y1.0G82X2.0Y2.0\n", "gauge.drl:7:9: G82 stands behind the coordinates"},
		{"M48\nFMAT,1\nMETRIC\nT1C0.5\n%\nT1\nG85X1.0\n", "gauge.drl:7:1: G85 is not known in format 1, which the file says it has (FMAT,1)"},
		{"M48\nFMAT,1\nMETRIC\nT1C0.5\n%\nT1\nM25\n", "gauge.drl:7:1: M25 is not known in format 1"},
		{"M48\nINCH LZ\nT1C0.5\n%\n", "gauge.drl:2:6: INCH is followed by something unknown"},
		{"M48\nMETRIC TZ\nT1C0.5\n%\n", "gauge.drl:2:8: METRIC is followed by something unknown"},
		{"M48\nMETRIC\nICI,MAYBE\n", "gauge.drl:3:1: ICI is followed by something unknown"},
		{"; T1 0.5 mm\n; T1 0.6 mm\nM71\nT1\nX1.0\n", "gauge.drl:4:1: the comments list tool 1 with two diameters"},
		{"; T1 5\nM71\nT1\nX1.0\n", "gauge.drl:3:1: tool 1 has no diameter"},
	} {
		t.Run(c.want, func(t *testing.T) {
			_, _, err := Read("gauge.drl", []byte(c.text), Options{})
			require.Error(t, err)
			assert.True(t, strings.HasPrefix(err.Error(), c.want), err.Error())
		})
	}
}

func TestContradictions(t *testing.T) {
	for _, c := range []struct {
		text string
		opt  Options
		want []string
	}{
		{"M48\n;FILE_FORMAT=2:5\nINCH,TZ,00.0000\nT1C0.02\n%\nT1\nX10000Y0\nM30\n", Options{}, []string{"the file's comments say digits 2.5, its header says inch, trailing zeros kept, digits 2.4; the header is taken"}},
		{"M48\n;FORMAT={2:4/ absolute / inch / suppress leading zeros}\nINCH,LZ\nT1C0.02\n%\nT1\nX01Y0\nM30\n", Options{}, []string{"the file's comments say inch, trailing zeros kept, digits 2.4, its header says inch, leading zeros kept; the header is taken"}},
		{"M48\n;FILE_FORMAT=2:4\n;FILE_FORMAT=2:5\nINCH,TZ\nT1C0.02\n%\nT1\nX10000Y0\nM30\n", Options{}, []string{"the file's comments contradict one another: digits 2.4, then digits 2.5"}},
		{"M48\n;FILE_FORMAT=2:4\n;FILE_FORMAT=2:5\nINCH,LZ\nT1C0.02\n%\nT1\nX01Y0\nM30\n", Options{}, nil}, // both read alike
		{"M48\n;FORMAT={3:3/ incremental / metric / suppress leading zeros}\nT1C0.5\n%\nT1\nX25400Y0\nM30\n", Options{}, []string{"a comment says that places are incremental, but neither ICI nor G91 does: they are counted from the origin"}},
		{"M48\nINCH,LZ\nT1C0.02\n%\nT1\nX10000Y0\nM30\n", Options{Zeros: TrailingKept, Integer: 2, Decimals: 4, Override: true}, []string{"the recipe says zeros trailing, the file says leading; the recipe's word is taken, as it asks"}},
	} {
		t.Run(c.text, func(t *testing.T) {
			d, rep := read(t, c.text, c.opt)
			assert.Equal(t, c.want, rep.Warnings)
			assert.Equal(t, []geom.Point{pt(25.4, 0)}, places(d))
		})
	}
}

func TestLimits(t *testing.T) {
	const head = "M48\nMETRIC\nT1C0.5\nT2C0.6\n%\nT1\n"
	for _, c := range []struct {
		text, want string
		opt        Options
	}{
		{head + "X1.0\nR9X0.1\n", "gauge.drl:8:1: the file has more than 5 holes", Options{MaxHoles: 5}},
		{head + "X1.0G85X2.0\nG85X3.0\n", "gauge.drl:8:1: the file has more than 1 slot edges", Options{MaxEdges: 1}},
		{head + "X1.0G85X2.0\nM01\nR5M02X1.0\n", "gauge.drl:9:3: the file has more than 3 slot edges", Options{MaxEdges: 3}},
		{head + "X1.0G85X2.0\nM01\nM02X1.0\nM02X1.0\nM02X1.0\n", "gauge.drl:11:1: the file has more than 3 slot edges", Options{MaxEdges: 3}},
		{head + "X1.0G85X2.0\nM01\nM02X1.0\nM02X1.0\nM08\nX1.0Y9.0G85X2.0\n", "gauge.drl:12:9: the file has more than 3 slot edges", Options{MaxEdges: 3}},
		{head, "gauge.drl:4:1: the file has more than 1 tools", Options{MaxTools: 1}},
	} {
		_, _, err := Read("gauge.drl", []byte(c.text), c.opt)
		require.Error(t, err)
		assert.True(t, strings.HasPrefix(err.Error(), c.want), err.Error())
		_, _, err = Read("gauge.drl", []byte(c.text+"M30\n"), Options{})
		assert.NoError(t, err)
	}
}

func TestReadings(t *testing.T) {
	said := "M48\nMETRIC,TZ,000.000\nT1C0.5\n%\nT1\nX1000\nM30\n"
	assert.Len(t, Readings([]byte(said), Options{}), 1)
	assert.Len(t, Readings([]byte("M48\nMETRIC\nT1C0.5\n%\nT1\nX1.5Y0\nM30\n"), Options{}), 1)
	open := []byte("M48\nINCH\nT1C0.02\n%\nT1\nX012345Y0\nX02Y01\nM30\n")
	all := Readings(open, Options{})
	assert.Equal(t, Options{Unit: Inch, Zeros: LeadingKept, Integer: 2, Decimals: 4}, all[0])
	seen := map[geom.Point]bool{}
	for _, o := range all {
		d, rep, err := Read("gauge.drl", open, o)
		require.NoError(t, err)
		assert.False(t, rep.Guessed, "a reading leaves nothing open")
		assert.False(t, seen[d.Holes[1].At], "two readings of one value")
		seen[d.Holes[1].At] = true
	}
	assert.True(t, seen[pt(50.8, 25.4)] && seen[pt(0.00508, 0.00254)])
	assert.Len(t, Readings(open, Options{Zeros: LeadingKept, Integer: 2, Decimals: 4}), 1)
	// Points in some numbers only: whole units, or a point implied.
	some := []byte("M48\nMETRIC\nT1C0.5\n%\nT1\nX10Y2.5\nM30\n")
	xs := map[geom.Length]bool{}
	for _, o := range Readings(some, Options{}) {
		d, _, err := Read("gauge.drl", some, o)
		require.NoError(t, err)
		xs[d.Holes[0].At.X] = true
	}
	assert.True(t, xs[10*mm] && xs[10_000])
}

func TestToolLists(t *testing.T) {
	for _, c := range []struct {
		name, text string
		unit       Unit
		want       []ListedTool
		holes      []int
		open       bool
	}{
		{"plain", "T01 0.300 mm\nT02 1.0 mm\n", "", []ListedTool{{1, 300_000, 0}, {2, mm, 0}}, []int{-1, -1}, false},
		{"no unit", "T01 0.300\nT02 1.0\n", Millimetre, []ListedTool{{1, 300_000, 0}, {2, mm, 0}}, []int{-1, -1}, true},
		{"unit above the table", "Drill sizes in mm\nT01 0.300 12\n", Inch, []ListedTool{{1, 300_000, 0}}, []int{12}, false},
		{"report", "Tool         Hole Size           Hole Type     Hole Count Plated       Tool Travel\n-----\nT1        15.7mil (0.4mm)      Round          94               301.92 Inch (7668.68 mm)\n", "",
			[]ListedTool{{1, 398_780, 0}}, []int{94}, false},
		{"rack", "Code  Size       used\n\nT01   0.0236inch    62\nT02   0.0315inch     5\n", "", []ListedTool{{1, 599_440, 0}, {2, 800_100, 0}}, []int{62, 5}, false},
		{"hole sizes", "; T01 Holesize 1. = 20.0 Tolerance = +0.0/-0.0 PLATED MILS Quantity = 7\n", "", []ListedTool{{1, 508_000, artwork.Plated}}, []int{7}, false},
		{"header lines", "T01C0.0236\nT02C0.0315F200S65\n", Inch, []ListedTool{{1, 599_440, 0}, {2, 800_100, 0}}, []int{-1, -1}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, ok := ReadToolList([]byte(c.text), c.unit)
			require.True(t, ok)
			assert.Equal(t, ToolList{c.want, c.holes, c.open}, l)
		})
	}
	for _, text := range []string{"", "some words\n", "T01 0.3 mm\nT01 0.4 mm\n", "T01 0.300\n", "T01 900 mm\n", "T01\x00 0.3 mm"} {
		_, ok := ReadToolList([]byte(text), "")
		assert.False(t, ok, text)
	}
	assert.Equal(t, []int{1, 3}, WithoutDiameter([]byte("; T2 0.5 mm\n%\nT1\nX1.0\nT2\nX2.0\nT3\nX3.0\nT00\nM30\n")))
	assert.Empty(t, WithoutDiameter([]byte("M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0\nM30\n")))
}
