package dxf

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// AppName is the name under which dimensions carry what they state, as extended data: for each drawing.Fact a
// list of two strings, the feature's id and what of it is stated; then the value (1040) in millimetres or degrees, and
// how often the same follows in a row (1070). Texts that state something, as tables' cells do, have the lists alone.
const AppName = "PANELWRIGHT"

// Write writes the sheets of a drawing as DXF R2000 in millimetres. The first sheet's view called plan lies in its own real
// coordinates, to the nanometre: contours of lines and arcs are polylines with bulges, whole circles are circles.
// All else of that sheet stands round it, as large as the plan's scale makes it; further sheets stand to the right of
// it, equally enlarged.
//
// What views other than the plan draw of the panel lies on the layer "details", so that the layer "outline" holds
// the panel's contours and nothing else. Dimensions are dimensions that can be measured; their text and lines are
// those of the sheet. Areas of paper's white are left out: on a dark screen they would hide the letters on them.
//
// It is an error to have no sheets, or what w says.
func Write(w io.Writer, sheets []drawing.Sheet, plan string) error {
	if len(sheets) == 0 {
		return fmt.Errorf("a DXF file needs at least one sheet")
	}
	x := newWriter()
	f := frame{num: 1, den: 1, origin: sheets[0].Box.Min}
	for _, v := range sheets[0].Views {
		if v.Name == plan && plan != "" {
			f.origin, f.num, f.den = v.Origin, v.Scale.Real, v.Scale.Paper
			break
		}
	}
	for i := range sheets {
		s := &sheets[i]
		if i > 0 {
			// Beside the one before, a tenth of its width off, lower edges in line.
			last := sheets[i-1].Box
			left := f.point(geom.Pt(last.Max.X+last.Width()/10, last.Min.Y))
			f = frame{num: f.num, den: f.den, origin: s.Box.Min, shift: left}
			plan = ""
		}
		if err := x.sheet(s, f, plan); err != nil {
			return fmt.Errorf("sheet %q as DXF: %w", s.Name, err)
		}
		b := geom.BoxOf(f.point(s.Box.Min), f.point(s.Box.Max))
		x.extent = x.extent.Union(b)
	}
	return x.finish(w)
}

// frame says where the paper of a sheet lies in the drawing: points as seen from origin, num/den times as large, moved
// by shift.
type frame struct {
	origin, shift geom.Point
	num, den      int64
}

func (f frame) length(l geom.Length) geom.Length {
	return geom.Length(geom.MulDiv(int64(l), f.num, f.den))
}

func (f frame) point(p geom.Point) geom.Point {
	d := p.Sub(f.origin)
	return geom.Pt(f.shift.X+f.length(d.X), f.shift.Y+f.length(d.Y))
}

// of gives the frame of a view's real lengths.
func (f frame) of(v drawing.View) frame {
	g := frame{num: v.Scale.Paper * f.num, den: v.Scale.Real * f.den, shift: f.point(v.Origin)}
	if g.num == g.den {
		g.num, g.den = 1, 1
	}
	return g
}

// path gives a path in the drawing.
func (f frame) path(p geom.Path) geom.Path {
	out := make(geom.Path, 0, len(p))
	for _, e := range p {
		from, to := f.point(e.From), f.point(e.To)
		if from == to && e.From != e.To {
			if _, sweep := e.Angles(); e.Sense == geom.Straight || -3 < sweep && sweep < 3 {
				continue // shorter than can be written
			}
		}
		e.From, e.To, e.Center = from, to, f.point(e.Center)
		out = append(out, e)
	}
	return out
}

// writer collects the parts of a file, as the header, which comes first, says how they end.
type writer struct {
	handle                   int
	blocks, entities         bytes.Buffer
	records                  []record // of the blocks beyond the two spaces
	layers                   []drawing.Layer
	scales                   []ratio // of the dimension styles
	extent                   geom.Box
	symbols                  map[string]string // what a block draws to its name
	tables                   map[string]string // table to its handle
	space, paper, dictionary string
	dimensions               int
}

type record struct{ name, handle string }

// ratio is what measured lengths are multiplied with.
type ratio struct{ num, den int64 }

func newWriter() *writer {
	x := &writer{extent: geom.EmptyBox(), symbols: map[string]string{}, tables: map[string]string{}, layers: drawing.Layers()}
	for _, t := range []string{"VPORT", "LTYPE", "LAYER", "STYLE", "VIEW", "UCS", "APPID", "DIMSTYLE", "BLOCK_RECORD"} {
		x.tables[t] = x.next()
	}
	x.space, x.paper, x.dictionary = x.next(), x.next(), x.next()
	x.style(ratio{1, 1})
	return x
}

