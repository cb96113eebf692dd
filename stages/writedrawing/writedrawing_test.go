package writedrawing

import (
	"context"
	"fmt"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/drawingtest"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
)

// weirs is a panel of six boards between rails, with marks and score lines.
func weirs(t *testing.T, change ...func(*panel.Board, *panel.Builder)) panel.Panel {
	t.Helper()
	image := func() *artwork.Image { return &artwork.Image{Sets: []artwork.Attributes{nil}} }
	b := &panel.Board{Name: "weir", PartNumber: "RG-5001", Revision: "B", CopperCount: 2, Thickness: 1600 * geom.UM, Finish: "ENIG", MaskColor: "green",
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(40*geom.MM, 20*geom.MM)})},
		Layers: []panel.Layer{
			{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: image()},
			{Function: panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}, Image: image()},
			{Function: panel.Function{Kind: panel.Soldermask, Side: panel.Top}, Image: image()},
			{Function: panel.Function{Kind: panel.Paste, Side: panel.Top}, Image: image()}},
		Drills: []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2, Drilling: &artwork.Drilling{Tools: []artwork.Tool{{Diameter: geom.MM}},
			Sets: []artwork.Attributes{nil}, Holes: []artwork.Hole{{At: geom.Pt(5*geom.MM, 5*geom.MM)}}}}}}
	e := panel.Panel{}.Edit().AddBoard(b)
	for i := range 6 {
		e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+i%2, i/2+1), Board: b, Column: i % 2, Row: i / 2,
			Place: geom.Transform{Shift: geom.Pt(geom.Length(i%2)*40*geom.MM, geom.Length(i/2)*20*geom.MM)}})
	}
	e.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 10*geom.MM, 0, 0, false)
	for i := range 4 {
		e.AddScore(panel.Score{ID: fmt.Sprintf("score/y%d", i+1), From: geom.Pt(0, geom.Length(10+20*i)*geom.MM), To: geom.Pt(80*geom.MM, geom.Length(10+20*i)*geom.MM),
			RemainingWeb: 300 * geom.UM, Depth: 650 * geom.UM, IncludedAngle: 30 * geom.Degree, WebTolerance: 100 * geom.UM})
	}
	for i, at := range []geom.Point{{X: 5, Y: 5}, {X: 75, Y: 5}, {X: 5, Y: 75}} {
		e.AddMark(panel.Mark{ID: fmt.Sprintf("fiducial/%d", i+1), Kind: panel.Fiducial, At: geom.Pt(at.X*geom.MM, at.Y*geom.MM), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top}})
	}
	e.SetXOut(panel.XOut{Copies: 1, Panels: panel.Whole / 10, Source: "agreed"})
	for _, f := range change {
		f(b, e)
	}
	p, err := e.Build()
	require.NoError(t, err)
	return p
}

// drawn draws a panel without a runner, and gives what is reported.
func drawn(t *testing.T, w *WriteDrawing, p panel.Panel, open bool) ([]drawing.Sheet, []string) {
	t.Helper()
	var told []string
	env := pipeline.NewEnv(pipeline.Env{Panel: "weir-6up", Revision: "C", Workers: 1}, func(f pipeline.Finding) {
		assert.Equal(t, Rule, f.Rule)
		told = append(told, f.Message)
	}, nil).With(pipeline.Hooks{Released: func() bool { return open }})
	got, err := w.Draw(t.Context(), env, p)
	require.NoError(t, err)
	for _, s := range got.Sheets {
		assert.Empty(t, drawingtest.Clashes(s))
	}
	return got.Sheets, told
}

// said gives all that stands on sheets, a line each text.
func said(sheets []drawing.Sheet) string {
	var b strings.Builder
	for _, s := range sheets {
		for _, x := range s.AllTexts() {
			b.WriteString(x.S + "\n")
		}
	}
	return b.String()
}

func stage(set func(*WriteDrawing)) *WriteDrawing {
	w := Kind().New().(*WriteDrawing)
	if set != nil {
		set(w)
	}
	return w
}

