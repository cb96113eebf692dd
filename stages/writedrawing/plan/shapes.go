package plan

import (
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// shapes draws what there is to see of the panel.
func (d *drawer) shapes() {
	view := func(s drawing.Shape) {
		if len(s.Paths) == 0 {
			return
		}
		d.view.Shapes = append(d.view.Shapes, s)
		for _, p := range s.Paths {
			d.crowd.Draw(d.view.Path(p), s.Pen.Width)
		}
	}
	material := d.in.Material.Paths()
	// Grey is what is routed away, as in the details.
	if open := d.openings(); len(open) > 0 {
		d.view.Shapes = append(d.view.Shapes, drawing.Shape{Layer: drawing.Slots, Pen: drawing.Hair, Fill: drawing.Light, Paths: open})
	}
	view(drawing.Shape{Layer: drawing.Rails, Pen: drawing.Pen{Width: drawing.Fine.Width, Dash: drawing.LongDashDot2}, Paths: d.railEdges()})
	var edges []geom.Path
	for _, c := range d.p.Copies() {
		edges = append(edges, c.Outline().Outer) // cut-outs are contours of the material
	}
	view(drawing.Shape{Layer: drawing.Boards, Pen: drawing.Fine, Paths: edges})
	view(drawing.Shape{Layer: drawing.Outline, Pen: drawing.Medium, Paths: material})
	d.holes(view)
	view(drawing.Shape{Layer: drawing.Score, Pen: drawing.Pen{Width: drawing.Wide.Width, Dash: drawing.LongDashDot}, Paths: d.scores()})
	d.marks(view)
	d.prints(view)
}

// openings are the contours of what is routed out of the panel: slots, and the boards' own cut-outs.
func (d *drawer) openings() (out []geom.Path) {
	for _, s := range d.p.Slots() {
		out = append(append(out, s.Outline.Outer), s.Outline.CutOuts...)
	}
	for _, c := range d.p.Copies() {
		for _, cut := range c.Board.Outline.CutOuts {
			out = append(out, c.Place.Path(cut))
		}
	}
	return out
}

// railEdges are the rails' inner edges.
func (d *drawer) railEdges() (out []geom.Path) {
	for _, r := range d.p.Rails() {
		b := r.Box
		switch r.Side {
		case panel.Upper:
			out = append(out, geom.Path{geom.Line(b.Min, geom.Pt(b.Max.X, b.Min.Y))})
		case panel.Lower:
			out = append(out, geom.Path{geom.Line(geom.Pt(b.Min.X, b.Max.Y), b.Max)})
		case panel.Left:
			out = append(out, geom.Path{geom.Line(geom.Pt(b.Max.X, b.Min.Y), b.Max)})
		case panel.Right:
			out = append(out, geom.Path{geom.Line(b.Min, geom.Pt(b.Min.X, b.Max.Y))})
		}
	}
	return out
}

// circle is a circle of a diameter about a point, counter-clockwise.
func circle(at geom.Point, diameter geom.Length) geom.Path {
	start := geom.Pt(at.X+diameter/2, at.Y)
	return geom.Path{geom.Arc(start, start, at, geom.CounterClockwise)}
}

// holes draws perforations as circles. Texts keep off their row as a whole: off each tab's box.
func (d *drawer) holes(view func(drawing.Shape)) {
	var paths []geom.Path
	for _, h := range d.p.Perforations() {
		paths = append(paths, circle(h.At, h.Diameter))
	}
	view(drawing.Shape{Layer: drawing.Perforations, Pen: drawing.Hair, Fill: drawing.Paper, Paths: paths})
}

func (d *drawer) scores() (out []geom.Path) {
	for _, s := range d.p.Scores() {
		out = append(out, geom.Path{geom.Line(s.From, s.To)})
	}
	return out
}

// marks draws fiducials and tooling holes; a tooling hole has its axes.
func (d *drawer) marks(view func(drawing.Shape)) {
	var copper, mask, clear, holes, axes []geom.Path
	for _, m := range d.p.Marks() {
		if m.Kind == panel.ToolingHole {
			holes = append(holes, circle(m.At, m.Diameter))
			r := m.Diameter/2 + d.view.Scale.Of(1500*geom.UM)
			axes = append(axes, geom.Path{geom.Line(geom.Pt(m.At.X-r, m.At.Y), geom.Pt(m.At.X+r, m.At.Y))},
				geom.Path{geom.Line(geom.Pt(m.At.X, m.At.Y-r), geom.Pt(m.At.X, m.At.Y+r))})
			continue
		}
		copper = append(copper, circle(m.At, m.Diameter))
		mask = append(mask, circle(m.At, m.Mask))
		clear = append(clear, circle(m.At, m.Clear))
	}
	view(drawing.Shape{Layer: drawing.Marks, Pen: drawing.Narrow, Fill: drawing.Paper, Paths: holes})
	view(drawing.Shape{Layer: drawing.Marks, Pen: drawing.Pen{Width: drawing.Hair.Width, Dash: drawing.LongDashDot}, Paths: axes})
	view(drawing.Shape{Layer: drawing.Marks, Fill: drawing.Ink, Paths: copper})
	view(drawing.Shape{Layer: drawing.Marks, Pen: drawing.Fine, Paths: mask})
	view(drawing.Shape{Layer: drawing.Marks, Pen: drawing.Pen{Width: drawing.Hair.Width, Dash: drawing.Dashed}, Paths: clear})
}

// prints shows where the panel prints: bad-board marks as they are, lettering by its lines, codes and label areas
// as boxes. What lies on the bottom alone is dashed. Thieving is told of in the notes.
func (d *drawer) prints(view func(drawing.Shape)) {
	for _, bottom := range []bool{false, true} {
		var dots, lines, boxes []geom.Path
		for _, x := range d.p.Prints() {
			if onTop(x) == bottom {
				continue
			}
			switch x.Use {
			case panel.BadBoard:
				for _, o := range x.Dots {
					dots = append(dots, circle(o.At, o.Diameter))
				}
				for _, l := range x.Lines {
					lines = append(lines, l.Path)
				}
			case panel.Lettering, panel.OnBoard:
				if !bottom { // mirrored letters, seen through the panel, tell nobody anything
					for _, l := range x.Lines {
						lines = append(lines, l.Path)
					}
				}
			case panel.Code, panel.LabelArea:
				boxes = append(boxes, geom.Rectangle(x.Area))
			}
		}
		dash := drawing.Continuous
		if bottom {
			dash = drawing.Dashed
		}
		pen := func(p drawing.Pen) drawing.Pen { return drawing.Pen{Width: p.Width, Dash: dash} }
		view(drawing.Shape{Layer: drawing.Marks, Pen: pen(drawing.Fine), Paths: dots})
		view(drawing.Shape{Layer: drawing.Marks, Pen: pen(drawing.Hair), Paths: lines})
		view(drawing.Shape{Layer: drawing.Marks, Pen: pen(drawing.Fine), Paths: boxes})
	}
}

// onTop tells whether a print stands on a layer that is seen from the top.
func onTop(x panel.Print) bool {
	return slices.ContainsFunc(x.Layers, func(f panel.Function) bool { return f.Side == panel.Top })
}

// printWords says beside codes and label areas what they are, where there is room.
func (d *drawer) printWords() {
	for _, x := range d.p.Prints() {
		words := ""
		switch {
		case x.Use == panel.Code && x.Symbology == "qr":
			words = "QR code"
		case x.Use == panel.Code:
			words = "Data Matrix"
		case x.Use == panel.LabelArea:
			words = "label"
		default:
			continue
		}
		if !onTop(x) {
			words += ", bottom"
		}
		t := drawing.Text{Layer: drawing.Names, S: words, Height: d.s.Small}
		size := t.LineBox()
		box := geom.BoxOf(d.view.Paper(x.Area.Min), d.view.Paper(x.Area.Max))
		if spot, ok := d.crowd.Spot(box.Grow(size.Width()+6*geom.MM), size.Width(), size.Height(), box.Center(), geom.MM); ok {
			t.At = geom.Pt(spot.Min.X, spot.Min.Y-size.Min.Y)
			d.text(t)
		}
	}
}
