package writefab

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/stagetest"
)

// sluice is a small board with everything a layer can hold: a turned macro, an obround, strokes, an
// arc, a region, clear polarity, attributes, round holes, a straight slot and a curved one.
func sluice() *panel.Board {
	at := func(x, y int) geom.Point { return geom.Pt(geom.Length(x)*geom.MM, geom.Length(y)*geom.MM) }
	image := func() *artwork.Image {
		return &artwork.Image{
			Apertures: []artwork.Aperture{
				{Shape: artwork.Circle, Width: geom.MM, Set: 1},
				{Shape: artwork.Obround, Width: 2 * geom.MM, Height: geom.MM},
				{Shape: artwork.Rectangle, Width: 3 * geom.MM, Height: geom.MM},
				{Shape: artwork.Macro, Name: "Keyed", Primitives: []artwork.Primitive{
					{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{2 * geom.MM, geom.MM}, Points: []geom.Point{{}}},
					{Kind: artwork.PrimCircle, Size: [5]geom.Length{geom.MM}, Points: []geom.Point{at(1, 0)}, Turn: 30 * geom.Degree},
				}},
				{Shape: artwork.Polygon, Width: 2 * geom.MM, Vertices: 5, Turn: 10 * geom.Degree},
			},
			Sets: []artwork.Attributes{nil, {{Name: ".AperFunction", Values: []string{"SMDPad", "CuDef"}}}, {{Name: ".N", Values: []string{"GND"}}}},
			Objects: []artwork.Object{
				{Kind: artwork.Fill, Aperture: -1, Region: 0, Set: 2},
				{Kind: artwork.Stroke, Clear: true, Aperture: 0, Region: -1, Edge: geom.Line(at(5, 5), at(15, 5))},
				{Kind: artwork.Stroke, Aperture: 2, Region: -1, Edge: geom.Line(at(5, 12), at(15, 14))},
				{Kind: artwork.Stroke, Aperture: 0, Region: -1, Edge: geom.Arc(at(10, 3), at(13, 6), at(10, 6), geom.CounterClockwise)},
				{Kind: artwork.Flash, Aperture: 1, Region: -1, Edge: geom.Line(at(4, 4), at(4, 4))},
				{Kind: artwork.Flash, Aperture: 3, Region: -1, Edge: geom.Line(at(7, 9), at(7, 9))},
				{Kind: artwork.Flash, Aperture: 4, Region: -1, Edge: geom.Line(at(16, 9), at(16, 9))},
				{Kind: artwork.Flash, Aperture: 0, Region: -1, Set: 2, Edge: geom.Line(at(17, 3), at(17, 3))},
			},
			Regions: []artwork.Region{{Contours: []geom.Path{geom.RoundedRectangle(geom.Box{Min: at(2, 2), Max: at(18, 7)}, geom.MM)}}},
		}
	}
	layer := func(k panel.FunctionKind, s panel.Side, i int) panel.Layer {
		return panel.Layer{Function: panel.Function{Kind: k, Side: s, Index: i}, Image: image()}
	}
	return &panel.Board{Name: "sluice", CopperCount: 2, Thickness: 1600 * geom.UM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: at(20, 15)}),
			CutOuts: []geom.Path{geom.RoundedRectangle(geom.Box{Min: at(8, 10), Max: at(12, 11)}, 500*geom.UM).Reverse()}},
		Layers: []panel.Layer{layer(panel.Copper, panel.Top, 1), layer(panel.Copper, panel.Bottom, 2), layer(panel.Soldermask, panel.Top, 0), layer(panel.Legend, panel.Top, 0)},
		Drills: []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2, Drilling: &artwork.Drilling{
			Tools: []artwork.Tool{{Number: 1, Diameter: 400 * geom.UM}, {Number: 2, Diameter: geom.MM}},
			Sets:  []artwork.Attributes{nil},
			Holes: []artwork.Hole{{Tool: 0, At: at(3, 3)}, {Tool: 1, At: at(17, 12)}, {Tool: 0, At: at(9, 9)}},
			Routs: []artwork.Rout{
				{Tool: 1, Path: geom.Path{geom.Line(at(5, 8), at(7, 8))}},
				{Tool: 1, Path: geom.Path{geom.Line(at(13, 9), at(14, 9)), geom.Arc(at(14, 9), at(14, 13), at(14, 11), geom.CounterClockwise)}},
			}}}},
		Netlist: &panel.Netlist{Points: []panel.NetPoint{{Net: "GND", Refdes: "R1", Pin: "1", At: at(4, 4), Access: 1, Width: geom.MM, Height: geom.MM, Mask: -1}}},
	}
}

