package thieving_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/fiducials"
	"panelwright/stages/scorelines"
	"panelwright/stages/thieving"
	"panelwright/stages/toolingholes"
)

// One board of 60 × 40 mm, rails of 10 mm above and below, 2 mm away: the panel is 60 × 64 mm and the upper rail
// lies from y = 54 to 64. Dots of 1.5 mm, 0.5 mm off the panel's edge: middles from x = 1.25 to 58.75, that is
// 57.5 mm, 28 pitches of 2 mm and 1.5 mm left over, half of it at each end. Up to y = 62.75; from y = 54 where
// there is no slot (8.75 mm, 5 rows), and from 54 + 0.5 + 0.75 = 55.25 where there is one (7.5 mm, 4 rows).
func TestDotsOnARailCountedByHand(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper, panel.Lower)
	slotted, err := p.Edit().AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: at(0, 52), Max: at(60, 54)})}}).Build()
	require.NoError(t, err)
	for name, c := range map[string]struct {
		p           panel.Panel
		rows        int
		first, last geom.Point
	}{
		"no slot": {p, 5, at(2, 54.375), at(58, 62.375)},
		"slot":    {slotted, 4, at(2, 56), at(58, 62)}, // 1.5 mm are left over across, too
	} {
		t.Run(name, func(t *testing.T) {
			s := stage()
			out := shape(t, s, c.p)
			x, ok := of(out, panel.Thieving)["thieving/rail/upper"]
			require.True(t, ok)
			require.Len(t, x.Dots, 29*c.rows)
			assert.Equal(t, c.first, x.Dots[0].At)
			assert.Equal(t, c.last, x.Dots[len(x.Dots)-1].At)
			var on []string
			for _, f := range x.Layers {
				on = append(on, f.Key())
			}
			assert.Equal(t, []string{"copper-1-top", "copper-2-inner", "copper-3-inner", "copper-4-bottom"}, on)
			objects(t, out, s, 1e-9)
		})
	}
}

// The same rail with crossed lines 0.5 mm wide: the middle of the panel is (30, 32), so level lines lie at
// y = 56, 58, 60 and 62, from x = 0.75 to 59.25; upright ones at x = 2, 4 … 58, from y = 54 + 0.5 + 0.25 to
// 64 − 0.5 − 0.25 mm.
func TestLinesOnARailCountedByHand(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper, panel.Lower)
	p, err := p.Edit().AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: at(0, 52), Max: at(60, 54)})}}).Build()
	require.NoError(t, err)
	s := stage(lines)
	x := of(shape(t, s, p), panel.Thieving)["thieving/rail/upper"]
	require.Len(t, x.Lines, 4+29)
	for i, l := range x.Lines {
		want := geom.Line(at(0.75, 56+2*float64(i)), at(59.25, 56+2*float64(i)))
		if i >= 4 {
			want = geom.Line(at(float64(2*(i-3)), 54.75), at(float64(2*(i-3)), 63.25))
		}
		assert.Equal(t, geom.Path{want}, l.Path)
		assert.Equal(t, 500*geom.UM, l.Width)
	}
}

