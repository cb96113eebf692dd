package centroid

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// plainText turns a file into UTF-8 with LF line ends: spreadsheets write byte order marks and
// UTF-16, older CAD systems one byte a letter.
func plainText(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}):
		data = wide(data[2:], binary.LittleEndian)
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		data = wide(data[2:], binary.BigEndian)
	}
	s := string(data)
	if !utf8.ValidString(s) {
		runes := make([]rune, len(data))
		for i, b := range data {
			runes[i] = rune(b)
		}
		s = string(runes)
	}
	s = strings.ReplaceAll(s, "\r\n", "\n")
	return strings.ReplaceAll(s, "\r", "\n")
}

func wide(data []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(data)/2)
	for i := range units {
		units[i] = order.Uint16(data[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}

// line is one line of the file.
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

// cell is one field of a row.
type cell struct {
	text string
	off  int // in the text
}

// split cuts a line at sep. A field may be quoted, as RFC 4180 has it: a doubled quote inside stands
// for one. Quoted line breaks are not understood.
func split(l line, sep byte) []cell {
	var out []cell
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
			for i < len(s) {
				if s[i] == '"' {
					if i+1 < len(s) && s[i+1] == '"' {
						i++
					} else {
						break
					}
				}
				b.WriteByte(s[i])
				i++
			}
			text = b.String()
			for i < len(s) && s[i] != sep {
				i++
			}
		} else {
			for i < len(s) && s[i] != sep {
				i++
			}
			text = strings.TrimSpace(s[start:i])
		}
		out = append(out, cell{text, l.off + start})
		if i >= len(s) {
			return out
		}
		i++
	}
}
