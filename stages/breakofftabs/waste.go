package breakofftabs

import (
	"context"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/opening"
)

// ground is a panel's material by what becomes of it: boards, the waste that stays (the frame: rails
// and what hangs on to them; islands between boards), and what must be routed away between them, tabs
// not yet left.
type ground struct {
	boards  []geom.Outline // the copies' outer edges, in the order of the copies
	frame   geom.Region
	islands geom.Region // waste that hangs on to boards only, and stays where tabs hold it
	whole   geom.Outline
	kept    overlay.Operand // gaps that are not served
	reliefs geom.Region     // openings beside score lines: there is nothing left to rout there
	width   geom.Length     // of the slots
	away    geom.Region
	beyond  geom.Region // outside of the panel, where slots run out of it: the cutter may go there
}

// partition parts the panel. Round each board a band of the slot's width is routed away, whatever lies
// between it and the next board or rail; of the waste beyond, what is nowhere thinner than keep_waste
// stays: as the frame where it hangs on to a rail, as an island where it lies between boards.
func (s *BreakoffTabs) partition(ctx context.Context, env *pipeline.Env, in panel.Panel, width geom.Length) (*ground, error) {
	o := overlay.Options{Workers: env.Workers}
	g := &ground{whole: in.Outline(), width: width}
	copies := in.Copies()
	bands, err := s.bands(ctx, env, in, width)
	if err != nil {
		return nil, err
	}
	band := overlay.Operand{}
	for i, c := range copies {
		outer := geom.Outline{Outer: c.Outline().Outer}
		g.boards = append(g.boards, outer)
		for _, piece := range bands[i] {
			// Holes of a band are pockets that the band closes off: they are waste too narrow to stay.
			band.Paths = append(band.Paths, piece.Outer)
		}
	}
	rails := overlay.Operand{}
	for _, r := range in.Rails() {
		rails.Paths = append(rails.Paths, geom.Rectangle(r.Box))
	}
	g.kept = s.unserved(in)
	for _, x := range in.Slots() {
		if isRelief(x) {
			g.reliefs = append(g.reliefs, x.Outline)
		}
	}
	for _, b := range in.Blanks() {
		g.kept.Paths = append(append(g.kept.Paths, b.Outline.Outer), b.Outline.CutOuts...)
	}
	for _, x := range in.Unreached() { // is told of already
		g.kept.Paths = append(append(g.kept.Paths, x.Outline.Outer), x.Outline.CutOuts...)
	}
	if len(rails.Paths) > 0 {
		if slices.ContainsFunc(in.Rails(), func(r panel.Rail) bool {
			return slices.ContainsFunc(band.Paths, func(p geom.Path) bool { return overlapInside(p.Box(), r.Box) })
		}) {
			// A band must not cut into a rail. Else nothing is done here: an arc that touches what it is
			// taken from would come back as chords.
			cut, err := overlay.Difference(ctx, o, band, rails)
			if err != nil {
				return nil, err
			}
			band = overlay.Of(cut...)
		}
	}
	if err := s.waste(ctx, o, in, g, band); err != nil {
		return nil, err
	}
	return g, g.clear(ctx, o)
}

// clear settles what is routed away, after what stays.
func (g *ground) clear(ctx context.Context, o overlay.Options) error {
	boards := overlay.Operand{}
	for _, b := range g.boards {
		boards.Paths = append(boards.Paths, b.Outer)
	}
	var err error
	if g.away, err = overlay.Difference(ctx, o, overlay.Of(g.whole), boards, overlay.Of(g.frame...), overlay.Of(g.islands...), overlay.Of(g.reliefs...), g.kept); err != nil {
		return err
	}
	g.beyond, err = opening.Beyond(ctx, o, g.whole, g.away, g.width)
	if err != nil || len(g.reliefs) == 0 {
		return err
	}
	g.beyond, err = overlay.Union(ctx, o, overlay.Of(g.beyond...), overlay.Of(g.reliefs...))
	return err
}

// drop gives up islands, by index, and tells whether there were any.
func (g *ground) drop(ctx context.Context, o overlay.Options, no map[int]bool) (bool, error) {
	if len(no) == 0 {
		return false, nil
	}
	var stay geom.Region
	for i, piece := range g.islands {
		if !no[i] {
			stay = append(stay, piece)
		}
	}
	g.islands = stay
	return true, g.clear(ctx, o)
}