// Tabs, islands and the frame, rounded panel corners, boards turned by an odd angle, and score lines.
func TestNothingComesNearerThanAsked(t *testing.T) {
	all := []panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}
	marked := func(p panel.Panel) panel.Panel {
		p = shape(t, fiducials.Kind().New(), shape(t, toolingholes.Kind().New(), p))
		label := panel.Print{ID: "legend/label", Use: panel.LabelArea, Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Top}}}
		label.Area = geom.Box{Min: p.Outline().Box().Min.Add(at(30, 2)), Max: p.Outline().Box().Min.Add(at(37, 6))}
		p, err := p.Edit().AddPrint(label).Build()
		require.NoError(t, err)
		return p
	}
	notch := polygon(0, 0, 60, 0, 60, 25, 30, 25, 30, 50, 0, 50)
	for name, p := range map[string]panel.Panel{
		"tabs":          shape(t, breakofftabs.Kind().New(), marked(framed(t, aBoard(rectangle(40, 30)), 2, 2, 2*mm, 0, 3*mm, all...))),
		"islands":       shape(t, breakofftabs.Kind().New(), marked(framed(t, aBoard(notch), 2, 2, 2*mm, 0, 0, all...))),
		"turned":        marked(framed(t, aBoard(rectangle(40, 30)), 2, 1, 3*mm, 17*geom.Degree, 5*mm, all...)),
		"quarter turns": shape(t, breakofftabs.Kind().New(), marked(framed(t, aBoard(notch), 2, 2, 2*mm, geom.Quarter, 1*mm, all...))),
		"discs":         shape(t, breakofftabs.Kind().New(), marked(framed(t, aBoard(disc(15*mm)), 2, 2, 2*mm, 0, 2*mm, all...))),
		"laminate":      shape(t, spaced(), marked(framed(t, aBoard(rectangle(40, 30)), 2, 2, 12*mm, 0, 0, panel.Upper, panel.Lower))),
		"scored":        shape(t, scorelines.Kind().New(), marked(framed(t, aBoard(rectangle(40, 30)), 2, 2, 0, 0, 0, panel.Upper, panel.Lower))),
	} {
		for pattern, change := range map[string]func(*thieving.Thieving){"dots": func(*thieving.Thieving) {}, "lines": lines} {
			t.Run(name+" "+pattern, func(t *testing.T) {
				s := stage(change)
				out := shape(t, s, p)
				assert.Greater(t, objects(t, out, s, 1e-3), 50)
				spread(t, out, s.DotPitch)
			})
		}
	}
}

// spaced scores boards 12 mm apart, of which 6 mm of blank laminate stay on each.
func spaced() *scorelines.ScoreLines {
	s := scorelines.Kind().New().(*scorelines.ScoreLines)
	leave := 6 * mm
	s.Leave = &leave
	return s
}

// Blank laminate that stays on boards is not filled, though it is wide enough: between boards nothing is, and beside
// the rails only their side of the line, which comes off with them.
func TestLaminateThatStaysOnBoardsIsNotFilled(t *testing.T) {
	p := shape(t, spaced(), framed(t, aBoard(rectangle(40, 30)), 2, 2, 12*mm, 0, 0, panel.Upper, panel.Lower))
	require.NotEmpty(t, p.Blanks())
	low, high := p.Outline().Box().Max.Y, geom.Length(0) // of the level lines beside the rails
	for _, x := range p.Scores() {
		if x.From.Y == x.To.Y {
			low, high = min(low, x.From.Y), max(high, x.From.Y)
		}
	}
	beside := 0
	for id, x := range of(shape(t, stage(), p), panel.Thieving) {
		for _, d := range x.Dots {
			assert.True(t, d.At.Y < low || d.At.Y > high, "%s: %v", id, d.At)
		}
		if strings.HasPrefix(id, "thieving/waste/") {
			beside++
		}
	}
	assert.Equal(t, 2, beside)
}

func disc(r geom.Length) geom.Outline {
	from := geom.Pt(r, 0)
	return geom.Outline{Outer: geom.Path{geom.Arc(from, from, geom.Point{}, geom.CounterClockwise)}}
}

// Boards of random outline, gaps, distances and patterns.
func TestRandomPanelsKeepTheirDistances(t *testing.T) {
	done := 0
	for seed := range uint64(24) {
		r := rand.New(rand.NewPCG(seed, 5))
		um := func(lo, hi int) geom.Length { return geom.Length(lo+r.IntN(hi-lo+1)) * geom.UM }
		s := stage()
		s.DotPitch, s.LinePitch = um(1300, 3000), um(900, 3000)
		s.DotDiameter, s.LineWidth = um(300, 1200), um(100, 800)
		s.FromBoard, s.FromBreak, s.FromPanelEdge, s.FromHole, s.FromMark = um(0, 1500), um(100, 1200), um(0, 1200), um(0, 700), um(0, 500)
		if seed%2 == 1 {
			lines(s)
		}
		turn := geom.Angle(r.IntN(4)) * geom.Quarter
		all := []panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}
		p := framed(t, aBoard(randomOutline(r)), 1+r.IntN(2), 1+r.IntN(2), um(2000, 6000), turn, um(0, 4000), all...)
		p = shape(t, toolingholes.Kind().New(), shape(t, fiducials.Kind().New(), p))
		cut, err := tried(breakofftabs.Kind().New(), p)
		if err != nil {
			continue // an outline that no tab holds is another stage's matter
		}
		assert.Positive(t, objects(t, shape(t, s, cut), s, 1e-3), "seed %d", seed)
		done++
	}
	require.Greater(t, done, 15, "too few of the panels could be looked at")
}

