// Package rout plans how cutters could rout the openings of a panel: along which lines their centres
// run, where they plunge, in which order, and how long it takes.
//
// The contours of an opening govern what is cut; a program is only what one path of a cutter could be.
// Each opening is cut by the largest cutter as far as that reaches: one pass along the middle where it
// just fits, else a pass along the wall and further ones inside of it until nothing stands. Thinner
// cutters cut only what is left, with a little overlap.
package rout

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

// Direction is the side on which a cutter has the wall it cuts.
type Direction string

// The directions, for a spindle that turns clockwise seen from the top. In climb the cutter's teeth move
// against its way where they cut, and the wall is on its right; in conventional cutting they move along
// with it, and the wall is on its left.
const (
	Climb        Direction = "climb"
	Conventional Direction = "conventional"
)

// Job is what is to be routed.
type Job struct {
	Openings  geom.Region   // they do not overlap
	Outline   geom.Path     // the panel's edge, counter-clockwise: routed last; openings may end at it
	Cutters   []geom.Length // diameters, the largest first
	Direction Direction     // of passes along one wall; a pass along the middle of a slot has a wall on each side
	Workers   int
}

// Pass is one way of a cutter from where it plunges to where it is drawn out. It begins and ends in one
// place where it runs once round.
type Pass struct {
	Cutter int // index into the job's cutters
	Path   geom.Path
	Last   bool // the panel's edge, which sets it free
}

// Start is where the cutter plunges, End where it is drawn out.
func (p Pass) Start() geom.Point { return p.Path[0].From }

// End is where the cutter is drawn out.
func (p Pass) End() geom.Point { return p.Path[len(p.Path)-1].To }

func (p Pass) closed() bool { return p.Start() == p.End() }

// Program is the passes in the order of cutting: cutter by cutter, the panel's edge at the end.
type Program struct {
	Passes []Pass
	// Left is what the cutters do not reach, as far as it can be seen.
	Left geom.Region
}

const (
	overlap = 200 * geom.UM // by which a thinner cutter's pass reaches into what is cut already
	seen    = 5 * geom.UM   // what is left no thicker is not there
)

// Plan plans a program. It is an error if there is no cutter.
func Plan(ctx context.Context, j Job) (*Program, error) {
	if len(j.Cutters) == 0 {
		return nil, fmt.Errorf("rout: there is no cutter")
	}
	openings, err := j.open(ctx)
	if err != nil {
		return nil, err
	}
	groups := geom.Alike(openings)
	made := make([]cut, len(groups))
	if err := pipeline.Each(ctx, j.Workers, len(groups), func(i int) error {
		var err error
		made[i], err = j.cutOne(ctx, openings[groups[i][0]])
		return err
	}); err != nil {
		return nil, err
	}
	p := &Program{}
	for i, g := range groups {
		first := openings[g[0]].Outer.Box().Min
		for _, k := range g {
			move := geom.Transform{Shift: openings[k].Outer.Box().Min.Sub(first)}
			for _, x := range made[i].passes {
				p.Passes = append(p.Passes, Pass{Cutter: x.Cutter, Path: move.Path(x.Path)})
			}
			for _, o := range made[i].left {
				p.Left = append(p.Left, move.Outline(o))
			}
		}
	}
	p.Passes = order(p.Passes, len(j.Cutters))
	if len(j.Outline) > 0 && len(p.Left) > 0 { // outside of the panel there is nothing to cut
		left, err := overlay.Intersection(ctx, overlay.Options{Workers: j.Workers}, overlay.Of(p.Left...), overlay.Operand{Paths: []geom.Path{j.Outline}})
		if err != nil {
			return nil, err
		}
		p.Left = visible(left)
	}
	return p, j.edge(ctx, p)
}

// open gives the openings with room outside of the panel for the cutter where they end at its edge.
func (j Job) open(ctx context.Context) (geom.Region, error) {
	o := overlay.Options{Workers: j.Workers}
	if len(j.Outline) == 0 {
		return j.Openings, nil
	}
	var ends []geom.Path
	panel := geom.Outline{Outer: j.Outline}
	for _, x := range j.Openings {
		for _, e := range x.Outer {
			if panel.Distance(e.At(0.5)) <= float64(seen) {
				ends = append(ends, geom.Path{e})
			}
		}
	}
	if len(ends) == 0 {
		return j.Openings, nil
	}
	strokes, err := offset.Stroke(ctx, ends, 2*j.Cutters[0], offset.Options{End: offset.SquareEnd, Overlay: o})
	if err != nil {
		return nil, err
	}
	outside, err := overlay.Difference(ctx, o, overlay.Of(strokes...), overlay.Operand{Paths: []geom.Path{j.Outline}})
	if err != nil {
		return nil, err
	}
	return overlay.Union(ctx, o, overlay.Of(j.Openings...), overlay.Of(outside...))
}

