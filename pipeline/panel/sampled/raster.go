package sampled

import (
	"math"
	"math/bits"

	"panelwright/pipeline/geom"
)

// mostSamples is how many samples a raster may have before they are set wider apart: 64 million are 8 MB.
const mostSamples = 64 << 20

// Raster is a grid of samples over a box. The first sample lies half a step inside the box's lower left corner; rows run from
// the lowest up.
type Raster struct {
	Box           geom.Box
	Step          geom.Length // between samples
	Columns, Rows int
	Words         int      // a row takes so many of Bits
	Bits          []uint64 // the lowest bit of a row's first word is its first sample
}

// New makes a raster in which nothing is set. Where that would be more than 64 million samples they lie further apart, by a
// power of two.
func New(box geom.Box, step geom.Length) *Raster {
	n := func(l geom.Length) int { return max(1, int((l+step-1)/step)) }
	for n(box.Width())*n(box.Height()) > mostSamples {
		step *= 2
	}
	m := &Raster{Box: box, Step: step, Columns: n(box.Width()), Rows: n(box.Height())}
	m.Words = (m.Columns + 63) / 64
	m.Bits = make([]uint64, m.Words*m.Rows)
	return m
}

// Set sets or clears the samples of columns from up to but without end in a row; what lies beside the raster is left
// out.
func (m *Raster) Set(r, from, end int, set bool) {
	from, end = max(from, 0), min(end, m.Columns)
	if r < 0 || r >= m.Rows || from >= end {
		return
	}
	line := m.Bits[r*m.Words : (r+1)*m.Words]
	a, b := from/64, (end-1)/64
	first, last := ^uint64(0)<<(from%64), ^uint64(0)>>(63-(end-1)%64)
	for w := a; w <= b; w++ {
		mask := ^uint64(0)
		if w == a {
			mask &= first
		}
		if w == b {
			mask &= last
		}
		if set {
			line[w] |= mask
		} else {
			line[w] &^= mask
		}
	}
}

// And keeps what is set in both of two rasters over the same box.
func (m *Raster) And(o *Raster) {
	for i := range m.Bits {
		m.Bits[i] &= o.Bits[i]
	}
}

// Count gives how many samples within a box, its edges included, are set.
func (m *Raster) Count(box geom.Box) int {
	c0, c1 := m.within(box.Min.X-m.Box.Min.X, box.Max.X-m.Box.Min.X, m.Columns)
	r0, r1 := m.within(box.Min.Y-m.Box.Min.Y, box.Max.Y-m.Box.Min.Y, m.Rows)
	if c0 >= c1 {
		return 0
	}
	a, b := c0/64, (c1-1)/64
	first, last := ^uint64(0)<<(c0%64), ^uint64(0)>>(63-(c1-1)%64)
	if a == b {
		first &= last
	}
	n := 0
	for r := r0; r < r1; r++ {
		line := m.Bits[r*m.Words : (r+1)*m.Words]
		n += bits.OnesCount64(line[a] & first)
		if a == b {
			continue
		}
		for _, w := range line[a+1 : b] {
			n += bits.OnesCount64(w)
		}
		n += bits.OnesCount64(line[b] & last)
	}
	return n
}

// within gives the samples along one way from a place up to and with another, counted from the box's corner.
func (m *Raster) within(from, to geom.Length, most int) (first, end int) {
	half, step := int64(m.Step)/2, int64(m.Step)
	a, b := -floorDiv(-(int64(from)-half), step), floorDiv(int64(to)-half, step)+1 // the first rounded up
	return int(min(max(a, 0), int64(most))), int(min(max(b, 0), int64(most)))
}

// Turned gives what is set as it lies about the origin when it is turned by any angle: a sample is set there when the
// one that it comes from, or the nearest to that, is.
func (m *Raster) Turned(by geom.Angle) *Raster {
	out := New(geom.Transform{Turn: by}.Box(m.Box), m.Step)
	sin, cos := by.SinCos()
	step := float64(out.Step)
	for r := range out.Rows {
		y := float64(out.Box.Min.Y) + float64((float64(r)+0.5)*step)
		for c := range out.Columns {
			x := float64(out.Box.Min.X) + float64((float64(c)+0.5)*step)
			// Turned back, and counted from the corner.
			k := math.Floor((float64(x*cos) + float64(y*sin) - float64(m.Box.Min.X)) / float64(m.Step))
			l := math.Floor((float64(y*cos) - float64(x*sin) - float64(m.Box.Min.Y)) / float64(m.Step))
			if k >= 0 && l >= 0 && k < float64(m.Columns) && l < float64(m.Rows) && m.Bits[int(l)*m.Words+int(k)/64]>>(int(k)%64)&1 != 0 {
				out.Bits[r*out.Words+c/64] |= 1 << (c % 64)
			}
		}
	}
	return out
}

// floorDiv is a/b rounded down; b is positive.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
