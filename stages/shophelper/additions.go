package shophelper

import (
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/shophelper/jsonplace"
)

// additions is what a helper adds, as its answer has it.
type additions struct {
	prints    []addedPrint
	holes     []addedMark
	fiducials []addedMark
}

func (a additions) none() bool { return len(a.prints)+len(a.holes)+len(a.fiducials) == 0 }

type addedMark struct {
	place
	mark panel.Mark
}

// addedPrint is a print without its area, its layers by their names.
type addedPrint struct {
	place
	print   panel.Print
	layers  []string
	area    *geom.Box
	areaAt  place
	shapes  []place // of dots, lines and areas, in this order
	letters []addedLetters
}

type addedLetters struct {
	place
	text          string
	at            geom.Point
	height, width geom.Length
	align         string
	turn          geom.Angle
}

func (r *reader) additions(v *jsonplace.Value) (a additions) {
	const at = "/additions"
	r.each(v, prints, at, func(v *jsonplace.Value, p string) { a.prints = append(a.prints, r.print(v, p)) })
	r.each(v, toolingHoles, at, func(v *jsonplace.Value, p string) {
		a.holes = append(a.holes, addedMark{r.place(v, p), panel.Mark{ID: textOf(v, "id"), Kind: panel.ToolingHole, At: pointOf(v.Get("at_mm")), Diameter: lengthOf(v, "diameter_mm")}})
	})
	r.each(v, fiducials, at, func(v *jsonplace.Value, p string) {
		m := panel.Mark{ID: textOf(v, "id"), Kind: panel.Fiducial, At: pointOf(v.Get("at_mm")), Diameter: lengthOf(v, "copper_diameter_mm"),
			Mask: lengthOf(v, "mask_diameter_mm"), Clear: lengthOf(v, "clear_diameter_mm")}
		for _, s := range []panel.Side{panel.Top, panel.Bottom} { // in the order in which everybody has them
			if slices.Contains(textsOf(v, "sides"), string(s)) {
				m.Sides = append(m.Sides, s)
			}
		}
		a.fiducials = append(a.fiducials, addedMark{r.place(v, p), m})
	})
	return a
}

func (r *reader) print(v *jsonplace.Value, p string) addedPrint {
	x := addedPrint{place: r.place(v, p), layers: textsOf(v, "layers"), print: panel.Print{ID: textOf(v, "id"), Use: panel.PrintUse(textOf(v, "use")),
		Text: textOf(v, "text"), Copy: textOf(v, "copy"), Symbology: textOf(v, "symbology"), Square: lengthOf(v, "square_mm")}}
	if a := v.Get("area_mm"); a != nil {
		box := geom.BoxOf(pointsOf(a)...)
		x.area, x.areaAt = &box, r.place(a, p+"/area_mm")
	}
	r.each(v, "circles", p, func(v *jsonplace.Value, p string) {
		x.print.Dots = append(x.print.Dots, panel.Dot{At: pointOf(v.Get("at_mm")), Diameter: lengthOf(v, "diameter_mm")})
		x.shapes = append(x.shapes, r.place(v, p))
	})
	r.each(v, "strokes", p, func(v *jsonplace.Value, p string) {
		x.print.Lines = append(x.print.Lines, panel.PenLine{Width: lengthOf(v, "width_mm"), Path: chain(pointsOf(v.Get("points_mm")))})
		x.shapes = append(x.shapes, r.place(v, p))
	})
	r.each(v, "polygons", p, func(v *jsonplace.Value, p string) {
		points := pointsOf(v.Get("points_mm"))
		x.print.Areas = append(x.print.Areas, chain(append(points, points[0])))
		x.shapes = append(x.shapes, r.place(v, p))
	})
	r.each(v, "letters", p, func(v *jsonplace.Value, p string) {
		l := addedLetters{place: r.place(v, p), text: textOf(v, "text"), at: pointOf(v.Get("at_mm")), height: lengthOf(v, "letter_height_mm"), width: lengthOf(v, "stroke_width_mm"),
			align: textOf(v, "align")}
		if l.width == 0 {
			l.width = l.height / 10 // as drawing standards write (ISO 3098, from memory)
		}
		if t := v.Get("turn_deg"); t != nil {
			l.turn = geom.FromDegrees(t.Number).Normal()
		}
		x.letters = append(x.letters, l)
	})
	return x
}

// chain joins points by straight lines; points that follow themselves count once.
func chain(points []geom.Point) geom.Path {
	var out geom.Path
	for i := 1; i < len(points); i++ {
		if points[i] != points[i-1] {
			out = append(out, geom.Line(points[i-1], points[i]))
		}
	}
	return out
}
