package badboardmarks_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/badboardmarks"
	"panelwright/stages/fiducials"
	"panelwright/stages/scorelines"
	"panelwright/stages/toolingholes"
)

const mm = geom.MM

func at(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// layer draws dots of 2 mm.
func layer(f panel.Function, dots ...geom.Point) panel.Layer {
	m := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: 2 * mm}}}
	for _, q := range dots {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Region: -1, Edge: geom.Line(q, q)})
	}
	return panel.Layer{Function: f, Image: m}
}

var (
	copperTop    = panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}
	copperInner  = panel.Function{Kind: panel.Copper, Side: panel.Inner, Index: 2}
	copperBottom = panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 4}
	legendTop    = panel.Function{Kind: panel.Legend, Side: panel.Top}
	maskTop      = panel.Function{Kind: panel.Soldermask, Side: panel.Top}
)

// aBoard is 40 × 30 mm from (100, 50) in the coordinates of its files; what lies on it stands in a column at x = 110.
func aBoard() *panel.Board {
	b := &panel.Board{Name: "sluice", CopperCount: 4, Thickness: 1600 * geom.UM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: at(100, 50), Max: at(140, 80)})}}
	b.Layers = []panel.Layer{layer(panel.Function{Kind: panel.Soldermask, Side: panel.Bottom}), layer(copperTop, at(110, 55)), layer(copperInner, at(130, 65)), layer(copperBottom), layer(legendTop, at(110, 60)), layer(maskTop, at(110, 65))}
	b.Drills = []panel.DrillFile{{From: 1, To: 4, Drilling: &artwork.Drilling{Tools: []artwork.Tool{{Diameter: 2 * mm}}, Holes: []artwork.Hole{{At: at(110, 70)}},
		Routs: []artwork.Rout{{Path: geom.Path{geom.Line(at(110, 75), at(112, 75))}}}}}}
	b.Parts = []panel.Part{{Refdes: "R1", Side: panel.Top, At: at(120, 55)},
		{Refdes: "U1", Side: panel.Bottom, At: at(120, 65), Body: panel.Body{By: panel.ByTable, Length: 4 * mm, Width: 2 * mm}}}
	return b
}

func framed(t testing.TB, b *panel.Board, columns, rows int, gap geom.Length, turn geom.Angle, width geom.Length, sides ...panel.RailSide) panel.Panel {
	t.Helper()
	size := geom.Transform{Turn: turn}.Path(b.Outline.Outer).Box()
	e := panel.Panel{}.Edit().AddBoard(b)
	for row := range rows {
		for column := range columns {
			lower := geom.Pt(geom.Length(column)*(size.Width()+gap), geom.Length(row)*(size.Height()+gap))
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+column, row+1), Board: b, Place: panel.Settle(b, turn, lower)})
		}
	}
	p, err := e.FitOutline().LayRails(sides, width, gap, 0, false).Build()
	require.NoError(t, err)
	return p
}

func shape(t testing.TB, s pipeline.Stage, p panel.Panel) panel.Panel {
	t.Helper()
	out, err := tried(s, p)
	require.NoError(t, err)
	return out
}

func tried(s pipeline.Stage, p panel.Panel) (panel.Panel, error) {
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 1}, func(pipeline.Finding) {}, func() []pipeline.Finding { return nil })
	r, err := s.Run(context.Background(), env, p)
	return r.Panel, err
}

func stage(change ...func(*badboardmarks.BadBoardMarks)) *badboardmarks.BadBoardMarks {
	s := badboardmarks.Kind().New().(*badboardmarks.BadBoardMarks)
	for _, f := range change {
		f(s)
	}
	return s
}

// dots gives the marks' dots in order, by copy.
func dots(p panel.Panel) (copies []string, places []geom.Point) {
	for _, x := range p.Prints() {
		if x.Use == panel.BadBoard && x.Layers[0].Kind != panel.Soldermask {
			copies, places = append(copies, x.Copy), append(places, x.Dots[0].At)
		}
	}
	return copies, places
}

