// Package packages reads a shop's own table of parts' bodies: how long, wide, high and heavy each
// package is, which of them are made to stand out over the board's edge, which are fragile, and what
// matters near a break: ceramic capacitors, crystals, connectors, ball-grid arrays.
//
// The table is text in UTF-8 with commas, semicolons or tabs between its columns, and a header line
// that names them, units included. Lines that begin with # are remarks.
//
//	package,length_mm,width_mm,height_mm,mass_mg,overhang,fragile,class
//	C_0603,1.6,0.8,0.45,2,,,ceramic_capacitor
//	USB_*,9.2,7.4,3.2,1200,yes,,connector
//
// A column underside_mm says how high above the board's face a body's underside lies where the body
// stands out over the edge; without it the body is taken to lie on the face.
//
// A name may hold * for any characters and ? for one; a name without them outranks those, and of
// several that fit the first one counts. Capitals do not matter. What the reader does not understand,
// columns with other names included, is an error: the table is the shop's own, so it can be put right.
package packages

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// Table is the shop's table.
type Table struct {
	Rows  []Row
	exact map[string]int
	forms []int // rows whose names are patterns
}

// Row is one package. Lengths are 0 and the mass is 0 where the table does not say them.
type Row struct {
	Package       string
	Length, Width geom.Length // along x and y of a part that is not turned
	Height        geom.Length // above the board
	OffsetX       geom.Length // from the part's place to the body's centre, of a part that is not turned
	OffsetY       geom.Length
	Mass          int64       // in micrograms
	Overhang      bool        // made to stand out over the board's edge
	Fragile       bool        // to be kept away from where boards are parted
	Underside     geom.Length // of the body above the board, where it stands out; 0: it lies on the board
	Class         string      // one of Classes, or empty
	Line          int         // in the file, from 1
	pattern       bool
}

// Classes are the words of the column class.
var Classes = []string{"ceramic_capacitor", "crystal", "connector", "ball_grid_array"}

// HasSize tells whether the table says how long and wide the package is.
func (r Row) HasSize() bool { return r.Length > 0 && r.Width > 0 }

// For gives the row for a package's name.
func (t *Table) For(name string) (Row, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	if name == "" {
		return Row{}, false
	}
	if i, ok := t.exact[name]; ok {
		return t.Rows[i], true
	}
	for _, i := range t.forms {
		if fits(strings.ToLower(t.Rows[i].Package), name) {
			return t.Rows[i], true
		}
	}
	return Row{}, false
}

// fits tells whether name is what a pattern means; it takes no more than len(pattern) × len(name) steps.
func fits(pattern, name string) bool {
	p, n := []rune(pattern), []rune(name)
	i, j, star, back := 0, 0, -1, 0
	for j < len(n) {
		switch {
		case i < len(p) && p[i] == '*':
			star, back = i, j
			i++
		case i < len(p) && (p[i] == '?' || p[i] == n[j]):
			i++
			j++
		case star >= 0:
			back++
			i, j = star+1, back
		default:
			return false
		}
	}
	for i < len(p) && p[i] == '*' {
		i++
	}
	return i == len(p)
}

// column is what a column holds, and what one of its unit is in nanometres or micrograms.
type column struct {
	name string
	unit int64
}

var (
	headerForm = format.Pattern(`^([a-z]+(?:[_ ][xy])?)(?:[_ ]*[(\[]?(mm|mil|mils|inch|in|um|µm|mg|g|kg)[)\]]?)?$`)
	lengths    = map[string]int64{"mm": int64(geom.MM), "mil": int64(geom.Mil), "mils": int64(geom.Mil), "inch": int64(geom.Inch), "in": int64(geom.Inch), "um": int64(geom.UM), "µm": int64(geom.UM)}
	masses     = map[string]int64{"mg": 1000, "g": 1_000_000, "kg": 1_000_000_000}
)

const columnsAre = "the columns are package, length, width, height, underside, offset_x, offset_y (each with its unit: length_mm, length_mil, length_inch or length_um), mass_mg or mass_g, overhang, fragile and class"

