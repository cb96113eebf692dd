package intake

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// negative tells by what a layer is drawn as a negative: what is drawn is then what is not there. Empty
// for a positive. A soldermask that says so is drawn as they all are, by its openings.
func (f *File) negative(kind panel.FunctionKind) string {
	p := f.Image.Attributes.Get(".FilePolarity")
	said := len(p) > 0 && p[0] == "Negative" && kind != panel.Soldermask
	switch {
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
