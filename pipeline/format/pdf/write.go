package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"

	"codeberg.org/go-pdf/fpdf"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Info is what a file says of itself beside its pages.
type Info struct {
	Title, Subject, Author, Keywords string
	// Date is when the drawing was made, as SOURCE_DATE_EPOCH has it; nil: the file states none.
	Date *time.Time
}

const (
	pointsPerUM = 72.0 / 25400
	largest     = 5080 * geom.MM // 14,400 points, by the PDF specification (ISO 32000-1, annex C.2)
)

// Write writes sheets as the pages of a PDF file. It is an error to have no sheets, or one without a size or of one
// that no page can have, and whatever w says. Letters that the fonts lack are shown as the fonts' sign for that.
func Write(w io.Writer, sheets []drawing.Sheet, info Info) error {
	if len(sheets) == 0 {
		return errors.New("a PDF file needs at least one sheet")
	}
	for _, s := range sheets {
		if s.Box.Width() <= 0 || s.Box.Height() <= 0 || s.Box.Width() > largest || s.Box.Height() > largest {
			return fmt.Errorf("sheet %q is %s by %s large: a page has some size, and no side above %s", s.Name, s.Box.Width(), s.Box.Height(), largest)
		}
	}
	d := document{f: fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", OrientationStr: "P", Size: size(sheets[0])}), layers: map[drawing.Layer]int{}}
	d.settings(info)
	for i := range sheets {
		d.page(&sheets[i])
	}
	var b bytes.Buffer
	if err := d.f.Output(&b); err != nil {
		return fmt.Errorf("writing a PDF file: %w", err)
	}
	out := b.Bytes()
	if info.Date == nil {
		undate(out)
	}
	_, err := w.Write(out)
	return err
}

func size(s drawing.Sheet) fpdf.SizeType {
	return fpdf.SizeType{Wd: s.Box.Width().MM() * 72 / 25.4, Ht: s.Box.Height().MM() * 72 / 25.4}
}

type document struct {
	f      *fpdf.Fpdf
	layers map[drawing.Layer]int
}

func (d *document) settings(info Info) {
	date := noDate
	if info.Date != nil {
		date = info.Date.UTC()
	}
	d.f.SetCreationDate(date)
	d.f.SetModificationDate(date)
	d.f.SetCatalogSort(true)
	d.f.SetAutoPageBreak(false, 0)
	d.f.SetCompression(true)
	d.f.SetProducer("panelwright", true)
	for _, x := range []struct {
		s   string
		set func(string, bool)
	}{{info.Title, d.f.SetTitle}, {info.Subject, d.f.SetSubject}, {info.Author, d.f.SetAuthor}, {info.Keywords, d.f.SetKeywords}} {
		if x.s != "" {
			x.set(x.s, true)
		}
	}
	d.f.AddUTF8FontFromBytes("letters", "", drawing.Regular)
	d.f.AddUTF8FontFromBytes("letters", "B", drawing.Strong)
}

// noDate stands for no date until undate takes it out.
var noDate = time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC)

// undate takes the two dates out, which the library always writes. The places of objects in the file must stay
// as they are, so blanks stand in their stead.
func undate(out []byte) {
	from := bytes.LastIndex(out, []byte("\n/CreationDate"))
	if from < 0 {
		return
	}
	for range 2 {
		end := from + 1 + bytes.IndexByte(out[from+1:], '\n')
		for i := from + 1; i < end; i++ {
			out[i] = ' '
		}
		from = end
	}
}

// page draws a sheet.
func (d *document) page(s *drawing.Sheet) {
	d.f.AddPageFormat("P", size(*s))
	p := &page{origin: s.Box.Min, seen: map[string]bool{}}
	fmt.Fprintf(&p.b, "%.12f 0 0 %.12f 0 0 cm 1 J 1 j\n", pointsPerUM, pointsPerUM)
	d.flush(p)
	for _, pass := range s.Passes() {
		id, ok := d.layers[pass.Layer]
		if !ok {
			id = d.f.AddLayer(string(pass.Layer), true)
			d.layers[pass.Layer] = id
		}
		d.f.BeginLayer(id)
		for _, part := range pass.Parts {
			if part.View != nil && len(part.View.Clip) > 0 {
				clip := part.View.Path(part.View.Clip)
				p.within(func() { p.b.WriteString(p.d(clip, p.origin) + "W n\n") }, func() { p.shapes(part.OnPaper(), clip.Box()) })
				continue
			}
			p.shapes(part.OnPaper(), s.Box)
		}
		d.flush(p)
		for _, t := range pass.Texts {
			d.text(p, t)
		}
		d.f.EndLayer()
	}
}

func (d *document) flush(p *page) {
	if p.b.Len() > 0 {
		d.f.RawWriteStr(p.b.String())
		p.b.Reset()
	}
}

// text writes a line of letters. Its place is moved to by a matrix, as the library's own numbers have two decimals
// of whatever unit the page has: here hundredths of a micrometre.
func (d *document) text(p *page, t drawing.Text) {
	s := plain(t.S)
	if strings.TrimSpace(s) == "" {
		return
	}
	style := ""
	if t.Bold {
		style = "B"
	}
	d.f.SetFont("letters", style, float64(drawing.FontSize(t.Height, t.Bold))/1e3)
	p.tone(&p.fill, "g", t.White())
	at := t.At.Sub(p.origin)
	back := geom.Length(0)
	switch t.Align {
	case drawing.Middle:
		back = t.Width() / 2
	case drawing.End:
		back = t.Width()
	}
	_, high := d.f.GetPageSize()
	if !t.Upright {
		d.flush(p)
		d.f.Text(float64(at.X-back)/1e3, high-float64(at.Y)/1e3, s)
		return
	}
	fmt.Fprintf(&p.b, "q 0 1 -1 0 %d %d cm", um(at.X), um(at.Y-back))
	d.flush(p)
	d.f.Text(0, high, s)
	d.f.RawWriteStr("Q")
}

// plain gives a text's letters as the fonts' tables can name them: one line, of the letters below U+10000.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r):
			return ' '
		case r > 0xffff:
			return unicode.ReplacementChar
		}
		return r
	}, s)
}
