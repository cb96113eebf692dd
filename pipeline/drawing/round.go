package drawing

import (
	"math"

	"panelwright/pipeline/geom"
)

// Circle is what a dimension of a diameter or a radius states, and how: by a leader that points at the middle.
type Circle struct {
	View    View
	Index   int
	Middle  geom.Point  // real
	Radius  geom.Length // real
	Words   string      // empty: the diameter or the radius
	Value   geom.Length // what is stated, exactly; 0: what is measured
	Of      []Fact
	Knee    geom.Point // on paper: where the leader turns level
	ToRight bool       // the words stand to the right of the knee, else to the left
}

// MeasureDiameter is a dimension of a circle's diameter.
func MeasureDiameter(c Circle, s Style) Dimension {
	d := c.draw(Diameter, 2*c.Radius, s.Units.Diameter, s)
	d.From = geom.Pt(2*c.Middle.X-d.To.X, 2*c.Middle.Y-d.To.Y)
	return d
}

// MeasureRadius is a dimension of the radius of an arc that the leader meets.
func MeasureRadius(c Circle, s Style) Dimension {
	d := c.draw(Radius, c.Radius, s.Units.Radius, s)
	d.From = c.Middle
	return d
}

func (c Circle) draw(k DimensionKind, measured geom.Length, say func(geom.Length) string, s Style) Dimension {
	d := Dimension{Kind: k, View: c.Index, Value: int64(c.Value), Of: c.Of}
	if c.Value == 0 {
		d.Value = int64(measured)
	}
	words := c.Words
	if words == "" {
		words = say(geom.Length(d.Value))
	}
	out := Toward(c.View.Paper(c.Middle), c.Knee)
	d.To = out.From(c.Middle, c.Radius)
	d.Lines, d.Text = Leader(words, c.ToRight, true, s, c.View.Paper(d.To), c.Knee)
	return d
}

// Opening is an angle that a dimension states.
type Opening struct {
	View             View
	Index            int
	Vertex, From, To geom.Point // real; counter-clockwise from the ray to From to the ray to To
	Value            geom.Angle // what is stated, exactly
	Words            string     // empty: the angle in degrees
	Of               []Fact
	Reach            geom.Length // radius of the dimension line on paper
}

// MeasureAngle is a dimension of an angle that opens upwards: its words stand over the arc, clear of the extension
// lines, which go on along both rays.
func MeasureAngle(o Opening, s Style) Dimension {
	d := Dimension{Kind: Angle, View: o.Index, From: o.From, To: o.To, Vertex: o.Vertex, Value: int64(o.Value), Of: o.Of}
	words := o.Words
	if words == "" {
		words = o.Value.Decimal() + "°"
	}
	v := o.View.Paper(o.Vertex)
	a, b := Toward(o.Vertex, o.From), Toward(o.Vertex, o.To)
	p, q := a.From(v, o.Reach), b.From(v, o.Reach)
	for _, x := range []struct {
		ray geom.Point
		d   Direction
	}{{o.From, a}, {o.To, b}} {
		start := o.View.Paper(x.ray)
		if start.Distance(v) < float64(o.Reach) {
			d.Lines = append(d.Lines, Line(x.d.From(start, ExtendGap), x.d.From(v, o.Reach+ExtendOver)))
		}
	}
	first, sweep := angleOf(a), angleOf(b)-angleOf(a)
	if sweep < 0 {
		sweep += 2 * math.Pi
	}
	// An arrow is a chord of the arc: its foot lies on it again.
	half := math.Min(1, float64(ArrowLength)/float64(2*o.Reach))
	step := 2 * geom.Atan2(half, math.Sqrt(1-float64(half*half)))
	if float64(sweep*float64(o.Reach)) < float64(2*ArrowLength+geom.MM) {
		below, above := unit(first-step), unit(first+sweep+step)
		start, end := unit(first-float64(2*step)).From(v, o.Reach), unit(first+sweep+float64(2*step)).From(v, o.Reach)
		d.Lines = append(d.Lines, arcShape(start, end, v), Arrow(p, Toward(below.From(v, o.Reach), p)), Arrow(q, Toward(above.From(v, o.Reach), q)))
	} else {
		within, before := unit(first+step), unit(first+sweep-step)
		d.Lines = append(d.Lines, arcShape(p, q, v), Arrow(p, Toward(within.From(v, o.Reach), p)), Arrow(q, Toward(before.From(v, o.Reach), q)))
	}
	top := unit(first+float64(sweep/2)).From(v, o.Reach)
	top.Y = max(top.Y, a.From(v, o.Reach+ExtendOver).Y, b.From(v, o.Reach+ExtendOver).Y)
	d.Text = Above(top, words, Middle, s)
	return d
}

func arcShape(from, to, middle geom.Point) Shape {
	return Shape{Layer: Dimensions, Pen: Fine, Paths: []geom.Path{{geom.Arc(from, to, middle, geom.CounterClockwise)}}}
}
