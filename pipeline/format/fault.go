// Package format holds what the readers of fabrication data share. Each format has a folder of its
// own: bytes to artwork, holes and tables and back, nothing else.
package format

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Fault is a mistake in a file: what, where, and what to do about it.
type Fault struct {
	File         string // by its name within the board's files
	Line, Column int    // from 1; 0 when the whole file is meant
	Source       string // the source line, shortened and made printable
	What         string // what is wrong, lower case, without a full stop
	Do           string // what to do; may be empty
	Lacks        Lack   // what the file leaves unsaid and its reader can be told; empty otherwise
	Enough       string // of LacksTolerance: the tolerance that would do, as a recipe writes it; empty where none would
}

// Lack is something that a file should say of itself.
type Lack string

// What files leave unsaid.
const (
	LacksUnit   Lack = "unit"
	LacksFormat Lack = "number format"

	// What its reader can be allowed beyond the usual.
	LacksRoom      Lack = "more objects"
	LacksTolerance Lack = "larger tolerance of arcs"
)

// Error gives file:line:column: what, then the source line with the place marked, then what to do.
func (f *Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
	}
	b.WriteString(": " + f.What)
	if f.Source != "" {
		b.WriteString("\n    " + f.Source)
	}
	if f.Do != "" {
		b.WriteString("\n    " + f.Do)
	}
	return b.String()
}

// At makes a Fault for byte offset off of data. It looks up line, column and source line, so it is
// for errors, not for every token. CR, LF and CRLF each end a line.
func At(file string, data []byte, off int, what, do string) *Fault {
	off = max(0, min(off, len(data)))
	line, start := 1, 0
	for i := 0; i < off; i++ {
		if data[i] == '\n' || data[i] == '\r' && (i+1 == len(data) || data[i+1] != '\n') {
			line++
			start = i + 1
		}
	}
	end := len(data)
	if n := bytes.IndexAny(data[start:], "\r\n"); n >= 0 {
		end = start + n
	}
	column := utf8.RuneCount(data[start:off]) + 1
	return &Fault{File: file, Line: line, Column: column, Source: excerpt(data[start:end], off-start), What: what, Do: do}
}

// excerpt cuts a long line down to what stands round the place, and shows other than printable
// ASCII as dots, so that a binary file cannot upset a terminal.
func excerpt(line []byte, at int) string {
	const keep = 60
	from, to := max(0, at-keep), min(len(line), at+keep)
	s := []byte{}
	if from > 0 {
		s = append(s, "..."...)
	}
	for _, c := range line[from:to] {
		if c < 0x20 || c > 0x7e {
			c = '.'
		}
		s = append(s, c)
	}
	if to < len(line) {
		s = append(s, "..."...)
	}
	return string(s)
}