// edge adds the pass round the panel: outside of it, as far as the largest cutter's radius, and last.
func (j Job) edge(ctx context.Context, p *Program) error {
	if len(j.Outline) == 0 {
		return nil
	}
	grown, err := offset.By(ctx, geom.Region{{Outer: j.Outline}}, j.Cutters[0]/2, offset.Options{})
	if err != nil {
		return err
	}
	for _, o := range grown {
		path := o.Outer // the wall, the panel itself, is on its left
		if j.Direction != Conventional {
			path = path.Reverse()
		}
		p.Passes = append(p.Passes, Pass{Path: path, Last: true})
	}
	return nil
}

// cut is what becomes of one opening.
type cut struct {
	passes []Pass
	left   geom.Region
}

// cutOne plans the passes in one opening.
func (j Job) cutOne(ctx context.Context, opening geom.Outline) (cut, error) {
	o := offset.Options{Overlay: overlay.Options{Workers: 1}}
	whole := geom.Region{opening}
	rest := whole
	var out cut
	cuts, err := j.within(ctx, o.Overlay, opening)
	if err != nil {
		return cut{}, err
	}
	for i, d := range j.Cutters {
		if len(rest) == 0 {
			break
		}
		reach, err := offset.Opening(ctx, whole, d/2, o)
		if err != nil {
			return cut{}, err
		}
		passes, err := j.passes(ctx, o, whole, reach, d/2)
		if err != nil {
			return cut{}, err
		}
		if i > 0 || cuts != nil { // only where something is left, or anything at all
			what, reach := rest, d/2+overlap
			if i == 0 {
				what, reach = cuts, d/2
			}
			if passes, err = nearRest(ctx, o, passes, what, reach); err != nil {
				return cut{}, err
			}
		}
		for _, p := range passes {
			out.passes = append(out.passes, Pass{Cutter: i, Path: p})
		}
		covered, err := reach.Covered(ctx, o)
		if err != nil {
			return cut{}, err
		}
		if rest, err = overlay.Difference(ctx, o.Overlay, overlay.Of(rest...), overlay.Of(covered...)); err != nil {
			return cut{}, err
		}
		rest = visible(rest)
	}
	out.left = rest
	return out, nil
}

// within gives what of an opening that ends at the panel's edge, and goes on outside, lies on the panel; nil for
// one that lies all on it.
func (j Job) within(ctx context.Context, o overlay.Options, opening geom.Outline) (geom.Region, error) {
	if len(j.Outline) == 0 {
		return nil, nil
	}
	panel := j.Outline.Box().Grow(-seen)
	if panel.Holds(opening.Box()) {
		return nil, nil
	}
	return overlay.Intersection(ctx, o, overlay.Of(opening), overlay.Operand{Paths: []geom.Path{j.Outline}})
}

// passes gives the ways of a cutter's centre through all that it reaches of an opening.
func (j Job) passes(ctx context.Context, o offset.Options, whole geom.Region, reach offset.Reach, radius geom.Length) ([]geom.Path, error) {
	out := slices.Clone(reach.Lines)
	room, err := offset.By(ctx, whole, -radius, o)
	if err != nil {
		return nil, err
	}
	// Each pass lies half a cutter further in than the last: so nothing stands between two, in corners
	// down to 60° either.
	for room = visible(room); len(room) > 0; {
		for _, path := range room.Paths() { // the wall is on the right of a room's border
			if j.Direction == Conventional {
				path = path.Reverse()
			}
			out = append(out, path)
		}
		if room, err = offset.By(ctx, room, -radius, o); err != nil {
			return nil, err
		}
		room = visible(room)
	}
	return out, nil
}

// visible leaves out pieces no wider than can be seen.
func visible(r geom.Region) geom.Region {
	return slices.DeleteFunc(slices.Clone(r), func(o geom.Outline) bool { return !o.Thicker(seen) })
}
