package layout

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Stamp is what every sheet says across its upper edge, in a strip that is kept free for it: nothing is hidden by it, and
// it cannot be overlooked. The zero Stamp is none; the strip is kept free all the same, so that a drawing that is released
// is the one that was reviewed.
type Stamp struct {
	Words []string // "NOT FOR RELEASE"
	Below string   // a line below them
}

const (
	stampLetters = 9 * geom.MM
	stampHeight  = 20 * geom.MM
	stampFrame   = 1 * geom.MM // wide
	stampGap     = 18 * geom.MM
)

// strip is where the stamp stands on a sheet.
func (s Size) strip() geom.Box {
	b := s.Frame().Grow(-inset)
	b.Min.Y = b.Max.Y - stampHeight
	return b
}

func (s Stamp) draw(b geom.Box) (out drawing.Sheet) {
	if len(s.Words) == 0 {
		return out
	}
	out.Shapes = append(out.Shapes, drawing.Shape{Layer: drawing.Stamp, Pen: drawing.Pen{Width: stampFrame}, Fill: drawing.NoFill,
		Paths: []geom.Path{geom.Rectangle(b.Grow(-stampFrame / 2))}})
	height := stampLetters
	width := func() (w geom.Length) {
		for i, x := range s.Words {
			if i > 0 {
				w += stampGap
			}
			w += drawing.Width(x, height, true)
		}
		return w
	}
	for width() > b.Width()-10*geom.MM && height > geom.MM {
		height -= 100 * geom.UM
	}
	x := b.Min.X + (b.Width()-width())/2
	for _, w := range s.Words {
		out.Texts = append(out.Texts, drawing.Text{Layer: drawing.Stamp, S: w, Height: height, Bold: true, Light: true, At: geom.Pt(x, b.Max.Y-3*geom.MM-height)})
		x += drawing.Width(w, height, true) + stampGap
	}
	f := drawing.Fit(s.Below, geom.Pt(b.Width()-6*geom.MM, 4*geom.MM), entryHeight, leastHeight, false)
	for _, l := range f.Lines {
		out.Texts = append(out.Texts, drawing.Text{Layer: drawing.Stamp, S: l, Height: f.Height, Align: drawing.Middle, At: geom.Pt(b.Center().X, b.Min.Y+2*geom.MM)})
	}
	return out
}
