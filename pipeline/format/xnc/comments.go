package xnc

import (
	"strconv"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

var (
	fileFormat   = format.Pattern(`(?i)^FILE_?FORMAT\s*=\s*(\d+)\s*[:.]\s*(\d+)$`)
	bracedFormat = format.Pattern(`(?i)^FORMAT\s*=\s*\{([^}]*)\}?$`)
	plainFormat  = format.Pattern(`(?i)^FORMAT\s*:\s*(\d+)\s*[:.]\s*(\d+)\s*(/.*)?$`)
)

// formatComment reads the number formats that systems put into comments (as they occur in files; no
// published source): FILE_FORMAT=2:4, FORMAT={3:3/ absolute / metric / suppress leading zeros},
// FORMAT={-:-/ absolute / inch / decimal}, Format : 2.4 / Absolute / INCH / Trailing.
func formatComment(text string) (l layout, ok bool) {
	if m := fileFormat().FindStringSubmatch(text); m != nil {
		l.integer, l.decimals, ok = digits(m[1], m[2])
		return l, ok
	}
	var parts []string
	switch m := bracedFormat().FindStringSubmatch(text); {
	case m != nil:
		parts = strings.Split(m[1], "/")
	default:
		if m = plainFormat().FindStringSubmatch(text); m == nil {
			return l, false
		}
		parts = append([]string{m[1] + ":" + m[2]}, strings.Split(strings.TrimPrefix(m[3], "/"), "/")...)
	}
	for _, p := range parts {
		p = strings.Join(strings.Fields(strings.ToLower(p)), " ")
		switch p {
		case "inch", "inches", "english":
			l.unit = Inch
		case "metric", "mm":
			l.unit = Millimetre
		case "suppress leading zeros", "keep zeros": // keep: all are there, and both rules agree
			l.zeros = TrailingKept
		case "suppress trailing zeros":
			l.zeros = LeadingKept
		case "decimal":
			l.whole = true
		case "incremental":
			l.incremental = true
		default:
			if a, b, cut := strings.Cut(p, ":"); cut {
				if i, d, is := digits(a, b); is {
					l.integer, l.decimals = i, d
				}
			}
		}
	}
	return l, true
}

func digits(a, b string) (i, d int, ok bool) {
	i, err1 := strconv.Atoi(strings.TrimSpace(a))
	d, err2 := strconv.Atoi(strings.TrimSpace(b))
	if err1 != nil || err2 != nil || !digitsInRange(i, d) {
		return 0, 0, false
	}
	return i, d, true
}

func digitsInRange(i, d int) bool { return i >= 0 && d >= 0 && i <= 6 && d <= 7 && i+d > 0 }

// unitLine reads INCH or METRIC with what follows: zeros and a mask of digits such as 000.000.
func unitLine(line []byte) (u Unit, z Zeros, i, d int, ok bool) {
	parts := strings.Split(strings.ToUpper(string(line)), ",")
	switch strings.TrimSpace(parts[0]) {
	case "INCH":
		u = Inch
	case "METRIC":
		u = Millimetre
	default:
		return "", "", 0, 0, false
	}
	for _, p := range parts[1:] {
		p = strings.TrimSpace(p)
		point := strings.IndexByte(p, '.')
		switch {
		case p == "LZ", p == "TZ":
			z = zerosWord(p)
		case strings.Trim(p, "0") == "." && digitsInRange(point, len(p)-point-1):
			i, d = point, len(p)-point-1
		case p == "":
		default:
			return "", "", 0, 0, false
		}
	}
	return u, z, i, d, true
}

func zerosWord(s string) Zeros {
	if s == "LZ" {
		return LeadingKept
	}
	return TrailingKept
}

// listing is a tool as a comment, or a text beside the file, lists it.
type listing struct {
	num     number
	unit    geom.Length // of the number; 0: the file's own
	plating artwork.Plating
	count   int  // holes, −1 where it is not said
	twice   bool // listed again with another diameter
}

func (a listing) same(b listing) bool {
	return a.num.value == b.num.value && a.num.decimals == b.num.decimals && a.unit == b.unit
}

// diameter gives the tool's diameter; ok is false where it is none.
func (a listing) diameter(file geom.Length) (geom.Length, bool) {
	u := a.unit
	if u == 0 {
		u = file
	}
	if u == 0 {
		return 0, false
	}
	d, ok := a.num.scaled(u, int(a.num.decimals))
	return d, ok && d > 0 && d <= thickest && !a.twice
}

const mil = geom.Inch / 1000

var (
	// Holesize 1. = 12.000000 Tolerance = +0.000000/-0.000000 PLATED MILS Quantity = 75, with or
	// without T01 in front.
	holesize = format.Pattern(`(?i)^(?:T0*(\d{1,6})\s+)?Holesize\s+0*(\d{1,6})\.?\s*=\s*(\d*\.?\d+)\s+Tolerance\s*=\s*\S+\s+(\w+)\s+(MILS?|MM|INCH(?:ES)?)\b(?:\s+Quantity\s*=\s*(\d{1,9}))?`)
	// T01 0.300, T1 C0.3, Tool 1: 0.3 mm, T1 15.7mil (0.4mm) Round 94.
	toolLine = format.Pattern(`(?i)^T(?:OOL)?\s*#?0*(\d{1,6})\s*(?:[:=|,;]|-\s)?\s*(?:C|D|DIA(?:METER)?\.?|SIZE|HOLE\s*SIZE)?\s*[:=|,;]?\s*(\d*\.\d+|\d+)\s*(mm|mils?|inch(?:es)?|in\b|")?\s*(.*)$`)
)

// listedTool reads one line that lists a tool. A line that could be anything else is none: there must
// be a unit or a decimal point. rest allows further columns, which a comment may not have.
func listedTool(text string, rest bool) (int, listing, bool) {
	t := listing{count: -1}
	if m := holesize().FindStringSubmatch(text); m != nil {
		n, _ := strconv.Atoi(m[2])
		if m[1] != "" {
			n, _ = strconv.Atoi(m[1])
		}
		t.num, _ = scanNumber([]byte(m[3]))
		t.unit = unitWord(m[5])
		t.plating = platingWord(m[4])
		if m[6] != "" {
			t.count, _ = strconv.Atoi(m[6])
		}
		return n, t, t.num.ok
	}
	m := toolLine().FindStringSubmatch(text)
	if m == nil {
		return 0, t, false
	}
	n, _ := strconv.Atoi(m[1])
	t.num, _ = scanNumber([]byte(m[2]))
	t.unit = unitWord(m[3])
	if !t.num.ok || !t.num.point && t.unit == 0 {
		return 0, t, false
	}
	for i, w := range strings.Fields(m[4]) {
		if p := platingWord(w); p != artwork.PlatingUnknown {
			t.plating = p
			continue
		}
		if !rest && !strings.HasPrefix(w, "(") {
			return 0, t, false
		}
		if c, err := strconv.Atoi(w); err == nil && c >= 0 && t.count < 0 && i < 8 {
			t.count = c
		}
	}
	return n, t, true
}

func unitWord(s string) geom.Length {
	switch s = strings.ToLower(s); {
	case s == "":
		return 0
	case s == "mm":
		return geom.MM
	case strings.HasPrefix(s, "mil"):
		return mil
	}
	return geom.Inch
}

// platingWord reads the words that tool lists have. What is optional is nobody's word.
func platingWord(s string) artwork.Plating {
	switch strings.ToUpper(strings.Trim(s, "(),;")) {
	case "PLATED", "PTH":
		return artwork.Plated
	case "NON_PLATED", "NON-PLATED", "NONPLATED", "UNPLATED", "NPTH":
		return artwork.NonPlated
	}
	return artwork.PlatingUnknown
}
