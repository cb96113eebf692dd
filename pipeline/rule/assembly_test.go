package rule

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

func mm(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// chip is a part of a class, its body length x width from the table.
func chip(refdes string, at geom.Point, turn geom.Angle, length, width float64, class panel.PartClass) panel.Part {
	p := panel.Part{Refdes: refdes, Package: "P", Side: panel.Top, At: at, Turn: turn,
		Body: panel.Body{By: panel.ByTable, Length: geom.FromMM(length), Width: geom.FromMM(width), Class: class}}
	if class != panel.NoClass {
		p.Body.ClassBy = panel.ByTable
	}
	return p
}

// with puts parts on a weir board.
func with(parts ...panel.Part) *panel.Board {
	b := weir(geom.MM)
	b.Parts = parts
	return b
}

func scoreAt(id string, from, to geom.Point) panel.Score {
	return panel.Score{ID: id, From: from, To: to, Depth: 650 * geom.UM, IncludedAngle: 30 * geom.Degree}
}

// Guesses never weigh more than a warning, and say so; what the table says weighs as the rule does.
func TestGuessesAreWarnings(t *testing.T) {
	line := scoreAt("score/x1", mm(40, 0), mm(40, 30))
	known := chip("C1", mm(37, 15), 0, 2, 1.25, panel.CeramicCapacitor)
	byName, byPads := known, known
	byName.Body.ClassBy = panel.ByName
	byPads.Body.ClassBy, byPads.Body.By, byPads.Body.Length = panel.ByName, panel.ByPads, 3*geom.MM
	for name, c := range map[string]struct {
		part panel.Part
		want pipeline.Severity
		says string
	}{
		"table": {known, "", "C1 (P, ceramic capacitor) of board weir lies 2 mm from score/x1, a score line, its long axis across it; at least 6.4 mm are asked for"},
		"name":  {byName, pipeline.Warning, "C1 (P, taken for a ceramic capacitor by its name) of board weir lies 2 mm from score/x1, a score line, its long axis across it; at least 6.4 mm are asked for"},
		"pads":  {byPads, pipeline.Warning, "at least 6.4 mm are asked for (its body is a guess from its pads)"},
	} {
		f := judge(t, "ceramic-capacitor-across-break", row(with(c.part), 1, 0).AddScore(line), 6.4)
		require.Len(t, f, 1, name)
		assert.Equal(t, c.want, f[0].Severity, name)
		assert.Contains(t, f[0].Message, c.says, name)
	}
	// A part of a class by the table is judged by its own rule alone; where the class is a guess its body is judged too.
	for _, c := range []struct {
		part panel.Part
		want int
	}{{known, 0}, {byName, 1}, {byPads, 0}, {chip("R1", mm(37, 15), 0, 2, 1, panel.NoClass), 1}} {
		assert.Len(t, judge(t, "part-near-break", row(with(c.part), 1, 0).AddScore(line), 3.2), c.want, "%v", c.part.Body)
	}
}

// What nothing is placed for is no part near a break, unless the table says a body.
func TestNothingIsPlacedForMarks(t *testing.T) {
	line := scoreAt("score/x1", mm(40, 0), mm(40, 30))
	for _, c := range []struct {
		refdes, pack string
		want         int
	}{{"FID1", "", 0}, {"U1", "Fiducial_1mm", 0}, {"TP3", "PAD-1.5", 0}, {"MH1", "", 0}, {"X", "TestPoint_Pad", 0}, {"TPS1", "SOT23", 1}, {"R1", "", 1}} {
		p := panel.Part{Refdes: c.refdes, Package: c.pack, Side: panel.Top, At: mm(38, 15)}
		assert.Len(t, judge(t, "part-near-break", row(with(p), 1, 0).AddScore(line), 3.2), c.want, c.refdes)
		p.Body = panel.Body{By: panel.ByTable, Length: geom.MM, Width: geom.MM}
		assert.Len(t, judge(t, "part-near-break", row(with(p), 1, 0).AddScore(line), 3.2), 1, "%s by the table", c.refdes)
	}
}

// Boards without placement, or with one in coordinates of its own, hear nothing about parts; nor do panels without breaks.
func TestNoPlacementNoFindings(t *testing.T) {
	near := []panel.Part{chip("C1", mm(39, 15), 0, 2, 1.25, panel.CeramicCapacitor), chip("J1", mm(40, 20), 0, 4, 4, panel.Connector), chip("L1", mm(39, 5), 0, 2, 2, panel.NoClass)}
	near[2].Body.Height = 12 * geom.MM
	elsewhere := with(near...)
	elsewhere.PartsElsewhere = true
	for _, r := range assemblyRules() {
		limit := 0.0
		if r.Default != nil {
			limit = *r.Default
		}
		for name, b := range map[string]*panel.Board{"none": weir(geom.MM), "elsewhere": elsewhere} {
			assert.Empty(t, judge(t, r.Name, row(b, 2, 0).AddScore(scoreAt("score/x1", mm(40, 0), mm(40, 30))), limit), "%s %s", r.Name, name)
		}
		if b := with(chip("C1", mm(20, 15), 0, 2, 1.25, panel.CeramicCapacitor)); true {
			assert.Empty(t, judge(t, r.Name, row(b, 1, 0), limit), "%s without a break", r.Name)
		}
	}
}

// A tab strains the copies that it holds, and no neighbour that happens to lie near.
func TestTabsStrainWhatTheyHold(t *testing.T) {
	tab := panel.Tab{ID: "A1/tab/right/1", Copies: []string{"A1"}, Rail: "waste/1", Width: 4 * geom.MM, Feet: [2]geom.Point{mm(40, 15), mm(41, 15)},
		Rows: []panel.Row{{Copies: []string{"A1"}, Line: geom.Path{geom.Line(mm(40.25, 13), mm(40.25, 17))}}}}
	b := with(chip("R1", mm(38, 15), 0, 2, 1, panel.NoClass), chip("R2", mm(2, 15), 0, 2, 1, panel.NoClass))
	f := judge(t, "part-near-break", row(b, 2, geom.MM).AddTab(tab), 3.2)
	require.Len(t, f, 1)
	assert.Equal(t, "A1/part/R1", f[0].Feature) // 40.25 - 39
	assert.InDelta(t, 1.25, *f[0].Measured, 1e-9)
	assert.Contains(t, f[0].Message, "the end of a tab that is cut off by hand", "there are no holes")
	tab.Copies = []string{"A1", "B1"}
	f = judge(t, "part-near-break", row(b, 2, geom.MM).AddTab(tab), 3.2)
	require.Len(t, f, 2) // and 42 - 40.25
	assert.InDelta(t, 1.75, *f[1].Measured, 1e-9)
	assert.Equal(t, []string{"B1"}, f[1].Copies)
}

// The direction of an arc is that of its tangent where it comes nearest.
func TestAcrossAnArc(t *testing.T) {
	arc := geom.Path{geom.Arc(mm(20, 0), mm(40, 20), mm(20, 20), geom.CounterClockwise)} // lower right quarter of a circle about (20, 20), 20 mm
	tab := panel.Tab{ID: "A1/tab/lower/1", Copies: []string{"A1"}, Rows: []panel.Row{{Copies: []string{"A1"}, Line: arc}}}
	// At 45 degrees the tangent runs up to the right; 3 mm within the circle.
	at := mm(20+17*math.Sqrt2/2, 20-17*math.Sqrt2/2)
	for turn, across := range map[geom.Angle]int{45 * geom.Degree: 0, 135 * geom.Degree: 1, 80 * geom.Degree: 0, 100 * geom.Degree: 1} {
		p := row(with(chip("C1", at, turn, 2, 1.25, panel.CeramicCapacitor)), 1, 0).AddTab(tab)
		assert.Len(t, judge(t, "ceramic-capacitor-across-break", p, 5), across, "turned by %v", turn)
	}
}

// TestNearBreaksByBruteForce holds the findings against distances worked out on the panel, copy by copy, for boards
// turned any way.
func TestNearBreaksByBruteForce(t *testing.T) {
	for seed := range int64(30) {
		r := rand.New(rand.NewSource(seed))
		var parts []panel.Part
		for i := range 12 {
			p := chip(fmt.Sprint("R", i), mm(r.Float64()*40, r.Float64()*30), geom.FromDegrees(float64(r.Intn(360))), 1+r.Float64()*5, 1+r.Float64()*3, panel.NoClass)
			if i%4 == 0 {
				p.Body = panel.Body{}
			}
			parts = append(parts, p)
		}
		b := with(parts...)
		e := panel.Panel{}.Edit().AddBoard(b)
		turns := []geom.Angle{0, geom.Quarter, geom.Half, 3 * geom.Quarter, 30 * geom.Degree}
		for i := range 6 {
			turn := turns[r.Intn(len(turns))]
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c1", 'A'+i), Board: b, Place: panel.Settle(b, turn, geom.Pt(geom.Length(i)*52*geom.MM, 0))})
		}
		e.FitOutline()
		for i := range 4 {
			x := r.Float64() * 300
			e.AddScore(scoreAt(fmt.Sprint("score/x", i), mm(x, 0), mm(x+r.Float64()*float64(i%2), 60)))
		}
		p, err := e.Build()
		require.NoError(t, err)
		const limit = 3.2
		want := map[string]float64{} // by part and copy
		for _, c := range p.Copies() {
			for _, q := range parts {
				var shape geom.Shape = c.Place.Apply(q.At)
				if body, ok := q.BodyOutline(); ok {
					shape = geom.Outline{Outer: c.Place.Path(body)}
				}
				for _, s := range p.Scores() {
					if d, _, _ := geom.Distance(shape, geom.Line(s.From, s.To)); d/1e6 < limit-0.001 {
						k := q.Refdes + " " + c.ID
						if was, ok := want[k]; !ok || d/1e6 < was {
							want[k] = d / 1e6
						}
					}
				}
			}
		}
		got := map[string]float64{}
		for _, f := range judge(t, "part-near-break", p.Edit(), limit) {
			assert.True(t, strings.HasPrefix(f.Feature, f.Copies[0]+"/part/"), "a waiver names %s with each of %v", f.Feature, f.Copies)
			for _, c := range f.Copies {
				_, refdes, _ := strings.Cut(f.Feature, "/part/")
				k := refdes + " " + c
				_, twice := got[k]
				assert.False(t, twice, k)
				got[k] = *f.Measured
			}
		}
		for k, v := range want {
			g, ok := got[k]
			assert.True(t, ok, "seed %d: %s at %v mm is not found", seed, k, v)
			assert.InDelta(t, v, g, 5e-6, "seed %d: %s", seed, k) // odd angles round each corner
		}
		for k, v := range got {
			if _, ok := want[k]; !ok {
				assert.InDelta(t, limit, v, 0.001, "seed %d: %s at %v mm is not there", seed, k, v)
			}
		}
	}
}

// TestMeetings: copies in an array meet in few ways, whatever their number.
func TestMeetings(t *testing.T) {
	b := weir(geom.MM)
	e := panel.Panel{}.Edit().AddBoard(b)
	for y := range 4 {
		for x := range 5 {
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+x, y+1), Board: b, Place: panel.Settle(b, 0, geom.Pt(geom.Length(x)*41*geom.MM, geom.Length(y)*31*geom.MM))})
		}
	}
	p, err := e.FitOutline().Build()
	require.NoError(t, err)
	room := func(b *panel.Board) geom.Box { return b.Outline.Box() }
	var counts []int
	for _, m := range meetings(p.Copies(), room, geom.MM) {
		counts = append(counts, len(m.pairs))
	}
	slices.Sort(counts)
	assert.Equal(t, []int{3 * 4, 3 * 4, 3 * 5, 4 * 4}, counts, "two diagonals, above, beside")
	assert.Empty(t, meetings(p.Copies(), room, 999*geom.UM))
	assert.Empty(t, meetings(p.Copies(), func(*panel.Board) geom.Box { return geom.EmptyBox() }, geom.MM))
}

