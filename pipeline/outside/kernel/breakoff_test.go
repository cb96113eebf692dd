package kernel

import (
	"fmt"
	"io"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	tried "panelwright/pipeline/internal/outlines"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/stages/breakofftabs"
)

// planned is a panel of outlines with slots and tabs, everything in straight chords that stray from
// their arcs by no more than 0.1 µm: what we and others compute from is the same.
type planned struct {
	name                   string
	panel                  panel.Panel
	outline, boards, slots geom.Region
	cutOuts, holes, breaks geom.Region
}

// straight gives shapes in chords.
func straight(t testing.TB, shapes ...geom.Outline) geom.Region {
	t.Helper()
	r, err := overlay.Union(t.Context(), overlay.Options{KeepChords: true, ChordError: 100, Workers: 1}, overlay.Of(shapes...))
	require.NoError(t, err)
	return r
}

// plannedPanels are all named outlines that are held, alone and as 2 × 2 copies, in a frame, and some
// random ones.
func plannedPanels(t testing.TB) []planned {
	t.Helper()
	table := tried.Table()
	var out []planned
	for _, n := range tried.All() {
		want := table[n.Name]
		if want.Rule != "" {
			continue
		}
		out = append(out, planOne(t, n.Name, n.Outline, 1))
		if want.Array == "" {
			out = append(out, planOne(t, n.Name+" 2 x 2", n.Outline, 2))
		}
	}
	for seed := range uint64(12) {
		out = append(out, planOne(t, fmt.Sprintf("random %d", seed), tried.Random(seed), 1))
	}
	return out
}

func planOne(t testing.TB, name string, o geom.Outline, side int) planned {
	t.Helper()
	b := &panel.Board{Name: "gauge", CopperCount: 2, Outline: o}
	const gap = 2 * geom.MM
	size := o.Box()
	e := panel.Panel{}.Edit().AddBoard(b)
	for i := range side * side {
		at := geom.Pt(geom.Length(i%side)*(size.Width()+gap), geom.Length(i/side)*(size.Height()+gap))
		e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+i/side, i%side+1), Board: b, Place: panel.Settle(b, 0, at)})
	}
	in, err := e.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 8*geom.MM, gap, 0, false).Build()
	require.NoError(t, err)
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.New(io.Discard), Panel: "tried", Workers: 2}, func(pipeline.Finding) {}, func() []pipeline.Finding { return nil })
	got, err := breakofftabs.Kind().New().(*breakofftabs.BreakoffTabs).Run(t.Context(), env, in)
	require.NoError(t, err, name)
	p := planned{name: name, panel: got.Panel, outline: straight(t, got.Panel.Outline())}
	for _, c := range got.Panel.Copies() {
		p.boards = append(p.boards, straight(t, c.Outline())...)
		for _, x := range c.Outline().CutOuts {
			p.cutOuts = append(p.cutOuts, straight(t, geom.Outline{Outer: x.Reverse()})...)
		}
	}
	for _, s := range got.Panel.Slots() {
		p.slots = append(p.slots, straight(t, s.Outline)...)
	}
	for _, h := range got.Panel.Perforations() {
		from := geom.Pt(h.At.X+h.Diameter/2, h.At.Y)
		p.holes = append(p.holes, straight(t, geom.Outline{Outer: geom.Path{geom.Arc(from, from, h.At, geom.CounterClockwise)}})...)
	}
	for _, x := range got.Panel.Tabs() {
		for _, r := range x.Rows {
			p.breaks = append(p.breaks, straight(t, cutAlong(t, r.Line)...)...)
		}
	}
	return p
}

// cutAlong gives a cut along a row's line as wide as what the proof cuts, led on a little into the slots.
func cutAlong(t testing.TB, line geom.Path) geom.Region {
	t.Helper()
	cut, err := offset.Stroke(t.Context(), []geom.Path{line}, 40*geom.UM, offset.Options{End: offset.SquareEnd, Overlay: overlay.Options{Workers: 1}})
	require.NoError(t, err)
	return cut
}

// TestSlotsMaterialAndPieces: what is left of planned panels once slots and cut-outs are cut, once holes
// are drilled, and once it is broken along its rows: areas within the length of all edges times a nanometre,
// pieces and cut-outs alike. No slot takes anything of a board; broken, a panel comes apart into its boards
// and the rest.
func TestSlotsMaterialAndPieces(t *testing.T) {
	var jobs []job
	for _, p := range plannedPanels(t) {
		away := append(append(geom.Region{}, p.slots...), p.cutOuts...)
		drilled := append(append(geom.Region{}, away...), p.holes...)
		broken := append(append(geom.Region{}, drilled...), p.breaks...)
		jobs = append(jobs,
			job{name: p.name + ": slots", op: union, a: p.slots},
			job{name: p.name + ": material", op: difference, a: p.outline, b: away},
			job{name: p.name + ": drilled", op: difference, a: p.outline, b: drilled},
			job{name: p.name + ": broken", op: difference, a: p.outline, b: broken},
			job{name: p.name + ": slots in boards", op: intersection, a: p.boards, b: p.slots})
		in := answerOf(t, &jobs[len(jobs)-1])
		// Arcs that something cuts may come back in chords that stray by a micrometre.
		assert.LessOrEqual(t, in.Area(), p.boards.Perimeter()*float64(geom.UM), "%s: slots reach into boards", p.name)
		pieces := measure(answerOf(t, &jobs[len(jobs)-2]), jobs[len(jobs)-2].length())
		if len(p.panel.Tabs()) > 0 {
			assert.GreaterOrEqual(t, pieces.pieces-pieces.smallPieces, 1+len(p.panel.Copies()), "%s comes apart", p.name)
		}
	}
	hold(t, jobs, true)
}

