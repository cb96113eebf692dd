package centroid

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// Lengths in inches by hand: 25.4 mm are one inch, a nanometre is 1 / 25 400 000 of it.
func TestDecimal(t *testing.T) {
	for _, x := range []struct {
		l        geom.Length
		mm, inch string
	}{
		{25_400_000, "25.4", "1"}, {-12_700_000, "-12.7", "-0.5"}, {25_400, "0.0254", "0.001"}, {0, "0", "0"},
		{1, "0.000001", "0.00000004"}, {-1, "-0.000001", "-0.00000004"}, // 3.937e-8
		{1_000_000, "1", "0.03937008"}, // 0.0393700787…
		{254_000_000, "254", "10"},
	} {
		assert.Equal(t, x.mm, Decimal(x.l, "mm"))
		assert.Equal(t, x.inch, Decimal(x.l, "inch"))
	}
}

// Every length is read back to the nanometre, in either unit.
func TestDecimalIsReadBack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200_000 {
		l := geom.Length(r.Int64N(int64(4*geom.Limit))) - 2*geom.Limit
		for _, unit := range []string{"mm", "inch"} {
			got, ok := ParseDecimal(Decimal(l, unit), unit)
			require.True(t, ok && got == l, "%d nm in %s: %s", l, unit, Decimal(l, unit))
		}
	}
	for _, s := range []string{"", "1e3", "1,5", "x", "1 mm", "--1", "2000.1", ".", "-"} {
		_, ok := ParseDecimal(s, "mm")
		assert.False(t, ok, s)
	}
	_, ok := ParseDecimal("1", "mil")
	assert.False(t, ok)
}

func conventions() (all []Convention) {
	yes := []bool{false, true}
	for _, unit := range []string{"mm", "inch"} {
		for _, origin := range []Origin{{}, {Mark: "fiducial/1", At: geom.Pt(15_000_001, -6_250_000)}} {
			for _, places := range yes {
				for _, own := range yes {
					for _, clockwise := range yes {
						for _, zero := range []geom.Angle{0, geom.Half, 37_500_001} {
							all = append(all, Convention{unit, origin, places, own, clockwise, zero})
						}
					}
				}
			}
		}
	}
	return all
}

// What a convention states is understood again, and no two state the same.
func TestConventionsAreReadBack(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range conventions() {
		text := strings.Join(c.Statements(), "\n")
		assert.False(t, seen[text], text)
		seen[text] = true
		got, err := ReadConvention(append([]string{"placement of panel x", "# side: top"}, c.Statements()...))
		require.NoError(t, err)
		assert.Equal(t, c, got)
	}
	good := Convention{Unit: "mm"}.Statements()
	for want, change := range map[string]func([]string) []string{
		"nothing states the places":                   func(l []string) []string { return slices.Delete(l, 2, 3) },
		`"furlong" is not known as the unit`:          func(l []string) []string { l[0] = "unit: furlong"; return l },
		`"anywhere" is not known as the origin`:       func(l []string) []string { l[1] = "origin: anywhere"; return l },
		`unit is stated twice, as "mm" and as "inch"`: func(l []string) []string { return append(l, "unit: inch") },
		`"degrees" is not known as the rotation`:      func(l []string) []string { l[3] = "rotation: degrees"; return l },
		`"up" is not known as the places`:             func(l []string) []string { l[2] = "places: up"; return l },
	} {
		_, err := ReadConvention(change(slices.Clone(good)))
		assert.EqualError(t, err, want)
	}
}

