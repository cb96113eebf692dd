package waste

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// beyond finds what images draw beyond a board's edge, each image once.
type beyond struct {
	done  map[drawn]geom.Region
	edges map[*panel.Board]*boardEdge
}

// drawn is an image on a board.
type drawn struct {
	board *panel.Board
	image *artwork.Image
}

// boardEdge is a board's outer edge, made ready to be asked.
type boardEdge struct {
	outline geom.Outline
	box     geom.Box
	index   geom.Index[struct{}]
	where   *geom.Locator
}

func (b *beyond) edgeOf(board *panel.Board) *boardEdge {
	e := b.edges[board]
	if e == nil {
		e = newBoardEdge(board)
		b.edges[board] = e
	}
	return e
}

func newBoardEdge(board *panel.Board) *boardEdge {
	e := &boardEdge{outline: geom.Outline{Outer: board.Outline.Outer}}
	e.box = e.outline.Box()
	e.where = geom.NewLocator(geom.Region{e.outline})
	for _, x := range e.outline.Outer {
		e.index.Insert(x.Box(), struct{}{})
	}
	return e
}

// holds tells whether a box surely lies on the board.
func (e *boardEdge) holds(box geom.Box) bool {
	if !e.box.Holds(box) {
		return false
	}
	near := false
	e.index.Search(box, func(geom.Box, struct{}) bool { near = true; return false })
	return !near && e.where.Locate(box.Min) != geom.Outside
}

// of gives what of an image lies beyond the board's edge, in the board's coordinates. What is erased is not
// looked at: it counts as drawn.
func (b *beyond) of(ctx context.Context, board *panel.Board, m *artwork.Image) (geom.Region, error) {
	k := drawn{board, m}
	if r, ok := b.done[k]; ok {
		return r, nil
	}
	e := b.edgeOf(board)
	var over overlay.Operand
	for i, o := range m.Objects {
		if i%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if o.Clear || e.holds(m.Box(o)) {
			continue
		}
		r, err := m.Area(ctx, o)
		if err != nil {
			return nil, err
		}
		over.Paths = append(over.Paths, r.Paths()...)
	}
	var out geom.Region
	if len(over.Paths) > 0 {
		var err error
		if out, err = overlay.Difference(ctx, overlay.Options{Workers: 1}, over, overlay.Of(e.outline)); err != nil {
			return nil, err
		}
	}
	b.done[k] = out
	return out, nil
}
