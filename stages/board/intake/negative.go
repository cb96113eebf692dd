package intake

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// negative tells by what a layer is drawn as a negative: what is drawn is then what is not there. Empty
// for a positive. A soldermask that says so is drawn as they all are, by its openings.
func (f *File) negative(kind panel.FunctionKind) string {
	p := f.Image.Attributes.Get(".FilePolarity")
	said := len(p) > 0 && p[0] == "Negative" && kind != panel.Soldermask
	switch {
	case f.layerRule != nil && f.layerRule.Negative:
		return byRecipe
	case said && !f.Image.Negative:
		return "its attribute .FilePolarity"
	case f.Image.Negative && !said:
		return "image polarity, IPNEG"
	}
	return "" // a negative of a negative is as drawn
}

// invertNegatives makes positives of copper layers that are drawn as negatives, as planes of old boards
// are: copper fills the board, and what was drawn is taken away.
func (r *Result) invertNegatives(ctx context.Context) error {
	if !r.Outline.Found {
		return nil
	}
	for _, l := range r.layers {
		if l.is.Kind != panel.Copper {
			continue
		}
		f := l.file
		why := f.negative(l.is.Kind)
		if why == "" {
			if f.Image.Negative {
				f.Image = f.Image.AsDrawn()
			}
			if l.is.Side == panel.Inner && r.onlyClearances(f.Image) {
				r.find("copper-may-be-negative", pipeline.Warning, fmt.Sprintf(
					"%s draws nothing but discs round holes, as a plane does that is drawn as a negative without saying so; if it is one, say so in the recipe: a block layer %q with negative = true", f.Name, f.Name))
			}
			continue
		}
		m, err := f.Image.Inverted(ctx, r.Outline.Outline)
		if err != nil {
			return fmt.Errorf("%s could not be made a positive: %w", f.Name, err)
		}
		f.Image = m
		r.find("negative-inverted", pipeline.Warning, fmt.Sprintf("%s is drawn as a negative (%s): copper fills the board up to its edge but for what it draws; look at the picture of this layer", f.Name, why))
	}
	return nil
}

// onlyClearances tells whether a layer draws nothing but flashes that lie on holes and are wider than them.
func (r *Result) onlyClearances(m *artwork.Image) bool {
	holes := map[geom.Point]geom.Length{}
	for _, f := range r.of(DrillFile) {
		if f.Drilling == nil {
			continue
		}
		for _, h := range f.Drilling.Holes {
			holes[h.At] = f.Drilling.Tools[h.Tool].Diameter
		}
	}
	for _, o := range m.Objects {
		d, ok := holes[o.Edge.From]
		if o.Clear || o.Kind != artwork.Flash || !ok || m.Box(o).Width() <= d {
			return false
		}
	}
	return len(m.Objects) >= few
}