// Bodies on copies that are turned about, and a body that hangs over both its neighbours.
func TestCollisionsOfTurnedCopies(t *testing.T) {
	// Its connector lies at the right edge; the second copy is turned by half a turn: connector against connector.
	b := with(chip("J1", mm(38, 10), 0, 4, 4, panel.Connector))
	place := func(second geom.Angle, gap geom.Length) *panel.Builder {
		return panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b, Place: panel.Settle(b, 0, geom.Point{})}).
			AddCopy(panel.Copy{ID: "B1", Board: b, Place: panel.Settle(b, second, geom.Pt(40*geom.MM+gap, -10*geom.MM))}).FitOutline()
	}
	assert.Empty(t, judge(t, "part-collision", place(0, 400*geom.UM), 0.5))
	f := judge(t, "part-collision", place(geom.Half, 400*geom.UM), 0.5) // the other's lies at y = -10 + 30 - 10 = 10 too
	require.Len(t, f, 1)
	assert.InDelta(t, 0.4, *f[0].Measured, 1e-9)
	assert.Equal(t, []string{"A1", "B1"}, f[0].Copies)
	b.Parts[0].Body.By = panel.ByPads
	assert.Empty(t, judge(t, "part-collision", place(geom.Half, 400*geom.UM), 0.5), "a guess of a body is no body")
}

