package shophelper

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// blankBoard knows what of a board is not blank: openings in the mask, paste and legend, holes, parts.
type blankBoard struct {
	things []thing
	index  geom.Index[int]
}

// thing is something that no legend may lie on.
type thing struct {
	what  string
	side  panel.Side // NoSide: both
	shape geom.Shape // and all within half of it
	half  geom.Length
	image *artwork.Image // of what is drawn: the object, which is looked at when it is near
	// object is its number in the image.
	object int
}

// board gathers what is on a board, once.
func (g *ground) board(b *panel.Board) *blankBoard {
	if x := g.boards[b]; x != nil {
		return x
	}
	x := &blankBoard{}
	add := func(t thing, box geom.Box) {
		x.index.Insert(box, len(x.things))
		x.things = append(x.things, t)
	}
	drawn := map[panel.FunctionKind]string{panel.Soldermask: "an opening in the mask", panel.Paste: "paste", panel.Legend: "legend"}
	for _, l := range b.Layers {
		what, ok := drawn[l.Function.Kind]
		if !ok {
			continue
		}
		for i, o := range l.Image.Objects {
			add(thing{what: what, side: l.Function.Side, image: l.Image, object: i}, l.Image.Box(o))
		}
	}
	for _, f := range b.Drills {
		for _, h := range f.Drilling.Holes {
			half := (f.Drilling.Tools[h.Tool].Diameter + 1) / 2
			add(thing{what: "a hole", shape: h.At, half: half}, geom.BoxOf(h.At).Grow(half))
		}
		for _, r := range f.Drilling.Routs {
			half := (f.Drilling.Tools[r.Tool].Diameter + 1) / 2
			add(thing{what: "a slot", shape: r.Path, half: half}, r.Path.Box().Grow(half))
		}
	}
	if !b.PartsElsewhere {
		for _, p := range b.Parts {
			var shape geom.Shape = p.At
			if body, ok := p.BodyOutline(); ok {
				if body.Area() < 0 {
					body = body.Reverse()
				}
				shape = geom.Outline{Outer: body}
			}
			add(thing{what: "part " + p.Refdes, side: p.Side, shape: shape}, shape.Box())
		}
	}
	g.boards[b] = x
	return x
}

// blank refuses legend that does not lie wholly on its copy, on a blank place.
func (g *ground) blank(ctx context.Context, x addedPrint, p panel.Print, c panel.Copy, all []ink) error {
	b := g.board(c.Board)
	back := c.Place.Inverse()
	sides := map[panel.Side]bool{}
	for _, f := range p.Layers {
		sides[f.Side] = true
	}
	for _, i := range all {
		shape := moved(i.shape, back)
		half := float64(i.half)
		if !holds(c.Board.Outline, shape, half) {
			return g.h.wrong(x.place, fmt.Sprintf("does not lie wholly on %s, whose print it is", c.ID))
		}
		what := ""
		var err error
		b.index.Search(shape.Box().Grow(i.half), func(_ geom.Box, k int) bool {
			t := b.things[k]
			if t.side != panel.NoSide && !sides[t.side] {
				return true
			}
			s, extra := t.shape, float64(t.half)
			if t.image != nil {
				var r geom.Region
				if r, err = t.image.RegionIn(ctx, shape.Box().Grow(i.half+geom.UM), []int{t.object}); err != nil {
					return false
				}
				s, extra = r, 0
				if len(r) == 0 {
					return true
				}
			}
			if d, _, _ := geom.Distance(s, shape); d-half-extra < 0 || d == 0 {
				what = t.what
				return false
			}
			return true
		})
		if err != nil {
			return err
		}
		if what != "" {
			return g.h.wrong(x.place, fmt.Sprintf("lies on %s of %s: legend on a board takes a blank place, without openings, paste, legend, holes and parts", what, c.ID))
		}
	}
	return nil
}

// moved maps a shape of ink.
func moved(s geom.Shape, t geom.Transform) geom.Shape {
	switch s := s.(type) {
	case geom.Point:
		return t.Apply(s)
	case geom.Path:
		return t.Path(s)
	case geom.Outline:
		return t.Outline(s)
	}
	return s
}

// holds tells whether a shape, and all within half of it, lies within an outline.
func holds(o geom.Outline, s geom.Shape, half float64) bool {
	var at geom.Point
	switch s := s.(type) {
	case geom.Point:
		at = s
	case geom.Path:
		at = s[0].From
	case geom.Outline:
		at = s.Outer[0].From
	}
	if o.Locate(at) != geom.Inside {
		return false
	}
	for _, e := range o.Edges() {
		if d, _, _ := geom.Distance(e, s); d <= half {
			return false
		}
	}
	return true
}
