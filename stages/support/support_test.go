package support_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/support"
)

// gauges is two boards of 60 x 40 mm side by side, 2 mm apart, with rails of 10 mm on some sides, 2 mm away.
func gauges(t testing.TB, holes bool, rails ...panel.RailSide) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "gauge", Thickness: 1600 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 40*geom.MM)})}}
	e := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).
		AddCopy(panel.Copy{ID: "B1", Board: b, Place: geom.Transform{Shift: geom.Pt(62*geom.MM, 0)}}).FitOutline()
	if len(rails) > 0 {
		e.LayRails(rails, 10*geom.MM, 2*geom.MM, 0, false)
	}
	p, err := e.Build()
	require.NoError(t, err)
	if holes {
		p, err = p.AddCornerMarks(panel.CornerMark{Kind: panel.ToolingHole, Diameter: 4 * geom.MM, Keep: 3 * geom.MM, InwardX: 5 * geom.MM, InwardY: 5 * geom.MM,
			Corners: []panel.Corner{panel.LowerLeft, panel.LowerRight, panel.UpperRight, panel.UpperLeft}})
		require.NoError(t, err)
	}
	return p
}

func stated(t *testing.T, options string, in panel.Panel) panel.Support {
	t.Helper()
	got := stagetest.Run(t, support.Kind(), options, in, nil)
	assert.Empty(t, got.Findings)
	require.NotNil(t, got.Panel.Support())
	return *got.Panel.Support()
}

func TestDefaults(t *testing.T) {
	s := stated(t, "", gauges(t, true, panel.Upper, panel.Lower))
	assert.Equal(t, panel.ByTwoRails, s.Carried)
	assert.Equal(t, []panel.RailSide{panel.Upper, panel.Lower}, s.Sides)
	assert.Empty(t, s.Pins)
	assert.Equal(t, panel.Constant{Value: 2, Unit: "N", Source: "from memory, no published source: placement heads press with 1 to 5 N"}, s.Force)
	assert.Equal(t, []geom.Length{4 * geom.MM, 500 * geom.UM}, []geom.Length{s.Open, s.Fine})
	assert.Equal(t, laminate.Default(), s.Laminate)
	assert.Nil(t, s.MostSag)
}

func TestWhatIsSaidIsStated(t *testing.T) {
	s := stated(t, `
  carried = "one_rail"
  sides   = ["left"]
  grip    = "4 mm"
  force   = "8 N"
  pressed = "B1"
  warp    = "y"
  open_mesh = "6 mm"
  fine_mesh = "1 mm"
  most_sag  = 0.5
  least_reserve = 3
  least_frequency = 30
  laminate {
    elastic_warp = "18.6 GPa"
    density      = "1850 kg/m3"
    highest_warp = 700
    notch        = 1.5
    foil         = "18 um"
    source       = "datasheet of the mill"
  }`, gauges(t, false, panel.Upper, panel.Lower))
	assert.Equal(t, panel.ByOneRail, s.Carried)
	assert.Equal(t, []panel.RailSide{panel.Left}, s.Sides)
	assert.Equal(t, 4*geom.MM, s.Grip)
	assert.Equal(t, panel.Constant{Value: 8, Unit: "N", Source: "the recipe or its standard"}, s.Force)
	assert.Equal(t, "B1 y", s.Pressed+" "+s.Warp)
	assert.Equal(t, []geom.Length{6 * geom.MM, geom.MM}, []geom.Length{s.Open, s.Fine})
	assert.Equal(t, []float64{0.5, 3, 30}, []float64{*s.MostSag, *s.LeastReserve, *s.LeastFrequency})
	const mill = "datasheet of the mill"
	assert.Equal(t, panel.Constant{Value: 18.6, Unit: "GPa", Source: mill}, s.ElasticWarp)
	assert.Equal(t, panel.Constant{Value: 1850, Unit: "kg/m3", Source: mill}, s.Density)
	assert.Equal(t, panel.Constant{Value: 700, Unit: "MPa", Source: mill}, s.HighestWarp)
	assert.Equal(t, panel.Constant{Value: 1.5, Source: mill}, s.Notch)
	assert.Equal(t, panel.Constant{Value: 0.018, Unit: "mm", Source: mill}, s.Foil)
	assert.Equal(t, laminate.Default().ElasticFill, s.ElasticFill, "what is not said is usual")
}

