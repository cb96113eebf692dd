package mechanics

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/panel"
)

// Trial reckons a panel with any of its tabs left out, without solving it anew: what the panel does under its weight and
// under the force on a copy is reckoned once with all tabs, and each selection follows by the formula in without.go. In
// the oven sag grows, and strength goes down, as they do for the panel with all of its tabs.
type Trial struct {
	m         *model
	f         *flexible
	Problems  []Problem
	limits    Limits
	loads     []trialLoad
	stress    [][][3]float64 // of each joint: rows that give stresses in MPa from its relative motion
	strength  []float64
	hotSag    float64 // sag in the oven over sag cold
	hotFactor float64 // strength in the oven over strength cold
	span      float64 // mm
	tabs      []string
	of        [][]int // joints of each tab that go when it is left out
	mine      [][]int // all joints of each tab
	gone      []bool  // tabs
	off       []bool  // joints of tabs that are gone
}

// trialLoad is one load: how joints and watched places move under it.
type trialLoad struct {
	relative [][3]float64
	watch    []float64
}

// Limits are what a panel must keep.
type Limits struct {
	MostSag        float64 // % of the span, unloaded, cold and hot
	LeastReserve   float64 // strength over stress
	LeastFrequency float64 // Hz, cold; a Trial does not know it
}

// Verdict is how a panel does with a selection of its tabs.
type Verdict struct {
	Falls   bool    // something comes loose
	Sag     float64 // % of the span, unloaded, in the oven
	Reserve float64 // the least, cold, hot or pressed
	Worst   string  // the tab with the least reserve
}

// Share is how much of its limits a panel uses: 1 is just within them.
func (v Verdict) Share(l Limits) float64 {
	if v.Falls {
		return math.Inf(1)
	}
	return math.Max(v.Sag/l.MostSag, l.LeastReserve/v.Reserve)
}

// NewTrial reckons a panel with all of its tabs; a support must be stated for it. Problems keep it from being reckoned.
func NewTrial(ctx context.Context, p panel.Panel, limits Limits, workers int) (*Trial, error) {
	m, err := build(ctx, p, *p.Support(), workers)
	if err != nil {
		return nil, err
	}
	t := &Trial{m: m, limits: limits, Problems: m.problems}
	if len(m.problems) > 0 {
		return t, nil
	}
	r, err := m.solve(ctx, 0, workers)
	if err != nil {
		return nil, err
	}
	t.span = m.span().MM()
	for _, x := range p.Tabs() {
		t.tabs = append(t.tabs, x.ID)
	}
	t.gone = make([]bool, len(t.tabs))
	t.of, t.mine, t.off = make([][]int, len(t.tabs)), make([][]int, len(t.tabs)), make([]bool, len(m.joints))
	first := m.firstBands()
	for i, j := range m.joints {
		k := m.bands[j.band].tab
		t.mine[k] = append(t.mine[k], i)
		if first[k] == j.band {
			t.of[k] = append(t.of[k], i)
		}
	}
	if t.f, err = m.flexibility(ctx, r); err != nil {
		return nil, err
	}
	sag := map[StateKind]float64{}
	for _, s := range r.states {
		sag[s.kind] = m.sag(s, m.span()).Sag
		if s.kind == Hot {
			continue
		}
		l := trialLoad{}
		for _, j := range m.joints {
			l.relative = append(l.relative, j.relative(motionOf(j, s.state)))
		}
		for _, w := range t.f.watch {
			l.watch = append(l.watch, s.state.W[w.node])
		}
		t.loads = append(t.loads, l)
	}
	t.hotSag = sag[Hot] / math.Max(sag[Cold], 1e-12)
	for _, j := range m.joints {
		b := &m.bands[j.band]
		t.strength = append(t.strength, b.strength(m.stacks.laminate, false))
		t.hotFactor = b.strength(m.stacks.laminate, true) / b.strength(m.stacks.laminate, false)
		t.stress = append(t.stress, m.stressRows(j, r.rows[0][j.band]))
	}
	return t, nil
}

// Tabs gives the ids of the tabs, in the panel's order.
func (t *Trial) Tabs() []string { return t.tabs }

// Gone tells whether a tab has been left out.
func (t *Trial) Gone(tab int) bool { return t.gone[tab] }

// Now tells how the panel does with the tabs that are left.
func (t *Trial) Now() Verdict { return t.judge(nil, nil, nil) }

