package centroid

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// Read reads a placement table. A mistake is a *format.Fault. Where neither a header, a remark nor
// the cells say the unit, the coordinates are read as millimetres and UnitOpen is set.
func Read(name string, data []byte) (*Table, error) { return ReadWith(name, data, Options{}) }

// ReadAs is Read with a unit for files that do not say theirs.
func ReadAs(name string, data []byte, unit string) (*Table, error) {
	return ReadWith(name, data, Options{Unit: unit})
}

// ReadWith is Read with what somebody knows of the file.
func ReadWith(name string, data []byte, opt Options) (*Table, error) {
	if opt.Unit != "" && unitLength[opt.Unit] == 0 {
		return nil, fmt.Errorf(`there is no unit %q; the units are "mm", "mil", "inch" and "um"`, opt.Unit)
	}
	if err := CheckColumns(opt.Columns); err != nil {
		return nil, err
	}
	text, whole := plainText(data)
	r := &reader{name: name, text: text}
	if i := strings.IndexByte(text, 0); i >= 0 {
		return nil, r.fault(i, doLeave, "this is not a placement table: it holds binary data")
	}
	if !whole {
		return nil, r.fault(len(text), "export it again", "the file ends within a letter: it is cut short")
	}
	var columns []string
	if len(opt.Columns) > 0 {
		columns = opt.Columns
	}
	t, ok := lay(text, columns)
	if !ok {
		return nil, r.fault(0, doLeave, "this is not a placement table: no line names a reference designator, x and y")
	}
	table, err := r.table(t, opt.Unit)
	for _, u := range []string{"mil", "um"} {
		if !r.far || !r.open {
			break
		}
		// Not millimetres, for certain: what the unit is remains open.
		r.far = false
		if table, err = r.table(t, u); err == nil {
			table.UnitOpen = true
		}
	}
	return table, err
}

// InUnits reads a table that does not say its unit in each of Units, leaving out those in which it
// cannot be: it is the check of a unit against what else is known of the board, and says nothing by
// itself.
func InUnits(name string, data []byte, opt Options) []*Table {
	var out []*Table
	for _, u := range Units {
		opt.Unit = u
		if t, err := ReadWith(name, data, opt); err == nil {
			out = append(out, t)
		}
	}
	return out
}

const (
	doLeave   = "leave the file out, or export it with a header line such as Ref,Val,Package,PosX,PosY,Rot,Side"
	doColumns = `say in the recipe what the columns are: placement "FILE" { columns = ["refdes", "x", "y", "rotation", "side"] }, with "-" for a column that is not to be read`
	doUnit    = `say in the recipe which one holds: placement "FILE" { unit = "mm" }`
)

// Looks tells whether the data look like a placement table; a parts list without places does not.
func Looks(data []byte) bool {
	if len(data) > 1<<16 { // the head is enough
		data = data[:1<<16]
		data = data[:max(0, bytes.LastIndexAny(data, "\r\n"))] // not half a line
	}
	text, _ := plainText(data)
	if strings.IndexByte(text, 0) >= 0 {
		return false
	}
	_, ok := detect(text)
	return ok
}

type reader struct {
	name string
	text string
	far  bool // a part lies too far away
	open bool // nobody says the unit
}

func (r *reader) fault(off int, do, what string, args ...any) error {
	do = strings.ReplaceAll(do, "FILE", r.name)
	return format.At(r.name, []byte(r.text), off, fmt.Sprintf(what, args...), do)
}

// record is a row cut into cells.
type record struct {
	line
	c    []cell
	side string // of the heading that it stands below
}

func (x record) get(i int) cell {
	if i >= 0 && i < len(x.c) {
		return x.c[i]
	}
	return cell{off: x.off}
}

