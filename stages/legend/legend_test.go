package legend

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
)

// gauge is a board of 40 x 30 mm with copper on both sides.
func gauge() *panel.Board {
	layer := func(s panel.Side, n int) panel.Layer {
		return panel.Layer{Function: panel.Function{Kind: panel.Copper, Side: s, Index: n}, Image: &artwork.Image{}}
	}
	return &panel.Board{Name: "gauge", PartNumber: "RG-1042", Revision: "C", CopperCount: 2, Thickness: 1600 * geom.UM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(40*geom.MM, 30*geom.MM)})},
		Layers:  []panel.Layer{layer(panel.Top, 1), layer(panel.Bottom, 2)}}
}

// railed gives two boards side by side with rails of 10 mm, 2 mm away: 80 x 54 mm, or 104 x 54 mm with
// rails at the sides.
func railed(t *testing.T, width geom.Length, sides ...panel.RailSide) *panel.Builder {
	t.Helper()
	b := gauge()
	e := panel.Panel{}.Edit().AddBoard(b)
	for i := range 2 {
		e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c1", 'A'+i), Board: b, Place: panel.Settle(b, 0, geom.Pt(geom.Length(i)*40*geom.MM, 0))})
	}
	return e.LayRails(sides, width, 2*geom.MM, 0, false)
}

func built(t *testing.T, e *panel.Builder) panel.Panel {
	t.Helper()
	p, err := e.Build()
	require.NoError(t, err)
	return p
}

func both(t *testing.T) panel.Panel {
	return built(t, railed(t, 10*geom.MM, panel.Upper, panel.Lower))
}

// printed gives the ids of a panel's prints and what they say.
func printed(p panel.Panel) map[string]string {
	out := map[string]string{}
	for _, x := range p.Prints() {
		out[x.ID] = x.Text
	}
	return out
}

func only(t *testing.T, p panel.Panel) panel.Print {
	t.Helper()
	require.Len(t, p.Prints(), 1)
	return p.Prints()[0]
}

