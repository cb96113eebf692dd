package outside

import (
	"fmt"
	"image"
	"os/exec"
	"runtime"
	"strings"
	"testing"

	"panelwright/pipeline/internal/shared"
)

// The viewer is gerbv (Debian package gerbv; measured with 2.9.6). What was found out about it:
//
//   - Without --antialias it draws hard pixels and rounds coordinates and widths to whole pixels.
//     Two pictures of one layer are equal, bit for bit, when their windows begin at the same place in
//     the layer to a small part of a pixel. Only data that lie half-way between two pixels may fall
//     to either side: window begins are chosen so that neither inch nor metric grids do.
//   - It gives an empty picture when it cannot read a file: what it says must be read. It also complains
//     of every attribute it does not know.
//   - It reads its files anew for every picture, which takes longer than to draw a window of them. So
//     pictures are drawn by its own library (painter_test.go).
//   - Files can be turned before they are drawn (--rotate): it turns what it draws about the files' origin. Its rounding is not the same in
//     all directions, so a turned copy is compared with the source drawn turned, not with a turned
//     picture of the source.
//   - It draws slots written with G85, and leaves out those that are routed (G00, M15, G01, M16).
const (
	dpi   = 1000
	pixel = 25_400 // nm at 1000 dpi
)

// place is where a copy lies: its board's files turned by quarter turns about their origin, then
// shifted, in nm.
type place struct {
	x, y     int64
	quarters int
}

// window is a rectangle of whole pixels in the coordinates of a file.
type window struct {
	x, y  int64           // its lower left corner, nm
	w, h  int             // pixels
	inner image.Rectangle // the pixels that are compared
}

// boxNM is a rectangle in nm.
type boxNM struct{ x0, y0, x1, y1 int64 }

// windowOn gives the window that shows b with a margin of at least two pixels, b being its inner part.
func windowOn(b boxNM) window {
	// Begins 7.45 µm and 9.65 µm after a whole mil: no multiple of 0.1 µm or of a hundredth of a mil lies
	// half-way between two pixels then, which the viewer could round either way.
	x := floorDiv(b.x0-3*pixel, pixel)*pixel + 7_450
	y := floorDiv(b.y0-3*pixel, pixel)*pixel + 9_650
	w := int(floorDiv(b.x1-x, pixel)) + 4
	h := int(floorDiv(b.y1-y, pixel)) + 4
	return window{x, y, w, h, image.Rect(
		int(floorDiv(b.x0-x, pixel)), h-1-int(floorDiv(b.y1-y-1, pixel)),
		int(floorDiv(b.x1-x-1, pixel))+1, h-int(floorDiv(b.y0-y, pixel)))}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// on gives the window that shows on a panel what w shows of a board whose copy lies at p: the same
// pixels, turned like the copy.
func (w window) on(p place) window {
	x0, y0, x1, y1 := w.x, w.y, w.x+int64(w.w)*pixel, w.y+int64(w.h)*pixel
	r := w.inner
	out := w
	switch p.quarters & 3 { // rows of pixels count downwards
	case 1: // (x, y) → (−y, x)
		out = window{-y1, x0, w.h, w.w, image.Rect(r.Min.Y, w.w-r.Max.X, r.Max.Y, w.w-r.Min.X)}
	case 2:
		out = window{-x1, -y1, w.w, w.h, image.Rect(w.w-r.Max.X, w.h-r.Max.Y, w.w-r.Min.X, w.h-r.Min.Y)}
	case 3: // (x, y) → (y, −x)
		out = window{y0, -x1, w.h, w.w, image.Rect(w.h-r.Max.Y, r.Min.X, w.h-r.Min.Y, r.Max.X)}
	}
	out.x, out.y = out.x+p.x, out.y+p.y
	return out
}

// viewer draws files with the outside viewer.
type viewer struct{ painters chan *painter }

// painters are as many as there are processors, and each draws one picture at a time.
var painters = func() chan *painter {
	n := max(runtime.NumCPU(), 1)
	c := make(chan *painter, n)
	for range n {
		c <- &painter{}
	}
	return c
}()

func newViewer(t *testing.T) *viewer {
	t.Helper()
	if _, err := exec.LookPath("gerbv"); err != nil {
		shared.Missing(t, "the layer viewer gerbv is not here (Debian: apt-get install gerbv)")
	}
	if err := exec.Command(python, "-c", "import numpy").Run(); err != nil {
		shared.Missing(t, "numpy, which hands over the viewer's pictures, is not here (Debian: apt-get install python3-numpy)")
	}
	return &viewer{painters}
}

// draw gives the picture of the files, one over the other, in the window at 1000 dpi.
func (v *viewer) draw(w window, files ...string) (*bitmap, error) {
	return v.drawAs(w, dpi, 0, files...)
}

// drawAs is draw at another resolution, which the window's pixels are of, and with the files turned
// about their origin first.
func (v *viewer) drawAs(w window, dpi, quarters int, files ...string) (*bitmap, error) {
	var m []*bitmap
	err := v.with(func(p *painter) (err error) {
		m, err = p.draw([]window{w}, dpi, quarters, files)
		return err
	})
	if err != nil {
		return nil, err
	}
	return m[0], nil
}

// with calls f with a painter as soon as one is free.
func (v *viewer) with(f func(p *painter) error) error {
	p := <-v.painters
	defer func() { v.painters <- p }()
	return f(p)
}

// mm writes a length in nm as millimetres, rounded to step nm, without trailing zeros.
func mm(v, step int64) string {
	v = floorDiv(v+step/2, step) * step
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	s := fmt.Sprintf("%s%d.%06d", sign, v/1_000_000, v%1_000_000)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
