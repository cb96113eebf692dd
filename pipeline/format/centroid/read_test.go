package centroid

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
)

func wideText(s string) string {
	b := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(s)) {
		b = binary.LittleEndian.AppendUint16(b, u)
	}
	return string(b)
}

// The shapes that tables come in (common practice, no published source): each says the same.
func TestShapes(t *testing.T) {
	want := Row{Refdes: "R1", Value: "10k, 1%", Package: "0603", Side: "bottom", X: 1_270_000, Y: -2_540_000, Rotation: geom.Quarter}
	for _, c := range []struct {
		name, file, text, unit string
		guessed                bool
	}{
		{"commas", "a.csv", "Ref,Val,Package,PosX,PosY,Rot,Side\n\"R1\",\"10k, 1%\",\"0603\",1.27,-2.54,90.0,bottom\n", "mm", true},
		{"CRLF", "a.csv", "Ref,Val,Package,PosX,PosY,Rot,Side\r\n\"R1\",\"10k, 1%\",\"0603\",1.27,-2.54,90.0,bottom\r\n", "mm", true},
		{"CR", "a.csv", "Ref,Val,Package,PosX,PosY,Rot,Side\r\"R1\",\"10k, 1%\",\"0603\",1.27,-2.54,90.0,bottom\r", "mm", true},
		{"semicolons, decimal commas", "a.csv", "No;Value;Package;X;Y;Rotation;Side;Name\n1;10k, 1%;0603;1,27;-2,54;90;Bottom;R1\n", "mm", true},
		{"remarks with stars", "a.txt", "*Placement\n*Coordinates in mm, always centre\n*No;Value;Package;X;Y;Rotation;Side;Name\n1;10k, 1%;0603;1.27;-2.54;-270;Bottom;R1\n", "mm", false},
		{"tabs", "a.txt", "Designator\tComment\tFootprint\tMid X\tMid Y\tRotation\tLayer\nR1\t10k, 1%\t0603\t50mil\t-100mil\t90\tB\n", "cell", false},
		{"unit in the names", "a.csv", "Designator,Comment,Footprint,Center-X(mil),Center-Y(mil),Rotation,Layer\nR1,\"10k, 1%\",0603,50,-100,90,BottomLayer\n", "mil", false},
		{"unit in a remark", "a.csv", "# Unit = inch\nRefDes,Value,Package,X,Y,Rot,TB\nR1,\"10k, 1%\",0603,0.05,-.1,450,B\n", "inch", false},
		{"aligned", "a.pos", "## Unit = mm, Angle = deg.\n# Ref     Val        Package     PosX       PosY       Rot  Side\nR1        10k, 1%    0603      1.2700    -2.5400   90.0000  bottom\nC11       1u         0402     11.2700    12.5400   90.0000  top\n## End\n", "mm", false},
		{"aligned, gaps", "a.txt", "Designator Footprint               Mid X         Mid Y         Ref X         Ref Y         Pad X         Pad Y TB      Rotation Comment        \n\nR1         0603                    50mil       -100mil         60mil        -90mil         60mil        -90mil  B         90.00 10k, 1%        \n", "cell", false},
		{"not aligned", "a.txt", "Ref Val Package X Y Rot Side\nR1 10k,_1% 0603 1.27 -2.54 90 bottom\nC11 1u 0402 11.2 1 0 top\n", "mm", true},
		{"no header", "front_bottom_back.txt", "R1\t1.27\t-2.54\t90.00\t10k, 1%\t0603\t\n", "mm", true},
		{"no header, blanks", "bottom.txt", "R1  1.27 -2.54 90  10k,_1% 0603\nJ1 2 2 0 HDR\n", "mm", true},
		{"UTF-16", "a.csv", wideText("Ref,Val,Package,PosX,PosY,Rot,Side\r\nR1,\"10k, 1%\",0603,1.27,-2.54,90.0,bottom\r\n"), "mm", true},
		{"byte order mark", "a.csv", "\xef\xbb\xbfRef,Val,Package,PosX,PosY,Rot,Side\nR1,\"10k, 1%\",0603,1.27,-2.54,90°,bottom\n", "mm", true},
		{"ours", "a.csv", "# RG-1042\n# unit: mm\ncopy,refdes,side,x_mm,y_mm,rotation_deg,package,value,part_number\nA1,R1,bottom,1.27,-2.54,90,0603,\"10k, 1%\",\n", "mm", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.True(t, Looks([]byte(c.text)))
			table, err := Read(c.file, []byte(c.text))
			require.NoError(t, err)
			assert.Equal(t, c.unit, table.Unit)
			assert.Equal(t, c.guessed, table.UnitOpen)
			require.NotEmpty(t, table.Rows)
			got := table.Rows[0]
			got.Line = 0
			w := want
			if got.Value == "10k,_1%" {
				w.Value = "10k,_1%"
			}
			if c.file == "front_bottom_back.txt" {
				w.Side = "" // the name says both
			}
			assert.Equal(t, w, got)
		})
	}
}

