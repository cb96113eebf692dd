package mechanics

import (
	"math"

	"panelwright/pipeline/geom"
)

// shapeStep is the side of a field's squares.
const shapeStep = 2500 * geom.UM

// shapes makes the fields to be drawn.
func (m *model) shapes(r *solved) []Shape {
	var out []Shape
	for _, s := range r.states {
		title, under := "Sag at room temperature", "its own weight and that of its parts"
		switch s.kind {
		case Hot:
			title = "Sag in the oven"
		case Pressed:
			force := Figure(m.support.Force.Value) + " " + m.support.Force.Unit
			title, under = "Sag with "+force+" pressing on "+s.copy, "its own weight, that of its parts and "+force+" in the middle of "+s.copy
		}
		x := m.field(func(t int32, q geom.Point) float64 { return m.deflection(s.state, t, q) })
		x.ID, x.Title, x.Unit, x.Hot = "sag/"+string(s.kind), title, "mm", s.kind == Hot
		x.Source = "Reckoned by finite elements of a plate (discrete Kirchhoff triangles, yielding to shear) under " + under + ", as it is carried"
		out = append(out, x)
	}
	moments := r.cold.NodeMoments(r.cold.Moments(r.states[0].state))
	x := m.field(func(t int32, q geom.Point) float64 {
		n := m.mesh.Triangles[t]
		return m.stress([3][3]float64{moments[n[0]], moments[n[1]], moments[n[2]]}, t, q)
	})
	x.ID, x.Title, x.Unit = "stress/cold", "Bending stress at room temperature", "MPa"
	x.Source = "The greater of the two principal bending stresses on the laminate's faces, as of a uniform section; those between holes stand in the table of tabs"
	return append(out, x)
}

// field samples a figure in the middles of squares.
func (m *model) field(at func(t int32, q geom.Point) float64) Shape {
	box := m.p.Outline().Box()
	x := Shape{Origin: box.Min, Step: shapeStep,
		Columns: int((box.Width() + shapeStep - 1) / shapeStep), Rows: int((box.Height() + shapeStep - 1) / shapeStep)}
	for row := range x.Rows {
		for column := range x.Columns {
			q := box.Min.Add(geom.Pt(shapeStep*geom.Length(column)+shapeStep/2, shapeStep*geom.Length(row)+shapeStep/2))
			v := math.NaN()
			if t, ok := m.finder.locate(q); ok && m.kept[m.mesh.Piece[t]] {
				v = at(t, q)
			}
			x.Values = append(x.Values, v)
		}
	}
	return x
}

// stress is the greater principal stress on the faces, in MPa, straight between the triangle's nodes.
func (m *model) stress(nodes [3][3]float64, t int32, q geom.Point) float64 {
	s := m.finder.shares(t, q)
	var v [3]float64
	for k := range 3 {
		for i := range 3 {
			v[k] += float64(s[i] * nodes[i][k])
		}
	}
	mean, half := (v[0]+v[1])/2, (v[0]-v[1])/2
	radius := math.Sqrt(float64(half*half) + float64(v[2]*v[2]))
	thick := m.stacks.thickness
	return 6 * (math.Abs(mean) + radius) / (thick * thick)
}

// shares are the weights of a triangle's corners at a place in it.
func (f *finder) shares(i int32, q geom.Point) (s [3]float64) {
	t := f.m.Triangles[i]
	a, b, c := f.m.Nodes[t[0]], f.m.Nodes[t[1]], f.m.Nodes[t[2]]
	area := func(a, b, c geom.Point) float64 {
		u, v := b.Sub(a), c.Sub(a)
		return float64(float64(u.X)*float64(v.Y)) - float64(float64(u.Y)*float64(v.X))
	}
	whole := area(a, b, c)
	s[0], s[1] = area(q, b, c)/whole, area(a, q, c)/whole
	s[2] = 1 - s[0] - s[1]
	return s
}