// next gives a handle.
func (x *writer) next() string {
	x.handle++
	return fmt.Sprintf("%X", x.handle)
}

// put writes groups: a code and its value in turn.
func put(b *bytes.Buffer, groups ...any) {
	for i := 0; i < len(groups); i += 2 {
		b.WriteString(strconv.Itoa(groups[i].(int)))
		b.WriteByte('\n')
		switch v := groups[i+1].(type) {
		case string:
			b.WriteString(v)
		case int:
			b.WriteString(strconv.Itoa(v))
		case geom.Length:
			b.WriteString(millimetres(v))
		case float64:
			b.WriteString(digits(v))
		default:
			panic(fmt.Sprintf("no group is a %T", v)) // a mistake of this package
		}
		b.WriteByte('\n')
	}
}

// putAt writes a place under a code and those for y and z.
func putAt(b *bytes.Buffer, code int, p geom.Point) {
	put(b, code, p.X, code+10, p.Y, code+20, "0.0")
}

// millimetres writes a length exactly.
func millimetres(l geom.Length) string {
	s := l.Decimal()
	if l%geom.MM == 0 {
		s += ".0"
	}
	return s
}

// digits writes a number with all its digits.
func digits(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if v == float64(int64(v)) {
		s += ".0"
	}
	return s
}

// style gives the name of the dimension style of a scale.
func (x *writer) style(r ratio) string {
	for d := gcd(r.num, r.den); d > 1; d = 1 {
		r.num, r.den = r.num/d, r.den/d
	}
	if !slices.Contains(x.scales, r) {
		x.scales = append(x.scales, r)
	}
	return styleName(r)
}

func styleName(r ratio) string {
	if r.num == r.den {
		return "panel"
	}
	return fmt.Sprintf("panel-%d-to-%d", r.den, r.num)
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// widths are the line widths that the format knows, in hundredths of a millimetre (DXF reference, group 370).
var widths = []int{0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211}

// lineWidth gives the width of the format that is nearest to a pen's.
func lineWidth(l geom.Length) int {
	n := int(l / (10 * geom.UM))
	return slices.MinFunc(widths, func(a, b int) int { return cmp.Compare(max(a-n, n-a), max(b-n, n-b)) })
}

// finish writes the file.
func (x *writer) finish(w io.Writer) error {
	var tables, objects bytes.Buffer
	blocks := x.blocksSection()
	x.writeTables(&tables)
	x.writeObjects(&objects)
	out := bufio.NewWriterSize(w, 1<<16)
	var head bytes.Buffer
	put(&head, 999, "panelwright", 0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1015", 9, "$DWGCODEPAGE", 3, "ANSI_1252")
	put(&head, 9, "$INSBASE", 10, "0.0", 20, "0.0", 30, "0.0")
	put(&head, 9, "$EXTMIN")
	putAt(&head, 10, x.extent.Min)
	put(&head, 9, "$EXTMAX")
	putAt(&head, 10, x.extent.Max)
	put(&head, 9, "$LIMMIN", 10, x.extent.Min.X, 20, x.extent.Min.Y, 9, "$LIMMAX", 10, x.extent.Max.X, 20, x.extent.Max.Y)
	put(&head, 9, "$LTSCALE", 40, "1.0", 9, "$TEXTSTYLE", 7, "letters", 9, "$CLAYER", 8, "0", 9, "$DIMSTYLE", 2, styleName(ratio{1, 1}),
		9, "$LUNITS", 70, 2, 9, "$LUPREC", 70, 6, 9, "$MEASUREMENT", 70, 1, 9, "$INSUNITS", 70, int(MM), 9, "$LWDISPLAY", 290, 1,
		9, "$HANDSEED", 5, fmt.Sprintf("%X", x.handle+1), 0, "ENDSEC", 0, "SECTION", 2, "CLASSES", 0, "ENDSEC")
	for _, part := range []struct {
		name string
		b    *bytes.Buffer
	}{{"", &head}, {"TABLES", &tables}, {"BLOCKS", blocks}, {"ENTITIES", &x.entities}, {"OBJECTS", &objects}} {
		if part.name != "" {
			fmt.Fprintf(out, "0\nSECTION\n2\n%s\n", part.name)
		}
		out.Write(part.b.Bytes())
		if part.name != "" {
			out.WriteString("0\nENDSEC\n")
		}
	}
	out.WriteString("0\nEOF\n")
	return out.Flush()
}