// openingBound is how far the border of what a disc reaches may differ: twice our chord error and twice
// theirs, as the border is moved in and out, and as much again for what is rounded to the nanometre.
const (
	openingChord = 10 // nm
	openingBound = 2 * (openingChord + openingChord + 2)
)

// reachSimplified is where GEOS drops more corners of its input than the bound allows (see simplified): the
// area in nm² by which it may differ there.
var reachSimplified = map[string]float64{"ring, radius 0.9975 mm": 5e10} // the bound is 1.7e10

// TestReach: what a cutter reaches of the bands round all named outlines and twelve random ones, each
// band parted by four bars as by tabs. Areas differ by no more than the border's length times
// openingBound; so does the area in which the two differ.
func TestReach(t *testing.T) {
	var jobs []job
	o := offset.Options{Overlay: overlay.Options{Workers: 1, ChordError: openingChord}}
	all := tried.All()
	for seed := range uint64(12) {
		all = append(all, tried.Named{Name: fmt.Sprintf("random %d", seed), Outline: tried.Random(seed)})
	}
	var ours []geom.Region
	for _, n := range all {
		board := straight(t, geom.Outline{Outer: n.Outline.Outer})
		grown, err := offset.By(t.Context(), board, 2*geom.MM, o)
		require.NoError(t, err)
		box := board.Box()
		c := box.Center()
		bar := func(b geom.Box) geom.Outline { return geom.Outline{Outer: geom.Rectangle(b)} }
		band, err := overlay.Difference(t.Context(), overlay.Options{KeepChords: true, ChordError: 100, Workers: 1}, overlay.Of(grown...), overlay.Of(board...),
			overlay.Of(bar(geom.Box{Min: geom.Pt(c.X-2*geom.MM, box.Min.Y-3*geom.MM), Max: geom.Pt(c.X+2*geom.MM, box.Max.Y+3*geom.MM)})),
			overlay.Of(bar(geom.Box{Min: geom.Pt(box.Min.X-3*geom.MM, c.Y-2*geom.MM), Max: geom.Pt(box.Max.X+3*geom.MM, c.Y+2*geom.MM)})))
		require.NoError(t, err)
		for _, radius := range []geom.Length{997500, 497500, 250000} {
			j := job{name: fmt.Sprintf("%s, radius %v", n.Name, radius), op: opening, a: band, d: radius, chord: openingChord}
			j.bound = max(band.Perimeter()*openingBound, reachSimplified[j.name])
			reach, err := offset.Opening(t.Context(), band, radius, o)
			require.NoError(t, err)
			r, err := reach.Covered(t.Context(), o)
			require.NoError(t, err)
			j.ours, err = overlay.Union(t.Context(), overlay.Options{KeepChords: true, ChordError: openingChord, Workers: 1}, overlay.Of(r...))
			require.NoError(t, err)
			ours = append(ours, r)
			jobs = append(jobs, j)
		}
	}
	worst := 0.0
	for i, theirs := range geos(t, jobs) {
		j := &jobs[i]
		agree(t, "GEOS", j, measure(ours[i], j.bound), theirs)
		if j.bound > 0 {
			worst = max(worst, theirs.differs/j.bound)
		}
	}
	t.Logf("%d jobs; the greatest symmetric difference is %.2g of the bound", len(jobs), worst)
	shared.Ran(t, "kernel against GEOS: "+t.Name())
}

// TestDistancesOfPlans: from each perforation to its board and to the slots, from each board to the next
// and to the slots: within 1 µm.
func TestDistancesOfPlans(t *testing.T) {
	var jobs []job
	var ours []float64
	ask := func(name string, a, b geom.Region) {
		d, _, _ := geom.Distance(a, b)
		jobs, ours = append(jobs, job{name: name, op: distance, a: a, b: b}), append(ours, d)
	}
	for _, p := range plannedPanels(t) {
		for i, h := range p.panel.Perforations() {
			for k, c := range p.panel.Copies() {
				if c.ID == h.Copy {
					ask(p.name+": "+h.ID+" to its board", p.holes[i:i+1], p.boards[k:k+1])
				}
			}
			if i%5 == 0 {
				ask(p.name+": "+h.ID+" to the slots", p.holes[i:i+1], p.slots)
			}
		}
		for k := range p.boards {
			ask(fmt.Sprintf("%s: board %d to the slots", p.name, k), p.boards[k:k+1], p.slots)
			if k > 0 {
				ask(fmt.Sprintf("%s: board %d to the first", p.name, k), p.boards[k:k+1], p.boards[:1])
			}
		}
	}
	worst := 0.0
	for i, theirs := range geos(t, jobs) {
		assert.InDelta(t, theirs.area, ours[i], float64(geom.UM), jobs[i].name)
		worst = max(worst, theirs.area-ours[i], ours[i]-theirs.area)
	}
	t.Logf("%d distances; the greatest difference is %.3g nm", len(jobs), worst)
	shared.Ran(t, "kernel against GEOS: "+t.Name())
}
