package xnc

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Dialect is how slots are written.
type Dialect string

// The dialects. Holes are the same in both.
const (
	// Rout cuts slots as the XNC format has it: G00, M15, G01 to G03, M16.
	Rout Dialect = "rout"
	// Nibbled writes slots as rows of overlapping holes, G85, which the XNC format does not have and
	// older machines and viewers do. It has no arcs.
	Nibbled Dialect = "g85"
)

// Header is what stands at the head of a file.
type Header struct {
	Attributes artwork.Attributes // file attributes, .FileFunction first among equals
	Comments   []string           // one line each
	InOrder    bool               // slots stand in the order of the pieces and their drillings, not tool by tool
}

// Piece is a drilling and where it goes.
type Piece struct {
	Drilling *artwork.Drilling
	Place    geom.Transform
}

// Write writes the pieces into one file, in millimetres. Tools of equal diameter, plating and
// attributes become one; they are numbered from 1 by diameter. First come the holes, tool by tool,
// then the slots; those of one tool stand in the order of the pieces and of their drillings.
//
// Arcs of more than 120° are cut into equal parts, because the format gives an arc by its radius;
// read back, the centre of an arc lies within 3 nm of what was written. Everything else is exact.
func Write(w io.Writer, head Header, pieces []Piece, d Dialect) error {
	if d != Rout && d != Nibbled {
		return fmt.Errorf("there is no drill dialect %q; the dialects are %q and %q", d, Rout, Nibbled)
	}
	e := &emitter{w: bufio.NewWriter(w), dialect: d, plating: platingOf(head.Attributes.Get(".FileFunction"))}
	e.fixed = e.plating != artwork.PlatingUnknown
	tools, err := e.merge(pieces)
	if err != nil {
		return err
	}
	if err := e.head(head, tools); err != nil {
		return err
	}
	// All holes come before any slot: some readers know rout mode, but not the way back from it.
	for i, t := range tools {
		for _, w := range t.work {
			if err := e.holes(i+1, w); err != nil {
				return err
			}
		}
	}
	if head.InOrder {
		if err := e.inOrder(pieces, tools); err != nil {
			return err
		}
	} else {
		for i, t := range tools {
			for _, w := range t.work {
				if err := e.slots(i+1, w); err != nil {
					return err
				}
			}
		}
	}
	e.line("M30")
	return e.w.Flush()
}

type emitter struct {
	w       *bufio.Writer
	dialect Dialect
	plating artwork.Plating // of the file, by its function
	fixed   bool
	chosen  int    // the tool in the spindle
	object  string // the object attributes in force, by key
}

// merged is a tool of the file that is written.
type merged struct {
	diameter geom.Length
	plating  artwork.Plating
	attrs    artwork.Attributes
	key      string
	work     []work
}

// work is what one piece does with a merged tool.
type work struct {
	piece Piece
	tool  int32
}

func (e *emitter) merge(pieces []Piece) ([]*merged, error) {
	var tools []*merged
	index := map[string]*merged{}
	for _, p := range pieces {
		used := make([]bool, len(p.Drilling.Tools))
		for _, h := range p.Drilling.Holes {
			used[h.Tool] = true
		}
		for _, s := range p.Drilling.Routs {
			used[s.Tool] = true
		}
		for i, t := range p.Drilling.Tools {
			if !used[i] {
				continue
			}
			if t.Diameter <= 0 {
				return nil, fmt.Errorf("tool %d has no diameter", t.Number)
			}
			m := &merged{diameter: t.Diameter, plating: t.Plating}
			if m.plating == artwork.PlatingUnknown {
				m.plating = p.Drilling.Plating
			}
			if int(t.Set) < len(p.Drilling.Sets) {
				m.attrs = p.Drilling.Sets[t.Set]
			}
			if e.fixed {
				if m.plating != artwork.PlatingUnknown && m.plating != e.plating {
					return nil, fmt.Errorf("tool %d, %v, is %v, but the file's function says %v", t.Number, t.Diameter, m.plating, e.plating)
				}
				m.plating = e.plating
			}
			m.key = fmt.Sprintf("%020d %d %s", m.diameter, m.plating, key(m.attrs))
			if old := index[m.key]; old != nil {
				m = old
			} else {
				index[m.key] = m
				tools = append(tools, m)
			}
			m.work = append(m.work, work{p, int32(i)})
		}
	}
	slices.SortStableFunc(tools, func(a, b *merged) int { return cmp.Compare(a.key, b.key) })
	return tools, nil
}

