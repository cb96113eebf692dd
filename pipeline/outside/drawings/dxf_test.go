package drawings

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/format/dxf"
	"panelwright/pipeline/internal/shared"
)

// cadFile is what ezdxf reads in a DXF file.
type cadFile struct {
	Version    string
	Unit       int
	Errors     []string
	Layers     []string
	Entities   map[string]int
	Dimensions []stated
	Notes      []stated
	Cells      []stated // lines of tables' cells, each with what its cell states
	Texts      []string
}

// stated is a dimension, or a note that states a figure. Lengths are in millimetres, angles in degrees.
type stated struct {
	Kind      string
	Text      string
	Layer     string
	Facts     [][]string
	Value     *json.Number
	Times     int
	Measured  *float64 // between its places, times its style's factor; nil for a note
	Actual    *float64 // group 42
	Drawn     []string // the entities of its block
	DrawnText string   `json:"drawn_text"`
}

// readCAD reads a DXF file by the library ezdxf (Debian package python3-ezdxf).
func readCAD(t *testing.T, file string) cadFile {
	t.Helper()
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
		shared.Missing(t, "ezdxf is not here: install the Debian package python3-ezdxf")
	}
	var said bytes.Buffer
	cmd := exec.CommandContext(t.Context(), python, "dxf_read.py", file)
	cmd.Stderr = &said
	raw, err := cmd.Output()
	require.NoError(t, err, said.String())
	var out cadFile
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	require.NoError(t, d.Decode(&out))
	return out
}

// asCAD writes sheets as a DXF file; change may spoil its text.
func asCAD(t *testing.T, change func(string) string, sheets ...drawing.Sheet) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, dxf.Write(&b, sheets, "plan"))
	s := b.String()
	if change != nil {
		spoilt := change(s)
		require.NotEqual(t, s, spoilt, "nothing was planted")
		s = spoilt
	}
	file := filepath.Join(t.TempDir(), "panel.dxf")
	require.NoError(t, os.WriteFile(file, []byte(s), 0o644))
	return file
}

// faults lists what is wrong with the file itself.
func (c cadFile) faults() []string {
	out := append([]string(nil), c.Errors...)
	if c.Version != "AC1015" {
		out = append(out, "its version is "+c.Version)
	}
	if c.Unit != 4 {
		out = append(out, "it is not in millimetres")
	}
	for _, l := range drawing.Layers() {
		if !strings.Contains(" "+strings.Join(c.Layers, " ")+" ", " "+string(l)+" ") {
			out = append(out, "it has no layer "+string(l))
		}
	}
	for _, d := range c.Dimensions {
		if len(d.Drawn) < 2 || d.DrawnText != d.Text {
			out = append(out, "the block of the dimension "+d.Text+" draws something else: "+strings.Join(d.Drawn, " ")+" "+d.DrawnText)
		}
	}
	return out
}

// TestSamplesAsCAD: hand-made sheets with all that a drawing may hold are read without a complaint.
func TestSamplesAsCAD(t *testing.T) {
	second := samples.Everything()
	second.Name = "2"
	c := readCAD(t, asCAD(t, nil, samples.Measured(), second))
	assert.Empty(t, c.faults())
	assert.Len(t, c.Dimensions, 16)
	assert.Contains(t, c.Texts, "Ø0.5 ±0.1°")
	for _, k := range []string{"outline LWPOLYLINE", "details LWPOLYLINE", "details CIRCLE", "details HATCH", "frame LINE", "notes TEXT", "stamp TEXT", "dimensions DIMENSION"} {
		assert.Positive(t, c.Entities[k], k)
	}
	kinds := map[string]int{}
	for _, d := range c.Dimensions {
		kinds[d.Kind]++
		v, err := d.Value.Float64()
		require.NoError(t, err)
		assert.InDelta(t, v, *d.Measured, 5e-6, d.Text)
		assert.Equal(t, v, *d.Actual, d.Text)
	}
	assert.Equal(t, map[string]int{"ordinate x": 2, "ordinate y": 2, "linear": 4, "aligned": 2, "diameter": 2, "radius": 2, "angle": 2}, kinds)
	shared.Ran(t, "drawing library: audit of a written drawing")
}

// TestSpoiltCAD: what the audit and our look at blocks must find.
func TestSpoiltCAD(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(string) string
	}{
		{"a layer is missing", func(s string) string { return strings.Replace(s, "\n2\nscore\n", "\n2\nscores\n", 1) }},
		{"another unit", func(s string) string { return strings.Replace(s, "$INSUNITS\n70\n4\n", "$INSUNITS\n70\n1\n", 1) }},
		{"another version", func(s string) string { return strings.Replace(s, "AC1015", "AC1018", 1) }},
		{"a line type that is nowhere", func(s string) string { return strings.Replace(s, "\n6\ndashed\n48\n", "\n6\nbroken\n48\n", 1) }},
		{"a text style that is nowhere", func(s string) string { return strings.Replace(s, "\n7\nstrong\n72\n", "\n7\nstout\n72\n", 1) }},
		{"a dimension style that is nowhere", func(s string) string { return strings.Replace(s, "\n3\npanel-20-to-1\n", "\n3\npanel-3-to-1\n", 1) }},
		{"another text than the block's", func(s string) string {
			return strings.Replace(s, "\n1\n53.3333\n3\npanel\n", "\n1\n53.3334\n3\npanel\n", 1)
		}},
		{"the block of a dimension is gone", func(s string) string {
			return strings.Replace(s, "AcDbDimension\n2\n*D1\n", "AcDbDimension\n2\n*D99\n", 1)
		}},
	} {
		assert.NotEmpty(t, readCAD(t, asCAD(t, c.change, samples.Measured(), samples.Everything())).faults(), c.name)
	}
	shared.Ran(t, "drawing library: planted faults of structure")
}