// One row on the upper rail, in the order of the copies: 2 × 3 boards with rails of 10 mm, 122 mm by 83 mm. Without
// names a cell is 3 mm, the pitch 3.75 mm (half a letter of 1.5 mm between): 6 cells are 21.75 mm, so that the first
// mark's middle is at (122 − 21.75) / 2 + 1.5 = 51.625 mm, less than half a step. Across, 10 mm less 3 mm at the
// edge leave 7 mm: the middle is 3.5 mm above the rail's inner edge.
func TestARowOnARailByHand(t *testing.T) {
	p := framed(t, aBoard(), 3, 2, mm, 0, 10*mm, panel.Upper, panel.Lower)
	require.Equal(t, "122 x 83 mm", p.SizeText())
	out := shape(t, stage(func(s *badboardmarks.BadBoardMarks) { s.Names = false }), p)
	copies, places := dots(out)
	assert.Equal(t, []string{"A1", "B1", "C1", "A2", "B2", "C2"}, copies)
	for i, q := range places {
		assert.Equal(t, at(51.625+3.75*float64(i), 73+3.5), q)
	}
	var prints []string
	for _, x := range out.Prints()[:2] {
		for _, f := range x.Layers {
			prints = append(prints, fmt.Sprint(x.ID, " ", f.Key(), " ", x.Dots[0].Diameter))
		}
	}
	assert.Equal(t, []string{"bad_board_mark/A1 copper-1-top 2 mm", "bad_board_mark/A1 copper-4-bottom 2 mm",
		"bad_board_mark/A1/mask mask-top 3 mm", "bad_board_mark/A1/mask mask-bottom 3 mm"}, prints)
}

// Names stand beside their marks on both sides, on left and right rails turned; none lies on another.
func TestNamesStandBesideTheirMarks(t *testing.T) {
	for _, on := range []string{"upper", "lower", "left", "right"} {
		t.Run(on, func(t *testing.T) {
			p := framed(t, aBoard(), 2, 3, 2*mm, 0, 10*mm, panel.Upper, panel.Lower, panel.Left, panel.Right)
			p = shape(t, fiducials.Kind().New(), shape(t, toolingholes.Kind().New(), p))
			s := stage(func(s *badboardmarks.BadBoardMarks) { s.On = []string{on} })
			out := shape(t, s, p)
			_, places := dots(out)
			require.Len(t, places, 6)
			r, _ := out.Rail(panel.RailSide(on))
			names := 0
			for i, x := range out.Prints() {
				assert.True(t, r.Box.Holds(x.Area), x.ID)
				if x.Use == panel.Lettering {
					names++
					mark := places[slices.IndexFunc(out.Copies(), func(c panel.Copy) bool { return c.ID == x.Copy })]
					assert.Equal(t, x.Copy, x.Text)
					beside, off := x.Area.Min.X-mark.X, x.Area.Center().Y-mark.Y
					if on == "left" || on == "right" {
						beside, off = x.Area.Min.Y-mark.Y, x.Area.Center().X-mark.X
					}
					assert.Equal(t, s.MaskDiameter/2+s.Clearance, beside)
					assert.LessOrEqual(t, off.Abs(), geom.Length(1))
				}
				for _, y := range out.Prints()[:i] {
					if x.Layers[0].Kind == y.Layers[0].Kind && x.Layers[0].Side == y.Layers[0].Side {
						assert.False(t, x.Area.Overlaps(y.Area), "%s lies on %s", x.ID, y.ID)
					}
				}
			}
			assert.Equal(t, 12, names, "on both sides")
		})
	}
}

// Score lines, fiducials and a label are in the way of one row: the marks go round them. Every mark keeps its
// distances, counted here by boxes and circles.
func TestMarksGoRoundWhatIsInTheWay(t *testing.T) {
	p := framed(t, aBoard(), 4, 2, 0, 0, 8*mm, panel.Upper, panel.Lower)
	p = shape(t, scorelines.Kind().New(), shape(t, fiducials.Kind().New(), p))
	label := panel.Print{ID: "legend/label", Use: panel.LabelArea, Layers: []panel.Function{legendTop}, Area: geom.Box{Min: at(60, 70), Max: at(75, 75)}}
	p, err := p.Edit().AddPrint(label).Build()
	require.NoError(t, err)
	out := shape(t, stage(), p)
	copies, _ := dots(out)
	assert.Equal(t, []string{"A1", "B1", "C1", "D1", "A2", "B2", "C2", "D2"}, copies)
	kept(t, out, stage())
}