func mm(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

func TestWhatIsPrinted(t *testing.T) {
	for options, want := range map[string]map[string]string{
		"":                                    {"legend/text": "gauge  RG-1042  rev. C"},
		`words = ["part_number"]`:             {"legend/text": "RG-1042"},
		`words = ["panel", "panel_revision"]`: {"legend/text": "stage-test  panel rev. A"},
		"words = [\"product\", \"revision\"]\nstacked = true\ntext = \"keep dry\"": {"legend/text": "gauge\nrev. C\nkeep dry"},
		"name = \"product\"\ntext = \"River gauge\"":                               {"legend/product/text": "River gauge"},
		`arrow = "right"`: {"legend/arrow": "direction of travel: right"},
		`code {}`:         {"legend/code": "RG-1042 C"},
		"code {\nwords = [\"panel\", \"panel_revision\"]\n}":                                      {"legend/code": "stage-test A"},
		"code {\ncontent = \"https://example.org/rg-1042\"\nsymbology = \"qr\"\nmodule = 0.25\n}": {"legend/code": "https://example.org/rg-1042"},
		"label_area {\nwidth = 20\nheight = 6\n}":                                                 {"legend/label_area": "for a label of 20 x 6 mm"},
		"bare = true\nmade_of = \"copper\"\ntext = \"A\"":                                         {"legend/text": "A", "legend/text/opening": ""},
		"arrow = \"left\"\nwords = [\"part_number\"]\ncode {}\nlabel_area {\nwidth = 10\nheight = 5\nframe = false\n}": {
			"legend/arrow": "direction of travel: left", "legend/code": "RG-1042 C", "legend/text": "RG-1042", "legend/label_area": "for a label of 10 x 5 mm"},
	} {
		assert.Equal(t, want, printed(stagetest.Run(t, Kind(), options, built(t, railed(t, 12*geom.MM, panel.Upper, panel.Lower)), nil).Panel), options)
	}
}

// Without SOURCE_DATE_EPOCH no date is printed, and a note says so; it is asked for no other way.
func TestDate(t *testing.T) {
	got := stagetest.Run(t, Kind(), `words = ["date"]`, both(t), nil)
	assert.Empty(t, got.Panel.Prints())
	require.Len(t, got.Findings, 1)
	assert.Equal(t, DateRule, got.Findings[0].Rule)
	assert.Equal(t, pipeline.Note, got.Findings[0].Severity)
	got = stagetest.Run(t, Kind(), "code {\nwords = [\"part_number\", \"date\"]\n}\nwords = [\"date\", \"revision\"]", both(t), nil)
	assert.Equal(t, map[string]string{"legend/text": "rev. C", "legend/code": "RG-1042"}, printed(got.Panel))
	assert.Len(t, got.Findings, 1, "told once")
	var found []pipeline.Finding
	env := pipeline.NewEnv(pipeline.Env{Date: "2026-11-30T17:00:00+00:00"}, func(f pipeline.Finding) { found = append(found, f) }, nil)
	l := Kind().New().(*Legend)
	l.Words, l.Code = []string{"date", "revision"}, []Code{{Words: []string{"date"}}}
	said, err := l.says(env, both(t))
	require.NoError(t, err)
	assert.Equal(t, says{text: "2026-11-30  rev. C", code: "2026-11-30"}, said)
	assert.Empty(t, found)
}

func TestSeveralBoards(t *testing.T) {
	a, b := gauge(), gauge()
	b.Name, b.PartNumber = "modem", "RG-2001"
	e := panel.Panel{}.Edit().AddBoard(a).AddBoard(b)
	for i, x := range []*panel.Board{a, b, a} {
		e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c1", 'A'+i), Board: x, Place: panel.Settle(x, 0, geom.Pt(geom.Length(i)*40*geom.MM, 0))})
	}
	p := built(t, e.LayRails([]panel.RailSide{panel.Upper}, 10*geom.MM, 0, 0, false))
	assert.Equal(t, "gauge + modem  RG-1042 + RG-2001  rev. C", only(t, stagetest.Run(t, Kind(), "", p, nil).Panel).Text)
}

// In the rail's middle, at the end or middle that align says as one reads; 0.5 mm from the edge.
func TestPlaceOnARail(t *testing.T) {
	p := built(t, railed(t, 10*geom.MM, panel.Upper, panel.Lower, panel.Left, panel.Right))
	const (
		w = 0.8 // an I of 2 mm with a pen of 0.2 mm: 4 of 12 units of 1.8 mm, and a pen
		l = 104.0
		h = 54.0
	)
	for options, at := range map[string]geom.Point{ // the middle of the I
		"":                                   mm(0.5+w/2, h-5),
		`on = "lower"`:                       mm(0.5+w/2, 5),
		"on = \"lower\"\nalign = \"right\"":  mm(l-0.5-w/2, 5),
		"on = \"lower\"\nalign = \"centre\"": mm(l/2, 5),
		"side = \"bottom\"\non = \"lower\"":  mm(l-0.5-w/2, 5),
		"on = \"lower\"\nturn = 180":         mm(l-0.5-w/2, 5),
		`on = "left"`:                        mm(5, 10+0.5+w/2),
		"on = \"right\"\nalign = \"right\"":  mm(l-5, h-10-0.5-w/2),
		"side = \"bottom\"\non = \"right\"":  mm(l-5, h-10-0.5-w/2),
		"at = [30, 27]\nalign = \"centre\"":  mm(30, 27),
		"at = [30, 27]":                      mm(30+w/2, 27),
		"at = [30, 27]\nalign = \"right\"":   mm(30-w/2, 27),
		"at = [30, 27]\nside = \"bottom\"":   mm(30-w/2, 27),
		"at = [30, 27]\nturn = 90":           mm(30, 27+w/2),
	} {
		x := only(t, stagetest.Run(t, Kind(), "text = \"I\"\n"+options, p, nil).Panel)
		mid := x.Area.Center()
		assert.InDelta(t, float64(at.X), float64(mid.X), 300, options)
		assert.InDelta(t, float64(at.Y), float64(mid.Y), 300, options)
		side := panel.Top
		if strings.Contains(options, "bottom") {
			side = panel.Bottom
		}
		assert.Equal(t, []panel.Function{{Kind: panel.Legend, Side: side}}, x.Layers, options)
	}
}

// Prints keep clear of what stands on the rail, as near to their end as that lets them.
func TestRoomBesideWhatStandsThere(t *testing.T) {
	hole := func(at geom.Point) panel.Mark {
		return panel.Mark{ID: fmt.Sprint("tooling_hole/", at), Kind: panel.ToolingHole, At: at, Diameter: 4 * geom.MM}
	}
	for name, c := range map[string]struct {
		there   func(e *panel.Builder)
		options string
		from    float64 // where the I begins, mm along the rail
	}{
		"a hole":                {func(e *panel.Builder) { e.AddMark(hole(mm(3, 5))) }, "", 5.5},
		"a hole at the far end": {func(e *panel.Builder) { e.AddMark(hole(mm(77, 5))) }, `align = "right"`, 74.5 - 0.8},
		"two holes near by": {func(e *panel.Builder) {
			e.AddMark(hole(mm(3, 5))).AddMark(hole(mm(8.5, 5)))
		}, "", 11},
		"a fiducial's clear area": {func(e *panel.Builder) {
			e.AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: mm(2, 5), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top}})
		}, "", 4},
		"a fiducial of the other side": {func(e *panel.Builder) {
			e.AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: mm(2, 5), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Bottom}})
		}, "", 0.5},
		"a score line through the middle": {func(e *panel.Builder) {
			e.AddScore(panel.Score{ID: "score/x1", From: mm(40, 0), To: mm(40, 54), Depth: 600 * geom.UM, IncludedAngle: 30 * geom.Degree, PositionTolerance: 150 * geom.UM})
		}, `align = "centre"`, 40 + 0.160770 + 0.15 + 0.5},
		"a slot": {func(e *panel.Builder) {
			e.AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: mm(3, 20)})}})
		}, "", 3.5},
		"another print": {func(e *panel.Builder) {
			e.AddPrint(panel.Print{ID: "other", Use: panel.LabelArea, Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Top}}, Area: geom.Box{Min: mm(0, 2), Max: mm(12, 8)}})
		}, "", 12.5},
		"a print of the other side": {func(e *panel.Builder) {
			e.AddPrint(panel.Print{ID: "other", Use: panel.LabelArea, Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Bottom}}, Area: geom.Box{Min: mm(0, 2), Max: mm(12, 8)}})
		}, "", 0.5},
		"perforations": {func(e *panel.Builder) {
			e.AddPerforation(panel.Perforation{ID: "h/1", At: mm(1, 5), Diameter: 500 * geom.UM})
		}, "", 1.75},
		// A print as long as the rail goes beside the hole.
		"beside a small hole": {func(e *panel.Builder) {
			for i := range 16 {
				e.AddPerforation(panel.Perforation{ID: fmt.Sprint("h/", i), At: mm(2.5+5*float64(i), 5), Diameter: geom.MM})
			}
		}, "text = \"I                          I\"", 0.5},
	} {
		e := railed(t, 10*geom.MM, panel.Lower)
		c.there(e)
		options := c.options
		if !strings.Contains(options, "text") {
			options = "text = \"I\"\n" + options
		}
		p := stagetest.Run(t, Kind(), options, built(t, e), nil).Panel
		x := p.Prints()[len(p.Prints())-1]
		step := 0.0
		if name == "a slot" {
			step = 250e3 // found in steps
		}
		assert.InDelta(t, c.from*1e6, float64(x.Area.Min.X), 300+step, name)
	}
}

