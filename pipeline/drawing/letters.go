package drawing

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"panelwright/pipeline/geom"
)

// Letters are the two fonts of every drawing, with Latin, Greek and Cyrillic letters: PDF files carry what they
// use of them.
var (
	Regular = goregular.TTF
	Strong  = gobold.TTF
)

// face is a font with its widths.
type face struct {
	mu       sync.Mutex
	font     *sfnt.Font
	buf      sfnt.Buffer
	widths   map[rune]int64
	unit     int64 // of the em
	capitals int64 // height
	ascent   int64
	descent  int64
}

var faces = [2]func() *face{
	sync.OnceValue(func() *face { return newFace(Regular) }),
	sync.OnceValue(func() *face { return newFace(Strong) }),
}

func newFace(ttf []byte) *face {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("the letters of drawings cannot be read: " + err.Error()) // they are part of the program
	}
	x := &face{font: f, widths: map[rune]int64{}, unit: int64(f.UnitsPerEm())}
	m, err := f.Metrics(&x.buf, fixed.I(int(x.unit)), font.HintingNone)
	if err != nil {
		panic("the letters of drawings cannot be measured: " + err.Error())
	}
	x.capitals, x.ascent, x.descent = int64(m.CapHeight.Round()), int64(m.Ascent.Round()), int64(m.Descent.Round())
	return x
}

func faceOf(bold bool) *face {
	if bold {
		return faces[1]()
	}
	return faces[0]()
}

// width is a letter's in units of the em; a letter that the font lacks is as wide as its sign for that.
func (f *face) width(r rune) int64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	if w, ok := f.widths[r]; ok {
		return w
	}
	i, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil {
		i = 0
	}
	adv, err := f.font.GlyphAdvance(&f.buf, i, fixed.I(int(f.unit)), font.HintingNone)
	if err != nil {
		adv = 0
	}
	f.widths[r] = int64(adv.Round())
	return f.widths[r]
}

// Lacks gives the first letter of s that drawings have no sign for.
func Lacks(s string) (rune, bool) {
	f := faceOf(false)
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, r := range s {
		if i, err := f.font.GlyphIndex(&f.buf, r); err != nil || i == 0 {
			return r, true
		}
	}
	return 0, false
}

// Width is how wide a line of letters is whose capitals are height high.
func Width(s string, height geom.Length, bold bool) geom.Length {
	f := faceOf(bold)
	var sum int64
	for _, r := range s {
		sum += f.width(r)
	}
	return geom.Length(geom.MulDiv(sum, int64(height), f.capitals))
}

// FontSize is the em of letters whose capitals are height high: what formats call the size.
func FontSize(height geom.Length, bold bool) geom.Length {
	f := faceOf(bold)
	return geom.Length(geom.MulDiv(f.unit, int64(height), f.capitals))
}

// Width is how long the text is.
func (t Text) Width() geom.Length { return Width(t.S, t.Height, t.Bold) }

// Box is what the letters take up on paper: from the lowest descender to the top of capitals. No line may run through
// it.
func (t Text) Box() geom.Box { return t.box(t.Height) }

// LineBox is the text's share of paper by its font, from descent to ascent: what readers of PDF files take for a
// word's box, and what the line boxes of other texts keep off.
func (t Text) LineBox() geom.Box {
	f := faceOf(t.Bold)
	return t.box(geom.Length(geom.MulDiv(f.ascent, int64(t.Height), f.capitals)))
}

// box is the text's box up to a height above the base line.
func (t Text) box(up geom.Length) geom.Box {
	w := t.Width()
	f := faceOf(t.Bold)
	down := geom.Length(geom.MulDiv(f.descent, int64(t.Height), f.capitals))
	left := geom.Length(0)
	switch t.Align {
	case Middle:
		left = -w / 2
	case End:
		left = -w
	}
	if t.Upright {
		return geom.Box{Min: geom.Pt(-up, left), Max: geom.Pt(down, left+w)}.Move(t.At)
	}
	return geom.Box{Min: geom.Pt(left, -down), Max: geom.Pt(left+w, up)}.Move(t.At)
}
