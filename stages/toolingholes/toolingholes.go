// Package toolingholes drills the non-plated holes that pin a panel on a machine or a fixture.
package toolingholes

import (
	"context"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "tooling_holes".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "tooling_holes",
		Summary:  "Drills non-plated holes near the panel's corners, for pins.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			// 4.0 mm, centred 5 mm from both edges: an assembler's guideline (pandawillcircuits.com).
			return &ToolingHoles{Diameter: 4 * geom.MM, InwardX: 5 * geom.MM, InwardY: 5 * geom.MM,
				Corners: []string{"lower_left", "lower_right", "upper_right", "upper_left"}}
		},
	}
}

// web is the least material kept between a tooling hole and the rail's inner edge: common practice,
// no published source.
const web = 1 * geom.MM

// ToolingHoles is the options of stage "tooling_holes".
type ToolingHoles struct {
	Diameter geom.Length `option:"diameter" range:"0.5..20" help:"finished, non-plated"`
	Corners  []string    `option:"corners" choice:"lower_left|lower_right|upper_right|upper_left" help:"the panel's corners that get one"`
	InwardX  geom.Length `option:"inward_x" range:"0..200" help:"middle of the hole from the nearest left or right panel edge"`
	InwardY  geom.Length `option:"inward_y" range:"0..200" help:"middle of the hole from the nearest upper or lower panel edge"`
}

// Check refuses holes that cut the panel's edge.
func (t *ToolingHoles) Check() error {
	for _, x := range []struct {
		name string
		l    geom.Length
	}{{"inward_x", t.InwardX}, {"inward_y", t.InwardY}} {
		if x.l < t.Diameter/2+web {
			return &pipeline.BadOption{Option: x.name, Reason: "leaves less than " + web.String() + " between the hole and the panel's edge"}
		}
	}
	return nil
}

// Parts tells that the holes need rails.
func (t *ToolingHoles) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"rails"}, Gives: []string{"tooling_holes"}}
}

// Run drills the holes.
func (t *ToolingHoles) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	m := panel.CornerMark{Kind: panel.ToolingHole, InwardX: t.InwardX, InwardY: t.InwardY,
		Diameter: t.Diameter, Keep: (t.Diameter+1)/2 + web}
	for _, c := range t.Corners {
		m.Corners = append(m.Corners, panel.Corner(c))
	}
	out, err := in.AddCornerMarks(m)
	if err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("holes", len(t.Corners)).Str("diameter", t.Diameter.String()).Str("panel", out.SizeText()).Msg("tooling holes drilled")
	return pipeline.Result{Panel: out}, nil
}