// A table is read as it was written, whatever its form, by the strict reader and by the reader of boards' tables.
func TestPanelTablesAreReadBack(t *testing.T) {
	rows := []PanelRow{
		{Copy: "A1", Refdes: "R1", Side: "top", X: 46_440_000, Y: 1, Rotation: geom.Quarter, Package: "0603", Value: "10k; 1%, \"x\"", PartNumber: "RG\tR-10"},
		{Copy: "B1", Refdes: "U2", Side: "bottom", X: -25_400_000, Y: 33_333_333, Rotation: 300_000_001, Package: "QFN-16", Value: "MCU", PartNumber: "U-2"},
	}
	for _, c := range conventions() {
		for _, separator := range []rune{',', ';', '\t'} {
			for _, bare := range []bool{false, true} {
				for _, columns := range [][]string{nil, {"refdes", "x", "y", "rotation", "side"}, {"part_number", "side", "rotation", "y", "x", "refdes", "copy"}} {
					var b bytes.Buffer
					require.NoError(t, Write(&b, rows, WriteOptions{Title: "weir", Convention: c, Separator: separator, Bare: bare, Columns: columns}))
					got, err := ReadPanel("placement.csv", b.Bytes())
					require.NoError(t, err)
					assert.Equal(t, c.Unit, got.Unit)
					assert.Equal(t, separator, got.Separator)
					if !bare {
						said, err := ReadConvention(got.Remarks)
						require.NoError(t, err)
						assert.Equal(t, c, said)
					}
					board, err := Read("placement.csv", b.Bytes())
					require.NoError(t, err)
					require.Len(t, board.Rows, len(rows))
					for i, w := range rows {
						for _, x := range PanelColumns {
							if !got.Has(x) {
								assert.Empty(t, map[string]string{"copy": got.Rows[i].Copy, "package": got.Rows[i].Package, "value": got.Rows[i].Value, "part_number": got.Rows[i].PartNumber}[x])
								continue
							}
							assert.Equal(t, w.cell(x, "mm"), got.Rows[i].cell(x, "mm"))
						}
						r := board.Rows[i]
						assert.Equal(t, []any{w.Refdes, w.Side, w.X, w.Y, w.Rotation}, []any{r.Refdes, r.Side, r.X, r.Y, r.Rotation})
					}
				}
			}
		}
	}
}

// The strict reader says what is wrong, and where.
func TestReadPanelRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"# remark":                                    "there is no line that names the columns",
		"refdes,x_mm,y_mm,colour\n":                   `there is no column "colour"`,
		"refdes,x,y\n":                                `there is no column "x"`,
		"refdes,x_mm,y_inch\n":                        "x and y are in two units",
		"refdes,refdes,x_mm,y_mm\n":                   `two columns are called "refdes"`,
		"refdes,x_mm\n":                               "the column y is missing",
		"refdes,x_mm,y_mm\nR1,1\n":                    "this line has 2 cells; there are 3 columns",
		"refdes,x_mm,y_mm\nR1,1,two\n":                `"two" is no y`,
		"refdes,x_mm,y_mm,rotation_deg\nR1,1,2,360\n": `"360" is no rotation`,
		"refdes,x_mm,y_mm,side\nR1,1,2,left\n":        `"left" is no side`,
		"refdes,x_mm,y_mm\n\"R1,1,2\n":                "this line cannot be read",
	} {
		_, err := ReadPanel("p.csv", []byte(text))
		if assert.Error(t, err, text) {
			assert.Contains(t, err.Error(), want)
			assert.Contains(t, err.Error(), "p.csv")
		}
	}
}

func FuzzReadPanel(f *testing.F) {
	f.Add([]byte("# unit: mm\ncopy,refdes,side,x_mm,y_mm,rotation_deg,package,value,part_number\nA1,R1,top,1,2,90,0603,\"10k, 1%\",\n"))
	f.Add([]byte("refdes;x_inch;y_inch\nR1;1;-0.00000004\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := ReadPanel("p.csv", data)
		if err != nil {
			return
		}
		// What was read is written, and read again as it was.
		opt := WriteOptions{Convention: Convention{Unit: got.Unit}, Separator: got.Separator, Columns: got.Columns, Bare: true}
		var b bytes.Buffer
		require.NoError(t, Write(&b, got.Rows, opt))
		again, err := ReadPanel("p.csv", b.Bytes())
		require.NoError(t, err)
		for i := range got.Rows {
			got.Rows[i].Value, got.Rows[i].Package = OneLine(got.Rows[i].Value), OneLine(got.Rows[i].Package)
			got.Rows[i].PartNumber, got.Rows[i].Copy, got.Rows[i].Refdes = OneLine(got.Rows[i].PartNumber), OneLine(got.Rows[i].Copy), OneLine(got.Rows[i].Refdes)
		}
		require.Equal(t, got.Rows, again.Rows)
	})
}
