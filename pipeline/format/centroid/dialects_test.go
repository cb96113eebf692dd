package centroid

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// said writes a table in one line a row.
func said(t *Table) string {
	var b strings.Builder
	for _, r := range t.Rows {
		fmt.Fprintf(&b, "%s|%s|%s|%s|%s|%s|%s|%s\n", r.Refdes, r.Side, r.X.Decimal(), r.Y.Decimal(), r.Rotation.Decimal(), r.Package, r.Value, r.PartNumber)
	}
	for _, l := range t.Left {
		fmt.Fprintf(&b, "left %s: %s\n", l.Refdes, l.Why)
	}
	return b.String()
}

func notes(t *Table) (out []string) {
	for _, n := range t.Notes {
		s := n.Text
		if n.Doubt {
			s = "doubt: " + s
		}
		if n.Line > 0 {
			s = fmt.Sprintf("%d: %s", n.Line, s)
		}
		out = append(out, s)
	}
	return out
}

// Each dialect as files have it (common practice, no published source).
func TestDialects(t *testing.T) {
	const one = "R1|bottom|1.27|-2.54|90|0603|10k|\n"
	const two = one + "C11|top|11.27|12.54|0|0402|1u|\n"
	for _, c := range []struct {
		name, file, text, want, unit string
		open                         bool
		notes                        []string
	}{
		{name: "tabs", text: "Designator\tComment\tPattern\tCenter-X(mm)\tCenter-Y(mm)\tRotation\tLayer\nR1\t10k\t0603\t1.27\t-2.54\t90\tBottomLayer\n", want: one, unit: "mm"},
		{name: "bars, drawn as a table", text: "| Ref | Value | Package | X | Y | Rot | Side |\n|-----|-------|---------|---|---|-----|------|\n| R1 | 10k | 0603 | 1.27mm | -2.54mm | 90 | Bottom |\n| C11 | 1u | 0402 | 11.27mm | 12.54mm | 0 | Top |\n", want: two, unit: "cell"},
		{name: "bars only between", text: "Ref|Value|Package|X(mm)|Y(mm)|Rot|Side\nR1|10k|0603|1.27|-2.54|90|B\n", want: one, unit: "mm"},
		{name: "semicolons and decimal commas", text: "Ref;Value;Package;PosX [mm];PosY [mm];Rot;Side\nR1;10k;0603;1,27;-2,54;90,00;bottom\nC11;1u;0402;11,27;12,54;0,00;top\n", want: two, unit: "mm"},
		{name: "decimal commas between quotes", text: "Ref,Value,Package,X_mm,Y_mm,Rot,Side\nR1,10k,0603,\"1,27\",\"-2,54\",\"90,0\",B.Cu\n", want: one, unit: "mm"},
		{name: "three decimals after a comma, settled by another number", text: "Ref;Value;Package;X mm;Y mm;Rot;Side\nR1;10k;0603;1,270;-2,540;90;Back\nC11;1u;0402;11,270;12,5400;0;Front\n", want: two, unit: "mm"},
		{name: "three decimals after a comma, settled by a rotation", text: "Ref;Value;Package;X mm;Y mm;Rot;Side\nR1;10k;0603;1,270;-2,540;90,000;2\n", want: one, unit: "mm"},
		{name: "thousands", text: "Ref,Value,Package,X (um),Y (um),Rot,Side\nR1,10k,0603,\"1,270.0\",\"-2,540\",90,Solder Side\n", want: one, unit: "um"},
		{name: "micrometres in cells", text: "Ref,Value,Package,X,Y,Rot,Side\nR1,10k,0603,1270um,-2540µm,90,bot\n", want: one, unit: "cell"},
		{name: "inches by a quote", text: "Ref,Value,Package,\"X\"\"\",\"Y\"\"\",Rot,Side\nR1,10k,0603,0.05,-0.1,90,BOT\n", want: one, unit: "inch"},
		{name: "units in the line below", text: "Ref,Value,Package,X,Y,Rot,Side\n,,,(mil),(mil),(deg),\nR1,10k,0603,50,-100,90,b\n", want: one, unit: "mil"},
		{name: "unit in a preamble of cells", text: "Report,placement\n\"Units\",\"mils\"\n\nRef,Value,Package,X,Y,Rot,Side\nR1,10k,0603,50,-100,90,b\n", want: one, unit: "mil"},
		{name: "unit in a sentence", text: "All dimensions are in inches.\nRef,Value,Package,X,Y,Rot,Side\nR1,10k,0603,.05,-.1,90,b\n", want: one, unit: "inch"},
		{name: "units used", text: "Units used: mil\nRef,Value,Package,X,Y,Rot,Side\nR1,10k,0603,50,-100,90,b\n", want: one, unit: "mil"},
		{name: "no unit", text: "Ref,Value,Package,X,Y,Rot,Side\nR1,10k,0603,1.27,-2.54,90,b\n", want: one, unit: "mm", open: true},
		{name: "centre before reference point and pad", text: "Designator,Footprint,Ref X,Ref Y,Pad X,Pad Y,Mid X,Mid Y,TB,Rotation,Comment\nR1,0603,9mil,9mil,8mil,8mil,50mil,-100mil,B,90,10k\n", want: one, unit: "cell",
			notes: []string{"of 3 pairs of coordinates Mid X and Mid Y are taken, the parts' centres"}},
		{name: "no centre", text: "Designator,Footprint,Pad X,Pad Y,Ref X,Ref Y,TB,Rotation,Comment\nR1,0603,8mil,8mil,50mil,-100mil,B,90,10k\n", want: one, unit: "cell",
			notes: []string{"doubt: of 2 pairs of coordinates there are no coordinates of the parts' centres: Ref X and Ref Y are taken, each part's reference point"}},
		{name: "one pair in two units", text: "Ref,Package,Value,X(mil),Y(mil),X(mm),Y(mm),Angle,Side\nR1,0603,10k,50,-100,1.27,-2.54,90,b\n", want: one, unit: "mm"},
		{name: "x and y in different units", text: "Ref,Package,Value,X(mil),Y(mm),Angle,Side\nR1,0603,10k,50,-2.54,90,b\n", want: one, unit: "mil"},
		{name: "mirror column", text: "Part,Value,Package,X (mm),Y (mm),Orientation,Mirror\nR1,10k,0603,1.27,-2.54,90,yes\nC11,1u,0402,11.27,12.54,0,no\n", want: two, unit: "mm"},
		{name: "mirror column of m and nothing", text: "Part,Value,Package,X (mm),Y (mm),Orientation,m\nR1,10k,0603,1.27,-2.54,90,m\nC11,1u,0402,11.27,12.54,0,\n", want: two, unit: "mm"},
		{name: "mirrored rotations", text: "Part,Value,Package,X (mm),Y (mm),Orientation\nR1,10k,0603,1.27,-2.54,MR90\n", want: one, unit: "mm"},
		{name: "mount is the side", text: "Part,Value,Package,X (mm),Y (mm),Rot,Mount\nR1,10k,0603,1.27,-2.54,90,Bottom\nC11,1u,0402,11.27,12.54,0,Top\n", want: two, unit: "mm", notes: []string{"Mount is taken as the side"}},
		{name: "mount is a way of mounting", text: "Part,Value,Package,X (mm),Y (mm),Rot,Mount,Side\nR1,10k,0603,1.27,-2.54,90,SMD,Bottom\n", want: one, unit: "mm"},
		{name: "headings between blocks", text: "BOTTOM SIDE\nRef,Value,Package,X(mm),Y(mm),Rot\nR1,10k,0603,1.27,-2.54,90\n\nTop Side:\nRef,Value,Package,X(mm),Y(mm),Rot\nC11,1u,0402,11.27,12.54,0\n", want: two, unit: "mm",
			notes: []string{"5: a heading: the parts below it are on the top"}},
		{name: "a summary behind", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side\nR1,10k,0603,1.27,-2.54,90,b\nC11,1u,0402,11.27,12.54,0,t\n\nTotal parts: 2\nEnd of report\n", want: two, unit: "mm",
			notes: []string{"5: what stands behind the last part is not read: \"Total parts: 2\""}},
		{name: "a summary of two cells", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side\nR1,10k,0603,1.27,-2.54,90,b\nTotal,1,,,,,\n", want: one, unit: "mm",
			notes: []string{"3: what stands behind the last part is not read: \"Total,1,,,,,\""}},
		{name: "parts not fitted", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side,DNP\nR1,10k,0603,1.27,-2.54,90,b,\nR2,10k,0603,1,2,90,b,DNP\nR3,10k,0603,1,2,90,b,x\nC11,1u,0402,11.27,12.54,0,t,no\n", unit: "mm",
			want: two + "left R2: its column DNP says so\nleft R3: its column DNP says so\n"},
		{name: "fitted parts", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side,Fitted\nR1,10k,0603,1.27,-2.54,90,b,Yes\nR2,10k,0603,1,2,90,b,No\nR4,10k,0603,1,2,90,b,Not Fitted\n", unit: "mm",
			want: one + "left R2: its column Fitted says so\nleft R4: its column Fitted says so\n"},
		{name: "parts without a place", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side\nR1,10k,0603,1.27,-2.54,90,b\nR2,10k,0603,,,,\nR3,10k,0603,n/a,n/a,,\n", unit: "mm",
			want: one + "left R2: it has no place\nleft R3: it has no place\n"},
		{name: "a value over two lines", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side\nR1,\"10k\n1%\",0603,1.27,-2.54,90,b\nC11,1u,0402,11.27,12.54,0,t\n", unit: "mm",
			want: strings.Replace(two, "10k", "10k 1%", 1)},
		{name: "a spreadsheet's first line", text: "sep=;\r\nRef;Value;Package;X(mm);Y(mm);Rot;Side\r\nR1;10k;0603;1,27;-2,54;90;b\r\n", want: one, unit: "mm"},
		{name: "ISO 8859-1", text: "Ref;Value;Package;X(\xb5m);Y(\xb5m);Rot;Side\nR1;10k;0603;1270;-2540;90\xb0;b\n", want: one, unit: "um"},
		{name: "UTF-16, high byte first", text: bigEndian("Ref,Value,Package,X(mm),Y(mm),Rot,Side\r\nR1,10k,0603,1.27,-2.54,90,b\r\n"), want: one, unit: "mm"},
		{name: "UTF-16 without its mark", text: wideText("Ref,Value,Package,X(mm),Y(mm),Rot,Side\r\nR1,10k,0603,1.27,-2.54,90,b\r\n")[2:], want: one, unit: "mm"},
		{name: "a minus sign as printed, exponents", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side\nR1,10k,0603,1.27e0,−0.254e+01,90,b\nC11,1u,0402,1127e-2,12.54,0,t\n", want: two, unit: "mm"},
		{name: "a commented part", text: "Ref,Value,Package,X(mm),Y(mm),Rot,Side\nR1,10k,0603,1.27,-2.54,90,b\n#C11,1u,0402,11.27,12.54,0,t\n", want: one, unit: "mm",
			notes: []string{"3: doubt: a remark that looks like a part is not read"}},
		{name: "no rotation", text: "Ref,Value,Package,X(mm),Y(mm),Side\nR1,10k,0603,1.27,-2.54,b\n", want: strings.Replace(one, "|90|", "|0|", 1), unit: "mm",
			notes: []string{"doubt: nothing says how the parts are turned: 0° is taken for all of them"}},
		{name: "fixed columns", text: "Placement of board\n\nReference   Value       Package     Center-X (mm)  Center-Y (mm)  Rotation  Side\n---------   -----       -------     -------------  -------------  --------  ------\nR1          10k         0603                 1.27          -2.54     90.00  Bottom\nC11         1u          0402                11.27          12.54      0.00  Top\n\n2 components\n", want: two, unit: "mm",
			notes: []string{"8: what stands behind the last part is not read: \"2 components\""}},
		{name: "fixed columns, values with blanks and none", text: "RefDes  Part Type       Footprint   X mm    Y mm   Rot Side\nR1      10k 1 %         0603        1.27   -2.54    90 bot\nC11                     0402       11.27   12.54     0 top\n", unit: "mm",
			want: "R1|bottom|1.27|-2.54|90|0603|10k 1 %|\nC11|top|11.27|12.54|0|0402||\n"},
		{name: "part numbers", text: "Reference Designator,Part Number,Part Value,Package Name,X Position (mm),Y Position (mm),Rotation Angle,Board Side\nR1,RG-7,10k,0603,1.27,-2.54,90,Bottom\n", want: "R1|bottom|1.27|-2.54|90|0603|10k|RG-7\n", unit: "mm"},
		{name: "no header line: value, package, side", file: "a.csv", text: "R1,10k,R_0603,1.27,-2.54,90,bottom\nC11,1u,C_0402,11.27,12.54,0,top\n", unit: "mm", open: true,
			want:  "R1|bottom|1.27|-2.54|90|R_0603|10k|\nC11|top|11.27|12.54|0|C_0402|1u|\n",
			notes: []string{"there is no header line: the columns are taken as 1 name, 4 x, 5 y, 6 rotation, 7 side, 3 package, 2 value"}},
		{name: "no header line: numbered, tabs, units", file: "top.txt", text: "1\tR1\t50.0mil\t100.0mil\t90\n2\tR2\t60.5mil\t110.5mil\t0\n3\tR3\t60.5mil\t130.5mil\t0\n", unit: "cell",
			want:  "R1|top|1.27|2.54|90|||\nR2|top|1.5367|2.8067|0|||\nR3|top|1.5367|3.3147|0|||\n",
			notes: []string{"there is no header line: the columns are taken as 2 name, 3 x, 4 y, 5 rotation"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := c.file
			if file == "" {
				file = "a.csv"
			}
			assert.True(t, Looks([]byte(c.text)))
			for _, end := range []string{"\n", "\r\n", "\r"} {
				text := c.text
				if strings.Contains(text, "\x00") && end != "\n" {
					continue
				}
				if !strings.Contains(text, "\r") {
					text = strings.ReplaceAll(text, "\n", end)
				}
				table, err := Read(file, []byte(text))
				require.NoError(t, err)
				assert.Equal(t, c.want, said(table))
				assert.Equal(t, c.unit, table.Unit)
				assert.Equal(t, c.open, table.UnitOpen)
				assert.Equal(t, c.notes, notes(table))
			}
		})
	}
}

func bigEndian(s string) string {
	b := []byte(wideText(s))
	for i := 0; i+1 < len(b); i += 2 {
		b[i], b[i+1] = b[i+1], b[i]
	}
	return string(b)
}

// What is not clear is refused, with the place and what to do.
func TestRefused(t *testing.T) {
	const head = "Ref;Value;Package;X;Y;Rot;Side\n"
	columns := strings.ReplaceAll(doColumns, "FILE", "a.csv")
	for _, c := range []struct{ name, text, want string }{
		{"three digits after a comma", head + "R1;10k;0603;1,270;-2,540;90;b\n", "a.csv:2:13: \"1,270\" is not clear: its comma may stand before a fraction or part thousands, and no other number of the table tells\n    R1;10k;0603;1,270;-2,540;90;b\n    export the table with decimal points, or without marks between thousands"},
		{"three digits after a comma among points", head + "R1;10k;0603;1,270;0.5;90;b\n", "a.csv:2:13: \"1,270\" is not clear: other numbers have decimal points, so that its comma would part thousands\n    R1;10k;0603;1,270;0.5;90;b\n    export the table without marks between thousands"},
		{"points and commas", head + "R1;10k;0603;1,27;2.54;90;b\n", "a.csv:2:18: numbers are written with decimal points (2.54) and with decimal commas (1,27) in one table\n    R1;10k;0603;1,27;2.54;90;b\n    export the table with one of them"},
		{"decimal commas that part cells", "Ref,X,Y,Rot,Side\nR1,1,27,2,54,90,b\n", "a.csv:2:14: this line has more cells (7) than the header has names (5)\n    R1,1,27,2,54,90,b\n    put cells that hold a separator or a decimal comma between quotes"},
		{"a blank between thousands", head + "R1;10k;0603;1 270;2;90;b\n", "a.csv:2:13: \"1 270\" is no coordinate\n    R1;10k;0603;1 270;2;90;b\n    coordinates are plain numbers, with or without mm, mil, inch or um"},
		{"a unit in some cells only", head + "R1;10k;0603;1mm;2;90;b\n", "a.csv:2:17: this coordinate carries no unit, though others do\n    R1;10k;0603;1mm;2;90;b\n    say in the recipe which one holds: placement \"a.csv\" { unit = \"mm\" }"},
		{"two units", "# unit: mm\n# Units = mil\n" + head + "R1;10k;0603;1;2;90;b\n", "a.csv:2:1: this says another unit than a line before it\n    # Units = mil\n    say in the recipe which one holds: placement \"a.csv\" { unit = \"mm\" }, and take the other remark out"},
		{"two designators", "Ref,Ref,X,Y\nR1,R2,1,2\n", "a.csv:2:1: two columns are called \"Ref\"\n    R1,R2,1,2\n    " + columns},
		{"side and mirror disagree", "Ref,X,Y,Side,Mirror\nR1,1,2,top,yes\n", "a.csv:2:12: this says the bottom, its side the top\n    R1,1,2,top,yes\n    " + columns},
		{"a quote that is not closed", "Ref,X,Y,Side,Value\nR1,1,2,top,\"10k\nR2,1,2,top,10k\n", "a.csv:2:12: this quote does not close its cell\n    R1,1,2,top,\"10k\n    within quotes, write a quote twice"},
		{"a quote within quotes", "Ref,X,Y,Side,Value\nR1,1,2,top,\"1/4\" plug\"\n", "a.csv:2:16: this quote does not close its cell\n    R1,1,2,top,\"1/4\" plug\"\n    within quotes, write a quote twice"},
		{"one coordinate missing", "Ref,X,Y,Side\nR1,1,,top\n", "a.csv:2:6: \"\" is no coordinate\n    R1,1,,top\n    coordinates are plain numbers, with or without mm, mil, inch or um"},
		{"cut off within a line", "Ref,X,Y,Side\nR1,1,2,top\nR2\n", "a.csv:3:3: this line has too few columns\n    R2\n    the file may have been cut off: export it again"},
		{"a line that is no part", "Ref,X,Y,Side\nR1,1,2,top\nhere be text\nR2,1,2,top\n", "a.csv:3:1: this line is no part, and parts follow it\n    here be text\n    take the line out, or mark it as a remark with # in front"},
		{"placed or not", "Ref,X,Y,Side,DNP\nR1,1,2,top,perhaps\n", "a.csv:2:12: \"perhaps\" says neither that the part is placed nor that it is not\n    R1,1,2,top,perhaps\n    the words known are yes and no and their usual short forms"},
		{"nothing in a column of fitted parts", "Ref,X,Y,Side,Fitted\nR1,1,2,top,yes\nR2,1,2,top,\n", "a.csv:3:12: \"\" says neither that the part is placed nor that it is not\n    R2,1,2,top,\n    the words known are yes and no and their usual short forms"},
		{"mount of both kinds", "Ref,X,Y,Mount\nR1,1,2,SMD\nR2,1,2,Top\n", "a.csv:2:8: it is not clear whether the column Mount is the side of the parts or how they are mounted\n    R1,1,2,SMD\n    " + columns},
		{"no header line, value or package", "R1,aa,bb,1.27,-2.54,90,bottom\nC11,cc,dd,11.27,12.54,0,top\n", "a.csv:1:1: there is no header line, and which column is the value and which the package is not clear\n    R1,aa,bb,1.27,-2.54,90,bottom\n    " + columns},
		{"no header line, many numbers", "R1,1.27,-2.54,1.27,-2.54,90,bottom\nC11,11.27,12.54,11.27,12.54,0,top\n", "a.csv:1:1: there is no header line, and which of the 5 columns of numbers are x, y and rotation is not clear\n    R1,1.27,-2.54,1.27,-2.54,90,bottom\n    " + columns},
		{"UTF-16 cut short", wideText("Ref,X,Y\nR1,1,2\n") + "R", "a.csv:3:1: the file ends within a letter: it is cut short\n    export it again"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read("a.csv", []byte(c.text))
			assert.EqualError(t, err, c.want)
		})
	}
}

