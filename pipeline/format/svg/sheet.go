package svg

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// sheetGap is the room between sheets that stand below each other.
const sheetGap = 10 * geom.MM

// Sheet draws one sheet of a drawing as a file of its own. Each layer is a group "layer-outline" and so on.
func Sheet(s drawing.Sheet, title string) []byte {
	return stack([]drawing.Sheet{s}, []string{""}, title)
}

// Sheets draws all sheets in one file, the first at the top. The layers of the second sheet are the groups
// "sheet-2-layer-outline" and so on; those of the first have the names that Sheet gives them.
func Sheets(all []drawing.Sheet, title string) []byte {
	ids := make([]string, len(all))
	for i := range ids[min(1, len(ids)):] {
		ids[i+1] = fmt.Sprintf("sheet-%d-", i+2)
	}
	return stack(all, ids, title)
}

func stack(all []drawing.Sheet, ids []string, title string) []byte {
	var wide, high geom.Length
	for i, s := range all {
		wide = max(wide, s.Box.Width())
		high += s.Box.Height()
		if i > 0 {
			high += sheetGap
		}
	}
	var b, defs, body bytes.Buffer
	letters := map[string]bool{}
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%smm" height="%smm" role="img" aria-labelledby="title desc">`+"\n",
		L(wide), L(high), L(wide), L(high))
	fmt.Fprintf(&b, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", clean(title), clean(describe(all)))
	down := geom.Length(0)
	for i := range all {
		d := sheetDrawer{b: &body, defs: &defs, id: ids[i], letters: letters}
		d.sheet(&all[i], down)
		down += all[i].Box.Height() + sheetGap
	}
	if defs.Len() > 0 {
		fmt.Fprintf(&b, "<defs>\n%s</defs>\n", defs.String())
	}
	b.Write(body.Bytes())
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// describe says what the sheets show.
func describe(all []drawing.Sheet) string {
	var parts []string
	for _, s := range all {
		var views []string
		for _, v := range s.Views {
			views = append(views, v.Name+" at "+v.Scale.String())
		}
		part := "Sheet " + s.Name
		if len(views) > 0 {
			part += ": " + strings.Join(views, ", ")
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, ". ")
}

// clean makes a text fit for XML, which has no control characters.
func clean(s string) string {
	return Escape(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, s))
}

// sheetDrawer draws one sheet; what it names begins with id.
type sheetDrawer struct {
	b, defs *bytes.Buffer
	id      string
	clips   int
	origin  geom.Point      // the sheet's lower left corner
	letters map[string]bool // the outlines defined, of all sheets
}

// grey is how something prints that leaves so many hundredths of white.
func grey(white int) string {
	v := (255*white + 50) / 100
	return fmt.Sprintf("#%02x%02x%02x", v, v, v)
}

func (d *sheetDrawer) sheet(s *drawing.Sheet, down geom.Length) {
	d.origin = s.Box.Min
	// y runs up inside this group, from the sheet's lower edge.
	fmt.Fprintf(d.b, `<g id="%ssheet" transform="translate(0 %s) scale(1 -1)" fill="none" stroke-linejoin="round" stroke-linecap="round">`+"\n", d.id, L(down+s.Box.Height()))
	fmt.Fprintf(d.b, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", L(s.Box.Width()), L(s.Box.Height()))
	for _, pass := range s.Passes() {
		fmt.Fprintf(d.b, `<g id="%slayer-%s">`+"\n", d.id, slug(string(pass.Layer)))
		for _, part := range pass.Parts {
			clip := s.Box
			if part.View != nil && len(part.View.Clip) > 0 {
				path := part.View.Path(part.View.Clip)
				clip = path.Box()
				d.clips++
				fmt.Fprintf(d.b, `<clipPath id="%sclip-%d"><path d="%s"/></clipPath><g clip-path="url(#%sclip-%d)">`+"\n", d.id, d.clips, d.data([]geom.Path{path}), d.id, d.clips)
				d.shapes(part.OnPaper(), clip)
				d.b.WriteString("</g>\n")
				continue
			}
			d.shapes(part.OnPaper(), clip)
		}
		for _, t := range pass.Texts {
			d.text(t)
		}
		d.b.WriteString("</g>\n")
	}
	d.b.WriteString("</g>\n")
}

// slug makes a name fit for an id.
func slug(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			return r
		}
		return '_'
	}, s)
}

// data gives paths as seen from the sheet's corner, by small steps.
func (d *sheetDrawer) data(paths []geom.Path) string {
	var t turtle
	m := geom.Transform{Shift: geom.Point{}.Sub(d.origin)}
	for _, p := range paths {
		if len(p) == 0 {
			continue
		}
		q := m.Path(p)
		t.path(q)
		if q.Closed() {
			t.WriteByte('z')
			t.x, t.y = um(q[0].From.X), um(q[0].From.Y)
		}
	}
	return t.String()
}

