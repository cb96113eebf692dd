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
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// drawByProgram is viewer.drawAs with the program itself in place of its library, which reads its
// files anew for every picture and hands it over as a PNG file. What was found out about it:
//
//   - --origin takes at most 20 characters, in the unit of --unit, in single precision; --window_inch is always in inches
//     and is cut off to whole pixels; --window refuses more than about 2000 pixels.
//   - It exits with 0 and writes an empty picture when it cannot read a file.
func drawByProgram(t *testing.T, w window, dpi, quarters int, files ...string) *bitmap {
	t.Helper()
	origin, err := originText(w.x, w.y)
	require.NoError(t, err)
	out := filepath.Join(t.TempDir(), "out.png")
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
	cmd := exec.CommandContext(ctx, "gerbv", append(append(args, "--"), files...)...)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	require.NoError(t, cmd.Run(), tail(said.String()))
	for _, bad := range []string{"Could not read", "Exporting error", "Unknown file type", "not recognized", "out of bounds"} {
		require.NotContains(t, said.String(), bad)
	}
	f, err := os.Open(out)
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	m, err := png.Decode(f)
	require.NoError(t, err)
	require.Equal(t, image.Pt(w.w, w.h), m.Bounds().Size())
	b, err := bitmapOf(m)
	require.NoError(t, err)
	return b
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

// TestLibraryDrawsAsTheProgram: the viewer's library, called as painter does, gives the pictures of
// the program, bit by bit: of layers and of drill files, of several files over one another, turned by
// each quarter turn, and of files drawn one after another by the same process.
func TestLibraryDrawsAsTheProgram(t *testing.T) {
	boards := shared.Dir(t, "boards")
	v := newViewer(t)
	same := func(w window, dpi, quarters int, files ...string) {
		t.Helper()
		w.x, w.y = floorDiv(w.x, 100)*100, floorDiv(w.y, 100)*100 // in the characters that the program takes
		got, err := v.drawAs(w, dpi, quarters, files...)
		require.NoError(t, err)
		require.Positive(t, got.ink(), files)
		want := drawByProgram(t, w, dpi, quarters, files...)
		require.True(t, slices.Equal(want.bits, got.bits), "%s turned by %d quarter turns at %d dpi: %d and %d pixels drawn", files, quarters, dpi, want.ink(), got.ink())
	}
	layer, outline := handmade(1)
	files := []string{write(t, "layer.gbr", layer)}
	for quarters := range 4 {
		same(windowOn(outline).on(place{quarters: quarters}), dpi, quarters, files...)
	}
	for folder, patterns := range map[string][]string{
		"half-2l-manyslots": {"*-F.Cu.gtl", "*-PTH.drl"},
		"module-6l-slots":   {"*-MaskTop.gbr"},
		"pilot-2l-mil":      {"*.GTO", "*.ncdril"},
		"tiny-4l-blind":     {"*-B.Cu.gbl", "*-front-in1.drl", "*-in2-back.drl"},
		"watch-2l-loops":    {"copper_top.gbr", "drill_1_16.xln"},
	} {
		outline, all := outlineOf(t, filepath.Join(boards, folder)), []string(nil)
		for i, pattern := range patterns {
			found, err := filepath.Glob(filepath.Join(boards, folder, pattern))
			require.NoError(t, err)
			require.Len(t, found, 1, pattern)
			all = append(all, found[0])
			same(windowOn(outline).on(place{quarters: i}), dpi, i, found[0])
		}
		const px = 25_400_000 / overviewDPI
		w, h := int((outline.x1-outline.x0)/px), int((outline.y1-outline.y0)/px)
		same(window{x: outline.x0, y: outline.y0, w: w, h: h}, overviewDPI, 0, all...)
	}
	shared.Ran(t, "viewer: its library draws as the program")
}