// Read reads the table. A mistake is a *format.Fault.
func Read(name string, data []byte) (*Table, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	fault := func(off int, do, what string, args ...any) error {
		return format.At(name, data, off, fmt.Sprintf(what, args...), do)
	}
	if !utf8.Valid(data) {
		off := 0
		for off < len(data) {
			r, n := utf8.DecodeRune(data[off:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			off += n
		}
		return nil, fault(off, "save the table as UTF-8", "this is no text in UTF-8")
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return nil, fault(i, "save the table as text with commas", "this is no table: it holds binary data")
	}
	if !bytes.ContainsRune(data, '\n') { // line ends of their own
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma = separator(data)
	in.Comment = '#'
	in.FieldsPerRecord = -1
	in.TrimLeadingSpace = in.Comma != '\t'
	starts := lineStarts(data)
	place := func(line, col int) int { // columns count bytes, from 1
		if line < 1 || line > len(starts) {
			return len(data)
		}
		return starts[line-1] + max(0, col-1)
	}
	var t *Table
	var columns []column
	lines := map[string]int{} // of the names
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			return nil, fault(place(wrong.Line, wrong.Column), "put cells that hold quotes between quotes, and write each quote in them twice", "the quotes of this line are not closed as they should be")
		}
		if err != nil {
			return nil, fault(0, "", "the table cannot be read: %v", err)
		}
		at := func(i int) int { line, col := in.FieldPos(i); return place(line, col) }
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		if strings.Join(cells, "") == "" {
			continue
		}
		if t == nil {
			if columns, err = header(cells, func(i int, what string) error {
				return fault(at(i), columnsAre, "%s", what)
			}); err != nil {
				return nil, err
			}
			t = &Table{exact: map[string]int{}}
			continue
		}
		if len(cells) > len(columns) {
			return nil, fault(at(len(columns)), "put cells that hold a separator between quotes", "this line has more cells (%d) than the header has names (%d)", len(cells), len(columns))
		}
		line, _ := in.FieldPos(0)
		row := Row{Line: line}
		if i, do, what := row.fill(columns, cells); what != "" {
			return nil, fault(at(i), do, "%s", what)
		}
		if do, what := row.check(); what != "" {
			return nil, fault(at(0), do, "%s", what)
		}
		key := strings.ToLower(row.Package)
		if was, ok := lines[key]; ok {
			return nil, fault(at(0), "leave one of them", "%q is there already, in line %d", row.Package, was)
		}
		lines[key] = line
		if row.pattern {
			t.forms = append(t.forms, len(t.Rows))
		} else {
			t.exact[key] = len(t.Rows)
		}
		t.Rows = append(t.Rows, row)
		if len(t.Rows) > mostRows {
			return nil, fault(at(0), "keep to the packages that are in use", "the table has more than %d rows", mostRows)
		}
	}
	if t == nil {
		return nil, fault(0, columnsAre, "the table has no header line")
	}
	return t, nil
}

// mostRows bounds what a table may cost.
const mostRows = 10_000

// separator is the first of tab, semicolon and comma that the header line has.
func separator(data []byte) rune {
	for _, line := range bytes.FieldsFunc(data, func(r rune) bool { return r == '\n' || r == '\r' }) {
		if s := bytes.TrimSpace(line); len(s) == 0 || s[0] == '#' {
			continue
		}
		for _, c := range "\t;" {
			if bytes.ContainsRune(line, c) {
				return c
			}
		}
		break
	}
	return ','
}

func lineStarts(data []byte) []int {
	out := []int{0}
	for i, c := range data {
		if c == '\n' {
			out = append(out, i+1)
		}
	}
	return out
}

func header(cells []string, fault func(i int, what string) error) ([]column, error) {
	var out []column
	seen := map[string]bool{}
	for i, s := range cells {
		m := headerForm().FindStringSubmatch(strings.ToLower(s))
		if m == nil {
			return nil, fault(i, fmt.Sprintf("%q is no column of this table", s))
		}
		name := strings.ReplaceAll(m[1], " ", "_")
		c := column{name: name}
		switch name {
		case "package", "overhang", "fragile", "class":
			if m[2] != "" {
				return nil, fault(i, fmt.Sprintf("the column %s has no unit", name))
			}
		case "length", "width", "height", "underside", "offset_x", "offset_y":
			if c.unit = lengths[m[2]]; c.unit == 0 {
				return nil, fault(i, fmt.Sprintf("%q does not say its unit", s))
			}
		case "mass":
			if c.unit = masses[m[2]]; c.unit == 0 {
				return nil, fault(i, fmt.Sprintf("%q does not say its unit", s))
			}
		default:
			return nil, fault(i, fmt.Sprintf("%q is no column of this table", s))
		}
		if seen[name] {
			return nil, fault(i, fmt.Sprintf("the column %s is there twice", name))
		}
		seen[name] = true
		out = append(out, c)
	}
	if !seen["package"] {
		return nil, fault(0, "no column is called package")
	}
	if seen["length"] != seen["width"] {
		return nil, fault(0, "length and width belong together: only one of them is there")
	}
	return out, nil
}

// fill takes the cells; what is wrong with one is told by its number.
func (r *Row) fill(columns []column, cells []string) (i int, do, what string) {
	const doNumber = "numbers are plain, with a decimal point, without a unit"
	for i, s := range cells {
		c := columns[i]
		switch c.name {
		case "package":
			r.Package, r.pattern = s, strings.ContainsAny(s, "*?")
			continue
		case "overhang", "fragile":
			is, ok := map[string]bool{"yes": true, "y": true, "true": true, "1": true, "x": true, "": false, "no": false, "n": false, "false": false, "0": false}[strings.ToLower(s)]
			if !ok {
				return i, "write yes, no or nothing", fmt.Sprintf("%q says neither yes nor no", s)
			}
			if c.name == "overhang" {
				r.Overhang = is
			} else {
				r.Fragile = is
			}
			continue
		case "class":
			r.Class = strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(s))
			if r.Class != "" && !slices.Contains(Classes, r.Class) {
				do := "the classes are " + strings.Join(Classes, ", ") + "; leave other parts' cells empty"
				if n := nearestClass(r.Class); n != "" {
					do = "nearest: " + n + "; " + do
				}
				return i, do, fmt.Sprintf("%q is no class of parts", s)
			}
			continue
		}
		if s == "" {
			continue
		}
		v, ok := number(s, c.unit)
		switch {
		case !ok:
			return i, doNumber, fmt.Sprintf("%q is no %s", s, strings.ReplaceAll(c.name, "_", " "))
		case v < 0 && c.name != "offset_x" && c.name != "offset_y", v == 0 && (c.name == "length" || c.name == "width" || c.name == "height"):
			return i, doNumber, fmt.Sprintf("%s cannot be %s", c.name, s)
		case c.name == "mass" && v > 10*1_000_000_000:
			return i, "check the unit", fmt.Sprintf("%s of a part cannot be more than 10 kg", c.name)
		case c.name != "mass" && (v > int64(geom.Limit) || -v > int64(geom.Limit)):
			return i, "check the unit", fmt.Sprintf("%s cannot be more than %v", c.name, geom.Limit)
		}
		l := geom.Length(v)
		switch c.name {
		case "length":
			r.Length = l
		case "width":
			r.Width = l
		case "height":
			r.Height = l
		case "underside":
			r.Underside = l
		case "offset_x":
			r.OffsetX = l
		case "offset_y":
			r.OffsetY = l
		case "mass":
			r.Mass = v
		}
	}
	if r.Package == "" {
		return 0, "name the package, or take the line out", "this line names no package"
	}
	return 0, "", ""
}

