package rule

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

func thievingRule(t *testing.T, name string) pipeline.Rule {
	t.Helper()
	for _, r := range All() {
		if r.Name == name {
			return r
		}
	}
	t.Fatal("no rule is called " + name)
	return pipeline.Rule{}
}

// A panel of 60 × 50 mm with a board of 60 × 40 mm below a rail of 10 mm, and one dot of 1 mm. By hand, for each
// thing, the place of the dot's middle at which it is just 0.4 mm away (0 mm from clear areas and prints): there it
// is good, 1 µm nearer it is not, and the figure is 0.399 mm.
func TestThievingClearance(t *testing.T) {
	um := func(x, y int) geom.Point { return geom.Pt(geom.Length(x)*geom.UM, geom.Length(y)*geom.UM) }
	top := []panel.Function{{Kind: panel.Copper, Side: panel.Top, Index: 1}}
	inner := []panel.Function{{Kind: panel.Copper, Side: panel.Inner, Index: 2}}
	legend := []panel.Function{{Kind: panel.Legend, Side: panel.Top}}
	for name, c := range map[string]struct {
		add    func(b *panel.Builder)
		at     geom.Point // just far enough
		nearer geom.Point // 1 µm nearer
		of     string
		limit  float64
		layers []panel.Function
	}{
		"the board's edge": {nil, um(30_000, 40_900), um(30_000, 40_899), "A1", 0.4, top},
		"the panel's edge": {nil, um(30_000, 49_100), um(30_000, 49_101), "the panel's edge", 0.4, top},
		"a slot": {func(b *panel.Builder) {
			b.AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: um(0, 40_000), Max: um(60_000, 42_000)})}})
		}, um(30_000, 42_900), um(30_000, 42_899), "slot/1", 0.4, inner},
		"a perforation": {func(b *panel.Builder) {
			b.AddPerforation(panel.Perforation{ID: "A1/tab/upper/1/hole/1", Tab: "A1/tab/upper/1", At: um(30_000, 43_000), Diameter: 500 * geom.UM})
		}, um(31_150, 43_000), um(31_149, 43_000), "A1/tab/upper/1/hole/1", 0.4, top},
		"a tab": {func(b *panel.Builder) { // 4 mm wide at its waist, up to y = 42 mm
			b.AddTab(panel.Tab{ID: "A1/tab/upper/1", Copies: []string{"A1"}, Width: 4 * geom.MM, Feet: [2]geom.Point{um(30_000, 40_000), um(30_000, 42_000)}})
		}, um(30_000, 42_900), um(30_000, 42_899), "A1/tab/upper/1", 0.4, top},
		// 0.6 mm deep at 60° included: 0.6 × tan 30° = 0.346411 mm, so that the dot must be 43 + 0.346411 + 0.4 + 0.5 =
		// 44.246411 mm high.
		"a score line": {func(b *panel.Builder) {
			b.AddScore(panel.Score{ID: "score/y1", From: um(0, 43_000), To: um(60_000, 43_000), Depth: 600 * geom.UM, IncludedAngle: 60 * geom.Degree})
		}, geom.Pt(30*geom.MM, 44_246_411), geom.Pt(30*geom.MM, 44_245_411), "score/y1", 0.4, top},
		"a tooling hole": {func(b *panel.Builder) {
			b.AddMark(panel.Mark{ID: "tooling_hole/1", Kind: panel.ToolingHole, At: um(30_000, 45_000), Diameter: 4 * geom.MM})
		}, um(32_900, 45_000), um(32_899, 45_000), "tooling_hole/1", 0.4, inner},
		"a fiducial": {func(b *panel.Builder) {
			b.AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: um(30_000, 45_000), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top}})
		}, um(32_000, 45_000), um(31_999, 45_000), "fiducial/1", 0, inner},
		"legend": {func(b *panel.Builder) {
			b.AddPrint(panel.Print{ID: "legend/label", Use: panel.LabelArea, Layers: legend, Area: geom.Box{Min: um(28_000, 44_000), Max: um(30_000, 46_000)}})
		}, um(30_500, 45_000), um(30_499, 45_000), "legend/label", 0, top},
	} {
		t.Run(name, func(t *testing.T) {
			rule := thievingRule(t, "thieving-clearance")
			for i, at := range []geom.Point{c.at, c.nearer} {
				b := onRail(t).Edit()
				if c.add != nil {
					c.add(b)
				}
				p, err := b.AddPrint(panel.Print{ID: "thieving/rail/upper", Use: panel.Thieving, Layers: c.layers, Area: geom.BoxOf(at).Grow(geom.MM),
					Dots: []panel.Dot{{At: at, Diameter: geom.MM}}}).Build()
				require.NoError(t, err)
				found, err := rule.Judge(context.Background(), pipeline.Case{Panel: p, Limit: *rule.Default})
				require.NoError(t, err)
				if i == 0 {
					assert.Empty(t, found, "just far enough")
					continue
				}
				require.Len(t, found, 1)
				assert.InDelta(t, max(0, c.limit-0.001), *found[0].Measured, 1e-6)
				assert.Equal(t, c.limit, *found[0].Limit)
				assert.Contains(t, found[0].Message, c.of)
				assert.Equal(t, "thieving/rail/upper", found[0].Feature)
			}
		})
	}
}