// A rail whose width nobody gave grows for the print, before anything lies along it.
func TestARailOfOpenWidthGrows(t *testing.T) {
	b := gauge()
	e := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).LayRails([]panel.RailSide{panel.Lower}, 10*geom.MM, 2*geom.MM, 0, true)
	p := stagetest.Run(t, Kind(), "label_area {\nwidth = 20\nheight = 12\nframe = false\n}", built(t, e), nil).Panel
	r, _ := p.Rail(panel.Lower)
	assert.Equal(t, 13*geom.MM, r.Width())
	assert.Equal(t, geom.Box{Min: mm(0.5, 0.5), Max: mm(20.5, 12.5)}, only(t, p).Area)
}

func TestCopperAndItsOpening(t *testing.T) {
	p := stagetest.Run(t, Kind(), "made_of = \"copper\"\nside = \"bottom\"\nbare = true\ntext = \"A\"\nlabel_area {\nwidth = 4\nheight = 4\n}", both(t), nil).Panel
	got := map[string][]panel.Function{}
	areas := map[string]geom.Box{}
	for _, x := range p.Prints() {
		got[x.ID], areas[x.ID] = x.Layers, x.Area
	}
	copper, mask := []panel.Function{{Kind: panel.Copper, Side: panel.Bottom, Index: 2}}, []panel.Function{{Kind: panel.Soldermask, Side: panel.Bottom}}
	assert.Equal(t, map[string][]panel.Function{"legend/text": copper, "legend/text/opening": mask, "legend/label_area": copper, "legend/label_area/opening": mask}, got)
	assert.Equal(t, areas["legend/text"].Grow(200*geom.UM), areas["legend/text/opening"])
}