// kept requires of each mark and name that it keeps off everything.
func kept(t *testing.T, p panel.Panel, s *badboardmarks.BadBoardMarks) {
	t.Helper()
	whole := p.Outline().Box()
	apart := func(a, b geom.Box) float64 {
		dx, dy := max(a.Min.X-b.Max.X, b.Min.X-a.Max.X, 0), max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y, 0)
		return math.Hypot(dx.MM(), dy.MM())
	}
	for _, x := range p.Prints() {
		if x.Use != panel.BadBoard && x.Copy == "" {
			continue
		}
		box := x.Area
		require.True(t, whole.Grow(-s.FromPanelEdge).Holds(box), "%s comes too near to the panel's edge", x.ID)
		for _, c := range p.Copies() {
			require.GreaterOrEqual(t, apart(box, c.Box()), s.Clearance.MM(), "%s and %s", x.ID, c.ID)
		}
		for _, m := range p.Marks() {
			require.GreaterOrEqual(t, apart(box, geom.BoxOf(m.At))-max(m.Diameter, m.Clear).MM()/2, s.Clearance.MM()-1e-9, "%s and %s", x.ID, m.ID)
		}
		for _, l := range p.Scores() {
			require.GreaterOrEqual(t, apart(box, geom.BoxOf(l.From, l.To))-l.HalfWidth().MM(), s.Clearance.MM()-1e-9, "%s and %s", x.ID, l.ID)
		}
		for _, y := range p.Prints() {
			if y.Copy == "" {
				require.GreaterOrEqual(t, apart(box, y.Area), s.Clearance.MM(), "%s and %s", x.ID, y.ID)
			}
		}
	}
}

// Rails of random width and number of copies: either every mark keeps its distances, or the stage says how many
// there is room for, and there is not room for all.
func TestRandomRails(t *testing.T) {
	placed, refused := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 9))
		p := framed(t, aBoard(), 1+r.IntN(5), 1+r.IntN(4), geom.Length(r.IntN(3))*mm, geom.Angle(r.IntN(2))*geom.Quarter, geom.Length(50+r.IntN(80))*mm/10, panel.Upper, panel.Lower, panel.Left, panel.Right)
		if q, err := tried(fiducials.Kind().New(), p); err == nil {
			p = q
		}
		if len(p.Copies()) > 0 && r.IntN(2) == 0 {
			if q, err := tried(scorelines.Kind().New(), p); err == nil {
				p = q
			}
		}
		s := stage(func(s *badboardmarks.BadBoardMarks) {
			s.FromPanelEdge = geom.Length(r.IntN(5)) * mm
			s.Names = r.IntN(3) > 0
		})
		out, err := tried(s, p)
		if err != nil {
			assert.ErrorContains(t, err, fmt.Sprintf("of %d marks", len(p.Copies())))
			refused++
			continue
		}
		copies, _ := dots(out)
		require.Len(t, copies, len(p.Copies()))
		kept(t, out, s)
		placed++
	}
	assert.Greater(t, placed, 30)
	assert.Positive(t, refused)
}

// On boards each copy has its mark at the same place, however it is turned. The place is in the coordinates of the
// board's files: (130, 75) is 30 mm right of the board's left edge and 25 mm above its lower one.
func TestMarksOnBoards(t *testing.T) {
	for turn, want := range map[geom.Angle]geom.Point{0: at(30, 25), geom.Quarter: at(30-25, 30), geom.Half: at(10, 5)} {
		p := framed(t, aBoard(), 2, 1, 2*mm, turn, 10*mm, panel.Upper)
		got := stagetest.Run(t, badboardmarks.Kind(), "where = \"board\"\nat = [130, 75]", p, nil)
		copies, places := dots(got.Panel)
		assert.Equal(t, []string{"A1", "B1"}, copies)
		for i, c := range got.Panel.Copies() {
			assert.Equal(t, c.Box().Min.Add(want), places[i])
		}
		for _, x := range got.Panel.Prints() {
			assert.NotEqual(t, panel.Lettering, x.Use, "a board needs no name beside its mark")
		}
	}
}

