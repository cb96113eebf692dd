package overlay

import "math/bits"

// box is a rectangle of places, without its right and upper sides.
type box struct{ x0, y0, x1, y1 int64 }

func (b box) holds(x, y int32) bool {
	return b.x0 <= int64(x) && int64(x) < b.x1 && b.y0 <= int64(y) && int64(y) < b.y1
}

// A grid parts a box into cells whose sides are powers of two and lists for each cell the segments
// that may touch a pixel in it.
type grid struct {
	box    box
	kx, ky uint
	nx, ny int64
	first  []int32 // where each cell's list begins in list; one more than there are cells
	list   []int32
}

// lay chooses the cells for n segments whose extents add up to wide and high: about one segment a
// cell, but no smaller than lets a segment lie in a handful of them.
func lay(b box, n int, wide, high int64) grid {
	w, h := max(b.x1-b.x0, 1), max(b.y1-b.y0, 1)
	kx, ky := log2(max(wide/int64(n), 1)), log2(max(high/int64(n), 1))
	for cells(w, kx)*cells(h, ky) > int64(n)+1 {
		if kx <= ky && cells(w, kx) > 1 || cells(h, ky) == 1 {
			kx++
		} else {
			ky++
		}
	}
	return grid{box: b, kx: kx, ky: ky, nx: cells(w, kx), ny: cells(h, ky)}
}

func log2(v int64) uint { return uint(bits.Len64(uint64(v)) - 1) }

func cells(size int64, k uint) int64 { return (size-1)>>k + 1 }

func (g *grid) cell(i int) box {
	c, r := int64(i)%g.nx, int64(i)/g.nx
	x, y := g.box.x0+c<<g.kx, g.box.y0+r<<g.ky
	return box{x, y, min(x+1<<g.kx, g.box.x1), min(y+1<<g.ky, g.box.y1)}
}

// visit appends the cells in which a segment may touch a pixel.
func (g *grid) visit(s *segment, out []int32) []int32 {
	x0, y0, x1, y1 := int64(s.lo.x())-g.box.x0, int64(s.lo.y())-g.box.y0, int64(s.hi.x())-g.box.x0, int64(s.hi.y())-g.box.y0
	c0, c1 := max(x0>>g.kx, 0), min(x1>>g.kx, g.nx-1)
	r0, r1 := max(min(y0, y1)>>g.ky, 0), min(max(y0, y1)>>g.ky, g.ny-1)
	if c0 == c1 || r0 >= r1 {
		for r := r0; r <= r1; r++ {
			for c := c0; c <= c1; c++ {
				out = append(out, int32(r*g.nx+c))
			}
		}
		return out
	}
	// Floating point only chooses candidates here, half a nanometre and its own error to spare.
	slope := float64(y1-y0) / float64(x1-x0)
	for c := c0; c <= c1; c++ {
		ya := float64(y0) + float64(slope*float64(max(c<<g.kx-1, x0)-x0))
		yb := float64(y0) + float64(slope*float64(min((c+1)<<g.kx+1, x1)-x0))
		if ya > yb {
			ya, yb = yb, ya
		}
		for r := max(int64(ya-1)>>g.ky, r0); r <= min(int64(yb+1)>>g.ky, r1); r++ {
			out = append(out, int32(r*g.nx+c))
		}
	}
	return out
}