// The arrow points as asked on the panel, whatever the side and turn of what it stands with.
func TestTheArrowPointsOnThePanel(t *testing.T) {
	for to, want := range map[string]geom.Point{"right": mm(1, 0), "left": mm(-1, 0), "up": mm(0, 1), "down": mm(0, -1)} {
		for _, more := range []string{"", "turn = 90", "turn = 180", "turn = 270", "on = \"left\""} {
			for _, side := range []string{"top", "bottom"} {
				p := built(t, railed(t, 10*geom.MM, panel.Lower, panel.Left))
				x := only(t, stagetest.Run(t, Kind(), fmt.Sprintf("arrow = %q\nside = %q\n%s", to, side, more), p, nil).Panel)
				shaft := x.Lines[0].Path[0]
				d := shaft.To.Sub(shaft.From)
				assert.Greater(t, d.Dot(want), int64(0), "%s %s %s", to, more, side)
				assert.Zero(t, d.Cross(want), "%s %s %s", to, more, side)
				assert.Equal(t, shaft.To, x.Lines[1].Path[0].To, "the head is at the shaft's end")
			}
		}
	}
}

// Several calls find room beside one another, and their ids stay apart.
func TestSeveralCalls(t *testing.T) {
	p := both(t)
	for range 3 {
		p = stagetest.Run(t, Kind(), "text = \"RG\"\ncode {}", p, nil).Panel
	}
	ids := printed(p)
	for _, id := range []string{"legend/text", "legend/text/2", "legend/text/3", "legend/code", "legend/code/2", "legend/code/3"} {
		assert.Contains(t, ids, id)
	}
	for i, a := range p.Prints() {
		for _, b := range p.Prints()[:i] {
			assert.False(t, a.Area.Overlaps(b.Area), "%s and %s", a.ID, b.ID)
		}
	}
}