// written runs the stage on a panel of four copies, each turned another way.
func written(t *testing.T, turns ...geom.Angle) (panel.Panel, map[string][]byte) {
	t.Helper()
	b := sluice()
	e := panel.Panel{}.Edit().AddBoard(b)
	for i, turn := range turns {
		e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c1", 'A'+i), Board: b, Place: panel.Settle(b, turn, geom.Pt(geom.Length(i)*30*geom.MM, 0))})
	}
	p, err := e.FitOutline().LayRails([]panel.RailSide{panel.Upper}, 8*geom.MM, 2*geom.MM, geom.MM, false).
		AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: geom.Pt(20*geom.MM, 30*geom.MM), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top, panel.Bottom}}).
		AddMark(panel.Mark{ID: "tooling_hole/1", Kind: panel.ToolingHole, At: geom.Pt(10*geom.MM, 30*geom.MM), Diameter: 3 * geom.MM}).
		AddSlot(panel.Slot{ID: "slot/y1/1", Outline: geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Min: geom.Pt(-geom.MM, 19*geom.MM), Max: geom.Pt(31*geom.MM, 21*geom.MM)}, geom.MM)}}).
		AddScore(panel.Score{ID: "score/y1", From: geom.Pt(0, 25*geom.MM), To: geom.Pt(50*geom.MM, 25*geom.MM), RemainingWeb: 300 * geom.UM, Depth: 650 * geom.UM,
			IncludedAngle: 30 * geom.Degree}).
		AddPerforation(panel.Perforation{ID: "A1/tab/upper/1/hole/1", Copy: "A1", At: geom.Pt(5*geom.MM, 20*geom.MM), Diameter: 500 * geom.UM}).
		Build()
	require.NoError(t, err)
	files := stagetest.Run(t, Kind(), "", p, nil).Outputs
	delete(files, "fab/stage-test-fab.zip") // made after the proof
	return p, files
}

func prove(t *testing.T, p panel.Panel, files map[string][]byte) []pipeline.Finding {
	t.Helper()
	in := pipeline.Written{Panel: p, Name: stagetest.Name, Read: func(name string) ([]byte, error) { return files[name], nil }}
	for name := range files {
		in.Outputs = append(in.Outputs, name)
	}
	sort.Strings(in.Outputs)
	f, err := proof.Prove(context.Background(), in)
	require.NoError(t, err)
	// These panels are not cut free: what the proof says of that is tested where panels are cut.
	return slices.DeleteFunc(f, func(f pipeline.Finding) bool { return f.Rule == "board-not-free" || f.Rule == "board-damaged" })
}

var turns = []geom.Angle{0, geom.Quarter, geom.Half, 3 * geom.Quarter}

func TestWhatIsWrittenIsProved(t *testing.T) {
	p, files := written(t, turns...)
	assert.Empty(t, prove(t, p, files))
	var names []string
	for n := range files {
		names = append(names, strings.TrimPrefix(n, "fab/stage-test-"))
	}
	slices.Sort(names)
	assert.Equal(t, []string{"array-drawing.gbr", "copper-1-top.gbr", "copper-2-bottom.gbr", "drill-breakoff.drl", "drill-nonplated-1-2.drl",
		"drill-plated-1-2.drl", "job.gbrjob", "legend-top.gbr", "mask-bottom.gbr", "mask-top.gbr", "netlist.ipc", "notes.txt", "profile.gbr", "score-table.csv", "score.gbr"}, names)
}

