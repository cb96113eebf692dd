package rule

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// body is a part's body as it lies on its board.
type body struct {
	panel.Part
	outline geom.Outline
	inner   geom.Outline // the same without half a micrometre all round: bodies that touch do not overlap
	hangs   bool         // it stands out over the board's edge
}

// underside is how high above the board's face the body begins, where it stands out; 0 on the face.
func (b body) underside() geom.Length {
	if b.hangs {
		return b.Body.Underside
	}
	return 0
}

func (b body) name(of *panel.Board) string {
	if b.Package == "" {
		return b.Refdes + " of board " + of.Name
	}
	return fmt.Sprintf("%s (%s) of board %s", b.Refdes, b.Package, of.Name)
}

// bodies gives the bodies that the shop's table says.
func bodies(b *panel.Board) []body {
	if b.PartsElsewhere {
		return nil
	}
	var out []body
	for _, p := range b.Parts {
		if p.Body.By != panel.ByTable {
			continue
		}
		path, ok := p.BodyOutline()
		if !ok {
			continue
		}
		const skin = 2 * geom.Length(tolerance*1e6)
		q := p
		q.Body.Length, q.Body.Width = max(p.Body.Length-skin, 1), max(p.Body.Width-skin, 1)
		inner, _ := q.BodyOutline()
		out = append(out, body{p, geom.Outline{Outer: path}, geom.Outline{Outer: inner}, b.OverEdge(p) > 0})
	}
	return out
}

// bodySet keeps the bodies of each board.
type bodySet map[*panel.Board][]body

func bodiesOf(p panel.Panel) bodySet {
	out := bodySet{}
	for _, c := range p.Copies() {
		if _, ok := out[c.Board]; !ok {
			out[c.Board] = bodies(c.Board)
		}
	}
	return out
}

// extent is the room that all bodies of a board take.
func (s bodySet) extent(b *panel.Board) geom.Box {
	box := geom.EmptyBox()
	for _, x := range s[b] {
		box = box.Union(x.outline.Box())
	}
	return box
}

// facing calls f for every two bodies of neighbouring copies, on the same side, that come within reach of each
// other: y lies as it does in a's coordinates, d and at tell how far apart they are and where on x.
func (s bodySet) facing(ctx context.Context, p panel.Panel, reach geom.Length, f func(m meeting, x, y body, d float64, at geom.Point)) error {
	for _, m := range meetings(p.Copies(), s.extent, reach) {
		if err := ctx.Err(); err != nil {
			return err
		}
		var index geom.Index[int]
		for i, x := range s[m.a] {
			index.Insert(x.outline.Box(), i)
		}
		all := s.extent(m.a).Grow(reach)
		for _, y := range s[m.b] {
			box := m.rel.Box(y.outline.Box()).Grow(reach)
			if !box.Overlaps(all) {
				continue
			}
			var hits []int
			index.Search(box, func(_ geom.Box, i int) bool {
				hits = append(hits, i)
				return true
			})
			slices.Sort(hits)
			y.outline = m.rel.Outline(y.outline)
			for _, i := range hits {
				x := s[m.a][i]
				if x.Side != y.Side {
					continue
				}
				if d, at, _ := geom.Distance(x.outline, y.outline); d <= float64(reach) {
					f(m, x, y, d, at)
				}
			}
		}
	}
	return nil
}

// over tells whether one of two bodies hangs over the other, or would but for its height: they overlap on the
// plan, and the underside of one of them is known.
func over(x, y body) bool {
	if x.underside() == 0 && y.underside() == 0 {
		return false
	}
	d, _, _ := geom.Distance(x.inner, y.outline)
	return d == 0
}

// partCollision finds parts of neighbouring copies that stand too close to each other.
func partCollision(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	err := bodiesOf(in.Panel).facing(ctx, in.Panel, geom.FromMM(in.Limit), func(m meeting, x, y body, d float64, at geom.Point) {
		v := math.Round(d) / 1e6
		if v >= in.Limit-tolerance || over(x, y) {
			return
		}
		for _, pair := range [2][2]body{{x, y}, {y, x}} { // one hangs higher than the other is
			if u, h := pair[0].underside(), pair[1].Body.Height; h > 0 && u >= h {
				return
			}
		}
		what := fmt.Sprintf("comes within %s mm of", trim(v))
		if v <= 0 {
			what = "takes the room of"
		}
		a := m.pairs[0]
		place := a[0].Place.Apply(at)
		out = append(out, pipeline.Finding{
			Message: fmt.Sprintf("%s on %s %s %s on %s; at least %v mm are asked for between the parts of two copies", x.name(m.a), a[0].ID, what, y.name(m.b), a[1].ID, in.Limit),
			At:      &place, Feature: partID(a[0].ID, x.Part), Copies: m.copies(), Measured: &v,
		})
	})
	return out, err
}

