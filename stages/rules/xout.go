package rules

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/xout"
)

// agree hands over how many copies may be bad, where recipe or standard state it here. What bad_board_marks states
// must say the same: two papers that promise different things help nobody.
func (r *Rules) agree(env *pipeline.Env, in panel.Panel) error {
	if len(r.XOuts) == 0 {
		return nil
	}
	percent := float64(xout.UsualPercent)
	if r.XOutPercent != nil {
		percent = *r.XOutPercent
	}
	copies := len(in.Copies())
	x := xout.For(r.XOuts, percent, copies)
	if was, ok := in.XOut(); ok && !was.Usual {
		if was.Copies != x.Copies || was.Panels != x.Panels {
			return fmt.Errorf("of %d copies %d may be bad in %s of the panels by x_out here, but %d in %s by x_out in stage bad_board_marks: state it in one of the two",
				copies, x.Copies, x.Panels.Percent(), was.Copies, was.Panels.Percent())
		}
		return nil
	}
	env.Agreed(x)
	env.Log.Info().Int("bad_copies_at_most", x.Copies).Str("of_panels", x.Panels.Percent()).Msg("bad copies agreed")
	return nil
}
