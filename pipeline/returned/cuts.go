package returned

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel/artwork"
)

// cuts holds what is cut: the contours of the profile, and what non-plated slots take away with them, whichever
// file a fabricator has them in.
func (h *holder) cuts(ctx context.Context) error {
	if len(h.profile) == 0 {
		h.report(ruleCut, pipeline.Error, "", nil, nil, "none of the returned files draws the profile: what is cut is not known. Ask for it")
		return nil
	}
	edges := make([]geom.Edge, len(h.edges))
	for i, e := range h.edges {
		edges[i] = h.back.Edge(e)
	}
	edges = h.takeScores(edges)
	loops, open := loopsOf(edges)
	for _, c := range open {
		from := c.From
		if h.build.box.Grow(asLarge).HoldsPoint(from) {
			h.report(ruleCut, pipeline.Error, "profile", nil, &from, "a contour of the returned profile does not close: it runs from %v to %v mm", c.From, c.To)
		}
	}
	beyond := 0
	loops = slices.DeleteFunc(loops, func(p geom.Path) bool {
		out := !h.build.box.Grow(asLarge).Holds(p.Box())
		if out && h.alone() && !p.Box().Holds(h.build.box) {
			beyond++
		}
		return out
	})
	if beyond > 0 {
		h.report(ruleAddition, pipeline.Note, "profile", nil, nil, "the returned profile has %s beyond the panel", counted(beyond, "contour", "contours"))
	}
	h.out.Contours = len(loops)
	theirs, err := overlay.Union(ctx, single, overlay.Operand{Paths: loops, Rule: overlay.EvenOdd})
	if err != nil {
		return err
	}
	// Not loop by loop: contours that come as near as ends are joined are followed in other ways.
	if !h.panelSized(theirs.Box()) {
		h.report(ruleCut, pipeline.Error, "", nil, nil, "the returned contours are not those of a panel of %s × %s: what they cut was not held", h.build.box.Width().Decimal(), h.build.box.Height())
		return nil
	}
	for _, d := range h.drills {
		placed := make([]bore, len(d))
		for i, b := range d {
			placed[i] = h.placed(b)
		}
		if theirs, err = h.lessRouts(ctx, theirs, placed); err != nil {
			return err
		}
	}
	ours, err := h.lessRouts(ctx, h.build.material, h.withoutUncut(theirs))
	if err != nil {
		return err
	}
	return h.compareCuts(ctx, ours, theirs)
}

// withoutUncut tells of non-plated slots of which nothing is cut, and gives the others.
func (h *holder) withoutUncut(theirs geom.Region) []bore {
	where := geom.NewLocator(theirs)
	var uncut []bore
	rest := slices.DeleteFunc(slices.Clone(h.build.bores), func(b bore) bool {
		gone := b.path != nil && b.plating == artwork.NonPlated && where.Locate(b.path[len(b.path)/2].At(0.5)) == geom.Inside
		if gone {
			uncut = append(uncut, b)
		}
		return gone
	})
	keys, groups := byKind(uncut, bore.kind)
	for _, k := range keys {
		g := groups[k]
		_, copies := h.whose(g)
		h.report(ruleCut, pipeline.Error, "", copies, &g[0].at, "%s %s not cut, neither by the returned profile nor by a drill file, at %s", k.words(len(g)), areIs(len(g)), placesOf(g))
	}
	return rest
}

// placed gives a returned bore where it lies on the panel.
func (h *holder) placed(b bore) bore {
	b.at = h.back.point(b.at)
	if b.path != nil {
		b.path = h.back.path(b.path)
	}
	return b
}

// lessRouts takes away what non-plated slots take.
func (h *holder) lessRouts(ctx context.Context, from geom.Region, bores []bore) (geom.Region, error) {
	var less overlay.Operand
	for _, b := range bores {
		if b.path == nil || b.plating != artwork.NonPlated {
			continue
		}
		r, err := offset.Stroke(ctx, []geom.Path{b.path}, b.diameter, offset.Options{Overlay: single})
		if err != nil {
			return nil, err
		}
		less.Paths = append(less.Paths, r.Paths()...)
	}
	if len(less.Paths) == 0 {
		return from, nil
	}
	return overlay.Difference(ctx, single, overlay.Of(from...), less)
}

// cutPiece is a piece of the panel that is cut on one side only.
type cutPiece struct {
	box  geom.Box
	area float64 // mm²
	more bool    // cut away, and should stay
	at   geom.Point
	of   string // the slot that it belongs to, "" for the panel's outline
	all  bool   // the whole slot
}

func (h *holder) compareCuts(ctx context.Context, ours, theirs geom.Region) error {
	gone, err := overlay.Difference(ctx, single, overlay.Of(ours...), overlay.Of(theirs...))
	if err != nil {
		return err
	}
	left, err := overlay.Difference(ctx, single, overlay.Of(theirs...), overlay.Of(ours...))
	if err != nil {
		return err
	}
	var pieces []cutPiece
	for i, r := range []geom.Region{gone, left} {
		for _, o := range r {
			if !o.Thicker(Tolerance) {
				continue
			}
			core, err := offset.By(ctx, geom.Region{o}, -Tolerance, offset.Options{Overlay: single})
			if err != nil {
				return err
			}
			if len(core) > 0 {
				p := cutPiece{box: o.Box(), area: o.Area() / 1e12, more: i == 0, at: core[0].Outer[0].From}
				p.of, p.all = h.slotOf(o, p.more)
				pieces = append(pieces, p)
			}
		}
	}
	if len(pieces) == 0 {
		return nil
	}
	groups := map[string][]cutPiece{}
	var order []string
	for _, p := range pieces {
		if groups[p.of] == nil {
			order = append(order, p.of)
		}
		groups[p.of] = append(groups[p.of], p)
	}
	slices.Sort(order)
	for _, of := range order {
		if err := h.reportCut(ctx, of, groups[of], ours, theirs); err != nil {
			return err
		}
	}
	return nil
}

