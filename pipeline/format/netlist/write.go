package netlist

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// Write writes the points in the order given, places in thousandths of a millimetre (CUST 1), or in
// ten-thousandths of an inch (CUST 0) when a hole or feature is wider than the 9.999 mm that the
// former can say. Sizes beyond the format's four digits are written as the largest there is.
//
// Nets of more than 14 characters, or of others than printable ASCII, are written as aliases (NNAME);
// reference designators are cut to 6 characters and pins to 4, which only label a point.
func Write(w io.Writer, title string, points []Point) error {
	if strings.ContainsFunc(title, control) {
		return fmt.Errorf("the title %q is more than one line", title)
	}
	unit, code := geom.MM/1000, 1
	for _, p := range points {
		if largest := 9999 * unit; code == 1 && max(p.Drill, p.Width, p.Height) > largest+unit/2 {
			unit, code = geom.Inch/10_000, 0
		}
	}
	b := bufio.NewWriter(w)
	if title != "" {
		fmt.Fprintf(b, "C  %s\n", title)
	}
	fmt.Fprintf(b, "P  UNITS CUST %d\n", code)
	alias := map[string]string{}
	for _, p := range points {
		if strings.ContainsFunc(p.Net, control) || strings.TrimSpace(p.Net) != p.Net {
			return fmt.Errorf("the net name %q cannot be written", p.Net)
		}
		if plain(p.Net) || alias[p.Net] != "" {
			continue
		}
		alias[p.Net] = "NNAME" + strconv.Itoa(len(alias)+1)
		fmt.Fprintf(b, "P  %s  %s\n", alias[p.Net], p.Net)
	}
	for _, p := range points {
		s, err := p.record(unit, alias)
		if err != nil {
			return err
		}
		b.WriteString(s)
		b.WriteByte('\n')
	}
	b.WriteString("999\n")
	return b.Flush()
}

func control(r rune) bool { return r < ' ' || r == 0x7f }

func plain(net string) bool {
	if len(net) > colNet[1]-colNet[0] || strings.HasPrefix(net, "NNAME") || net == none {
		return false
	}
	return !strings.ContainsFunc(net, func(r rune) bool { return r <= ' ' || r > '~' })
}

func (p Point) record(unit geom.Length, alias map[string]string) (string, error) {
	net := p.Net
	if a := alias[net]; a != "" {
		net = a
	}
	if net == "" {
		net = none
	}
	refdes := p.Refdes
	if p.Via {
		refdes = via
	}
	code, hole := "327", "      "
	if p.Drill > 0 {
		code = "317"
		plated := "P"
		if !p.Plated {
			code, plated = "367", "U"
		}
		hole = fmt.Sprintf("D%04d%s", size(p.Drill, unit), plated)
	}
	if !p.At.Within() {
		return "", fmt.Errorf("the test point of net %q at %v mm lies more than %v from the origin", p.Net, p.At, geom.Limit)
	}
	x, y := units(p.At.X, unit), units(p.At.Y, unit)
	if max(x, -x, y, -y) > 999_999 {
		return "", fmt.Errorf("the test point of net %q at %v mm lies beyond the six digits of the netlist", p.Net, p.At)
	}
	dash := "-"
	if p.Pin == "" {
		dash = " "
	}
	turn := (int64(p.Turn.Normal()) + int64(geom.Degree)/2) / int64(geom.Degree) % 360
	s := fmt.Sprintf("%s%-14s   %-6s%s%-4s %sA%02dX%+07dY%+07dX%04dY%04dR%03d", code, net, fit(refdes, 6), dash, fit(p.Pin, 4),
		hole, min(max(p.Access, 0), 99), x, y, size(p.Width, unit), size(p.Height, unit), turn)
	if p.Mask >= 0 {
		s += fmt.Sprintf(" S%d", min(p.Mask, 9))
	}
	return s, nil
}

// fit cuts a label to n characters; others than printable ASCII, and blanks, become underlines.
func fit(s string, n int) string {
	s = strings.Map(func(r rune) rune {
		if r <= ' ' || r > '~' {
			return '_'
		}
		return r
	}, s)
	return s[:min(n, len(s))]
}

func units(l, unit geom.Length) int64 { return geom.MulDiv(int64(l), 1, int64(unit)) }

func size(l, unit geom.Length) int64 { return min(max(units(l, unit), 0), 9999) }