// Just as far from something as the mark's 1.5 mm and 0.5 mm ask for is good, 1 µm nearer is refused, and the
// refusal says by what: each thing of 2 mm (radius 1 mm) needs its middle 3 mm away.
func TestPlacesOnABoardThatAreNotFree(t *testing.T) {
	um := geom.UM
	for name, c := range map[string]struct {
		at, nearer geom.Point
		want       string
	}{
		"copper":     {at(113, 55), at(112.999, 55), "copper (layer copper-1-top) lies 0.499 mm away"},
		"legend":     {at(110, 60).Add(geom.Pt(-3*mm, 0)), at(110, 60).Add(geom.Pt(-3*mm+um, 0)), "legend (layer legend-top) lies 0.499 mm away"},
		"opening":    {at(107, 65), at(107.001, 65), "an opening in the soldermask (layer mask-top) lies 0.499 mm away"},
		"hole":       {at(113, 70), at(112.999, 70), "a hole lies 0.499 mm away"},
		"slot":       {at(115, 76), at(112.001, 76), "a slot is under it"},
		"edge":       {at(138, 75), at(138.001, 75), "the board's edge lies 0.499 mm away"},
		"part":       {at(122, 55), at(121.999, 55), "part R1 lies 0.499 mm away"},
		"body":       {at(124, 65), at(123.999, 65), "part U1 lies 0.499 mm away"},
		"off it":     {at(130, 75), at(90, 75), "(90, 75) mm is not on board sluice, which reaches from (100, 50) to (140, 80) mm"},
		"inner only": {at(130, 65), at(110, 55), "copper (layer copper-1-top) is under it"}, // copper of inner layers is not seen
	} {
		t.Run(name, func(t *testing.T) {
			p := framed(t, aBoard(), 2, 1, 2*mm, 0, 10*mm, panel.Upper)
			on := func(q geom.Point) *badboardmarks.BadBoardMarks {
				return stage(func(s *badboardmarks.BadBoardMarks) { s.Where, s.At = "board", []geom.Length{q.X, q.Y} })
			}
			shape(t, on(c.at), p)
			_, err := tried(on(c.nearer), p)
			assert.ErrorContains(t, err, c.want)
		})
	}
}

// A set of boards has a place for each.
func TestPlacesOfSeveralBoards(t *testing.T) {
	second := aBoard()
	second.Name = "weir"
	p := framed(t, aBoard(), 1, 1, 2*mm, 0, 10*mm, panel.Upper)
	p, err := p.Edit().AddBoard(second).AddCopy(panel.Copy{ID: "weir.A1", Board: second, Place: panel.Settle(second, 0, at(42, 0))}).FitOutline().Build()
	require.NoError(t, err)
	got := stagetest.Run(t, badboardmarks.Kind(), "where = \"board\"\nat = [130, 75]\nplace \"weir\" { at = [131, 76] }", p, nil)
	_, places := dots(got.Panel)
	assert.Equal(t, []geom.Point{got.Panel.Copies()[0].Box().Min.Add(at(30, 25)), got.Panel.Copies()[1].Box().Min.Add(at(31, 26))}, places)
	assert.ErrorContains(t, stagetest.Fails(t, badboardmarks.Kind(), "where = \"board\"\nplace \"weir\" { at = [131, 76] }", p, nil), "nobody says where the mark of board sluice is")
	assert.ErrorContains(t, stagetest.Fails(t, badboardmarks.Kind(), "where = \"board\"\nat = [130, 75]\nplace \"wier\" { at = [131, 76] }", p, nil), `place names a board "wier"`)
}

func TestLegendMarks(t *testing.T) {
	p := framed(t, aBoard(), 2, 1, 2*mm, 0, 10*mm, panel.Upper)
	got := stagetest.Run(t, badboardmarks.Kind(), "made_of = \"legend\"\nsides = [\"top\"]\nnames = false", p, nil)
	for _, x := range got.Panel.Prints() {
		require.Len(t, x.Layers, 1)
		assert.Equal(t, legendTop, x.Layers[0])
		assert.Equal(t, 2*mm, x.Dots[0].Diameter)
	}
	assert.Len(t, got.Panel.Prints(), 2)
	single := aBoard()
	single.Layers = single.Layers[:2]
	err := stagetest.Fails(t, badboardmarks.Kind(), "", framed(t, single, 1, 1, 2*mm, 0, 10*mm, panel.Upper), nil)
	assert.ErrorContains(t, err, "no placed board has copper on the bottom")
	// A board without soldermask gets none for its marks.
	bare := aBoard()
	bare.Layers = []panel.Layer{layer(copperTop), layer(copperBottom)}
	for _, x := range shape(t, stage(), framed(t, bare, 1, 1, 2*mm, 0, 10*mm, panel.Upper)).Prints() {
		for _, f := range x.Layers {
			assert.NotEqual(t, panel.Soldermask, f.Kind)
		}
	}
}

