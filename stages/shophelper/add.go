package shophelper

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
)

// add holds the additions against the panel and adds them.
func (h *ShopHelper) add(ctx context.Context, in panel.Panel, a additions) (panel.Panel, error) {
	first := func(list string) error {
		at := map[string]func() place{prints: func() place { return a.prints[0].place }, toolingHoles: func() place { return a.holes[0].place }, fiducials: func() place { return a.fiducials[0].place }}[list]()
		if h.As != "shape" {
			return h.wrong(at, fmt.Sprintf(`adds to the panel, which a helper of the role %s must not: say role = "shape", or leave it out`, h.As))
		}
		return h.wrong(at, fmt.Sprintf("adds %s, and the recipe's adds does not name them: add %q there, or leave it out", strings.ReplaceAll(list, "_", " "), list))
	}
	for _, x := range []struct {
		list string
		n    int
	}{{prints, len(a.prints)}, {toolingHoles, len(a.holes)}, {fiducials, len(a.fiducials)}} {
		if x.n > 0 && (h.As != "shape" || !slices.Contains(h.Adds, x.list)) {
			return panel.Panel{}, first(x.list)
		}
	}
	g := &ground{h: h, in: in, layers: map[string]panel.Function{}, box: in.Outline().Box(), boards: map[*panel.Board]*blankBoard{}}
	for _, f := range in.Functions() {
		f.Type = ""
		g.layers[f.Key()] = f
	}
	e := in.Edit()
	taken := map[string]bool{}
	claim := func(id string, p place) (string, error) {
		id = h.Name + "/" + id
		if taken[id] {
			return "", h.wrong(p.below("id"), "is there twice: every addition has an id of its own")
		}
		taken[id] = true
		return id, nil
	}
	for _, x := range a.prints {
		p, err := g.print(ctx, x)
		if err != nil {
			return panel.Panel{}, err
		}
		if p.ID, err = claim(p.ID, x.place); err != nil {
			return panel.Panel{}, err
		}
		e.AddPrint(p)
	}
	for _, x := range append(slices.Clone(a.holes), a.fiducials...) {
		m, err := g.mark(x)
		if err != nil {
			return panel.Panel{}, err
		}
		if m.ID, err = claim(m.ID, x.place); err != nil {
			return panel.Panel{}, err
		}
		e.AddMark(m)
	}
	out, err := e.Build()
	if err != nil {
		return panel.Panel{}, fmt.Errorf("%s: %w", h.title(), err)
	}
	return out, nil
}

// ground is the panel that additions lie on.
type ground struct {
	h      *ShopHelper
	in     panel.Panel
	layers map[string]panel.Function
	box    geom.Box
	boards map[*panel.Board]*blankBoard
	solid  []solid
}

// solid is a copy, or laminate that stays on it.
type solid struct {
	copy  string
	shape geom.Outline
	ready *geom.Prepared
}

// on gives the copy that a shape, and all within half of it, reaches into; empty: none.
func (g *ground) on(s geom.Shape, half float64) string {
	if g.solid == nil {
		for _, c := range g.in.Copies() {
			o := geom.Outline{Outer: c.Outline().Outer} // a board's cut-outs are the board's
			g.solid = append(g.solid, solid{c.ID, o, geom.Prepare(o)})
		}
		for _, b := range g.in.Blanks() {
			g.solid = append(g.solid, solid{b.Copy, b.Outline, geom.Prepare(b.Outline)})
		}
	}
	box := s.Box().Grow(geom.Length(half) + 1)
	for _, x := range g.solid {
		if !x.shape.Box().Overlaps(box) {
			continue
		}
		// Touching is no overlap, and rounding no reaching in.
		if d, _, _ := x.ready.Distance(s); d-half < -touch || half <= touch && d == 0 && inside(x.shape, s) {
			return x.copy
		}
	}
	return ""
}

// touch in nm is what counts as no more than touching.
const touch = 500

// inside tells of a shape without a pen that meets an outline whether it reaches into it, more than touch.
func inside(o geom.Outline, s geom.Shape) bool {
	p, ok := s.(geom.Outline)
	if !ok {
		return true
	}
	for _, e := range p.Outer {
		for _, q := range [2]geom.Point{e.From, e.At(0.5)} {
			if o.Locate(q) == geom.Inside && o.Distance(q) > touch {
				return true
			}
		}
	}
	for _, e := range o.Outer {
		for _, q := range [2]geom.Point{e.From, e.At(0.5)} {
			if p.Locate(q) == geom.Inside && p.Distance(q) > touch {
				return true
			}
		}
	}
	for _, e := range o.Outer {
		for _, f := range p.Outer {
			for _, q := range e.Intersections(f) {
				if onlyTouches(o, p, q) {
					continue
				}
				return true
			}
		}
	}
	return false
}

