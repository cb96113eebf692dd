package artwork

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// Drawn is the area that one object covers, made ready for measuring distances to it.
//
// It never leaves out anything that is drawn, and where it cannot be exact it is too large: holes in
// apertures, what a macro erases of itself, and the inner parts of moirés and thermals count as
// covered. Whether the object is dark or clear, and what other objects do to it, is not looked at.
type Drawn struct {
	pieces []piece
}

// A piece is a path with everything within pad nm of it and, when filled, all that it runs round.
type piece struct {
	path   geom.Path
	filled bool
	pad    float64
	box    geom.Box   // of the path
	runs   []geom.Box // of each run of the path's edges
}

// runLength is how many consecutive edges of a path share a box, so that most of a long contour is
// passed over at once.
const runLength = 32

// run gives the edges of one run.
func (p piece) run(i int) geom.Path {
	return p.path[i*runLength : min((i+1)*runLength, len(p.path))]
}

// winds tells whether the path runs round q, when q does not lie on it.
func (p piece) winds(q geom.Point) bool {
	if !p.box.HoldsPoint(q) {
		return false
	}
	ray := geom.Box{Min: q, Max: geom.Pt(p.box.Max.X, q.Y)}
	w := 0
	for i, b := range p.runs {
		if b.Overlaps(ray) {
			w += p.run(i).Winding(q)
		}
	}
	return w != 0
}

// Drawn gives the area that object o of the image covers:
//   - flashes of circles, rectangles, obrounds and polygons; strokes of a round pen; straight strokes
//     of a rectangular, obround or polygonal pen; regions: to within 1 nm;
//   - flashes of macros: primitive by primitive, to within 1 nm, but moirés (with their cross) and
//     thermals by their outer circle;
//   - other strokes, which no standard allows: by the circle round the pen.
//
// A region covers whatever one of its contours runs round in either direction (non-zero winding): a
// cut-in hole, run round the other way, stays open, while a contour that overlaps itself covers the
// overlap, so that nothing drawn is missed.
func (m *Image) Drawn(o Object) Drawn {
	var d Drawn
	switch o.Kind {
	case Fill:
		for _, c := range m.Regions[o.Region].Contours {
			d.add(piece{path: c, filled: true})
		}
	case Stroke:
		d.stroke(m.Apertures[o.Aperture], o.Edge)
	default:
		d.flash(m.Apertures[o.Aperture], o.Edge.From)
	}
	return d
}

func (d *Drawn) add(p piece) {
	if len(p.path) == 0 {
		return
	}
	p.runs = make([]geom.Box, (len(p.path)+runLength-1)/runLength)
	p.box = geom.EmptyBox()
	for i := range p.runs {
		p.runs[i] = p.run(i).Box()
		p.box = p.box.Union(p.runs[i])
	}
	d.pieces = append(d.pieces, p)
}

func (d *Drawn) disc(at geom.Point, diameter geom.Length) {
	d.add(piece{path: geom.Path{geom.Line(at, at)}, pad: float64(diameter) / 2})
}

func (d *Drawn) polygon(corners []geom.Point) { d.add(piece{path: ring(corners), filled: true}) }

// ring closes a polygon.
func ring(corners []geom.Point) geom.Path {
	p := make(geom.Path, 0, len(corners))
	for i, a := range corners {
		p = append(p, geom.Line(a, corners[(i+1)%len(corners)]))
	}
	return p
}

func (d *Drawn) flash(a Aperture, at geom.Point) {
	switch a.Shape {
	case Circle:
		d.disc(at, a.Width)
	case Obround:
		spine, pad := a.spine()
		d.add(piece{path: geom.Path{geom.Line(at.Add(spine), at.Sub(spine))}, pad: pad})
	case Rectangle, Polygon:
		corners := a.corners()
		for i := range corners {
			corners[i] = corners[i].Add(at)
		}
		d.polygon(corners)
	default:
		for _, p := range a.Primitives {
			if !p.Off {
				d.primitive(p, at)
			}
		}
	}
}

// spine gives an obround as a line through the origin, from −end to end, and a radius about it. A
// half nanometre left over is added to the radius.
func (a Aperture) spine() (end geom.Point, pad float64) {
	long := max(a.Width, a.Height) - min(a.Width, a.Height)
	pad = float64(min(a.Width, a.Height))/2 + float64(long%2)/2
	if a.Width >= a.Height {
		return geom.Pt(long/2, 0), pad
	}
	return geom.Pt(0, long/2), pad
}

