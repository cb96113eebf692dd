package plan

import (
	"cmp"
	"fmt"
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/place"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// mostCopies is for how many copies that stand in no array ordinates are drawn; more are left to the table of copies.
const mostCopies = 12

// feature is something whose place along one axis is stated.
type feature struct {
	at   geom.Point // what is measured to, real
	fact drawing.Fact
}

// ordinate is a coordinate that features share.
type ordinate struct {
	value geom.Length
	of    []feature
}

// byValue groups features by their coordinate; across gives it.
func byValue(all []feature, along func(geom.Point) geom.Length) (out []ordinate) {
	slices.SortStableFunc(all, func(a, b feature) int { return cmp.Compare(along(a.at), along(b.at)) })
	for _, f := range all {
		if n := len(out); n > 0 && out[n-1].value == along(f.at) {
			out[n-1].of = append(out[n-1].of, f)
			continue
		}
		out = append(out, ordinate{along(f.at), []feature{f}})
	}
	return out
}

// features lists what has an ordinate along x and along y.
func (d *drawer) features() (xs, ys []feature) {
	datum := d.box.Min
	xs, ys = []feature{{datum, drawing.Fact{Feature: "panel", What: "datum_x"}}}, []feature{{datum, drawing.Fact{Feature: "panel", What: "datum_y"}}}
	for _, r := range d.p.Rails() {
		b := r.Box
		switch r.Side {
		case panel.Lower:
			ys = append(ys, feature{geom.Pt(b.Min.X, b.Max.Y), drawing.Fact{Feature: r.ID, What: "inner_y"}})
		case panel.Upper:
			ys = append(ys, feature{b.Min, drawing.Fact{Feature: r.ID, What: "inner_y"}})
		case panel.Left:
			xs = append(xs, feature{geom.Pt(b.Max.X, b.Min.Y), drawing.Fact{Feature: r.ID, What: "inner_x"}})
		case panel.Right:
			xs = append(xs, feature{b.Min, drawing.Fact{Feature: r.ID, What: "inner_x"}})
		}
	}
	for _, m := range d.p.Marks() {
		xs = append(xs, feature{m.At, drawing.Fact{Feature: m.ID, What: "x"}})
		ys = append(ys, feature{m.At, drawing.Fact{Feature: m.ID, What: "y"}})
	}
	for _, s := range d.p.Scores() {
		if s.From.X == s.To.X {
			xs = append(xs, feature{lower(s.From, s.To), drawing.Fact{Feature: s.ID, What: "x"}})
		} else if s.From.Y == s.To.Y {
			ys = append(ys, feature{lower(s.From, s.To), drawing.Fact{Feature: s.ID, What: "y"}})
		}
	}
	for _, c := range d.corners() {
		xs = append(xs, feature{extreme(c, panel.Left, panel.Lower), drawing.Fact{Feature: c.ID, What: "left"}})
		ys = append(ys, feature{extreme(c, panel.Lower, panel.Left), drawing.Fact{Feature: c.ID, What: "lower"}})
	}
	return xs, ys
}

func lower(a, b geom.Point) geom.Point {
	if b.Less(a) {
		return b
	}
	return a
}

// corners are the copies whose lower left corner is stated: the first of each array, from which pitches go on, and
// each that stands by itself, where they are few.
func (d *drawer) corners() (out []panel.Copy) {
	var single []panel.Copy
	for _, a := range arrays(d.p) {
		if a.regular() || len(a.copies) == 1 {
			out = append(out, a.copies[0])
		} else {
			single = append(single, a.copies...)
		}
	}
	if len(single) <= mostCopies {
		out = append(out, single...)
	}
	return out
}

// ordinates draws those of both axes.
func (d *drawer) ordinates() error {
	xs, ys := d.features()
	middle := d.box.Center()
	var lowerX, upperX, leftY, rightY []ordinate
	for _, o := range byValue(xs, func(p geom.Point) geom.Length { return p.X }) {
		if slices.ContainsFunc(o.of, func(f feature) bool { return f.at.Y <= middle.Y }) {
			lowerX = append(lowerX, o)
		} else {
			upperX = append(upperX, o)
		}
	}
	for _, o := range byValue(ys, func(p geom.Point) geom.Length { return p.Y }) {
		if slices.ContainsFunc(o.of, func(f feature) bool { return f.at.X <= middle.X }) {
			leftY = append(leftY, o)
		} else {
			rightY = append(rightY, o)
		}
	}
	for _, b := range []struct {
		side panel.RailSide
		of   []ordinate
	}{{panel.Lower, lowerX}, {panel.Upper, upperX}, {panel.Left, leftY}, {panel.Right, rightY}} {
		if err := d.band(b.side, b.of); err != nil {
			return err
		}
	}
	return nil
}

// band draws the ordinates that stand along one side of the panel.
func (d *drawer) band(side panel.RailSide, all []ordinate) error {
	if len(all) == 0 {
		return nil
	}
	alongX := level(side)
	// Labels go on beyond one of the side's corners where there are many: round the panel, so that those of two sides
	// do not meet. At the other corner they keep within the panel's extent.
	low, high := d.paper.Min.X, d.paper.Max.X
	if !alongX {
		low, high = d.paper.Min.Y, d.paper.Max.Y
	}
	size := d.s.Letter + 2100*geom.UM // a line of letters, and what a label may be moved by
	reach := geom.Length(len(all))*size + 10*geom.MM
	if side == panel.Lower || side == panel.Right {
		low, high = low-size/2, high+reach
	} else {
		low, high = low-reach, high+size/2
	}
	at := make([]geom.Length, len(all))
	for i, o := range all {
		at[i] = d.view.Scale.On(o.value)
	}
	spots, ok := place.Spread(at, size, d.extensions(side), low, high)
	if !ok {
		return fmt.Errorf("%d ordinates find no room along the %s side of the panel", len(all), side)
	}
	for i, o := range all {
		if (spots[i] - at[i]).Abs() < 250*geom.UM { // a line that bends by less looks like a mistake
			spots[i] = at[i]
		}
		d.ordinate(side, o, at[i], spots[i])
	}
	return nil
}

// ordinate draws one: its line from the nearest of its features out of the panel, bent to the label's place.
func (d *drawer) ordinate(side panel.RailSide, o ordinate, at, spot geom.Length) {
	alongX := level(side)
	sign, out := outward(side), d.edge(side)
	// pt gives a point of paper by its place along the side and across it.
	pt := func(along, across geom.Length) geom.Point {
		if alongX {
			return geom.Pt(along, across)
		}
		return geom.Pt(across, along)
	}
	across := func(p geom.Point) geom.Length {
		if alongX {
			return p.Y
		}
		return p.X
	}
	nearest := o.of[0]
	for _, f := range o.of {
		if sign*across(f.at) > sign*across(nearest.at) {
			nearest = f
		}
	}
	start := across(d.view.Paper(nearest.at))
	if start == out {
		start += sign * drawing.ExtendGap
	}
	x := drawing.Dimension{Kind: drawing.OrdinateX, From: d.box.Min, To: nearest.at, Value: int64(o.value)}
	if !alongX {
		x.Kind = drawing.OrdinateY
	}
	for _, f := range o.of {
		x.Of = append(x.Of, f.fact)
	}
	end := out + sign*(margin+bend+straight)
	x.Lines = []drawing.Shape{drawing.Line(pt(at, start), pt(at, out+sign*margin), pt(spot, out+sign*(margin+bend)), pt(spot, end))}
	t := drawing.Text{Layer: drawing.Dimensions, S: d.s.Units.Length(o.value), Height: d.s.Letter, Upright: alongX, Align: drawing.End}
	if sign > 0 {
		t.Align = drawing.Start
	}
	t.At = pt(spot, end+sign*800*geom.UM)
	if alongX {
		t.At.X += t.Height / 2
	} else {
		t.At.Y -= t.Height / 2
	}
	x.Text = t
	d.dimension(x)
	b := t.Box()
	far := map[panel.RailSide]geom.Length{panel.Upper: b.Max.Y, panel.Lower: b.Min.Y, panel.Left: b.Min.X, panel.Right: b.Max.X}[side]
	d.reach[side] = max(d.reach[side], sign*(far-out))
}