// onlyTouches tells whether nothing of both lies round a point in which their edges meet.
func onlyTouches(o, p geom.Outline, q geom.Point) bool {
	const r = 2 * touch
	for _, d := range []geom.Point{{X: r, Y: r}, {X: -r, Y: r}, {X: -r, Y: -r}, {X: r, Y: -r}} {
		if x := q.Add(d); o.Locate(x) == geom.Inside && p.Locate(x) == geom.Inside {
			return false
		}
	}
	return true
}

// layer finds a layer by its name.
func (g *ground) layer(name string) (panel.Function, bool) {
	if f, ok := g.layers[name]; ok {
		return f, true
	}
	switch kind, side, _ := strings.Cut(name, "-"); {
	case kind == string(panel.Legend): // where no board has any, the panel's own makes one
		return panel.Function{Kind: panel.Legend, Side: panel.Side(side)}, true
	}
	return panel.Function{}, false
}

// kindsOf are the kinds of layers that a use may stand on.
var kindsOf = map[panel.PrintUse][]panel.FunctionKind{
	panel.Lettering: {panel.Legend, panel.Copper}, panel.Code: {panel.Legend, panel.Copper}, panel.LabelArea: {panel.Legend, panel.Copper},
	panel.OnBoard: {panel.Legend}, panel.Thieving: {panel.Copper}, panel.BadBoard: {panel.Legend, panel.Copper, panel.Soldermask}, panel.RailMask: {panel.Soldermask},
}

func (g *ground) print(ctx context.Context, x addedPrint) (panel.Print, error) {
	p := x.print
	bad := func(at place, format string, a ...any) (panel.Print, error) {
		return panel.Print{}, g.h.wrong(at, fmt.Sprintf(format, a...))
	}
	for i, name := range x.layers {
		at := x.below("layers").below(strconv.Itoa(i))
		f, ok := g.layer(name)
		switch {
		case !ok:
			return bad(at, "is %s, and no board on the panel has such a layer", name)
		case slices.Contains(p.Layers, f):
			return bad(at, "names %s twice", name)
		case !slices.Contains(kindsOf[p.Use], f.Kind):
			return bad(at, "is %s, and prints for %s stand on %s", name, p.Use, kindWords(kindsOf[p.Use]))
		case i > 0 && f.Kind != p.Layers[0].Kind:
			return bad(at, "is %s, and the print stands on %s already: layers of two kinds take two prints", name, x.layers[0])
		case i > 0 && f.Side != p.Layers[0].Side && len(x.letters) > 0:
			return bad(at, "is %s, and letters stand on one side: what is read on one is mirrored on the other", name)
		}
		p.Layers = append(p.Layers, f)
	}
	if len(p.Dots)+len(p.Lines)+len(p.Areas)+len(x.letters) == 0 && p.Use != panel.LabelArea {
		return bad(x.place, "draws nothing: it has none of circles, strokes, polygons and letters")
	}
	for i, l := range p.Lines {
		if len(l.Path) == 0 {
			return bad(x.shapes[len(p.Dots)+i], "has no length: its points are one; draw a circle")
		}
	}
	for i, a := range p.Areas {
		at := x.shapes[len(p.Dots)+len(p.Lines)+i]
		if len(a) < 3 {
			return bad(at, "encloses nothing: it has fewer than three corners")
		}
		if err := a.Check(); err != nil {
			return bad(at, "touches or crosses itself%s", where(err))
		}
		if a.Area() < 0 {
			p.Areas[i] = a.Reverse()
		}
	}
	for _, d := range p.Dots {
		if d.Diameter == 0 {
			return bad(x.place, "has a circle of less than a nanometre")
		}
	}
	if err := x.write(&p); err != nil {
		return bad(err.at, "%s", err.what)
	}
	p.Area = geom.EmptyBox()
	ink := inkOf(p)
	for _, i := range ink {
		p.Area = p.Area.Union(i.box())
	}
	if x.area != nil {
		if !p.Area.Empty() && !x.area.Holds(p.Area) {
			return bad(x.areaAt, "reaches from %v to %v mm, and what is drawn from %v to %v", x.area.Min, x.area.Max, p.Area.Min, p.Area.Max)
		}
		p.Area = *x.area
	}
	if p.Area.Width() == 0 || p.Area.Height() == 0 {
		return bad(x.areaAt, "encloses nothing")
	}
	if !g.box.Holds(p.Area) {
		return bad(x.place, "takes up %v to %v mm, and the panel reaches from %v to %v", p.Area.Min, p.Area.Max, g.box.Min, g.box.Max)
	}
	return p, g.lies(ctx, x, p, ink)
}

// where says where a path is at fault, if its error knows.
func where(err error) string {
	var o *geom.OutlineError
	if errors.As(err, &o) {
		return fmt.Sprintf(" at %v mm", o.At)
	}
	return ""
}

