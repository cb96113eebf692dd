package gerber

import (
	"bytes"
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// macro is where the body of an aperture macro stands in the file. It is worked out anew for every
// aperture that uses it, which is also when its mistakes come to light.
type macro struct {
	from, to int
}

// macro reads AM: a name, then parts up to the percent sign.
func (p *parser) macro(at int, c *cursor) error {
	name := trimmed(c.data[c.i:c.end])
	if name == "" {
		return p.fault(at, "aperture macro without a name", "a macro begins with %AMname*")
	}
	n := bytes.IndexByte(p.data[p.i:], '%')
	if n < 0 {
		return p.cutShort(at)
	}
	p.macros[name] = macro{p.i, p.i + n}
	p.i += n
	return nil
}

// fromMacro works out an aperture from its macro and the values given to it.
func (p *parser) fromMacro(at, d int, name string, c *cursor) (artwork.Aperture, error) {
	a := artwork.Aperture{Shape: artwork.Macro, Name: printable([]byte(name))}
	m, ok := p.macros[name]
	if !ok {
		return a, p.fault(at, fmt.Sprintf("aperture D%d uses the macro %s, which is not defined", d, quoted([]byte(name))),
			"define it with %AM...*% above this place, or export the file again")
	}
	if err := p.needUnit(at); err != nil {
		return a, err
	}
	clear(p.vars)
	p.vars = p.vars[:0]
	for k := 1; !c.done(); k++ {
		from := c.i
		n, ok := c.decimal()
		if !ok || !c.take('X') && !c.done() {
			return a, p.fault(min(from, c.end), "a number was expected here", "values given to a macro are separated by X; export the file again")
		}
		if !p.setVar(k, n) {
			return a, p.fault(from, fmt.Sprintf("more than %d values given to a macro", maxVars), "export the file again; this place is damaged")
		}
	}
	if p.work += m.to - m.from; p.work > p.opt.MaxMacros {
		return a, p.fault(at, "aperture macros too large altogether", "export the file again with simpler apertures or with regions")
	}
	for i := m.from; i < m.to; {
		end := i + bytes.IndexByte(p.data[i:m.to], '*')
		if end < i {
			rest := cursor{p.data, i, m.to}
			if rest.done() {
				break
			}
			return a, p.fault(rest.i, "macro part without its end (*)", "export the file again; this place is damaged")
		}
		part := cursor{p.data, i, end}
		i = end + 1
		if part.done() {
			continue
		}
		if part.peek() == '0' && (part.i+1 >= end || p.data[part.i+1] < '0' || p.data[part.i+1] > '9') && p.data[part.i+1] != '.' {
			continue // a comment
		}
		if err := p.macroPart(&a, &part); err != nil {
			return a, err
		}
	}
	return canonical(a), nil
}

const maxVars = 1024

func (p *parser) setVar(k int, n number) bool {
	if k < 1 || k > maxVars {
		return false
	}
	for len(p.vars) <= k {
		p.vars = append(p.vars, whole(0))
	}
	p.vars[k] = n
	return true
}

// macroPart works out an assignment or a primitive.
func (p *parser) macroPart(a *artwork.Aperture, c *cursor) error {
	c.peek()
	at := c.i
	if c.peek() == '$' {
		c.i++
		k, ok := c.natural()
		if ok && c.take('=') {
			n, err := p.expression(c, 0)
			if err != nil {
				return err
			}
			if !c.done() {
				return p.fault(c.i, "unexpected text in a macro", "export the file again; this place is damaged")
			}
			if !p.setVar(k, n) {
				return p.fault(at, fmt.Sprintf("macro variable outside $1 to $%d", maxVars), "export the file again; this place is damaged")
			}
			return nil
		}
		c.i = at
	}
	p.args = p.args[:0]
	for {
		n, err := p.expression(c, 0)
		if err != nil {
			return err
		}
		p.args = append(p.args, n)
		if c.done() {
			break
		}
		if !c.take(',') {
			return p.fault(c.i, "unexpected text in a macro", "values in a macro are separated by commas; export the file again")
		}
		if c.done() { // some systems end every part with a comma
			break
		}
	}
	return p.primitive(a, at)
}

// expression is terms added and subtracted; depth counts open brackets.
func (p *parser) expression(c *cursor, depth int) (number, error) {
	n, err := p.term(c, depth)
	for err == nil {
		var m number
		switch {
		case c.take('+'):
			m, err = p.term(c, depth)
			n = n.add(m)
		case c.take('-'):
			m, err = p.term(c, depth)
			n = n.add(m.neg())
		default:
			return p.finite(c, n)
		}
	}
	return n, err
}

func (p *parser) finite(c *cursor, n number) (number, error) {
	if f := n.float(); math.IsNaN(f) || math.IsInf(f, 0) {
		return n, p.fault(c.i, "macro value too large to work out", "export the file again; this place is damaged")
	}
	return n, nil
}

func (p *parser) term(c *cursor, depth int) (number, error) {
	n, err := p.factor(c, depth)
	for err == nil {
		var m number
		switch {
		case c.take('x') || c.take('X'):
			m, err = p.factor(c, depth)
			n = n.times(m)
		case c.take('/'):
			at := c.i - 1
			if m, err = p.factor(c, depth); err != nil {
				return n, err
			}
			if m.zero() {
				return n, p.fault(at, "macro divides by zero", "check the values given to the macro, or export the file again")
			}
			n = n.over(m)
		default:
			return n, nil
		}
	}
	return n, err
}

func (p *parser) factor(c *cursor, depth int) (number, error) {
	neg := false
	for c.peek() == '-' || c.peek() == '+' {
		neg = neg != (c.peek() == '-')
		c.i++
	}
	var n number
	switch {
	case c.take('('):
		if depth >= p.opt.MaxNesting {
			return n, p.fault(c.i-1, fmt.Sprintf("macro expression with more than %d brackets inside one another", p.opt.MaxNesting), "export the file again; this place is damaged")
		}
		var err error
		if n, err = p.expression(c, depth+1); err != nil {
			return n, err
		}
		if !c.take(')') {
			return n, p.fault(c.i, "macro expression without its closing bracket", "export the file again; this place is damaged")
		}
	case c.take('$'):
		at := c.i - 1
		k, ok := c.natural()
		if !ok || k < 1 || k > maxVars {
			return n, p.fault(at, fmt.Sprintf("macro variable outside $1 to $%d", maxVars), "export the file again; this place is damaged")
		}
		n = whole(0) // what was never set is zero
		if k < len(p.vars) {
			n = p.vars[k]
		}
	default:
		at := c.i
		var ok bool
		if n, ok = c.unsigned(); !ok {
			return n, p.fault(at, "a value was expected here in a macro", "export the file again; this place is damaged")
		}
	}
	if neg {
		n = n.neg()
	}
	return n, nil
}

// primitive makes a macro primitive of the values in p.args.
func (p *parser) primitive(a *artwork.Aperture, at int) error {
	code, _ := p.args[0].integer()
	if !p.args[0].exact() {
		code = -1
	}
	v := p.args[1:]
	var failed error
	fail := func(what, do string) {
		if failed == nil {
			failed = p.fault(at, what, do)
		}
	}
	length := func(i int) geom.Length {
		if i >= len(v) || failed != nil {
			return 0
		}
		l, err := p.length(at, v[i])
		if err != nil {
			failed = err
		}
		return l
	}
	positive := func(i int) geom.Length {
		l := length(i)
		if l < 0 {
			fail("macro primitive with a negative size", "check the values given to the macro, or export the file again")
		}
		return l
	}
	count := func(i, least, most int, what string) int {
		if i >= len(v) {
			return least
		}
		n, ok := v[i].integer()
		if !ok || n < least || n > most {
			fail(fmt.Sprintf("macro primitive whose number of %s is outside %d to %d", what, least, most), "check the values given to the macro, or export the file again")
			return least
		}
		return n
	}
	point := func(i int) geom.Point { return geom.Point{X: length(i), Y: length(i + 1)} }
	angle := func(i int) geom.Angle {
		if i >= len(v) {
			return 0
		}
		n, ok := v[i].scaled(int64(geom.Degree), 1e6*int64(geom.FullTurn))
		if !ok {
			fail("macro primitive turned by an absurd angle", "check the values given to the macro, or export the file again")
		}
		return geom.Angle(n).Normal()
	}
	need := func(name string, n int) bool {
		if len(v) < n {
			fail(fmt.Sprintf("macro primitive %d (%s) with %d of its %d values", code, name, len(v), n), "export the file again; this place is damaged")
			return false
		}
		return true
	}
	var q artwork.Primitive
	exposed := true
	switch code {
	case 1:
		if need("circle", 4) {
			q = artwork.Primitive{Kind: artwork.PrimCircle, Size: [5]geom.Length{positive(1)}, Points: []geom.Point{point(2)}, Turn: angle(4)}
		}
	case 2, 20:
		if code == 2 {
			p.note(oldMacroLine, at)
		}
		if need("vector line", 6) {
			q = artwork.Primitive{Kind: artwork.PrimVectorLine, Size: [5]geom.Length{positive(1)}, Points: []geom.Point{point(2), point(4)}, Turn: angle(6)}
		}
	case 21:
		if need("centre line", 5) {
			q = artwork.Primitive{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{positive(1), positive(2)}, Points: []geom.Point{point(3)}, Turn: angle(5)}
		}
	case 22:
		p.note(oldMacroLowerLeft, at)
		if need("lower left line", 5) {
			half := number{num: 1, den: 2}
			w, h := positive(1), positive(2)
			v[3], v[4] = v[3].add(v[1].times(half)), v[4].add(v[2].times(half))
			q = artwork.Primitive{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{w, h}, Points: []geom.Point{point(3)}, Turn: angle(5)}
		}
	case 4:
		if need("outline", 4) {
			n := count(1, 1, 10_000_000, "vertices")
			if !need("outline", 2*n+4) {
				break
			}
			q = artwork.Primitive{Kind: artwork.PrimOutline, Turn: angle(2*n + 4), Points: make([]geom.Point, n+1, n+2)}
			for k := range q.Points {
				q.Points[k] = point(2 + 2*k)
			}
			if q.Points[0] != q.Points[n] {
				p.note(warnOutlineOpen, at)
				q.Points = append(q.Points, q.Points[0])
			}
			if extra := len(v) - 2*n - 5; extra > 0 {
				fail(fmt.Sprintf("macro outline with %d values too many for its %d vertices", extra, n), "its number of vertices does not count the first point, which is repeated at the end; export the file again")
			}
		}
	case 5:
		if need("polygon", 5) {
			q = artwork.Primitive{Kind: artwork.PrimPolygon, Vertices: count(1, 3, 12, "vertices"), Points: []geom.Point{point(2)}, Size: [5]geom.Length{positive(4)}, Turn: angle(5)}
		}
	case 6:
		exposed = false
		if need("moiré", 8) {
			q = artwork.Primitive{Kind: artwork.PrimMoire, Points: []geom.Point{point(0)}, Vertices: count(5, 0, 1000, "rings"), Turn: angle(8),
				Size: [5]geom.Length{positive(2), positive(3), positive(4), positive(6), positive(7)}}
		}
	case 7:
		exposed = false
		if need("thermal", 5) {
			q = artwork.Primitive{Kind: artwork.PrimThermal, Points: []geom.Point{point(0)}, Turn: angle(5), Size: [5]geom.Length{positive(2), positive(3), positive(4)}}
		}
	default:
		fail(fmt.Sprintf("unknown macro primitive %g", p.args[0].float()), "the primitives are 0, 1, 4, 5, 6, 7, 20 and 21, and 2 and 22 in old files")
	}
	if exposed && failed == nil {
		switch on, ok := v[0].integer(); {
		case ok && on == 0:
			q.Off = true
		case !ok || on != 1:
			fail("macro primitive whose exposure is neither 0 nor 1", "export the file again; other exposures have no agreed meaning")
		}
	}
	if failed != nil {
		return failed
	}
	if most := [...]int{1: 5, 2: 7, 5: 6, 6: 9, 7: 6, 20: 7, 21: 6, 22: 6}[code]; code != 4 && len(v) > most {
		p.note(warnManyValues, at)
	}
	a.Primitives = append(a.Primitives, q)
	return nil
}