// randomOutline gives a rectangle, rounded or with a notch at a corner or a side, or a disc.
func randomOutline(r *rand.Rand) geom.Outline {
	w, h := 20+40*r.Float64(), 20+30*r.Float64()
	x, y := w*(0.3+0.3*r.Float64()), h*(0.3+0.3*r.Float64())
	switch r.IntN(4) {
	case 0:
		return geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Max: at(w, h)}, geom.Length(r.IntN(8))*mm)}
	case 1:
		return disc(geom.FromMM(w / 2.5))
	case 2:
		return polygon(0, 0, w, 0, w, y, x, y, x, h, 0, h)
	}
	return polygon(0, 0, w, 0, w, h, w-x/2, h, w-x/2, y, x/2, y, x/2, h, 0, h)
}

func polygon(c ...float64) geom.Outline {
	var p geom.Path
	for i := 0; i < len(c); i += 2 {
		k := (i + 2) % len(c)
		p = append(p, geom.Line(at(c[i], c[i+1]), at(c[k], c[k+1])))
	}
	return geom.Outline{Outer: p}
}

// What a board's files draw beyond its edge, and holes there, are kept off as the board is: a stroke of a 1 mm pen
// that runs 5 mm into the lower rail, and a hole of 2 mm in the upper one.
func TestDataBeyondTheBoardIsKeptOff(t *testing.T) {
	b := aBoard(rectangle(60, 40))
	b.Layers[1].Image.Apertures = append(b.Layers[1].Image.Apertures, artwork.Aperture{Shape: artwork.Circle, Width: mm})
	b.Layers[1].Image.Objects = append(b.Layers[1].Image.Objects, artwork.Object{Kind: artwork.Stroke, Aperture: 1, Region: -1, Edge: geom.Line(at(20, 5), at(20, -7))})
	b.Drills = []panel.DrillFile{{From: 1, To: 4, Plating: artwork.NonPlated, Drilling: &artwork.Drilling{Sets: []artwork.Attributes{nil},
		Tools: []artwork.Tool{{Number: 1, Diameter: 2 * mm}}, Holes: []artwork.Hole{{At: at(30, 47)}, {At: at(10, 10)}}}}}
	p := framed(t, b, 1, 1, 2*mm, 0, 0, panel.Upper, panel.Lower)
	for _, s := range []*thieving.Thieving{stage(), stage(lines)} {
		out := shape(t, s, p)
		objects(t, out, s, 1e-9)
		near := math.Inf(1)
		stroke := []xy{{20, 17}, {20, 5}} // on the panel, the board's lower left corner is at (0, 12)
		for _, x := range of(out, panel.Thieving) {
			for _, d := range x.Dots {
				q := xy{d.At.X.MM(), d.At.Y.MM()}
				near = min(near, q.to(stroke[0], stroke[1])-0.5-d.Diameter.MM()/2)
				assert.GreaterOrEqual(t, math.Hypot(q.x-30, q.y-59)-1-d.Diameter.MM()/2, s.FromHole.MM())
			}
			for _, l := range x.Lines {
				a, b := l.Path[0].From, l.Path[0].To
				near = min(near, apart(stroke[0], stroke[1], xy{a.X.MM(), a.Y.MM()}, xy{b.X.MM(), b.Y.MM()})-0.5-l.Width.MM()/2)
				assert.GreaterOrEqual(t, xy{30, 59}.to(xy{a.X.MM(), a.Y.MM()}, xy{b.X.MM(), b.Y.MM()})-1-l.Width.MM()/2, s.FromHole.MM()-1e-6)
			}
		}
		assert.GreaterOrEqual(t, near, s.FromBoard.MM()-1e-6)
		assert.Less(t, near, s.FromBoard.MM()+s.DotPitch.MM(), "and filled right beside it")
	}
}

