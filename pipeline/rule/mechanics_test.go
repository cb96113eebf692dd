package rule

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// reckoned is answers made by hand: two boards between rails 100 mm apart, on two tabs.
func reckoned() *mechanics.Answers {
	a := &mechanics.Answers{Span: 100 * geom.MM,
		States: []mechanics.State{
			{Kind: mechanics.Cold, Sag: 0.25, SagAt: geom.Pt(50*geom.MM, 50*geom.MM), SagCopy: "B1", Percent: 0.25},
			{Kind: mechanics.Hot, Sag: 0.625, SagAt: geom.Pt(50*geom.MM, 51*geom.MM), SagCopy: "B1", Percent: 0.625},
			{Kind: mechanics.Pressed, Sag: 0.41234, SagAt: geom.Pt(10*geom.MM, 50*geom.MM), Percent: 0.41234, Pressed: "A1"},
		},
		Hertz: []float64{33.333, 41, 77.77, 90, 120},
		Tabs: []mechanics.Tab{
			row1("A1", 1, 8, 2, 4),
			row1("B1", 1, 8.0001, 2.0001, 4),
		},
		Breaks: []mechanics.Break{
			{Kind: mechanics.OneTab, Feature: "A1/tab/lower/1", Copies: []string{"A1"}, At: geom.Pt(geom.MM, geom.MM), Moment: [2]float64{200, 400}, Lever: 20, Force: [2]float64{10, 20}},
			{Kind: mechanics.BoardEdge, Feature: "A1", Copies: []string{"A1"}, Moment: [2]float64{400, 800}, Lever: 20, Force: [2]float64{20, 40}},
			{Kind: mechanics.BoardEdge, Feature: "B1", Copies: []string{"B1"}, Moment: [2]float64{400, 800}, Lever: 20, Force: [2]float64{20, 40.001}},
			{Kind: mechanics.ScoreLine, Feature: "score/y1", Copies: []string{"A1", "B1"}, Moment: [2]float64{400, 900}, Lever: 20, Force: [2]float64{20, 45}},
		},
		Parts: []mechanics.Strained{
			{Copy: "A1", Refdes: "C3", Break: "A1/tab/lower/1", Distance: 2 * geom.MM, Strain: 900, Least: 320},
			{Copy: "B1", Refdes: "C3", Break: "B1/tab/lower/1", Distance: 2 * geom.MM, Strain: 900.01, Least: 320},
			{Copy: "A1", Refdes: "C3", Break: "score/y1", Distance: 9 * geom.MM, Strain: 300, Least: 100},
			{Copy: "A1", Refdes: "U1", Break: "A1/tab/lower/1", Distance: 12 * geom.MM, Strain: 120, Least: 40},
		},
	}
	a.Support = panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Force: panel.Constant{Value: 5, Unit: "N", Source: "from memory"}}
	for i, f := range panel.LaminateFigures() {
		*f.Of(&a.Support.Laminate) = panel.Constant{Value: float64(i + 1), Unit: f.Unit, Source: "a datasheet"}
	}
	a.Support.Notch.Source = "a handbook"
	a.Constants = mechanics.Constants(a.Support)
	return a
}

// row1 is a tab with reserves cold, hot and pressed.
func row1(copy string, row int, cold, hot, pressed float64) mechanics.Tab {
	load := func(r float64) mechanics.RowLoad {
		return mechanics.RowLoad{Moment: -12.345, Twist: 3, Stress: 400 / r, Strength: 400, Reserve: r}
	}
	return mechanics.Tab{Tab: copy + "/tab/lower/1", Row: row, Copies: []string{copy}, Modulus: 0.6, At: geom.Pt(5*geom.MM, geom.MM),
		Loads: []mechanics.RowLoad{load(cold), load(hot), load(pressed)}, Least: hot,
		Without: mechanics.Without{Sag: 0.3, Reserve: cold / 2, Worst: "C1/tab/lower/1"}}
}