func TestOddAnglesAreProvedToTheNanometre(t *testing.T) {
	p, files := written(t, 30*geom.Degree, 200500000)
	assert.Empty(t, prove(t, p, files))
}

func TestHeaderAttributes(t *testing.T) {
	_, files := written(t, 0)
	top := string(files["fab/stage-test-copper-1-top.gbr"])
	for _, want := range []string{"%TF.FileFunction,Copper,L1,Top*%", "%TF.Part,Array*%", "%TF.FilePolarity,Positive*%", "%TF.SameCoordinates,stage-test*%",
		"%TF.GenerationSoftware,", "%TA.AperFunction,SMDPad,CuDef*%", "%TO.N,GND*%", "%TA.AperFunction,FiducialPad,Panel*%"} {
		assert.Contains(t, top, want)
	}
	assert.Contains(t, string(files["fab/stage-test-mask-top.gbr"]), "%TF.FilePolarity,Negative*%")
	assert.Contains(t, string(files["fab/stage-test-score.gbr"]), "%TF.FileFunction,Vcut*%")
	assert.Contains(t, string(files["fab/stage-test-profile.gbr"]), "%TF.FileFunction,Profile,NP*%")
	assert.Contains(t, string(files["fab/stage-test-drill-breakoff.drl"]), "TF.FileFunction,NonPlated,1,2,NPTH")
	assert.Contains(t, string(files["fab/stage-test-drill-breakoff.drl"]), "MechanicalDrill,Breakout")
	assert.Contains(t, string(files["fab/stage-test-netlist.ipc"]), "A1/GND")
	assert.Regexp(t, `%TF\.ProjectId,stage-test,[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12},A\*%`, top)
	assert.Contains(t, string(files["fab/stage-test-job.gbrjob"]), `"Revision": "A"`)
}

// How deep to score, which file holds the perforations: what the machines' files cannot say.
func TestNotes(t *testing.T) {
	p, _ := written(t, 0)
	e := p.Edit()
	q, err := e.AddScore(panel.Score{ID: "score/x1", From: geom.Pt(20*geom.MM, 0), To: geom.Pt(20*geom.MM, 25*geom.MM),
		RemainingWeb: 300 * geom.UM, Depth: 650 * geom.UM, IncludedAngle: 30 * geom.Degree}).Build()
	require.NoError(t, err)
	files := stagetest.Run(t, Kind(), "", q, nil).Outputs
	notes := string(files["fab/stage-test-notes.txt"])
	for _, want := range []string{"Panel stage-test, revision A", "2 copper layers, 1.6 thick", "1 of sluice", "score/x1       x = 20", "remaining web               0.3", "depth each face             0.65", "half width at the surface   0.174167", "30 deg, the whole angle from flank to flank",
		"1 hole of 0.5 in stage-test-drill-breakoff.drl and in no other file", "local rules"} {
		assert.Contains(t, notes, want)
	}
	assert.Contains(t, string(files["fab/stage-test-score.gbr"]), "G04 V-score from both faces: thickness 1.6 mm, remaining web 0.3 mm")
}

