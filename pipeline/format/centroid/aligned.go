package centroid

import (
	"regexp"
	"slices"
	"strings"
)

// span is a range of character columns.
type span struct{ from, to int }

// wordPair joins the names that are two words: Mid X, Center Y.
var wordPair = regexp.MustCompile(`(?i)^(mid|ref|pad|center|centre|pos|loc|location)$`)

// headerWords cuts a header line of a table without separators.
func headerWords(s string) []string {
	var out []string
	words := strings.Fields(s)
	for i := 0; i < len(words); i++ {
		w := words[i]
		if wordPair.MatchString(w) && i+1 < len(words) && (strings.EqualFold(words[i+1], "x") || strings.EqualFold(words[i+1], "y")) {
			i++
			w += " " + words[i]
		}
		out = append(out, w)
	}
	return out
}

// columnsOf finds where the columns of an aligned table stand: between them every line is blank.
// ok is false when the columns found are not those that the header names.
func columnsOf(head string, rows []line, want []string) ([]span, bool) {
	width := len(head)
	for _, r := range rows {
		width = max(width, len(r.text))
	}
	if width > 10_000 {
		return nil, false
	}
	filled, data := make([]bool, width), make([]bool, width)
	mark := func(s string, in []bool) {
		for i := 0; i < len(s); i++ {
			if s[i] != ' ' && s[i] != '\t' {
				in[i] = true
			}
		}
	}
	mark(head, filled)
	for _, r := range rows {
		mark(r.text, filled)
		mark(r.text, data)
	}
	nameless := func(s span) bool { return strings.TrimSpace(slice(head, s)) == "" }
	dataless := func(s span) bool { return !slices.Contains(data[s.from:s.to], true) }
	var spans []span
	for i := 0; i < width; i++ {
		if !filled[i] {
			continue
		}
		from := i
		for i < width && filled[i] {
			i++
		}
		spans = append(spans, span{from, i})
	}
	// A gap within a column (the blank in "Mid X", blanks in values) leaves a span without a name of
	// its own: it belongs to its left neighbour, or to a name right of it that would have no data.
	var out []span
	for i := 0; i < len(spans); i++ {
		s := spans[i]
		if nameless(s) && i+1 < len(spans) && dataless(spans[i+1]) {
			s.to = spans[i+1].to
			i++
		}
		if len(out) > 0 {
			last := &out[len(out)-1]
			if nameless(s) || len(headerWords(slice(head, span{last.from, s.to}))) == 1 {
				last.to = s.to
				continue
			}
		}
		out = append(out, s)
	}
	if len(out) != len(want) {
		return nil, false
	}
	for i, s := range out {
		if strings.Join(strings.Fields(strings.TrimLeft(slice(head, s), "#")), " ") != want[i] {
			return nil, false
		}
	}
	return out, true
}

func slice(s string, at span) string {
	if at.from >= len(s) {
		return ""
	}
	return s[at.from:min(at.to, len(s))]
}

// cells cuts an aligned row.
func (l line) cells(spans []span) []cell {
	out := make([]cell, len(spans))
	for i, s := range spans {
		raw := slice(l.text, s)
		text := strings.TrimSpace(raw)
		out[i] = cell{text, l.off + min(s.from, len(l.text)) + strings.Index(raw, text)}
	}
	return out
}

// words cuts a row at blanks.
func (l line) words() []cell {
	var out []cell
	for i := 0; i < len(l.text); {
		if l.text[i] == ' ' || l.text[i] == '\t' {
			i++
			continue
		}
		from := i
		for i < len(l.text) && l.text[i] != ' ' && l.text[i] != '\t' {
			i++
		}
		out = append(out, cell{l.text[from:i], l.off + from})
	}
	return out
}