func TestPanelSagTellsTheWorstState(t *testing.T) {
	a := reckoned()
	assert.Empty(t, panelSag(panel.Panel{}, a, 0.625))
	f := panelSag(panel.Panel{}, a, 0.6)
	require.Len(t, f, 1)
	assert.Equal(t, "carried at its upper and lower edges, the panel sags 0.625 mm on B1, in the oven: 0.625 % of the 100 mm between its supports, more than 0.6 %; "+
		"cold 0.25 mm; cold, 5 N pressing on A1 0.412 mm", f[0].Message)
	assert.Equal(t, 0.625, *f[0].Measured)
	assert.Equal(t, geom.Pt(50*geom.MM, 51*geom.MM), *f[0].At)
	assert.Equal(t, pipeline.WholePanel, f[0].Feature)
	a.States[2].Percent, a.States[2].Pressed, a.Support.Carried, a.Support.Sides = 2, "B1", panel.ByOneRail, []panel.RailSide{panel.Left}
	f = panelSag(panel.Panel{}, a, 0.6)
	require.Len(t, f, 2)
	assert.Empty(t, f[0].Severity, "the recipe's own")
	f = f[1:]
	assert.Equal(t, pipeline.Warning, f[0].Severity, "it passes when nobody presses")
	assert.Contains(t, f[0].Message, "held at its left edge, the panel sags 0.412 mm between the boards, cold, 5 N pressing on B1: 2 %")
	assert.Empty(t, panelSag(panel.Panel{}, &mechanics.Answers{}, 0))
	assert.Contains(t, f[0].Message, "of the 100 mm from the held edge to the far one, more than 0.6 %")
	assert.NotContains(t, f[0].Message, "theory")
	assert.NotContains(t, f[0].Message, "masses")
	parts := weir(1)
	parts.Parts = []panel.Part{{Refdes: "R1"}, {Refdes: "U1", Body: panel.Body{By: panel.ByTable, Mass: 1}}}
	p, err := row(parts, 2, 0).Build()
	require.NoError(t, err)
	assert.Contains(t, panelSag(p, a, 0.6)[0].Message, "; of 4 parts the masses of 2 are not known and not counted")
	// Digits that mean nothing are left out; so is belief in figures that the theory does not bear.
	a.States[2].Percent, a.States[2].SagAt, a.Span = 10.1, geom.Pt(191_999_740, 71_536_878), 161_999_740
	f = panelSag(panel.Panel{}, a, 0.75)
	require.Len(t, f, 1)
	assert.Equal(t, geom.Pt(192*geom.MM, 71_540*geom.UM), *f[0].At)
	assert.Contains(t, f[0].Message, "10.1 % of the 162 mm from")
	assert.Contains(t, f[0].Message, "beyond 10 % the theory of small sags no longer holds")
}

