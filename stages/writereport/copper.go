package writereport

import (
	"context"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/density"
)

// copperSource says how the shares were reckoned and what they are good for. There is no limit to hold them to: how
// evenly copper must lie depends on the fabricator's bath.
const copperSource = "Counted by samples 0.1 mm apart on the layers of the boards and what the panel prints; of laminate that stays when the panel is routed. " +
	"Where little copper lies beside much, plating builds up thicker on the little (common practice, no published source)"

// showCopper shows how much of the laminate is copper, square by square, for each outer layer: that is where plating
// builds up.
func showCopper(ctx context.Context, env *pipeline.Env, p panel.Panel) error {
	layers := density.Outer(p)
	if len(layers) == 0 {
		return nil
	}
	g, err := density.Of(ctx, p, layers, density.Square, func(n int, work func(int) error) error {
		return pipeline.Each(ctx, env.Workers, n, work)
	})
	if err != nil {
		return err
	}
	for i, l := range layers {
		f := pipeline.Field{ID: "copper-share/" + l.Key(), Title: "Copper on the " + string(l.Side), Unit: "%", Moment: pipeline.AsCut, Side: l.Side,
			Origin: g.Origin, Step: g.Square, Columns: g.Columns, Rows: g.Rows, Values: make([]float64, g.Columns*g.Rows), Source: copperSource}
		for k := range f.Values {
			share, ok := g.Share(i, k)
			f.Values[k] = math.Round(float64(share*1000)) / 10 // tenths of a percent: samples tell no more
			if !ok {
				f.Values[k] = math.NaN()
			}
		}
		env.Show(f)
	}
	return nil
}
