// Package jsonplace reads JSON (RFC 8259) of a program that nobody vouches for, strictly, and keeps where each value stands, so
// that a mistake in it can be shown at its place. What readers would understand differently is refused, as I-JSON (RFC 7493)
// asks: a name twice in an object, text that is no Unicode.
package jsonplace

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"
)

// Bounds on what is read: a document cannot take much more memory than its text, nor a deep stack.
const (
	MaxDepth  = 64        // values within values
	MaxValues = 1_000_000 // in all
)

// Kind is what a value is.
type Kind uint8

// The kinds of values.
const (
	Null Kind = iota
	Bool
	Number
	String
	Array
	Object
)

// String gives the kind in words: "a number".
func (k Kind) String() string {
	return [...]string{"null", "true or false", "a number", "a text", "a list", "an object"}[k]
}

// Value is one value and where its text begins.
type Value struct {
	Kind   Kind
	At     int // byte offset
	Yes    bool
	Text   string  // of a String: what it says
	Number float64 // finite
	Items  []*Value
	Fields []Field // of an Object, in its order
}

// Field is one name of an object and its value.
type Field struct {
	Name  string
	At    int // of the name
	Value *Value
}

// Get gives the value of a name of an object, nil where there is none.
func (v *Value) Get(name string) *Value {
	for _, f := range v.Fields {
		if f.Name == name {
			return f.Value
		}
	}
	return nil
}

// Fault is what is wrong with a text, and where.
type Fault struct {
	At   int
	What string
}

// Error states what is wrong.
func (f *Fault) Error() string { return f.What }

// Place gives the line and column, from 1, of a byte offset; columns count characters.
func Place(text []byte, at int) (line, column int) {
	at = min(at, len(text))
	start := bytes.LastIndexByte(text[:at], '\n') + 1
	return 1 + bytes.Count(text[:at], []byte{'\n'}), 1 + utf8.RuneCount(text[start:at])
}

// Parse reads a text that must be one JSON value. An error is a *Fault.
func Parse(text []byte) (*Value, error) {
	p := &parser{text: text}
	if at := notUnicode(text); at >= 0 {
		return nil, &Fault{at, fmt.Sprintf("holds the byte 0x%02X, which is no UTF-8 here", text[at])}
	}
	if bytes.HasPrefix(text, []byte("\uFEFF")) {
		return nil, &Fault{0, "begins with a byte order mark, which JSON does not have"}
	}
	p.space()
	v := p.value(0)
	if p.fault == nil {
		if p.space(); p.at < len(text) {
			p.fail(p.at, "goes on after its end with %s", p.here())
		}
	}
	if p.fault != nil {
		return nil, p.fault
	}
	return v, nil
}