// Inner layers may be filled below what is printed on the outer ones; where the print is on the inner layer itself
// they may not. A line is measured along its whole length.
func TestThievingBelowPrintsAndLines(t *testing.T) {
	rule := thievingRule(t, "thieving-clearance")
	inner := panel.Function{Kind: panel.Copper, Side: panel.Inner, Index: 2}
	label := panel.Print{ID: "legend/label", Use: panel.LabelArea, Area: geom.Box{Min: geom.Pt(20*geom.MM, 44*geom.MM), Max: geom.Pt(30*geom.MM, 46*geom.MM)}}
	line := panel.Print{ID: "thieving/rail/upper", Use: panel.Thieving, Layers: []panel.Function{inner}, Area: geom.Box{Max: geom.Pt(60*geom.MM, 50*geom.MM)},
		Lines: []panel.PenLine{{Path: geom.Path{geom.Line(geom.Pt(5*geom.MM, 45*geom.MM), geom.Pt(55*geom.MM, 45*geom.MM))}, Width: geom.MM / 2}}}
	for on, want := range map[panel.Function]int{{Kind: panel.Legend, Side: panel.Top}: 0, inner: 1} {
		label.Layers = []panel.Function{on}
		p, err := onRail(t).Edit().AddPrint(label).AddPrint(line).Build()
		require.NoError(t, err)
		found, err := rule.Judge(context.Background(), pipeline.Case{Panel: p, Limit: 0.4})
		require.NoError(t, err)
		assert.Len(t, found, want)
	}
}

func onRail(t *testing.T) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "weir", CopperCount: 4, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 40*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline().
		LayRails([]panel.RailSide{panel.Upper}, 10*geom.MM, 0, 0, false).Build()
	require.NoError(t, err)
	return p
}

// Layers 1 and 4, and 2 and 3, lie alike from both faces: 30 against 45.1 % is 15.1, 50 against 40 is 10.
func TestCopperBalance(t *testing.T) {
	f := func(side panel.Side, i int) panel.Function {
		return panel.Function{Kind: panel.Copper, Side: side, Index: i}
	}
	p, err := onRail(t).Edit().SetCopperShares([]panel.CopperShare{{Layer: f(panel.Top, 1), After: 300_000}, {Layer: f(panel.Inner, 2), After: 500_000},
		{Layer: f(panel.Inner, 3), After: 400_000}, {Layer: f(panel.Bottom, 4), After: 451_000}}).Build()
	require.NoError(t, err)
	rule := thievingRule(t, "copper-balance")
	assert.Equal(t, 25.0, *rule.Default)
	for limit, want := range map[float64][]float64{15.1: nil, 15.099: {15.1}, 10: {15.1}, 9.999: {15.1, 10}} {
		found, err := rule.Judge(context.Background(), pipeline.Case{Panel: p, Limit: limit})
		require.NoError(t, err)
		var got []float64
		for _, x := range found {
			got = append(got, *x.Measured)
		}
		assert.Equal(t, want, got, "%v", limit)
	}
}
