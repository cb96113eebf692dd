package rule

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// What a panel's weight is reckoned with, where in doubt to the heavy side; densities and foil are the laminate's.
const (
	gram    = 1e-24          // of kg/m³ × nm³
	perGram = int64(1000000) // micrograms
)

// panelWeight judges the weight of the whole panel with its parts.
func panelWeight(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	w := weigh(in.Panel)
	v := w.total()
	if v <= in.Limit+1e-9 {
		return nil, nil
	}
	at := in.Panel.Outline().Box().Center()
	return []pipeline.Finding{{At: &at, Feature: "panel", Measured: &v, Message: fmt.Sprintf("the panel weighs about %s g, more than %v g: %s",
		grams(v), in.Limit, w)}}, nil
}

// weight is what a panel's weight is made of, in grams.
type weight struct {
	laminate, copper, parts float64
	known, all              int  // parts
	assumed                 bool // how thick the copper is
	foil                    geom.Length
}

func (w weight) total() float64 { return math.Round((w.laminate+w.copper+w.parts)*1000) / 1000 }

func (w weight) String() string {
	s := fmt.Sprintf("%s g of laminate, at most %s g of copper", grams(w.laminate), grams(w.copper))
	if w.assumed {
		s += fmt.Sprintf(" (%v um a layer, where nobody says it)", float64(w.foil)/float64(geom.UM))
	}
	switch {
	case w.all == 0:
		return s + "; no parts are known"
	case w.known == 0:
		return s + fmt.Sprintf("; %d parts, whose weight nobody says", w.all)
	case w.known < w.all:
		return s + fmt.Sprintf(", %s g of the %d parts of %d whose weight is known", grams(w.parts), w.known, w.all)
	}
	return s + fmt.Sprintf(", %s g of parts", grams(w.parts))
}

func grams(v float64) string { return geom.Length(math.Round(v*1000) * 1000).Decimal() }

// weigh reckons a panel's weight: laminate as thick as the boards over all that is not routed away (holes are not
// taken off), on it the copper that layers draw, and the parts whose weight is known.
func weigh(p panel.Panel) weight {
	of := laminate.Default()
	if s := p.Support(); s != nil && s.Density.Value > 0 {
		of = s.Laminate
	}
	w := weight{foil: geom.Round(of.Foil.Value * float64(geom.MM))}
	solidArea, copper := solid(p), 0.0 // nm², nm³
	for _, b := range placedBoards(p) {
		n := float64(len(b.copies))
		whole := math.Abs(b.Outline.Outer.Area())
		for _, l := range b.Layers {
			if l.Function.Kind == panel.Copper {
				thick := w.foil
				if i := l.Function.Index; i >= 1 && i <= len(b.Foils) {
					thick = b.Foils[i-1]
				} else {
					w.assumed = true
				}
				copper += float64(n * float64(math.Min(drawnAtMost(l.Image), whole)*float64(thick)))
			}
		}
		for _, x := range b.Parts {
			if x.Body.Mass > 0 {
				w.known += len(b.copies)
				w.parts += float64(x.Body.Mass) * n / float64(perGram)
			}
		}
		w.all += len(b.Parts) * len(b.copies)
	}
	for _, m := range p.Marks() {
		if m.Kind == panel.Fiducial {
			copper += float64(discArea(m.Diameter) * float64(len(m.Sides)) * float64(w.foil))
		}
	}
	for _, x := range p.Prints() {
		for _, f := range x.Layers {
			if f.Kind == panel.Copper {
				copper += float64(drawnAtMost(x.Image(nil)) * float64(w.foil))
			}
		}
	}
	w.laminate = float64(solidArea*float64(p.Thickness())) * of.Density.Value * gram
	w.copper = copper * of.CopperDensity.Value * gram
	return w
}

// solid is the area in nm² that is left of a panel when its slots and the boards' cut-outs are routed.
func solid(p panel.Panel) float64 {
	o := p.Outline()
	area := math.Abs(o.Outer.Area())
	take := func(paths []geom.Path) {
		for _, c := range paths {
			area -= math.Abs(c.Area())
		}
	}
	take(o.CutOuts)
	for _, s := range p.Slots() {
		area -= math.Abs(s.Outline.Outer.Area())
		for _, c := range s.Outline.CutOuts {
			area += math.Abs(c.Area())
		}
	}
	for _, b := range placedBoards(p) {
		for range b.copies {
			take(b.Outline.CutOuts)
		}
	}
	return area
}

// drawnAtMost is an area in nm² that is not smaller than what a layer draws: what lies on one another counts
// twice, what later objects clear counts still, and odd apertures count as the box round them.
func drawnAtMost(m *artwork.Image) float64 {
	flash := make([]float64, len(m.Apertures))
	for i, a := range m.Apertures {
		flash[i] = apertureAtMost(m, i, a)
	}
	sum := 0.0
	for _, o := range m.Objects {
		if o.Clear {
			continue
		}
		switch o.Kind {
		case artwork.Fill:
			for _, c := range m.Regions[o.Region].Contours {
				sum += math.Abs(c.Area())
			}
		case artwork.Flash:
			sum += flash[o.Aperture]
		case artwork.Stroke:
			a := m.Apertures[o.Aperture]
			across := float64(a.Width)
			if a.Shape == artwork.Rectangle || a.Shape == artwork.Obround {
				across = math.Sqrt(float64(float64(a.Width)*float64(a.Width)) + float64(float64(a.Height)*float64(a.Height)))
			}
			sum += float64(o.Edge.Length()*across) + flash[o.Aperture]
		}
	}
	return sum
}

func discArea(d geom.Length) float64 { return float64(d) * float64(d) * math.Pi / 4 }

func apertureAtMost(m *artwork.Image, i int, a artwork.Aperture) float64 {
	switch a.Shape {
	case artwork.Circle:
		return discArea(a.Width) - discArea(a.Hole)
	case artwork.Rectangle:
		return float64(float64(a.Width)*float64(a.Height)) - discArea(a.Hole)
	case artwork.Obround:
		d := min(a.Width, a.Height)
		return float64(float64(max(a.Width, a.Height)-d)*float64(d)) + discArea(d) - discArea(a.Hole)
	case artwork.Polygon:
		return discArea(a.Width) - discArea(a.Hole)
	}
	b := m.Drawn(artwork.Object{Kind: artwork.Flash, Aperture: int32(i), Region: -1}).Box()
	if b.Empty() {
		return 0
	}
	return float64(b.Width()) * float64(b.Height())
}

// Utilisation is the boards' share of the panel, in per cent: within their outer edges, cut-outs counted.
func Utilisation(p panel.Panel) float64 {
	boards := 0.0
	for _, b := range placedBoards(p) {
		boards += float64(float64(len(b.copies)) * math.Abs(b.Outline.Outer.Area()))
	}
	whole := math.Abs(p.Outline().Outer.Area())
	if whole == 0 {
		return 0
	}
	return math.Round(boards/whole*1e6) / 1e4
}

func panelUtilisation(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	v := Utilisation(in.Panel)
	if v >= in.Limit-1e-9 {
		return nil, nil
	}
	at := in.Panel.Outline().Box().Center()
	return []pipeline.Finding{{At: &at, Feature: "panel", Measured: &v,
		Message: fmt.Sprintf("boards take %v %% of the panel of %s, less than %v %%", v, in.Panel.SizeText(), in.Limit)}}, nil
}