func (e *emitter) line(s string) {
	e.w.WriteString(s) // an error stays with the writer and comes out of Flush
	e.w.WriteByte('\n')
}

func (e *emitter) attribute(command string, a artwork.Attribute) error {
	for _, c := range a.Name {
		if c <= ' ' || c > '~' || strings.ContainsRune(`,;*%\`, c) {
			return fmt.Errorf("the attribute name %q cannot be written", a.Name)
		}
	}
	if a.Name == "" {
		return errors.New("an attribute has no name")
	}
	var b strings.Builder
	b.WriteString("; #@! " + command + a.Name)
	for _, v := range a.Values {
		b.WriteString("," + escape(v))
	}
	e.line(b.String())
	return nil
}

func (e *emitter) head(h Header, tools []*merged) error {
	e.line("M48")
	for _, a := range h.Attributes {
		if err := e.attribute("TF", a); err != nil {
			return err
		}
	}
	for _, c := range h.Comments {
		if strings.ContainsFunc(c, func(r rune) bool { return r < ' ' || r > '~' }) || strings.HasPrefix(strings.TrimSpace(c), "#@!") {
			return fmt.Errorf("the comment %q cannot be written: it must be one line of plain letters, and #@! at its beginning marks an attribute", c)
		}
		e.line("; " + c)
	}
	e.line("METRIC")
	said := artwork.PlatingUnknown
	var attrs artwork.Attributes
	for i, t := range tools {
		if own := platingOf(t.attrs.Get(".AperFunction")); !e.fixed && own == artwork.PlatingUnknown && t.plating != said {
			said = t.plating
			e.line("; TYPE=" + [...]string{"UNKNOWN", "PLATED", "NON_PLATED"}[said])
		}
		if key(attrs) != key(t.attrs) {
			for _, a := range attrs {
				if t.attrs.Get(a.Name) == nil {
					e.line("; #@! TD")
					attrs = nil
					break
				}
			}
			for _, a := range t.attrs {
				if err := e.attribute("TA", a); err != nil {
					return err
				}
			}
			attrs = t.attrs
		}
		e.line("T" + strconv.Itoa(i+1) + "C" + decimal(t.diameter))
	}
	e.line("%")
	e.line("G05")
	return nil
}

// choose puts a tool into the spindle unless it is there already.
func (e *emitter) choose(tool int) {
	if e.chosen != tool {
		e.chosen = tool
		e.line("T" + strconv.Itoa(tool))
	}
}

func (e *emitter) holes(tool int, w work) error {
	d := w.piece.Drilling
	for _, h := range d.Holes {
		if h.Tool != w.tool {
			continue
		}
		e.choose(tool)
		if err := e.objectSet(d, h.Set); err != nil {
			return err
		}
		p, err := e.place(w.piece.Place.Apply(h.At))
		if err != nil {
			return err
		}
		e.line(p)
	}
	return nil
}

func (e *emitter) slots(tool int, w work) error {
	d := w.piece.Drilling
	for _, s := range d.Routs {
		if s.Tool != w.tool || len(s.Path) == 0 {
			continue
		}
		e.choose(tool)
		if err := e.objectSet(d, s.Set); err != nil {
			return err
		}
		if err := e.slot(w.piece.Place.Path(s.Path)); err != nil {
			return err
		}
	}
	return nil
}

// inOrder writes slots as they come, with whatever tool each needs.
func (e *emitter) inOrder(pieces []Piece, tools []*merged) error {
	for _, p := range pieces {
		number := map[int32]int{}
		for i, t := range tools {
			for _, w := range t.work {
				if w.piece.Drilling == p.Drilling {
					number[w.tool] = i + 1
				}
			}
		}
		for _, s := range p.Drilling.Routs {
			if len(s.Path) == 0 {
				continue
			}
			e.choose(number[s.Tool])
			if err := e.objectSet(p.Drilling, s.Set); err != nil {
				return err
			}
			if err := e.slot(p.Place.Path(s.Path)); err != nil {
				return err
			}
		}
	}
	return nil
}

// objectSet brings the object attributes in force to those of the next hole or slot.
func (e *emitter) objectSet(d *artwork.Drilling, set int32) error {
	var attrs artwork.Attributes
	if int(set) < len(d.Sets) {
		attrs = d.Sets[set]
	}
	k := key(attrs)
	if k == e.object {
		return nil
	}
	if e.object != "" {
		e.line("; #@! TD")
	}
	for _, a := range attrs {
		if err := e.attribute("TO", a); err != nil {
			return err
		}
	}
	e.object = k
	return nil
}

func (e *emitter) place(p geom.Point) (string, error) {
	if !p.Within() {
		return "", fmt.Errorf("the place %v mm lies more than %v from the origin", p, geom.Limit)
	}
	return "X" + decimal(p.X) + "Y" + decimal(p.Y), nil
}

func (e *emitter) slot(path geom.Path) error {
	start, err := e.place(path[0].From)
	if err != nil {
		return err
	}
	if e.dialect == Rout {
		e.line("G00" + start)
		e.line("M15")
	}
	for _, edge := range path {
		to, err := e.place(edge.To)
		if err != nil {
			return err
		}
		switch {
		case e.dialect == Nibbled && edge.Sense != geom.Straight:
			return fmt.Errorf("the slot from %v to %v mm has an arc, which rows of holes (G85) cannot say: write it with slots = %q", edge.From, edge.To, Rout)
		case e.dialect == Nibbled:
			from, err := e.place(edge.From)
			if err != nil {
				return err
			}
			e.line(from + "G85" + to)
		case edge.Sense == geom.Straight:
			e.line("G01" + to)
		default:
			if err := e.arc(edge); err != nil {
				return err
			}
		}
	}
	if e.dialect == Rout {
		e.line("M16")
		e.line("G05")
	}
	return nil
}

// widest is the sweep up to which a centre found from a rounded radius is still good to a nanometre;
// the slack of a hundredth keeps a third of a circle whole when it is written again.
const widest = 2 * math.Pi / 3

func (e *emitter) arc(edge geom.Edge) error {
	_, sweep := edge.Angles()
	n := max(1, int(math.Ceil(math.Abs(sweep)/widest-0.01)))
	code := "G03"
	if edge.Sense == geom.Clockwise {
		code = "G02"
	}
	at := edge.From
	for i := range n {
		to := edge.At(float64(i+1) / float64(n))
		if i == n-1 {
			to = edge.To
		}
		if to == at {
			continue
		}
		p, err := e.place(to)
		if err != nil {
			return err
		}
		radius := geom.Round((at.Distance(edge.Center) + to.Distance(edge.Center)) / 2)
		if radius == 0 {
			radius = 1
		}
		e.line(code + p + "A" + decimal(radius))
		at = to
	}
	return nil
}

// decimal writes a length in millimetres, exactly, with at least three decimals: a reader must not
// take it for a number with an implied point.
func decimal(l geom.Length) string {
	s := l.Decimal()
	whole, frac, _ := strings.Cut(s, ".")
	for len(frac) < 3 {
		frac += "0"
	}
	return whole + "." + frac
}