// check tells what does not go together.
func (r *Row) check() (do, what string) {
	if (r.Length > 0) != (r.Width > 0) {
		return "say both, or leave both open", fmt.Sprintf("%q has a length or a width and not both", r.Package)
	}
	if r.Height > 0 && r.Underside >= r.Height {
		return "both count from the board's face", fmt.Sprintf("%q has its underside no lower than its height", r.Package)
	}
	return "", ""
}

// nearestClass gives the class that shares most pairs of letters with the word, of equals the first; empty
// where none shares two.
func nearestClass(word string) string {
	best, most := "", 1
	for _, c := range Classes {
		n := 0
		for i := 0; i+2 <= len(word); i++ {
			if strings.Contains(c, word[i:i+2]) {
				n++
			}
		}
		if n > most {
			best, most = c, n
		}
	}
	return best
}

var numberForm = format.Pattern(`^([+-]?)([0-9]{0,9})(?:[.]([0-9]{0,12}))?$`)

// number reads a plain decimal number of units, to the nearest nanometre or microgram.
func number(s string, unit int64) (int64, bool) {
	m := numberForm().FindStringSubmatch(s)
	if m == nil || m[2]+m[3] == "" {
		return 0, false
	}
	frac := m[3][:min(len(m[3]), 9)]
	v, err := strconv.ParseInt("0"+m[2]+frac, 10, 64)
	if err != nil {
		return 0, false
	}
	div := int64(1)
	for range frac {
		div *= 10
	}
	if v/div > 1_000_000_000 || v/div > (1<<62)/unit {
		return 0, false
	}
	v = geom.MulDiv(v, unit, div)
	if m[1] == "-" {
		v = -v
	}
	return v, true
}
