package netlist

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Looks tells whether the data look like such a netlist.
func Looks(data []byte) bool {
	if len(data) > 1<<16 {
		data = data[:1<<16]
	}
	found := false
	eachLine(data, func(_ int, s string) bool {
		found = isUnits(s) || isTest(s) && len(s) > colX[1] && s[colX[0]-1] == 'X' && s[colY[0]-1] == 'Y'
		return !found
	})
	return found
}

const doExport = "export the netlist again, as IPC-D-356"

// Read reads a netlist. A mistake is a *format.Fault. A net called N/C (no net) becomes "", a
// reference designator VIA sets Via and becomes "". Aliases (NNAME) are resolved.
func Read(name string, data []byte) (*panel.Netlist, error) {
	r := &reader{name: name, data: data, out: &panel.Netlist{Source: name}, alias: map[string]string{}}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return nil, r.fault(i, doExport, "this is not a netlist: it holds binary data")
	}
	var err error
	eachLine(data, func(off int, s string) bool {
		err = r.line(off, s)
		return err == nil && !r.ended
	})
	switch {
	case err != nil:
		return nil, err
	case r.unit == 0 && len(r.out.Points) == 0:
		return nil, r.fault(0, doExport, "this is not a netlist: there is neither a unit nor a test record in it")
	case !r.ended:
		return nil, r.fault(len(data), "the file may have been cut off: "+doExport, "the netlist does not end with 999")
	}
	for i := range r.out.Points {
		p := &r.out.Points[i]
		if long, ok := r.alias[p.Net]; ok {
			p.Net = long
		}
	}
	return r.out, nil
}

type reader struct {
	name    string
	data    []byte
	out     *panel.Netlist
	unit    geom.Length // of the last digit; 0: not said yet
	radians bool
	alias   map[string]string
	ended   bool
}

func (r *reader) fault(off int, do, what string, args ...any) error {
	return format.At(r.name, r.data, off, fmt.Sprintf(what, args...), do)
}

func eachLine(data []byte, f func(off int, s string) bool) {
	for start := 0; start < len(data); {
		end := start
		for end < len(data) && data[end] != '\n' && data[end] != '\r' {
			end++
		}
		if s := strings.TrimRight(string(data[start:end]), " \t\x1a"); s != "" && !f(start, s) {
			return
		}
		start = end + 1
	}
}

func isUnits(s string) bool {
	f := strings.Fields(s)
	return len(f) >= 3 && f[0] == "P" && f[1] == "UNITS"
}

// isTest tells whether a line is a test record, 017 and 027 (further data on the point before) included.
func isTest(s string) bool {
	return len(s) > 3 && (s[0] == '3' || s[0] == '0') && s[1] >= '1' && s[1] <= '6' && s[2] == '7'
}

func (r *reader) line(off int, s string) error {
	switch {
	case s[0] == 'C':
		return nil
	case s[0] == 'P':
		return r.parameter(off, s)
	case s == "999" || strings.HasPrefix(s, "999 "):
		r.ended = true
		return nil
	case isTest(s):
		return r.test(off, s)
	case len(s) > 3 && (s[0] == '3' || s[0] == '0') && s[1] >= '0' && s[1] <= '9' && (s[2] == '8' || s[2] == '9'):
		return nil // conductors, board edge, adjacency, remarks on them
	}
	return r.fault(off, doExport, "this is no record of a netlist")
}

var aliasForm = format.Pattern(`^P\s+(NNAME[0-9]{1,9})\s+(\S.*)$`)

func (r *reader) parameter(off int, s string) error {
	if isUnits(s) {
		words := strings.Join(strings.Fields(s)[2:], " ")
		r.radians = false
		switch words {
		case "CUST 0", "CUST":
			r.unit = geom.Inch / 10_000
		case "CUST 1", "SI":
			r.unit = geom.MM / 1000
		case "CUST 2":
			r.unit, r.radians = geom.Inch/10_000, true
		default:
			return r.fault(off, "the units known are CUST 0, CUST 1, CUST 2 and SI", "the unit %q is not known", words)
		}
		return nil
	}
	if m := aliasForm().FindStringSubmatch(s); m != nil {
		if old, ok := r.alias[m[1]]; ok && old != m[2] {
			return r.fault(off, doExport, "%s is given two names", m[1])
		}
		r.alias[m[1]] = m[2]
	}
	return nil
}

