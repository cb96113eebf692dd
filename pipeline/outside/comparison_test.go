package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/compare"
	"panelwright/pipeline/internal/shared"
)

// layerAreas is the reference: the geometry library GEOS through its Python binding shapely, as the Debian package
// python3-shapely has it. Every layer is a list of objects in drawing order: dark or clear; a rectangle, a disc or a round stroke.
const layerAreas = `
import json, sys
from shapely.geometry import Point, LineString, box, Polygon
def drawn(layer):
    out = Polygon()
    for o in layer:
        a = o["at"]
        s = {"rect": lambda: box(*a), "disc": lambda: Point(a[0], a[1]).buffer(a[2] / 2, 256),
             "stroke": lambda: LineString([a[:2], a[2:4]]).buffer(a[4] / 2, 256)}[o["kind"]]()
        out = out.difference(s) if o["clear"] else out.union(s)
    return out
answers = []
for c in json.load(sys.stdin):
    a, b = drawn(c[0]), drawn(c[1])
    answers.append([a.difference(b).area, b.difference(a).area, a.symmetric_difference(b).area])
json.dump(answers, sys.stdout)
`

type drawnObject struct {
	Kind  string    `json:"kind"`
	Clear bool      `json:"clear"`
	At    []float64 `json:"at"` // mm
}

// gerberOf writes a layer of such objects.
func gerberOf(layer []drawnObject) string {
	var head, body strings.Builder
	head.WriteString("%FSLAX46Y46*%\n%MOMM*%\nG01*\nG75*\n")
	n := func(v float64) string { return fmt.Sprintf("%.0f", v*1e6) }
	at := func(x, y float64) string { return "X" + n(x) + "Y" + n(y) }
	for i, o := range layer {
		polarity := "%LPD*%\n"
		if o.Clear {
			polarity = "%LPC*%\n"
		}
		body.WriteString(polarity)
		a := o.At
		switch o.Kind {
		case "rect":
			fmt.Fprintf(&body, "G36*\n%sD02*\n%sD01*\n%sD01*\n%sD01*\n%sD01*\nG37*\n", at(a[0], a[1]), at(a[2], a[1]), at(a[2], a[3]), at(a[0], a[3]), at(a[0], a[1]))
		case "disc":
			fmt.Fprintf(&head, "%%ADD%dC,%.3f*%%\n", 10+i, a[2])
			fmt.Fprintf(&body, "D%d*\n%sD03*\n", 10+i, at(a[0], a[1]))
		default:
			fmt.Fprintf(&head, "%%ADD%dC,%.3f*%%\n", 10+i, a[4])
			fmt.Fprintf(&body, "D%d*\n%sD02*\n%sD01*\n", 10+i, at(a[0], a[1]), at(a[2], a[3]))
		}
	}
	return head.String() + body.String() + "M02*\n"
}

// buildOf lays a build folder with one layer on a panel without copies.
func buildOf(t *testing.T, layer string) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "fab"), 0o755))
	for name, text := range map[string]string{
		"manifest.json":          `{"schema":1,"panel":"p","tool":{"name":"panelwright","version":"1"},"released":true}`,
		"panel.json":             `{"schema":1,"panel":"p","width_mm":100,"height_mm":100}`,
		"fab/p-copper-1-top.gbr": layer,
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o644))
	}
	return dir
}

// areasOf compares two layers and gives what is gone, what is added and both, in mm².
func areasOf(t *testing.T, old, new []drawnObject) [3]float64 {
	t.Helper()
	r, err := compare.Folders(context.Background(), buildOf(t, gerberOf(old)), buildOf(t, gerberOf(new)), compare.Options{Workers: 1})
	require.NoError(t, err)
	for _, c := range r.Changes {
		if c.Group == compare.ArtworkGroup && c.AreaMM2 != nil {
			return [3]float64{*c.GoneMM2, *c.AddedMM2, *c.AreaMM2}
		}
	}
	return [3]float64{}
}

// Source of the expected values: GEOS (see layerAreas). Layers of some thirty objects, dark and clear, of which a few are
// moved, left out, added or put in another place of the order. Both stand for arcs by chords: ours lie within
// 1 µm, theirs within 0.02 µm of the arc: 0.005 mm² is the border of 5 mm at that distance, and most is straight.
func TestChangedAreaAgainstShapely(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import shapely.geometry").Run(); err != nil {
		shared.Missing(t, "shapely is not here: install the Debian package python3-shapely")
	}
	r := rand.New(rand.NewPCG(7, 12))
	in := func(from, to float64) float64 { return float64(int((from+(to-from)*r.Float64())*1000)) / 1000 }
	object := func() drawnObject {
		o := drawnObject{Clear: r.IntN(4) == 0}
		x, y := in(5, 45), in(5, 45)
		switch r.IntN(3) {
		case 0:
			o.Kind, o.At = "rect", []float64{x, y, x + in(0.5, 15), y + in(0.5, 15)}
		case 1:
			o.Kind, o.At = "disc", []float64{x, y, in(0.5, 8)}
		default:
			o.Kind, o.At = "stroke", []float64{x, y, in(5, 45), in(5, 45), in(0.1, 2)}
		}
		return o
	}
	const cases = 60
	asked := make([][2][]drawnObject, cases)
	for i := range asked {
		var old []drawnObject
		for range 30 {
			old = append(old, object())
		}
		new := append([]drawnObject{}, old...)
		for range 1 + r.IntN(4) {
			k := r.IntN(len(new))
			switch r.IntN(4) {
			case 0:
				new = append(new[:k:k], new[k+1:]...)
			case 1:
				new = append(new[:k:k], append([]drawnObject{object()}, new[k:]...)...)
			case 2:
				new[k] = object()
			default:
				j := r.IntN(len(new))
				new[k], new[j] = new[j], new[k]
			}
		}
		asked[i] = [2][]drawnObject{old, new}
	}
	text, err := json.Marshal(asked)
	require.NoError(t, err)
	cmd := exec.Command(python, "-c", layerAreas)
	cmd.Stdin = bytes.NewReader(text)
	out, err := cmd.Output()
	require.NoError(t, err)
	var theirs [][3]float64
	require.NoError(t, json.Unmarshal(out, &theirs))
	require.Len(t, theirs, cases)
	worst, some := 0.0, 0
	for i, c := range asked {
		ours := areasOf(t, c[0], c[1])
		for k := range ours {
			worst = max(worst, ours[k]-theirs[i][k], theirs[i][k]-ours[k])
			require.InDelta(t, theirs[i][k], ours[k], 0.005, "case %d: %v by us, %v by GEOS", i, ours, theirs[i])
		}
		if theirs[i][2] > 1 {
			some++
		}
	}
	require.Greater(t, some, cases/2, "most cases change something")
	t.Logf("%d cases, %d of them over more than 1 mm², differ by at most %.4f mm²", cases, some, worst)
	shared.Ran(t, "areas over which layers changed")
}
