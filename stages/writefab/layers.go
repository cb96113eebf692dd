package writefab

import (
	"context"
	"strconv"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// layers writes one file for each function that any placed board has, or that the panel's own marks
// need.
func (s *set) layers(ctx context.Context) error {
	carrier, err := s.panel.NewCarrier(ctx)
	if err != nil {
		return err
	}
	for _, f := range s.panel.Functions() {
		var pieces []gerber.Piece
		for _, c := range s.panel.Copies() {
			if l := c.Board.Layer(f); l != nil {
				image, _ := carrier.Layer(c, l)
				pieces = append(pieces, gerber.Piece{Image: image, Place: c.Place, Comment: c.ID})
			}
		}
		if m := s.marks(f); m != nil {
			pieces = append(pieces, gerber.Piece{Image: m, Comment: "marks on the rails"})
		}
		for _, x := range s.panel.Prints() {
			if m := x.Image(printFunction(x.Use, f)); x.On(f) && len(m.Objects) > 0 {
				pieces = append(pieces, gerber.Piece{Image: m, Comment: x.ID})
			}
		}
		polarity := "Positive"
		if f.Kind == panel.Soldermask {
			polarity = "Negative"
		}
		if err := s.gerber(f.Key(), fileFunction(f), polarity, pieces); err != nil {
			return err
		}
	}
	return nil
}

// printFunction is the .AperFunction of what the panel prints of its own, in the words of the layer
// format's chapter 5: thieving is copper balancing, letters and codes in copper conduct nothing, an opening
// in the mask is called by what is left there, material. Other layers have no such words.
func printFunction(use panel.PrintUse, f panel.Function) []string {
	switch {
	case f.Kind == panel.Copper && use == panel.Thieving:
		return []string{"CopperBalancing"}
	case f.Kind == panel.Copper:
		return []string{"NonConductor"}
	case f.Kind == panel.Soldermask:
		return []string{"Material"}
	}
	return nil
}

// fileFunction gives the layer format's .FileFunction values.
func fileFunction(f panel.Function) []string {
	side := map[panel.Side]string{panel.Top: "Top", panel.Bottom: "Bot", panel.Inner: "Inr"}[f.Side]
	switch f.Kind {
	case panel.Copper:
		out := []string{"Copper", "L" + strconv.Itoa(f.Index), side}
		if f.Type != "" {
			out = append(out, f.Type)
		}
		return out
	case panel.Soldermask:
		return []string{"Soldermask", side}
	case panel.Paste:
		return []string{"Paste", side}
	case panel.Legend:
		return []string{"Legend", side}
	case panel.Glue:
		return []string{"Glue", side}
	case panel.Carbon:
		return []string{"Carbonmask", side}
	case panel.Peelable:
		return []string{"Peelablemask", side}
	}
	return []string{"Other", string(f.Kind)}
}

// marks draws the fiducials that lie on a layer, nil when there is none: dots on outer copper,
// openings in the mask.
func (s *set) marks(f panel.Function) *artwork.Image {
	// The layer format names the mark by which an assembly panel is found FiducialPad,Panel, and
	// an opening in the mask by the material it lays bare (chapter 5 of its specification).
	function := []string{"FiducialPad", "Panel"}
	if f.Kind == panel.Soldermask {
		function = []string{"Material"}
	} else if f.Kind != panel.Copper {
		return nil
	}
	d := &dots{function: function}
	for _, m := range s.panel.Marks() {
		if m.Kind != panel.Fiducial {
			continue
		}
		for _, side := range m.Sides {
			switch {
			case side != f.Side:
			case f.Kind == panel.Soldermask:
				d.flash(m.At, m.Mask)
			default:
				d.flash(m.At, m.Diameter)
			}
		}
	}
	if len(d.image.Objects) == 0 {
		return nil
	}
	return &d.image
}

// dots draws round flashes and strokes with one aperture function.
type dots struct {
	image    artwork.Image
	function []string
}

// pen gives the index of the round aperture of a diameter.
func (d *dots) pen(diameter geom.Length) int32 {
	if d.image.Sets == nil {
		d.image.Sets = []artwork.Attributes{nil, {{Name: ".AperFunction", Values: d.function}}}
		if d.function == nil {
			d.image.Sets[1] = nil
		}
	}
	for i, a := range d.image.Apertures {
		if a.Width == diameter {
			return int32(i)
		}
	}
	d.image.Apertures = append(d.image.Apertures, artwork.Aperture{Shape: artwork.Circle, Width: diameter, Set: 1})
	return int32(len(d.image.Apertures) - 1)
}

func (d *dots) flash(at geom.Point, diameter geom.Length) {
	d.image.Objects = append(d.image.Objects, artwork.Object{
		Kind: artwork.Flash, Aperture: d.pen(diameter), Region: -1, Edge: geom.Line(at, at)})
}

func (d *dots) stroke(p geom.Path, width geom.Length) {
	for _, e := range p {
		d.image.Objects = append(d.image.Objects, artwork.Object{
			Kind: artwork.Stroke, Aperture: d.pen(width), Region: -1, Edge: e})
	}
}