// hanging begins a finding about one body that hangs over another, and tells which is which.
func hanging(m meeting, x, y body, at geom.Point) (f pipeline.Finding, head string, upper, lower body) {
	a := m.pairs[0]
	upper, lower, ub, lb, uc, lc := x, y, m.a, m.b, a[0].ID, a[1].ID
	if y.underside() > x.underside() || y.underside() == x.underside() && x.Body.Height > y.Body.Height {
		upper, lower, ub, lb, uc, lc = y, x, m.b, m.a, a[1].ID, a[0].ID
	}
	place := a[0].Place.Apply(at)
	return pipeline.Finding{At: &place, Feature: partID(uc, upper.Part), Copies: m.copies()},
		fmt.Sprintf("%s on %s hangs over %s on %s", upper.name(ub), uc, lower.name(lb), lc), upper, lower
}

// partOverPart finds parts that hang over a neighbouring copy's part with too little room between them.
func partOverPart(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	err := bodiesOf(in.Panel).facing(ctx, in.Panel, 0, func(m meeting, x, y body, _ float64, at geom.Point) {
		if !over(x, y) {
			return
		}
		f, head, upper, lower := hanging(m, x, y, at)
		if lower.Body.Height == 0 {
			return // no figure: part-over-edge tells of it
		}
		v := (upper.underside() - lower.Body.Height).MM()
		if v >= in.Limit-tolerance {
			return
		}
		f.Measured = &v
		f.Message = fmt.Sprintf("%s: its underside lies %s mm above the board, and that is %s mm high; at least %v mm are asked for between them",
			head, trim(upper.underside().MM()), trim(lower.Body.Height.MM()), in.Limit)
		out = append(out, f)
	})
	return out, err
}

// partOverEdge finds parts that stand out over their board's edge and there lie over what they should not.
func partOverEdge(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	hang := false
	set := bodiesOf(p)
	var out []pipeline.Finding
	if err := set.facing(ctx, p, 0, func(m meeting, x, y body, _ float64, at geom.Point) {
		if !over(x, y) {
			return
		}
		if f, head, _, lower := hanging(m, x, y, at); lower.Body.Height == 0 {
			f.Severity = pipeline.Warning
			f.Message = head + ", whose height the table of bodies does not say: whether it has room there cannot be judged"
			out = append(out, f)
		}
	}); err != nil {
		return nil, err
	}
	for b, all := range set {
		set[b] = slices.DeleteFunc(all, func(x body) bool { return !x.hangs })
		hang = hang || len(set[b]) > 0
	}
	if !hang {
		return nil, nil
	}
	obstacles, index := inTheWay(p)
	// What lies alike beneath a part of several copies is looked at once.
	type situation struct {
		board, other *panel.Board
		part         int
		rel          geom.Transform
	}
	type answer struct {
		is bool
		at geom.Point // in the board's coordinates
	}
	alike := map[situation]answer{}
	type key struct {
		board  *panel.Board
		refdes string
		at     geom.Point // of the part on its board: designators may stand twice
		what   string
	}
	told := map[key]int{}
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for n, x := range set[c.Board] {
			report := func(what, id, why string, at geom.Point, severity pipeline.Severity) {
				k := key{c.Board, x.Refdes, x.At, what}
				if i, ok := told[k]; ok {
					if f := &out[i]; f.Copies[len(f.Copies)-1] != c.ID {
						f.Copies = append(f.Copies, c.ID)
					}
					return
				}
				told[k] = len(out)
				if id != "" {
					what += " " + id
				}
				out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s on %s stands out over %s: %s", x.name(c.Board), c.ID, what, why),
					At: &at, Feature: partID(c.ID, x.Part), Copies: []string{c.ID}, Severity: severity})
			}
			mine := x
			mine.outline, mine.inner = c.Place.Outline(x.outline), c.Place.Outline(x.inner)
			var hits []int
			index.Search(mine.outline.Box(), func(_ geom.Box, i int) bool {
				hits = append(hits, i)
				return true
			})
			slices.Sort(hits)
			for _, i := range hits {
				w := obstacles[i]
				if w.id == c.ID {
					continue
				}
				if w.copy == nil {
					if at, ok := w.under(mine); ok {
						report(w.what, w.id, w.why, at, w.severity)
					}
					continue
				}
				k := situation{c.Board, w.copy.Board, n, w.copy.Place.Then(c.Place.Inverse())}
				a, ok := alike[k]
				if !ok {
					at, is := w.under(mine)
					a = answer{is, c.Place.Inverse().Apply(at)}
					alike[k] = a
				}
				if a.is {
					report(w.what, w.id, w.why, c.Place.Apply(a.at), w.severity)
				}
			}
			turned := x.Part
			turned.At, turned.Turn = c.Place.Apply(x.At), (x.Turn + c.Place.Turn).Normal()
			if by := (&panel.Board{Outline: geom.Outline{Outer: p.Outline().Outer}}).OverEdge(turned); by > 0 {
				report("the panel's edge", "", fmt.Sprintf("conveyors, stacks and hands strike what stands out there (by %s)", by), turned.At, pipeline.Warning)
			}
		}
	}
	return out, nil
}