// record is a test record while it is taken apart.
type record struct {
	r   *reader
	off int
	s   string
	err error
}

func (c *record) text(col [2]int) string {
	if col[0] >= len(c.s) {
		return ""
	}
	return strings.TrimSpace(c.s[col[0]:min(col[1], len(c.s))])
}

// number reads a field whose letter stands in front of it. Without the letter there is no field.
func (c *record) number(col [2]int, letter byte, signed bool) (int64, bool) {
	if c.err != nil || col[0] > len(c.s) || c.s[col[0]-1] == ' ' {
		return 0, false
	}
	if c.s[col[0]-1] != letter {
		c.err = c.r.fault(c.off+col[0]-1, doExport, "column %d of a test record should be %c or blank", col[0], letter)
		return 0, false
	}
	t := c.text(col)
	if t == "" { // a letter alone: some writers leave the letters standing
		return 0, false
	}
	digits := t
	if signed && (t[0] == '+' || t[0] == '-') {
		digits = strings.TrimLeft(t[1:], " ")
	}
	v, err := strconv.ParseUint(digits, 10, 32)
	if err != nil {
		c.err = c.r.fault(c.off+col[0], doExport, "%q is no number behind %c", t, letter)
		return 0, false
	}
	if strings.HasPrefix(t, "-") {
		return -int64(v), true
	}
	return int64(v), true
}

func (r *reader) test(off int, s string) error {
	if r.unit == 0 {
		return r.fault(off, "a line such as P  UNITS CUST 0 must come first: "+doExport, "the netlist does not say its unit")
	}
	c := &record{r: r, off: off, s: s}
	p := panel.NetPoint{Net: c.text(colNet), Refdes: c.text(colRefdes), Pin: c.text(colPin), Mask: -1}
	if s[0] == '0' && len(r.out.Points) > 0 { // more on the point before
		last := r.out.Points[len(r.out.Points)-1]
		if p.Net == "" {
			p.Net = last.Net
		}
		if p.Refdes == "" {
			p.Refdes, p.Pin, p.Via = last.Refdes, last.Pin, last.Via
		}
	}
	if p.Net == none {
		p.Net = ""
	}
	if p.Refdes == via {
		p.Refdes, p.Via = "", true
	}
	if d, ok := c.number(colDrill, 'D', false); ok {
		p.Drill = geom.Length(d) * r.unit
		p.Plated = s[1] != '6' && len(s) > colPlated && s[colPlated] == 'P'
	}
	if a, ok := c.number(colAccess, 'A', false); ok {
		p.Access = int(a)
	}
	x, okX := c.number(colX, 'X', true)
	y, okY := c.number(colY, 'Y', true)
	if c.err == nil && !(okX && okY) {
		return r.fault(off, "the file may have been cut off: "+doExport, "this test record has no place: X belongs in column %d, Y in column %d", colX[0], colY[0])
	}
	p.At = geom.Pt(geom.Length(x)*r.unit, geom.Length(y)*r.unit)
	w, _ := c.number(colWidth, 'X', false)
	h, _ := c.number(colHeight, 'Y', false)
	p.Width, p.Height = geom.Length(w)*r.unit, geom.Length(h)*r.unit
	turn, _ := c.number(colTurn, 'R', false)
	mask := colMask
	if len(s) > mask[0]-2 && s[mask[0]-2] == 'S' { // some writers leave the blank out
		mask[0], mask[1] = mask[0]-1, mask[1]-1
	}
	if m, ok := c.number(mask, 'S', false); ok {
		p.Mask = int(m)
	}
	if c.err != nil {
		return c.err
	}
	if turn != 0 && r.radians {
		return r.fault(off+colTurn[0], "export the netlist in millimetres (CUST 1) or inches with degrees (CUST 0)", "turns in radians are not supported")
	}
	p.Turn = (geom.Angle(turn) * geom.Degree).Normal()
	if !p.At.Within() {
		return r.fault(off+colX[0]-1, "check the unit", "the point lies more than %v from the origin", geom.Limit)
	}
	r.out.Points = append(r.out.Points, p)
	return nil
}