// Supports that are not as one may think are told of: the panel is reckoned with them all the same.
func TestOddSupports(t *testing.T) {
	p, err := row(weir(1), 2, 0).Build()
	require.NoError(t, err)
	a := reckoned()
	assert.Empty(t, oddSupports(a, p), "no rails at all")
	a.States[2].Pull = 0.4
	assert.Empty(t, oddSupports(a, p), "a panel that is pressed on with 5 N lifts a little")
	a.States[2].Pull, a.States[2].PullAt = 0.5, geom.Pt(9_888_889, 0)
	f := oddSupports(a, p)
	require.Len(t, f, 1)
	assert.Equal(t, pipeline.Note, f[0].Severity)
	assert.Equal(t, "cold, 5 N pressing on A1, the panel lifts off its support at (9.89, 0) mm, which would have to hold it down by 0.5 N: what is told of that state is too good", f[0].Message)
	assert.Equal(t, geom.Pt(9_890_000, 0), *f[0].At)
	a.States[2].Pull = 0
	a.States[0].Pull, a.States[1].Pull = 0.02, 0.03
	a.IdlePins = []geom.Point{geom.Pt(20*geom.MM, 11*geom.MM)}
	f = oddSupports(a, p)
	require.Len(t, f, 2)
	assert.Equal(t, pipeline.Warning, f[0].Severity)
	assert.Equal(t, "the pin at (20, 11) mm lies under no material, and carries nothing", f[0].Message)
	assert.Equal(t, pipeline.Warning, f[1].Severity)
	assert.Contains(t, f[1].Message, "in the oven, the panel lifts off its support at (0, 0) mm, which would have to hold it down by 0.03 N: what is told of sag and strength is too good")
	// Rails at other sides than those that carry.
	a = reckoned()
	railed, err := p.Edit().LayRails([]panel.RailSide{panel.Left, panel.Right}, 5*geom.MM, 2*geom.MM, 0, false).Build()
	require.NoError(t, err)
	f = oddSupports(a, railed)
	require.Len(t, f, 1)
	assert.Contains(t, f[0].Message, "stage support has the panel carried at its upper and lower edges, and it has no rail there")
	a.Support.Sides = []panel.RailSide{panel.Left, panel.Right}
	assert.Empty(t, oddSupports(a, railed))
}

// What keeps a panel from being reckoned is told once, where it is.
func TestProblemsAreTold(t *testing.T) {
	p, err := row(weir(1), 2, 0).Build()
	require.NoError(t, err)
	f := problems(&mechanics.Answers{Problems: []mechanics.Problem{{Message: "it tips"}, {Message: "it tips"}, {Message: "it hangs on to nothing", Feature: "B1", At: geom.Pt(1, 2)}}}, p)
	require.Len(t, f, 2)
	assert.Equal(t, pipeline.Finding{Feature: pipeline.WholePanel, Message: "it tips"}, f[0])
	assert.Equal(t, []string{"B1"}, f[1].Copies)
	assert.Equal(t, geom.Pt(1, 2), *f[1].At)
}

// Constants stand with their units and sources beside what was reckoned with them.
func TestConstantsStandBesideFindings(t *testing.T) {
	a := reckoned()
	held := tabStrength(panel.Panel{}, a, 9)[0].Basis
	const all = "E warp 1 GPa, E fill 2 GPa, G 3 GPa, nu 4, strength warp at least 6 MPa, strength fill at least 7 MPa, strength warp at most 8 MPa, strength fill at most 9 MPa, copper layer 19 mm (a datasheet); "
	assert.True(t, strings.HasPrefix(held, all+"density 5 kg/m3, E and G hot, of cold 10, "), held)
	for _, want := range []string{"; notch factor 12 (a handbook); ", "; free fall 9.80665 m/s2 (3rd CGPM, 1901); "} {
		assert.Contains(t, held, want)
	}
	assert.True(t, strings.HasSuffix(held, "; pressed with 5 N (from memory)"), held)
	assert.Equal(t, all+"notch factor 12 (a handbook); hand's grip 10 mm, rate of strain 10000 microstrain/s (from memory, no published source); parts looked at within 25 mm (common practice, no published source)",
		breakForce(panel.Panel{}, a, 1)[0].Basis, "neither masses nor heat count")
	// Every name that is left out somewhere is one of a constant.
	for _, name := range append(slices.Clone(notHeld), notBroken...) {
		assert.True(t, slices.ContainsFunc(a.Constants, func(c mechanics.Named) bool { return c.Short == name }), name)
	}
	for _, x := range []struct{ source, want string }{
		{"", ""}, {"a page; that disagrees", " (a page; that disagrees)"}, {"a page (of 12)", " (a page, of 12)"},
		{"from a modulus measured at 45 deg (a page); another page disagrees, so the lesser is taken", " (from a modulus measured at 45 deg, a page)"},
	} {
		assert.Equal(t, x.want, sourceText(x.source))
	}
	for _, f := range [][]pipeline.Finding{panelSag(panel.Panel{}, a, 0.1), tabLeftOut(panel.Panel{}, a, 9), transportShock(panel.Panel{}, a, 99), panelFrequency(panel.Panel{}, a, 99), breakForce(panel.Panel{}, a, 1), partStrain(panel.Panel{}, a, 1)} {
		require.NotEmpty(t, f)
		assert.Contains(t, f[0].Basis, "GPa")
	}
}

