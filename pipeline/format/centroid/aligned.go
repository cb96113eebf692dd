package centroid

import (
	"slices"
	"strings"

	"panelwright/pipeline/format"
)

// span is a range of character columns.
type span struct{ from, to int }

// wordPair joins the names that are two words: Mid X, Center Y.
var wordPair = format.Pattern(`(?i)^(mid|ref|pad|pin|center|centre|centroid|pos|position|loc|location|part|comp|component|board|sym|symbol)[.]?$`)

// nameTails are words that belong to the one before them: Part Number, Mount Side, Center-X (mm).
var nameTail = format.Pattern(`(?i)^(?:number|no[.]?|designator|name|type|value|side|layer|mm|mils?|inch(?:es)?|thou|[uµ]m|deg|[(\[](?:mm|mils?|inch(?:es)?|in|thou|[uµ]m|deg|degrees|°)[.]?[)\]])$`)

// headerWords cuts a header line of a table without separators: where two blanks or more part it
// into the names of a placement table, there, otherwise at every blank.
func headerWords(s string) []string {
	if w := wideGaps().Split(strings.TrimSpace(s), -1); len(w) > 3 {
		if _, ok := readHeader(w); ok && !slices.ContainsFunc(w, func(n string) bool { return len(singleWords(n)) > 1 }) {
			return w
		}
	}
	return singleWords(s)
}

var wideGaps = format.Pattern(`\t+|[ \t]{2,}`)

func singleWords(s string) []string {
	var out []string
	words := strings.Fields(s)
	for i := 0; i < len(words); i++ {
		w := words[i]
		if wordPair().MatchString(w) && i+1 < len(words) {
			if n, _ := understand(words[i+1]); n == "x" || n == "y" {
				i++
				w += " " + words[i]
			}
		}
		for i+1 < len(words) && nameTail().MatchString(words[i+1]) && joins(w, words[i+1]) {
			i++
			w += " " + words[i]
		}
		out = append(out, w)
	}
	return out
}

// joins tells whether two words of a header are one name; Side after Rot is a column of its own.
func joins(w, tail string) bool {
	first, _ := understand(w)
	second, _ := understand(tail)
	if tail[0] == '(' || tail[0] == '[' || unitWords[second] != "" || second == "deg" {
		return true
	}
	for _, f := range []field{fRefdes, fPackage, fPartNumber, fValue, fSide} {
		if slices.Contains(names[f], first+second) && !slices.ContainsFunc([]field{fRotation, fX, fY}, func(g field) bool { return slices.Contains(names[g], first) }) {
			return first != "component" && first != "comp" && first != "part" || second != "side" && second != "layer" && second != "value"
		}
	}
	return false
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
	if len(spans) > 4*len(want)+64 { // no table
		return nil, false
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
			if nameless(s) || len(singleWords(slice(head, span{last.from, s.to}))) == 1 {
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
		out = append(out, cell{strings.TrimSpace(l.text[from:i]), l.off + from})
	}
	return out
}
