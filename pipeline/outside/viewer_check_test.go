package outside

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// handmade gives a layer of a board of 30 × 24 mm whose files' origin is far away: pads, tracks,
// arcs, a plane with a cleared window, all of it drawn by chance from seed.
func handmade(seed uint64) (text string, outline boxNM) {
	r := rand.New(rand.NewPCG(seed, 3))
	const x0, y0, w, h = 100_000_000, -150_000_000, 30_000_000, 24_000_000
	at := func(margin int64) (int64, int64) {
		return x0 + margin + r.Int64N(w-2*margin), y0 + margin + r.Int64N(h-2*margin)
	}
	var s strings.Builder
	s.WriteString("%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.250000*%\n%ADD11R,1.500000X0.900000*%\n%ADD12O,1.000000X1.700000*%\n%ADD13C,0.800000*%\nG01*\n%LPD*%\n")
	fmt.Fprintf(&s, "G36*\n")
	for i, c := range [][2]int64{{1, 1}, {12, 1}, {12, 9}, {1, 9}, {1, 1}} {
		fmt.Fprintf(&s, "X%dY%dD0%d*\n", x0+c[0]*1_000_000, y0+c[1]*1_000_000, 2-min(i, 1))
	}
	s.WriteString("G37*\n%LPC*%\nD13*\n")
	for i := range int64(8) {
		fmt.Fprintf(&s, "X%dY%dD03*\n", x0+2_000_000+i*1_234_567, y0+5_000_000+i*123_457)
	}
	s.WriteString("%LPD*%\nD10*\n")
	for range 60 {
		x, y := at(2_000_000)
		fmt.Fprintf(&s, "X%dY%dD02*\nX%dY%dD01*\n", x, y, x+r.Int64N(3_000_000)-1_500_000, y+r.Int64N(3_000_000)-1_500_000)
	}
	s.WriteString("G75*\n")
	for range 10 {
		x, y := at(3_000_000)
		fmt.Fprintf(&s, "X%dY%dD02*\nG03X%dY%dI1000000J0D01*\n", x, y, x+1_000_000, y-1_000_000)
	}
	s.WriteString("G01*\n")
	for _, d := range []int{11, 12, 13} {
		fmt.Fprintf(&s, "D%d*\n", d)
		for range 20 {
			x, y := at(2_000_000)
			fmt.Fprintf(&s, "X%dY%dD03*\n", x, y)
		}
	}
	s.WriteString("M02*\n")
	return s.String(), boxNM{x0, y0, x0 + w, y0 + h}
}

// repeated gives a panel of the layers at the places: all their operations one after another.
func repeated(t *testing.T, layers []string, places []place) string {
	t.Helper()
	var s strings.Builder
	for i, p := range places {
		g, err := readGerberText([]byte(layers[i]))
		require.NoError(t, err)
		g.shift(boxNM{-1e12, -1e12, 1e12, 1e12}, p.x, p.y)
		text := string(g.bytes())
		text = strings.TrimSuffix(text, "M02*\n")
		if i > 0 { // the layers have the same apertures
			_, text, _ = strings.Cut(text, "G01*\n")
		}
		s.WriteString(text)
	}
	return s.String() + "M02*\n"
}

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// TestViewerKeepsThePhase: one layer drawn at two places, their windows shifted alike by lengths that
// are no whole pixels, gives the same picture to the last pixel; and one pixel more is seen.
func TestViewerKeepsThePhase(t *testing.T) {
	v := newViewer(t)
	layer, outline := handmade(1)
	source := write(t, "source.gbr", layer)
	w := windowOn(outline)
	want, err := v.draw(w, source)
	require.NoError(t, err)
	require.Greater(t, want.ink(), 20_000)
	for _, p := range []place{{63_117_423, 188_934_517, 0}, {1, 150_000_001, 0}, {312_000_013, 470_999_999, 0}} {
		moved := write(t, "moved.gbr", repeated(t, []string{layer}, []place{p}))
		got, err := v.draw(w.on(p), moved)
		require.NoError(t, err)
		require.Equal(t, want.bits, got.bits, "the layer moved by %v", p)
		off := p
		off.x += pixel
		got, err = v.draw(w.on(off), moved)
		require.NoError(t, err)
		require.NotEqual(t, want.bits, got.bits, "a window one pixel off")
		again := drawn(want.w, want.h, func(x, y int) bool { return x+1 < want.w && want.at(x+1, y) })
		n := 0
		for i := range again.bits {
			for x := again.bits[i] ^ got.bits[i]; x != 0; x &= x - 1 {
				n++
			}
		}
		require.Less(t, n, 2*want.h, "one pixel off is the same picture, one column further")
	}
	shared.Ran(t, "viewer: windows keep the phase")
}

