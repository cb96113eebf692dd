package thieving

import (
	"context"
	"math"
	"slices"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// mostWork bounds what is worked out of one layer's copper (see artwork.Image.Work): beyond, its share is not
// known.
const mostWork = 10_000_000

// shares gives how much of the panel's area the copper of each layer covers, in the order of the layers, without
// and with the thieving: boards as the panel carries them, fiducials, and what the panel prints; −1 for a
// layer that is drawn with too much detail. Thieving lies on no other copper, so that areas add up.
func shares(ctx context.Context, env *pipeline.Env, p panel.Panel, layers []panel.Function) (before, after []panel.Share, err error) {
	carrier, err := p.NewCarrier(ctx)
	if err != nil {
		return nil, nil, err
	}
	// Images that several copies or layers have are worked out once.
	at := map[*artwork.Image]int{}
	var images []*artwork.Image
	var added []bool // thieving
	times := make([]map[int]int, len(layers))
	use := func(layer int, m *artwork.Image, thieving bool) {
		i, ok := at[m]
		if !ok {
			i = len(images)
			at[m] = i
			images, added = append(images, m), append(added, thieving)
		}
		times[layer][i]++
	}
	prints := p.Prints()
	drawn := make([]*artwork.Image, len(prints))
	for i, x := range prints {
		drawn[i] = x.Image(nil)
	}
	for i, f := range layers {
		times[i] = map[int]int{}
		for _, c := range p.Copies() {
			if l := c.Board.Layer(f); l != nil {
				m, _ := carrier.Layer(c, l)
				use(i, m, false)
			}
		}
		for k, x := range prints {
			if x.On(f) {
				use(i, drawn[k], x.Use == panel.Thieving)
			}
		}
	}
	areas := make([]float64, len(images))
	if err := pipeline.Each(ctx, env.Workers, len(images), func(i int) error {
		if images[i].Work() > mostWork {
			areas[i] = -1
			return nil
		}
		r, err := images[i].Dark(ctx)
		areas[i] = r.Area()
		return err
	}); err != nil {
		return nil, nil, err
	}
	whole := p.Outline().Area()
	share := func(area float64) panel.Share {
		return panel.Share(math.Round(float64(area * float64(panel.Whole) / whole)))
	}
	for i, f := range layers {
		sum, more := 0.0, 0.0
		for _, m := range p.Marks() {
			if m.Kind == panel.Fiducial && slices.Contains(m.Sides, f.Side) {
				r := float64(m.Diameter) / 2
				sum += float64(math.Pi * float64(r*r))
			}
		}
		known := true
		for k, a := range areas { // in a fixed order: sums of floating point depend on it
			if n := times[i][k]; n > 0 {
				known = known && a >= 0
				if added[k] {
					more += float64(float64(n) * a)
				} else {
					sum += float64(float64(n) * a)
				}
			}
		}
		if known {
			before, after = append(before, share(sum)), append(after, share(sum+more))
		} else {
			before, after = append(before, -1), append(after, -1)
		}
	}
	return before, after, nil
}

// compare tells of the shares and gives them for panel and recipe.
func compare(env *pipeline.Env, layers []panel.Function, before, after []panel.Share) ([]panel.CopperShare, cty.Value) {
	var list []panel.CopperShare
	values := map[string]cty.Value{}
	for i, f := range layers {
		if before[i] < 0 || after[i] < 0 {
			env.Log.Warn().Str("layer", f.Key()).Msg("drawn with too much detail: how much of it is copper is not worked out")
			continue
		}
		list = append(list, panel.CopperShare{Layer: f, Before: before[i], After: after[i]})
		env.Log.Info().Str("layer", f.Key()).Str("before", before[i].Percent()).Str("after", after[i].Percent()).Msg("copper share")
		values[shortKey(f)] = cty.ObjectVal(map[string]cty.Value{"before": number(before[i]), "after": number(after[i])})
	}
	if len(values) == 0 {
		return nil, cty.MapValEmpty(shareType)
	}
	return list, cty.MapVal(values)
}

// shortKey names a copper layer by its number: "copper-1".
func shortKey(f panel.Function) string {
	f.Side = panel.NoSide
	return f.Key()
}

// number gives a share as a number from 0 to 1, exactly.
func number(s panel.Share) cty.Value { return cty.MustParseNumberVal(geom.Length(s).Decimal()) }
