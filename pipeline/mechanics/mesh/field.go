package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

// A field says how long edges are to be at a place: Size + Grading × distance from the Near edge for which that is least, at
// most Open. It is a tree of squares, parted when they are first asked for; each knows the edges that can be the one within it.
type field struct {
	open, grading float64
	near          []nearLine
	squares       []cell
}

// A nearLine is a straight piece of a Near edge, in nm.
type nearLine struct{ x, y, dx, dy, inv, size float64 } // inv is 1 / length², 0 for a point

// A cell is a square of the tree. Four children follow one another from child on; 0 means none yet.
type cell struct {
	x, y, half float64 // its middle
	lines      []int32
	child      int32
}

const (
	fewLines     = 3   // that are not worth another level
	leastHalf    = 1e5 // nm: squares that are not parted again
	leastNearSag = 1e3 // nm
)

func newField(d *Domain) *field {
	f := &field{open: float64(max(d.Open, d.Tidy)), grading: d.Grading}
	for _, n := range d.Near {
		n.Size = max(n.Size, d.Tidy)
		f.add(n)
	}
	all := make([]int32, len(f.near))
	for i := range all {
		all[i] = int32(i)
	}
	f.squares = []cell{f.make(0, 0, 1.1*float64(geom.Limit), all)}
	return f
}

// add follows an edge by chords that stray from it by little of the size that it asks for.
func (f *field) add(n Near) {
	last := n.Edge.From
	put := func(p geom.Point) {
		l := nearLine{x: float64(last.X), y: float64(last.Y), dx: float64(p.X - last.X), dy: float64(p.Y - last.Y), size: float64(n.Size)}
		if l2 := float64(l.dx*l.dx) + float64(l.dy*l.dy); l2 > 0 {
			l.inv = 1 / l2
		}
		f.near = append(f.near, l)
		last = p
	}
	for _, p := range chords(n.Edge, 2*geom.Limit.MM()*1e6, max(float64(n.Size)/10, leastNearSag)) {
		put(p)
	}
	put(n.Edge.To)
}

// value is the size a line asks for at a place.
func (f *field) value(l *nearLine, x, y float64) float64 {
	x, y = x-l.x, y-l.y
	t := float64((float64(x*l.dx) + float64(y*l.dy)) * l.inv)
	t = min(max(t, 0), 1)
	x, y = x-float64(t*l.dx), y-float64(t*l.dy)
	return l.size + float64(f.grading*math.Sqrt(float64(x*x)+float64(y*y)))
}

// make gives the square with those of the lines that can be the one somewhere within it: the values of two lines change by no
// more than the grading times the way from the middle to a corner.
func (f *field) make(x, y, half float64, lines []int32) cell {
	s := cell{x: x, y: y, half: half}
	reach := float64(f.grading * half * math.Sqrt2)
	least := f.open + reach
	values := make([]float64, len(lines))
	n := 0
	for i, k := range lines {
		values[i] = f.value(&f.near[k], x, y)
		least = min(least, values[i]+reach)
	}
	for _, v := range values {
		if v-reach <= least {
			n++
		}
	}
	s.lines = make([]int32, 0, n)
	for i, k := range lines {
		if values[i]-reach <= least {
			s.lines = append(s.lines, k)
		}
	}
	return s
}

// at gives the size at a place, in nm.
func (f *field) at(x, y float64) float64 {
	i := int32(0)
	s := &f.squares[0]
	for len(s.lines) > fewLines && s.half > leastHalf {
		if s.child == 0 {
			s.child = int32(len(f.squares))
			h := float64(s.half / 2)
			f.squares = append(f.squares, f.make(s.x-h, s.y-h, h, s.lines), f.make(s.x+h, s.y-h, h, s.lines),
				f.make(s.x-h, s.y+h, h, s.lines), f.make(s.x+h, s.y+h, h, s.lines))
			s = &f.squares[i]
		}
		i = s.child
		if x > s.x {
			i++
		}
		if y > s.y {
			i += 2
		}
		s = &f.squares[i]
	}
	size := f.open
	for _, k := range s.lines {
		size = min(size, f.value(&f.near[k], x, y))
	}
	return size
}

// of is the size at a point.
func (f *field) of(p geom.Point) float64 { return f.at(float64(p.X), float64(p.Y)) }

// count says about how many nodes the sizes ask for within a box, and where they lie closest together. Equilateral triangles with
// edges h have a node for each √3/2·h².
func (f *field) count(b geom.Box) (nodes float64, densest geom.Point) {
	if b.Empty() {
		return 0, geom.Point{}
	}
	most := 0.0
	var add func(x, y, w, h float64)
	add = func(x, y, w, h float64) {
		size := f.at(x, y)
		if long := max(w, h); long > 2*size && nodes < 4*mostNodes {
			if w > h {
				quarter := float64(w / 4)
				add(x-quarter, y, w/2, h)
				add(x+quarter, y, w/2, h)
			} else {
				quarter := float64(h / 4)
				add(x, y-quarter, w, h/2)
				add(x, y+quarter, w, h/2)
			}
			return
		}
		nodes += float64(w / size * (h / size) / 0.8660254037844386)
		if 1/size > most {
			most, densest = 1/size, geom.Pt(geom.Round(x), geom.Round(y))
		}
	}
	w, h := float64(b.Max.X-b.Min.X), float64(b.Max.Y-b.Min.Y)
	add(float64(b.Min.X)+float64(w/2), float64(b.Min.Y)+float64(h/2), w, h)
	return nodes, densest
}
