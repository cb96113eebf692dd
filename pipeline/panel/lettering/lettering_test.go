package lettering

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// promised are the characters that can be written.
func promised() string {
	var b strings.Builder
	for c := rune(' '); c <= '~'; c++ {
		b.WriteRune(c)
	}
	return b.String() + "Ø°±µ×ÄÖÜäöüßéè–→←↑↓" + "\u03bc\u2212\u2300\u00a0"
}

// drawn tells what is drawn of a layout in grid units: "M 0,0 L 4,12", arcs with their centres. The pen is
// 1 mm wide and the grid 1 mm, so that the text must be 13 mm high.
func drawn(t *testing.T, text string) string {
	t.Helper()
	l, err := Lay(text, 13*geom.MM, geom.MM, Left)
	require.NoError(t, err)
	at := func(p geom.Point) string {
		p = p.Sub(geom.Pt(500*geom.UM, 500*geom.UM)) // the pen's middle
		return p.X.Decimal() + "," + p.Y.Decimal()
	}
	var out []string
	for _, x := range l.Lines {
		for i, e := range x.Path {
			if i == 0 {
				out = append(out, "M "+at(e.From))
			}
			switch e.Sense {
			case geom.Straight:
				out = append(out, "L "+at(e.To))
			case geom.Clockwise:
				out = append(out, "CW "+at(e.Center)+" "+at(e.To))
			default:
				out = append(out, "CCW "+at(e.Center)+" "+at(e.To))
			}
		}
	}
	for _, d := range l.Dots {
		out = append(out, "dot "+at(d.At))
	}
	return strings.Join(out, " ")
}

func TestSignsAreDrawnAsTheTableSays(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"T", "M 0,12 L 8,12 M 4,12 L 4,0"},
		{"i", "M 0,8 L 2,8 L 2,0 dot 2,11.5"},
		{"U", "M 0,12 L 0,4 CCW 4,4 4,0 CCW 4,4 8,4 L 8,12"},
		{"P", "M 0,0 L 0,12 L 4.5,12 CW 4.5,8.5 8,8.5 CW 4.5,8.5 4.5,5 L 0,5"},
		{"-", "M 0,6 L 5,6"},
		{"\u2212", "M 0,6 L 5,6"},
		// From pen to pen: the sign's width, three units between, and the pen's width.
		{"--", "M 0,6 L 5,6 M 9,6 L 14,6"},
		{"- -", "M 0,6 L 5,6 M 17,6 L 22,6"},
	} {
		assert.Equal(t, c.want, drawn(t, c.text), c.text)
	}
}

func TestEveryPromisedCharacterHasASignOfItsOwn(t *testing.T) {
	seen := map[string]rune{}
	for _, c := range promised() {
		if c == ' ' || c == '\u00a0' {
			continue
		}
		is := drawn(t, string(c))
		same, twice := seen[is]
		if twice {
			assert.Equal(t, same, alike[c], "%q and %q look the same", same, c)
		} else {
			seen[is] = c
		}
	}
	for c, text := range glyphs {
		g, err := read(text)
		require.NoError(t, err, string(c))
		box := geom.EmptyBox()
		for _, p := range g.paths {
			box = box.Union(p.Box())
		}
		for _, d := range g.dots {
			box = box.Extend(d)
		}
		if c == ' ' {
			continue
		}
		assert.GreaterOrEqual(t, box.Min.X, geom.Length(0), string(c))
		assert.LessOrEqual(t, box.Max.X, g.width, string(c))
		assert.GreaterOrEqual(t, box.Min.Y, geom.Length(-8), string(c))
		assert.LessOrEqual(t, box.Max.Y, geom.Length(30), string(c))
		if c >= '0' && c <= '9' {
			assert.Equal(t, geom.Length(14), g.width, "figures are equally wide")
		}
	}
}

func TestALineThatHangsClearsTheDotsBelowIt(t *testing.T) {
	l, err := Lay("gj,\nÄÖÜ", 1200*geom.UM, 200*geom.UM, Left)
	require.NoError(t, err)
	low, high := geom.MM*100, geom.Length(0)
	foot := Pitch(1200 * geom.UM)
	for _, x := range l.Lines {
		if x.Path.Box().Max.Y > foot {
			low = min(low, x.Path.Box().Min.Y-x.Width/2)
		}
	}
	for _, d := range l.Dots {
		if d.At.Y < foot {
			high = max(high, d.At.Y+d.Diameter/2)
		}
	}
	assert.Less(t, high, low)
}

