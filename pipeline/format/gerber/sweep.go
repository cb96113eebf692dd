package gerber

import (
	"sort"

	"panelwright/pipeline/geom"
)

// sweptRectangle gives the area that a rectangle, turned about its centre, covers on its way from a
// to b: the convex hull of its corners at both ends, counter-clockwise.
func sweptRectangle(w, h geom.Length, turn geom.Angle, a, b geom.Point) geom.Path {
	sin, cos := turn.SinCos()
	x, y := float64(w)/2, float64(h)/2
	pts := make([]geom.Point, 0, 8)
	for _, s := range [4][2]float64{{1, 1}, {-1, 1}, {-1, -1}, {1, -1}} {
		cx, cy := x*s[0], y*s[1]
		c := geom.Point{X: geom.Round(float64(cx*cos) - float64(cy*sin)), Y: geom.Round(float64(cx*sin) + float64(cy*cos))}
		pts = append(pts, a.Add(c), b.Add(c))
	}
	return hull(pts)
}

// hull is the convex hull of the points as a closed path; of points on one line it runs there and
// back.
func hull(pts []geom.Point) geom.Path {
	sort.Slice(pts, func(i, j int) bool { return pts[i].Less(pts[j]) })
	var out []geom.Point
	for pass := range 2 {
		floor := len(out)
		for k := range pts {
			q := pts[k]
			if pass == 1 {
				q = pts[len(pts)-1-k]
			}
			for len(out) >= floor+2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(q.Sub(out[len(out)-2])) <= 0 {
				out = out[:len(out)-1]
			}
			if len(out) == floor || out[len(out)-1] != q {
				out = append(out, q)
			}
		}
		out = out[:len(out)-1]
	}
	if len(out) == 0 {
		return geom.Path{}
	}
	path := make(geom.Path, len(out))
	for i, q := range out {
		path[i] = geom.Line(q, out[(i+1)%len(out)])
	}
	return path
}
