package sampled

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Placing says where a picture lies: it moves, turns or mirrors it. geom.Transform is one.
type Placing interface {
	Box(geom.Box) geom.Box
	Edge(geom.Edge) geom.Edge
}

// Picture is an image made ready to be drawn, as often as one likes and by several goroutines at once.
type Picture struct {
	image *artwork.Image
	place Placing
	boxes []geom.Box            // of each object, placed
	paths map[int][]geom.Path   // what single objects cover, placed
	shape map[int32][]geom.Path // what apertures that are no discs cover about the origin
}

// NewPicture makes an image ready, placed. Errors are that ctx is done, or a fault of the geometry.
func NewPicture(ctx context.Context, image *artwork.Image, place Placing) (*Picture, error) {
	p := &Picture{image: image, place: place, boxes: make([]geom.Box, len(image.Objects)), paths: map[int][]geom.Path{}, shape: map[int32][]geom.Path{}}
	for i, o := range image.Objects {
		if i%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		p.boxes[i] = place.Box(image.Box(o))
		if o.Kind == artwork.Fill || isDisc(image, o) {
			continue
		}
		if o.Kind == artwork.Flash {
			if _, ok := p.shape[o.Aperture]; ok {
				continue
			}
			at := o
			at.Edge = geom.Line(geom.Point{}, geom.Point{})
			r, err := image.Area(ctx, at)
			if err != nil {
				return nil, err
			}
			p.shape[o.Aperture] = r.Paths()
			continue
		}
		r, err := image.Area(ctx, o)
		if err != nil {
			return nil, err
		}
		p.paths[i] = placed(r.Paths(), geom.Point{}, place)
	}
	return p, nil
}

// isDisc tells whether an object is a round pen, flashed or moved along an edge.
func isDisc(image *artwork.Image, o artwork.Object) bool {
	a := image.Apertures[o.Aperture]
	return a.Shape == artwork.Circle && (a.Hole == 0 || o.Kind == artwork.Stroke)
}

// placed shifts paths, then places them.
func placed(paths []geom.Path, by geom.Point, place Placing) []geom.Path {
	t := geom.Transform{Shift: by}
	out := make([]geom.Path, len(paths))
	for i, p := range paths {
		q := make(geom.Path, len(p))
		for k, e := range p {
			q[k] = place.Edge(t.Edge(e))
		}
		out[i] = q
	}
	return out
}

// Extent is the smallest box known to hold all that the picture draws.
func (p *Picture) Extent() geom.Box {
	b := geom.EmptyBox()
	for _, x := range p.boxes {
		b = b.Union(x)
	}
	return b
}

// Boxes gives a box of each object of the picture, which must not be changed.
func (p *Picture) Boxes() []geom.Box { return p.boxes }

// Draw draws the picture within a box: object by object, in order, clear ones erasing. The error is that ctx is done.
func (p *Picture) Draw(ctx context.Context, box geom.Box, step geom.Length) (*Raster, error) {
	m := New(box, step)
	return m, p.DrawOn(ctx, m)
}

// DrawOn is Draw on a raster that is there, over what is set.
func (p *Picture) DrawOn(ctx context.Context, m *Raster) error {
	for i, o := range p.image.Objects {
		if i%1024 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if !p.boxes[i].Overlaps(m.Box) {
			continue
		}
		switch {
		case o.Kind == artwork.Fill:
			for _, c := range p.image.Regions[o.Region].Contours {
				m.fill([]geom.Path{c}, p.place, !o.Clear) // each for itself: two that run opposite ways do not cancel
			}
		case isDisc(p.image, o):
			e := o.Edge
			if o.Kind == artwork.Flash {
				e = geom.Line(e.From, e.From)
			}
			m.Capsule(p.place.Edge(e), p.image.Apertures[o.Aperture].Width, !o.Clear)
		case o.Kind == artwork.Flash:
			m.Fill(placed(p.shape[o.Aperture], o.Edge.From, p.place), !o.Clear)
		default:
			m.Fill(p.paths[i], !o.Clear)
		}
	}
	return nil
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
func (m *Raster) sample(at float64) int {
	k := math.Ceil(float64(at/float64(m.Step)) - 0.5)
	return int(min(max(k, -1), float64(max(m.Columns, m.Rows)+1)))
}

// Capsule sets or clears what a round pen covers along an edge.
func (m *Raster) Capsule(e geom.Edge, diameter geom.Length, set bool) {
	if diameter <= 0 {
		return
	}
	if e.Sense != geom.Straight {
		from := e.From
		for _, q := range chords(e, nil) {
			m.Capsule(geom.Line(from, q), diameter, set)
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
	for row := max(low, 0); row < min(high, m.Rows); row++ { // its lower edge belongs to it, its upper does not, as left and right
		y := float64(float64(row)*float64(m.Step)) + float64(m.Step/2)
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
			m.Set(row, m.sample(left), m.sample(right), set)
		}
	}
}

// point is a place counted from the raster's corner, in nm.
type point struct{ x, y float64 }

func (m *Raster) local(p geom.Point) point {
	return point{float64(p.X - m.Box.Min.X), float64(p.Y - m.Box.Min.Y)}
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

// Fill sets or clears what closed paths run round, by the non-zero rule.
func (m *Raster) Fill(paths []geom.Path, set bool) { m.fill(paths, geom.Transform{}, set) }

func (m *Raster) fill(paths []geom.Path, place Placing, set bool) {
	var all []crossing
	var points []geom.Point
	for _, p := range paths {
		for _, e := range p {
			e = place.Edge(e)
			if !m.meets(e) {
				continue // wherever it runs, it crosses no row
			}
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
			m.Set(x.row(), x.column(), all[i+1].column(), set)
		}
	}
}

// meets tells whether an edge may lie at the height of a row.
func (m *Raster) meets(e geom.Edge) bool {
	low, high := min(e.From.Y, e.To.Y), max(e.From.Y, e.To.Y)
	if e.Sense != geom.Straight {
		r := geom.Length(math.Ceil(e.Radius())) + 2*flat
		low, high = min(low, e.Center.Y-r), max(high, e.Center.Y+r)
	}
	return high >= m.Box.Min.Y && low <= m.Box.Min.Y+geom.Length(m.Rows)*m.Step
}

// cross adds where a line crosses the rows: those at or above its lower end and below its upper one.
func (m *Raster) cross(all []crossing, a, b point) []crossing {
	up := a.y <= b.y
	if !up {
		a, b = b, a
	}
	low, high := max(m.sample(a.y), 0), min(m.sample(b.y), m.Rows)
	if low >= high {
		return all
	}
	slope := (b.x - a.x) / (b.y - a.y)
	for row := low; row < high; row++ {
		y := float64(float64(row)*float64(m.Step)) + float64(m.Step/2)
		all = append(all, crossingAt(row, m.sample(a.x+float64((y-a.y)*slope)), up))
	}
	return all
}