func (r *reader) table(t layout, unit string) (*Table, error) {
	out := &Table{Columns: t.columns}
	if t.doubt != "" {
		off := 0
		if len(t.rows) > 0 {
			off = t.rows[0].off
		}
		return nil, r.fault(off, doColumns, "%s", t.doubt)
	}
	if t.note != "" {
		out.Notes = append(out.Notes, Note{Text: t.note, Doubt: t.pointOnly()})
	}
	rows, err := r.records(&t, out)
	if err != nil {
		return nil, err
	}
	t.placedYes = t.saysPlaced(rows)
	if err := r.settleMount(&t, rows, out); err != nil {
		return nil, err
	}
	m, err := r.settleMarks(t, rows)
	if err != nil {
		return nil, err
	}
	x, y, err := r.settleUnits(t, &rows, unit, out)
	if err != nil {
		return nil, err
	}
	fileSide := t.side
	if fileSide == "" {
		fileSide = sideOfName(r.name)
	}
	own, bare := 0, -1 // cells with a unit of their own; the first without one that is not 0
	noTurn := 0
	for _, l := range rows {
		row := Row{Line: l.no, Refdes: l.get(t.at[fRefdes]).text, Value: l.get(t.at[fValue]).text, Package: l.get(t.at[fPackage]).text, PartNumber: l.get(t.at[fPartNumber]).text}
		cx, cy := l.get(t.at[fX]), l.get(t.at[fY])
		if row.Refdes == "" {
			return nil, r.fault(l.get(t.at[fRefdes]).off, "name the part, or take the line out", "this part has no reference designator")
		}
		why, err := r.leftOut(t, l)
		if err != nil {
			return nil, err
		}
		if why == "" && noPlace(cx.text) && noPlace(cy.text) && t.at[fY] < len(l.c) {
			why = "it has no place"
		}
		if why != "" {
			out.Left = append(out.Left, Left{row.Refdes, why, l.no})
			continue
		}
		for _, a := range []struct {
			c    cell
			unit string
			to   *geom.Length
		}{{cx, x, &row.X}, {cy, y, &row.Y}} {
			v, u, ok := parseLength(a.c.text, a.unit, m)
			if !ok {
				if _, _, less := parseLength(a.c.text, "um", m); less {
					v, ok = 2*geom.Limit, true // a number, and a large one
				}
			}
			switch {
			case !ok:
				return nil, r.fault(a.c.off, "coordinates are plain numbers, with or without mm, mil, inch or um", "%q is no coordinate", a.c.text)
			case v.Abs() > geom.Limit:
				r.far = true
				return nil, r.fault(a.c.off, "check the unit", "the part lies more than %v from the origin", geom.Limit)
			}
			if u != "" {
				own++
			} else if v != 0 && bare < 0 {
				bare = a.c.off
			}
			*a.to = v
		}
		turn := l.get(t.at[fRotation])
		rotation, mirrored, ok := parseAngle(turn.text, m)
		if !ok {
			return nil, r.fault(turn.off, "rotations are plain numbers, in degrees", "%q is no rotation", turn.text)
		}
		if row.Rotation = rotation; strings.TrimSpace(turn.text) == "" {
			noTurn++
		}
		if row.Side, err = r.sideOf(t, l, mirrored); err != nil {
			return nil, err
		}
		if row.Side == "" {
			row.Side = fileSide
		}
		out.Rows = append(out.Rows, row)
	}
	switch {
	case noTurn > 0 && noTurn == len(out.Rows):
		out.Notes = append(out.Notes, Note{Text: "nothing says how the parts are turned: 0° is taken for all of them", Doubt: true})
	case noTurn > 0:
		out.Notes = append(out.Notes, Note{Text: fmt.Sprintf("%d of %d parts have no rotation: 0° is taken for them", noTurn, len(out.Rows)), Doubt: true})
	}
	switch {
	case own > 0 && bare < 0:
		out.Unit, out.UnitOpen = "cell", false
	case own > 0 && out.UnitOpen:
		return nil, r.fault(bare, doUnit, "this coordinate carries no unit, though others do")
	case bare < 0: // every coordinate is 0, or there are none
		out.UnitOpen = false
	}
	return out, nil
}

