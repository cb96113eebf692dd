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

// readable are the uses of prints that people or machines read.
var readable = []panel.PrintUse{panel.Lettering, panel.Code, panel.LabelArea, panel.OnBoard}

// perCopy tells of prints once where each copy has one: names and marks of bad boards, which one option made.
type perCopy struct {
	groups []printGroup
	at     map[likeness]int
}

// likeness is what prints have in common that are told together.
type likeness struct {
	use   panel.PrintUse
	kind  panel.FunctionKind
	what  string // "a stroke"
	size  geom.Length
	alone string // the id of a print that is of no copy: it is told by itself
}

type printGroup struct {
	likeness
	prints []panel.Print
}

// add takes a print of which something is of a size.
func (c *perCopy) add(p panel.Print, what string, size geom.Length) {
	k := likeness{use: p.Use, kind: p.Layers[0].Kind, what: what, size: size}
	if p.Copy == "" {
		k.alone = p.ID
	}
	if c.at == nil {
		c.at = map[likeness]int{}
	}
	i, ok := c.at[k]
	if !ok {
		i = len(c.groups)
		c.at[k] = i
		c.groups = append(c.groups, printGroup{likeness: k})
	}
	c.groups[i].prints = append(c.groups[i].prints, p)
}

// findings gives one finding a group, in the order of the first of each; say words it, of the first print and
// those like it.
func (c *perCopy) findings(say func(what, of string, v float64) string) (out []pipeline.Finding) {
	for _, g := range c.groups {
		first := g.prints[0]
		of := first.ID
		switch n := len(g.prints) - 1; {
		case n == 1:
			of += " and of 1 print like it"
		case n > 1:
			of += fmt.Sprintf(" and of %d prints like it", n)
		}
		var copies []string
		for _, p := range g.prints {
			if p.Copy != "" && !slices.Contains(copies, p.Copy) {
				copies = append(copies, p.Copy)
			}
		}
		at, v := first.Area.Center(), g.size.MM()
		out = append(out, pipeline.Finding{Message: say(g.what, of, v), At: &at, Feature: first.ID, Copies: copies, Measured: &v})
	}
	return out
}

func legendStroke(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var thin perCopy
	for _, p := range in.Panel.Prints() {
		if p.Use != panel.BadBoard && !slices.Contains(readable, p.Use) {
			continue
		}
		what, narrowest := "a stroke", geom.Limit
		for _, l := range p.Lines {
			narrowest = min(narrowest, l.Width)
		}
		for _, d := range p.Dots {
			if d.Diameter < narrowest {
				what, narrowest = "a dot", d.Diameter
			}
		}
		if p.Use == panel.Code {
			for _, a := range p.Areas {
				for _, e := range a { // edges run along whole squares
					if d := geom.Round(e.Length()); d < narrowest {
						what, narrowest = "a square", d
					}
				}
			}
		}
		if narrowest < geom.Limit && narrowest.MM() < in.Limit-tolerance {
			thin.add(p, what, narrowest)
		}
	}
	return thin.findings(func(what, of string, v float64) string {
		return fmt.Sprintf("%s of %s is %s mm wide; at least %v mm are asked for", what, of, trim(v), in.Limit)
	}), nil
}

func legendHeight(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var low perCopy
	for _, p := range in.Panel.Prints() {
		if p.LetterHeight > 0 && p.LetterHeight.MM() < in.Limit-tolerance {
			low.add(p, "the letters", p.LetterHeight)
		}
	}
	return low.findings(func(what, of string, v float64) string {
		return fmt.Sprintf("%s of %s are %s mm high; at least %v mm are asked for", what, of, trim(v), in.Limit)
	}), nil
}

// inked is a part of what a print takes up: a shape, and all within pad nm of it.
type inked struct {
	shape geom.Shape
	pad   float64
	inner geom.Shape // of an area: the shape less the rules' tolerance, so that what only touches does not overlap
}

func (x inked) box() geom.Box { return x.shape.Box().Grow(geom.Length(math.Ceil(x.pad))) }

// slack is the rules' tolerance in whole nanometres.
const slack = 500 * geom.NM

// inkOf gives what a print takes up: what it draws, or its whole area where that must be free.
func inkOf(p panel.Print) []inked {
	if p.Use == panel.Code || p.Use == panel.LabelArea {
		return []inked{{geom.Outline{Outer: geom.Rectangle(p.Area)}, 0, geom.Outline{Outer: geom.Rectangle(p.Area.Grow(-slack))}}}
	}
	var out []inked
	for _, d := range p.Dots {
		out = append(out, inked{d.At, float64(d.Diameter) / 2, nil})
	}
	for _, l := range p.Lines {
		out = append(out, inked{l.Path, float64(l.Width) / 2, nil})
	}
	for _, a := range p.Areas {
		out = append(out, inked{geom.Outline{Outer: a}, 0, nil})
	}
	return out
}