// Where both stand out, the higher underside must clear the other's top: 3 - 2.
func TestOverOneAnother(t *testing.T) {
	high, low := chip("J1", mm(40, 10), 0, 4, 4, panel.Connector), chip("J2", mm(0, 10), 0, 4, 4, panel.Connector)
	high.Body.Height, high.Body.Underside = 8*geom.MM, 3*geom.MM
	low.Body.Height, low.Body.Underside = 2*geom.MM, geom.MM
	p := row(with(high, low), 2, 2*geom.MM)
	assert.Empty(t, judge(t, "part-over-part", p, 1))
	assert.Empty(t, judge(t, "part-collision", row(with(high, low), 2, 2*geom.MM), 0.5))
	f := judge(t, "part-over-part", row(with(high, low), 2, 2*geom.MM), 1.001)
	require.Len(t, f, 1)
	assert.InDelta(t, 1, *f[0].Measured, 1e-9)
	assert.Equal(t, "A1/part/J1", f[0].Feature)
	// Beside each other they do not meet: the neighbour's top lies lower than the underside.
	low.At = mm(3, 14.3)
	assert.Empty(t, judge(t, "part-collision", row(with(high, low), 2, 2*geom.MM), 0.5))
	low.Body.Height = 4 * geom.MM
	require.Len(t, judge(t, "part-collision", row(with(high, low), 2, 100*geom.UM), 0.5), 1)
}