func TestWhoseDatasheetIsNotSaid(t *testing.T) {
	s := stated(t, "laminate {\n  shear = 2.7\n}", gauges(t, false))
	assert.Equal(t, panel.Constant{Value: 2.7, Unit: "GPa", Source: "the recipe or its standard"}, s.Shear)
}

func TestSidesWhereNobodySaysThem(t *testing.T) {
	for _, c := range []struct {
		options string
		rails   []panel.RailSide
		want    []panel.RailSide
	}{
		{"", nil, []panel.RailSide{panel.Upper, panel.Lower}}, // 122 x 40 mm: the longer sides
		{"", []panel.RailSide{panel.Left, panel.Right}, []panel.RailSide{panel.Left, panel.Right}},
		{`carried = "one_rail"`, []panel.RailSide{panel.Lower}, []panel.RailSide{panel.Lower}},
		{`carried = "one_rail"`, []panel.RailSide{panel.Right}, []panel.RailSide{panel.Right}},
		{`carried = "one_rail"`, nil, []panel.RailSide{panel.Upper}},
	} {
		assert.Equal(t, c.want, stated(t, c.options, gauges(t, false, c.rails...)).Sides, "%s %v", c.options, c.rails)
	}
}

func TestPins(t *testing.T) {
	// Holes 5 mm from both edges of 122 x 64 mm.
	s := stated(t, `carried = "pins"`, gauges(t, true, panel.Upper, panel.Lower))
	assert.Equal(t, []geom.Point{geom.Pt(5*geom.MM, 5*geom.MM), geom.Pt(117*geom.MM, 5*geom.MM), geom.Pt(117*geom.MM, 59*geom.MM), geom.Pt(5*geom.MM, 59*geom.MM)}, s.Pins)
	assert.Empty(t, s.Sides)
	s = stated(t, "carried = \"pins\"\npin {\n  x = 1\n  y = 2\n}\npin {\n  x = 50\n  y = 2\n}\npin {\n  x = 25\n  y = 40\n}", gauges(t, false, panel.Upper))
	assert.Equal(t, []geom.Point{geom.Pt(geom.MM, 2*geom.MM), geom.Pt(50*geom.MM, 2*geom.MM), geom.Pt(25*geom.MM, 40*geom.MM)}, s.Pins)
}