func TestViewerRefusesWhatItCannotRead(t *testing.T) {
	v := newViewer(t)
	_, outline := handmade(1)
	w := windowOn(outline)
	_, err := v.draw(w, write(t, "noise.gbr", "noise\n"))
	require.ErrorContains(t, err, "could not draw")
	_, err = v.draw(w, filepath.Join(t.TempDir(), "absent.gbr"))
	require.ErrorContains(t, err, "could not draw")
}

func TestWindowOn(t *testing.T) {
	for _, b := range []boxNM{{0, 0, 1_000_000, 2_000_000}, {-313_410_000, -4_410_000, -178_260_000, 90_010_000}, {25_400, 25_400, 50_800, 76_200}} {
		w := windowOn(b)
		left, right := w.x+int64(w.inner.Min.X)*pixel, w.x+int64(w.inner.Max.X)*pixel
		lower, upper := w.y+int64(w.h-w.inner.Max.Y)*pixel, w.y+int64(w.h-w.inner.Min.Y)*pixel
		for name, d := range map[string]int64{"left": b.x0 - left, "lower": b.y0 - lower, "right": right - b.x1, "upper": upper - b.y1} {
			require.True(t, d >= 0 && d < pixel, "%s edge: inner part reaches %d nm further than the box", name, d)
		}
		require.GreaterOrEqual(t, w.inner.Min.X, 2)
		require.GreaterOrEqual(t, w.inner.Min.Y, 2)
		require.LessOrEqual(t, w.inner.Max.X, w.w-2)
		require.LessOrEqual(t, w.inner.Max.Y, w.h-2)
	}
}

// TestPlantedFaults: the comparison passes on a panel made of two layers, four copies, and fails for
// each fault planted in it.
func TestPlantedFaults(t *testing.T) {
	v := newViewer(t)
	one, outline := handmade(1)
	other, _ := handmade(2)
	pitch := int64(32_000_000)
	at := func(column, row int64) place {
		return place{x: -outline.x0 + 5_123_457 + column*pitch, y: -outline.y0 + 12_000_001 + row*pitch}
	}
	layers := []string{one, one, other, other}
	places := []place{at(0, 0), at(0, 1), at(1, 0), at(1, 1)}
	panelText := repeated(t, layers, places)
	files := []string{write(t, "one.gbr", one), write(t, "other.gbr", other)}
	boards := []board{
		{outline, map[string]place{"A1": places[0], "A2": places[1]}},
		{outline, map[string]place{"B1": places[2], "B2": places[3]}},
	}
	area := func(p place) boxNM {
		return boxNM{outline.x0 + p.x, outline.y0 + p.y, outline.x1 + p.x, outline.y1 + p.y}
	}
	for name, c := range map[string]struct {
		plant func(t *testing.T, g *gerberText)
		found []string
	}{
		"nothing planted":            {func(*testing.T, *gerberText) {}, nil},
		"shifted by one pixel":       {func(_ *testing.T, g *gerberText) { g.shift(area(places[1]), pixel, 0) }, nil},
		"shifted by two pixels":      {func(_ *testing.T, g *gerberText) { g.shift(area(places[1]), 2*pixel, 0) }, []string{"A2"}},
		"shifted by two pixels down": {func(_ *testing.T, g *gerberText) { g.shift(area(places[2]), 0, -2*pixel) }, []string{"B1"}},
		"a flash dropped":            {func(t *testing.T, g *gerberText) { require.True(t, g.dropFlash(area(places[3]), 20)) }, []string{"B2"}},
		"a clear flash dropped":      {func(t *testing.T, g *gerberText) { require.True(t, g.dropFlash(area(places[0]), 1)) }, []string{"A1"}},
		"two copies swapped":         {func(_ *testing.T, g *gerberText) { g.exchange(area(places[0]), area(places[2]), pitch, 0) }, []string{"A1", "B1"}},
		"two equal copies swapped":   {func(_ *testing.T, g *gerberText) { g.exchange(area(places[0]), area(places[1]), 0, pitch) }, nil},
	} {
		t.Run(name, func(t *testing.T) {
			g, err := readGerberText([]byte(panelText))
			require.NoError(t, err)
			c.plant(t, g)
			panel := write(t, "panel.gbr", string(g.bytes()))
			got := map[string]bool{}
			for i, b := range boards {
				found, _, err := v.compare(b, []pair{{name: "copper-1-top", source: files[i : i+1], panel: []string{panel}}})
				require.NoError(t, err)
				for _, m := range found {
					got[m.copy] = true
				}
			}
			want := map[string]bool{}
			for _, id := range c.found {
				want[id] = true
			}
			require.Equal(t, want, got)
			shared.Ran(t, "viewer: planted fault, "+name)
		})
	}
}