func TestReadAs(t *testing.T) {
	text := []byte("Ref,X,Y\nR1,1,2\n")
	table, err := ReadAs("a.csv", text, "inch")
	require.NoError(t, err)
	assert.Equal(t, geom.Inch, table.Rows[0].X)
	assert.False(t, table.UnitOpen)
	_, err = ReadAs("a.csv", text, "rod")
	assert.EqualError(t, err, `there is no unit "rod"; the units are "mm", "mil", "inch" and "um"`)
}

func TestFaults(t *testing.T) {
	const head = "Ref,Val,X,Y,Rot,Side\n"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "a.csv:1:1: this is not a placement table: no line names a reference designator, x and y\n    leave the file out, or export it with a header line such as Ref,Val,Package,PosX,PosY,Rot,Side"},
		{"binary", "Ref,X,Y\n\x00", "a.csv:2:1: this is not a placement table: it holds binary data\n    .\n    leave the file out, or export it with a header line such as Ref,Val,Package,PosX,PosY,Rot,Side"},
		{"parts list", "Reference,Value,Footprint,Count\nC1,1u,0402,1\n", "a.csv:1:1: this is not a placement table: no line names a reference designator, x and y\n    Reference,Value,Footprint,Count\n    leave the file out, or export it with a header line such as Ref,Val,Package,PosX,PosY,Rot,Side"},
		{"no number", head + "R1,10k,one,2,90,top\n", "a.csv:2:8: \"one\" is no coordinate\n    R1,10k,one,2,90,top\n    coordinates are plain numbers, with or without mm, mil, inch or um"},
		{"unknown unit", head + "R1,10k,1ell,2,90,top\n", "a.csv:2:8: \"1ell\" is no coordinate\n    R1,10k,1ell,2,90,top\n    coordinates are plain numbers, with or without mm, mil, inch or um"},
		{"far", "# unit: mm\n" + head + "R1,10k,1,1000.1,90,top\n", "a.csv:3:10: the part lies more than 1000 mm from the origin\n    R1,10k,1,1000.1,90,top\n    check the unit"},
		{"no rotation", head + "R1,10k,1,2,NaN,top\n", "a.csv:2:12: \"NaN\" is no rotation\n    R1,10k,1,2,NaN,top\n    rotations are plain numbers, in degrees"},
		{"no side", head + "R1,10k,1,2,90,left\n", "a.csv:2:15: \"left\" is no side\n    R1,10k,1,2,90,left\n    the words known are top and bottom and their usual short forms"},
		{"no name", head + ",10k,1,2,90,top\n", "a.csv:2:1: this part has no reference designator\n    ,10k,1,2,90,top\n    name the part, or take the line out"},
		{"cut off", head + "R1,10k,1,\nR2,10k,", "a.csv:2:10: this line has too few columns\n    R1,10k,1,\n    the file may have been cut off: export it again"},
		{"ragged", "Ref Val X Y Rot Side\nR1 10k 1 2 90 top\nR2 10 k 1 2 90 top\n", "a.csv:3:1: the columns of this table cannot be told apart: there are 6 names but 7 words here\n    R2 10 k 1 2 90 top\n    export the table with commas between its columns"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read("a.csv", []byte(c.text))
			assert.EqualError(t, err, c.want)
		})
	}
}