// records cuts the rows, and leaves out what is no part: repeated header lines, headings of sides,
// lines of units, a summary at the end.
func (r *reader) records(t *layout, out *Table) ([]record, error) {
	spans, err := r.spans(*t)
	if err != nil {
		return nil, err
	}
	need := max(t.at[fRefdes], t.at[fX], t.at[fY], t.at[fRotation], t.at[fSide], t.at[fMirrored], t.at[fUnplaced], t.at[fPlaced])
	width := len(t.columns)
	if t.given || !t.named {
		width = 0
	}
	var rows []record
	below := t.heading
	var odd []line // lines that are no parts; only behind the last part may they be skipped
	for i, l := range t.rows {
		c, bad := t.cut(l, spans)
		if bad >= 0 {
			return nil, r.fault(bad, "within quotes, write a quote twice", "this quote does not close its cell")
		}
		x := record{l, c, below}
		filled := slices.DeleteFunc(slices.Clone(c), func(c cell) bool { return c.text == "" })
		if len(filled) == 0 {
			continue
		}
		if len(filled) == 1 || t.sep == 0 && sideHeading().MatchString(l.text) || t.sep == 0 && len(c) <= need && summary().MatchString(l.text) {
			if g := sideHeading().FindStringSubmatch(strings.Trim(l.text, ",;|\t ")); g != nil {
				below, _ = side(cmp.Or(g[1], g[2]+"side"))
				out.Notes = append(out.Notes, Note{Line: l.no, Text: fmt.Sprintf("a heading: the parts below it are on the %s", below)})
				continue
			}
			if !designator().MatchString(filled[0].text) && (summary().MatchString(l.text) || strings.ContainsAny(filled[0].text, " :=")) {
				odd = append(odd, l)
				continue
			}
		}
		if t.named && sameNames(c, t.columns) {
			continue // the header line again
		}
		if t.given && len(rows) == 0 && i < 20 {
			if _, _, ok := parseLength(x.get(t.at[fX]).text, "mm", loose(x.get(t.at[fX]).text)); !ok {
				out.Notes = append(out.Notes, Note{Line: l.no, Text: "this line stands before the first part and is not read"})
				continue
			}
		}
		if len(odd) > 0 && summary().MatchString(l.text) && strings.ContainsAny(l.text, ":=") {
			odd = append(odd, l)
			continue
		}
		if len(odd) > 0 {
			return nil, r.fault(odd[0].off, "take the line out, or mark it as a remark with # in front", "this line is no part, and parts follow it")
		}
		if t.named && len(filled) < 3 && behind(t.rows[i:]) && summary().MatchString(l.text) && !designator().MatchString(x.get(t.at[fRefdes]).text) {
			odd = append(odd, l)
			continue
		}
		if len(c) <= need {
			return nil, r.fault(l.off+len(l.text), "the file may have been cut off: export it again", "this line has too few columns")
		}
		if width > 0 && len(c) > width {
			for _, extra := range c[width:] {
				if extra.text != "" {
					return nil, r.fault(extra.off, "put cells that hold a separator or a decimal comma between quotes", "this line has more cells (%d) than the header has names (%d)", len(c), width)
				}
			}
		}
		rows = append(rows, x)
	}
	if len(odd) > 0 {
		out.Notes = append(out.Notes, Note{Line: odd[0].no, Text: "what stands behind the last part is not read: " + shortened(odd[0].text)})
	}
	for _, l := range t.remarks {
		s := strings.TrimLeft(strings.TrimSpace(l.text), "#*/; ")
		c, _ := t.cut(line{s, l.off, l.no}, nil)
		if t.sep != 0 && len(c) > need && len(c) >= width-1 {
			_, _, a := parseLength(c[t.at[fX]].text, "mm", loose(c[t.at[fX]].text))
			_, _, b := parseLength(c[t.at[fY]].text, "mm", loose(c[t.at[fY]].text))
			if a && b {
				out.Notes = append(out.Notes, Note{Line: l.no, Text: "a remark that looks like a part is not read", Doubt: true})
			}
		}
	}
	return rows, nil
}

// behind tells whether no more than a few lines are left.
func behind(rest []line) bool { return len(rest) <= 10 }

