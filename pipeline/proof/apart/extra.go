package apart

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

// judgeExtra finds what comes off with a board and is neither a stub nor a fillet.
func (x *Prover) judgeExtra(ctx context.Context, i int, v view, extra geom.Region) ([]Finding, error) {
	board := x.p.Boards[i].Outline
	var closed, stays *geom.Locator
	if rest := x.p.Boards[i].Stays; len(rest) > 0 {
		grown, err := offset.By(ctx, rest, filletTol, offset.Options{Overlay: overlay.Options{Workers: 1}})
		if err != nil {
			return nil, err
		}
		stays = geom.NewLocator(grown)
	}
	var found []Finding
	// known tells whether a piece is one that may come off with the board.
	known := func(piece geom.Outline) (bool, error) {
		depth, _ := deepest(piece, board)
		if depth <= float64(thin) || x.isStub(i, v, piece, depth) {
			return true, nil
		}
		if stays != nil && within(stays, piece) {
			return true, nil
		}
		if closed == nil && x.p.Cutter > 0 {
			c, err := x.fillets(ctx, board)
			if err != nil {
				return false, err
			}
			closed = geom.NewLocator(c)
		}
		return closed != nil && within(closed, piece), nil
	}
	for _, piece := range extra {
		// A slug that fills its cut-out has all of its border on the board's edge.
		if slug(board, piece) {
			if box := piece.Box(); len(visible(geom.Region{piece})) > 0 {
				width := min(box.Width(), box.Height())
				found = append(found, Finding{Fault: SlugStays, Board: i, At: box.Center(), Area: piece.Area(), Depth: width / 2})
			}
			continue
		}
		if ok, err := known(piece); err != nil {
			return nil, err
		} else if ok {
			continue
		}
		// Along slanted edges a contour rounded to the nanometre may string stubs and fillets together
		// with slivers that nobody can see: each must answer for itself.
		parts, err := thick(ctx, piece)
		if err != nil {
			return nil, err
		}
		for _, part := range parts {
			if ok, err := known(part); err != nil {
				return nil, err
			} else if ok {
				continue
			}
			depth, at := deepest(part, board)
			found = append(found, Finding{Fault: Waste, Board: i, At: at, Area: part.Area(), Depth: geom.Round(depth)})
		}
	}
	return found, nil
}

// slug tells whether a piece lies in a cut-out of a board. Cut-outs are cut as they are drawn.
func slug(board geom.Outline, piece geom.Outline) bool {
	e := piece.Outer[0]
	for _, c := range board.CutOuts {
		if c.Box().Grow(thin).Holds(piece.Box()) && c.Locate(e.Beside(0.5, thin/2)) != geom.Outside {
			return true
		}
	}
	return false
}

// sliver is how narrow a piece is that nothing hangs on by.
const sliver = 2 * geom.UM

// thick gives what of a piece is wider than a sliver.
func thick(ctx context.Context, piece geom.Outline) (geom.Region, error) {
	o := offset.Options{Overlay: overlay.Options{Workers: 1, ChordError: 100}}
	r, err := offset.By(ctx, geom.Region{piece}, -sliver/2, o)
	if err != nil {
		return nil, err
	}
	return offset.By(ctx, r, sliver/2, o)
}

// isStub tells whether a piece lies between the board's edge and a break of it, and stands out no
// further than it may.
func (x *Prover) isStub(i int, v view, piece geom.Outline, depth float64) bool {
	box := piece.Box()
	// Where the slot ends round beside a tab, the stub runs out along the board's edge by the cutter's
	// radius.
	flare := x.p.Cutter/2 + 2*thin
	for _, k := range v.breaks {
		b := x.p.Breaks[k]
		for _, s := range b.Stubs {
			if s.Board == i && depth <= float64(s.Height+2*thin) && b.Line.Box().Grow(s.Height+flare).Holds(box) {
				return true
			}
		}
	}
	return false
}

// brokenOut tells whether a piece that a board has lost lies between a break inside of its edge and that edge.
func (x *Prover) brokenOut(i int, v view, piece geom.Outline, depth float64) bool {
	for _, k := range v.breaks {
		b := x.p.Breaks[k]
		for _, s := range b.Stubs {
			if s.Board == i && s.Depth > 0 && depth <= float64(s.Depth+2*thin) && b.Line.Box().Grow(s.Depth+x.p.Cutter/2).Holds(piece.Box()) {
				return true
			}
		}
	}
	return false
}

// fillets gives the board with all that the thinnest cutter cannot reach from outside of it.
func (x *Prover) fillets(ctx context.Context, board geom.Outline) (geom.Region, error) {
	o := offset.Options{Overlay: overlay.Options{Workers: 1}}
	closed, err := offset.Closing(ctx, geom.Region{{Outer: board.Outer}}, x.p.Cutter/2, o)
	if err != nil {
		return nil, err
	}
	return offset.By(ctx, closed, filletTol, o)
}

// within tells whether all of a piece's border lies inside a region.
func within(l *geom.Locator, piece geom.Outline) bool {
	for _, e := range piece.Outer {
		if l.Locate(e.From) == geom.Outside || l.Locate(e.At(0.5)) == geom.Outside {
			return false
		}
	}
	return true
}
