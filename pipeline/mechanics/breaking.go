package mechanics

import (
	"context"

	"panelwright/pipeline/mechanics/breakage"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// breakingKey is what Breaking is remembered by.
type breakingKey struct{}

// Breaking reckons what it takes to part a panel, and how that strains its parts: that asks for no support. Of the answers
// Support.Laminate, Constants, Breaks and Parts are set; where nobody states a support the laminate is the usual one. It is
// reckoned once for each panel value, whoever asks: nobody may change what it gives. Boards are taken as bare laminate,
// the most yielding: their copper is not counted for this. The only error is ctx's.
func Breaking(ctx context.Context, p panel.Panel, workers int) (*Answers, error) {
	v, err := p.Remember(breakingKey{}, func() (any, error) {
		a := &Answers{}
		if s := p.Support(); s != nil {
			a.Support = *s
		} else {
			a.Support.Laminate = laminate.Default()
		}
		a.Constants = Constants(a.Support)
		r, err := breakage.Of(ctx, p, a.Support.Laminate, breakage.Options{})
		a.Breaks, a.Parts = r.Breaks, r.Parts
		return a, err
	})
	if err != nil {
		return nil, err
	}
	return v.(*Answers), nil
}