func notUnicode(text []byte) int {
	if utf8.Valid(text) {
		return -1
	}
	for i := 0; ; {
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
}

type parser struct {
	text   []byte
	at     int
	values int
	fault  *Fault
}

// fail notes the first fault.
func (p *parser) fail(at int, format string, a ...any) {
	if p.fault == nil {
		p.fault = &Fault{at, fmt.Sprintf(format, a...)}
	}
}

// here names what stands at the reader's place.
func (p *parser) here() string {
	if p.at >= len(p.text) {
		return "its end"
	}
	r, _ := utf8.DecodeRune(p.text[p.at:])
	if r < ' ' || r == 0x7f {
		return fmt.Sprintf("the control character U+%04X", r)
	}
	return strconv.QuoteRune(r)
}

func (p *parser) space() {
	for p.at < len(p.text) {
		switch p.text[p.at] {
		case ' ', '\t', '\n', '\r':
			p.at++
		default:
			return
		}
	}
}

// take passes over one character if it stands here.
func (p *parser) take(c byte) bool {
	if p.at < len(p.text) && p.text[p.at] == c {
		p.at++
		return true
	}
	return false
}

func (p *parser) value(depth int) *Value {
	v := &Value{At: p.at}
	if p.values++; p.values > MaxValues {
		p.fail(p.at, "holds more than %d values", MaxValues)
		return v
	}
	if depth > MaxDepth {
		p.fail(p.at, "holds values more than %d deep in one another", MaxDepth)
		return v
	}
	if p.at >= len(p.text) {
		p.fail(p.at, "ends where a value should stand")
		return v
	}
	switch c := p.text[p.at]; {
	case c == '{':
		v.Kind = Object
		p.object(v, depth)
	case c == '[':
		v.Kind = Array
		p.array(v, depth)
	case c == '"':
		v.Kind, v.Text = String, p.quoted()
	case c == '-' || c >= '0' && c <= '9':
		v.Kind, v.Number = Number, p.number()
	default:
		p.word(v)
	}
	return v
}

// words are those that JSON knows, and those that programs print though JSON does not know them.
func (p *parser) word(v *Value) {
	at := p.at
	for p.at < len(p.text) && (p.text[p.at]|0x20 >= 'a' && p.text[p.at]|0x20 <= 'z') {
		p.at++
	}
	switch w := string(p.text[at:p.at]); w {
	case "null":
	case "true", "false":
		v.Kind, v.Yes = Bool, w == "true"
	case "":
		p.fail(at, "has %s where a value should stand", p.here())
	case "NaN", "Infinity", "nan", "inf", "Inf":
		p.fail(at, "has %s, which is no number in JSON", w)
	default:
		p.fail(at, "has the word %q where a value should stand; texts stand in double quotes", w[:min(40, len(w))])
	}
}

func (p *parser) object(v *Value, depth int) {
	p.at++
	p.space()
	if p.take('}') {
		return
	}
	seen := map[string]bool{}
	for p.fault == nil {
		at := p.at
		if p.at >= len(p.text) || p.text[p.at] != '"' {
			p.fail(at, "has %s where a name in double quotes should stand", p.here())
			return
		}
		name := p.quoted()
		if seen[name] {
			p.fail(at, "has the name %s twice in one object", strconv.Quote(name[:min(60, len(name))]))
			return
		}
		seen[name] = true
		p.space()
		if p.fault == nil && !p.take(':') {
			p.fail(p.at, "has %s where a colon should stand", p.here())
			return
		}
		p.space()
		v.Fields = append(v.Fields, Field{name, at, p.value(depth + 1)})
		p.space()
		switch {
		case p.fault != nil || p.take('}'):
			return
		case !p.take(','):
			p.fail(p.at, "has %s where a comma or a closing brace should stand", p.here())
		}
		p.space()
	}
}

func (p *parser) array(v *Value, depth int) {
	p.at++
	p.space()
	if p.take(']') {
		return
	}
	for p.fault == nil {
		v.Items = append(v.Items, p.value(depth+1))
		p.space()
		switch {
		case p.fault != nil || p.take(']'):
			return
		case !p.take(','):
			p.fail(p.at, "has %s where a comma or a closing bracket should stand", p.here())
		}
		p.space()
	}
}

// quoted reads a text in double quotes.
func (p *parser) quoted() string {
	begin := p.at
	p.at++
	from := p.at
	var b []byte // what escapes have made
	for {
		if p.at >= len(p.text) {
			p.fail(begin, "has a text that does not end")
			return ""
		}
		switch c := p.text[p.at]; {
		case c == '"':
			part := p.text[from:p.at]
			p.at++
			if b == nil {
				return string(part)
			}
			return string(append(b, part...))
		case c < ' ':
			p.fail(p.at, "has %s within a text; write it as \\u%04x", p.here(), c)
			return ""
		case c == '\\':
			b = append(b, p.text[from:p.at]...)
			if b == nil {
				b = []byte{}
			}
			b = p.escape(b)
			if p.fault != nil {
				return ""
			}
			from = p.at
		default:
			p.at++
		}
	}
}

var escapes = map[byte]byte{'"': '"', '\\': '\\', '/': '/', 'b': '\b', 'f': '\f', 'n': '\n', 'r': '\r', 't': '\t'}

func (p *parser) escape(b []byte) []byte {
	at := p.at
	p.at++
	if p.at >= len(p.text) {
		p.fail(at, "ends within a text")
		return b
	}
	c := p.text[p.at]
	p.at++
	if out, ok := escapes[c]; ok {
		return append(b, out)
	}
	if c != 'u' {
		p.fail(at, "has an escape that JSON does not know; a backslash is written as two")
		return b
	}
	r := p.hex(at)
	switch {
	case r >= 0xDC00 && r < 0xE000:
		p.fail(at, "has the second half of a character without the first")
	case r >= 0xD800 && r < 0xDC00:
		low := rune(0)
		if p.at+1 < len(p.text) && p.text[p.at] == '\\' && p.text[p.at+1] == 'u' {
			p.at += 2
			low = p.hex(at)
		}
		if low < 0xDC00 || low >= 0xE000 {
			p.fail(at, "has half of a character without the other")
		}
		r = (r-0xD800)<<10 + (low - 0xDC00) + 0x10000
	}
	return utf8.AppendRune(b, r)
}

func (p *parser) hex(at int) rune {
	if p.at+4 > len(p.text) {
		p.fail(at, "has an escape that is not whole: \\u takes four hexadecimal digits")
		return 0
	}
	n, err := strconv.ParseUint(string(p.text[p.at:p.at+4]), 16, 16)
	if err != nil {
		p.fail(at, "has an escape that is not whole: \\u takes four hexadecimal digits")
	}
	p.at += 4
	return rune(n)
}

func (p *parser) digits() (n int) {
	for p.at < len(p.text) && p.text[p.at] >= '0' && p.text[p.at] <= '9' {
		p.at++
		n++
	}
	return n
}

func (p *parser) number() float64 {
	at := p.at
	p.take('-')
	zero := p.at < len(p.text) && p.text[p.at] == '0'
	n := p.digits()
	ok := n > 0 && (!zero || n == 1)
	if ok && p.take('.') {
		ok = p.digits() > 0
	}
	if ok && p.at < len(p.text) && p.text[p.at]|0x20 == 'e' {
		p.at++
		if !p.take('-') {
			p.take('+')
		}
		ok = p.digits() > 0
	}
	if !ok {
		p.fail(at, "has a number that JSON does not write so: a digit before and after the point, no zero in front")
		return 0
	}
	v, err := strconv.ParseFloat(string(p.text[at:p.at]), 64)
	if err != nil || math.IsInf(v, 0) {
		p.fail(at, "has a number beyond all that can be reckoned with: %s", p.text[at:min(p.at, at+40)])
	}
	return v
}
