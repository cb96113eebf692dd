package legend

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/stagetest"
)

// pattern reads squares as a picture: the first row is the upper one.
func pattern(rows ...string) matrix {
	m := matrix{}
	for _, r := range rows {
		var row []bool
		for _, c := range r {
			row = append(row, c == '#')
		}
		m = append(m, row)
	}
	slices.Reverse(m)
	return m
}

func closed(p []geom.Point) geom.Path {
	out := make(geom.Path, len(p))
	for i := range p {
		out[i] = geom.Line(geom.Pt(p[i].X*2, p[i].Y*2), geom.Pt(p[(i+1)%len(p)].X*2, p[(i+1)%len(p)].Y*2))
	}
	return out
}

// holdsPieces checks what pieces promises: polygons that go counter-clockwise, do not touch themselves, and
// between them cover each printed square once and no other.
func holdsPieces(t *testing.T, m matrix) [][]geom.Point {
	t.Helper()
	all := m.pieces()
	covered := map[geom.Point]int{}
	for _, p := range all {
		path := closed(p)
		require.Greater(t, path.Area(), 0.0)
		seen := map[geom.Point]bool{}
		for _, q := range p {
			require.False(t, seen[q], "a contour touches itself at %v", q)
			seen[q] = true
		}
		for i, a := range path {
			for k, b := range path[:i] {
				d, _, _ := geom.EdgeDistance(a, b)
				next := k+1 == i || k == 0 && i == len(path)-1
				require.Equal(t, next, d == 0, "edges %d and %d", k, i)
				require.False(t, next && a.To.Sub(a.From).Cross(b.To.Sub(b.From)) == 0, "two edges in one line")
			}
		}
		box := path.Box()
		for y := box.Min.Y; y < box.Max.Y; y += 2 {
			for x := box.Min.X; x < box.Max.X; x += 2 {
				if path.Winding(geom.Pt(x+1, y+1)) == 1 {
					covered[geom.Pt(x/2, y/2)]++
				}
			}
		}
	}
	for y, row := range m {
		for x, on := range row {
			at := geom.Pt(geom.Length(x), geom.Length(y))
			if on {
				require.Equal(t, 1, covered[at], "%v", at)
			}
			if on {
				delete(covered, at)
			}
		}
	}
	require.Empty(t, covered)
	return all
}

func TestPieces(t *testing.T) {
	for _, c := range []struct {
		m    matrix
		want int
	}{
		{pattern("#"), 1},
		{pattern("###", "###"), 1},
		{pattern("#..", "##.", "###"), 1},
		{pattern("##.", ".##"), 1},
		{pattern("#.", ".#"), 2},
		{pattern("#.#", "###"), 3},
		{pattern("###", "#.#", "###"), 4},
		{pattern("..."), 0},
		{pattern("##", "..", "##"), 2},
	} {
		assert.Len(t, holdsPieces(t, c.m), c.want)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		m := make(matrix, 1+random.IntN(12))
		w := 1 + random.IntN(12)
		for y := range m {
			m[y] = make([]bool, w)
			for x := range m[y] {
				m[y][x] = random.IntN(3) > 0
			}
		}
		holdsPieces(t, m)
	}
}

// The finder of a Data Matrix: solid at the left and at the foot, every second square at head and right
// (ISO/IEC 16022, from memory). A QR code has its three squares at the upper corners and the lower left one.
func TestTheFindersLieWhereTheyShould(t *testing.T) {
	for _, content := range []string{"A", "RG-1042 C", strings.Repeat("RG-1042/", 20)} {
		m, err := Code{}.matrix(content)
		require.NoError(t, err)
		n := len(m)
		for i := range n {
			assert.True(t, m[0][i], "foot")
			assert.True(t, m[i][0], "left")
			assert.Equal(t, i%2 == 0, m[n-1][i], "head")
			assert.Equal(t, i%2 == 0, m[i][n-1], "right")
		}
		holdsPieces(t, m)
		m, err = Code{Symbology: "qr"}.matrix(content)
		require.NoError(t, err)
		n = len(m)
		for i := range 7 {
			assert.True(t, m[0][i] && m[6][i] && m[i][0] && m[n-1][i] && m[n-1][n-1-i] && m[n-1-i][0], "finder squares")
		}
		assert.False(t, m[0][n-1] && m[0][n-2] && m[0][n-3] && m[0][n-4] && m[0][n-5] && m[0][n-6] && m[0][n-7] && m[1][n-1] && m[2][n-1], "no fourth one")
		holdsPieces(t, m)
	}
}

// A code of 12 x 12 squares of 0.5 mm with a quiet zone of one square takes up 7 x 7 mm; what it prints
// stays out of the quiet zone, but where the light squares are printed.
func TestQuietZone(t *testing.T) {
	m, err := Code{}.matrix("RG-1")
	require.NoError(t, err)
	require.Len(t, m, 12)
	for options, want := range map[string][2]geom.Length{ // the area's size and that of what is printed
		"":                                       {7 * geom.MM, 6 * geom.MM},
		"quiet_zone = 3":                         {9 * geom.MM, 6 * geom.MM},
		"quiet_zone = 0\nmodule = 0.25":          {3 * geom.MM, 3 * geom.MM},
		"print_light = true":                     {7 * geom.MM, 7 * geom.MM},
		"symbology = \"qr\"\nmodule = \"8 mil\"": {29 * 8 * geom.Mil, 21 * 8 * geom.Mil},
	} {
		x := only(t, stagetest.Run(t, Kind(), "code {\ncontent = \"RG-1\"\n"+options+"\n}", both(t), nil).Panel)
		box := geom.EmptyBox()
		for _, a := range x.Areas {
			require.True(t, a.Closed())
			require.Greater(t, a.Area(), 0.0)
			box = box.Union(a.Box())
		}
		assert.Equal(t, want, [2]geom.Length{x.Area.Width(), box.Width()}, options)
		assert.Equal(t, x.Area.Center(), box.Center(), options)
		assert.Equal(t, box.Width(), box.Height(), options)
	}
}

// On the bottom the code is mirrored: its solid side lies at the right, as seen from the top.
func TestTheBottomCodeIsMirrored(t *testing.T) {
	for side, want := range map[string]bool{"top": false, "bottom": true} {
		x := only(t, stagetest.Run(t, Kind(), "side = \""+side+"\"\ncode {\ncontent = \"RG-1\"\n}", both(t), nil).Panel)
		box := x.Area.Grow(-500 * geom.UM)
		inked := func(q geom.Point) bool {
			return slices.ContainsFunc(x.Areas, func(a geom.Path) bool { return a.Winding(q) == 1 })
		}
		left, right := 0, 0
		for i := range geom.Length(12) {
			y := box.Min.Y + i*500*geom.UM + 250*geom.UM
			if inked(geom.Pt(box.Min.X+250*geom.UM, y)) {
				left++
			}
			if inked(geom.Pt(box.Max.X-250*geom.UM, y)) {
				right++
			}
		}
		if want {
			left, right = right, left
		}
		assert.Equal(t, [2]int{12, 6}, [2]int{left, right}, side)
	}
}