func TestTabStrengthNamesTheWeakestRow(t *testing.T) {
	a := reckoned()
	a.Tabs = append(a.Tabs, row1("B1", 2, 8, 1.5, 4))
	assert.Empty(t, tabStrength(panel.Panel{}, a, 1.5))
	f := tabStrength(panel.Panel{}, a, 1.9)
	require.Len(t, f, 1)
	assert.Equal(t, 1.5, *f[0].Measured)
	assert.Equal(t, "B1/tab/lower/1 is 1.5 times as strong as it is strained, in the oven: a moment of 12.3 N·mm over 0.6 mm³ (beside a twist of 3 N·mm) stresses its worst ligament to 267 MPa with the notch factor, "+
		"and it bears 400 MPa; at least 1.9 times are asked for", f[0].Message)
	// All tabs of a board are one finding, at the worst.
	a = reckoned()
	for i, reserve := range []float64{1.7, 2.4, 1.61, 1.9, 2.3} {
		a.Tabs = append(a.Tabs, row1(fmt.Sprintf("B%d", 2+i), 1, 8, reserve, 4))
	}
	p, err := row(weir(1), 2, 0).Build()
	require.NoError(t, err)
	f = tabStrength(panel.Panel{}, a, 2.3)
	require.Len(t, f, 1)
	assert.Equal(t, "B4/tab/lower/1", f[0].Feature)
	assert.Equal(t, 1.61, *f[0].Measured)
	assert.Equal(t, []string{"A1", "B1", "B2", "B4", "B5"}, f[0].Copies, "in the panel's order")
	assert.True(t, strings.HasSuffix(f[0].Message, "; likewise B2/tab/lower/1 1.7, B5/tab/lower/1 1.9, A1/tab/lower/1 2 and 1 other tab"), f[0].Message)
	a.Tabs[1].Copies = []string{"elsewhere"}
	f = tabStrength(p, a, 2.3)
	require.Len(t, f, 2, "those of another board, and those of waste alone, are told by themselves")
	assert.Equal(t, []string{"A1"}, f[0].Copies)
	a.Tabs = []mechanics.Tab{row1("A1", 1, 3, 0.5, 2)}
	assert.Contains(t, tabStrength(panel.Panel{}, a, 2)[0].Message, "A1/tab/lower/1 breaks: it is only 0.5 times as strong as it is strained")
	a.Tabs = []mechanics.Tab{row1("A1", 1, 3, 1.9971, 2)}
	assert.Contains(t, tabStrength(panel.Panel{}, a, 2)[0].Message, "A1/tab/lower/1 is 1.997 times as strong as it is strained", "not 2 of 2")
	// A tab that nothing strains has no figure.
	a.Tabs = []mechanics.Tab{row1("A1", 1, math.Inf(1), math.Inf(1), math.Inf(1)), {Tab: "B1/tab/lower/1"}}
	assert.Empty(t, tabStrength(panel.Panel{}, a, 1e9))
}