// A fabricator's page (lhd-pcb.com): none of up to 4, one of 5 to 10, two of 11 to 20, three of 21 to 30; at most
// 10 % of the panels.
func TestHowManyCopiesMayBeBad(t *testing.T) {
	for size, want := range map[[2]int]int{{1, 1}: 0, {2, 2}: 0, {5, 1}: 1, {5, 2}: 1, {11, 1}: 2, {5, 4}: 2, {7, 3}: 3, {6, 5}: 3, {7, 6}: 3} {
		p := framed(t, aBoard(), size[0], size[1], 2*mm, 0, 10*mm, panel.Upper, panel.Lower)
		x, ok := shape(t, stage(), p).XOut()
		assert.True(t, ok)
		assert.Equal(t, panel.XOut{Copies: want, Panels: 100_000, Source: "a fabricator's page (lhd-pcb.com)", Usual: true}, x, "%v copies", size)
	}
	p := framed(t, aBoard(), 6, 1, 2*mm, 0, 10*mm, panel.Upper, panel.Lower)
	options := "x_out_percent = 2.5\nx_out {\n copies = 8\n at_most = 2\n source = \"our order\"\n}\nx_out {\n copies = 4\n at_most = 1\n}\n"
	x, _ := stagetest.Run(t, badboardmarks.Kind(), options, p, nil).Panel.XOut()
	assert.Equal(t, panel.XOut{Copies: 2, Panels: 25_000, Source: "our order"}, x)
}

// A rail whose width is left open grows to what the marks need: 3 mm to the edge, 8 mm, and 0.5 mm to the board. One
// of a given width does not.
func TestAnOpenRailGrows(t *testing.T) {
	board := aBoard()
	p, err := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline().
		LayRails([]panel.RailSide{panel.Upper}, 10*mm, 2*mm, 0, true).Build()
	require.NoError(t, err)
	large := func(s *badboardmarks.BadBoardMarks) { s.Diameter, s.MaskDiameter, s.Names = 6*mm, 8*mm, false }
	out := shape(t, stage(large), p)
	r, _ := out.Rail(panel.Upper)
	assert.Equal(t, 11_500*geom.UM, r.Width())
	_, places := dots(out)
	// Of the 8.5 mm that the conveyor leaves free the mark takes 8, in the middle.
	assert.Equal(t, r.Box.Min.Y+4_250*geom.UM, places[0].Y)
	kept(t, out, stage(large))
	_, err = tried(stage(large), framed(t, aBoard(), 1, 1, 0, 0, 10*mm, panel.Upper))
	assert.ErrorContains(t, err, "there is room for 0 of 1 marks")
}

func TestRefusals(t *testing.T) {
	p := framed(t, aBoard(), 2, 1, 2*mm, 0, 10*mm, panel.Upper)
	for options, want := range map[string]string{
		`mask_diameter = 1`: "mask_diameter must be at least diameter, 2 mm",
		`sides = []`:        "sides is empty",
		`where = "board"`:   "needs the place on the board",
		`at = [1, 2]`:       `say where = "board"`,
		"where = \"board\"\nat = [1, 2]\non = [\"upper\"]":                             "names rails",
		"x_out {\n copies = 4\n at_most = 5\n}":                                        "is more than there are copies, 4",
		`on = ["left"]`:                                                                "the panel has no left rail",
		`diameter = 8` + "\nmask_diameter = 9":                                         "there is room for 0 of 2 marks",
		"letter_height = 1\nstroke_width = 0.5":                                        "letter_height must be at least 2.5 mm for strokes of 0.5 mm",
		"x_out {\n copies = 4\n at_most = 0\n}\nx_out {\n copies = 4\n at_most = 1\n}": "is 4 twice",
	} {
		assert.ErrorContains(t, stagetest.Fails(t, badboardmarks.Kind(), options, p, nil), want, options)
	}
}
