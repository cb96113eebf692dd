package centroid

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// plainText turns a file into UTF-8 with LF line ends: spreadsheets write byte order marks and
// UTF-16, older CAD systems one byte a letter (ISO 8859-1). ok is false when the last letter of a
// UTF-16 text is cut in two.
func plainText(data []byte) (s string, ok bool) {
	ok = true
	switch {
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		data, ok = wide(data[2:], binary.LittleEndian), len(data)%2 == 0
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		data, ok = wide(data[2:], binary.BigEndian), len(data)%2 == 0
	case len(data) >= 8 && data[0] != 0 && data[1] == 0 && data[2] != 0 && data[3] == 0 && data[5] == 0 && data[7] == 0: // without its mark
		data, ok = wide(data, binary.LittleEndian), len(data)%2 == 0
	case len(data) >= 8 && data[0] == 0 && data[1] != 0 && data[2] == 0 && data[3] != 0 && data[4] == 0 && data[6] == 0:
		data, ok = wide(data, binary.BigEndian), len(data)%2 == 0
	}
	s = string(data)
	if !utf8.ValidString(s) {
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		s = string(runes)
	}
	s = strings.ReplaceAll(s, "\r\n", "\n")
	return strings.ReplaceAll(s, "\r", "\n"), ok
}

func wide(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

// line is one line of the file, or several that a quoted cell joins.
type line struct {
	text string
	off  int // of its first byte in the text
	no   int // from 1
}

func lines(text string) []line {
	var out []line
	off := 0
	for i, s := range strings.Split(text, "\n") {
		out = append(out, line{s, off, i + 1})
		off += len(s) + 1
	}
	return out
}

// isComment tells whether a line is a remark: #, * or // in front.
func isComment(s string) bool {
	s = strings.TrimSpace(s)
	return strings.HasPrefix(s, "#") || strings.HasPrefix(s, "*") || strings.HasPrefix(s, "//")
}

// isRule tells whether a line only draws one: -----+-----, ====, |---|.
func isRule(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && strings.Trim(s, "-=+|_:~ \t") == "" && strings.ContainsAny(s, "-=_~")
}

// cell is one field of a row.
type cell struct {
	text string
	off  int // in the text
}

// split cuts a line at sep. A field may be quoted, as RFC 4180 has it: a doubled quote inside stands
// for one. bad is the offset of a quote that is not closed, or that is followed by other text than
// the next separator; −1 when there is none. open tells that the line ends within quotes.
func split(l line, sep byte) (out []cell, bad int, open bool) {
	bad = -1
	s := l.text
	for i := 0; ; {
		for i < len(s) && s[i] == ' ' {
			i++
		}
		start := i
		var text string
		if i < len(s) && s[i] == '"' {
			var b strings.Builder
			i++
			closed := false
			for i < len(s) {
				if s[i] == '"' {
					if i+1 < len(s) && s[i+1] == '"' {
						i++
					} else {
						closed = true
						i++
						break
					}
				}
				b.WriteByte(s[i])
				i++
			}
			text = b.String()
			end := i
			for i < len(s) && s[i] != sep {
				i++
			}
			if !closed {
				bad, open = l.off+start, true
			} else if strings.TrimSpace(s[end:i]) != "" && bad < 0 {
				bad = l.off + end - 1
			}
		} else {
			for i < len(s) && s[i] != sep {
				i++
			}
			text = s[start:i]
		}
		out = append(out, cell{strings.TrimSpace(strings.ReplaceAll(text, "\n", " ")), l.off + start})
		if i >= len(s) {
			return out, bad, open
		}
		i++
	}
}

// bars cuts a line at |, which often stands before the first and after the last cell too.
func bars(l line) []cell {
	s := l.text
	n := len(s) - len(strings.TrimLeft(s, " \t"))
	if n < len(s) && s[n] == '|' {
		l.text, l.off = s[n+1:], l.off+n+1
	}
	l.text = strings.TrimRight(l.text, " \t")
	l.text = strings.TrimSuffix(l.text, "|")
	out, _, _ := split(l, '|')
	return out
}

// mostJoined is over how many lines a quoted cell may run.
const mostJoined = 20

// join puts the lines together that a quoted cell runs over.
func join(in []line, sep byte) []line {
	var out []line
	for i := 0; i < len(in); i++ {
		l := in[i]
		if strings.IndexByte(l.text, '"') >= 0 {
			for n := 1; n <= mostJoined && i+n <= len(in); n++ {
				if n > 1 {
					next := in[i+n-1]
					if next.off != l.off+len(l.text)+1 { // a line between was left out
						break
					}
					l.text += "\n" + next.text
				}
				if _, _, open := split(l, sep); !open {
					i += n - 1
					in[i] = l
					break
				}
			}
			l = in[i]
		}
		out = append(out, l)
	}
	return out
}