func TestHeightIsThatOfCapitalsOutsideToOutside(t *testing.T) {
	for _, c := range []struct{ height, pen geom.Length }{{geom.MM, 150 * geom.UM}, {2 * geom.MM, 200 * geom.UM}, {1_234_567, 101_003}, {500, 100}} {
		l, err := Lay("H", c.height, c.pen, Left)
		require.NoError(t, err)
		h := l.Box.Height()
		assert.LessOrEqual(t, h, c.height+1)
		assert.Less(t, c.height-h, geom.Length(capitals+1))
		assert.Equal(t, c.height, l.Block.Height())
	}
}

func TestAlign(t *testing.T) {
	for _, c := range []struct {
		align     Align
		low, high geom.Length
	}{{Left, 0, 22 * geom.MM}, {Centre, -11 * geom.MM, 11 * geom.MM}, {Right, -22 * geom.MM, 0}} {
		l, err := Lay("HEL\nI", 13*geom.MM, geom.MM, c.align)
		require.NoError(t, err)
		// H 8, E 7, L 7 wide, a pen of 1 and two gaps of 4: 31 from outside to outside.
		assert.Equal(t, 31*geom.MM, l.Block.Width(), c.align)
		assert.Equal(t, l.Block.Width(), l.Box.Width(), c.align)
		assert.Equal(t, 13*geom.MM+Pitch(13*geom.MM), l.Block.Height())
		foot := l.Lines[len(l.Lines)-1].Path.Box() // the I's foot, 4 wide and a pen
		switch c.align {
		case Left:
			assert.Equal(t, [2]geom.Length{0, 500 * geom.UM}, [2]geom.Length{l.Block.Min.X, foot.Min.X})
		case Centre:
			assert.Equal(t, [2]geom.Length{-15500 * geom.UM, -2 * geom.MM}, [2]geom.Length{l.Block.Min.X, foot.Min.X})
		case Right:
			assert.Equal(t, [2]geom.Length{-31 * geom.MM, -500 * geom.UM}, [2]geom.Length{l.Block.Min.X, foot.Max.X})
		}
	}
}

// On the bottom letters are mirrored; a turn is counter-clockwise as seen from the top on both sides.
func TestPlace(t *testing.T) {
	l, err := Lay("L", 13*geom.MM, geom.MM, Left)
	require.NoError(t, err)
	at := geom.Pt(100*geom.MM, 50*geom.MM)
	for _, c := range []struct {
		side            panel.Side
		turn            geom.Angle
		from, heel, toe [2]float64 // of the L, from the text's origin
	}{
		{panel.Top, 0, [2]float64{0.5, 12.5}, [2]float64{0.5, 0.5}, [2]float64{7.5, 0.5}},
		{panel.Bottom, 0, [2]float64{-0.5, 12.5}, [2]float64{-0.5, 0.5}, [2]float64{-7.5, 0.5}},
		{panel.Top, geom.Quarter, [2]float64{-12.5, 0.5}, [2]float64{-0.5, 0.5}, [2]float64{-0.5, 7.5}},
		{panel.Bottom, geom.Quarter, [2]float64{-12.5, -0.5}, [2]float64{-0.5, -0.5}, [2]float64{-0.5, -7.5}},
	} {
		p := l.Place(c.side, c.turn, at)
		spot := func(x [2]float64) geom.Point { return at.Add(geom.Pt(geom.FromMM(x[0]), geom.FromMM(x[1]))) }
		assert.Equal(t, geom.Path{geom.Line(spot(c.from), spot(c.heel)), geom.Line(spot(c.heel), spot(c.toe))}, p.Lines[0].Path)
		assert.Equal(t, boxOf(p.Lines, p.Dots), p.Box)
		assert.Equal(t, p.Block, p.Box, "an L is as high and wide as its block")
	}
	// Arcs turn the other way when mirrored, and stay on their circle.
	l, err = Lay("S", 13*geom.MM, geom.MM, Left)
	require.NoError(t, err)
	for i, e := range l.Place(panel.Bottom, 30*geom.Degree, at).Lines[0].Path {
		assert.Equal(t, -l.Lines[0].Path[i].Sense, e.Sense)
		if e.Sense != geom.Straight {
			assert.InDelta(t, e.Radius(), e.To.Distance(e.Center), 2)
		}
	}
}

