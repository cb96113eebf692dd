package rules

import (
	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/rule"
)

// ProductionPanel is one sheet that the fabricator makes panels from.
type ProductionPanel struct {
	Name    string      `label:"0"`
	Width   geom.Length `option:"width" required:"true" range:"10..2000" help:"of the whole sheet, border and all"`
	Height  geom.Length `option:"height" required:"true" range:"10..2000" help:"of the whole sheet, border and all"`
	Border  geom.Length `option:"border" range:"0..500" help:"what the fabricator needs along each side"`
	Between geom.Length `option:"between" range:"0..100" help:"the least distance between two panels, for the cutter"`
}

// checkProduction refuses sheets that are all border.
func (r *Rules) checkProduction() (errs []error) {
	for _, p := range r.Production {
		if 2*p.Border >= min(p.Width, p.Height) {
			errs = append(errs, &pipeline.BadOption{Option: "production_panel " + p.Name + " border",
				Reason: "leaves nothing of " + p.Width.Decimal() + " x " + p.Height.String()})
		}
	}
	return errs
}

// makers gives the sheets as rules take them.
func (r *Rules) makers() (out []pipeline.ProductionPanel) {
	for _, p := range r.Production {
		out = append(out, pipeline.ProductionPanel{Name: p.Name, Width: p.Width, Height: p.Height, Border: p.Border, Between: p.Between})
	}
	return out
}

// logUse tells how much of the panel the boards take, and for each sheet how many panels it takes, either way.
func (r *Rules) logUse(env *pipeline.Env, in panel.Panel) {
	env.Log.Info().Float64("share", rule.Utilisation(in)).Str("unit", "%").Msg("boards' share of the panel")
	for _, s := range rule.Sheets(in, r.makers()) {
		env.Log.Info().Str("production_panel", s.Of.Name).Str("usable", s.UsableWidth.Decimal()+" x "+s.UsableHeight.String()).
			Int("upright", s.Upright).Int("turned", s.Turned).Int("mixed", s.Mixed).Float64("share", s.Share).Msg("panels on a production panel")
	}
}
