package centroid

import (
	"bytes"
	"fmt"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// Read reads a placement table. A mistake is a *format.Fault. Where neither a header, a remark nor
// the cells say the unit, millimetres are taken and UnitGuessed is set.
func Read(name string, data []byte) (*Table, error) { return ReadAs(name, data, "") }

// ReadAs is Read with a unit ("mm", "mil", "inch") for files that do not say theirs.
func ReadAs(name string, data []byte, unit string) (*Table, error) {
	if unit != "" && unitLength[unit] == 0 {
		return nil, fmt.Errorf(`there is no unit %q; the units are "mm", "mil" and "inch"`, unit)
	}
	text := plainText(data)
	r := &reader{name: name, text: text}
	if i := strings.IndexByte(text, 0); i >= 0 {
		return nil, r.fault(i, doLeave, "this is not a placement table: it holds binary data")
	}
	t, ok := detect(text)
	if !ok {
		return nil, r.fault(0, doLeave, "this is not a placement table: no line names a reference designator, x and y")
	}
	return r.table(t, unit)
}

const doLeave = "leave the file out, or export it with a header line such as Ref,Val,Package,PosX,PosY,Rot,Side"

// Looks tells whether the data look like a placement table; a parts list without places does not.
func Looks(data []byte) bool {
	if len(data) > 1<<16 { // the head is enough
		data = data[:1<<16]
		data = data[:max(0, bytes.LastIndexAny(data, "\r\n"))] // not half a line
	}
	text := plainText(data)
	if strings.IndexByte(text, 0) >= 0 {
		return false
	}
	_, ok := detect(text)
	return ok
}

// layout is a table whose shape is known.
type layout struct {
	header
	named      bool // there is a header line
	sep        byte // 0: aligned with blanks
	head       string
	rows       []line
	unit, side string // by remarks
}

// detect finds out how a text is laid out.
func detect(text string) (layout, bool) {
	var t layout
	found := false
	for _, l := range lines(text) {
		bare := strings.TrimSpace(l.text)
		if bare == "" {
			continue
		}
		if isComment(bare) || !found && len(bare) < 200 && strings.ContainsAny(bare, "uUoO") {
			t.remark(bare)
		}
		if !found {
			if h, sep, head, ok := headerLine(l); ok {
				t.header, t.sep, t.head, t.named, found = h, sep, head, true, true
				t.rows = nil
				continue
			}
		}
		if !isComment(bare) {
			t.rows = append(t.rows, l)
		}
	}
	if found {
		return t, true
	}
	return t.nameless()
}

// remark takes unit and side out of a remark; what is said first counts.
func (t *layout) remark(s string) {
	if m := unitRemark.FindStringSubmatch(s); m != nil && t.unit == "" {
		t.unit = unitWords[strings.ToLower(m[1])]
	}
	if m := sideRemark.FindStringSubmatch(s); m != nil && t.side == "" && isComment(s) {
		t.side = strings.ToLower(m[1])
	}
}

// mostlyLetters tells names from numbers, cheaply: layer files have very many lines.
func mostlyLetters(s string) bool {
	letters, digits := 0, 0
	for i := 0; i < len(s); i++ {
		switch c := s[i] | 0x20; {
		case c >= 'a' && c <= 'z':
			letters++
		case s[i] >= '0' && s[i] <= '9':
			digits++
		}
	}
	return letters > digits
}

// headerLine tells whether a line names the columns.
func headerLine(l line) (h header, sep byte, head string, ok bool) {
	const longest = 2000 // bytes of a header line
	if len(l.text) > longest || !mostlyLetters(l.text) || !strings.ContainsAny(l.text, "xX") || !strings.ContainsAny(l.text, "yY") {
		return h, 0, "", false
	}
	// Remark signs in front become letters' room, so that aligned columns keep their place.
	s := l.text
	n := len(s) - len(strings.TrimLeft(s, "#*/ \t"))
	l.text = strings.Repeat(" ", n) + s[n:]
	for _, sep := range []byte{',', ';', '\t'} {
		if strings.IndexByte(l.text, sep) < 0 {
			continue
		}
		var columns []string
		for _, c := range split(line{text: s[n:]}, sep) {
			columns = append(columns, c.text)
		}
		if h, ok := readHeader(columns); ok {
			return h, sep, "", true
		}
	}
	h, ok = readHeader(headerWords(l.text))
	head = s
	if n > 0 {
		head = strings.Repeat("#", n) + s[n:]
	}
	return h, 0, head, ok
}

// nameless recognizes a table without header: name, x, y, rotation, value, package.
func (t layout) nameless() (layout, bool) {
	if len(t.rows) == 0 {
		return t, false
	}
	t.sep = '\t'
	for _, l := range t.rows {
		if !strings.Contains(l.text, "\t") {
			t.sep = 0
		}
	}
	for _, l := range t.rows {
		c := t.cut(l, nil)
		if len(c) < 5 || len(c) > 7 || c[0].text == "" {
			return t, false
		}
		for _, i := range []int{1, 2} {
			if _, _, ok := parseLength(c[i].text, "mm", false); !ok {
				return t, false
			}
		}
		if _, ok := parseAngle(c[3].text, false); !ok || c[3].text == "" {
			return t, false
		}
	}
	t.header = header{at: [fieldCount]int{fNone: -1, fRefdes: 0, fX: 1, fY: 2, fRotation: 3, fValue: 4, fPackage: 5, fPartNumber: -1, fSide: -1}}
	return t, true
}

// cut splits a row by the table's shape.
func (t layout) cut(l line, spans []span) []cell {
	switch {
	case t.sep != 0:
		return split(l, t.sep)
	case spans != nil:
		return l.cells(spans)
	}
	w := l.words()
	if !t.named && len(w) == 5 { // without a value, which many a connector has not
		w = []cell{w[0], w[1], w[2], w[3], {off: w[4].off}, w[4]}
	}
	return w
}

type reader struct {
	name string
	text string
}

func (r *reader) fault(off int, do, what string, args ...any) error {
	return format.At(r.name, []byte(r.text), off, fmt.Sprintf(what, args...), do)
}

func (r *reader) table(t layout, unit string) (*Table, error) {
	out := &Table{Columns: t.columns}
	said := t.unit
	for _, f := range []field{fX, fY} {
		if t.header.unit[f] != "" {
			said = t.header.unit[f]
		}
	}
	if said == "" {
		said = unit
	}
	out.Unit = said
	if said == "" {
		out.Unit = "mm"
	}
	fileSide := t.side
	if fileSide == "" {
		fileSide = sideOfName(r.name)
	}
	var spans []span
	if t.named && t.sep == 0 {
		spans, _ = columnsOf(t.head, t.rows, headerWords(strings.TrimLeft(t.head, "#")))
		if spans == nil {
			for _, l := range t.rows {
				if n := len(l.words()); n != len(t.columns) {
					return nil, r.fault(l.off, "export the table with commas between its columns",
						"the columns of this table cannot be told apart: there are %d names but %d words here", len(t.columns), n)
				}
			}
		} else {
			spans[0].from = 0
		}
	}
	own, bare := 0, 0
	for _, l := range t.rows {
		c := t.cut(l, spans)
		get := func(f field) cell {
			if i := t.at[f]; i >= 0 && i < len(c) {
				return c[i]
			}
			return cell{off: l.off}
		}
		if len(c) <= max(t.at[fRefdes], t.at[fX], t.at[fY], t.at[fRotation]) {
			return nil, r.fault(l.off+len(l.text), "the file may have been cut off: export it again", "this line has too few columns")
		}
		row := Row{Line: l.no, Refdes: get(fRefdes).text, Value: get(fValue).text, Package: get(fPackage).text, PartNumber: get(fPartNumber).text}
		if row.Refdes == "" {
			return nil, r.fault(get(fRefdes).off, "name the part, or take the line out", "this part has no reference designator")
		}
		comma := t.sep != ','
		for _, axis := range []struct {
			f  field
			to *geom.Length
		}{{fX, &row.X}, {fY, &row.Y}} {
			x := get(axis.f)
			v, u, ok := parseLength(x.text, out.Unit, comma)
			switch {
			case !ok:
				return nil, r.fault(x.off, "coordinates are plain numbers, with or without mm, mil or inch", "%q is no coordinate", x.text)
			case v.Abs() > geom.Limit:
				return nil, r.fault(x.off, "check the unit", "the part lies more than %v from the origin", geom.Limit)
			}
			if u != "" {
				own++
			} else {
				bare++
			}
			*axis.to = v
		}
		var ok bool
		if row.Rotation, ok = parseAngle(get(fRotation).text, comma); !ok {
			return nil, r.fault(get(fRotation).off, "rotations are plain numbers, in degrees", "%q is no rotation", get(fRotation).text)
		}
		s := get(fSide)
		if row.Side, ok = side(s.text); !ok {
			return nil, r.fault(s.off, "the words known are top and bottom and their usual short forms", "%q is no side", s.text)
		}
		if row.Side == "" {
			row.Side = fileSide
		}
		out.Rows = append(out.Rows, row)
	}
	switch {
	case own > 0 && bare == 0:
		out.Unit = "cell"
	case said == "" && bare > 0:
		out.UnitGuessed = true
	}
	return out, nil
}