// slotOf gives the slot that a piece lies in or beside, and whether it is all of it.
func (h *holder) slotOf(o geom.Outline, more bool) (id string, all bool) {
	box := o.Box().Grow(Tolerance)
	best := geom.MM
	for _, s := range h.build.plan.Slots {
		if !s.Outline.Box().Overlaps(box) {
			continue
		}
		d, _, _ := geom.Distance(o, s.Outline)
		if geom.Length(d) < best {
			best, id = geom.Length(d), s.ID
			all = !more && o.Area() > 0.9*s.Outline.Area()
		}
	}
	if id == "" {
		for _, b := range h.build.bores {
			if b.path == nil || b.plating != artwork.NonPlated {
				continue
			}
			if d, _, _ := geom.Distance(o, b.path); d <= float64(b.diameter/2+Tolerance) {
				return b.words() + " at " + shortPoint(b.at) + " mm", false
			}
		}
		for _, p := range h.build.material {
			for _, c := range p.CutOuts { // a board's own cut-out
				if c.Box().Overlaps(box) && !c.Box().Holds(h.build.box) {
					return "cut-out at " + c.Box().Center().String() + " mm", !more && o.Area() > 0.9*-c.Area()
				}
			}
		}
	}
	return id, all
}

// reportCut tells what is wrong with one slot, or with the panel's outline.
func (h *holder) reportCut(ctx context.Context, of string, pieces []cutPiece, ours, theirs geom.Region) error {
	var more, less float64
	box, all := geom.EmptyBox(), false
	at := pieces[0].at
	for _, p := range pieces {
		box, all = box.Union(p.box), all || p.all
		if p.more {
			more += p.area
		} else {
			less += p.area
		}
	}
	name, feature := "the panel's outline", "profile"
	if of != "" {
		name, feature = of, of
	}
	var copies []string
	for i := range h.build.boards {
		c := &h.build.boards[i]
		if c.Box.Grow(geom.MM / 2).Overlaps(box) {
			if slices.ContainsFunc(pieces, func(p cutPiece) bool { return c.Box.Grow(geom.MM / 2).Overlaps(p.box) }) {
				copies = append(copies, c.ID)
			}
		}
	}
	for _, t := range h.build.plan.Tabs {
		middle := geom.Pt((t.Feet[0].X+t.Feet[1].X)/2, (t.Feet[0].Y+t.Feet[1].Y)/2)
		if box.HoldsPoint(middle) && theirs.Locate(middle) == geom.Outside {
			h.report(ruleCut, pipeline.Error, t.ID, t.Copies, &middle, "%s has no material: the cut runs through it", t.ID)
		}
	}
	switch {
	case all:
		h.report(ruleCut, pipeline.Error, feature, copies, &at, "%s is not cut: it is missing from the returned profile", name)
	case more > 0 && less > 0:
		by, err := h.moved(ctx, of, box, ours, theirs)
		if err != nil {
			return err
		}
		h.report(ruleCut, pipeline.Error, feature, copies, &at, "%s is cut elsewhere%s: %.2f mm² that should stay are cut away, and %.2f mm² stay that should be cut, between %v and %v mm", name, by, more, less, box.Min, box.Max)
	case more > 0:
		h.report(ruleCut, pipeline.Error, feature, copies, &at, "%s: %.2f mm² are cut away that should stay, between %v and %v mm", name, more, box.Min, box.Max)
	default:
		h.report(ruleCut, pipeline.Error, feature, copies, &at, "%s: %.2f mm² stay that should be cut, between %v and %v mm", name, less, box.Min, box.Max)
	}
	return nil
}

// moved tells by how much a slot lies off, where it is as large as it should be.
func (h *holder) moved(ctx context.Context, of string, box geom.Box, ours, theirs geom.Region) (string, error) {
	i := slices.IndexFunc(h.build.plan.Slots, func(s slot) bool { return s.ID == of })
	if i < 0 {
		return "", nil
	}
	window := overlay.Of(geom.Outline{Outer: geom.Rectangle(h.build.plan.Slots[i].Outline.Box().Union(box).Grow(geom.MM / 5))})
	var middles [2]geom.Moments
	for k, m := range []geom.Region{ours, theirs} {
		void, err := overlay.Difference(ctx, single, window, overlay.Of(m...))
		if err != nil {
			return "", err
		}
		void = slices.DeleteFunc(void, func(o geom.Outline) bool {
			d, _, _ := geom.Distance(o, h.build.plan.Slots[i].Outline)
			return d > 0
		})
		middles[k] = void.Moments()
	}
	a, b := middles[0], middles[1]
	if a.Area == 0 || b.Area == 0 || b.Area/a.Area < 0.98 || b.Area/a.Area > 1.02 {
		return "", nil
	}
	d := b.Centroid().Sub(a.Centroid())
	return fmt.Sprintf(", moved by %s, %s mm", shortMM(d.X), shortMM(d.Y)), nil
}