// bands gives, for each copy, its outline grown by the width of a slot.
func (s *BreakoffTabs) bands(ctx context.Context, env *pipeline.Env, in panel.Panel, width geom.Length) ([]geom.Region, error) {
	copies := in.Copies()
	var boards []*panel.Board
	for _, c := range copies {
		if !slices.Contains(boards, c.Board) {
			boards = append(boards, c.Board)
		}
	}
	grown := make([]geom.Region, len(boards))
	if err := pipeline.Each(ctx, env.Workers, len(boards), func(i int) error {
		var err error
		grown[i], err = offset.By(ctx, geom.Region{{Outer: boards[i].Outline.Outer}}, width, offset.Options{Overlay: overlay.Options{Workers: 1}})
		return err
	}); err != nil {
		return nil, err
	}
	blanks := map[string]geom.Region{}
	for _, b := range in.Blanks() {
		blanks[b.Copy] = append(blanks[b.Copy], b.Outline)
	}
	out := make([]geom.Region, len(copies))
	return out, pipeline.Each(ctx, env.Workers, len(copies), func(i int) error {
		c := copies[i]
		if len(blanks[c.ID]) == 0 {
			for _, o := range grown[slices.Index(boards, c.Board)] {
				out[i] = append(out[i], c.Place.Outline(o))
			}
			return nil
		}
		// Slots run beside the blank laminate that stays on a board too.
		o := overlay.Options{Workers: 1}
		whole, err := overlay.Union(ctx, o, overlay.Of(geom.Outline{Outer: c.Outline().Outer}), overlay.Of(blanks[c.ID]...))
		if err != nil {
			return err
		}
		out[i], err = offset.By(ctx, whole, width, offset.Options{Overlay: o})
		return err
	})
}

// waste finds the waste that stays: what the bands leave of the panel and is nowhere thinner than
// keep_waste. Beyond the panel's own edge nothing is thin.
func (s *BreakoffTabs) waste(ctx context.Context, o overlay.Options, in panel.Panel, g *ground, band overlay.Operand) error {
	around := in.Outline().Box().Grow(2*max(s.KeepWaste, geom.MM) + 2*usualSlot)
	open, err := overlay.Difference(ctx, o, overlay.Operand{Paths: []geom.Path{geom.Rectangle(around)}}, band)
	if err != nil {
		return err
	}
	if s.KeepWaste > 0 {
		if open, err = opening.Reached(ctx, o, open, s.KeepWaste/2); err != nil {
			return err
		}
	}
	all, err := overlay.Intersection(ctx, o, overlay.Of(open...), overlay.Of(in.Outline()))
	if err != nil {
		return err
	}
	if len(g.kept.Paths) > 0 {
		if all, err = overlay.Difference(ctx, o, overlay.Of(all...), g.kept); err != nil {
			return err
		}
	}
	for _, piece := range all {
		if slices.ContainsFunc(in.Rails(), func(r panel.Rail) bool {
			return piece.Locate(r.Box.Center()) == geom.Inside || overlapsRail(piece, r.Box)
		}) {
			g.frame = append(g.frame, piece)
		} else {
			g.islands = append(g.islands, piece)
		}
	}
	return nil
}

// overlapsRail tells whether a piece of waste and a rail share area.
func overlapsRail(piece geom.Outline, rail geom.Box) bool {
	if !piece.Box().Overlaps(rail) {
		return false
	}
	for _, e := range piece.Outer {
		q := e.Beside(0.5, 2*geom.UM)
		if rail.HoldsPoint(q) {
			return true
		}
	}
	return false
}

// unserved gives the gaps that the recipe leaves uncut, as the option between says.
func (s *BreakoffTabs) unserved(in panel.Panel) overlay.Operand {
	out := overlay.Operand{}
	s.pairs(in, func(x pair) {
		if !x.served && x.gap.Width() > 0 && x.gap.Height() > 0 {
			out.Paths = append(out.Paths, geom.Rectangle(x.gap))
		}
	})
	return out
}

// between gives the box between two boxes that face each other, and whether one lies above the other.
func between(a, b geom.Box) (gap geom.Box, above bool) {
	x := geom.Box{Min: geom.Pt(max(a.Min.X, b.Min.X), max(a.Min.Y, b.Min.Y)), Max: geom.Pt(min(a.Max.X, b.Max.X), min(a.Max.Y, b.Max.Y))}
	switch {
	case x.Min.X < x.Max.X && x.Min.Y > x.Max.Y:
		x.Min.Y, x.Max.Y = x.Max.Y, x.Min.Y
		return x, true
	case x.Min.Y < x.Max.Y && x.Min.X > x.Max.X:
		x.Min.X, x.Max.X = x.Max.X, x.Min.X
		return x, false
	}
	return geom.EmptyBox(), false
}

func overlapInside(a, b geom.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}
