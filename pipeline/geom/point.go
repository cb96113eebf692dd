package geom

import (
	"cmp"
	"math"
)

// Point is a place in the plane, in nanometres, x right and y up.
type Point struct{ X, Y Length }

// Pt makes a Point.
func Pt(x, y Length) Point { return Point{x, y} }

// Add gives p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub gives p − q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Cross is the z component of p × q in nm². Exact for differences of points within Limit.
func (p Point) Cross(q Point) int64 { return int64(p.X)*int64(q.Y) - int64(p.Y)*int64(q.X) }

// Dot is the scalar product p · q in nm². Exact for differences of points within Limit.
func (p Point) Dot(q Point) int64 { return int64(p.X)*int64(q.X) + int64(p.Y)*int64(q.Y) }

// Norm is the distance from the origin in nm.
func (p Point) Norm() float64 {
	if small(p.X) && small(p.Y) {
		return math.Sqrt(float64(p.Dot(p)))
	}
	return hypot(float64(p.X), float64(p.Y))
}

// Distance is the distance between p and q in nm.
func (p Point) Distance(q Point) float64 { return p.Sub(q).Norm() }

// Within tells whether both coordinates lie within ±Limit.
func (p Point) Within() bool { return p.X.Abs() <= Limit && p.Y.Abs() <= Limit }

// Less orders points by x, then y.
func (p Point) Less(q Point) bool { return p.X < q.X || p.X == q.X && p.Y < q.Y }

// Compare orders points by x, then y, as Less does: −1, 0 or 1.
func (p Point) Compare(q Point) int {
	return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
}

// String writes the point in millimetres: "(1.5, -2)".
func (p Point) String() string { return "(" + p.X.Decimal() + ", " + p.Y.Decimal() + ")" }

// Box is an axis-parallel rectangle, borders included. The zero Box is the origin;
// EmptyBox holds nothing.
type Box struct{ Min, Max Point }

// EmptyBox gives the box that holds nothing and adds nothing to a union.
func EmptyBox() Box {
	return Box{Point{math.MaxInt64, math.MaxInt64}, Point{math.MinInt64, math.MinInt64}}
}

// BoxOf gives the smallest box that holds the points.
func BoxOf(pts ...Point) Box {
	b := EmptyBox()
	for _, p := range pts {
		b = b.Extend(p)
	}
	return b
}

// Empty tells whether the box holds nothing.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Extend gives the smallest box that holds b and p.
func (b Box) Extend(p Point) Box {
	return Box{Point{min(b.Min.X, p.X), min(b.Min.Y, p.Y)}, Point{max(b.Max.X, p.X), max(b.Max.Y, p.Y)}}
}

// Union gives the smallest box that holds b and c.
func (b Box) Union(c Box) Box {
	return Box{Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)}, Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)}}
}

// Grow moves every side outwards by d (inwards when negative). An empty box stays empty.
func (b Box) Grow(d Length) Box {
	if b.Empty() {
		return b
	}
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Overlaps tells whether the boxes share a point, borders included.
func (b Box) Overlaps(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Holds tells whether c lies in b, borders included.
func (b Box) Holds(c Box) bool {
	return b.Min.X <= c.Min.X && c.Max.X <= b.Max.X && b.Min.Y <= c.Min.Y && c.Max.Y <= b.Max.Y
}

// HoldsPoint tells whether p lies in b, borders included.
func (b Box) HoldsPoint(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Width is the extent along x.
func (b Box) Width() Length { return b.Max.X - b.Min.X }

// Height is the extent along y.
func (b Box) Height() Length { return b.Max.Y - b.Min.Y }

// Center is the middle, rounded down.
func (b Box) Center() Point {
	return Point{b.Min.X + b.Width()/2, b.Min.Y + b.Height()/2}
}

// Move shifts the box by d.
func (b Box) Move(d Point) Box { return Box{b.Min.Add(d), b.Max.Add(d)} }
