package mechanics

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/mechanics/sparse"
	"panelwright/pipeline/panel"
)

// Trial reckons a panel with any of its tabs left out without solving it anew: how the panel yields at all of its tabs is
// reckoned once with all of them, and each selection follows by the formula in change.go.
//
// For the joints that are left that is exact. Three things are not: what of a left-out tab stays standing on the board
// (where it is routed away the slot runs on); in the oven sag grows, and strength goes down, by the factors of the panel with all
// of its tabs; frequencies are those of lumped masses (swing.go). Correct takes out what of this is the same for selections
// that are alike; who wants to be sure asks Judge about the panel as it will be cut.
type Trial struct {
	// Problems keep the panel from being reckoned; then nothing else may be asked.
	Problems []Problem
	// All is what Judge says of the panel with all of its tabs.
	All Verdict

	m     *model
	span  float64 // mm
	force float64 // N
	hot   struct{ sag, strength float64 }
	// The rows: three relative motions of each joint, then what is watched.
	rows   int
	watch  []place
	press  [2]int // from which row to which the force presses in their places
	joints []trialJoint
	tabs   []trialTab
	masses []float64 // of the watched places, in tonnes
	held   []int     // pieces of the mesh that are carried
	boards []int     // pieces that are copies
	loose  bool      // pieces of waste hang on to boards by tabs alone

	// What follows is of the selection that was settled on last.
	c    []float64 // what each row yields to a unit force in each other, row by row
	cold []float64 // what each row does under the panel's weight
	away []bool    // joints
	keep []bool    // tabs
	wave []float64 // how it swings at its slowest, of the watched places, when that was last asked for

	off    struct{ sag, reserve, hertz float64 } // see Correct
	limits Limits                                // see Aim
}

// trialJoint is a joint as a trial sees it.
type trialJoint struct {
	tab      int
	pieces   [2]int
	stiff    [3][3]float64
	stress   [][3]float64 // rows that give stresses in MPa from its relative motion
	steepest float64      // the greatest length of those, with turns counted over reachOfTurn
	strength float64      // MPa
}

// reachOfTurn, in mm, makes turns comparable with ways in trialJoint.steepest; any will do.
const reachOfTurn = 1.0

// place is one on a copy whose deflection is followed: where it is pressed on, or a corner of its box.
type place struct {
	copy   int // index into the panel's copies
	middle bool
	column sparse.Column
}

// trialTab is a tab as a trial sees it.
type trialTab struct {
	id   string
	of   []int // joints that go when it is left out: those of its first row
	mine []int // all of its joints
}

// Limits are what a panel must keep.
type Limits struct {
	MostSag        float64 // % of the span, unloaded, cold and hot
	LeastReserve   float64 // strength over stress
	LeastFrequency float64 // Hz, cold
}

// Verdict is how a panel does with a selection of its tabs.
type Verdict struct {
	Falls   bool    // something comes loose
	Sag     float64 // % of the span, unloaded, cold or in the oven
	Reserve float64 // the least of any tab: under the weight, cold and in the oven, and cold where a copy is pressed on, whichever
	Worst   string  // the tab with the least reserve
	Hertz   float64 // the lowest natural frequency, cold; 0: not asked for
	Webs    float64 // the least reserve of the webs of score lines; 0: not asked for
	// Over is by how much limits are exceeded in all, of trials that Aim has told limits: the squares of the shares above 1 of
	// every tab and of every copy that sags. 0: none is.
	Over float64
}

// fell is the verdict on what does not hold.
var fell = Verdict{Falls: true, Sag: math.Inf(1), Over: math.Inf(1)}

// Share is how much of its limits a panel uses up: 1 is just within them. Of what was not asked for nothing is.
func (v Verdict) Share(l Limits) float64 {
	if v.Falls {
		return math.Inf(1)
	}
	share := 0.0
	if v.Sag > 0 {
		share = v.Sag / l.MostSag
	}
	if v.Reserve > 0 {
		share = math.Max(share, l.LeastReserve/v.Reserve)
	}
	if v.Hertz > 0 {
		share = math.Max(share, l.LeastFrequency/v.Hertz)
	}
	if v.Webs > 0 {
		share = math.Max(share, l.LeastReserve/v.Webs)
	}
	return share
}

