package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/panel"
)

// Judge reckons a panel that a support is stated for as Of does, as far as limits of it are asked for: that is less than half
// of the work. Problems keep the panel from being reckoned; errors are those of Of.
func Judge(ctx context.Context, p panel.Panel, workers int) (Verdict, []Problem, error) {
	m, err := build(ctx, p, *p.Support(), workers)
	if err != nil {
		return Verdict{}, nil, err
	}
	if len(m.problems) > 0 {
		return Verdict{}, m.problems, nil
	}
	r, err := m.solve(ctx, 1, workers)
	if err != nil {
		return Verdict{}, nil, err
	}
	if x, ok := m.tips(r.states[0].right); ok {
		return Verdict{}, []Problem{x}, nil
	}
	return m.verdict(r), nil, ctx.Err()
}

// verdict finds the worst of all states.
func (m *model) verdict(r *solved) Verdict {
	v := Verdict{Reserve: highest}
	if len(r.hertz) > 0 {
		v.Hertz = r.hertz[0]
	}
	for _, x := range r.states {
		if x.kind != Pressed { // how far a panel sags is asked of it unloaded
			v.Sag = math.Max(v.Sag, m.sag(x, m.span()).Percent)
		}
	}
	if len(m.strips) > 0 {
		v.Webs = highest
		for _, l := range m.lines(r) {
			v.Webs = math.Min(v.Webs, l.Least)
		}
	}
	for _, t := range m.tabs(r) {
		if t.Least < v.Reserve {
			v.Reserve, v.Worst = t.Least, t.Tab
		}
	}
	return v
}
