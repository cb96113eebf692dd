package density

import (
	"math"
	"math/bits"

	"panelwright/pipeline/geom"
)

// raster is a grid of samples over a box. The first sample lies half a step inside the box's lower left corner.
type raster struct {
	box           geom.Box
	step          geom.Length
	columns, rows int
	words         int // a row takes so many
	bits          []uint64
}

// newRaster makes a raster in which nothing is set. Where that would be too many samples they lie further apart.
func newRaster(box geom.Box, step geom.Length) *raster {
	n := func(l geom.Length) int { return max(1, int((l+step-1)/step)) }
	for n(box.Width())*n(box.Height()) > mostSamples {
		step *= 2
	}
	m := &raster{box: box, step: step, columns: n(box.Width()), rows: n(box.Height())}
	m.words = (m.columns + 63) / 64
	m.bits = make([]uint64, m.words*m.rows)
	return m
}

// row sets or clears the samples of columns from up to but without end in a row; what lies beside the raster is left
// out.
func (m *raster) row(r, from, end int, set bool) {
	from, end = max(from, 0), min(end, m.columns)
	if r < 0 || r >= m.rows || from >= end {
		return
	}
	line := m.bits[r*m.words : (r+1)*m.words]
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

// and keeps what is set in both of two rasters over the same box.
func (m *raster) and(o *raster) {
	for i := range m.bits {
		m.bits[i] &= o.bits[i]
	}
}

// count gives how many samples within a box, its edges included, are set.
func (m *raster) count(box geom.Box) int {
	c0, c1 := m.within(box.Min.X-m.box.Min.X, box.Max.X-m.box.Min.X, m.columns)
	r0, r1 := m.within(box.Min.Y-m.box.Min.Y, box.Max.Y-m.box.Min.Y, m.rows)
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
		line := m.bits[r*m.words : (r+1)*m.words]
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
func (m *raster) within(from, to geom.Length, most int) (first, end int) {
	half, step := int64(m.step)/2, int64(m.step)
	a, b := -floor(-(int64(from)-half), step), floor(int64(to)-half, step)+1 // the first rounded up
	return int(min(max(a, 0), int64(most))), int(min(max(b, 0), int64(most)))
}

// turned gives what is set as it lies about the origin when it is turned by any angle: a sample is set there when the
// one that it comes from, or the nearest to that, is.
func (m *raster) turned(by geom.Angle) *raster {
	out := newRaster(geom.Transform{Turn: by}.Box(m.box), m.step)
	sin, cos := by.SinCos()
	step := float64(out.step)
	for r := range out.rows {
		y := float64(out.box.Min.Y) + float64((float64(r)+0.5)*step)
		for c := range out.columns {
			x := float64(out.box.Min.X) + float64((float64(c)+0.5)*step)
			// Turned back, and counted from the corner.
			k := math.Floor((float64(x*cos) + float64(y*sin) - float64(m.box.Min.X)) / float64(m.step))
			l := math.Floor((float64(y*cos) - float64(x*sin) - float64(m.box.Min.Y)) / float64(m.step))
			if k >= 0 && l >= 0 && k < float64(m.columns) && l < float64(m.rows) && m.bits[int(l)*m.words+int(k)/64]>>(int(k)%64)&1 != 0 {
				out.bits[r*out.words+c/64] |= 1 << (c % 64)
			}
		}
	}
	return out
}
