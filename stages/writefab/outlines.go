package writefab

import (
	"context"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
)

// lineWidth is the pen of contours that stand for a line without width.
const lineWidth = 100 * geom.UM

// profile writes the contours of what stays when all is routed: the one truth for every cut.
func (s *set) profile(ctx context.Context) error {
	material, err := s.panel.Material(ctx, s.env.Workers)
	if err != nil {
		return err
	}
	d := &dots{function: []string{"Profile"}}
	for _, path := range material.Paths() {
		d.stroke(path, lineWidth)
	}
	return s.gerber("profile", []string{"Profile", "NP"}, "Positive", []gerber.Piece{{Image: &d.image}})
}

// arrayDrawing writes the panel's and the boards' outlines, for people.
func (s *set) arrayDrawing() error {
	d := &dots{}
	d.stroke(s.panel.Outline().Outer, lineWidth)
	for _, c := range s.panel.Copies() {
		d.stroke(c.Outline().Outer, lineWidth)
	}
	return s.gerber("array-drawing", []string{"ArrayDrawing"}, "", []gerber.Piece{{Image: &d.image}})
}
