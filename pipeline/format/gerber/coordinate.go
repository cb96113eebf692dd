package gerber

import (
	"bytes"
	"fmt"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// axis turns the digits of one axis into nanometres: raw × mul / div.
type axis struct {
	mul, div int64
	most     int64 // the largest raw value within the model's limit
	digits   int   // whole and part together, for files that leave trailing zeros out
}

// prepare makes sure that unit and number format are known before the first number that needs them.
func (p *parser) prepare(at int) error {
	if err := p.needUnit(at); err != nil {
		return err
	}
	if !p.hasFS {
		if p.opt.DefaultFormat == nil {
			return p.lack(format.LacksFormat, at, "coordinates before any number format (FS)", "the file must begin with its format, for example %FSLAX46Y46*%")
		}
		p.format, p.hasFS = *p.opt.DefaultFormat, true
		p.note(warnDefaultFormat, at)
	}
	f := p.format
	if min(f.XWhole, f.XPart, f.YWhole, f.YPart) < 0 || max(f.XWhole, f.XPart, f.YWhole, f.YPart) > 7 ||
		p.unit == UnitMM && max(f.XPart, f.YPart) > 6 {
		return p.fault(at, fmt.Sprintf("number format %d.%d, %d.%d cannot be read", f.XWhole, f.XPart, f.YWhole, f.YPart),
			"up to 6 digits after the point can be read in millimetres, up to 7 in inches; export again with fewer")
	}
	p.axes[0] = makeAxis(p.unit, f.XWhole, f.XPart)
	p.axes[1] = makeAxis(p.unit, f.YWhole, f.YPart)
	p.arcSlack = p.opt.ArcTolerance
	if p.arcSlack == 0 {
		step := max(p.axes[0].mul/p.axes[0].div, p.axes[1].mul/p.axes[1].div)
		p.arcSlack = baseArc + 2*geom.Length(step)
	}
	p.ready = true
	return nil
}

// lack is a fault that whoever asked for the file can mend by saying what it leaves unsaid.
func (p *parser) lack(what format.Lack, at int, text, do string) error {
	f := format.At(p.name, p.data, at, text, do)
	f.Lacks = what
	return f
}

func makeAxis(u Unit, whole, part int) axis {
	a := axis{mul: int64(u.length()), div: 1, digits: whole + part}
	for range part {
		if a.mul%10 == 0 {
			a.mul /= 10
		} else {
			a.div *= 10
		}
	}
	a.most = int64(geom.Limit) * a.div / a.mul
	return a
}

// needUnit settles the unit, looking ahead for it when the file has used a number too early.
func (p *parser) needUnit(at int) error {
	if p.unit != UnitUnset {
		return nil
	}
	if u := unitAhead(p.data[p.i:]); u != UnitUnset {
		p.unit = u
		p.note(warnLateUnit, at)
		return nil
	}
	if p.opt.DefaultUnit == UnitUnset {
		return p.lack(format.LacksUnit, at, "a number before any unit (MO)", "the file must state its unit, %MOMM*% or %MOIN*%")
	}
	p.unit = p.opt.DefaultUnit
	p.note(warnDefaultUnit, at)
	return nil
}

// unitAhead gives the first unit that is stated in what follows; what comments and names say is none.
func unitAhead(d []byte) Unit {
	for len(d) > 0 {
		n := bytes.IndexByte(d, '*')
		if n < 0 {
			return UnitUnset
		}
		c := bytes.TrimLeft(d[:n], "% \t\r\n")
		extended := len(c) > 1 && c[0] >= 'A' && c[0] <= 'Z' && c[1] >= 'A' && c[1] <= 'Z'
		switch {
		case bytes.Equal(c, []byte("MOMM")):
			return UnitMM
		case bytes.Equal(c, []byte("MOIN")):
			return UnitInch
		case extended:
		case isComment(c):
		case bytes.Contains(c, []byte("G71")):
			return UnitMM
		case bytes.Contains(c, []byte("G70")):
			return UnitInch
		}
		d = d[n+1:]
	}
	return UnitUnset
}

// isComment tells whether a command is G04, or G4 as old files have it.
func isComment(c []byte) bool {
	rest, ok := bytes.CutPrefix(c, []byte("G"))
	if !ok {
		return false
	}
	rest, ok = bytes.CutPrefix(bytes.TrimLeft(rest, "0"), []byte("4"))
	return ok && (len(rest) == 0 || rest[0] < '0' || rest[0] > '9')
}

// setUnit takes a unit statement; a change within the file holds for what follows.
func (p *parser) setUnit(u Unit, at int) {
	if p.unit != UnitUnset && p.unit != u {
		p.note(warnUnitChange, at)
	}
	p.unit, p.ready = u, false
}

// coordinate reads the number at byte i and gives it in nanometres with the place of the byte after
// it. Offsets (I, J) may exceed the limit of coordinates.
func (p *parser) coordinate(i int, a *axis, offset bool) (geom.Length, int, error) {
	d := p.data
	start := i
	neg := false
	for i < len(d) && (d[i] == '-' || d[i] == '+' || d[i] <= ' ') {
		neg = neg != (d[i] == '-')
		i++
	}
	var v int64
	first := i
	for i < len(d) {
		c := d[i] - '0'
		if c > 9 {
			break
		}
		v = v*10 + int64(c)
		i++
	}
	n := i - first
	if i < len(d) && d[i] == '.' {
		return p.pointed(start, offset)
	}
	if n == 0 || n > 18 {
		return p.oddNumber(start, i, n)
	}
	most := a.most
	if offset {
		most *= 1000
	}
	switch p.format.Zeros {
	case AllKept:
		if n < a.digits && v != 0 {
			p.note(warnShortNumber, start)
		}
	case TrailingOmitted:
		if n > a.digits {
			return 0, 0, p.fault(start, fmt.Sprintf("%d digits, where the number format has %d", n, a.digits),
				"zeros at the end are left out in this file, so that it cannot be told where the point is: check the number format (FS), or export the file again")
		}
		for ; n < a.digits; n++ {
			v *= 10
			if v > most {
				break
			}
		}
	}
	if v > most {
		return 0, 0, p.tooFar(start)
	}
	if a.div == 1 {
		v *= a.mul
	} else {
		v = geom.MulDiv(v, a.mul, a.div)
	}
	if neg {
		v = -v
	}
	return geom.Length(v), i, nil
}

// oddNumber is for a number without digits, broken by line ends, or very long.
func (p *parser) oddNumber(start, i, n int) (geom.Length, int, error) {
	if n > 18 {
		return 0, 0, p.tooFar(start)
	}
	return 0, 0, p.fault(start, "a number was expected here", "export the file again; this place is damaged")
}

// pointed reads a coordinate written with a decimal point, which no edition of the format allows
// but some files have.
func (p *parser) pointed(start int, offset bool) (geom.Length, int, error) {
	c := cursor{p.data, start, min(len(p.data), start+64)}
	n, ok := c.decimal()
	limit := int64(geom.Limit)
	if offset {
		limit *= 1000
	}
	v, near := n.scaled(int64(p.unit.length()), limit)
	if !ok {
		return p.oddNumber(start, start, 0)
	}
	if !near {
		return 0, 0, p.tooFar(start)
	}
	p.note(warnDecimalPoint, start)
	return geom.Length(v), c.i, nil
}

func (p *parser) tooFar(at int) error {
	return p.fault(at, "coordinate beyond 1 m from the origin",
		"no board is that large: check the number format and the unit that the file states, or export it again")
}