// obstacle is something that a part which stands out over its board's edge should not lie over.
type obstacle struct {
	what, id, why string
	severity      pipeline.Severity // the most that it weighs; empty: the rule's own
	copy          *panel.Copy       // a neighbouring board
	area          geom.Outline
	line          *geom.Edge // a score line instead of an area, with half its groove
	half          float64
}

// under tells whether it lies beneath a body, and where.
func (w obstacle) under(x body) (geom.Point, bool) {
	if w.line == nil {
		d, at, _ := geom.Distance(x.inner, w.area)
		return at, d == 0
	}
	d, at, _ := geom.Distance(x.outline, *w.line)
	return at, d == 0 || d < w.half-tolerance*1e6
}

// inTheWay lists what parts should not stand out over. Slots are no obstacle: they are for that.
func inTheWay(p panel.Panel) ([]obstacle, *geom.Index[int]) {
	var out []obstacle
	var index geom.Index[int]
	add := func(w obstacle, box geom.Box) {
		index.Insert(box, len(out))
		out = append(out, w)
	}
	for _, c := range p.Copies() {
		o := c.Outline()
		add(obstacle{what: "the neighbouring board", id: c.ID, copy: &c, severity: pipeline.Warning, area: o,
			why: "one of them catches the other when the boards are parted or turned over"}, o.Box())
	}
	for _, r := range p.Rails() {
		add(obstacle{what: "a rail,", id: r.ID, severity: pipeline.Warning, area: geom.Outline{Outer: geom.Rectangle(r.Box)},
			why: "it can be struck by what holds or carries the rail, and the rail must come off from beneath it"}, r.Box)
	}
	for _, t := range p.Tabs() {
		o := geom.Outline{Outer: tabArea(t)}
		add(obstacle{what: "a tab,", id: t.ID, severity: pipeline.Warning, area: o,
			why: "it is in the way when the tab is broken"}, o.Box())
	}
	for _, s := range p.Scores() {
		e, half := s.Groove(), s.HalfWidth()
		add(obstacle{what: "a score line,", id: s.ID, line: &e, half: float64(half),
			why: "the blade that scores or parts the panel there runs into it"}, e.Box().Grow(half))
	}
	return out, &index
}

// tabArea is the tab from foot to foot, as wide as its waist.
func tabArea(t panel.Tab) geom.Path {
	d := t.Feet[1].Sub(t.Feet[0])
	n := d.Norm()
	if n == 0 {
		return nil
	}
	half := float64(t.Width) / 2
	off := geom.Pt(geom.Round(-float64(d.Y)*half/n), geom.Round(float64(d.X)*half/n))
	a, b, c, e := t.Feet[0].Sub(off), t.Feet[1].Sub(off), t.Feet[1].Add(off), t.Feet[0].Add(off)
	return geom.Path{geom.Line(a, b), geom.Line(b, c), geom.Line(c, e), geom.Line(e, a)}
}