func (d *sheetDrawer) shapes(all []drawing.Shape, within geom.Box) {
	for i := 0; i < len(all); i++ {
		s := all[i]
		// Lines of one pen that follow each other are one path.
		for s.Fill == drawing.NoFill && i+1 < len(all) && all[i+1].Fill == s.Fill && all[i+1].Pen == s.Pen {
			i++
			s.Paths = append(s.Paths[:len(s.Paths):len(s.Paths)], all[i].Paths...)
			for i+1 < len(all) && all[i+1].Fill == s.Fill && all[i+1].Pen == s.Pen {
				i++
				s.Paths = append(s.Paths, all[i].Paths...)
			}
		}
		d.shape(s, within)
	}
}

func (d *sheetDrawer) shape(s drawing.Shape, within geom.Box) {
	white, filled := s.Fill.White()
	path := d.data(s.Paths)
	if path == "" || !filled && !s.Fill.Hatched() && s.Pen.Width <= 0 {
		return
	}
	if s.Fill.Hatched() {
		d.hatch(s, path, within)
		if s.Pen.Width <= 0 {
			return
		}
	}
	fmt.Fprintf(d.b, `<path d="%s"`, path)
	if filled {
		fmt.Fprintf(d.b, ` fill="%s" fill-rule="evenodd"`, grey(white))
	}
	if s.Pen.Width > 0 {
		d.b.WriteString(penOf(s.Pen))
	}
	d.b.WriteString("/>\n")
}

func penOf(p drawing.Pen) string {
	out := ` stroke="#000" stroke-width="` + L(p.Width) + `"`
	var dash []string
	for _, l := range p.Dash.Pattern(p.Width) {
		dash = append(dash, L(l))
	}
	if dash != nil {
		out += ` stroke-linecap="butt" stroke-dasharray="` + strings.Join(dash, " ") + `"`
	}
	return out
}

// hatch draws the lines within a shape: the lines of drawing.HatchLines, as every format has them.
func (d *sheetDrawer) hatch(s drawing.Shape, path string, within geom.Box) {
	box := geom.EmptyBox()
	for _, p := range s.Paths {
		box = box.Union(p.Box())
	}
	box = geom.Box{Min: geom.Pt(max(box.Min.X, within.Min.X), max(box.Min.Y, within.Min.Y)), Max: geom.Pt(min(box.Max.X, within.Max.X), min(box.Max.Y, within.Max.Y))}
	lines := drawing.HatchLines(box, s.Fill)
	if len(lines) == 0 {
		return
	}
	var paths []geom.Path
	for _, e := range lines {
		paths = append(paths, geom.Path{e})
	}
	d.clips++
	fmt.Fprintf(d.b, `<clipPath id="%sclip-%d"><path d="%s" clip-rule="evenodd"/></clipPath><path clip-path="url(#%sclip-%d)" d="%s"%s/>`+"\n",
		d.id, d.clips, path, d.id, d.clips, d.data(paths), penOf(drawing.Pen{Width: drawing.Fine.Width}))
}

// text draws a line of letters by their outlines, so that they look and measure the same in every viewer. The words
// are the group's name, for those who hear them.
func (d *sheetDrawer) text(t drawing.Text) {
	if strings.TrimSpace(t.S) == "" || t.Height <= 0 {
		return
	}
	at := t.At.Sub(d.origin)
	back := geom.Length(0)
	switch t.Align {
	case drawing.Middle:
		back = t.Width() / 2
	case drawing.End:
		back = t.Width()
	}
	turned := ""
	if t.Upright {
		at.Y -= back
		turned = " rotate(90)"
	} else {
		at.X -= back
	}
	scale := float64(drawing.FontSize(t.Height, t.Bold)) / 1e6 / float64(drawing.Em(t.Bold))
	words := clean(t.S)
	fmt.Fprintf(d.b, `<g role="img" aria-label="%s" transform="translate(%s %s)%s scale(%s)" fill="%s">`, words, L(at.X), L(at.Y), turned, strconv.FormatFloat(scale, 'f', 8, 64), grey(t.White()))
	x := int64(0)
	for _, r := range t.S {
		id, wide := d.letter(r, t.Bold)
		if id != "" {
			fmt.Fprintf(d.b, `<use href="#%s"`, id)
			if x > 0 {
				fmt.Fprintf(d.b, ` x="%d"`, x)
			}
			d.b.WriteString("/>")
		}
		x += wide
	}
	fmt.Fprintf(d.b, "<title>%s</title></g>\n", words)
}

// letter gives the id of a letter's outline, which is defined when it is first needed; none for one without an
// outline. And how far on the next letter stands.
func (d *sheetDrawer) letter(r rune, bold bool) (string, int64) {
	style := "r"
	if bold {
		style = "b"
	}
	id := fmt.Sprintf("letter-%s%04x", style, r)
	outline, advance := drawing.Glyph(r, bold)
	if len(outline) == 0 {
		return "", advance
	}
	if !d.letters[id] {
		d.letters[id] = true
		var b strings.Builder
		for _, s := range outline {
			if s.Move {
				b.WriteByte('M')
			} else {
				b.WriteByte("LQC"[len(s.To)-1])
			}
			for i, p := range s.To {
				if i > 0 {
					b.WriteByte(' ')
				}
				fmt.Fprintf(&b, "%d %d", p[0], p[1])
			}
		}
		fmt.Fprintf(d.defs, `<path id="%s" d="%sZ"/>`+"\n", id, b.String())
	}
	return id, advance
}
