// Package pictures compares pictures in tests, by the means of squares: how letters and thin lines are smoothed makes
// no difference, something that is missing does.
package pictures

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
)

// block is the side of the squares whose means are compared, in pixels.
const block = 8

// Read reads a PNG file in grey, from its upper left corner on.
func Read(file string) (*image.Gray, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return Decode(data)
}

// Decode reads a PNG picture in grey.
func Decode(data []byte) (*image.Gray, error) {
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	out := image.NewGray(image.Rect(0, 0, m.Bounds().Dx(), m.Bounds().Dy()))
	for y := range out.Rect.Max.Y {
		for x := range out.Rect.Max.X {
			out.Set(x, y, color.GrayModel.Convert(m.At(m.Bounds().Min.X+x, m.Bounds().Min.Y+y)))
		}
	}
	return out, nil
}

// Differ compares two pictures by the means of squares: the mean and the largest difference, of 255. Pictures of
// different sizes differ wholly, but for a pixel's rounding.
func Differ(a, b *image.Gray) (mean, worst float64) {
	w, h := min(a.Rect.Max.X, b.Rect.Max.X), min(a.Rect.Max.Y, b.Rect.Max.Y)
	if max(a.Rect.Max.X, b.Rect.Max.X)-w > 1 || max(a.Rect.Max.Y, b.Rect.Max.Y)-h > 1 {
		return 255, 255
	}
	n := 0
	for y := 0; y < h; y += block {
		for x := 0; x < w; x += block {
			r := image.Rect(x, y, min(x+block, w), min(y+block, h))
			d := math.Abs(Shade(a, r) - Shade(b, r))
			mean, worst, n = mean+d, max(worst, d), n+1
		}
	}
	return mean / float64(n), worst
}

// Shade is the mean of a part of a picture: 0 for black, 255 for white.
func Shade(m *image.Gray, r image.Rectangle) float64 {
	sum := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum += int(m.GrayAt(x, y).Y)
		}
	}
	return float64(sum) / float64(r.Dx()*r.Dy())
}

// Shrunk is a picture w pixels wide of means, in 16 greys.
func Shrunk(m *image.Gray, w int) *image.Gray {
	h := m.Rect.Dy() * w / m.Rect.Dx()
	out := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			r := image.Rect(x*m.Rect.Dx()/w, y*m.Rect.Dy()/h, (x+1)*m.Rect.Dx()/w, (y+1)*m.Rect.Dy()/h)
			out.SetGray(x, y, color.Gray{Y: uint8(math.Round(Shade(m, r)/17) * 17)})
		}
	}
	return out
}
