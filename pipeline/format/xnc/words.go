package xnc

import (
	"bytes"

	"panelwright/pipeline/geom"
)

// word is a letter and its number, as in or M30.
type word struct {
	letter byte
	num    number
	off    int // of the letter in the file
}

// number is a decimal number as written, before unit and zero rules are applied.
type number struct {
	value    int64 // all digits, without the point
	digits   int8  // how many digits were written
	decimals int8  // how many of them after the point
	neg      bool
	point    bool
	leading0 bool // begins with a zero that is not its only digit
	final0   bool // ends with a zero that is not its only digit
	ok       bool // there was at least one digit, and no more than maxDigits
}

// byteOrderMark is what some editors put at the head of a text.
var byteOrderMark = []byte("\xef\xbb\xbf")

const maxDigits = 17

// scanNumber reads a number at the head of s and gives what is left.
func scanNumber(s []byte) (number, []byte) {
	var n number
	if len(s) > 0 && (s[0] == '-' || s[0] == '+') {
		n.neg = s[0] == '-'
		s = s[1:]
	}
	var last byte
	tooLong := false
	for len(s) > 0 {
		c := s[0]
		if c == '.' && !n.point {
			n.point = true
			s = s[1:]
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		if n.digits == 0 {
			n.leading0 = c == '0'
		}
		if n.digits == maxDigits {
			tooLong = true
		} else {
			n.value = n.value*10 + int64(c-'0')
			n.digits++
			if n.point {
				n.decimals++
			}
		}
		last = c
		s = s[1:]
	}
	n.leading0 = n.leading0 && n.digits > 1
	n.final0 = last == '0' && n.digits > 1
	n.ok = n.digits > 0 && !tooLong
	return n, s
}

// scaled gives the number as a length when decimals of its digits lie behind the point (a negative
// count appends zeros). ok is false when it lies far outside the model's range.
func (n number) scaled(unit geom.Length, decimals int) (geom.Length, bool) {
	const far = int64(100 * geom.Limit)
	v := n.value
	for ; decimals < 0; decimals++ {
		if v > far {
			return 0, false
		}
		v *= 10
	}
	div := int64(1)
	for range decimals {
		if div > 1e17 {
			return 0, true // smaller than any digit the model has
		}
		div *= 10
	}
	if v/div > far/int64(unit) {
		return 0, false
	}
	l := geom.Length(geom.MulDiv(v, int64(unit), div))
	if n.neg {
		l = -l
	}
	return l, true
}

func (n number) int() int {
	if n.value > 1<<30 {
		return 1 << 30
	}
	return int(n.value)
}

// splitWords cuts a line into words. bad is the offset of what is no word, −1 when all is well.
func splitWords(line []byte, off int) (ws []word, bad int) {
	for i := 0; i < len(line); {
		c := line[i]
		if c == ' ' || c == '\t' {
			i++
			continue
		}
		letter := upper(c)
		if letter < 'A' || letter > 'Z' {
			return ws, off + i
		}
		at := off + i
		rest := line[i+1:]
		for len(rest) > 0 && rest[0] == ' ' {
			rest = rest[1:]
		}
		n, rest := scanNumber(rest)
		ws = append(ws, word{letter, n, at})
		i = len(line) - len(rest)
	}
	return ws, -1
}

func upper(c byte) byte {
	if c >= 'a' && c <= 'z' {
		return c - 'a' + 'A'
	}
	return c
}

// eachLine calls f with every line, its surrounding blanks cut off, and its offset, until f says no.
func eachLine(data []byte, f func(off int, line []byte) bool) {
	for start := 0; start < len(data); {
		end := start
		for end < len(data) && data[end] != '\n' && data[end] != '\r' {
			end++
		}
		from, to := start, end
		if start == 0 && bytes.HasPrefix(data, byteOrderMark) {
			from = min(len(byteOrderMark), to)
		}
		for from < to && blank(data[from]) {
			from++
		}
		for to > from && blank(data[to-1]) {
			to--
		}
		if from < to && !f(from, data[from:to]) {
			return
		}
		start = end + 1
	}
}

func blank(c byte) bool { return c == ' ' || c == '\t' || c == 0x1a } // 0x1a: an old end-of-file mark

// startsWord tells whether a line begins with a letter and a number rather than with a keyword.
func startsWord(line []byte) bool {
	c := upper(line[0])
	if c < 'A' || c > 'Z' {
		return false
	}
	for _, d := range line[1:] {
		if d != ' ' {
			return d >= '0' && d <= '9' || d == '-' || d == '+' || d == '.'
		}
	}
	return true
}

// isMessage tells whether a line is a text for the machine's operator: M45, M47.
func isMessage(line []byte) bool {
	return len(line) >= 3 && upper(line[0]) == 'M' && line[1] == '4' && (line[2] == '5' || line[2] == '7')
}