// How numbers are written, and what each says of the others of its table.
func TestNumbers(t *testing.T) {
	comma, point, groups := marks{comma: true}, marks{}, marks{groups: true}
	for _, c := range []struct {
		text string
		says evidence
		m    marks
		want string // "" for none
	}{
		{"12", saysNothing, point, "12"},
		{"-12", saysNothing, comma, "-12"},
		{"1.25", saysPoint, point, "1.25"},
		{"1.25", saysPoint, comma, ""},
		{"1.250", saysPoint, point, "1.250"},
		{"1,25", saysComma, comma, "1.25"},
		{"1,25", saysComma, point, ""},
		{"0,250", saysComma, comma, "0.250"},
		{",250", saysComma, comma, ".250"},
		{"1234,500", saysComma, comma, "1234.500"},
		{"1,250", saysEither, comma, "1.250"},
		{"1,250", saysEither, groups, "1250"},
		{"1,250", saysEither, point, ""},
		{"1,250.5mil", saysPointGroups, groups, "1250.5mil"},
		{"1,234,567", saysPointGroups, groups, "1234567"},
		{"1.250,5", saysCommaGroups, comma, "1250.5"},
		{"-1.234.567,5 mil", saysCommaGroups, comma, "-1234567.5 mil"},
		{"1.234.567", saysCommaGroups, comma, "1234567"},
		{"1.2.3", saysNothing, point, ""},
		{"1,2,3", saysNothing, comma, ""},
		{"1,25.5", saysNothing, groups, ""},
		{"12,34.5", saysNothing, groups, ""},
	} {
		assert.Equal(t, c.says, weigh(c.text, false), c.text)
		got, ok := c.m.plainNumber(c.text)
		assert.Equal(t, c.want != "", ok, c.text)
		if ok {
			assert.Equal(t, c.want, got)
		}
	}
	assert.Equal(t, saysComma, weigh("90,000", true), "no angle has thousands")
}

