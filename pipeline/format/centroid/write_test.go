package centroid

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func TestWrite(t *testing.T) {
	rows := []PanelRow{
		{Copy: "A1", Refdes: "R1", Side: "top", X: 46_440_000, Y: 1, Rotation: geom.Quarter, Package: "0603", Value: "10k, 1%", PartNumber: "RG-R-10"},
		{Copy: "left.B2", Refdes: "#FLG1", Side: "bottom", X: -5, Y: 0, Rotation: 22_500_000, Value: `1/4" plug`},
	}
	var b bytes.Buffer
	require.NoError(t, Write(&b, rows, WriteOptions{Title: "gauge-12up revision C", Convention: Convention{Unit: "mm"}, Remarks: []string{"fiducials: see gauge-12up-fiducials.csv"}}))
	assert.Equal(t, `# gauge-12up revision C
# unit: mm
# origin: lower left corner of the panel outline
# places: x right, y up, seen from the top, on both sides
# rotation: degrees counter-clockwise, seen from the top, on both sides; zero as the board's own placement file has it
# fiducials: see gauge-12up-fiducials.csv
copy,refdes,side,x_mm,y_mm,rotation_deg,package,value,part_number
A1,R1,top,46.44,0.000001,90,0603,"10k, 1%",RG-R-10
left.B2,"#FLG1",bottom,-0.000005,0,22.5,,"1/4"" plug",
`, b.String())

	table, err := Read("panel.csv", b.Bytes())
	require.NoError(t, err)
	assert.False(t, table.UnitOpen)
	require.Len(t, table.Rows, 2)
	for i, r := range table.Rows {
		w := rows[i]
		assert.Equal(t, Row{w.Refdes, w.Value, w.Package, w.PartNumber, w.Side, w.X, w.Y, w.Rotation, 8 + i}, r)
	}
	assert.EqualError(t, Write(&b, nil, WriteOptions{Title: "a\nb", Convention: Convention{Unit: "mm"}}), `the remark "a\nb" is more than one line`)
}

// What Write refuses rather than write something that nobody can read.
func TestWriteRefuses(t *testing.T) {
	for want, opt := range map[string]WriteOptions{
		`placement is written in mm or inch, not in "furlong"`:                                                         {Convention: Convention{Unit: "furlong"}},
		`there is no column "colour"; the columns are copy, refdes, side, x, y, rotation, package, value, part_number`: {Convention: Convention{Unit: "mm"}, Columns: []string{"colour"}},
	} {
		assert.EqualError(t, Write(&bytes.Buffer{}, nil, opt), want)
	}
}
