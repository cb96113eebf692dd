package outside

import (
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// drawn gives a picture of w × h pixels with the pixels set for which f holds.
func drawn(w, h int, f func(x, y int) bool) *bitmap {
	b := newBitmap(w, h)
	for y := range h {
		for x := range w {
			if f(x, y) {
				b.set(x, y)
			}
		}
	}
	return b
}

func box(x0, y0, x1, y1 int) func(x, y int) bool {
	return func(x, y int) bool { return x >= x0 && x < x1 && y >= y0 && y < y1 }
}

func TestDifferences(t *testing.T) {
	disc := func(cx, cy, r int) func(x, y int) bool {
		return func(x, y int) bool { return (x-cx)*(x-cx)+(y-cy)*(y-cy) <= r*r }
	}
	and := func(fs ...func(x, y int) bool) func(x, y int) bool {
		return func(x, y int) bool {
			for _, f := range fs {
				if f(x, y) {
					return true
				}
			}
			return false
		}
	}
	for name, c := range map[string]struct {
		a, b func(x, y int) bool
		same bool
	}{
		"equal":                               {box(20, 20, 90, 80), box(20, 20, 90, 80), true},
		"edge moved by one pixel":             {box(20, 20, 90, 80), box(21, 20, 90, 80), true},
		"all moved by one pixel":              {box(20, 20, 90, 80), box(21, 21, 91, 81), true},
		"moved by two pixels along x":         {box(20, 20, 90, 80), box(22, 20, 92, 80), false},
		"moved by two pixels along y":         {box(20, 20, 90, 80), box(20, 22, 90, 82), false},
		"disc moved by two pixels":            {disc(64, 60, 20), disc(66, 60, 20), false},
		"disc moved by one pixel":             {disc(64, 60, 20), disc(65, 60, 20), true},
		"something dropped":                   {and(box(5, 5, 20, 20), disc(64, 60, 5)), box(5, 5, 20, 20), false},
		"something added":                     {box(5, 5, 20, 20), and(box(5, 5, 20, 20), disc(64, 60, 5)), false},
		"a line two pixels wide is not there": {and(box(5, 5, 20, 20), box(62, 30, 64, 90)), box(5, 5, 20, 20), false},
		"a hole filled":                       {func(x, y int) bool { return !disc(64, 60, 5)(x, y) }, box(0, 0, 200, 200), false},
		"one pixel alone":                     {box(0, 0, 0, 0), box(63, 50, 64, 51), true},
		"two pixels that touch at a corner":   {box(0, 0, 0, 0), and(box(63, 50, 64, 51), box(64, 51, 65, 52)), false},
		"black for white":                     {box(0, 0, 0, 0), box(0, 0, 200, 200), false},
	} {
		t.Run(name, func(t *testing.T) {
			a, b := drawn(130, 100, c.a), drawn(130, 100, c.b)
			for _, pair := range [][2]*bitmap{{a, b}, {b, a}} {
				got, err := differences(pair[0], pair[1], image.Rect(2, 2, 128, 98))
				require.NoError(t, err)
				require.Equal(t, c.same, len(got) == 0, "%v", got)
			}
		})
	}
}

func TestDifferencesKeepsToTheRectangle(t *testing.T) {
	a, b := drawn(100, 100, box(0, 0, 0, 0)), drawn(100, 100, box(0, 0, 10, 10))
	got, err := differences(a, b, image.Rect(10, 10, 100, 100))
	require.NoError(t, err)
	require.Empty(t, got)
	got, err = differences(a, b, image.Rect(2, 3, 100, 100))
	require.NoError(t, err)
	require.Equal(t, []blob{{2, 3, 8 * 7}}, got)
	_, err = differences(a, drawn(100, 101, box(0, 0, 0, 0)), image.Rect(0, 0, 100, 100))
	require.ErrorContains(t, err, "differ in size")
}

// TestEdgesAgainstTheDefinition holds the word-wise edges against the definition, pixel by pixel.
func TestEdgesAgainstTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	for _, size := range []image.Point{{1, 1}, {1, 9}, {9, 1}, {63, 5}, {64, 5}, {65, 5}, {128, 3}, {200, 31}} {
		for _, one := range []float64{0.03, 0.5, 0.97} {
			b := drawn(size.X, size.Y, func(x, y int) bool { return r.Float64() < one })
			e := b.edges()
			for y := range b.h {
				for x := range b.w {
					want := false
					for v := max(y-1, 0); v <= min(y+1, b.h-1); v++ {
						for u := max(x-1, 0); u <= min(x+1, b.w-1); u++ {
							want = want || b.at(u, v) != b.at(x, y)
						}
					}
					require.Equal(t, want, e.at(x, y), "%v at %d,%d", size, x, y)
				}
			}
			require.LessOrEqual(t, e.ink(), size.X*size.Y, "bits beyond the right end")
		}
	}
}