// NewTrial reckons a panel with all of its tabs; a support must be stated for it. Errors are that ctx is done, or a fault of
// the geometry. The memory it takes is 8 bytes for every two of Rows. It is corrected by All.
func NewTrial(ctx context.Context, p panel.Panel, workers int) (*Trial, error) {
	m, err := build(ctx, p, *p.Support(), workers)
	if err != nil {
		return nil, err
	}
	t := &Trial{m: m, Problems: m.problems}
	t.off.sag, t.off.reserve, t.off.hertz = 1, 1, 1
	if len(m.problems) > 0 {
		return t, nil
	}
	r, err := m.solve(ctx, 1, workers)
	if err != nil {
		return nil, err
	}
	if x, ok := m.tips(r.states[0].right); ok {
		t.Problems = append(t.Problems, x)
		return t, nil
	}
	t.All = m.verdict(r)
	t.span = m.span().MM()
	if err := t.watched(r); err != nil {
		return nil, err
	}
	var columns []sparse.Column
	for _, j := range m.joints {
		for k := range 3 {
			columns = append(columns, j.relativeColumn(k))
		}
	}
	for _, w := range t.watch {
		columns = append(columns, w.column)
	}
	t.rows = len(columns)
	if t.c, err = r.cold.Gram(ctx, columns); err != nil {
		return nil, err
	}
	t.list(p, r)
	t.load(r)
	t.pieces()
	t.weigh()
	t.Correct(t.All)
	return t, ctx.Err()
}

// watched chooses what is followed on every copy: where it is pressed on, first of all copies, then the corners of its box.
func (t *Trial) watched(r *solved) error {
	for k := range 5 {
		for i, c := range t.m.p.Copies() {
			var triangle int32
			var at geom.Point
			var ok bool
			if b := c.Box(); k == 0 {
				triangle, at, ok = t.m.on(c)
			} else {
				triangle, at, ok = t.m.finder.nearest([...]geom.Point{b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y)}[k-1])
			}
			if !ok {
				continue
			}
			column, err := r.cold.Force(plate.Load{Triangle: triangle, X: at.X.MM(), Y: at.Y.MM(), Value: 1})
			if err != nil {
				return err
			}
			t.watch = append(t.watch, place{copy: i, middle: k == 0, column: column})
		}
	}
	return nil
}

// list takes down tabs and joints.
func (t *Trial) list(p panel.Panel, r *solved) {
	m := t.m
	t.tabs = make([]trialTab, len(p.Tabs()))
	for i, x := range p.Tabs() {
		t.tabs[i].id = x.ID
	}
	t.keep = make([]bool, len(t.tabs))
	for i := range t.keep {
		t.keep[i] = true
	}
	t.away = make([]bool, len(m.joints))
	first := m.firstBands()
	t.hot.strength = 1
	for i, j := range m.joints {
		b := &m.bands[j.band]
		x := trialJoint{tab: b.tab, stiff: r.against(i), stress: m.stressRows(j, r.rows[0][j.band]), strength: b.strength(m.stacks.laminate, false),
			pieces: [2]int{m.finder.piece(j.a[0].Node), m.finder.piece(j.b[0].Node)}}
		for _, s := range x.stress {
			x.steepest = math.Max(x.steepest, length3(s[0], s[1]/reachOfTurn, s[2]/reachOfTurn))
		}
		t.hot.strength = math.Min(1, b.strength(m.stacks.laminate, true)/x.strength)
		t.joints = append(t.joints, x)
		tab := &t.tabs[b.tab]
		tab.mine = append(tab.mine, i)
		if first[b.tab] == j.band {
			tab.of = append(tab.of, i)
		}
	}
}

func length3(a, b, c float64) float64 {
	return math.Sqrt(float64(a*a) + float64(b*b) + float64(c*c))
}

// load takes down what the panel does under its weight, and where it is pressed on: on every copy, or on the one that the
// support names.
func (t *Trial) load(r *solved) {
	cold := r.states[0].state
	for _, j := range t.m.joints {
		rel := j.relative(motionOf(j, cold))
		t.cold = append(t.cold, rel[:]...)
	}
	for i, w := range t.watch {
		sunk := 0.0
		for k, u := range w.column.At {
			sunk += float64(w.column.Val[k] * [...][]float64{cold.W, cold.P, cold.Q}[u%3][u/3])
		}
		t.cold = append(t.cold, sunk)
		if row := 3*len(t.m.joints) + i; t.m.support.Force.Value > 0 && w.middle && (t.m.support.Pressed == "" || t.m.support.Pressed == t.m.p.Copies()[w.copy].ID) {
			if t.press[1] == 0 {
				t.press[0] = row
			}
			t.press[1] = row + 1
		}
	}
	t.force = t.m.support.Force.Value
	sag := map[StateKind]float64{}
	for _, s := range r.states {
		sag[s.kind] = t.m.sag(s, t.m.span()).Sag
	}
	t.hot.sag = math.Max(1, sag[Hot]/math.Max(sag[Cold], 1e-12))
}

