package density

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// draw draws an image within a box.
func draw(ctx context.Context, image *artwork.Image, box geom.Box) (*raster, error) {
	m := newRaster(box, copperStep)
	flashes := map[int32][]geom.Path{} // of apertures that are no discs, about the origin
	for i, o := range image.Objects {
		if i%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !image.Box(o).Overlaps(box) {
			continue
		}
		if o.Kind == artwork.Fill {
			for _, c := range image.Regions[o.Region].Contours {
				m.fill([]geom.Path{c}, !o.Clear) // each for itself: two that run opposite ways do not cancel
			}
			continue
		}
		a := image.Apertures[o.Aperture]
		disc := a.Shape == artwork.Circle && (a.Hole == 0 || o.Kind == artwork.Stroke)
		switch {
		case disc:
			e := o.Edge
			if o.Kind == artwork.Flash {
				e = geom.Line(e.From, e.From)
			}
			m.capsule(e, a.Width, !o.Clear)
		case o.Kind == artwork.Flash:
			paths, ok := flashes[o.Aperture]
			if !ok {
				at := o
				at.Edge = geom.Line(geom.Point{}, geom.Point{})
				r, err := image.Area(ctx, at)
				if err != nil {
					return nil, err
				}
				paths = r.Paths()
				flashes[o.Aperture] = paths
			}
			t := geom.Transform{Shift: o.Edge.From}
			moved := make([]geom.Path, len(paths))
			for k, p := range paths {
				moved[k] = t.Path(p)
			}
			m.fill(moved, !o.Clear)
		default:
			r, err := image.Area(ctx, o)
			if err != nil {
				return nil, err
			}
			m.fill(r.Paths(), !o.Clear)
		}
	}
	return m, nil
}

// flat is how far chords may lie off their arcs.
const flat = 2 * geom.UM

// chords gives points along an edge, without its start, so close that lines between them follow it.
func chords(e geom.Edge, to []geom.Point) []geom.Point {
	if e.Sense == geom.Straight {
		return append(to, e.To)
	}
	// A chord of the length 2·√(2·r·f) lies f off an arc of the radius r, very nearly.
	r := e.Radius()
	n := int(math.Ceil(e.Length() / float64(2*math.Sqrt(float64(2*r*float64(flat))))))
	n = min(max(n, 4), 100_000)
	for i := 1; i < n; i++ {
		to = append(to, e.At(float64(i)/float64(n)))
	}
	return append(to, e.To)
}

// sample gives the number of the first sample at or beyond a place, along one way, counted from the box's corner.
func (m *raster) sample(at float64) int {
	k := math.Ceil(float64(at/float64(m.step)) - 0.5)
	return int(min(max(k, -1), float64(max(m.columns, m.rows)+1)))
}

// capsule sets or clears what a round pen covers along an edge.
func (m *raster) capsule(e geom.Edge, diameter geom.Length, set bool) {
	if diameter <= 0 {
		return
	}
	if e.Sense != geom.Straight {
		from := e.From
		for _, q := range chords(e, nil) {
			m.capsule(geom.Line(from, q), diameter, set)
			from = q
		}
		return
	}
	r := float64(float64(diameter) / 2)
	a, b := m.local(e.From), m.local(e.To)
	low, high := m.sample(min(a.y, b.y)-r), m.sample(max(a.y, b.y)+r)
	var corners [4]point
	length := e.From.Distance(e.To)
	if length > 0 {
		k := r / length
		n := point{float64((a.y - b.y) * k), float64((b.x - a.x) * k)}
		corners = [4]point{{a.x + n.x, a.y + n.y}, {a.x - n.x, a.y - n.y}, {b.x - n.x, b.y - n.y}, {b.x + n.x, b.y + n.y}}
	}
	for row := max(low, 0); row < min(high, m.rows); row++ { // its lower edge belongs to it, its upper does not, as left and right
		y := float64(float64(row)*float64(m.step)) + float64(m.step/2)
		left, right := math.Inf(1), math.Inf(-1)
		for _, c := range [2]point{a, b} {
			if d := y - c.y; d >= -r && d <= r {
				w := math.Sqrt(float64(r*r) - float64(d*d))
				left, right = min(left, c.x-w), max(right, c.x+w)
			}
		}
		if length > 0 {
			for i, c := range corners {
				d := corners[(i+1)%4]
				if c.y == d.y || y < min(c.y, d.y) || y > max(c.y, d.y) {
					continue
				}
				x := c.x + float64((d.x-c.x)*((y-c.y)/(d.y-c.y)))
				left, right = min(left, x), max(right, x)
			}
		}
		if left <= right {
			m.row(row, m.sample(left), m.sample(right), set)
		}
	}
}

// point is a place counted from the raster's corner, in nm.
type point struct{ x, y float64 }

func (m *raster) local(p geom.Point) point {
	return point{float64(p.X - m.box.Min.X), float64(p.Y - m.box.Min.Y)}
}

// crossing is where a path crosses a row of samples: the row, the first sample to the right of it, and whether it
// runs upwards, in one number whose order is theirs.
type crossing uint64

func crossingAt(row, column int, up bool) crossing {
	c := crossing(row)<<33 | crossing(column+1)<<1 // a column may be −1: left of all
	if up {
		c |= 1
	}
	return c
}

func (c crossing) row() int    { return int(c >> 33) }
func (c crossing) column() int { return int(c>>1&0xffffffff) - 1 }
func (c crossing) way() int    { return int(c&1)*2 - 1 }

// fill sets or clears what closed paths run round, by the non-zero rule.
func (m *raster) fill(paths []geom.Path, set bool) {
	var all []crossing
	var points []geom.Point
	for _, p := range paths {
		for _, e := range p {
			points = chords(e, points[:0])
			from := m.local(e.From)
			for _, q := range points {
				to := m.local(q)
				all = m.cross(all, from, to)
				from = to
			}
		}
	}
	slices.Sort(all)
	winding := 0
	for i, x := range all {
		winding += x.way()
		if winding != 0 && i+1 < len(all) {
			m.row(x.row(), x.column(), all[i+1].column(), set)
		}
	}
}

// cross adds where a line crosses the rows: those at or above its lower end and below its upper one.
func (m *raster) cross(all []crossing, a, b point) []crossing {
	up := a.y <= b.y
	if !up {
		a, b = b, a
	}
	low, high := max(m.sample(a.y), 0), min(m.sample(b.y), m.rows)
	if low >= high {
		return all
	}
	slope := (b.x - a.x) / (b.y - a.y)
	for row := low; row < high; row++ {
		y := float64(float64(row)*float64(m.step)) + float64(m.step/2)
		all = append(all, crossingAt(row, m.sample(a.x+float64((y-a.y)*slope)), up))
	}
	return all
}