func TestFiles(t *testing.T) {
	got := stagetest.Run(t, Kind(), `
  title    = "Weir gauge"
  owner    = "Weir and Staff Instruments"
  approver = "Λ. Ποταμός"
  notes    = ["Pack in tens."]
`, weirs(t), nil)
	assert.Empty(t, got.Findings)
	require.Len(t, got.Outputs, 3)
	assert.True(t, strings.HasPrefix(string(got.Outputs["drawing/panel.pdf"]), "%PDF-"))
	assert.Contains(t, string(got.Outputs["drawing/panel.dxf"]), "SECTION")
	svg := string(got.Outputs["drawing/panel.svg"])
	for _, words := range []string{"Weir gauge", "Weir and Staff", "Instruments", "Λ. Ποταμός", "Pack in tens.", "DRAFT", "6 × weir, RG-5001 revision B"} {
		assert.True(t, strings.Contains(svg, ">"+words+"<"), words)
	}
	assert.False(t, strings.Contains(svg, "NOT FOR RELEASE"))
	if path, err := exec.LookPath("pdftotext"); err == nil {
		cmd := exec.Command(path, "-layout", "-", "-")
		cmd.Stdin = strings.NewReader(string(got.Outputs["drawing/panel.pdf"]))
		text, err := cmd.Output()
		require.NoError(t, err)
		assert.Contains(t, string(text), "Λ. Ποταμός")
		assert.Contains(t, string(text), "Holes and slots")
	}
}

