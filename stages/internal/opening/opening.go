// Package opening says what a cutter makes of what should be routed away.
package opening

import (
	"context"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// Cut is what a cutter makes of a region.
type Cut struct {
	Slots  geom.Region // what it takes away
	Missed geom.Region // what should go and it does not reach
}

// Play is what a cutter's radius is taken to be less, so that a slot exactly as wide as the cutter has
// room for it: far less than the tolerance of routing, ± 0.1 mm (pcbbaltic.lt, tolerances).
const Play = 2500 * geom.NM

// Touching is how near two edges are one: roundings of positions, and what the trade cannot see.
const Touching = 2 * geom.UM

// Rout gives what a cutter of the diameter makes of wanted, each piece of it opened. Into beyond, where
// there is no material, the cutter may go too; what of it is opened is no slot. Pieces that are alike but
// for their place are worked out once, by several workers. Slots and what is missed come in an order of
// their own.
func Rout(ctx context.Context, workers int, wanted, beyond geom.Region, diameter geom.Length) (Cut, error) {
	o := overlay.Options{Workers: workers}
	if len(beyond) > 0 {
		var err error
		if wanted, err = overlay.Union(ctx, o, overlay.Of(wanted...), overlay.Of(beyond...)); err != nil {
			return Cut{}, err
		}
	}
	same := geom.Alike(wanted)
	made := make([]Cut, len(same))
	if err := pipeline.Each(ctx, workers, len(same), func(i int) error {
		var err error
		made[i], err = Opened(ctx, wanted[same[i][0]], diameter)
		return err
	}); err != nil {
		return Cut{}, err
	}
	var out Cut
	for i, group := range same {
		first := wanted[group[0]].Outer.Box().Min
		for _, k := range group {
			move := geom.Transform{Shift: wanted[k].Outer.Box().Min.Sub(first)}
			for _, o := range made[i].Slots {
				out.Slots = append(out.Slots, move.Outline(o))
			}
			for _, o := range made[i].Missed {
				out.Missed = append(out.Missed, move.Outline(o))
			}
		}
	}
	if len(beyond) > 0 {
		var err error
		if out.Slots, err = overlay.Difference(ctx, o, overlay.Of(out.Slots...), overlay.Of(beyond...)); err != nil {
			return Cut{}, err
		}
		if out.Missed, err = overlay.Difference(ctx, o, overlay.Of(out.Missed...), overlay.Of(beyond...)); err != nil {
			return Cut{}, err
		}
	}
	canonical(out.Slots)
	canonical(out.Missed)
	return out, nil
}

// canonical sorts pieces by where they begin.
func canonical(r geom.Region) {
	slices.SortFunc(r, func(a, b geom.Outline) int { return a.Outer[0].From.Compare(b.Outer[0].From) })
}

// Opened gives what a cutter reaches of one piece, and what it does not.
func Opened(ctx context.Context, piece geom.Outline, diameter geom.Length) (Cut, error) {
	o := overlay.Options{Workers: 1}
	covered, err := Reached(ctx, o, geom.Region{piece}, diameter/2-Play)
	if err != nil {
		return Cut{}, err
	}
	// A border moved in and out again may stray by a nanometre: what is beyond the slot is a board's.
	slots, err := overlay.Intersection(ctx, o, overlay.Of(covered...), overlay.Of(piece))
	if err != nil {
		return Cut{}, err
	}
	missed, err := overlay.Difference(ctx, o, overlay.Of(piece), overlay.Of(slots...))
	return Cut{slots, missed}, err
}

// Reached gives what a disc covers within a region where it has room. What is just as wide as the disc is
// not looked for, as offset.Opening does.
func Reached(ctx context.Context, o overlay.Options, r geom.Region, radius geom.Length) (geom.Region, error) {
	middles, err := offset.By(ctx, r, -radius, offset.Options{Overlay: o})
	if err != nil {
		return nil, err
	}
	return offset.By(ctx, middles, radius, offset.Options{Overlay: o})
}

// Beyond gives what lies outside of the panel, up to far, beside what is routed away at its edge.
func Beyond(ctx context.Context, o overlay.Options, panel geom.Outline, away geom.Region, far geom.Length) (geom.Region, error) {
	var open []geom.Path
	for _, path := range away.Paths() {
		for _, e := range path {
			if panel.Distance(e.At(0.5)) <= float64(Touching) {
				open = append(open, geom.Path{e})
			}
		}
	}
	if len(open) == 0 {
		return nil, nil
	}
	strokes, err := offset.Stroke(ctx, open, 2*far, offset.Options{Overlay: o})
	if err != nil {
		return nil, err
	}
	return overlay.Difference(ctx, o, overlay.Of(strokes...), overlay.Of(panel))
}

// What a cutter that goes on into waste keeps from a fiducial's clear area and from a tooling hole's rim: from
// memory, no published source.
const (
	aroundFiducial = 250 * geom.UM
	aroundHole     = 1 * geom.MM
)

// AroundMarks gives discs round the panel's marks into which no cutter goes of its own accord: a radius that it
// leaves on a board is told of, and can be filed.
func AroundMarks(p panel.Panel) (out []geom.Path) {
	for _, m := range p.Marks() {
		r := m.Clear/2 + aroundFiducial
		if m.Kind == panel.ToolingHole {
			r = m.Diameter/2 + aroundHole
		}
		from := geom.Pt(m.At.X+r, m.At.Y)
		out = append(out, geom.Path{geom.Arc(from, from, m.At, geom.CounterClockwise)})
	}
	return out
}