// The webs of score lines are judged with the tabs.
func TestWebsOfScoreLinesAreJudged(t *testing.T) {
	a := reckoned()
	web := func(id string, cold, hot float64) mechanics.Line {
		l := func(r float64) mechanics.RowLoad {
			return mechanics.RowLoad{Moment: -1.5, Stress: 345 / r, Strength: 345, Reserve: r}
		}
		return mechanics.Line{Score: id, At: geom.Pt(9*geom.MM, 9*geom.MM), Modulus: 0.0267, Loads: []mechanics.RowLoad{l(cold), l(hot), l(cold)}, Least: hot}
	}
	a.Tabs, a.Lines = nil, []mechanics.Line{web("score/y1", 5, 1.6), web("score/y2", 5.0001, 1.6001), web("score/y3", 2, 0.8)}
	assert.Empty(t, tabStrength(panel.Panel{}, a, 0.8))
	f := tabStrength(panel.Panel{}, a, 2)
	require.Len(t, f, 1)
	assert.Contains(t, f[0].Message, "the web of score/y3 breaks: it is only 0.8 times as strong as it is strained, in the oven")
	assert.True(t, strings.HasSuffix(f[0].Message, "; likewise score/y1 1.6, score/y2 1.6"), f[0].Message)
	a.Lines = a.Lines[:1]
	f = tabStrength(panel.Panel{}, a, 2)
	assert.Equal(t, "the web of score/y1 is 1.6 times as strong as it is strained, in the oven: a moment of 1.5 N·mm on each mm of it over 0.0267 mm³ stresses it to 216 MPa with the notch factor, and it bears 345 MPa; "+
		"at least 2 times are asked for", f[0].Message)
	assert.Equal(t, "score/y1", f[0].Feature)
	f = transportShock(panel.Panel{}, a, 20)
	require.Len(t, f, 1)
	assert.Contains(t, f[0].Message, "the web of score/y1 breaks by a jolt of 5 times the panel's own weight (69 MPa at rest, and it bears 345 MPa)")
}

func TestTabLeftOut(t *testing.T) {
	a := reckoned()
	assert.Empty(t, tabLeftOut(panel.Panel{}, a, 4))
	f := tabLeftOut(panel.Panel{}, a, 5)
	require.Len(t, f, 1, "alike")
	assert.Equal(t, "without A1/tab/lower/1 the panel sags 0.3 mm, cold, and C1/tab/lower/1 bears it with a strength of 4 times what it is strained; at least 5 times are asked for; likewise B1/tab/lower/1 4", f[0].Message)
	a.Tabs[1].Without = mechanics.Without{Falls: true, Reserve: 99}
	f = tabLeftOut(panel.Panel{}, a, 1)
	require.Len(t, f, 1)
	assert.Equal(t, "B1/tab/lower/1", f[0].Feature)
	assert.Zero(t, *f[0].Measured)
	assert.Equal(t, "without B1/tab/lower/1 a piece comes loose or turns freely: nothing else holds it", f[0].Message)
}

func TestTransportShockGoesByRest(t *testing.T) {
	a := reckoned()
	assert.Empty(t, transportShock(panel.Panel{}, a, 8), "in the oven nobody drops it")
	f := transportShock(panel.Panel{}, a, 20)
	require.Len(t, f, 1)
	assert.Equal(t, 8.0, *f[0].Measured)
	assert.Equal(t, "A1/tab/lower/1 breaks by a jolt of 8 times the panel's own weight (50 MPa at rest, and it bears 400 MPa); at least 20 times are asked for; likewise B1/tab/lower/1 8", f[0].Message)
}

func TestPanelFrequency(t *testing.T) {
	a := reckoned()
	assert.Empty(t, panelFrequency(panel.Panel{}, a, 33.33))
	f := panelFrequency(panel.Panel{}, a, 34)
	require.Len(t, f, 1)
	assert.Equal(t, 33.33, *f[0].Measured)
	assert.Equal(t, "carried at its upper and lower edges, the panel swings 33.3 times a second at its slowest, less than 34 Hz; its next frequencies are 41, 77.8, 90 Hz", f[0].Message)
}

