package outside

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/dxf"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
)

// Source of the expected places: the library ezdxf (Debian package python3-ezdxf), which writes seeded
// random drawings with everything that our reader knows (see dxf_draw.py), reads them again and says
// where inserts lie and curves run, here in chords that stray by up to 0.3 µm. Nothing of ours lies
// farther from those than our tolerance of 1 µm and their 0.3 µm, and nothing of theirs from ours; the
// rest is for rounding. The drawings that lie beside the open boards are held against it too.
func TestDrawingsAgainstLibrary(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import ezdxf").Run(); err != nil {
		shared.Missing(t, "ezdxf is not here: install the Debian package python3-ezdxf")
	}
	const slack = 1300 + 10 // nm
	boards := shared.Dir(t, "boards")
	args := []string{"dxf_draw.py", t.TempDir(), "1", "18"}
	for _, name := range []string{
		"daughter-2l-arcs74/stm32f4discovery_daughterboard_outline.dxf",
		"half-2l-manyslots/redox_rev1-brd.dxf",
		"half-2l-manyslots/RedoxRev2Top_2d.dxf",
	} {
		args = append(args, filepath.Join(boards, filepath.FromSlash(name)))
	}
	cmd := exec.Command(python, args...)
	cmd.Stderr = os.Stderr
	raw, err := cmd.Output()
	require.NoError(t, err)
	var answers map[string]map[string][][][2]geom.Length
	require.NoError(t, json.Unmarshal(raw, &answers))
	require.Len(t, answers, 7)

	kinds := map[dxf.Kind]int{}
	layers, places, worst := 0, 0, 0.0
	for _, file := range sorted(answers) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		d, _, err := dxf.Read(filepath.Base(file), data, dxf.Options{Unit: dxf.MM})
		require.NoError(t, err)
		drawn := 0
		for _, l := range d.Layers {
			if len(l.Curves) > 0 {
				drawn++
			}
		}
		require.Equal(t, len(answers[file]), drawn, "%s: other layers are drawn on", file)
		for _, name := range sorted(answers[file]) {
			layer := d.Layer(name)
			require.NotNil(t, layer, "%s: there is no layer %s", file, name)
			var ours, theirs geom.Path
			for _, c := range layer.Curves {
				kinds[c.Kind]++
				ours = append(ours, c.Path...)
			}
			for _, line := range answers[file][name] {
				for i := range line[1:] {
					theirs = append(theirs, geom.Line(geom.Pt(line[i][0], line[i][1]), geom.Pt(line[i+1][0], line[i+1][1])))
				}
			}
			n, far, at := strays(theirs, ours)
			m, off, where := strays(ours, theirs)
			if off > far {
				far, at = off, where
			}
			layers, places, worst = layers+1, places+n+m, max(worst, far)
			assert.LessOrEqual(t, far, float64(slack), "%s, layer %s: %v apart at %v", filepath.Base(file), name, geom.Round(far), at)
		}
	}
	t.Logf("%d layers, %d places, curves %v: at most %.0f nm apart", layers, places, kinds, worst)
	for _, k := range []dxf.Kind{dxf.Line, dxf.Arc, dxf.Circle, dxf.Polyline, dxf.LWPolyline, dxf.Ellipse, dxf.Spline} {
		assert.Greater(t, kinds[k], 10, k)
	}
	if !t.Failed() {
		shared.Ran(t, "drawing library: curves of DXF drawings")
	}
}

// strays tells how far the edges of a stray from those of b, at most, of how many places looked at, and
// where.
func strays(a, b geom.Path) (n int, worst float64, at geom.Point) {
	to := geom.Prepare(b)
	look := func(p geom.Point) {
		n++
		if d, _, _ := to.Distance(p); d > worst {
			worst, at = d, p
		}
	}
	for _, e := range a {
		look(e.From)
		steps := 2.0
		if e.Sense != geom.Straight {
			// The places of an arc are at most a millimetre apart.
			steps = math.Ceil(min(100, max(8, e.Length()/1e6)))
		}
		for i := 1.0; i < steps; i++ {
			look(e.At(i / steps))
		}
		look(e.To)
	}
	return n, worst, at
}
