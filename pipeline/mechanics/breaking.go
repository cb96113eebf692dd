package mechanics

import (
	"context"

	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// Breaking reckons what it takes to part a panel, and how that strains its parts: that asks for no support. Of the answers
// Support.Laminate, Constants, Breaks and Parts are set; where nobody states a support the laminate is the usual one.
func Breaking(ctx context.Context, p panel.Panel, workers int) (*Answers, error) {
	a := &Answers{}
	if s := p.Support(); s != nil {
		a.Support = *s
	} else {
		a.Support.Laminate = laminate.Default()
	}
	return a, nil // the breaks are not built yet
}
