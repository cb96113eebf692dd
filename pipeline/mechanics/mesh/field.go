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
	squares       []square
}

// A nearLine is a straight piece of a Near edge, in nm.
type nearLine struct{ x, y, dx, dy, inv, size float64 } // inv is 1 / length², 0 for a point

// A square of the tree. Four children follow one another from child on; 0 means none yet.
type square struct {
	x, y, half float64 // its middle
	lines      []int32
	child      int32
}

const (
	fewLines  = 3   // that are not worth another level
	leastHalf = 1e5 // nm: squares that are not parted again
)

func newField(d *Domain) *field {
	f := &field{open: float64(d.Open), grading: d.Grading}
	for _, n := range d.Near {
		f.add(n)
	}
	all := make([]int32, len(f.near))
	for i := range all {
		all[i] = int32(i)
	}
	f.squares = []square{f.make(0, 0, 1.1*float64(geom.Limit), all)}
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
	for _, p := range chords(n.Edge, 2*geom.Limit.MM()*1e6, float64(n.Size)/10) {
		put(p)
	}
	put(n.Edge.To)
}

// at is the size a line asks for at a place.
func (f *field) value(l *nearLine, x, y float64) float64 {
	x, y = x-l.x, y-l.y
	t := float64((float64(x*l.dx) + float64(y*l.dy)) * l.inv)
	t = min(max(t, 0), 1)
	x, y = x-float64(t*l.dx), y-float64(t*l.dy)
	return l.size + float64(f.grading*math.Sqrt(float64(x*x)+float64(y*y)))
}

// make gives the square with those of the lines that can be the one somewhere within it: the values of two lines change by no
// more than the grading times the way from the middle to a corner.
func (f *field) make(x, y, half float64, lines []int32) square {
	s := square{x: x, y: y, half: half}
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
	for len(f.squares[i].lines) > fewLines && f.squares[i].half > leastHalf {
		s := f.squares[i]
		if s.child == 0 {
			f.squares[i].child = int32(len(f.squares))
			h := s.half / 2
			f.squares = append(f.squares, f.make(s.x-h, s.y-h, h, s.lines), f.make(s.x+h, s.y-h, h, s.lines),
				f.make(s.x-h, s.y+h, h, s.lines), f.make(s.x+h, s.y+h, h, s.lines))
			s = f.squares[i]
		}
		i = s.child
		if x > s.x {
			i++
		}
		if y > s.y {
			i += 2
		}
	}
	size := f.open
	for _, k := range f.squares[i].lines {
		size = min(size, f.value(&f.near[k], x, y))
	}
	return size
}

// of is the size at a point.
func (f *field) of(p geom.Point) float64 { return f.at(float64(p.X), float64(p.Y)) }
