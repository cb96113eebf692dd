package outside

import (
	"fmt"
	"image"
	"image/color"
	"math/bits"
	"slices"
)

// bitmap is a picture of one layer, one bit a pixel, packed in rows of 64-bit words, because a few
// thousand million pixels are compared in one run. Row 0 is the upper one, as in the viewer's files.
type bitmap struct {
	w, h, stride int
	bits         []uint64
}

func newBitmap(w, h int) *bitmap {
	s := (w + 63) / 64
	return &bitmap{w, h, s, make([]uint64, s*h)}
}

func (b *bitmap) row(y int) []uint64 { return b.bits[y*b.stride : (y+1)*b.stride] }
func (b *bitmap) set(x, y int)       { b.bits[y*b.stride+x>>6] |= 1 << (x & 63) }
func (b *bitmap) at(x, y int) bool   { return b.bits[y*b.stride+x>>6]>>(x&63)&1 == 1 }

// ink counts the set pixels.
func (b *bitmap) ink() int {
	n := 0
	for _, w := range b.bits {
		n += bits.OnesCount64(w)
	}
	return n
}

// bitmapOf takes a picture drawn in white on black.
func bitmapOf(m image.Image) (*bitmap, error) {
	r := m.Bounds()
	b := newBitmap(r.Dx(), r.Dy())
	switch m := m.(type) {
	case *image.RGBA: // what the viewer writes
		for y := range b.h {
			line := m.Pix[y*m.Stride : y*m.Stride+4*b.w]
			for x := range b.w {
				switch line[4*x] {
				case 255:
					b.set(x, y)
				case 0:
				default:
					return nil, fmt.Errorf("pixel %d,%d is neither black nor white: %v", x, y, m.At(x, y))
				}
			}
		}
	default:
		for y := range b.h {
			for x := range b.w {
				switch g := color.GrayModel.Convert(m.At(r.Min.X+x, r.Min.Y+y)).(color.Gray); g.Y {
				case 255:
					b.set(x, y)
				case 0:
				default:
					return nil, fmt.Errorf("pixel %d,%d is neither black nor white: %v", x, y, g)
				}
			}
		}
	}
	return b, nil
}

// edges gives the pixels whose 3 × 3 neighbourhood is not of one colour: those within one pixel of
// an edge. What lies outside the picture does not count.
func (b *bitmap) edges() *bitmap {
	out := newBitmap(b.w, b.h)
	some, all := make([]uint64, b.stride), make([]uint64, b.stride)
	var tail uint64 = ^uint64(0)
	if r := b.w & 63; r != 0 {
		tail = 1<<r - 1
	}
	for y := range b.h {
		copy(some, b.row(y))
		copy(all, b.row(y))
		for _, n := range []int{y - 1, y + 1} {
			if n < 0 || n >= b.h {
				continue
			}
			for i, w := range b.row(n) {
				some[i] |= w
				all[i] &= w
			}
		}
		all[b.stride-1] |= ^tail // beyond the right end nothing is missing
		to := out.row(y)
		for i := range to {
			l, r := some[i]<<1, some[i]>>1
			la, ra := all[i]<<1|1, all[i]>>1|1<<63
			if i > 0 {
				l |= some[i-1] >> 63
				la = all[i]<<1 | all[i-1]>>63
			}
			if i+1 < b.stride {
				r |= some[i+1] << 63
				ra = all[i]>>1 | all[i+1]<<63
			}
			to[i] = (some[i] | l | r) &^ (all[i] & la & ra)
		}
		to[b.stride-1] &= tail
	}
	return out
}

// blob is a connected group of differing pixels: one of them, and how many there are.
type blob struct{ x, y, size int }

// differences compares two pictures of equal size within the rectangle r and gives the blobs (joined
// over sides and corners) of at least two pixels that differ, first the uppermost.
//
// Ignored are only pixels within one pixel of an edge, and of an edge in both pictures. Where an
// edge has moved by no more than one pixel, both pictures have it there. Where it has moved by two,
// or where something is missing, one of the two pictures is plain there, and the pixel counts.
// (Ignoring what is near an edge in either picture would let a shift of two pixels pass.)
func differences(a, b *bitmap, r image.Rectangle) ([]blob, error) {
	if a.w != b.w || a.h != b.h {
		return nil, fmt.Errorf("the pictures differ in size: %d × %d and %d × %d", a.w, a.h, b.w, b.h)
	}
	if slices.Equal(a.bits, b.bits) {
		return nil, nil
	}
	ea, eb := a.edges(), b.edges()
	left := map[image.Point]bool{}
	var order []image.Point
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for i := range a.stride {
			k := y*a.stride + i
			w := (a.bits[k] ^ b.bits[k]) &^ (ea.bits[k] & eb.bits[k])
			for w != 0 {
				p := image.Pt(i<<6+bits.TrailingZeros64(w), y)
				w &= w - 1
				if p.In(r) {
					left[p] = true
					order = append(order, p)
				}
			}
		}
	}
	var found []blob
	for _, p := range order {
		if !left[p] {
			continue
		}
		delete(left, p)
		n := 1
		for todo := []image.Point{p}; len(todo) > 0; {
			q := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					if s := q.Add(image.Pt(dx, dy)); left[s] {
						delete(left, s)
						n++
						todo = append(todo, s)
					}
				}
			}
		}
		if n > 1 {
			found = append(found, blob{p.X, p.Y, n})
		}
	}
	return found, nil
}
