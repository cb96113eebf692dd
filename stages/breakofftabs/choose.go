package breakofftabs

import (
	"context"

	"panelwright/pipeline"
)

// choose settles which of the candidates become tabs.
func (s *standing) choose(ctx context.Context, env *pipeline.Env) ([]candidate, error) {
	pins, err := s.pins()
	if err != nil {
		return nil, err
	}
	return s.even(s.candidates(), pins), nil
}

func (s *BreakoffTabs) barCopper(ctx context.Context, e *edge, waist float64) error { return nil }
