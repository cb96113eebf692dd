package gerber

import (
	"bytes"
	"fmt"

	"panelwright/pipeline/geom"
)

// extended reads what stands between two percent signs: one command, in old files several.
func (p *parser) extended() error {
	open := p.i
	p.i++
	for {
		for p.i < len(p.data) && p.data[p.i] <= ' ' {
			p.i++
		}
		if p.i >= len(p.data) {
			return p.cutShort(open)
		}
		if p.data[p.i] == '%' {
			p.i++
			return nil
		}
		if p.data[p.i] == '*' {
			p.i++
			continue
		}
		if err := p.command(open); err != nil {
			return err
		}
	}
}

// command reads one extended command up to its *.
func (p *parser) command(open int) error {
	at := p.i
	n := bytes.IndexByte(p.data[at:], '*')
	if n < 0 {
		return p.cutShort(at)
	}
	end := at + n
	c := &cursor{p.data, at, end}
	if bad := bytes.IndexByte(p.data[at:end], '%'); bad >= 0 {
		return p.fault(at+bad, "command without its end (*) before the percent sign", "export the file again; this place is damaged")
	}
	a := c.peek()
	c.i++
	b := c.peek()
	c.i++
	if b == 0 {
		return p.unknownCommand(at, end)
	}
	p.i = end + 1
	p.rep.Commands++
	switch string([]byte{a, b}) {
	case "AD":
		return p.define(at, c)
	case "AM":
		return p.macro(at, c)
	case "TF", "TA", "TO", "TD":
		return p.attribute(at, b, p.data[c.i:end])
	case "LP":
		return p.polarity(at, c)
	case "LM", "LR", "LS":
		return p.orientation(at, b, c)
	case "SR":
		return p.repeat(at, c)
	case "AB":
		return p.block(at, c)
	case "FS":
		return p.formatStatement(at, c)
	case "MO":
		switch {
		case c.word("MM"):
			p.setUnit(UnitMM, at)
		case c.word("IN"):
			p.setUnit(UnitInch, at)
		default:
			return p.fault(at, "unknown unit", "%MOMM*% or %MOIN*% is expected here")
		}
		return nil
	case "IN":
		p.note(oldImageName, at)
		return nil
	case "LN":
		p.note(oldLayerName, at)
		return p.closeKnockout()
	case "PF":
		p.note(oldPlotFilm, at)
		return nil
	case "IP":
		return p.imagePolarity(at, c)
	case "IR", "OF", "IO", "SF", "MI", "AS", "IJ":
		return p.imageStatement(at, a, b, c)
	case "KO":
		return p.knockout(at, c)
	case "IF":
		return p.fault(at, "the file includes another file (IF)", "export the layer as one file")
	}
	return p.unknownCommand(at, end)
}

func (p *parser) unknownCommand(at, end int) error {
	return p.fault(at, fmt.Sprintf("unknown command %s", quoted(p.data[at:min(end, at+2)])),
		"it may change what the layer means, so it cannot be skipped; export the file in the current format (X2)")
}

func (p *parser) polarity(at int, c *cursor) error {
	if p.inRegion {
		return p.fault(at, "polarity changed inside a region", "set it before G36; export the file again")
	}
	if err := p.closeKnockout(); err != nil {
		return err
	}
	switch {
	case c.take('D') && c.done():
		p.clear = false
	case c.take('C') && c.done():
		p.clear = true
	default:
		return p.fault(at, "unknown polarity", "%LPD*% (dark) or %LPC*% (clear) is expected here")
	}
	return nil
}

// formatStatement reads FS in all its forms: L, T or neither; A or I; N, G, D, M and Z extras.
func (p *parser) formatStatement(at int, c *cursor) error {
	f := NumberFormat{Zeros: AllKept, XWhole: -1, YWhole: -1}
	bad := func() error {
		return p.fault(at, "number format that cannot be read", "a format looks like %FSLAX46Y46*%: leading zeros left out, absolute, 4 digits before and 6 after the point")
	}
	digits := func() (int, int, bool) {
		a, b := c.peek(), byte(0)
		c.i++
		b = c.peek()
		c.i++
		ok := a >= '0' && a <= '9' && b >= '0' && b <= '9'
		return int(a) - '0', int(b) - '0', ok
	}
	for !c.done() {
		b := c.peek()
		c.i++
		ok := true
		switch b {
		case 'L':
			f.Zeros = LeadingOmitted
		case 'T':
			f.Zeros = TrailingOmitted
		case 'A':
		case 'I':
			f.Incremental = true
		case 'X':
			f.XWhole, f.XPart, ok = digits()
		case 'Y':
			f.YWhole, f.YPart, ok = digits()
		case 'N', 'G', 'D', 'M', 'Z':
			p.note(oldFormatExtra, at)
			c.natural()
		default:
			ok = false
		}
		if !ok {
			return bad()
		}
	}
	if f.XWhole < 0 || f.YWhole < 0 {
		return bad()
	}
	switch f.Zeros {
	case TrailingOmitted:
		p.note(oldTrailing, at)
	case AllKept:
		p.note(oldBothZeros, at)
	}
	if f.Incremental {
		p.note(oldNotation, at)
	}
	if p.hasFS {
		p.note(warnFormatTwice, at)
	}
	p.format, p.hasFS, p.ready = f, true, false
	return nil
}

// size reads a length written with a decimal point, in the file's unit.
func (p *parser) size(at int, c *cursor) (geom.Length, error) {
	if err := p.needUnit(at); err != nil {
		return 0, err
	}
	from := c.i
	n, ok := c.decimal()
	if !ok {
		return 0, p.fault(min(from, c.end), "a number was expected here", "export the file again; this place is damaged")
	}
	return p.length(from, n)
}

// length gives a number of the file's units in nanometres.
func (p *parser) length(at int, n number) (geom.Length, error) {
	v, ok := n.scaled(int64(p.unit.length()), 2*int64(geom.Limit))
	if !ok {
		return 0, p.fault(at, "length beyond 2 m", "check the unit that the file states, or export it again")
	}
	return geom.Length(v), nil
}