// Side words, each way.
func TestSideWords(t *testing.T) {
	for want, words := range map[string]string{
		"top":    "top,TOP,T,t,TopLayer,Top Layer,top side,F.Cu,front,Front,F,component side,Component Side,Comp,1,(top),CS,Primary",
		"bottom": "bottom,Bot,B,b,BottomLayer,Bottom Layer,B.Cu,back,Solder Side,solder,2,16,BOT.,Secondary",
	} {
		for _, w := range strings.Split(words, ",") {
			got, ok := side(w)
			assert.True(t, ok, w)
			assert.Equal(t, want, got, w)
		}
	}
	for _, w := range []string{"left", "0", "3", "inner", "x", "top/bottom"} {
		_, ok := side(w)
		assert.False(t, ok, w)
	}
}

// Columns that the recipe states, with a header line that nobody understands and without one.
func TestGivenColumns(t *testing.T) {
	opt := Options{Unit: "mm", Columns: []string{"refdes", "-", "package", "x", "y", "rotation", "side"}}
	for _, text := range []string{
		"Bauteil;Nr;Bauform;rechts;hoch;Winkel;Seite\nR1;7;0603;1,27;-2,54;90;bottom\n",
		"R1,7,0603,1.27,-2.54,90,bottom\n",
		"R1 7 0603 1.27 -2.54 90 bottom\n",
	} {
		table, err := ReadWith("a.csv", []byte(text), opt)
		require.NoError(t, err)
		assert.Equal(t, "R1|bottom|1.27|-2.54|90|0603||\n", said(table))
		assert.False(t, table.UnitOpen)
	}
	assert.NoError(t, CheckColumns(nil))
	assert.EqualError(t, CheckColumns([]string{"refdes", "x"}), "refdes, x and y must be among the columns")
	assert.EqualError(t, CheckColumns([]string{"refdes", "x", "x", "y"}), `the column "x" is there twice`)
	assert.EqualError(t, CheckColumns([]string{"name"}), `there is no column "name"; the words are refdes, value, package, part_number, x, y, rotation, side, mirrored, unplaced, -`)
}

// A silent table can be read in every unit in which its parts lie within reach.
func TestInUnits(t *testing.T) {
	tables := InUnits("a.csv", []byte("Ref,X,Y\nR1,100,200\n"), Options{})
	var got []string
	for _, x := range tables {
		got = append(got, x.Unit+" "+x.Rows[0].X.Decimal())
	}
	assert.Equal(t, []string{"mm 100", "mil 2.54", "um 0.1"}, got)

	// Too far in millimetres: it must be something smaller.
	table, err := Read("a.csv", []byte("Ref,X,Y\nR1,3100,2185\n"))
	require.NoError(t, err)
	assert.True(t, table.UnitOpen)
	assert.Equal(t, "mil", table.Unit)
	_, err = Read("a.csv", []byte("Ref,X,Y\nR1,3100000,2185\n"))
	require.ErrorContains(t, err, "a.csv:2:4: the part lies more than 1000 mm from the origin")
}
