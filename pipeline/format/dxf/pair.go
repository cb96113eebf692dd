package dxf

import (
	"bytes"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/format"
)

// A pair is one group of a file: a code on a line of its own, and a value on the next.
type pair struct {
	code     int32
	at       int32 // where the code stands, in bytes
	from, to int32 // the value, without blanks around it
}

// text is a file with what it takes to speak of places in it.
type text struct {
	name   string
	data   []byte
	starts []int32 // of lines; made when the first is asked for

	maxSpline int // Options.MaxSplinePoints
}

// line gives the number of the line that holds a byte, from 1. CR, LF and CRLF each end a line.
func (t *text) line(off int32) int {
	if t.starts == nil {
		t.starts = []int32{0}
		for i, c := range t.data {
			if c == '\n' || c == '\r' && (i+1 == len(t.data) || t.data[i+1] != '\n') {
				t.starts = append(t.starts, int32(i+1))
			}
		}
	}
	return sort.Search(len(t.starts), func(i int) bool { return t.starts[i] > off })
}

// fault makes an error at a byte. There may be as many as entities, so it does not count lines anew.
func (t *text) fault(off int32, do, what string, args ...any) *format.Fault {
	n := t.line(off)
	from, to := t.starts[n-1], int32(len(t.data))
	if n < len(t.starts) {
		to = t.starts[n]
	}
	line := bytes.TrimRight(t.data[from:to], "\r\n")
	f := format.At(t.name, line, int(off-from), fmt.Sprintf(what, args...), do)
	f.Line = n
	return f
}

func (t *text) value(p pair) string { return string(t.data[p.from:p.to]) }

func (t *text) is(p pair, code int32, value string) bool {
	return p.code == code && string(t.data[p.from:p.to]) == value
}

// cursor reads one pair after the other.
type cursor struct {
	*text
	pos int
}

// oneLine gives the next line without what ends it and without blanks around it.
func (c *cursor) oneLine() (from, to int, ok bool) {
	if c.pos >= len(c.data) {
		return c.pos, c.pos, false
	}
	from = c.pos
	n := bytes.IndexAny(c.data[from:], "\r\n")
	if n < 0 {
		to, c.pos = len(c.data), len(c.data)
	} else {
		to = from + n
		c.pos = to + 1
		if c.data[to] == '\r' && c.pos < len(c.data) && c.data[c.pos] == '\n' {
			c.pos++
		}
	}
	for from < to && blank(c.data[from]) {
		from++
	}
	for from < to && blank(c.data[to-1]) {
		to--
	}
	return from, to, true
}

func blank(b byte) bool { return b == ' ' || b == '\t' }

// next gives the next pair, comments (999) left out; false at the end of the data.
func (c *cursor) next() (pair, bool, error) {
	for {
		begin := c.pos
		from, to, ok := c.oneLine()
		if !ok || from == to && len(bytes.TrimSpace(c.data[begin:])) == 0 {
			return pair{at: int32(len(c.data))}, false, nil
		}
		code, err := strconv.Atoi(string(c.data[from:min(to, from+8)]))
		if err != nil || to-from > 8 || code < -100 || code > 9999 {
			return pair{}, false, c.fault(int32(from), "each value of a drawing follows a line with its group code; the file may be damaged: export it again",
				"this is no group code")
		}
		p := pair{code: int32(code), at: int32(from)}
		from, to, ok = c.oneLine()
		if !ok {
			return pair{}, false, c.fault(p.at, doAgain, "the file ends after a group code, without its value")
		}
		p.from, p.to = int32(from), int32(to)
		if code != 999 {
			return p, true, nil
		}
	}
}

const doAgain = "the file may have been cut off: export it again"

// number reads a value as a plain number.
func (t *text) number(p pair) (float64, error) {
	s := t.data[p.from:p.to]
	for _, b := range s {
		// ParseFloat knows more than plain numbers.
		if (b < '0' || b > '9') && b != '.' && b != '-' && b != '+' && b != 'e' && b != 'E' {
			do := "numbers have digits, a point and perhaps an exponent; export the file again"
			if bytes.IndexByte(s, ',') >= 0 {
				do = "write numbers with a point, not a comma; export the file again"
			}
			return 0, t.fault(p.from, do, "group %d needs a number", p.code)
		}
	}
	v, err := strconv.ParseFloat(string(s), 64)
	if err != nil || math.Abs(v) > largest {
		return 0, t.fault(p.from, "check the drawing for things far away; export the file again", "group %d needs a number of common size", p.code)
	}
	return v, nil
}

// largest is the largest number that is taken: what comes of sums and products of a few stays finite.
const largest = 1e30

// whole reads a value as a whole number.
func (t *text) whole(p pair) (int, error) {
	v, err := strconv.ParseInt(t.value(p), 10, 32)
	if err != nil {
		return 0, t.fault(p.from, "export the file again", "group %d needs a whole number", p.code)
	}
	return int(v), nil
}

// word reads a value as a name. Newer files are in UTF-8, older ones in the code page of the machine
// that wrote them, taken as Latin-1, with \U+ and four hexadecimal digits for letters that it lacks.
func (t *text) word(p pair) string {
	s := t.value(p)
	if !utf8.ValidString(s) {
		r := make([]rune, len(s))
		for i := range len(s) {
			r[i] = rune(s[i])
		}
		s = string(r)
	}
	if !strings.Contains(s, `\U+`) {
		return s
	}
	var b strings.Builder
	for {
		before, after, found := strings.Cut(s, `\U+`)
		b.WriteString(before)
		if !found {
			return b.String()
		}
		if len(after) >= 4 {
			if v, err := strconv.ParseUint(after[:4], 16, 32); err == nil {
				b.WriteRune(rune(v))
				s = after[4:]
				continue
			}
		}
		b.WriteString(`\U+`)
		s = after
	}
}

// nameOf is word for names that come again and again.
func (r *reader) nameOf(p pair) string {
	s, ok := r.names[string(r.data[p.from:p.to])]
	if !ok {
		s = r.word(p)
		r.names[r.value(p)] = s
	}
	return s
}

// short cuts a name for a message.
func short(s string) string {
	const most = 60
	r := []rune(s[:min(len(s), utf8.UTFMax*(most+1))])
	if len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}
