package child

import (
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"
)

// voice keeps the beginning and the end of what a program says on standard error.
type voice struct {
	head, tail []byte
	bytes      int64
	most       int64
	over       func()
}

// How many bytes of the beginning and of the end are kept, how many lines of either are shown, and how long they may be.
const (
	keptBytes = 4096
	headLines = 4
	tailLines = 8
	lineRunes = 200
)

func (v *voice) Write(p []byte) (int, error) {
	n := len(p)
	if v.bytes += int64(n); v.bytes > v.most {
		v.over()
		return 0, errOver
	}
	if free := keptBytes - len(v.head); free > 0 {
		v.head = append(v.head, p[:min(free, n)]...)
		p = p[min(free, n):]
	}
	v.tail = append(v.tail, p...)
	if extra := len(v.tail) - keptBytes; extra > 0 {
		v.tail = append(v.tail[:0], v.tail[extra:]...)
	}
	return n, nil
}

// text gives the lines to be shown: the first and the last ones, or the first ones only, for what is cut off at any moment ends
// in another way each time. The working folder, which is another one each time, is called ".".
func (v *voice) text(dir string, withEnd bool) string {
	all := string(v.head)
	if v.bytes > int64(len(v.head)+len(v.tail)) {
		all += "\n\x00\n" // stands for what was dropped
		if i := strings.IndexByte(string(v.tail), '\n'); i >= 0 {
			all += string(v.tail[i+1:])
		}
	} else {
		all += string(v.tail)
	}
	all = strings.ReplaceAll(strings.ReplaceAll(all, dir+string(filepath.Separator), ""), dir, ".")
	var lines []string
	for _, l := range strings.Split(strings.TrimRight(all, "\r\n\t "), "\n") {
		if l == "\x00" {
			lines = append(lines, "…")
		} else if l = harmless(l); l != "" {
			lines = append(lines, l)
		}
	}
	switch {
	case !withEnd && len(lines) > headLines:
		lines = append(lines[:headLines], "…")
	case len(lines) > headLines+tailLines:
		lines = append(append(lines[:headLines:headLines], "…"), lines[len(lines)-tailLines:]...)
	}
	return strings.Join(lines, "\n")
}

// harmless takes out of a line what could change what a terminal shows: control characters, marks of direction, what is no text.
func harmless(line string) string {
	var b strings.Builder
	n := 0
	for _, r := range strings.TrimRight(line, "\r\t ") {
		switch {
		case r == '\t':
			r = ' '
		case r == utf8.RuneError, !unicode.IsPrint(r):
			r = '.'
		}
		if n++; n > lineRunes {
			b.WriteRune('…')
			break
		}
		b.WriteRune(r)
	}
	return b.String()
}