// Shares by hand: the panel is 60 × 64 mm = 3840 mm²; layer n carries a square of n mm, and dots of 1.5 mm, each
// 1.76715 mm²: 145 on each rail, and none between, where the boards are kept off.
func TestCopperSharesByHand(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper, panel.Lower)
	got := stagetest.Run(t, thieving.Kind(), "", p, nil)
	var want []panel.CopperShare
	for i, f := range []panel.Function{{Kind: panel.Copper, Side: panel.Top, Index: 1}, {Kind: panel.Copper, Side: panel.Inner, Index: 2},
		{Kind: panel.Copper, Side: panel.Inner, Index: 3}, {Kind: panel.Copper, Side: panel.Bottom, Index: 4}} {
		side := float64(i + 1)
		before := side * side / 3840
		after := before + 290*math.Pi*0.75*0.75/3840
		want = append(want, panel.CopperShare{Layer: f, Before: panel.Share(math.Round(before * 1e6)), After: panel.Share(math.Round(after * 1e6))})
		assert.Contains(t, got.Log, fmt.Sprintf(`"layer":"%s","before":"%s","after":"%s"`, f.Key(), want[i].Before.Percent(), want[i].After.Percent()))
		v := got.Values["thieving"].Index(ctyText(fmt.Sprintf("copper-%d", i+1)))
		assert.Equal(t, geom.Length(want[i].After).Decimal(), v.GetAttr("after").AsBigFloat().Text('f', -1))
	}
	assert.Equal(t, want, got.Panel.CopperShares())
}

// Lines that cross cover what they share once: 4 level lines 58.5 mm long and 29 upright ones 8.5 mm long, each
// with a round end of 0.25 mm at both ends, less 4 × 29 squares of 0.5 mm where they cross.
func TestCrossedLinesCountOnce(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper, panel.Lower)
	p, err := p.Edit().AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: at(0, 52), Max: at(60, 54)})}}).
		AddSlot(panel.Slot{ID: "slot/2", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: at(0, 10), Max: at(60, 12)})}}).Build()
	require.NoError(t, err)
	out := shape(t, stage(lines), p)
	rail := 4*(58.5*0.5) + 29*(8.5*0.5) + 33*math.Pi*0.25*0.25 - 4*29*0.25
	assert.InDelta(t, (1+2*rail)/3840*1e6, float64(out.CopperShares()[0].After), 2)
}

// With mask = "open" the mask has an opening over each rail that was filled, on both sides; it keeps off what the
// copper keeps off, and holds every dot.
func TestMaskOverTheRails(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper, panel.Lower)
	p = shape(t, fiducials.Kind().New(), p)
	assert.Empty(t, of(shape(t, stage(), p), panel.RailMask))
	s := stage(open)
	out := shape(t, s, p)
	masks := of(out, panel.RailMask)
	require.Len(t, masks, 2)
	for name, x := range masks {
		require.Len(t, x.Layers, 2)
		assert.Equal(t, []string{"mask-top", "mask-bottom"}, []string{x.Layers[0].Key(), x.Layers[1].Key()})
		area := 0.0
		for _, a := range x.Areas {
			assert.Positive(t, a.Area())
			area += a.Area() / 1e12
		}
		// 59 mm along, 9.5 mm across, less the discs of the fiducials' clear areas and 0.25 mm round them.
		discs := map[string]float64{"rail_mask/rail/upper": 1, "rail_mask/rail/lower": 2}[name]
		assert.InDelta(t, 59*9.5-discs*math.Pi*1.75*1.75, area, 0.01, name)
		for _, d := range of(out, panel.Thieving)["thieving"+strings.TrimPrefix(name, "rail_mask")].Dots {
			in := 0
			for _, a := range x.Areas {
				if a.Locate(d.At) != geom.Outside {
					in++
				}
			}
			assert.Positive(t, in, "%v lies below the mask", d.At)
		}
	}
	bare := aBoard(rectangle(60, 40))
	bare.Layers = bare.Layers[:4]
	assert.Empty(t, of(shape(t, stage(open), framed(t, bare, 1, 1, 2*mm, 0, 0, panel.Upper)), panel.RailMask), "a board without a mask gets none")
}

