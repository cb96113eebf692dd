package gerber

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Header is what stands at the top of a file.
type Header struct {
	Attributes artwork.Attributes // of the file, in this order: .FileFunction, .Part, .GenerationSoftware …
	Comments   []string           // each becomes a comment; line breaks begin a new one
}

// Piece is one image and the place at which it is drawn. Quarter turns are exact; any other turn
// rounds to the nearest nanometre.
type Piece struct {
	Image   *artwork.Image
	Place   geom.Transform
	Comment string // stands before its objects; may be empty
}

// Write writes the pieces, one after another, as one X2 layer in millimetres with six decimals.
// Equal arguments give equal bytes. Apertures of equal shape and attributes share a D number, over
// all pieces; mirroring, rotation and scaling of apertures (LM, LR, LS), blocks and step-and-repeat
// are never written. A straight stroke of a rectangle at an odd angle becomes the region that it
// covers. An error says which object of which piece cannot be written; w has then part of a file.
func Write(w io.Writer, head Header, pieces []Piece) error {
	x := &writer{
		w: bufio.NewWriterSize(w, 1<<16), dcodes: map[string]int32{}, bodies: map[string]string{}, taken: map[string]bool{},
		lastX: math.MinInt64,
	}
	for _, pc := range pieces {
		if pc.Image.Negative && len(pieces) > 1 {
			return fmt.Errorf("a negative image cannot share a file with others")
		}
	}
	if err := x.header(head); err != nil {
		return err
	}
	plans := make([][]int32, len(pieces))
	for i, pc := range pieces {
		var err error
		if plans[i], err = x.apertures(pc); err != nil {
			return fmt.Errorf("piece %d: %w", i+1, err)
		}
	}
	if len(pieces) == 1 && pieces[0].Image.Negative {
		x.text("%IPNEG*%\n")
	}
	x.text("%LPD*%\n")
	for i, pc := range pieces {
		if err := x.piece(pc, plans[i]); err != nil {
			return fmt.Errorf("piece %d: %w", i+1, err)
		}
	}
	x.text("M02*\n")
	return x.w.Flush()
}

type writer struct {
	w   *bufio.Writer
	buf []byte // one line

	// Apertures.
	dcodes map[string]int32  // key to D number
	bodies map[string]string // macro body to macro name
	taken  map[string]bool   // macro names, in capitals: some readers do not tell case apart
	key    []byte

	// Graphics state.
	d            int32
	clear        bool
	sense        geom.Sense
	lastX, lastY geom.Length

	// Attributes in force, and which sets of the current image they are.
	apers, objs     artwork.Attributes
	aperSet, objSet int32
}

func (x *writer) text(s string) { x.w.WriteString(s) }

func (x *writer) header(head Header) error {
	x.text("%FSLAX46Y46*%\n%MOMM*%\n")
	for _, a := range head.Attributes {
		if a.Name == "" {
			return fmt.Errorf("a file attribute without a name cannot be written")
		}
		x.attribute('F', a)
	}
	for _, c := range head.Comments {
		x.comment(c)
	}
	x.text("G01*\nG75*\n")
	return nil
}

// comment writes a comment such that nothing in it can be taken for a command or an attribute.
func (x *writer) comment(s string) {
	for _, line := range strings.FieldsFunc(s, func(r rune) bool { return r == '\n' || r == '\r' }) {
		x.buf = append(x.buf[:0], "G04 "...)
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "#@!") {
			line = "# " + line[1:]
		}
		for _, r := range line {
			switch {
			case r == '*' || r == '%':
				r = '.'
			case r < 0x20 || r == 0x7f:
				r = ' '
			}
			x.buf = utf8.AppendRune(x.buf, r)
		}
		x.buf = append(x.buf, "*\n"...)
		x.w.Write(x.buf)
	}
}

func (x *writer) attribute(kind byte, a artwork.Attribute) {
	x.buf = append(x.buf[:0], '%', 'T', kind)
	x.buf = appendEscaped(x.buf, a.Name, true)
	for _, v := range a.Values {
		x.buf = append(x.buf, ',')
		x.buf = appendEscaped(x.buf, v, false)
	}
	x.buf = append(x.buf, "*%\n"...)
	x.w.Write(x.buf)
}

