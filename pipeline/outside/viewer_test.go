package outside

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"panelwright/pipeline/internal/shared"
)

// The viewer is gerbv (Debian package gerbv; measured with 2.9.6). What was found out about it:
//
//   - Without --antialias it draws hard pixels and rounds coordinates and widths to whole pixels.
//     Two pictures of one layer are equal, bit for bit, when their windows begin at the same place in
//     the layer to a small part of a pixel. Only data that lie half-way between two pixels may fall
//     to either side: window begins are chosen so that neither inch nor metric grids do.
//   - --origin takes at most 20 characters, in the unit of --unit; --window_inch is always in inches
//     and is cut off to whole pixels; --window refuses more than about 2000 pixels.
//   - It exits with 0 and writes an empty picture when it cannot read a file: what it says on
//     standard error must be read. There it also complains of every attribute it does not know.
//   - With --rotate it turns what it draws about the files' origin. Its rounding is not the same in
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
type viewer struct {
	program string
	dir     string
	turns   chan struct{} // as many pictures at a time as there are processors
	n       chan int
}

var turns = make(chan struct{}, max(runtime.NumCPU(), 1))

func newViewer(t *testing.T) *viewer {
	t.Helper()
	program, err := exec.LookPath("gerbv")
	if err != nil {
		shared.Missing(t, "the layer viewer gerbv is not here (Debian: apt-get install gerbv)")
	}
	v := &viewer{program: program, dir: t.TempDir(), turns: turns, n: make(chan int, 1)}
	v.n <- 0
	return v
}

// draw gives the picture of the files, one over the other, in the window at 1000 dpi.
func (v *viewer) draw(w window, files ...string) (*bitmap, error) {
	return v.drawAs(w, dpi, 0, files...)
}

// drawAs is draw at another resolution, which the window's pixels are of, and with the files turned
// about their origin first.
func (v *viewer) drawAs(w window, dpi, quarters int, files ...string) (*bitmap, error) {
	origin, err := originText(w.x, w.y)
	if err != nil {
		return nil, err
	}
	v.turns <- struct{}{}
	defer func() { <-v.turns }()
	n := <-v.n
	v.n <- n + 1
	out := filepath.Join(v.dir, fmt.Sprintf("%d.png", n))
	defer func() { _ = os.Remove(out) }()
	inch := func(px int) float64 { return (float64(px) + 0.3) / float64(dpi) }
	args := []string{
		"--export=png", "--output=" + out, fmt.Sprintf("--dpi=%d", dpi), "--border=0", "--unit=mm",
		"--origin=" + origin, fmt.Sprintf("--window_inch=%.4fx%.4f", inch(w.w), inch(w.h)), "--background=#000000",
	}
	if quarters&3 != 0 {
		args = append(args, fmt.Sprintf("--rotate=%d", 90*(quarters&3)))
	}
	for range files {
		args = append(args, "--foreground=#FFFFFFFF")
	}
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, v.program, append(append(args, "--"), files...)...)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("the viewer failed on %s: %w: %s", files, err, tail(said.String()))
	}
	for _, bad := range []string{"Could not read", "Exporting error", "Unknown file type", "not recognized", "out of bounds"} {
		if strings.Contains(said.String(), bad) {
			return nil, fmt.Errorf("the viewer could not draw %s: %s", files, tail(said.String()))
		}
	}
	f, err := os.Open(out)
	if err != nil {
		return nil, fmt.Errorf("the viewer wrote no picture of %s: %s", files, tail(said.String()))
	}
	defer func() { _ = f.Close() }()
	m, err := png.Decode(f)
	if err != nil {
		return nil, fmt.Errorf("the viewer's picture of %s: %w", files, err)
	}
	if s := m.Bounds().Size(); s != image.Pt(w.w, w.h) {
		return nil, fmt.Errorf("the viewer's picture of %s has %v pixels, not %d × %d", files, s, w.w, w.h)
	}
	return bitmapOf(m)
}

func tail(s string) string {
	if len(s) > 400 {
		s = "… " + s[len(s)-400:]
	}
	return strings.TrimSpace(s)
}

// originText writes a window's begin in the 20 characters that the viewer takes. The last place
// dropped is at most 0.05 µm, a five-hundredth of a pixel.
func originText(x, y int64) (string, error) {
	for _, step := range []int64{1, 10, 100} {
		s := mm(x, step) + ";" + mm(y, step)
		if len(s) <= 20 {
			return s, nil
		}
	}
	return "", fmt.Errorf("a window that begins at %d, %d nm is too far out for the viewer", x, y)
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