// Below legend the inner layers are filled where the recipe says so, the outer ones never.
func TestInnerLayersBelowPrints(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper)
	label := panel.Print{ID: "legend/label", Use: panel.LabelArea, Area: geom.Box{Min: at(20, 44), Max: at(40, 50)}, Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Top}}}
	p, err := p.Edit().AddPrint(label).Build()
	require.NoError(t, err)
	kept := of(shape(t, stage(), p), panel.Thieving)["thieving/rail/upper"]
	require.Len(t, kept.Layers, 4)
	out := of(shape(t, stage(func(s *thieving.Thieving) { s.UnderPrints = "inner" }), p), panel.Thieving)
	assert.Equal(t, kept.Dots, out["thieving/rail/upper"].Dots)
	assert.Len(t, out["thieving/rail/upper"].Layers, 2)
	assert.Len(t, out["thieving/rail/upper/inner"].Layers, 2)
	assert.Greater(t, len(out["thieving/rail/upper/inner"].Dots), len(kept.Dots)+20)
}

func TestRefusals(t *testing.T) {
	p := framed(t, aBoard(rectangle(60, 40)), 1, 1, 2*mm, 0, 0, panel.Upper)
	for options, want := range map[string]string{
		`dot_diameter = 2`: "dot_diameter must be less than dot_pitch, 2 mm",
		"pattern = \"crossed_lines\"\nline_width = 3": "line_width must be less than line_pitch, 2 mm",
		`pattern = "stripes"`:                         "stripes",
	} {
		assert.ErrorContains(t, stagetest.Fails(t, thieving.Kind(), options, p, nil), want)
	}
	bare := aBoard(rectangle(60, 40))
	bare.Layers = nil
	assert.ErrorContains(t, stagetest.Fails(t, thieving.Kind(), "", framed(t, bare, 1, 1, 2*mm, 0, 0, panel.Upper), nil), "no placed board has a copper layer")
	got := stagetest.Run(t, thieving.Kind(), "dot_diameter = 15\ndot_pitch = 20", p, nil)
	require.Len(t, got.Findings, 1)
	assert.Equal(t, "no-thieving", got.Findings[0].Rule)
}

// A panel of 500 × 400 mm with wide rails and waste, 2 mm pitch, is planned in well under a second, and its data
// stay small: a line a piece.
func TestALargePanelIsPlannedFast(t *testing.T) {
	p := framed(t, aBoard(rectangle(140, 100)), 3, 3, 15*mm, 0, 3*mm, panel.Upper, panel.Lower, panel.Left, panel.Right)
	p = shape(t, fiducials.Kind().New(), shape(t, toolingholes.Kind().New(), p))
	for _, s := range []*thieving.Thieving{stage(), stage(lines)} {
		begun := time.Now()
		out := shape(t, s, p)
		took := time.Since(begun)
		t.Log(out.SizeText(), s.Pattern, objects(t, out, s, 1e-3), took)
		assert.Less(t, took, 5*time.Second, "measured at a tenth of that")
		text, err := out.Data("p", "A")
		require.NoError(t, err)
		assert.Less(t, len(text), 400_000)
		back, _, _, err := panel.ReadData(text, out.Boards())
		require.NoError(t, err)
		assert.Equal(t, out.CopperShares(), back.CopperShares())
	}
}

// BenchmarkLargePanel plans dots 2 mm apart on a panel of 500 x 380 mm with nine boards.
func BenchmarkLargePanel(b *testing.B) {
	p := framed(b, aBoard(rectangle(140, 100)), 3, 3, 15*mm, 0, 3*mm, panel.Upper, panel.Lower, panel.Left, panel.Right)
	p = shape(b, fiducials.Kind().New(), shape(b, toolingholes.Kind().New(), p))
	for name, s := range map[string]*thieving.Thieving{"dots": stage(), "lines": stage(lines)} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				shape(b, s, p)
			}
		})
	}
}
