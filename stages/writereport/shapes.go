package writereport

import (
	"strings"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
)

// dotted is the d attribute of dots: lines of no length, which round caps make discs of.
type dotted struct{ strings.Builder }

func (d *dotted) dot(at geom.Point) { d.WriteString("M" + svg.L(at.X) + " " + svg.L(at.Y) + "h0") }

func disc(at geom.Point, d geom.Length) string {
	return `<circle cx="` + svg.L(at.X) + `" cy="` + svg.L(at.Y) + `" r="` + svg.Num(d.MM()/2) + `" fill="currentColor"/>`
}

// outlineData gives an outline with its cut-outs as the d attribute.
func outlineData(o geom.Outline) string {
	d := svg.PathData(o.Outer)
	for _, cut := range o.CutOuts {
		d += svg.PathData(cut)
	}
	return d
}

// placeText gives a transform as the attribute of that name.
func placeText(t geom.Transform) string {
	s := "translate(" + svg.L(t.Shift.X) + " " + svg.L(t.Shift.Y) + ")"
	if turn := t.Turn.Normal(); turn != 0 {
		s += " rotate(" + svg.Num(turn.Degrees()) + ")"
	}
	return s
}

// times is a length in units of the lettering. The conversion keeps processors that fuse a product with
// a sum from rounding another way.
func times(n, unit float64) float64 { return float64(n * unit) }
