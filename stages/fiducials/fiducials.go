// Package fiducials puts the marks on the rails by which assembly machines see where a panel lies.
package fiducials

import (
	"context"
	"errors"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "fiducials".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "fiducials",
		Summary:  "Puts fiducials on the rails: a copper dot in a mask opening in a clear area, without paste.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			// Sizes: an assembler's guideline (seeedstudio.com, 2017-07-28): 1.0 mm dot, 2.0 mm mask
			// opening, 3.0 mm clear; three in an L, which shows scale and twist too and tells a
			// panel that lies the wrong way round. inward_y: SMEMA 3.1, second-hand: 4.75 mm plus the
			// clearance from the edge to the dot's rim, 4.75 + 1.0 + 0.5. inward_x: clear of a
			// tooling hole in the same corner (common practice, no published source).
			return &Fiducials{CopperDiameter: 1 * geom.MM, MaskDiameter: 2 * geom.MM, ClearDiameter: 3 * geom.MM,
				Corners: []string{"lower_left", "lower_right", "upper_left"}, InwardX: 15 * geom.MM, InwardY: 6_250 * geom.UM,
				// Offset: from memory, no published source: 5 mm or more against reversed loading.
				Sides: []string{"top", "bottom"}, Offset: 5 * geom.MM}
		},
	}
}

// Fiducials is the options of stage "fiducials".
type Fiducials struct {
	CopperDiameter geom.Length `option:"copper_diameter" range:"0.5..5" help:"diameter of the copper dot"`
	MaskDiameter   geom.Length `option:"mask_diameter" range:"0.5..10" help:"diameter of the mask opening"`
	ClearDiameter  geom.Length `option:"clear_diameter" range:"0.5..20" help:"diameter of the area kept free of copper, holes and edges"`
	Corners        []string    `option:"corners" choice:"lower_left|lower_right|upper_right|upper_left" help:"the panel's corners that get one"`
	InwardX        geom.Length `option:"inward_x" range:"0..200" help:"middle of the dot from the nearest left or right panel edge"`
	InwardY        geom.Length `option:"inward_y" range:"0..200" help:"middle of the dot from the nearest upper or lower panel edge"`
	OffsetCorner   string      `option:"offset_corner" choice:"lower_left|lower_right|upper_right|upper_left" help:"the corner whose fiducial lies further along its rail, so that four of them tell a panel that lies the wrong way round"`
	Offset         geom.Length `option:"offset" range:"0..100" help:"how much further from that corner it lies"`
	Sides          []string    `option:"sides" choice:"top|bottom" help:"the sides of the panel that get them"`
}

// Check refuses diameters in the wrong order.
func (f *Fiducials) Check() error {
	var errs []error
	if f.MaskDiameter < f.CopperDiameter {
		errs = append(errs, &pipeline.BadOption{Option: "mask_diameter", Reason: "must be at least copper_diameter, " + f.CopperDiameter.String()})
	}
	if f.ClearDiameter < f.MaskDiameter {
		errs = append(errs, &pipeline.BadOption{Option: "clear_diameter", Reason: "must be at least mask_diameter, " + f.MaskDiameter.String()})
	}
	if len(f.Sides) == 0 {
		errs = append(errs, &pipeline.BadOption{Option: "sides", Reason: "is empty: name top, bottom or both"})
	}
	if f.OffsetCorner != "" && !slices.Contains(f.Corners, f.OffsetCorner) {
		errs = append(errs, &pipeline.BadOption{Option: "offset_corner", Reason: "is " + f.OffsetCorner + ", which corners does not name"})
	}
	return errors.Join(errs...)
}

// Parts tells that fiducials need rails.
func (f *Fiducials) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"rails"}, Gives: []string{"fiducials"}}
}

// Run places the fiducials.
func (f *Fiducials) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	m := panel.CornerMark{Kind: panel.Fiducial, InwardX: f.InwardX, InwardY: f.InwardY, Diameter: f.CopperDiameter,
		Mask: f.MaskDiameter, Clear: f.ClearDiameter, Keep: (f.ClearDiameter + 1) / 2,
		OffCorner: panel.Corner(f.OffsetCorner), Off: f.Offset}
	for _, c := range f.Corners {
		m.Corners = append(m.Corners, panel.Corner(c))
	}
	for _, s := range f.Sides {
		m.Sides = append(m.Sides, panel.Side(s))
	}
	out, err := in.AddCornerMarks(m)
	if err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("fiducials", len(f.Corners)).Strs("sides", f.Sides).Str("panel", out.SizeText()).Msg("fiducials placed")
	return pipeline.Result{Panel: out}, nil
}