// pieces takes down what must hang together.
func (t *Trial) pieces() {
	for _, h := range t.m.held {
		if p := t.m.finder.piece(h.Node); t.m.kept[p] && !slices.Contains(t.held, p) {
			t.held = append(t.held, p)
		}
	}
	for _, p := range t.m.copyPieces() {
		if p >= 0 && !slices.Contains(t.boards, p) {
			t.boards = append(t.boards, p)
		}
	}
	tabs := map[int]int{} // of other pieces, the tab that they hang on to boards by
	for _, j := range t.joints {
		for _, p := range j.pieces {
			if slices.Contains(t.held, p) || slices.Contains(t.boards, p) {
				continue
			}
			if k, ok := tabs[p]; ok && k != j.tab {
				t.loose = true
			}
			tabs[p] = j.tab
		}
	}
}

// Rows is how many motions the trial follows: it takes 8 bytes for each two of them.
func (t *Trial) Rows() int { return t.rows }

// Overloaded lists the tabs, of those settled on, that keep less than the reserve that Aim has told.
func (t *Trial) Overloaded() []int {
	shares := make([]float64, len(t.tabs))
	t.judgeTabs(&change{}, t.keep, shares)
	var out []int
	for i, s := range shares {
		if s > 1 {
			out = append(out, i)
		}
	}
	return out
}

// Reserves gives the least reserve of each tab that was settled on; those that bear next to nothing have a great one.
func (t *Trial) Reserves() []float64 {
	c := *t
	c.limits.LeastReserve = highest
	out := make([]float64, len(t.tabs))
	c.judgeTabs(&change{}, t.keep, out)
	for i, s := range out {
		out[i] = highest
		if s > 1 {
			out[i] = highest / s
		}
	}
	return out
}

// Now tells how the panel does with the tabs that were settled on.
func (t *Trial) Now() Verdict { return t.judge(&change{}, t.keep) }

// Try tells how it would do with those tabs that keep names.
func (t *Trial) Try(keep []bool) Verdict {
	c, ok := t.to(keep)
	if !ok {
		return fell
	}
	return t.judge(c, keep)
}

// Settle takes tabs away, and puts tabs back, until those are left that keep names. It tells whether they hold the panel together; where they do
// not, nothing is changed.
func (t *Trial) Settle(keep []bool) bool {
	c, ok := t.to(keep)
	if !ok {
		return false
	}
	t.apply(c)
	t.keep = slices.Clone(keep)
	return true
}

// Aim tells a trial the limits that Verdict.Over goes by.
func (t *Trial) Aim(l Limits) { t.limits = l }

// Clone gives a trial of its own that stands where this one does.
func (t *Trial) Clone() *Trial {
	c := *t
	c.c, c.cold, c.away, c.keep, c.wave = slices.Clone(t.c), slices.Clone(t.cold), slices.Clone(t.away), slices.Clone(t.keep), slices.Clone(t.wave)
	return &c
}

// Correct makes Now say what v says, and changes what is said of all other selections by the same factors.
func (t *Trial) Correct(v Verdict) {
	t.off.sag, t.off.reserve, t.off.hertz = 1, 1, 1
	now := t.Now()
	by := func(want, have float64) float64 {
		if want > 0 && have > 0 && want < highest && have < highest {
			return want / have
		}
		return 1
	}
	sag, reserve, hertz := by(v.Sag, now.Sag), by(v.Reserve, now.Reserve), by(v.Hertz, t.Hertz(t.keep))
	t.off.sag, t.off.reserve, t.off.hertz = sag, reserve, hertz
}

// goneWithout tells which joints go where only those tabs stay that keep names, and whether all copies then hang together with what carries the
// panel. A piece of waste that no tab would hold any more will be routed away: it stays hanging on to one board, as a weight.
func (t *Trial) goneWithout(keep []bool) (away []bool, ok bool) {
	away = make([]bool, len(t.joints))
	for i := range t.tabs {
		if !keep[i] {
			for _, j := range t.tabs[i].of {
				away[j] = true
			}
		}
	}
	for {
		sets := disjoint.New(t.m.mesh.Pieces)
		for i, j := range t.joints {
			if !away[i] {
				sets.Join(j.pieces[0], j.pieces[1])
			}
		}
		held := make([]bool, t.m.mesh.Pieces)
		for _, p := range t.held {
			held[sets.Find(p)] = true
		}
		for _, p := range t.boards {
			if !held[sets.Find(p)] {
				return nil, false
			}
		}
		if !t.loose {
			return away, true
		}
		hung := false
		for i, j := range t.joints {
			if away[i] && held[sets.Find(j.pieces[0])] != held[sets.Find(j.pieces[1])] {
				for _, k := range t.tabs[j.tab].of {
					away[k] = false
				}
				hung = true
				break
			}
		}
		if !hung {
			return away, true
		}
	}
}