// appendEscaped writes text so that unescape gives it back. Spaces at the ends of a name, and of
// values, are escaped too: readers trim them.
func appendEscaped(b []byte, s string, name bool) []byte {
	for i, r := range s {
		edge := i == 0 || i+utf8.RuneLen(r) == len(s)
		switch {
		case r == '%' || r == '*' || r == ',' || r == '\\' || r < 0x20 || r >= 0x7f && r <= 0xffff || r == ' ' && (name || edge):
			b = append(b, `\u`...)
			const digits = "0123456789ABCDEF"
			for shift := 12; shift >= 0; shift -= 4 {
				b = append(b, digits[r>>shift&15])
			}
		case r > 0xffff:
			b = append(b, fmt.Sprintf(`\U%08X`, r)...)
		default:
			b = append(b, byte(r))
		}
	}
	return b
}

// force brings the aperture and object attributes in force to what is wanted, in their order.
func (x *writer) force(apers, objs artwork.Attributes) {
	if sameAttributes(x.apers, apers) && sameAttributes(x.objs, objs) {
		return
	}
	if !reachable(x.apers, apers, objs, x.objs) || !reachable(x.objs, objs, apers, x.apers) {
		x.text("%TD*%\n")
		x.apers, x.objs = nil, nil
	}
	for _, a := range x.apers {
		if find(apers, a.Name) < 0 {
			x.delete(a.Name)
		}
	}
	for _, a := range x.objs {
		if find(objs, a.Name) < 0 {
			x.delete(a.Name)
		}
	}
	set := func(kind byte, have, want artwork.Attributes) {
		for _, a := range want {
			if k := find(have, a.Name); k < 0 || !sameValues(have[k].Values, a.Values) {
				x.attribute(kind, a)
			}
		}
	}
	set('A', x.apers, apers)
	set('O', x.objs, objs)
	x.apers, x.objs = apers, objs
}

func (x *writer) delete(name string) {
	x.buf = append(x.buf[:0], "%TD"...)
	x.buf = appendEscaped(x.buf, name, true)
	x.buf = append(x.buf, "*%\n"...)
	x.w.Write(x.buf)
}

// reachable tells whether deleting, replacing and appending leads from have to want in the right
// order, without a deletion hitting a name that the other kind has too.
func reachable(have, want, other, otherHave artwork.Attributes) bool {
	k := 0
	for _, a := range have {
		n := find(want, a.Name)
		if n < 0 {
			if find(other, a.Name) >= 0 || find(otherHave, a.Name) >= 0 {
				return false
			}
			continue
		}
		if n != k {
			return false
		}
		k++
	}
	return len(have) == 0 || k > 0 || len(want) == 0 || len(have) <= 1
}

func find(list artwork.Attributes, name string) int {
	for i := range list {
		if list[i].Name == name {
			return i
		}
	}
	return -1
}

func sameValues(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func sameAttributes(a, b artwork.Attributes) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Name != b[i].Name || !sameValues(a[i].Values, b[i].Values) {
			return false
		}
	}
	return true
}

// appendCoordinate writes a length as digits of 4.6 millimetres.
func appendCoordinate(b []byte, letter byte, l geom.Length) []byte {
	return strconv.AppendInt(append(b, letter), int64(l), 10)
}

// appendMM writes a length in millimetres with a decimal point where one is needed.
func appendMM(b []byte, l geom.Length) []byte {
	if l < 0 {
		b = append(b, '-')
		l = -l
	}
	b = strconv.AppendInt(b, int64(l/geom.MM), 10)
	frac := l % geom.MM
	if frac == 0 {
		return b
	}
	b = append(b, '.')
	for unit := geom.MM / 10; frac > 0; unit /= 10 {
		b = append(b, byte('0'+frac/unit))
		frac %= unit
	}
	return b
}