// meets tells whether two parts overlap, and where; touching is no overlap.
func (x inked) meets(y inked) (geom.Point, bool) {
	if !x.box().Overlaps(y.box()) {
		return geom.Point{}, false
	}
	if x.pad+y.pad == 0 {
		if x.inner != nil {
			x.shape = x.inner
		}
		d, at, _ := geom.Distance(x.shape, y.shape)
		return at, d == 0
	}
	d, at, _ := geom.Distance(x.shape, y.shape)
	return at, d-x.pad-y.pad < -float64(slack)
}

// underPrint is something that no print may lie on.
type underPrint struct {
	id     string
	copies []string
	inked
}

func legendOverlap(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	prints := in.Panel.Prints()
	var out []pipeline.Finding
	for i, p := range prints {
		if !slices.Contains(readable, p.Use) {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		ink := inkOf(p)
		told := map[string]bool{}
		tell := func(id, verb string, copies []string, at geom.Point) {
			if !told[id] {
				told[id] = true
				out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s %s %s", p.ID, verb, id), At: &at, Feature: p.ID, Copies: copies})
			}
		}
		for _, x := range ink {
			if at, beyond := beyondEdge(in.Panel, x); beyond {
				tell("the panel's edge", "reaches beyond", nil, at)
			}
		}
		for _, u := range under(in.Panel, p) {
			if p.Use == panel.OnBoard && slices.Contains(u.copies, p.Copy) {
				continue // it is to stay on it
			}
			for _, x := range ink {
				if at, on := x.meets(u.inked); on {
					tell(u.id, "lies on", u.copies, at)
					break
				}
			}
		}
		for k, q := range prints {
			// Of two that are looked at, the later one is told of.
			if k == i || q.Use == panel.RailMask || !sameSide(p, q) || !p.Area.Overlaps(q.Area) || k > i && slices.Contains(readable, q.Use) {
				continue
			}
			for _, y := range inkOf(q) {
				if told[q.ID] {
					break
				}
				if !y.box().Overlaps(p.Area) {
					continue
				}
				for _, x := range ink {
					if at, on := x.meets(y); on {
						tell(q.ID, "lies on", nil, at)
						break
					}
				}
			}
		}
	}
	return out, nil
}

// beyondEdge tells whether something reaches out of the panel.
func beyondEdge(p panel.Panel, x inked) (geom.Point, bool) {
	o := p.Outline()
	for _, e := range o.Edges() {
		if at, on := x.meets(inked{geom.Path{e}, 0, nil}); on {
			return at, true
		}
	}
	at := x.shape.Box().Center()
	return at, o.Locate(at) == geom.Outside
}

// under gives what lies where a print's area is, and is no print.
func under(p panel.Panel, print panel.Print) []underPrint {
	var out []underPrint
	add := func(id string, copies []string, s geom.Shape, pad float64) {
		if x := (inked{s, pad, nil}); x.box().Overlaps(print.Area) {
			out = append(out, underPrint{id, copies, x})
		}
	}
	for _, m := range p.Marks() {
		if m.Kind == panel.ToolingHole {
			add(m.ID, nil, m.At, float64(m.Diameter)/2)
		} else if slices.ContainsFunc(m.Sides, func(s panel.Side) bool { return showsOn(print, s) }) {
			add(m.ID, nil, m.At, float64(max(m.Mask, m.Diameter))/2)
		}
	}
	for _, h := range p.Perforations() {
		add(h.Tab, nil, h.At, float64(h.Diameter)/2)
	}
	for _, s := range p.Slots() {
		add(s.ID, nil, s.Outline, 0)
	}
	for _, s := range p.Scores() {
		add(s.ID, nil, geom.Path{s.Groove()}, float64(s.HalfWidth()))
	}
	for _, c := range p.Copies() {
		if c.Box().Overlaps(print.Area) {
			add(c.ID, []string{c.ID}, c.Outline(), 0)
		}
	}
	for _, b := range p.Blanks() { // what comes off with a board
		add(b.ID, []string{b.Copy}, b.Outline, 0)
	}
	return out
}

func showsOn(p panel.Print, s panel.Side) bool {
	return slices.ContainsFunc(p.Layers, func(f panel.Function) bool { return f.Side == s })
}

func sameSide(p, q panel.Print) bool {
	return slices.ContainsFunc(p.Layers, func(f panel.Function) bool { return showsOn(q, f.Side) })
}