// TestStamp: what may not be built from says so on every sheet, and never that it is released.
func TestStamp(t *testing.T) {
	who := func(w *WriteDrawing) {
		w.Sheet, w.Scale = "A4", "1:1"
		w.State, w.Owner, w.Creator, w.Approver, w.Date = released, "Weir and Staff Instruments", "C. Ford", "B. Weir", "2026-09-01"
	}
	for _, c := range []struct {
		name        string
		state       func(*WriteDrawing)
		open        bool
		words, lack []string
	}{
		{"released", who, true, []string{"released", "2026-09-01"}, []string{"DRAFT", "NOT FOR RELEASE", "not for release"}},
		{"released, gate closed", who, false, []string{"NOT FOR RELEASE", "not for release"}, []string{"DRAFT", "released"}},
		{"draft", func(w *WriteDrawing) { w.Sheet = "A4" }, true, []string{"DRAFT", "draft"}, []string{"NOT FOR RELEASE", "released"}},
		{"draft, gate closed", func(w *WriteDrawing) { w.Sheet = "A4" }, false, []string{"NOT FOR RELEASE", "DRAFT", "not for release"}, []string{"released", "draft"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			sheets, told := drawn(t, stage(c.state), weirs(t), c.open)
			assert.Empty(t, told)
			require.Greater(t, len(sheets), 1)
			for _, s := range sheets {
				lines := strings.Split(said([]drawing.Sheet{s}), "\n")
				for _, w := range c.words {
					assert.Contains(t, lines, w)
				}
				for _, w := range c.lack {
					assert.NotContains(t, lines, w)
				}
			}
		})
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, options, want string }{
		{"letters", `title = "水位計"`, `option title has the letter '水' (U+6C34), which the drawing's fonts lack: they have Latin, Greek and Cyrillic letters`},
		{"letters of notes", `notes = ["fine", "☃"]`, "option notes has the letter '☃' (U+2603)"},
		{"date", `date = "1 Sept"`, `option date must be a day as 2026-09-01, not "1 Sept"`},
		{"language", `language = "English"`, "option language must be a language code by ISO 639"},
		{"nobody answers", `state = "released"`, "option approver must be given for a drawing that is released (ISO 7200)"},
		{"no date", "state = \"released\"\n owner = \"a\"\n creator = \"b\"\n approver = \"c\"", "states its date of issue, and there is none"},
		{"sheet", `sheet = "A5"`, `"A5"`},
		{"scale", "sheet = \"A4\"\n scale = \"5:1\"", "option scale leaves no room on a sheet of size A4 for the plan of the panel at 5:1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := stagetest.Fails(t, Kind(), "  "+c.options+"\n", weirs(t), nil)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

// TestNotes: each fact of the panel has its note, and no other panel has it.
func TestNotes(t *testing.T) {
	plain, _ := drawn(t, stage(nil), weirs(t), true)
	for _, c := range []struct {
		name  string
		panel func(*panel.Board, *panel.Builder)
		set   func(*WriteDrawing)
		want  string
		in    bool // the plain panel too
	}{
		{name: "material", want: "Material: laminate as the boards' own documents state it, 1.6 mm thick when finished, 2 copper layers.", in: true},
		{name: "material given", set: func(w *WriteDrawing) { w.Material = "FR-4" }, want: "Material: FR-4, 1.6 mm"},
		{name: "thickness assumed", panel: func(b *panel.Board, _ *panel.Builder) { b.ThicknessAssumed = true }, want: "(assumed: neither recipe nor the boards' data state it)"},
		{name: "finish", want: "Surface finish: ENIG.", in: true},
		{name: "no finish", panel: func(b *panel.Board, _ *panel.Builder) { b.Finish = "" }, want: "Surface finish: as ordered; the boards' data do not state it."},
		{name: "mask", want: "Soldermask: green; it covers the rails on top, but for the openings drawn.", in: true},
		{name: "contours", want: "The contours in fab/weir-6up-profile.gbr govern what is cut", in: true},
		{name: "rounding", want: "Lengths in millimetres, rounded to 0.001 mm.", in: true},
		{name: "rounding of inches", set: func(w *WriteDrawing) { w.Units = "inch" }, want: "Lengths in inches, rounded to 0.0001 in."},
		{name: "tolerances", want: "lengths of what is cut ±0.1 mm; finished diameters of non-plated holes ±0.076 mm, of plated holes ±0.1 mm.", in: true},
		{name: "tolerances given", set: func(w *WriteDrawing) {
			g := 200 * geom.UM
			w.GeneralTolerance, w.NPTHTolerance, w.Units = &g, 50*geom.UM, "both"
		}, want: "lengths of what is cut ±0.2 mm [0.0079 in]; finished diameters of non-plated holes ±0.05 mm [0.0020 in]"},
		{name: "score", want: "Its included angle is the whole angle from flank to flank", in: true},
		{name: "score that jumps", panel: func(_ *panel.Board, e *panel.Builder) {
			e.AddScore(panel.Score{ID: "score/x1", From: geom.Pt(40*geom.MM, 20*geom.MM), To: geom.Pt(40*geom.MM, 60*geom.MM), RemainingWeb: 300 * geom.UM, Depth: 650 * geom.UM, IncludedAngle: 30 * geom.Degree, RunOut: 9 * geom.MM})
		}, want: "may run on by 9 mm, getting shallower"},
		{name: "X-out", want: "X-out: at most 1 of the 6 copies of a panel may be bad, in at most 10 % of the panels delivered", in: true},
		{name: "castellated", panel: func(b *panel.Board, _ *panel.Builder) {
			for i := range 4 {
				b.Drills[0].Drilling.Holes = append(b.Drills[0].Drilling.Holes, artwork.Hole{At: geom.Pt(geom.Length(10+2*i)*geom.MM, 0)})
			}
		}, want: "Castellated edges of weir: half holes are plated"},
		{name: "fingers", panel: fingers, want: "Contact fingers of weir: hard gold and bevel by agreement. Nothing is broken off along them."},
		{name: "fingers with bevel", panel: fingers, set: func(w *WriteDrawing) {
			a, d := 30*geom.Degree, 500*geom.UM
			w.BevelAngle, w.BevelDepth = &a, &d
		}, want: "bevel by agreement, the bevel at 30° to the face, 0.5 mm deep."},
		{name: "edges plated", panel: func(b *panel.Board, _ *panel.Builder) {
			b.EdgePlated = true
			for _, l := range b.Layers[:2] {
				l.Image.Regions = []artwork.Region{{Contours: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(-geom.MM, -geom.MM), Max: geom.Pt(41*geom.MM, 21*geom.MM)})}}}
				l.Image.Objects = []artwork.Object{{Kind: artwork.Fill, Aperture: -1}}
			}
		}, want: "Plated edges of weir: copper runs round the edge"},
		{name: "perforations", panel: func(_ *panel.Board, e *panel.Builder) {
			e.AddTab(panel.Tab{ID: "A1/tab/upper/1", Copies: []string{"A1"}, Rail: "rail/lower", Width: 4 * geom.MM, Feet: [2]geom.Point{{X: 20 * geom.MM, Y: 10 * geom.MM}, {X: 20 * geom.MM, Y: 8 * geom.MM}},
				Along: geom.Pt(1_000_000, 0), Rows: []panel.Row{{Copies: []string{"A1"}, Line: geom.Path{geom.Line(geom.Pt(18*geom.MM, 10*geom.MM), geom.Pt(22*geom.MM, 10*geom.MM))},
					Web: 300 * geom.UM, WorstWeb: 124 * geom.UM, Stub: 0, WorstStub: 50 * geom.UM}}})
			e.AddPerforation(panel.Perforation{ID: "A1/tab/upper/1/hole/1", Tab: "A1/tab/upper/1", Copy: "A1", At: geom.Pt(20*geom.MM, 10*geom.MM), Diameter: 500 * geom.UM})
		}, want: "without copper or opening in the mask; their position within 0.05 mm, their diameter ±0.076 mm. 8. What stays of tabs on a board after breaking is filed off by hand"},
		{name: "dust", want: "Routing, scoring and breaking set free glass-fibre dust and sharp chips.", in: true},
		{name: "last word", want: "your own limits and local rules have the last word.", in: true},
		{name: "own notes", set: func(w *WriteDrawing) { w.Notes = []string{"100 % of the panels are tested."} }, want: "100 % of the panels are tested."},
	} {
		t.Run(c.name, func(t *testing.T) {
			var change []func(*panel.Board, *panel.Builder)
			if c.panel != nil {
				change = append(change, c.panel)
			}
			sheets, _ := drawn(t, stage(c.set), weirs(t, change...), true)
			assert.Contains(t, notesIn(sheets), c.want)
			assert.Equal(t, c.in, strings.Contains(notesIn(plain), c.want), "on the plain panel")
		})
	}
}

