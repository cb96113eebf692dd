package writefab

import (
	"strconv"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
)

// lineWidth is the pen of contours that stand for a line without width.
const lineWidth = 100 * geom.UM

// profile writes the panel's outline and the boards' own cut-outs. Slots between the boards stand in
// the rout file.
func (s *set) profile() error {
	d := &dots{function: []string{"Profile"}}
	d.stroke(s.panel.Outline().Outer, lineWidth)
	for _, c := range s.panel.Copies() {
		for _, cut := range c.Outline().CutOuts {
			d.stroke(cut, lineWidth)
		}
	}
	return s.gerber("profile", []string{"Profile", "NP"}, "Positive", []gerber.Piece{{Image: &d.image}})
}

// rout writes the slots between the boards as strokes of a cutter, which govern what is cut.
func (s *set) rout() error {
	slots := s.panel.Slots()
	if len(slots) == 0 {
		return nil
	}
	d := &dots{function: []string{"MechanicalDrill", "Other"}}
	for _, x := range slots {
		d.stroke(x.Path, x.Width)
	}
	function := []string{"NonPlated", "1", strconv.Itoa(max(s.panel.CopperCount(), 1)), "NPTH", "Rout"}
	return s.gerber("rout", function, "Positive", []gerber.Piece{{Image: &d.image}})
}

// scoreLines writes the V-score lines; a bare Vcut is cut alike from both sides.
func (s *set) scoreLines() error {
	scores := s.panel.Scores()
	if len(scores) == 0 {
		return nil
	}
	d := &dots{function: []string{"Other", "Score"}}
	for _, x := range scores {
		d.stroke(geom.Path{geom.Line(x.From, x.To)}, lineWidth)
	}
	return s.gerber("score", []string{"Vcut"}, "Positive", []gerber.Piece{{Image: &d.image}}, scoreSections(scores)...)
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
