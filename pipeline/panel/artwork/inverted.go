package artwork

import (
	"context"

	"panelwright/pipeline/geom"
)

// Inverted gives the positive of an image that is drawn as a negative: dark all over the outline, cut-outs
// left out, but for what the image draws; what it erases is dark again.
func (m *Image) Inverted(ctx context.Context, outline geom.Outline) (*Image, error) {
	contours, err := WithoutHoles(ctx, geom.Region{outline})
	if err != nil {
		return nil, err
	}
	out := *m.AsDrawn()
	out.Regions = append(append([]Region(nil), m.Regions...), Region{Contours: contours})
	out.Objects = make([]Object, 0, len(m.Objects)+1)
	out.Objects = append(out.Objects, Object{Kind: Fill, Aperture: -1, Region: int32(len(m.Regions))})
	for _, o := range m.Objects {
		o.Clear = !o.Clear
		out.Objects = append(out.Objects, o)
	}
	return &out, nil
}

// AsDrawn gives the image without any statement that it is a negative.
func (m *Image) AsDrawn() *Image {
	out := *m
	out.Negative = false
	out.Attributes = nil
	for _, a := range m.Attributes {
		if a.Name == ".FilePolarity" {
			a.Values = []string{"Positive"}
		}
		out.Attributes = append(out.Attributes, a)
	}
	return &out
}
