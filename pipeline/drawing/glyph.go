package drawing

import (
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Stroke of a letter's outline: where it goes, in units of the em with y up, and the points that bend it on the way.
type Stroke struct {
	Move bool       // it begins a new contour at the last of To
	To   [][2]int64 // one point for a straight stroke, two or three for a curve of that degree
}

// Em is how many units the em of the letters has.
func Em(bold bool) int64 { return faceOf(bold).unit }

// Glyph gives a letter's outline, whose contours are filled by the non-zero rule, and how far on the next letter
// stands. A letter that the fonts lack has the outline of their sign for that.
func Glyph(r rune, bold bool) (outline []Stroke, advance int64) {
	f := faceOf(bold)
	advance = f.width(r)
	f.mu.Lock()
	defer f.mu.Unlock()
	i, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil {
		i = 0
	}
	segments, err := f.font.LoadGlyph(&f.buf, i, fixed.I(int(f.unit)), nil)
	if err != nil {
		return nil, advance // no letter of these fonts fails
	}
	for _, s := range segments {
		n := map[sfnt.SegmentOp]int{sfnt.SegmentOpMoveTo: 1, sfnt.SegmentOpLineTo: 1, sfnt.SegmentOpQuadTo: 2, sfnt.SegmentOpCubeTo: 3}[s.Op]
		x := Stroke{Move: s.Op == sfnt.SegmentOpMoveTo}
		for _, p := range s.Args[:n] {
			x.To = append(x.To, [2]int64{int64(p.X.Round()), -int64(p.Y.Round())})
		}
		outline = append(outline, x)
	}
	return outline, advance
}