func TestWhatCannotBeWritten(t *testing.T) {
	for _, c := range []struct {
		text        string
		height, pen geom.Length
		want        string
	}{
		{"10 kΩ", geom.MM, 150 * geom.UM, `there is no sign for 'Ω' (U+03A9) in the text "10 kΩ"`},
		{"a\tb", geom.MM, 150 * geom.UM, `there is no sign for the character U+0009 in the text "a\tb"`},
		{"a\xff", geom.MM, 150 * geom.UM, `the text "a\xff" is not valid UTF-8`},
		{" \n ", geom.MM, 150 * geom.UM, `the text " \n " has nothing to print`},
		{"", geom.MM, 150 * geom.UM, `the text "" has nothing to print`},
		{"A", 0, 150 * geom.UM, "letters 0 mm high with a pen of 0.15 mm cannot be drawn"},
		{"A", geom.MM, 201 * geom.UM, "letters 1 mm high cannot be read with a pen of 0.201 mm: make them at least 1.005 mm high, or the pen thinner"},
		{"A", 20, 1, "letters 0.00002 mm high are too small to be drawn"},
		{strings.Repeat("W", 200), 10 * geom.MM, geom.MM, "a text of 200 characters in letters 10 mm high is longer than any panel"},
	} {
		_, err := Lay(c.text, c.height, c.pen, Left)
		assert.EqualError(t, err, c.want)
	}
}

// The table's own mistakes are found, not drawn.
func TestMistakesOfTheTable(t *testing.T) {
	for text, want := range map[string]string{
		"0,0 1":         `corner "1": two or three numbers are wanted`,
		"0,0 1,x":       `corner "1,x": numbers and halves are wanted`,
		"0,0 1,0.3":     `corner "1,0.3": numbers and halves are wanted`,
		"0,0 4,0,2":     `stroke "0,0 4,0,2": its last corner cannot be rounded`,
		"0,0 4,4,2 4,8": `stroke "0,0 4,4,2 4,8": corner 2 has no room for its radius between an upright and a level edge`,
		"0,0 4,0,5 4,8": `stroke "0,0 4,0,5 4,8": corner 2 has no room for its radius between an upright and a level edge`,
		"0,0 4,0,2 8,0": `stroke "0,0 4,0,2 8,0": corner 2 has no room for its radius between an upright and a level edge`,
	} {
		_, err := read(text)
		assert.EqualError(t, err, want)
	}
}

func FuzzLay(f *testing.F) {
	f.Add(promised(), int64(geom.MM), int64(150*geom.UM), 1, false, int64(0))
	f.Add("gÄ\n\nÜ,", int64(2*geom.MM), int64(200*geom.UM), 2, true, int64(30*geom.Degree))
	f.Add("0\x00", int64(1), int64(-1), 0, false, int64(1))
	f.Fuzz(func(t *testing.T, text string, height, pen int64, align int, bottom bool, turn int64) {
		a := []Align{Left, Centre, Right}[(align%3+3)%3]
		l, err := Lay(text, geom.Length(height), geom.Length(pen), a)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		again, err := Lay(text, geom.Length(height), geom.Length(pen), a)
		require.NoError(t, err)
		require.Equal(t, l, again)
		side := panel.Top
		if bottom {
			side = panel.Bottom
		}
		for _, x := range []Layout{l, l.Place(side, geom.Angle(turn), geom.Pt(geom.MM, -geom.MM))} {
			p := panel.Print{ID: "x", Use: panel.Lettering, Layers: []panel.Function{{Kind: panel.Legend, Side: side}}, Area: x.Box, Lines: x.Lines, Dots: x.Dots}
			_, err = panel.Panel{}.Edit().AddPrint(p).Build() // draws within its area, edges follow one another
			require.NoError(t, err)
		}
	})
}

func ExampleLay() {
	l, _ := Lay("RG-1042", 2*geom.MM, 200*geom.UM, Left)
	fmt.Println(len(l.Lines), l.Block.Width(), slices.ContainsFunc(l.Lines, func(x panel.PenLine) bool { return x.Width != 200*geom.UM }))
	// 49 grid units of 0.15 mm, six gaps of three units and a pen, and a pen: 11.45 mm.
	// Output: 10 11.45 mm false
}