func TestBreakForceGoesByStrongMaterial(t *testing.T) {
	a := reckoned()
	assert.Empty(t, breakForce(panel.Panel{}, a, 45))
	f := breakForce(panel.Panel{}, a, 30)
	require.Len(t, f, 2)
	assert.Equal(t, "breaking all tabs along one edge of A1 at once takes about 20 to 40 N, from weak material to strong, of a hand 20 mm from the line (a moment of 400 to 800 N·mm); "+
		"judged is strong material: more than 30 N; an estimate, the same for 1 other place. Where hands are not enough: a jig, a parting tool, more or wider holes, or fewer tabs there", f[0].Message)
	assert.Equal(t, 40.0, *f[0].Measured)
	assert.Equal(t, pipeline.Note, f[0].Severity, "weak material keeps the limit")
	assert.Equal(t, []string{"A1", "B1"}, f[0].Copies)
	assert.Contains(t, f[1].Message, "breaking score/y1 takes about 20 to 45 N")
	assert.True(t, strings.HasSuffix(f[1].Message, "an estimate. Where hands are not enough: a jig, a parting tool, or a thinner web, as thin as the fabricator's tolerance allows"), f[1].Message)
	f = breakForce(panel.Panel{}, a, 15)
	require.Len(t, f, 3)
	assert.Equal(t, []pipeline.Severity{pipeline.Note, "", ""}, []pipeline.Severity{f[0].Severity, f[1].Severity, f[2].Severity}, "weak material too: the recipe's own")
	assert.True(t, strings.HasSuffix(f[0].Message, "or more or wider holes"), f[0].Message)
	// The rule's own limit is said to be from memory.
	a.Breaks[0].Force = [2]float64{50, 70}
	assert.Contains(t, breakForce(panel.Panel{}, a, handForce)[0].Message, "more than the 60 N that two hands give (from memory); an estimate")
}

// What is cut off by a tool takes no hand.
func TestBreakForceLeavesOutWhatIsCut(t *testing.T) {
	a := reckoned()
	a.Breaks[3].Cut = true
	assert.Empty(t, breakForce(panel.Panel{}, a, 40.1))
}

func TestPartStrainIsToldForEachBoard(t *testing.T) {
	a := reckoned()
	p, err := row(weir(1), 2, 0).Build()
	require.NoError(t, err)
	assert.Empty(t, partStrain(p, a, 900.1))
	f := partStrain(p, a, 200)
	require.Len(t, f, 1)
	assert.Equal(t, "A1/part/C3", f[0].Feature)
	assert.Equal(t, []string{"A1", "B1"}, f[0].Copies)
	assert.Equal(t, "breaking A1/tab/lower/1 strains board weir beneath C3, 2 mm away, by about 320 to 900 microstrain, from weak material to strong; judged is strong material: more than 200; "+
		"an estimate, uncalibrated; weak material does so too", f[0].Message)
	assert.Equal(t, 900.0, *f[0].Measured)
	assert.Empty(t, f[0].Severity, "the recipe's own")
	f = partStrain(p, a, 100)
	require.Len(t, f, 1)
	assert.True(t, strings.HasSuffix(f[0].Message, "uncalibrated; so it does beneath U1 40 to 120; weak material does so beneath 1 of the 2 parts"), f[0].Message)
	assert.Empty(t, f[0].Severity)
	for i := range 20 {
		s := a.Parts[3]
		s.Refdes = "R" + string(rune('A'+i))
		a.Parts = append(a.Parts, s)
	}
	assert.Contains(t, partStrain(p, a, 100)[0].Message, "beneath U1 40 to 120, RA 40 to 120, RB 40 to 120, RC 40 to 120, RD 40 to 120, RE 40 to 120, RF 40 to 120 and 14 other parts; weak")
}