// A line that jumps runs out past its end, and the blade with it.
func TestOverARunOut(t *testing.T) {
	b := with(chip("J1", mm(20, 30), 0, 4, 4, panel.Connector)) // 2 mm over the upper edge
	line := scoreAt("score/y1", mm(-20, 31), mm(10, 31))
	assert.Empty(t, judge(t, "part-over-edge", row(b, 1, 0).LayRails([]panel.RailSide{panel.Upper}, 5*geom.MM, 3*geom.MM, 0, false).AddScore(line), 0))
	line.RunOut = 8 * geom.MM
	f := judge(t, "part-over-edge", row(b, 1, 0).LayRails([]panel.RailSide{panel.Upper}, 5*geom.MM, 3*geom.MM, 0, false).AddScore(line), 0)
	require.Len(t, f, 1)
	assert.Contains(t, f[0].Message, "score/y1")
	assert.Empty(t, f[0].Severity, "no guess: it weighs as the rule does")
}

// TestHolesByBruteForce holds hole-to-hole and hole-to-slot against every pair on the panel.
func TestHolesByBruteForce(t *testing.T) {
	for seed := range int64(30) {
		r := rand.New(rand.NewSource(seed))
		b := weir(geom.MM)
		d := &artwork.Drilling{}
		for i := range 4 {
			d.Tools = append(d.Tools, artwork.Tool{Number: i + 1, Diameter: geom.Length(300+r.Intn(900)) * geom.UM})
		}
		for range 60 {
			d.Holes = append(d.Holes, artwork.Hole{Tool: int32(r.Intn(4)), At: mm(r.Float64()*40, r.Float64()*30)})
		}
		b.Drills = []panel.DrillFile{{Plating: artwork.NonPlated, From: 1, To: 2, Drilling: d}}
		e := panel.Panel{}.Edit().AddBoard(b)
		for i := range 4 {
			place := panel.Settle(b, []geom.Angle{0, geom.Half}[r.Intn(2)], geom.Pt(geom.Length(i%2)*40_100*geom.UM, geom.Length(i/2)*30_100*geom.UM))
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+i%2, i/2+1), Board: b, Place: place})
		}
		p, err := e.FitOutline().Build()
		require.NoError(t, err)
		const limit = 0.25
		under := func(v float64) bool { return v < limit-tolerance }
		// Of one board, and of every two copies.
		within, worst := 0, math.Inf(1)
		for i, x := range d.Holes {
			for _, y := range d.Holes[:i] {
				v := math.Round(x.At.Distance(y.At)-float64(d.Tools[x.Tool].Diameter+d.Tools[y.Tool].Diameter)/2) / 1e6
				if under(v) && !(x.Tool == y.Tool && v < 0) && x.At.Distance(y.At) > float64(samePlace) {
					within, worst = within+1, math.Min(worst, v)
				}
			}
		}
		between := map[[2]string]int{}
		all := p.Copies()
		for i, a := range all {
			for _, c := range all[i+1:] {
				for _, x := range d.Holes {
					for _, y := range d.Holes {
						v := a.Place.Apply(x.At).Distance(c.Place.Apply(y.At)) - float64(d.Tools[x.Tool].Diameter+d.Tools[y.Tool].Diameter)/2
						if under(math.Round(v) / 1e6) {
							between[[2]string{a.ID, c.ID}]++
						}
					}
				}
			}
		}
		pairs := 0
		for _, f := range judge(t, "hole-to-hole", p.Edit(), limit) {
			var n int
			_, err := fmt.Sscanf(f.Message, "%d", &n)
			require.NoError(t, err)
			if strings.Contains(f.Message, "of board weir:") {
				// Overlapping holes of one tool make one slot, and no hole of that slot is held to another: fewer than by pairs.
				assert.LessOrEqual(t, n, within, "seed %d", seed)
				assert.GreaterOrEqual(t, *f.Measured, worst, "seed %d", seed)
				continue
			}
			for k, m := range between {
				if slices.Contains(f.Copies, k[0]) && slices.Contains(f.Copies, k[1]) && len(f.Copies) == 2 {
					assert.Equal(t, m, n, "seed %d: %v", seed, k)
				}
			}
			pairs++
		}
		if len(between) > 0 {
			assert.Positive(t, pairs, "seed %d", seed)
		} else {
			assert.Zero(t, pairs, "seed %d", seed)
		}

		// Every hole of every copy against the panel's edge: the outer copies' outer edges.
		outline := p.Outline()
		near := map[string]int{}
		least := map[string]float64{}
		for _, c := range all {
			for _, x := range d.Holes {
				v := math.Round(outline.Distance(c.Place.Apply(x.At))-float64(d.Tools[x.Tool].Diameter)/2) / 1e6
				if !under(v) {
					continue
				}
				if was, ok := least[c.ID]; !ok || v < was {
					least[c.ID] = v
				}
				near[c.ID]++
			}
		}
		got := map[string]float64{}
		for _, f := range judge(t, "hole-to-slot", p.Edit(), limit) {
			for _, c := range f.Copies {
				got[c] = *f.Measured
			}
		}
		assert.Len(t, got, len(least), "seed %d", seed)
		for c, v := range least {
			assert.InDelta(t, v, got[c], 1e-6, "seed %d: %s with %d holes", seed, c, near[c])
		}
	}
}
