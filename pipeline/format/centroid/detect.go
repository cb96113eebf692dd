package centroid

import (
	"cmp"
	"strings"
)

// layout is a table whose shape is known.
type layout struct {
	header
	named      bool // there is a header line
	given      bool // the recipe says the columns
	sep        byte // 0: aligned with blanks
	head       string
	rows       []line
	unit, side string // by remarks
	unitTwice  int    // offset of a remark that says another unit than one before it, else −1
	remarks    []line // after the header
	heading    string // the side that a heading before the header line says
	placedYes  bool   // the column of placed parts says yes somewhere
}

// separators are tried in this order; blanks come last.
var separators = []byte{',', ';', '\t', '|'}

// detect finds out how a text is laid out.
func detect(text string) (layout, bool) { return lay(text, nil) }

func lay(text string, given []string) (layout, bool) {
	t := layout{unitTwice: -1}
	found := given != nil
	var rules []line
	for i, l := range lines(text) {
		bare := strings.TrimSpace(l.text)
		if bare == "" || isRule(bare) {
			continue
		}
		if i == 0 && len(bare) == 5 && strings.EqualFold(bare[:4], "sep=") { // a spreadsheet's note to itself
			continue
		}
		comment := isComment(bare) || t.named && t.sep != ';' && t.sep != 0 && bare[0] == ';'
		if comment || !t.named && len(bare) < 200 {
			t.remark(l, comment)
		}
		if !found {
			if h, sep, head, ok := headerLine(l); ok {
				t.header, t.sep, t.head, t.named, found = h, sep, head, true, true
				t.rows, rules = nil, nil
				continue
			}
		}
		if comment {
			rules = append(rules, l)
			continue
		}
		t.rows = append(t.rows, l)
	}
	t.remarks = rules
	switch {
	case given != nil:
		h, err := givenColumns(given)
		if err != nil {
			return t, false
		}
		t.header, t.given = h, true
		t.sep = t.bestSeparator(len(given))
	case !found:
		var ok bool
		if t, ok = t.nameless(); !ok {
			return t, false
		}
	}
	if t.sep != 0 {
		t.rows = join(t.rows, t.sep)
	}
	return t, true
}

// remark takes unit and side out of a remark; what is said first counts.
func (t *layout) remark(l line, comment bool) {
	if !strings.ContainsAny(l.text, "uUoO") {
		return
	}
	if u := unitSaid(l.text); u != "" {
		switch {
		case t.unit == "":
			t.unit = u
		case t.unit != u && t.unitTwice < 0:
			t.unitTwice = l.off
		}
	}
	if g := sideHeading().FindStringSubmatch(l.text); g != nil {
		t.heading, _ = side(cmp.Or(g[1], g[2]+"side"))
	}
	if m := sideRemark().FindStringSubmatch(l.text); m != nil && t.side == "" && comment {
		t.side, _ = side(m[1])
	}
}

// mostlyLetters tells names from numbers, cheaply: layer files have very many lines.
func mostlyLetters(s string) bool {
	letters, digits := 0, 0
	for i := 0; i < len(s); i++ {
		switch c := s[i] | 0x20; {
		case c >= 'a' && c <= 'z':
			letters++
		case s[i] >= '0' && s[i] <= '9':
			digits++
		}
	}
	return letters > digits
}

// headerLine tells whether a line names the columns.
func headerLine(l line) (h header, sep byte, head string, ok bool) {
	const longest = 2000 // bytes of a header line
	if len(l.text) > longest || !mostlyLetters(l.text) || !strings.ContainsAny(l.text, "xX") || !strings.ContainsAny(l.text, "yY") {
		return h, 0, "", false
	}
	// Remark signs in front become letters' room, so that aligned columns keep their place.
	s := l.text
	n := len(s) - len(strings.TrimLeft(s, "#*/ \t"))
	l.text = strings.Repeat(" ", n) + s[n:]
	for _, sep := range separators {
		if strings.IndexByte(l.text, sep) < 0 {
			continue
		}
		var columns []string
		for _, c := range cutAt(line{text: s[n:]}, sep) {
			columns = append(columns, c.text)
		}
		for len(columns) > 0 && columns[len(columns)-1] == "" {
			columns = columns[:len(columns)-1]
		}
		if h, ok := readHeader(columns); ok {
			return h, sep, "", true
		}
	}
	h, ok = readHeader(headerWords(l.text))
	head = s
	if n > 0 {
		head = strings.Repeat("#", n) + s[n:]
	}
	return h, 0, head, ok
}

func cutAt(l line, sep byte) []cell {
	if sep == '|' {
		return bars(l)
	}
	out, _, _ := split(l, sep)
	return out
}

// bestSeparator finds the separator that gives most rows n cells.
func (t layout) bestSeparator(n int) byte {
	best, most := byte(0), 0
	for _, sep := range append(separators, 0) {
		fit := 0
		for _, l := range t.rows {
			c := l.words()
			if sep != 0 {
				c = cutAt(l, sep)
			}
			if len(c) >= n && (sep != 0 || len(c) == n) {
				fit++
			}
		}
		if fit > most {
			best, most = sep, fit
		}
	}
	return best
}

// cut splits a row by the table's shape. bad is the offset of a quote that is not as it should be.
func (t layout) cut(l line, spans []span) (c []cell, bad int) {
	switch {
	case t.sep == '|':
		return bars(l), -1
	case t.sep != 0:
		c, bad, _ = split(l, t.sep)
		return c, bad
	case spans != nil:
		return l.cells(spans), -1
	}
	w := l.words()
	if !t.named && !t.given && t.at[fValue] == 4 && len(w) == 5 { // without a value, which many a connector has not
		w = []cell{w[0], w[1], w[2], w[3], {off: w[4].off}, w[4]}
	}
	return w, -1
}
