package packages

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

func TestRead(t *testing.T) {
	const want = "0603 1.6 0.8 0.45 2000 0 0 false false;USB_* 9.2 7.4 3.2 1200000 1 -0.5 true false;X? 0 0 0 0 0 0 false true;"
	for name, text := range map[string]string{
		"commas":            "# bodies\npackage,length_mm,width_mm,height_mm,mass_mg,offset_x_mm,offset_y_mm,overhang,fragile\n0603,1.6,0.8,0.45,2,,,,\n\nUSB_*,9.2,7.4,3.2,1200,1,-0.5,yes,no\nX?,,,,,,,,x\n",
		"semicolons, CRLF":  "package;length (mm);width (mm);height (mm);mass (g);offset x (mm);offset y (mm);overhang;fragile\r\n0603;1.6;0.8;0.45;0.002;;;;\r\nUSB_*;9.2;7.4;3.2;1.2;1;-0.5;yes;no\r\nX?;;;;;;;;x\r\n",
		"CR":                "package,length_mm,width_mm,height_mm,mass_mg,offset_x_mm,offset_y_mm,overhang,fragile\r0603,1.6,0.8,0.45,2,,,,\rUSB_*,9.2,7.4,3.2,1200,1,-0.5,yes,no\rX?,,,,,,,,x\r",
		"tabs, other order": "\xef\xbb\xbfFragile\tPackage\tLength_um\tWidth_um\tHeight_um\tMass_mg\toverhang\toffset_x_um\toffset_y_um\n\t0603\t1600\t800\t450\t2\nno\t\"USB_*\"\t9200\t7400\t3200\t1200\ty\t1000\t-500\n1\tX?\n",
	} {
		t.Run(name, func(t *testing.T) {
			table, err := Read("bodies.csv", []byte(text))
			require.NoError(t, err)
			var b strings.Builder
			for _, r := range table.Rows {
				for _, s := range []any{r.Package, r.Length.Decimal(), r.Width.Decimal(), r.Height.Decimal(), r.Mass, r.OffsetX.Decimal(), r.OffsetY.Decimal(), r.Overhang} {
					b.WriteString(strings.TrimSpace(sprint(s)) + " ")
				}
				b.WriteString(sprint(r.Fragile) + ";")
			}
			assert.Equal(t, want, b.String())
			assert.True(t, table.Rows[0].HasSize())
			assert.False(t, table.Rows[2].HasSize())
		})
	}
}

// The class says what matters near a break, the underside where a body hangs beside the board.
func TestClassAndUnderside(t *testing.T) {
	table, err := Read("bodies.csv", []byte("package,class,height_mm,underside_mm\nC_0603,Ceramic Capacitor,0.8,\nXTAL,crystal,,\nUSB_*,CONNECTOR,3.2,1.25\nBGA-*,ball-grid-array,,\nR_0603,,,\n"))
	require.NoError(t, err)
	var got []string
	for _, r := range table.Rows {
		got = append(got, r.Class+" "+r.Underside.Decimal())
	}
	assert.Equal(t, []string{"ceramic_capacitor 0", "crystal 0", "connector 1.25", "ball_grid_array 0", " 0"}, got)
	for word, want := range map[string]string{"crystl": "crystal", "conn": "connector", "ceramic": "ceramic_capacitor", "ball_grid": "ball_grid_array", "x": "", "": "", "ö": ""} {
		assert.Equal(t, want, nearestClass(word), word)
	}
	_, err = Read("b.csv", []byte("package,class\nA,conector\n"))
	require.ErrorContains(t, err, "nearest: connector; the classes are ceramic_capacitor, crystal, connector, ball_grid_array")
}

func TestFor(t *testing.T) {
	table, err := Read("bodies.csv", []byte("package,height_mm\nUSB_*,1\n*0603*,2\nUSB_A,3\nR_0603_1608,4\nX?,5\n"))
	require.NoError(t, err)
	for name, want := range map[string]geom.Length{
		"usb_a": 3, "USB_B": 1, "C_0603": 2, "r_0603_1608": 4, "X1": 5, "X12": 0, "": 0, "0603": 2, " USB_A ": 3, "USB": 0,
	} {
		r, ok := table.For(name)
		assert.Equal(t, want > 0, ok, name)
		assert.Equal(t, want*geom.MM, r.Height, name)
	}
	assert.True(t, fits("*a*b*c", "xxaxxbxxbc"))
	assert.False(t, fits("*a*b*c", "xxaxxbxxb"))
	assert.False(t, fits(strings.Repeat("*a", 200)+"b", strings.Repeat("a", 5000)), "must not take for ever")
}

