package xnc

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// layout is how numbers are read: unit, zeros and digits.
type layout struct {
	unit     Unit
	zeros    Zeros
	integer  int
	decimals int
}

// length gives a coordinate; ok is false when it is far out of range.
func (l layout) length(n number) (geom.Length, bool) {
	switch {
	case n.point:
		return n.scaled(l.unit.Length(), int(n.decimals))
	case l.zeros == LeadingKept:
		return n.scaled(l.unit.Length(), int(n.digits)-l.integer)
	}
	return n.scaled(l.unit.Length(), l.decimals)
}

// survey is what a first look over the whole file finds out about its numbers.
type survey struct {
	said      layout      // by the file
	plain     [2][]number // coordinates without a point, x and y
	decimal   bool        // some coordinates have a point
	diameters []number
}

func look(data []byte) survey {
	var s survey
	eachLine(data, func(_ int, line []byte) bool {
		if line[0] == ';' {
			s.comment(strings.TrimSpace(string(line[1:])))
			return true
		}
		if i := bytes.IndexByte(line, ';'); i >= 0 {
			line = line[:i]
		}
		if isMessage(line) {
			return true
		}
		if u, z, i, d, ok := unitLine(line); ok {
			s.state(u, z, i, d)
			return true
		}
		if !startsWord(line) {
			return true
		}
		ws, _ := splitWords(line, 0)
		for k, w := range ws {
			switch {
			case w.letter == 'M' && w.num.value == 71:
				s.state(Millimetre, "", 0, 0)
			case w.letter == 'M' && w.num.value == 72:
				s.state(Inch, "", 0, 0)
			case w.letter == 'C' && k > 0 && w.num.ok && len(s.diameters) < maxTools:
				s.diameters = append(s.diameters, w.num)
			case (w.letter == 'X' || w.letter == 'Y') && w.num.ok:
				if w.num.point {
					s.decimal = true
				} else if axis := &s.plain[w.letter-'X']; len(*axis) < maxHoles {
					*axis = append(*axis, w.num)
				}
			}
		}
		return true
	})
	return s
}

// state keeps what is said first.
func (s *survey) state(u Unit, z Zeros, i, d int) {
	if s.said.unit == "" {
		s.said.unit = u
	}
	if s.said.zeros == "" {
		s.said.zeros = z
	}
	if s.said.integer+s.said.decimals == 0 {
		s.said.integer, s.said.decimals = i, d
	}
}

// comment takes format statements that older CAD systems put into comments:
// FILE_FORMAT=2:4 and FORMAT={2:4/ absolute / inch / suppress leading zeros}.
func (s *survey) comment(text string) {
	if v, ok := strings.CutPrefix(text, "FILE_FORMAT="); ok {
		if i, d, ok := digitPair(strings.TrimSpace(v)); ok {
			s.state("", "", i, d)
		}
		return
	}
	v, ok := strings.CutPrefix(text, "FORMAT={")
	if !ok {
		return
	}
	v, _, _ = strings.Cut(v, "}")
	for _, part := range strings.Split(v, "/") {
		part = strings.ToLower(strings.TrimSpace(part))
		switch part {
		case "inch":
			s.state(Inch, "", 0, 0)
		case "metric":
			s.state(Millimetre, "", 0, 0)
		case "suppress leading zeros":
			s.state("", TrailingKept, 0, 0)
		case "suppress trailing zeros":
			s.state("", LeadingKept, 0, 0)
		case "keep zeros":
			s.state("", TrailingKept, 0, 0) // all kept: both rules agree
		default:
			if i, d, ok := digitPair(part); ok {
				s.state("", "", i, d)
			}
		}
	}
}

func digitPair(s string) (i, d int, ok bool) {
	a, b, ok := strings.Cut(s, ":")
	if !ok {
		return 0, 0, false
	}
	i, err1 := strconv.Atoi(a)
	d, err2 := strconv.Atoi(b)
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
		switch {
		case p == "LZ":
			z = LeadingKept
		case p == "TZ":
			z = TrailingKept
		case strings.Trim(p, "0") == "." && digitsInRange(strings.IndexByte(p, '.'), len(p)-strings.IndexByte(p, '.')-1):
			i = strings.IndexByte(p, '.')
			d = len(p) - i - 1
		case p == "":
		default:
			return "", "", 0, 0, false
		}
	}
	return u, z, i, d, true
}

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