func TestRefusals(t *testing.T) {
	bare := gauge()
	bare.PartNumber, bare.Layers = "", nil
	plain := built(t, panel.Panel{}.Edit().AddBoard(bare).AddCopy(panel.Copy{ID: "A1", Board: bare}).LayRails([]panel.RailSide{panel.Upper}, 10*geom.MM, 0, 0, false))
	holed := railed(t, 10*geom.MM, panel.Upper)
	for i := range 8 {
		holed.AddMark(panel.Mark{ID: fmt.Sprint("tooling_hole/", i), Kind: panel.ToolingHole, At: mm(5+10*float64(i), 37), Diameter: 8 * geom.MM})
	}
	for _, c := range []struct {
		in            panel.Panel
		options, want string
	}{
		{both(t), `text = "10 kΩ"`, "option text cannot be printed: there is no sign for 'Ω' (U+03A9)"},
		{both(t), `name = "Part number"`, "must be lower-case words and figures"},
		{both(t), "on = \"upper\"\nat = [1, 2]", "says a rail, and at says a point"},
		{both(t), "letter_height = 1\nstroke_width = 0.3", "must be at least 1.5 mm for strokes of 0.3 mm"},
		{both(t), "arrow = \"up\"\narrow_length = 1\nstroke_width = 0.4", "must be at least 2 mm for strokes of 0.4 mm"},
		{both(t), "arrow_length = 5", "is given without an arrow"},
		{both(t), "code {}\ncode {}", "is there twice"},
		{both(t), "code {\ncontent = \"x\"\nwords = [\"date\"]\n}", "and words are both given"},
		{both(t), "code {\ncontent = \"Düse\"\n}", "holds 'ü' (U+00FC): readers agree on printable ASCII only"},
		{both(t), "code {\ncontent = \"" + strings.Repeat("x", 201) + "\"\n}", "says 201 characters, more than 200"},
		{both(t), "code {}\nturn = 30", "must be a whole number of quarter turns"},
		{both(t), `bare = true`, "is for what is made of copper"},
		{both(t), `on = "left"`, "the panel has no left rail"},
		{both(t), "at = [79, 5]\ntext = \"too long\"", "and the panel reaches from (0, 0) to (80, 54) mm"},
		{both(t), "text = \"" + strings.Repeat("W", 60) + "\"", "rail/upper, 80 mm long, has no free stretch of that length"},
		{both(t), "letter_height = 12\nstroke_width = 1\ntext = \"A\"", "rail/upper is 10 mm wide, and 13 mm are needed"},
		{built(t, holed), `letter_height = 4`, "has no free stretch of that length"},
		{plain, "", "board gauge has no part number to print: give it part_number in stage board, or leave part_number out of words"},
		{plain, "made_of = \"copper\"\ntext = \"A\"", "no board on the panel has copper on the top"},
	} {
		assert.ErrorContains(t, stagetest.Fails(t, Kind(), c.options, c.in, nil), c.want)
	}
}

// Without clearance a print may touch what stands there, and still not lie on it.
func TestNoClearance(t *testing.T) {
	e := railed(t, 10*geom.MM, panel.Lower).AddMark(panel.Mark{ID: "tooling_hole/1", Kind: panel.ToolingHole, At: mm(2, 5), Diameter: 4 * geom.MM})
	x := stagetest.Run(t, Kind(), "clearance = 0\nlabel_area {\nwidth = 10\nheight = 10\nframe = false\n}", built(t, e), nil).Panel.Prints()
	require.Len(t, x, 1)
	assert.GreaterOrEqual(t, x[0].Area.Min.X, 4*geom.MM)
	assert.LessOrEqual(t, x[0].Area.Max.Y, 10*geom.MM)
}

// What would say the date and nothing else is left out, and told by its name.
func TestWhatHasNothingToSayIsTold(t *testing.T) {
	const none = "no date is printed: SOURCE_DATE_EPOCH is not set, and the program asks no clock"
	for options, want := range map[string]string{
		"words = [\"date\"]": none + "; legend/text is left out, as it has nothing else to say",
		"name = \"lot\"\ntext = \"lot\"\ncode {\nwords = [\"date\"]\n}": none + "; legend/lot/code is left out, as it has nothing else to say",
		"words = [\"date\"]\ncode {\nwords = [\"date\"]\n}":             none + "; legend/text and legend/code are left out, as they have nothing else to say",
		"words = [\"revision\", \"date\"]\ncode {}":                     none,
		"words = [\"date\"]\ntext = \"A\"":                              none,
	} {
		got := stagetest.Run(t, Kind(), options, both(t), nil)
		require.Len(t, got.Findings, 1, options)
		assert.Equal(t, want, got.Findings[0].Message, options)
	}
}

// A label area has a frame unless the recipe says false.
func TestTheFrame(t *testing.T) {
	for options, want := range map[string]int{"": 1, "frame = true": 1, "frame = false": 0} {
		x := only(t, stagetest.Run(t, Kind(), "label_area {\nwidth = 10\nheight = 5\n"+options+"\n}", both(t), nil).Panel)
		assert.Len(t, x.Lines, want, options)
	}
}
