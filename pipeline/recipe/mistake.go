package recipe

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline"
)

// Place is where something stands in a recipe or standard.
type Place struct {
	File         string // relative to the recipe's folder, with slashes
	Line, Column int    // from 1, the column in characters
	SourceLine   string // the line, without its end; long lines are cut down to what stands round the place
	cut          int    // characters cut from the front of SourceLine
	offset       int    // in bytes
}

// String gives file:line.
func (p Place) String() string { return fmt.Sprintf("%s:%d", p.File, p.Line) }

// Mistake is one mistake in a recipe or standard, or in what was given from outside.
type Mistake struct {
	File         string
	Line, Column int    // from 1; 0 when no place in a file is meant
	SourceLine   string //
	Width        int    // how many characters of the line are meant
	What, Do     string // what is wrong; what to do about it
	Withheld     bool   // it is the machine that keeps a file back, by its rights or a broken disk
	cut, offset  int
}

// Error gives file:line:column: what, then the source line with the place marked, then what to do.
func (m Mistake) Error() string {
	var b strings.Builder
	b.WriteString(m.File)
	if m.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", m.Line, m.Column)
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
	b.WriteString(m.What)
	if m.Line > 0 && strings.TrimSpace(m.SourceLine) != "" {
		line := []rune(m.SourceLine)
		at := min(max(0, m.Column-1-m.cut), len(line))
		start := 0
		for start < at && (line[start] == ' ' || line[start] == '\t') {
			start++
		}
		b.WriteString("\n    " + string(line[start:]) + "\n    ")
		for _, c := range line[start:at] {
			if c != '\t' {
				c = ' '
			}
			b.WriteRune(c)
		}
		b.WriteString(strings.Repeat("^", max(1, min(m.Width, len(line)-at))))
	}
	if m.Do != "" {
		b.WriteString("\n    " + m.Do)
	}
	return b.String()
}

// Mistakes is every mistake found, by file and by place within it.
type Mistakes []Mistake

// Error gives all of them.
func (m Mistakes) Error() string {
	texts := make([]string, len(m))
	for i := range m {
		texts[i] = m[i].Error()
	}
	return strings.Join(texts, "\n")
}

// Nearest gives the member of among that a mistyped word most likely meant, empty when none is near.
func Nearest(word string, among []string) string { return pipeline.Nearest(word, among) }

// mostMistakes bounds what is kept: past it a file is not a recipe with mistakes but something else.
const mostMistakes = 200

// ledger collects mistakes. The same mistake may be found several times, when a standard serves
// several stages: it is kept once.
type ledger struct {
	list []Mistake
	seen map[string]bool
	more bool
}

func (l *ledger) add(m Mistake) {
	key := fmt.Sprintf("%s\x00%d\x00%s", m.File, m.offset, m.What)
	if l.seen[key] {
		return
	}
	if len(l.list) == mostMistakes {
		l.more = true
		return
	}
	if l.seen == nil {
		l.seen = map[string]bool{}
	}
	l.seen[key] = true
	l.list = append(l.list, m)
}

// err gives the mistakes in order, nil when there are none.
func (l *ledger) err() error {
	if len(l.list) == 0 {
		return nil
	}
	slices.SortStableFunc(l.list, func(a, b Mistake) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.offset, b.offset), cmp.Compare(a.What, b.What))
	})
	list := slices.Clone(l.list)
	if l.more {
		list = append(list, Mistake{What: fmt.Sprintf("there are more mistakes than these %d", mostMistakes),
			Do: "mend these first"})
	}
	return Mistakes(list)
}

// nearest adds the nearest right name to a message, where there is one.
func nearest(word string, among []string) string {
	if n := Nearest(word, among); n != "" {
		return "; nearest: " + n
	}
	return ""
}

// short cuts a text for a message.
func short(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "…"
	}
	return s
}

// list joins names as a sentence does: a, b and c.
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
