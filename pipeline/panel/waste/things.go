// Package waste knows what of a panel is waste that stays until the boards are broken out, and what lies on it
// and beside it: for those who put something there, and for those who judge what was put.
package waste

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind says what a Thing is.
type Kind uint8

// The kinds of things.
const (
	Board    Kind = iota // a copy, as far as its outer edge, with the blank laminate that stays on it
	Data                 // what a board's files draw beyond its edge
	Break                // slots, tabs, perforations, the grooves of score lines
	Edge                 // the panel's own edge
	Hole                 // tooling holes, and boards' holes beyond their edge
	Fiducial             // the clear area of a fiducial
	Printed              // what the panel prints of its own, but for thieving and openings in the mask over waste
)

// Thing is something that takes room on a panel: its shape, and all within Half of it.
type Thing struct {
	ID    string
	Kind  Kind
	Shape geom.Shape // an Edge, a Path (as lines), a Point, or an Outline (as an area)
	Half  geom.Length
	Print *panel.Print // of Printed
}

// Reach is how far, in nm, the thing lies from a shape: 0 or less where they touch.
func (t Thing) Reach(to geom.Shape) float64 {
	d, _, _ := geom.Distance(to, t.Shape)
	return d - float64(t.Half)
}

// Things lists all that takes room on the panel, in a fixed order.
func Things(ctx context.Context, p panel.Panel) ([]Thing, error) {
	var out []Thing
	for _, e := range p.Outline().Edges() {
		out = append(out, Thing{ID: "the panel's edge", Kind: Edge, Shape: e})
	}
	for _, c := range p.Copies() {
		out = append(out, Thing{ID: c.ID, Kind: Board, Shape: geom.Outline{Outer: c.Outline().Outer}})
	}
	for _, x := range p.Blanks() {
		out = append(out, Thing{ID: x.ID, Kind: Board, Shape: x.Outline})
	}
	for _, s := range p.Slots() {
		out = append(out, Thing{ID: s.ID, Kind: Break, Shape: s.Outline})
	}
	for _, t := range p.Tabs() {
		out = append(out, Thing{ID: t.ID, Kind: Break, Shape: tabShape(t)})
	}
	for _, h := range p.Perforations() {
		out = append(out, Thing{ID: h.ID, Kind: Break, Shape: h.At, Half: (h.Diameter + 1) / 2})
	}
	for _, s := range p.Scores() {
		out = append(out, Thing{ID: s.ID, Kind: Break, Shape: s.Groove(), Half: s.HalfWidth()})
	}
	for _, m := range p.Marks() {
		switch m.Kind {
		case panel.ToolingHole:
			out = append(out, Thing{ID: m.ID, Kind: Hole, Shape: m.At, Half: (m.Diameter + 1) / 2})
		case panel.Fiducial:
			out = append(out, Thing{ID: m.ID, Kind: Fiducial, Shape: m.At, Half: (max(m.Clear, m.Mask, m.Diameter) + 1) / 2})
		}
	}
	for _, x := range p.Prints() {
		if x.Use != panel.Thieving && x.Use != panel.RailMask {
			out = append(out, Thing{ID: x.ID, Kind: Printed, Shape: geom.Outline{Outer: geom.Rectangle(x.Area)}, Print: &x})
		}
	}
	out = append(out, holesBeyond(p)...)
	data, err := dataBeyond(ctx, p)
	return append(out, data...), err
}

// tabShape is a tab between its feet, as wide as its waist. Where it gets wider towards its feet, the slots are near.
func tabShape(t panel.Tab) geom.Shape {
	d := t.Feet[1].Sub(t.Feet[0])
	n := d.Norm()
	if n == 0 {
		// Its feet are one place: it runs along the edge there.
		by := func(v geom.Length) geom.Length { return geom.Length(geom.MulDiv(int64(v), int64(t.Width), 2_000_000)) }
		half := geom.Pt(by(t.Along.X), by(t.Along.Y))
		return geom.Line(t.Feet[0].Sub(half), t.Feet[0].Add(half))
	}
	k := float64(t.Width) / 2 / n
	side := geom.Pt(-geom.Round(float64(d.Y)*k), geom.Round(float64(d.X)*k))
	a, b, c, e := t.Feet[0].Sub(side), t.Feet[1].Sub(side), t.Feet[1].Add(side), t.Feet[0].Add(side)
	path := geom.Path{geom.Line(a, b), geom.Line(b, c), geom.Line(c, e), geom.Line(e, a)}
	if path.Area() < 0 {
		path = path.Reverse()
	}
	return geom.Outline{Outer: path}
}

// holesBeyond lists the boards' holes and slots that do not lie wholly on their board.
func holesBeyond(p panel.Panel) []Thing {
	type found struct {
		path geom.Path
		half geom.Length
	}
	of := map[*panel.Board][]found{}
	for _, c := range p.Copies() {
		if _, ok := of[c.Board]; ok {
			continue
		}
		list := []found{}
		edge := newBoardEdge(c.Board)
		outline := edge.outline
		beyond := func(path geom.Path, half geom.Length) bool {
			if edge.holds(path.Box().Grow(half)) {
				return false
			}
			for _, e := range path {
				for _, q := range [3]geom.Point{e.From, e.At(0.5), e.To} {
					if outline.Locate(q) == geom.Outside || outline.Distance(q) < float64(half) {
						return true
					}
				}
			}
			return false
		}
		for _, f := range c.Board.Drills {
			for _, h := range f.Drilling.Holes {
				if half := (f.Drilling.Tools[h.Tool].Diameter + 1) / 2; beyond(geom.Path{geom.Line(h.At, h.At)}, half) {
					list = append(list, found{geom.Path{geom.Line(h.At, h.At)}, half})
				}
			}
			for _, r := range f.Drilling.Routs {
				if half := (f.Drilling.Tools[r.Tool].Diameter + 1) / 2; beyond(r.Path, half) {
					list = append(list, found{r.Path, half})
				}
			}
		}
		of[c.Board] = list
	}
	var out []Thing
	for _, c := range p.Copies() {
		for _, x := range of[c.Board] {
			out = append(out, Thing{ID: c.ID + "/hole", Kind: Hole, Shape: c.Place.Path(x.path), Half: x.half})
		}
	}
	return out
}

// dataBeyond lists what the boards' files draw beyond their edge, as the panel carries it.
func dataBeyond(ctx context.Context, p panel.Panel) ([]Thing, error) {
	carrier, err := p.NewCarrier(ctx)
	if err != nil {
		return nil, err
	}
	var out []Thing
	b := &beyond{done: map[drawn]geom.Region{}, edges: map[*panel.Board]*boardEdge{}}
	for _, c := range p.Copies() {
		for i := range c.Board.Layers {
			l := &c.Board.Layers[i]
			if l.Function.Kind == panel.Profile {
				continue
			}
			image, _ := carrier.Layer(c, l)
			r, err := b.of(ctx, c.Board, image)
			if err != nil {
				return nil, fmt.Errorf("layer %s of %s: %w", l.Function.Key(), c.ID, err)
			}
			for _, o := range r {
				out = append(out, Thing{ID: c.ID + "/" + l.Function.Key(), Kind: Data, Shape: c.Place.Outline(o)})
			}
		}
	}
	return out, nil
}