// What only strong material strains too much may well not be so: it is a note.
func TestPartStrainByStrongMaterialAloneIsANote(t *testing.T) {
	a := reckoned()
	p, err := row(weir(1), 2, 0).Build()
	require.NoError(t, err)
	f := partStrain(p, a, 320)
	require.Len(t, f, 1)
	assert.Equal(t, pipeline.Note, f[0].Severity)
	assert.True(t, strings.HasSuffix(f[0].Message, "; weak material stays below that"), f[0].Message)
	// Another part decides where it is not the worst by strong material: a score line's web scatters more than a tab's.
	a.Parts = append(a.Parts, mechanics.Strained{Copy: "A1", Refdes: "L2", Break: "A1/tab/lower/1", Strain: 800, Least: 400})
	f = partStrain(p, a, 320)
	assert.Empty(t, f[0].Severity)
	assert.True(t, strings.HasSuffix(f[0].Message, "L2 400 to 800; weak material does so beneath 1 of the 2 parts"), f[0].Message)
}

// The limit of strain at 10^4 microstrain a second: 848 at 1.6 mm (trade table worked out from the formula), so √(2.35/0.8) × 700
// = 1200 at 0.8 mm.
func TestStrainLimitByThickness(t *testing.T) {
	for um, want := range map[geom.Length]float64{1600: 848, 800: 1200, 2350: 700} {
		b := weir(1)
		b.Thickness = um * geom.UM
		p, err := row(b, 1, 0).Build()
		require.NoError(t, err)
		v, source := strainLimit(p)
		require.NotNil(t, v)
		assert.Equal(t, want, *v)
		assert.Contains(t, source, "from memory")
	}
	v, _ := strainLimit(panel.Panel{})
	assert.Nil(t, v)
}

func TestFieldsKeepTheLimitOfSag(t *testing.T) {
	a := reckoned()
	a.Shapes = []mechanics.Shape{{ID: "sag/cold", Title: "Sag, cold", Unit: "mm", Values: []float64{0.1}, Step: geom.MM, Columns: 1, Rows: 1, Source: "by finite elements"}, {ID: "stress", Unit: "MPa"}}
	f := fieldsOf(a, 0.75)
	require.Len(t, f, 2)
	assert.Equal(t, 0.75, *f[0].Most, "0.75 % of 100 mm")
	assert.Equal(t, pipeline.OnTheLine, f[0].Moment)
	assert.Nil(t, f[1].Most)
}

// What stage support sets holds where the rules stage sets nothing.
func TestLimitsOfTheSupport(t *testing.T) {
	p, err := row(weir(1), 1, 0).Build()
	require.NoError(t, err)
	sag, reserve := 0.5, 3.0
	s, err := p.Edit().SetSupport(panel.Support{MostSag: &sag, LeastReserve: &reserve}).Build()
	require.NoError(t, err)
	for _, c := range []struct {
		name       string
		plain, own float64
		source     string
	}{
		{"panel-sag", 0.75, 0.5, "stage support, most_sag"}, {"tab-strength", 2, 3, "stage support, least_reserve"}, {"panel-frequency", 20, 20, "from memory"},
	} {
		for _, r := range All() {
			if r.Name != c.name {
				continue
			}
			v, _ := r.DefaultFor(p)
			assert.Equal(t, c.plain, *v, c.name)
			v, source := r.DefaultFor(s)
			assert.Equal(t, c.own, *v, c.name)
			assert.Contains(t, source, c.source)
		}
	}
}

// Without a support nothing is said of holding, and it is told why.
func TestWithoutASupport(t *testing.T) {
	p, err := row(weir(1), 1, 0).Build()
	require.NoError(t, err)
	n := 0
	for _, r := range All() {
		if r.Missing == nil {
			continue
		}
		n++
		why, err := r.Missing(t.Context(), pipeline.Case{Panel: p, Limit: 1, Workers: 1})
		require.NoError(t, err)
		assert.Equal(t, "no stage support says how the panel is carried", why, r.Name)
		found, err := r.Judge(t.Context(), pipeline.Case{Panel: p, Limit: 1, Workers: 1})
		require.NoError(t, err)
		assert.Empty(t, found, r.Name)
	}
	assert.Equal(t, 6, n)
}