func shortened(s string) string {
	s = strings.TrimSpace(s)
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// sameNames tells whether a row is the header line once more.
func sameNames(c []cell, columns []string) bool {
	if len(columns) == 0 || len(c) < len(columns) {
		return false
	}
	for i, n := range columns {
		if !strings.EqualFold(strings.Trim(c[i].text, "#* "), strings.Trim(n, "#* ")) {
			return false
		}
	}
	return true
}

// spans finds the columns of an aligned table.
func (r *reader) spans(t layout) ([]span, error) {
	if !t.named || t.sep != 0 {
		return nil, nil
	}
	// Headings and summaries would bridge the gaps between the columns.
	var rows []line
	for _, l := range t.rows {
		if !sideHeading().MatchString(l.text) && (len(l.words()) >= 3 || !summary().MatchString(l.text)) {
			rows = append(rows, l)
		}
	}
	spans, _ := columnsOf(t.head, rows, headerWords(strings.TrimLeft(t.head, "#")))
	if spans != nil {
		spans[0].from = 0
		return spans, nil
	}
	for _, l := range rows {
		if n := len(l.words()); n != len(t.columns) && !sameNames(l.words(), strings.Fields(strings.Join(t.columns, " "))) {
			return nil, r.fault(l.off, "export the table with commas between its columns",
				"the columns of this table cannot be told apart: there are %d names but %d words here", len(t.columns), n)
		}
	}
	return nil, nil
}

// settleMount takes a column called Mount for the side when its cells are sides; ways of mounting
// are not read.
func (r *reader) settleMount(t *layout, rows []record, out *Table) error {
	if t.mount < 0 || t.at[fSide] >= 0 || len(rows) == 0 {
		return nil
	}
	sides, ways := 0, 0
	for _, l := range rows {
		w := l.get(t.mount).text
		if mounting(w) {
			ways++
		}
		if _, ok := side(w); ok {
			sides++
		}
	}
	switch {
	case ways == len(rows):
	case sides == len(rows):
		t.at[fSide] = t.mount
		out.Notes = append(out.Notes, Note{Text: t.columns[t.mount] + " is taken as the side"})
	default:
		return r.fault(rows[0].get(t.mount).off, doColumns, "it is not clear whether the column %s is the side of the parts or how they are mounted", t.columns[t.mount])
	}
	return nil
}

// settleMarks finds out whether a comma or a point stands before fractions, from all the numbers of
// the table together.
func (r *reader) settleMarks(t layout, rows []record) (marks, error) {
	first := map[evidence]cell{}
	for _, l := range rows {
		for _, f := range []field{fX, fY, fRotation} {
			c := l.get(t.at[f])
			e := weigh(c.text, f == fRotation)
			if _, ok := first[e]; !ok {
				first[e] = c
			}
		}
	}
	has := func(e ...evidence) (cell, bool) {
		for _, e := range e {
			if c, ok := first[e]; ok {
				return c, true
			}
		}
		return cell{}, false
	}
	point, points := has(saysPoint, saysPointGroups)
	comma, commas := has(saysComma, saysCommaGroups)
	either, open := has(saysEither)
	_, pointGroups := first[saysPointGroups]
	switch {
	case points && commas:
		off := max(point.off, comma.off)
		return marks{}, r.fault(off, "export the table with one of them", "numbers are written with decimal points (%s) and with decimal commas (%s) in one table", point.text, comma.text)
	case open && points && !pointGroups:
		return marks{}, r.fault(either.off, "export the table without marks between thousands", "%q is not clear: other numbers have decimal points, so that its comma would part thousands", either.text)
	case open && !points && !commas:
		return marks{}, r.fault(either.off, "export the table with decimal points, or without marks between thousands", "%q is not clear: its comma may stand before a fraction or part thousands, and no other number of the table tells", either.text)
	}
	return marks{comma: commas, groups: pointGroups}, nil
}

// settleUnits finds the units of x and y: the column's name says it, else the line below the header,
// else a remark, else the recipe.
func (r *reader) settleUnits(t layout, rows *[]record, unit string, out *Table) (x, y string, err error) {
	x, y = t.header.unit[fX], t.header.unit[fY]
	if len(*rows) > 0 {
		first := (*rows)[0]
		bare := func(f field) string {
			return unitWords[strings.ToLower(strings.Trim(first.get(t.at[f]).text, "()[]. "))]
		}
		if bare(fX) != "" && bare(fY) != "" && first.get(t.at[fRefdes]).text == "" {
			x, y = bare(fX), bare(fY)
			*rows = (*rows)[1:]
		}
	}
	said := t.unit
	if x == "" || y == "" {
		if x+y != "" {
			out.Notes = append(out.Notes, Note{Text: "only one of x and y says its unit: it is taken for both", Doubt: true})
			x, y = x+y, x+y
		}
		if t.unitTwice >= 0 && x == "" {
			return "", "", r.fault(t.unitTwice, doUnit+", and take the other remark out", "this says another unit than a line before it")
		}
	}
	if x == "" {
		x, y = said, said
	} else if said != "" && (said != x || said != y) {
		out.Notes = append(out.Notes, Note{Text: fmt.Sprintf("a remark says %s, the columns' names %s: the names hold", said, x), Doubt: true})
	}
	switch {
	case x == "" && unit != "":
		x, y = unit, unit
	case x == "":
		x, y, out.UnitOpen = "mm", "mm", true
		r.open = true
	case unit != "" && (x != unit || y != unit):
		out.Notes = append(out.Notes, Note{Text: fmt.Sprintf("the recipe says %s, the file %s: the file holds", unit, x), Doubt: true})
	}
	out.Unit = x
	return x, y, nil
}

// leftOut tells why a part is not to be placed, "" when it is.
func (r *reader) leftOut(t layout, l record) (string, error) {
	for _, f := range []field{fUnplaced, fPlaced} {
		i := t.at[f]
		if i < 0 || i >= len(l.c) {
			continue
		}
		name := "unplaced"
		if i < len(t.columns) {
			name = t.columns[i]
		}
		left, ok := unplacedWord(l.c[i].text)
		if !ok {
			var is bool
			is, ok = yes(l.c[i].text, name)
			blank := strings.Trim(l.c[i].text, "-–. ") == ""
			// In a column of placed parts that has its yes, nothing may mean either.
			ok = ok && !(f == fPlaced && blank && t.placedYes)
			left = is == (f == fUnplaced) && !(f == fPlaced && blank)
		}
		if !ok {
			return "", r.fault(l.c[i].off, "the words known are yes and no and their usual short forms", "%q says neither that the part is placed nor that it is not", l.c[i].text)
		}
		if left {
			return fmt.Sprintf("its column %s says so", name), nil
		}
	}
	return "", nil
}

// saysPlaced tells whether any row of the column of placed parts says yes.
func (t layout) saysPlaced(rows []record) bool {
	i := t.at[fPlaced]
	return i >= 0 && slices.ContainsFunc(rows, func(l record) bool {
		if i >= len(l.c) || l.c[i].text == "" {
			return false
		}
		left, ok := unplacedWord(l.c[i].text)
		is, _ := yes(l.c[i].text, t.columns[i])
		return ok && !left || is
	})
}

// sideOf gives the side that the row says.
func (r *reader) sideOf(t layout, l record, mirrored bool) (string, error) {
	s := l.get(t.at[fSide])
	is, ok := side(s.text)
	if !ok {
		return "", r.fault(s.off, "the words known are top and bottom and their usual short forms", "%q is no side", s.text)
	}
	by := "its heading"
	if is != "" {
		by = "its side"
	} else {
		is = l.side
	}
	if i := t.at[fMirrored]; i >= 0 && i < len(l.c) {
		name := "mirrored"
		if i < len(t.columns) {
			name = t.columns[i]
		}
		m, ok := yes(l.c[i].text, name)
		if !ok {
			return "", r.fault(l.c[i].off, "the words known are yes and no and their usual short forms", "%q says neither that the part is mirrored nor that it is not", l.c[i].text)
		}
		want := map[bool]string{true: "bottom", false: "top"}[m]
		if is != "" && is != want {
			return "", r.fault(l.c[i].off, doColumns, "this says the %s, %s the %s", want, by, is)
		}
		is = want
	}
	if mirrored {
		if is == "top" {
			return "", r.fault(l.get(t.at[fRotation]).off, "correct one of them", "this rotation is that of a mirrored part, and the part is on the top")
		}
		is = "bottom"
	}
	return is, nil
}
