package dxf

import (
	"fmt"
	"math"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// The kinds of dimensions (DXF reference, group 70 of DIMENSION), with the bits that say that its block is its
// own (32), that it is an ordinate along x (64), and that its text stands where it was put (128).
const (
	dimRotated   = 0
	dimAligned   = 1
	dimDiameter  = 3
	dimRadius    = 4
	dimAngle     = 5
	dimOrdinate  = 6
	dimOwnBlock  = 32
	dimAlongX    = 64
	dimTextPlace = 128
)

// longest is how many bytes a string of extended data may have (DXF reference, group 1000).
const longest = 255

// dimension writes a dimension that can be measured: the places that it is between, in the drawing, what its style
// multiplies their distance with, its text, what it states, and a block with its lines and letters as the sheet has
// them.
//
// One without lines is a note that states a figure: a text with the same data.
func (x *writer) dimension(e *entities, s *drawing.Sheet, d drawing.Dimension, f frame) {
	if len(d.Lines) == 0 {
		if e.text(d.Text, f) {
			e.states(d)
		}
		return
	}
	r := record{fmt.Sprintf("*D%d", x.dimensions+1), x.next()}
	x.dimensions++
	x.records = append(x.records, r)
	x.block(&x.blocks, r, 1, func(in *entities) {
		in.per = e.per
		for _, h := range d.Lines {
			h.Paths = mapped(h.Paths, f)
			in.shape(h)
		}
		in.text(d.Text, f)
	})

	g, scale := f, ratio{f.den, f.num} // without a view its places are on paper
	if d.View >= 0 && d.View < len(s.Views) {
		g = f.of(s.Views[d.View])
		scale = ratio{g.den, g.num}
	}
	from, to, vertex := g.point(d.From), g.point(d.To), g.point(d.Vertex)
	box := d.Text.Box()
	middle := f.point(box.Center())
	layer := d.Text.Layer
	if layer == "" {
		layer = drawing.Dimensions
	}
	line := func(along geom.Point) geom.Point { // a place on the line that has the arrows
		best, at := 0.0, middle
		for _, h := range d.Lines {
			for _, p := range h.Paths {
				for _, k := range p {
					v := k.To.Sub(k.From)
					if k.Sense == geom.Straight && v.Cross(along) == 0 && v.Norm() > best {
						best, at = v.Norm(), f.point(k.To)
					}
				}
			}
		}
		return at
	}

	first, kind := middle, 0
	var own []any
	place := func(code int, p geom.Point) { own = append(own, code, p.X, code+10, p.Y, code+20, "0.0") }
	class := func(s string) { own = append(own, 100, s) }
	switch d.Kind {
	case drawing.OrdinateX, drawing.OrdinateY:
		kind = dimOrdinate
		if d.Kind == drawing.OrdinateX {
			kind |= dimAlongX
		}
		first = from
		class("AcDbOrdinateDimension")
		place(13, to)
		place(14, middle)
	case drawing.LinearX, drawing.LinearY, drawing.Aligned:
		along, angle := geom.Pt(1, 0), "0.0"
		switch d.Kind {
		case drawing.LinearY:
			along, angle = geom.Pt(0, 1), "90.0"
		case drawing.Aligned:
			along = to.Sub(from)
			angle = digits(geom.Atan2(float64(along.Y), float64(along.X)) * (180 / math.Pi))
			kind = dimAligned
		}
		first = line(along)
		class("AcDbAlignedDimension")
		place(13, from)
		place(14, to)
		own = append(own, 50, angle)
		if kind == dimRotated {
			class("AcDbRotatedDimension")
		}
	case drawing.Diameter:
		kind, first = dimDiameter, from
		class("AcDbDiametricDimension")
		place(15, to)
		own = append(own, 40, "0.0")
	case drawing.Radius:
		kind, first = dimRadius, from
		class("AcDbRadialDimension")
		place(15, to)
		own = append(own, 40, "0.0")
	case drawing.Angle:
		kind = dimAngle
		class("AcDb3PointAngularDimension")
		place(13, from)
		place(14, to)
		place(15, vertex)
	}
	measured := geom.Length(d.Value).Decimal() // millimetres of nanometres, as degrees of millionths
	style := styleName(ratio{1, 1})
	if d.Kind != drawing.Angle {
		style = x.style(scale)
	}
	e.begin("DIMENSION", layer)
	put(e.b, 100, "AcDbDimension", 2, r.name)
	putAt(e.b, 10, first)
	putAt(e.b, 11, middle)
	put(e.b, 70, kind|dimOwnBlock|dimTextPlace, 71, 5, 42, measured, 1, words(d.Text.S, true), 3, style)
	if d.Text.Upright {
		put(e.b, 53, "90.0")
	}
	put(e.b, own...)
	e.states(d)
}

// facts writes what an entity states as extended data: each fact as a list of two strings.
func (e *entities) facts(of []drawing.Fact) {
	put(e.b, 1001, AppName)
	for _, fact := range of {
		put(e.b, 1002, "{", 1000, short255(fact.Feature), 1000, short255(fact.What), 1002, "}")
	}
}

// states writes what a dimension states: its facts, the value in millimetres or degrees, and how often it follows in a
// row.
func (e *entities) states(d drawing.Dimension) {
	e.facts(d.Of)
	put(e.b, 1040, geom.Length(d.Value)) // a degree has a million parts, as a millimetre has
	put(e.b, 1070, max(1, d.Times))
}

// short255 writes letters of extended data, which the format allows so many of.
func short255(s string) string {
	w := words(s, false)
	return w[:min(len(w), longest)]
}
