package intake

import (
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// settleParts gathers the parts of all placement files, in the order of files and lines.
func (r *Result) settleParts() []panel.Part {
	var out []panel.Part
	first := map[string]partOf{}
	var twice []string
	told := map[string]bool{}
	pads := &padSides{r, map[panel.Side]*fitter{}}
	for _, f := range r.of(PlacementFile) {
		parts, places, open := r.placed(f, pads)
		if same := r.repeats(parts, first); same != "" {
			f.Ignored = "the same parts as " + same
			continue
		}
		if open > 0 {
			r.find("placement-side", pipeline.Warning, fmt.Sprintf("%s: neither a column nor the file's name says on which side its parts are: %s taken for the top; a block placement %q in the recipe can say it, with side = \"top\"", f.Name, counted(open, "part"), f.Name))
		}
		r.Places = append(r.Places, places)
		r.tellLeft(f)
		for _, p := range parts {
			if o, ok := first[p.Refdes]; ok {
				if !told[p.Refdes] {
					told[p.Refdes] = true
					twice = append(twice, p.Refdes+" ("+where(o.file, f)+")")
				}
				continue // the list below still holds the part
			}
			first[p.Refdes] = partOf{p, f}
		}
		out = append(out, parts...)
		f.Use = "placement (" + counted(len(parts), "part") + ")"
	}
	if n := len(twice); n > 0 {
		if n > 8 {
			twice = append(twice[:8], fmt.Sprintf("%d more", n-8))
		}
		r.find("refdes-twice", pipeline.Warning, "reference designators that are there more than once: "+strings.Join(twice, ", "))
	}
	r.checkPlaces(out)
	for _, p := range r.Places {
		if p.Verdict != Unclear || !r.partsElsewhere { // that they lie elsewhere says it
			r.tellPlaces(p)
		}
	}
	return out
}

type partOf struct {
	part panel.Part
	file *File
}

func where(a, b *File) string {
	if a == b {
		return a.Name
	}
	return a.Name + " and " + b.Name
}

// repeats tells which file already holds all of these parts at the same places: some systems write
// one table in two shapes, with more or fewer digits.
func (r *Result) repeats(parts []panel.Part, first map[string]partOf) string {
	if len(parts) == 0 {
		return ""
	}
	const rounding = 10 * geom.UM
	name := ""
	for _, p := range parts {
		o, ok := first[p.Refdes]
		if !ok || o.part.Side != p.Side || o.part.At.Distance(p.At) > float64(rounding) || name != "" && name != o.file.Name {
			return ""
		}
		name = o.file.Name
	}
	return name
}

// sideByName reads the side from a placement file's name; the last word that says one counts.
func sideByName(name string) panel.Side {
	side := panel.NoSide
	for _, w := range words(name) {
		if s := sideWord(w); s == panel.Top || s == panel.Bottom {
			side = s
		}
	}
	return side
}

// checkPlaces tells whether the placement lies on the board. Where pads do not say how it is to be
// moved, nothing is guessed: a wrong guess would put parts where none belong.
func (r *Result) checkPlaces(parts []panel.Part) {
	const around = 5 * geom.MM
	if !r.Outline.Found || len(parts) == 0 {
		return
	}
	box := r.Outline.Outline.Box().Grow(around)
	inside := 0
	there := geom.EmptyBox()
	var off []string
	for _, p := range parts {
		there = there.Extend(p.At)
		if box.HoldsPoint(p.At) {
			inside++
		} else {
			off = append(off, fmt.Sprintf("%s at %s mm", p.Refdes, p.At))
		}
	}
	if 2*inside < len(parts) {
		r.partsElsewhere = true
		r.find("placement-outside", pipeline.Warning, fmt.Sprintf(
			"only %d of %s lie on the board or within %s of it: the placement (%s to %s mm) is not in the coordinates of the layers (%s to %s mm); have both written with one origin, or state the shift in a block placement of the recipe, with shift = [x, y]; until then no placement of this board is written for the panel",
			inside, counted(len(parts), "part"), around, there.Min, there.Max, box.Grow(-around).Min, box.Grow(-around).Max))
		return
	}
	if n := len(off); n > 0 {
		if n > 9 {
			off = append(off[:8:8], fmt.Sprintf("%d more", n-8))
		}
		r.find("placement-outside", pipeline.Warning, fmt.Sprintf("parts that lie neither on the board nor within %s of it: %s; they are placed all the same: correct their places, or take them out of the placement",
			around, list(off)))
	}
}