func kindWords(kinds []panel.FunctionKind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, string(k))
	}
	return strings.Join(words, " or ")
}

// fault is a fault of an addition.
type fault struct {
	at   place
	what string
}

// write writes the letters into the print.
func (x addedPrint) write(p *panel.Print) *fault {
	var texts []string
	for _, l := range x.letters {
		align := lettering.Align(l.align)
		if align == "" {
			align = lettering.Left
		}
		lay, err := lettering.Lay(l.text, l.height, l.width, align)
		if err != nil {
			return &fault{l.place, "cannot be written: " + err.Error()}
		}
		lay = lay.Place(p.Layers[0].Side, l.turn, l.at)
		p.Lines, p.Dots = append(p.Lines, lay.Lines...), append(p.Dots, lay.Dots...)
		if p.LetterHeight == 0 || l.height < p.LetterHeight {
			p.LetterHeight = l.height
		}
		texts = append(texts, l.text)
	}
	if p.Text == "" {
		p.Text = strings.Join(texts, "\n")
	}
	return nil
}

// ink is a part of what a print draws: a shape and all within half of it.
type ink struct {
	shape geom.Shape
	half  geom.Length // of a pen's width, rounded up
}

func (i ink) box() geom.Box { return i.shape.Box().Grow(i.half) }

func inkOf(p panel.Print) (out []ink) {
	for _, d := range p.Dots {
		out = append(out, ink{d.At, (d.Diameter + 1) / 2})
	}
	for _, l := range p.Lines {
		out = append(out, ink{l.Path, (l.Width + 1) / 2})
	}
	for _, a := range p.Areas {
		out = append(out, ink{geom.Outline{Outer: a}, 0})
	}
	return out
}

// lies refuses a print that lies where it may not: copies are as their boards' files have them, but for legend on a blank
// place of theirs.
func (g *ground) lies(ctx context.Context, x addedPrint, p panel.Print, ink []ink) error {
	bad := func(format string, a ...any) error { return g.h.wrong(x.place, fmt.Sprintf(format, a...)) }
	var copy *panel.Copy
	if p.Copy != "" {
		all := g.in.Copies()
		i := slices.IndexFunc(all, func(c panel.Copy) bool { return c.ID == p.Copy })
		if i < 0 {
			return g.h.wrong(x.below("copy"), fmt.Sprintf("is %q, and the panel has no such copy", p.Copy))
		}
		copy = &all[i]
	}
	if p.Use == panel.OnBoard {
		return g.blank(ctx, x, p, *copy, ink)
	}
	if p.Use == panel.Code || p.Use == panel.LabelArea {
		ink = append(ink, areaInk(p.Area))
	}
	for _, i := range ink {
		c := g.on(i.shape, float64(i.half))
		switch {
		case c == "":
		case p.Use == panel.BadBoard && c == p.Copy && p.Layers[0].Kind == panel.Legend:
			return g.blank(ctx, x, p, *copy, ink)
		case p.Layers[0].Kind == panel.Legend && p.Use != panel.BadBoard:
			return bad("lies on %s: what is printed on a board is use on_board with its copy, on a blank place", c)
		default:
			return bad("lies on %s: a helper changes nothing of the boards", c)
		}
	}
	return nil
}

func areaInk(b geom.Box) ink { return ink{geom.Outline{Outer: geom.Rectangle(b)}, 0} }

// mark refuses a mark that lies where it may not.
func (g *ground) mark(x addedMark) (panel.Mark, error) {
	m, reach := x.mark, x.mark.Diameter
	if m.Kind == panel.Fiducial {
		switch {
		case m.Mask < m.Diameter:
			return m, g.h.wrong(x.below("mask_diameter_mm"), "must be at least copper_diameter_mm")
		case m.Clear < m.Mask:
			return m, g.h.wrong(x.below("clear_diameter_mm"), "must be at least mask_diameter_mm")
		}
		for _, s := range m.Sides {
			if !slices.ContainsFunc(g.in.Functions(), func(f panel.Function) bool { return f.Kind == panel.Copper && f.Side == s }) {
				return m, g.h.wrong(x.below("sides"), fmt.Sprintf("names the %s, and no board on the panel has copper there", s))
			}
		}
		reach = m.Mask
	}
	if box := geom.BoxOf(m.At).Grow((reach + 1) / 2); !g.box.Holds(box) {
		return m, g.h.wrong(x.place, fmt.Sprintf("takes up %v to %v mm, and the panel reaches from %v to %v", box.Min, box.Max, g.box.Min, g.box.Max))
	}
	if c := g.on(m.At, float64(reach)/2); c != "" {
		return m, g.h.wrong(x.place, fmt.Sprintf("lies on %s: a helper changes nothing of the boards", c))
	}
	return m, nil
}
