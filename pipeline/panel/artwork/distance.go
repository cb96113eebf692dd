package artwork

import (
	"math"

	"panelwright/pipeline/geom"
)

// DistanceToPoint gives the shortest distance in nm from q to the area that object o covers: 0 in it
// and on its border, +Inf when nothing is drawn. See Drawn for what counts as covered.
func (m *Image) DistanceToPoint(o Object, q geom.Point) float64 { return m.Drawn(o).DistanceToPoint(q) }

// DistanceToEdge gives the shortest distance in nm from e to the area that object o covers: 0 where
// they touch or cross, +Inf when nothing is drawn. See Drawn for what counts as covered.
func (m *Image) DistanceToEdge(o Object, e geom.Edge) float64 { return m.Drawn(o).DistanceToEdge(e) }

// DistanceToPoint gives the shortest distance in nm from q to the area, 0 in it: to within 1 nm,
// 2 nm at arcs.
func (d Drawn) DistanceToPoint(q geom.Point) float64 {
	v, _ := d.nearest(geom.BoxOf(q), q, func(e geom.Edge) (float64, geom.Point) {
		v, _ := geom.PointEdgeDistance(q, e)
		return v, q
	})
	return v
}

// DistanceToEdge gives the shortest distance in nm from e to the area, 0 where they touch or cross:
// to within 1 nm, 2 nm at arcs.
func (d Drawn) DistanceToEdge(e geom.Edge) float64 {
	v, _ := d.NearestToEdge(e)
	return v
}

// NearestToEdge gives what DistanceToEdge gives, and the point of e that lies nearest, rounded to the
// nanometre; where they meet, some point of e in the area or where its border is nearest.
func (d Drawn) NearestToEdge(e geom.Edge) (float64, geom.Point) {
	return d.nearest(e.Box(), e.From, func(f geom.Edge) (float64, geom.Point) {
		v, at, _ := geom.EdgeDistance(e, f)
		return v, at
	})
}

// nearest gives the shortest distance to something that lies in box and has the point any. When any
// is not in a filled piece, the whole is either outside it or meets its border. distance gives a place with
// each distance; that of the shortest is handed on.
func (d Drawn) nearest(box geom.Box, any geom.Point, distance func(geom.Edge) (float64, geom.Point)) (float64, geom.Point) {
	best, place := math.Inf(1), any
	for _, p := range d.pieces {
		if gap(p.box, box)-p.pad >= best {
			continue
		}
		if p.filled && p.winds(any) {
			return 0, any
		}
		for i, b := range p.runs {
			if gap(b, box)-p.pad >= best {
				continue
			}
			for _, e := range p.run(i) {
				if gap(e.Box(), box)-p.pad >= best {
					continue
				}
				v, at := distance(e)
				if v -= p.pad; v < best {
					if v <= 0 {
						return 0, at
					}
					best, place = v, at
				}
			}
		}
	}
	return best, place
}

// gap is the distance between two boxes.
func gap(a, b geom.Box) float64 {
	x := float64(max(a.Min.X-b.Max.X, b.Min.X-a.Max.X, 0))
	y := float64(max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y, 0))
	return math.Sqrt(float64(x*x) + float64(y*y))
}