// notesIn gives the notes of sheets as one line.
func notesIn(sheets []drawing.Sheet) string {
	var words []string
	for _, s := range sheets {
		for _, x := range s.Texts {
			if x.Layer == drawing.Notes {
				words = append(words, x.S)
			}
		}
	}
	return strings.Join(words, " ")
}

func fingers(b *panel.Board, _ *panel.Builder) {
	m := b.Layers[0].Image
	m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Rectangle, Width: 600 * geom.UM, Height: 3 * geom.MM})
	for i := range 8 {
		at := geom.Pt(10*geom.MM+geom.Length(i)*geom.MM, 1700*geom.UM)
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Region: -1, Edge: geom.Line(at, at)})
	}
}

// TestLettersOfTheBoards: names that come with the boards' data may have letters that the fonts lack; that is told, not
// refused.
func TestLettersOfTheBoards(t *testing.T) {
	sheets, told := drawn(t, stage(nil), weirs(t, func(b *panel.Board, _ *panel.Builder) { b.PartNumber = "水-5001" }), true)
	assert.NotEmpty(t, told)
	assert.Contains(t, told[0], `the drawing is not complete: in `)
	assert.Contains(t, told[0], `the letter '水' (U+6C34) is shown as a question mark`)
	assert.Contains(t, said(sheets), "?-5001")
	assert.Len(t, told, 1, "once")
}

// TestLongEntries: what the title block cuts short is told.
func TestLongEntries(t *testing.T) {
	_, told := drawn(t, stage(func(w *WriteDrawing) { w.Approver = strings.Repeat("A. Weir-Keeper ", 20) }), weirs(t), true)
	assert.Equal(t, []string{"the drawing is not complete: the title block's field Approval person is longer than the field and is cut short; shorten it"}, told)
}

func TestChanges(t *testing.T) {
	w := stage(func(w *WriteDrawing) {
		w.ChangeOrder, w.Approver, w.Date = "CO-0217", "B. Weir", "2026-09-01"
		w.Changes = []Change{{Revision: "A", Order: "CO-0001", What: "first issue", Date: "2026-01-02", Approver: "A. Weir"}, {Revision: "C", What: "wider rails"}}
	})
	env := pipeline.NewEnv(pipeline.Env{Panel: "weir-6up", Revision: "C"}, nil, nil)
	var rows []string
	for _, r := range w.changes(env).Rows {
		row := ""
		for _, c := range r {
			row += c.S + "|"
		}
		rows = append(rows, row)
	}
	assert.Equal(t, []string{"A|CO-0001|first issue|2026-01-02|A. Weir|", "C|CO-0217|wider rails|2026-09-01|B. Weir|"}, rows)
	assert.Empty(t, stage(nil).changes(env).Rows)
	env.Date = "2026-11-30T00:00:00Z"
	assert.Equal(t, "2026-11-30", stage(nil).date(env))
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	env := pipeline.NewEnv(pipeline.Env{Panel: "weir-6up", Workers: 1}, func(pipeline.Finding) {}, nil)
	_, err := stage(nil).Draw(ctx, env, weirs(t))
	assert.ErrorIs(t, err, context.Canceled)
}