// corners gives a rectangle's or polygon's corners about the origin, counter-clockwise. Half
// nanometres are rounded outwards.
func (a Aperture) corners() []geom.Point {
	if a.Shape == Rectangle {
		x, y := (a.Width+1)/2, (a.Height+1)/2
		return []geom.Point{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
	}
	return around(geom.Point{}, a.Width, a.Vertices, a.Turn, geom.Point{})
}

// around gives the corners of a regular polygon about center, turned about the origin and shifted.
func around(center geom.Point, diameter geom.Length, vertices int, turn geom.Angle, at geom.Point) []geom.Point {
	out := make([]geom.Point, max(vertices, 0))
	for i := range out {
		sin, cos := geom.FromDegrees(360 * float64(i) / float64(vertices)).SinCos()
		r := float64(diameter) / 2
		out[i] = placed(float64(center.X)+float64(r*cos), float64(center.Y)+float64(r*sin), turn, at)
	}
	return out
}

// placed turns a place about the origin, shifts it and rounds it, once.
func placed(x, y float64, turn geom.Angle, at geom.Point) geom.Point {
	sin, cos := turn.SinCos()
	return geom.Pt(
		at.X+geom.Round(float64(x*cos)-float64(y*sin)),
		at.Y+geom.Round(float64(x*sin)+float64(y*cos)),
	)
}

func (d *Drawn) stroke(a Aperture, e geom.Edge) {
	straight := e.Sense == geom.Straight
	switch {
	case a.Shape == Circle:
		d.add(piece{path: geom.Path{e}, pad: float64(a.Width) / 2})
	case straight && a.Shape == Obround:
		end, pad := a.spine()
		d.add(piece{path: ring(hull([]geom.Point{e.From.Add(end), e.From.Sub(end), e.To.Add(end), e.To.Sub(end)})), filled: true, pad: pad})
	case straight && (a.Shape == Rectangle || a.Shape == Polygon):
		var swept []geom.Point
		for _, c := range a.corners() {
			swept = append(swept, e.From.Add(c), e.To.Add(c))
		}
		d.polygon(hull(swept))
	default:
		d.add(piece{path: geom.Path{e}, pad: float64(a.Reach())})
	}
}

// hull gives the corners of the smallest convex polygon round the points, counter-clockwise.
func hull(pts []geom.Point) []geom.Point {
	slices.SortFunc(pts, geom.Point.Compare)
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return pts
	}
	var out []geom.Point
	for range 2 { // from left to right below, then back above
		base := len(out)
		for _, p := range pts {
			for n := len(out); n >= base+2 && out[n-1].Sub(out[n-2]).Cross(p.Sub(out[n-2])) <= 0; n = len(out) {
				out = out[:n-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1] // the next half begins with it
		slices.Reverse(pts)
	}
	return out
}

// primitive adds what one primitive of a macro flashed at a place covers.
func (d *Drawn) primitive(p Primitive, at geom.Point) {
	var c geom.Point
	if len(p.Points) > 0 {
		c = p.Points[0]
	}
	bar := func(w, h geom.Length) {
		x, y := float64(w)/2, float64(h)/2
		d.polygon([]geom.Point{
			placed(float64(c.X)-x, float64(c.Y)-y, p.Turn, at), placed(float64(c.X)+x, float64(c.Y)-y, p.Turn, at),
			placed(float64(c.X)+x, float64(c.Y)+y, p.Turn, at), placed(float64(c.X)-x, float64(c.Y)+y, p.Turn, at),
		})
	}
	disc := func() { d.disc(placed(float64(c.X), float64(c.Y), p.Turn, at), p.Size[0]) }
	switch p.Kind {
	case PrimCircle, PrimThermal:
		disc()
	case PrimMoire:
		disc()
		if p.Size[3] > 0 && p.Size[4] > 0 {
			bar(p.Size[4], p.Size[3])
			bar(p.Size[3], p.Size[4])
		}
	case PrimCenterLine:
		bar(p.Size[0], p.Size[1])
	case PrimVectorLine:
		if len(p.Points) > 1 {
			d.polygon(vectorLine(p, at))
		}
	case PrimOutline:
		corners := make([]geom.Point, len(p.Points))
		for i, q := range p.Points {
			corners[i] = placed(float64(q.X), float64(q.Y), p.Turn, at)
		}
		d.polygon(corners)
	case PrimPolygon:
		d.polygon(around(c, p.Size[0], p.Vertices, p.Turn, at))
	}
}

// vectorLine gives the corners of a line with a width and butt ends.
func vectorLine(p Primitive, at geom.Point) []geom.Point {
	a, b := p.Points[0], p.Points[1]
	v := b.Sub(a)
	l := v.Norm()
	if l == 0 {
		return nil
	}
	x, y := -float64(v.Y)/l*float64(p.Size[0])/2, float64(v.X)/l*float64(p.Size[0])/2
	ax, ay, bx, by := float64(a.X), float64(a.Y), float64(b.X), float64(b.Y)
	return []geom.Point{
		placed(ax-x, ay-y, p.Turn, at), placed(bx-x, by-y, p.Turn, at),
		placed(bx+x, by+y, p.Turn, at), placed(ax+x, ay+y, p.Turn, at),
	}
}

// Box is a box that holds the area; empty when nothing is covered.
func (d Drawn) Box() geom.Box {
	b := geom.EmptyBox()
	for _, p := range d.pieces {
		b = b.Union(p.box.Grow(geom.Length(math.Ceil(p.pad))))
	}
	return b
}