func TestWhatIsRefused(t *testing.T) {
	const rails = "carried = \"rails\"\n"
	pin := func(xy string) string { return "pin {\n" + xy + "\n}\n" }
	held := gauges(t, false, panel.Upper, panel.Lower)
	for _, c := range []struct {
		name, options, want string
	}{
		{"sides that do not face", rails + `sides = ["upper", "left"]`, `option sides must name two opposite sides`},
		{"one side of two", rails + `sides = ["upper"]`, `option sides must name two opposite sides`},
		{"two sides of one", "carried = \"one_rail\"\nsides = [\"upper\", \"lower\"]", `option sides must name one side`},
		{"sides and pins", "carried = \"pins\"\nsides = [\"upper\", \"lower\"]", `option sides does not go with carried = "pins"`},
		{"pins on rails", rails + pin("x = 1\ny = 1"), `option pin goes with carried = "pins" alone`},
		{"pins in a line", "carried = \"pins\"\n" + pin("x = 1\ny = 1") + pin("x = 3\ny = 2") + pin("x = 5\ny = 3"), "do not lie in one line"},
		{"two pins", "carried = \"pins\"\n" + pin("x = 1\ny = 1") + pin("x = 3\ny = 2"), "at three places at least"},
		{"a pin beside the panel", "carried = \"pins\"\n" + pin("x = 1\ny = 1") + pin("x = 3\ny = 2") + pin("x = 5\ny = 80"), "is at (5, 80) mm, beside the panel"},
		{"no tooling holes", "carried = \"pins\"", "takes the tooling holes, and there are 0"},
		{"a force of another unit", `force = "5 kg"`, "must be in N, and is in kg"},
		{"a force that pulls", "force = -1", "between 0 and 1000 N"},
		{"pressed by nothing", "force = 0\npressed = \"A1\"", "option pressed names a copy, and nothing presses on it"},
		{"no such copy", `pressed = "B11"`, "option pressed names no copy; nearest: B1"},
		{"nothing like a copy", `pressed = "station"`, "option pressed names no copy; there are A1, B1"},
		{"a fine mesh that is none", `fine_mesh = "5 mm"`, "option fine_mesh must not be more than open_mesh, 4 mm"},
		{"two laminates", "laminate {}\nlaminate {}", "option laminate 2 is one too many"},
		{"a modulus of another unit", "laminate {\n  elastic_warp = \"24000 MPa\"\n}", "option laminate elastic_warp must be in GPa, and is in MPa"},
		{"a modulus that is none", "laminate {\n  elastic_warp = 24000\n}", "option laminate elastic_warp is 24000 GPa, and must lie between 0.1 and 1000 GPa; if MPa are meant, it is 24"},
		{"strong material weaker than weak", "laminate {\n  strength_fill = 400\n  highest_fill = 399\n}", "option laminate highest_fill must be at least strength_fill, 400 MPa"},
		{"weak stronger than strong", "laminate {\n  strength_fill = 9000\n}", "option laminate strength_fill is more than highest_fill"},
		{"contraction beyond what can be", "laminate {\n  elastic_warp = 10\n  elastic_fill = 20\n  poisson = 0.8\n}", "option laminate poisson must be less than the root"},
		{"a grip as broad as the panel", "carried = \"one_rail\"\nsides = [\"left\"]\ngrip = 50", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := held
			if c.want == "" {
				in, c.want = gauges(t, false), "option grip is as much as the panel is broad"
			}
			assert.ErrorContains(t, stagetest.Fails(t, support.Kind(), c.options, in, nil), c.want)
		})
	}
	twice, err := held.Edit().SetSupport(panel.Support{Carried: panel.ByTwoRails}).Build()
	require.NoError(t, err)
	assert.ErrorContains(t, stagetest.Fails(t, support.Kind(), "", twice, nil), "an earlier stage says already how the panel is carried")
}

// What is settled by what is there may not be changed afterwards.
func TestParts(t *testing.T) {
	for _, c := range []struct {
		s    support.Support
		ends []string
	}{
		{support.Support{Carried: "rails"}, []string{"copies", "rails"}},
		{support.Support{Carried: "rails", Sides: []string{"left", "right"}}, []string{"copies"}},
		{support.Support{Carried: "pins"}, []string{"copies", "rails", "tooling_holes", "fiducials"}},
		{support.Support{Carried: "pins", Pins: make([]support.Pin, 3)}, []string{"copies"}},
	} {
		p := c.s.Parts()
		assert.Equal(t, c.ends, p.Ends)
		assert.Equal(t, []string{"support"}, p.Gives)
	}
}

// Tabs are placed by what is stated here: no more than the spans ask for, and the panel keeps the limits of sag and reserve.
func TestTabsAreReckonedWithIt(t *testing.T) {
	in := gauges(t, false, panel.Upper, panel.Lower)
	planned := stagetest.Run(t, breakofftabs.Kind(), "", in, nil)
	in = stagetest.Run(t, support.Kind(), "force = 0\nmost_sag = 0.2\nopen_mesh = 8\nfine_mesh = 2", in, nil).Panel
	got := stagetest.Run(t, breakofftabs.Kind(), `placing = "by_support"`, in, nil, stagetest.WithRules(rule.All()...))
	var told []string
	for _, f := range got.Findings {
		told = append(told, f.Rule)
	}
	assert.Equal(t, []string{"tabs-by-support"}, told)
	assert.NotEmpty(t, got.Panel.Tabs())
	assert.LessOrEqual(t, len(got.Panel.Tabs()), len(planned.Panel.Tabs()))
	a, err := mechanics.Of(t.Context(), got.Panel, 1)
	require.NoError(t, err)
	require.Empty(t, a.Problems)
	assert.True(t, a.Keeps(mechanics.Limits{MostSag: 0.2, LeastReserve: 2}))
}