// Without tells how the panel would do with one tab less.
func (t *Trial) Without(tab int) Verdict {
	if t.falls(tab) {
		return Verdict{Falls: true, Sag: math.Inf(1)}
	}
	skip := map[int]bool{}
	for _, j := range t.mine[tab] {
		skip[j] = true
	}
	if len(t.of[tab]) == 0 {
		return t.judge(nil, nil, skip)
	}
	y, ok := t.f.release(t.of[tab], t.loads)
	if !ok {
		return Verdict{Falls: true, Sag: math.Inf(1)}
	}
	return t.judge(y, t.of[tab], skip)
}

// judge reckons the worst of all loads, with y released at joints; those to skip bear nothing.
func (t *Trial) judge(y [][]float64, at []int, skip map[int]bool) Verdict {
	v := Verdict{Reserve: highest}
	for n, l := range t.loads {
		for j := range l.relative {
			if t.off[j] || skip[j] {
				continue
			}
			rel := l.relative[j]
			if y != nil {
				for k := range 3 {
					rel[k] += t.f.by(3*j+k, at, y[n])
				}
			}
			most := 0.0
			for _, s := range t.stress[j] {
				most = math.Max(most, math.Abs(float64(s[0]*rel[0])+float64(s[1]*rel[1])+float64(s[2]*rel[2])))
			}
			if most <= 0 {
				continue
			}
			strength := t.strength[j]
			if n == 0 {
				strength *= t.hotFactor // under the weight alone the oven is worse
			}
			if r := strength / most; r < v.Reserve {
				v.Reserve, v.Worst = r, t.tabs[t.m.bands[t.m.joints[j].band].tab]
			}
		}
		if n > 0 { // how far a panel sags is asked of it unloaded
			continue
		}
		for w := range l.watch {
			sink := l.watch[w]
			if y != nil {
				sink += t.f.by(3*len(t.m.joints)+w, at, y[n])
			}
			v.Sag = math.Max(v.Sag, math.Abs(sink)*math.Max(1, t.hotSag)/t.span*100)
		}
	}
	return v
}

// Remove leaves a tab out for good. It tells whether the rest holds; where it does not, nothing is changed.
func (t *Trial) Remove(tab int) bool {
	if t.gone[tab] {
		return true
	}
	if t.falls(tab) {
		return false
	}
	if at := t.of[tab]; len(at) > 0 {
		y, ok := t.f.release(at, t.loads)
		if !ok {
			return false
		}
		for n := range t.loads {
			l := &t.loads[n]
			for j := range l.relative {
				for k := range 3 {
					l.relative[j][k] += t.f.by(3*j+k, at, y[n])
				}
			}
			for w := range l.watch {
				l.watch[w] += t.f.by(3*len(t.m.joints)+w, at, y[n])
			}
		}
		t.f.remove(at)
	}
	t.gone[tab] = true
	for _, j := range t.mine[tab] {
		t.off[j] = true
	}
	return true
}

// falls tells whether a board comes loose when a tab goes too.
func (t *Trial) falls(tab int) bool {
	return t.m.fallsWithout(func(k int) bool { return k == tab || t.gone[k] })
}

// Clone gives a trial of its own, from the same beginning.
func (t *Trial) Clone() *Trial {
	c := *t
	f := *t.f
	f.c = slices.Clone(t.f.c)
	c.f = &f
	c.gone, c.off = slices.Clone(t.gone), slices.Clone(t.off)
	c.loads = nil
	for _, l := range t.loads {
		c.loads = append(c.loads, trialLoad{slices.Clone(l.relative), slices.Clone(l.watch)})
	}
	return &c
}

// With tells how the panel does with those tabs alone, of those that are left, that keep names.
func (t *Trial) With(keep []bool) Verdict {
	fell := Verdict{Falls: true, Sag: math.Inf(1)}
	if t.m.fallsWithout(func(k int) bool { return !keep[k] }) {
		return fell
	}
	var gone []int
	skip := map[int]bool{}
	for tab := range keep {
		if keep[tab] || t.gone[tab] {
			continue
		}
		gone = append(gone, t.of[tab]...)
		for _, j := range t.mine[tab] {
			skip[j] = true
		}
	}
	if len(gone) == 0 {
		return t.judge(nil, nil, skip)
	}
	y, ok := t.f.release(gone, t.loads)
	if !ok {
		return fell
	}
	return t.judge(y, gone, skip)
}
