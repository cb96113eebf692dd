package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// turns lets as many rasterisers run at a time as there are processors.
var turns = make(chan struct{}, max(runtime.NumCPU(), 1))

// rasteriser makes pixels of SVG pictures with rsvg-convert (Debian package librsvg2-bin, measured with
// 2.54.7). It covers pixels in part along edges; a pixel is set here when at least half of it is covered.
type rasteriser struct {
	program, dir string
	n            chan int
}

func newRasteriser(t *testing.T) *rasteriser {
	t.Helper()
	program, err := exec.LookPath("rsvg-convert")
	if err != nil {
		shared.Missing(t, "rsvg-convert is not here (Debian: apt-get install librsvg2-bin)")
	}
	r := &rasteriser{program: program, dir: t.TempDir(), n: make(chan int, 1)}
	r.n <- 0
	return r
}

// draw gives the pixels of a picture that is w × h pixels large. With crisp a pixel is set when its centre
// is covered instead: then shapes that abut leave no seam, and nothing is thinned where a shape is
// cut off along another's edge; but what is thinner than a pixel comes and goes.
func (r *rasteriser) draw(picture []byte, w, h int, crisp bool) (*bitmap, error) {
	if crisp {
		picture = bytes.Replace(picture, []byte("<svg "), []byte(`<svg shape-rendering="crispEdges" `), 1)
	}
	turns <- struct{}{}
	defer func() { <-turns }()
	n := <-r.n
	r.n <- n + 1
	out := filepath.Join(r.dir, fmt.Sprintf("%d.png", n))
	defer func() { _ = os.Remove(out) }()
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, r.program, "--unlimited", "--background-color=black", "--format=png",
		fmt.Sprintf("--width=%d", w), fmt.Sprintf("--height=%d", h), "--output="+out)
	cmd.Stdin = bytes.NewReader(picture)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("the SVG rasteriser failed: %w: %s", err, tail(said.String()))
	}
	f, err := os.Open(out)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	m, err := png.Decode(f)
	if err != nil {
		return nil, err
	}
	if s := m.Bounds().Size(); s != image.Pt(w, h) {
		return nil, fmt.Errorf("the SVG rasteriser's picture has %v pixels, not %d × %d", s, w, h)
	}
	return halfCovered(m)
}

// halfCovered takes a picture drawn in white on black.
func halfCovered(m image.Image) (*bitmap, error) {
	var pix []uint8
	stride, step := 0, 0
	switch m := m.(type) {
	case *image.RGBA:
		pix, stride, step = m.Pix, m.Stride, 4
	case *image.NRGBA:
		pix, stride, step = m.Pix, m.Stride, 4
	case *image.Gray:
		pix, stride, step = m.Pix, m.Stride, 1
	default:
		return nil, fmt.Errorf("a picture of an unexpected kind: %T", m)
	}
	b := newBitmap(m.Bounds().Dx(), m.Bounds().Dy())
	for y := range b.h {
		line := pix[y*stride:]
		for x := range b.w {
			if line[x*step] >= 128 {
				b.set(x, y)
			}
		}
	}
	return b, nil
}

// secondPicture is what the second reader makes of a file.
type secondPicture struct {
	File, SVG, Unit, Error string
	Box                    [4]float64
	Warnings               []string
	text                   []byte
}

// secondReads draws files with the reader in testdata/outside, all in one run; kinds says of each
// whether it is a "layer" or a "drill" file.
func secondReads(t *testing.T, kinds, files []string) []secondPicture {
	t.Helper()
	dir := filepath.Join(root(t), "testdata", "outside")
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which runs the second reader, is not here")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "gerber-to-svg")); err != nil {
		shared.Missing(t, "the second reader is not here: run npm ci in testdata/outside")
	}
	into := t.TempDir()
	args := []string{filepath.Join(dir, "draw-layers.mjs"), into}
	for i, f := range files {
		args = append(args, kinds[i], f)
	}
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, node, args...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	require.NoError(t, cmd.Run(), said.String())
	var got []secondPicture
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	require.Len(t, got, len(files))
	for i := range got {
		require.Equal(t, files[i], got[i].File)
		if got[i].SVG == "" {
			continue
		}
		got[i].text, err = os.ReadFile(filepath.Join(into, got[i].SVG))
		require.NoError(t, err)
	}
	return got
}

// thousandth gives what one unit of the picture's coordinates is, in nm.
func (p secondPicture) thousandth() float64 {
	if p.Unit == "mm" {
		return 1000
	}
	return 25_400
}

// extent gives the box of what is drawn, false when nothing is.
func (p secondPicture) extent() (geom.Box, bool) {
	u := p.thousandth()
	b := geom.Box{
		Min: geom.Point{X: geom.Round(p.Box[0] * u), Y: geom.Round(p.Box[1] * u)},
		Max: geom.Point{X: geom.Round((p.Box[0] + p.Box[2]) * u), Y: geom.Round((p.Box[1] + p.Box[3]) * u)},
	}
	return b, p.SVG != "" && p.Box[2] > 0 && p.Box[3] > 0
}

var sizeOfSVG = regexp.MustCompile(`width="[^"]*" height="[^"]*" viewBox="[^"]*"`)

// within gives the picture cut to a window whose pixels are px nm wide.
func (p secondPicture) within(w window, px int64) ([]byte, error) {
	at := sizeOfSVG.FindIndex(p.text)
	if at == nil {
		return nil, fmt.Errorf("the second reader's picture of %s has no size", p.File)
	}
	u := p.thousandth()
	x, y := float64(w.x)/u, 2*p.Box[1]+p.Box[3]-float64(w.y+int64(w.h)*px)/u
	head := fmt.Sprintf(`color="#fff" width="%d" height="%d" viewBox="%.6f %.6f %.6f %.6f" preserveAspectRatio="none"`,
		w.w, w.h, x, y, float64(int64(w.w)*px)/u, float64(int64(w.h)*px)/u)
	return append(append(append([]byte{}, p.text[:at[0]]...), head...), p.text[at[1]:]...), nil
}

// ownPicture draws an image with our own writer, cut to the window.
func ownPicture(m *artwork.Image, w window, px int64) []byte {
	const mm = 1e6
	x, y, wide, high := float64(w.x)/mm, -float64(w.y+int64(w.h)*px)/mm, float64(int64(w.w)*px)/mm, float64(int64(w.h)*px)/mm
	c := svg.New()
	c.Layer("layer", m)
	colour := "#fff"
	if m.Negative {
		colour = "#000"
		c.Add(`<rect x="%f" y="%f" width="%f" height="%f" fill="#fff"/>`, x, y, wide, high)
	}
	c.Add(`<g color="%s" transform="scale(1,-1)"><use href="#layer"/></g>`, colour)
	return c.Bytes([4]float64{x, y, wide, high}, "layer")
}
