package offset

import (
	"math"

	"panelwright/pipeline/geom"
)

// A vector is a direction of length one.
type vector struct{ x, y float64 }

func unit(x, y float64) vector {
	l := math.Sqrt(float64(x*x) + float64(y*y))
	return vector{x / l, y / l}
}

func (v vector) dot(w vector) float64   { return float64(v.x*w.x) + float64(v.y*w.y) }
func (v vector) cross(w vector) float64 { return float64(v.x*w.y) - float64(v.y*w.x) }

// right is the direction square to v on its right.
func (v vector) right() vector { return vector{v.y, -v.x} }

// from gives the point that lies d in the direction v from p.
func (v vector) from(p geom.Point, d float64) geom.Point {
	return geom.Pt(p.X+geom.Round(v.x*d), p.Y+geom.Round(v.y*d))
}