// Faults planted in the written files must be found, each by the file and copy it was planted in.
func TestPlantedFaultsAreFound(t *testing.T) {
	p, clean := written(t, turns...)
	replaceLine := func(name string, from, to string, n int) func(map[string][]byte) {
		return func(f map[string][]byte) {
			parts := strings.SplitAfter(string(f[name]), "\n")
			for i, l := range parts {
				if strings.Contains(l, from) {
					if n--; n < 0 {
						parts[i] = strings.Replace(l, from, to, 1)
						f[name] = []byte(strings.Join(parts, ""))
						return
					}
				}
			}
			t.Fatalf("%s has no %q", name, from)
		}
	}
	top, plated := "fab/stage-test-copper-1-top.gbr", "fab/stage-test-drill-plated-1-2.drl"
	for name, c := range map[string]struct {
		plant func(map[string][]byte)
		want  string
	}{
		"a flash moved by a nanometre": {replaceLine(top, "X4000000Y4000000D03", "X4000001Y4000000D03", 0), "object 5 of A1 differs from its source: it is flashed at (4.000001, 4) instead of (4, 4) mm"},
		"a flash dropped":              {replaceLine(top, "X4000000Y4000000D03*\n", "", 0), "object 5 of A1 differs from its source: its aperture is"},
		"polarity lost":                {replaceLine(top, "%LPC*%\n", "", 1), "object 2 of B1 differs from its source: its polarity is reversed"},
		"an aperture grown":            {replaceLine(top, "C,1*", "C,1.01*", 0), "its aperture is a circle of 1.01 mm instead of a circle of 1 mm"},
		"an attribute lost":            {replaceLine(top, "%TO.N,GND*%\n", "", 0), "its attributes differ"},
		"a score line moved":           {replaceLine("fab/stage-test-score.gbr", "Y25000000", "Y25000001", 0), "score/y1 was written from (0, 25.000001) to (50, 25) mm; planned is from (0, 25) to (50, 25)"},
		"a hole moved":                 {replaceLine(plated, "X3.000Y3.000", "X3.000001Y3.000", 0), "1 hole or slot is missing, the first: a hole of 0.4 mm at (3, 3) mm, of A1"},
		"a tool grown":                 {replaceLine(plated, "T1C0.4", "T1C0.45", 0), "holes or slots are missing"},
		"a perforation moved":          {replaceLine("fab/stage-test-drill-breakoff.drl", "X5.000Y20.000", "X5.000Y20.100", 0), "A1/tab/upper/1/hole/1 is drilled at (5, 20.1) mm, 0.1 mm from its place"},
		"a file missing":               {func(f map[string][]byte) { delete(f, "fab/stage-test-legend-top.gbr") }, "stage-test-legend-top.gbr was not written"},
		"a file too many":              {func(f map[string][]byte) { f["fab/stage-test-extra.gbr"] = nil }, "stage-test-extra.gbr was written, but nothing on the panel accounts for it"},
		"a perforation in another file too": {func(f map[string][]byte) {
			n := "fab/stage-test-drill-nonplated-1-2.drl"
			f[n] = bytes.Replace(f[n], []byte("M30"), []byte("X5.000Y20.000\nM30"), 1)
		}, "1 hole or slot is too many"},
		"two layers swapped": {func(f map[string][]byte) {
			n := "fab/stage-test-mask-top.gbr"
			f[n], f["fab/stage-test-legend-top.gbr"] = f["fab/stage-test-legend-top.gbr"], f[n]
		}, "objects that nothing on the panel accounts for"},
		"a damaged file": {func(f map[string][]byte) { f[top] = f[top][:len(f[top])/2] }, ""},
	} {
		t.Run(name, func(t *testing.T) {
			files := map[string][]byte{}
			for k, v := range clean {
				files[k] = slices.Clone(v)
			}
			c.plant(files)
			found := prove(t, p, files)
			require.NotEmpty(t, found)
			all := ""
			for _, f := range found {
				assert.Equal(t, pipeline.Error, f.Severity)
				all += f.Message + "\n"
			}
			assert.Contains(t, all, c.want)
		})
	}
}

func TestCopiesSwappedAreFound(t *testing.T) {
	p, files := written(t, 0, geom.Half)
	top := "fab/stage-test-copper-1-top.gbr"
	a, b := bytes.Index(files[top], []byte("G04 A1*")), bytes.Index(files[top], []byte("G04 B1*"))
	end := bytes.Index(files[top], []byte("G04 marks"))
	require.True(t, 0 < a && a < b && b < end)
	swapped := slices.Concat(files[top][:a], files[top][b:end], files[top][a:b], files[top][end:])
	files[top] = swapped
	assert.NotEmpty(t, prove(t, p, files))
}
