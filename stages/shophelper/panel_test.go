package shophelper

import (
	"fmt"
	"os/exec"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
)

func mmPt(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// flashes is a layer of round flashes of 2 mm.
func flashes(f panel.Function, at ...geom.Point) panel.Layer {
	m := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: 2 * geom.MM}}}
	for _, p := range at {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Region: -1, Edge: geom.Line(p, p)})
	}
	return panel.Layer{Function: f, Image: m}
}

// twoGauges is two boards of 40 x 30 mm side by side, A1 and B1, B1 turned by 180°, with rails of 10 mm above and below, 2 mm
// away: 80 x 54 mm. Each board has, in its own coordinates, an opening in the upper mask at (5, 5), legend at (20, 5), a hole of
// 1 mm at (35, 5) and a part on the top at (10, 20).
func twoGauges(t *testing.T) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "gauge", PartNumber: "RG-1042", Revision: "C", CopperCount: 2, Thickness: 1600 * geom.UM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: mmPt(40, 30)})},
		Layers: []panel.Layer{flashes(panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}), flashes(panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}),
			flashes(panel.Function{Kind: panel.Soldermask, Side: panel.Top}, mmPt(5, 5)), flashes(panel.Function{Kind: panel.Legend, Side: panel.Top}, mmPt(20, 5))},
		Drills: []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2,
			Drilling: &artwork.Drilling{Tools: []artwork.Tool{{Diameter: geom.MM}}, Holes: []artwork.Hole{{At: mmPt(35, 5)}}}}},
		Parts: []panel.Part{{Refdes: "C7", Value: "100n", Package: "0805", PartNumber: "P-1", Side: panel.Top, At: mmPt(10, 20), Turn: geom.Quarter}}}
	e := panel.Panel{}.Edit().AddBoard(board).
		AddCopy(panel.Copy{ID: "A1", Board: board, Place: panel.Settle(board, 0, geom.Point{})}).
		AddCopy(panel.Copy{ID: "B1", Board: board, Place: panel.Settle(board, geom.Half, mmPt(40, 0))})
	p, err := e.LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 10*geom.MM, 2*geom.MM, 0, false).Build()
	require.NoError(t, err)
	return p
}

// kindOf is the kind for a recipe of a test: what must stand before a stage that writes stands there by the kind's role.
func kindOf(options string) pipeline.Kind {
	k := Kind()
	if strings.Contains(options, `role = "write"`) {
		k.Role = pipeline.Write
	}
	return k
}

// scripted gives what a recipe says to run a shell script as helper x, and the files of the recipe's folder.
func scripted(t *testing.T, script, options string) (string, map[string]string) {
	t.Helper()
	if _, err := exec.LookPath("sh"); err != nil || runtime.GOOS == "windows" {
		t.Skip("there is no sh here that runs scripts")
	}
	return "name = \"x\"\ncommand = [\"helper.sh\"]\nfiles = [\"h/*\"]\n" + options, map[string]string{"h/helper.sh": "#!/bin/sh\n" + script}
}

// answering is scripted of a helper that prints the text.
func answering(t *testing.T, answer, options string) (string, map[string]string) {
	t.Helper()
	options, files := scripted(t, "cat answer.json", options)
	files["h/answer.json"] = answer
	return options, files
}

// runs runs a script that must do well.
func runs(t *testing.T, script, options string) stagetest.Got {
	t.Helper()
	options, files := scripted(t, script, options)
	return stagetest.Run(t, kindOf(options), options, twoGauges(t), files)
}

// fails runs a script that must fail, and gives the error without the recipe's lines.
func fails(t *testing.T, script, options string) string {
	t.Helper()
	options, files := scripted(t, script, options)
	return saidOf(stagetest.Fails(t, kindOf(options), options, twoGauges(t), files))
}

// refuses is fails of a helper that prints the text.
func refuses(t *testing.T, answer, options string) string {
	t.Helper()
	options, files := answering(t, answer, options)
	return saidOf(stagetest.Fails(t, kindOf(options), options, twoGauges(t), files))
}

// takes is runs of a helper that prints the text.
func takes(t *testing.T, answer, options string) stagetest.Got {
	t.Helper()
	options, files := answering(t, answer, options)
	return stagetest.Run(t, kindOf(options), options, twoGauges(t), files)
}

// said takes place, source line and mark out of an error.
func saidOf(err error) string {
	lines := strings.Split(err.Error(), "\n")
	_, first, _ := strings.Cut(lines[0], "shop_helper: ")
	if first == "" {
		first = lines[0]
	}
	out := []string{first}
	for i, l := range lines {
		if strings.Contains(l, "^^^") {
			for _, x := range lines[i+1:] {
				out = append(out, strings.TrimSpace(x))
			}
			break
		}
	}
	return strings.Join(out, "\n")
}

// added puts additions into an answer.
func added(list, format string, a ...any) string {
	return fmt.Sprintf(`{"contract":1,"additions":{%q:[%s]}}`, list, fmt.Sprintf(format, a...))
}