func TestFaults(t *testing.T) {
	const head = "package,length_mm,width_mm,mass_mg,overhang\n"
	for _, c := range []struct{ text, want string }{
		{"", "b.csv:1:1: the table has no header line"},
		{"package,colour\n", `b.csv:1:9: "colour" is no column of this table`},
		{"package,length,width\n", `b.csv:1:9: "length" does not say its unit`},
		{"package,mass_mm\n", `b.csv:1:9: "mass_mm" does not say its unit`},
		{"package,length_mm\n", `b.csv:1:1: length and width belong together: only one of them is there`},
		{"length_mm,width_mm\n", `b.csv:1:1: no column is called package`},
		{"package,class_mm\n", `b.csv:1:9: the column class has no unit`},
		{"package,underside\n", `b.csv:1:9: "underside" does not say its unit`},
		{"package,class\nA,resistor\n", `b.csv:2:3: "resistor" is no class of parts`},
		{"package,height_mm,underside_mm\nA,2,2\n", `b.csv:2:1: "A" has its underside no lower than its height`},
		{"package,Package\n", `b.csv:1:9: the column package is there twice`},
		{"package,fragile_mm\n", `b.csv:1:9: the column fragile has no unit`},
		{head + "A,1,2,3,yes,more\n", `b.csv:2:13: this line has more cells (6) than the header has names (5)`},
		{head + "A,1,,3,\n", `b.csv:2:1: "A" has a length or a width and not both`},
		{head + "A,\"1,5\",2,3,\n", `b.csv:2:3: "1,5" is no length`},
		{head + "A,1mm,2,3,\n", `b.csv:2:3: "1mm" is no length`},
		{head + "A,0,2,3,\n", `b.csv:2:3: length cannot be 0`},
		{head + "A,1,-2,3,\n", `b.csv:2:5: width cannot be -2`},
		{head + "A,1001,2,3,\n", `b.csv:2:3: length cannot be more than 1000 mm`},
		{head + "A,1,2,10000001,\n", `b.csv:2:7: mass of a part cannot be more than 10 kg`},
		{head + "A,1,2,3,perhaps\n", `b.csv:2:9: "perhaps" says neither yes nor no`},
		{head + ",1,2,3,\n", `b.csv:2:1: this line names no package`},
		{head + "A,1,2,3,\n# remark\na,1,2,3,\n", `b.csv:4:1: "a" is there already, in line 2`},
		{head + "\"A,1,2,3,\n", `b.csv:3:1: the quotes of this line are not closed as they should be`},
		{head + "\xff,1,2\n", `b.csv:2:1: this is no text in UTF-8`},
		{head + "\x00\n", `b.csv:2:1: this is no table: it holds binary data`},
	} {
		_, err := Read("b.csv", []byte(c.text))
		require.Error(t, err, c.text)
		var f *format.Fault
		require.True(t, errors.As(err, &f), c.text)
		assert.NotEmpty(t, f.Do, c.text)
		assert.Equal(t, c.want, strings.SplitN(err.Error(), "\n", 2)[0], c.text)
	}
}

// FuzzRead holds the reader to this: no panic, no hang, a mistake is a Fault, and every row is found
// again by its name and is within what a body can be.
func FuzzRead(f *testing.F) {
	for _, s := range []string{
		"package,length_mm,width_mm,height_mm,mass_mg,overhang,fragile\n0603,1.6,0.8,0.45,2,,\nUSB_*,9.2,7.4,3.2,1200,yes,\n",
		"# remark\npackage;length (inch);width (inch);mass (g);offset_x_mil;offset_y_um\r\n\"a;b\";.1;.2;1e3;+5;-6\r\n",
		"package,height_mm,underside_mm,class\nC_0603,0.8,,ceramic_capacitor\nX?,1,.5,Ball Grid-Array\n",
		"package\tmass_kg\n?*\t1\n\"a\"\"b\"\t2\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := Read("fuzz.csv", data)
		if err != nil {
			var fault *format.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		for i, r := range table.Rows {
			if r.Length < 0 || r.Width < 0 || r.Height < 0 || r.Mass < 0 || r.Length > geom.Limit || r.Mass > 10_000_000_000 || (r.Length > 0) != (r.Width > 0) || r.Package == "" || r.Underside < 0 || r.Class != "" && !slices.Contains(Classes, r.Class) {
				t.Fatalf("row %d: %+v", i, r)
			}
			got, ok := table.For(r.Package)
			if !ok || !r.pattern && got != r {
				t.Fatalf("row %d: %+v is not found by its name but %+v", i, r, got)
			}
		}
	})
}

func sprint(v any) string { return fmt.Sprint(v) }