// Row counts are line counts of the files less their headers and remarks, made with other tools.
func TestOpenBoards(t *testing.T) {
	root := shared.Dir(t, "boards")
	tables, isTable := map[string]*Table{}, map[string]bool{}
	for _, c := range []struct {
		file, unit string
		rows       int
		guessed    bool
		first      Row
	}{
		{"module-6l-slots/*-top-pos.csv", "mm", 78, true, Row{Refdes: "C2", Value: "100nF", Package: "C_0201_0603Metric", Side: "top", X: 46_440_000, Y: 16_530_000, Line: 2}},
		{"module-6l-slots/*-bottom-pos.csv", "mm", 66, true, Row{Refdes: "C1", Value: "10nF", Package: "C_0201_0603Metric", Side: "bottom", X: -29_392_000, Y: 17_220_000, Rotation: geom.Quarter, Line: 2}},
		{"module-6l-slots/*-top.pos", "mm", 78, false, Row{Refdes: "C2", Value: "100nF", Package: "C_0201_0603Metric", Side: "top", X: 46_440_000, Y: 16_530_000, Line: 6}},
		{"module-6l-slots/*-bottom.pos", "mm", 66, false, Row{Refdes: "C1", Value: "10nF", Package: "C_0201_0603Metric", Side: "bottom", X: -29_392_000, Y: 17_220_000, Rotation: geom.Quarter, Line: 6}},
		{"tiny-4l-blind/*-bottom-pos.csv", "mm", 38, true, Row{Refdes: "C1", Value: "0201, 1uF, 10V, X5R, 20%", Package: "C_0201_0603Metric", Side: "bottom", X: 715_000, Y: 8_365_000, Rotation: geom.Quarter, Line: 2}},
		{"tiny-4l-blind/*-top-pos.csv", "mm", 0, false, Row{}},
		{"watch-2l-loops/PnP_*_front.txt", "mm", 31, true, Row{Refdes: "!RST", Package: "…TESTPOINT_ROUND_1.5MM", Side: "top", X: 2_790_000, Y: 11_680_000, Line: 1}},
		{"watch-2l-loops/PnP_*_back.txt", "mm", 4, true, Row{Refdes: "FID4", Value: "FIDUCIAL_1MM", Package: "FIDUCIAL_1MM", Side: "bottom", X: 4_060_000, Y: 21_080_000, Line: 1}},
		{"pilot-2l-mil/Pick Place*.txt", "cell", 116, false, Row{Refdes: "Modem", Value: "Modem", Package: "HDR1X6", Side: "top", X: 3100 * geom.Mil, Y: 2185 * geom.Mil, Rotation: geom.Half, Line: 3}},
		{"control-2l-regions/*_pnp.txt", "mm", 875, false, Row{Refdes: "TXT4", Side: "bottom", X: 76_788_800, Y: -14_358_100, Line: 16}},
	} {
		t.Run(c.file, func(t *testing.T) {
			found, err := filepath.Glob(filepath.Join(root, c.file))
			require.NoError(t, err)
			require.Len(t, found, 1)
			data, err := os.ReadFile(found[0])
			require.NoError(t, err)
			assert.True(t, Looks(data))
			table, err := Read(filepath.Base(found[0]), data)
			require.NoError(t, err)
			tables[c.file], isTable[found[0]] = table, true
			assert.Equal(t, c.unit, table.Unit)
			assert.Equal(t, c.guessed, table.UnitOpen)
			require.Len(t, table.Rows, c.rows)
			if c.rows > 0 {
				got := table.Rows[0]
				if end, cut := strings.CutPrefix(c.first.Package, "…"); cut { // the library's name in front is nobody's business
					assert.True(t, strings.HasSuffix(got.Package, end), got.Package)
					got.Package = c.first.Package
				}
				assert.Equal(t, c.first, got)
			}
			for _, r := range table.Rows {
				assert.NotEmpty(t, r.Side)
			}
		})
	}
	t.Run("both exports of a board agree", func(t *testing.T) {
		for _, side := range []string{"top", "bottom"} {
			a, b := tables["module-6l-slots/*-"+side+"-pos.csv"], tables["module-6l-slots/*-"+side+".pos"]
			require.NotNil(t, a)
			require.NotNil(t, b)
			for i := range a.Rows {
				p, q := a.Rows[i], b.Rows[i]
				assert.InDelta(t, float64(p.X), float64(q.X), 51) // the aligned one has four decimals
				assert.InDelta(t, float64(p.Y), float64(q.Y), 51)
				q.X, q.Y, q.Line = p.X, p.Y, p.Line
				assert.Equal(t, p, q)
			}
		}
	})
	t.Run("nothing else looks like a table", func(t *testing.T) {
		files, err := filepath.Glob(filepath.Join(root, "*", "*"))
		require.NoError(t, err)
		for _, f := range files {
			data, err := os.ReadFile(f)
			require.NoError(t, err)
			assert.Equal(t, isTable[f], Looks(data), f)
		}
	})
}
