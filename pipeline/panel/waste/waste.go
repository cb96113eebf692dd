package waste

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// Piece is a piece of waste.
type Piece struct {
	Name   string // "rail/upper"; "waste" for what is no rail
	Region geom.Region
}

// Pieces gives the panel's material that belongs to no board: the rails, in their order, and each piece of
// what lies beside or between boards, from the lower left. Tabs belong to the pieces that they hang on to.
func Pieces(ctx context.Context, p panel.Panel, workers int) ([]Piece, error) {
	o := overlay.Options{Workers: workers}
	material, err := p.Material(ctx, workers)
	if err != nil {
		return nil, err
	}
	boards := overlay.Operand{}
	for _, c := range p.Copies() {
		boards.Paths = append(boards.Paths, c.Outline().Outer)
	}
	for _, x := range p.Blanks() {
		boards.Paths = append(boards.Paths, x.Outline.Outer)
	}
	waste, err := overlay.Difference(ctx, o, overlay.Of(material...), boards)
	if err != nil {
		return nil, err
	}
	var out []Piece
	rails := overlay.Operand{}
	for _, r := range p.Rails() {
		box := overlay.Operand{Paths: []geom.Path{geom.Rectangle(r.Box)}}
		on, err := overlay.Intersection(ctx, o, overlay.Of(waste...), box)
		if err != nil {
			return nil, err
		}
		if len(rails.Paths) > 0 { // where two meet, it belongs to the first
			if on, err = overlay.Difference(ctx, o, overlay.Of(on...), rails); err != nil {
				return nil, err
			}
		}
		rails.Paths = append(rails.Paths, box.Paths...)
		if len(on) > 0 {
			out = append(out, Piece{r.ID, on})
		}
	}
	rest, err := overlay.Difference(ctx, o, overlay.Of(waste...), rails)
	if err != nil {
		return nil, err
	}
	for _, x := range rest {
		out = append(out, Piece{"waste", geom.Region{x}})
	}
	return out, nil
}

// Masked tells whether the panel has a soldermask on a side: a placed board has one there, or a fiducial, which is
// laid bare in one.
func Masked(p panel.Panel, side panel.Side) bool {
	mask := panel.Function{Kind: panel.Soldermask, Side: side}
	return slices.ContainsFunc(p.Copies(), func(c panel.Copy) bool { return c.Board.Layer(mask) != nil }) ||
		slices.ContainsFunc(p.Marks(), func(m panel.Mark) bool { return m.Kind == panel.Fiducial && slices.Contains(m.Sides, side) })
}