// settle gives the layout to read with, from the file, the options, or a guess.
func (s survey) settle(opt Options, rep *Report) layout {
	l := s.said
	var guesses []string
	contradict := func(what string, file, recipe any) {
		rep.warn("the recipe says %s %v, the file says %v; the file's own word is taken", what, recipe, file)
	}
	switch {
	case l.unit == "":
		l.unit = opt.Unit
	case opt.Unit != "" && opt.Unit != l.unit:
		contradict("unit", l.unit, opt.Unit)
	}
	switch {
	case l.zeros == "":
		l.zeros = opt.Zeros
	case opt.Zeros != "" && opt.Zeros != l.zeros:
		contradict("zeros", l.zeros, opt.Zeros)
	}
	optDigits := digitsInRange(opt.Integer, opt.Decimals)
	switch {
	case l.integer+l.decimals == 0 && optDigits:
		l.integer, l.decimals = opt.Integer, opt.Decimals
	case optDigits && (l.integer != opt.Integer || l.decimals != opt.Decimals):
		contradict("digits", fmt.Sprintf("%d.%d", l.integer, l.decimals), fmt.Sprintf("%d.%d", opt.Integer, opt.Decimals))
	}
	if l.unit == "" && (len(s.diameters) > 0 || s.decimal || len(s.plain[0])+len(s.plain[1]) > 0) {
		var why string
		l.unit, why = s.guessUnit()
		guesses = append(guesses, fmt.Sprintf("unit %s (%s)", l.unit, why))
	}
	if n := len(s.plain[0]) + len(s.plain[1]); n > 0 {
		if l.zeros == "" {
			var why string
			var matters bool
			l.zeros, why, matters = s.guessZeros(l)
			if matters {
				guesses = append(guesses, fmt.Sprintf("%s zeros kept (%s)", l.zeros, why))
			}
		}
		if l.integer+l.decimals == 0 {
			var why string
			l.integer, l.decimals, why = s.guessDigits(l)
			guesses = append(guesses, fmt.Sprintf("digits %d.%d (%s)", l.integer, l.decimals, why))
		}
	}
	rep.Unit, rep.Zeros, rep.Integer, rep.Decimals = l.unit, l.zeros, l.integer, l.decimals
	rep.Guessed = len(guesses) > 0
	rep.GuessedWhat = strings.Join(guesses, "; ")
	return l
}

// guessUnit goes by the tools: no common drill is as thin as 0.1 mm or as thick as 0.3 inch
// (common practice, no published source).
func (s survey) guessUnit() (Unit, string) {
	low, high := math.Inf(1), 0.0
	for _, d := range s.diameters {
		v := float64(d.value) / math.Pow10(int(d.decimals))
		if v > 0 {
			low, high = min(low, v), max(high, v)
		}
	}
	switch {
	case high == 0:
		return Millimetre, "nothing in the file tells it; the format's usual unit today"
	case low < 0.1 && high < 0.4:
		return Inch, "the tools would be too thin in millimetres"
	}
	return Millimetre, "the tools would be too thick in inches"
}

// guessZeros looks where zeros stand. matters is false when both rules give the same.
func (s survey) guessZeros(l layout) (z Zeros, why string, matters bool) {
	full := l.integer + l.decimals
	if full == 0 {
		full = s.fullLength()
	}
	lead, final, short := false, false, false
	for _, axis := range s.plain {
		for _, n := range axis {
			if n.value == 0 || int(n.digits) == full {
				continue // the same by either rule
			}
			short = true
			lead = lead || n.leading0
			final = final || n.final0
		}
	}
	switch {
	case !short:
		return TrailingKept, "", false
	case lead:
		return LeadingKept, "coordinates begin with zeros", true
	case final:
		return TrailingKept, "coordinates end with zeros and never begin with one", true
	}
	return TrailingKept, "the usual rule", true
}

// guessDigits takes the first usual format whose holes span no more than a production panel and no
// less than a board (common practice, no published source).
func (s survey) guessDigits(l layout) (integer, decimals int, why string) {
	usual := [][2]int{{3, 3}, {3, 2}, {4, 2}, {4, 3}, {4, 4}, {3, 4}}
	if l.unit == Inch {
		usual = [][2]int{{2, 4}, {2, 3}, {3, 3}, {3, 4}, {2, 5}, {3, 5}}
	}
	if length := s.fullLength(); length > 0 {
		var first, rest [][2]int
		for _, u := range usual {
			if u[0]+u[1] == length {
				first = append(first, u)
			} else {
				rest = append(rest, u)
			}
		}
		usual = append(first, rest...)
	}
	for _, u := range usual {
		l.integer, l.decimals = u[0], u[1]
		if s.plausible(l) {
			return u[0], u[1], fmt.Sprintf("the usual for %s whose holes span a likely board", l.unit)
		}
	}
	return usual[0][0], usual[0][1], fmt.Sprintf("the usual for %s, though no usual format gives a likely board", l.unit)
}

// fullLength is the number of digits when all coordinates have the same and some begin with zero.
func (s survey) fullLength() int {
	length, lead := 0, false
	for _, axis := range s.plain {
		for _, n := range axis {
			if n.value == 0 {
				continue
			}
			if length != 0 && int(n.digits) != length {
				return 0
			}
			length = int(n.digits)
			lead = lead || n.leading0
		}
	}
	if !lead {
		return 0
	}
	return length
}

func (s survey) plausible(l layout) bool {
	const least, most = 2 * geom.MM, 620 * geom.MM
	wide, several := geom.Length(0), false
	for _, axis := range s.plain {
		low, high := geom.Length(math.MaxInt64), geom.Length(math.MinInt64)
		for _, n := range axis {
			v, ok := l.length(n)
			if !ok || v.Abs() > geom.Limit {
				return false
			}
			low, high = min(low, v), max(high, v)
		}
		if len(axis) > 0 {
			wide = max(wide, high-low)
		}
		several = several || low < high
	}
	return wide <= most && (wide >= least || !several)
}
