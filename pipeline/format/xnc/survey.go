package xnc

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline/geom"
)

// layout is how numbers are read: unit, zeros and digits.
type layout struct {
	unit     Unit
	zeros    Zeros
	integer  int
	decimals int
	whole    bool // numbers without a point are whole units

	incremental bool // said by a comment only: it changes nothing, but is told
}

// length gives a coordinate; ok is false when it is far out of range.
func (l layout) length(n number) (geom.Length, bool) {
	switch {
	case n.point:
		return n.scaled(l.unit.Length(), int(n.decimals))
	case l.whole:
		return n.scaled(l.unit.Length(), 0)
	case l.zeros == LeadingKept:
		return n.scaled(l.unit.Length(), int(n.digits)-l.integer)
	}
	return n.scaled(l.unit.Length(), l.decimals)
}

// survey is what a first look over the whole file finds out about its numbers and tools.
type survey struct {
	said      layout      // by the file's words
	comments  layout      // by its comments
	others    []layout    // what further comments said otherwise
	plain     [2][]number // coordinates without a point, x and y
	extra     bool        // radii or centres without a point, other than zero
	decimal   bool        // some coordinates have a point
	diameters []number
	listed    map[int]listing // tools in comments
	chosen    []int           // tools that are chosen, in order
	defined   map[int]bool    // tools with a diameter of their own
	lowers    bool            // the cutter is lowered somewhere
	mode      bool            // ICI, G90 or G91 says whether places count from the origin
	most      int             // how many numbers are kept
}

func look(data []byte, opt Options) *survey {
	s := &survey{listed: map[int]listing{}, defined: map[int]bool{}, most: opt.maxHoles()}
	seen := map[int]bool{}
	eachLine(data, func(_ int, line []byte) bool {
		if line[0] == ';' {
			s.comment(strings.TrimSpace(string(line[1:])))
			return true
		}
		if i := bytes.IndexByte(line, ';'); i >= 0 {
			s.comment(strings.TrimSpace(string(line[i+1:])))
			line = line[:i]
		}
		if len(line) == 0 || isMessage(line) {
			return true
		}
		if u, z, i, d, ok := unitLine(line); ok {
			s.said.state(layout{unit: u, zeros: z, integer: i, decimals: d})
			return true
		}
		if !startsWord(line) {
			s.mode = s.mode || bytes.HasPrefix(line, []byte("ICI"))
			if w := strings.ToUpper(string(line)); w == "LZ" || w == "TZ" {
				s.said.state(layout{zeros: zerosWord(w)})
			}
			return true
		}
		ws, _ := splitWords(line, 0)
		for k, w := range ws {
			switch {
			case w.letter == 'M' && w.num.value == 71:
				s.said.state(layout{unit: Millimetre})
			case w.letter == 'M' && w.num.value == 72:
				s.said.state(layout{unit: Inch})
			case w.letter == 'M' && (w.num.value == 15 || w.num.value == 14):
				s.lowers = true
			case w.letter == 'G' && (w.num.value == 90 || w.num.value == 91):
				s.mode = true
			case w.letter == 'T':
				if n := w.num.int(); !seen[n] && len(s.chosen) < opt.maxTools() {
					seen[n] = true
					s.chosen = append(s.chosen, n)
				}
			case w.letter == 'C' && k > 0 && w.num.ok && len(s.diameters) < opt.maxTools():
				s.diameters = append(s.diameters, w.num)
				if ws[0].letter == 'T' {
					s.defined[ws[0].num.int()] = true
				}
			case (w.letter == 'X' || w.letter == 'Y') && w.num.ok:
				if w.num.point {
					s.decimal = true
				} else if axis := &s.plain[w.letter-'X']; w.num.value != 0 && len(*axis) < s.most {
					*axis = append(*axis, w.num)
				}
			case w.letter == 'A' || w.letter == 'I' || w.letter == 'J':
				s.extra = s.extra || w.num.ok && !w.num.point && w.num.value != 0
			}
		}
		return true
	})
	return s
}

// open tells whether there are coordinates whose value depends on zeros and digits. Those that are 0
// do not.
func (s *survey) open() bool { return len(s.plain[0])+len(s.plain[1]) > 0 || s.extra }

// state keeps what is said first, and tells whether the new word says otherwise.
func (l *layout) state(by layout) (differs bool) {
	if l.unit == "" {
		l.unit = by.unit
	}
	if l.zeros == "" {
		l.zeros = by.zeros
	}
	digits := func(x layout) bool { return x.integer+x.decimals > 0 }
	if !digits(*l) {
		l.integer, l.decimals = by.integer, by.decimals
	}
	l.whole = l.whole || by.whole
	l.incremental = l.incremental || by.incremental
	return by.unit != "" && by.unit != l.unit || by.zeros != "" && by.zeros != l.zeros ||
		digits(by) && (by.integer != l.integer || by.decimals != l.decimals)
}

// comment takes what older systems put into comments: the number format, and the tools.
func (s *survey) comment(text string) {
	if l, ok := formatComment(text); ok {
		if s.comments.state(l) && len(s.others) < maxWarnings {
			s.others = append(s.others, l)
		}
		return
	}
	if n, t, ok := listedTool(text, false); ok && len(s.listed) < DefaultMaxTools {
		if old, twice := s.listed[n]; twice && !old.same(t) {
			t.twice = true
		}
		s.listed[n] = t
	}
}

// settle gives the layout to read with, from the file, the options, or a guess.
func (s *survey) settle(opt Options, rep *Report) layout {
	l := s.said
	if l.state(s.comments) {
		rep.warn("the file's comments say %s, its header says %s; the header is taken", s.comments.text(), s.said.text())
	}
	if s.said.integer+s.said.decimals > 0 {
		l.whole = false
	}
	if s.comments.incremental && !s.mode {
		rep.warn("a comment says that places are incremental, but neither ICI nor G91 does: they are counted from the origin")
	}
	var guesses []string
	contradict := func(what string, file, recipe any) {
		if opt.Override {
			rep.warn("the recipe says %s %v, the file says %v; the recipe's word is taken, as it asks", what, recipe, file)
			return
		}
		rep.warn("the recipe says %s %v, the file says %v; the file's own word is taken", what, recipe, file)
	}
	if opt.Unit != "" {
		if l.unit != "" && opt.Unit != l.unit {
			contradict("unit", l.unit, opt.Unit)
		}
		if l.unit == "" || opt.Override {
			l.unit = opt.Unit
		}
	}
	if opt.Zeros != "" {
		if l.zeros != "" && opt.Zeros != l.zeros {
			contradict("zeros", l.zeros, opt.Zeros)
		}
		if l.zeros == "" || opt.Override {
			l.zeros = opt.Zeros
		}
	}
	if digitsInRange(opt.Integer, opt.Decimals) {
		said := l.integer+l.decimals > 0
		if said && (l.integer != opt.Integer || l.decimals != opt.Decimals) {
			contradict("digits", fmt.Sprintf("%d.%d", l.integer, l.decimals), fmt.Sprintf("%d.%d", opt.Integer, opt.Decimals))
		}
		if l.whole {
			contradict("digits", "that its numbers are decimal", fmt.Sprintf("%d.%d", opt.Integer, opt.Decimals))
			l.whole = !opt.Override
		}
		if !said || opt.Override {
			l.integer, l.decimals = opt.Integer, opt.Decimals
		}
	}
	if l.unit == "" && (len(s.diameters) > 0 || s.decimal || s.open()) {
		var why string
		l.unit, why = s.guessUnit()
		guesses = append(guesses, fmt.Sprintf("unit %s (%s)", l.unit, why))
	}
	if s.open() && !l.whole {
		switch {
		case l.integer+l.decimals == 0 && opt.whole:
			l.whole = true
		case l.integer+l.decimals == 0 && s.decimal && s.smallWhole(l.unit) && opt.Zeros == "":
			l.whole = true
			guesses = append(guesses, "whole units where there is no point (other numbers have one)")
		default:
			guesses = append(guesses, s.guessLayout(&l)...)
		}
	}
	for _, o := range s.others { // of several comments: only what would be read otherwise is worth a word
		matters := o.unit != "" && o.unit != l.unit || o.zeros != "" && o.zeros != l.zeros || o.integer+o.decimals > 0 &&
			(l.zeros == LeadingKept && o.integer != l.integer || l.zeros != LeadingKept && o.decimals != l.decimals)
		if matters && s.open() && s.said.integer+s.said.decimals == 0 {
			rep.warn("the file's comments contradict one another: %s, then %s", s.comments.text(), o.text())
		}
	}
	rep.Unit, rep.Zeros, rep.Integer, rep.Decimals, rep.Whole = l.unit, l.zeros, l.integer, l.decimals, l.whole
	rep.Guessed = len(guesses) > 0
	rep.GuessedWhat = strings.Join(guesses, "; ")
	return l
}

// text says what a layout says, in words.
func (l layout) text() string {
	var t []string
	if l.unit != "" {
		t = append(t, string(l.unit))
	}
	if l.zeros != "" {
		t = append(t, string(l.zeros)+" zeros kept")
	}
	if l.integer+l.decimals > 0 {
		t = append(t, fmt.Sprintf("digits %d.%d", l.integer, l.decimals))
	}
	if l.whole {
		t = append(t, "decimal numbers")
	}
	return strings.Join(t, ", ")
}

// guessLayout guesses zeros and digits where they are open.
func (s *survey) guessLayout(l *layout) (guesses []string) {
	if l.zeros == "" {
		z, why, matters := s.guessZeros(*l)
		l.zeros = z
		if matters {
			guesses = append(guesses, fmt.Sprintf("%s zeros kept (%s)", z, why))
		}
	}
	if l.integer+l.decimals == 0 {
		var why string
		l.integer, l.decimals, why = s.guessDigits(*l)
		guesses = append(guesses, fmt.Sprintf("digits %d.%d (%s)", l.integer, l.decimals, why))
	}
	return guesses
}

// smallWhole tells whether the numbers without a point may be whole units: as few digits as a place
// on a panel has before the point, and none that begins with a zero.
func (s *survey) smallWhole(u Unit) bool {
	most := int8(3)
	if u == Inch {
		most = 2
	}
	for _, axis := range s.plain {
		for _, n := range axis {
			if n.digits > most || n.leading0 {
				return false
			}
		}
	}
	return true
}

// guessUnit goes by the tools: no common drill is as thin as 0.1 mm or as thick as 0.3 inch
// (common practice, no published source).
func (s *survey) guessUnit() (Unit, string) {
	low, high := math.Inf(1), 0.0
	take := func(d number) {
		v := float64(d.value) / math.Pow10(int(d.decimals))
		if v > 0 {
			low, high = min(low, v), max(high, v)
		}
	}
	for _, d := range s.diameters {
		take(d)
	}
	for _, t := range s.listed {
		if t.unit == 0 {
			take(t.num)
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
func (s *survey) guessZeros(l layout) (z Zeros, why string, matters bool) {
	full := l.integer + l.decimals
	if full == 0 {
		full = s.fullLength()
	}
	lead, final, short := false, false, s.extra && full == 0
	for _, axis := range s.plain {
		for _, n := range axis {
			if int(n.digits) == full {
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

// usualDigits are the formats that files have, the commonest first (common practice, no published
// source; 00.0000 inch, 000.000, 000.00 and 0000.00 mm are those of the drill machines' format, from
// memory of its open description).
func usualDigits(u Unit) [][2]int {
	if u == Inch {
		return [][2]int{{2, 4}, {2, 3}, {3, 3}, {3, 4}, {2, 5}, {3, 5}}
	}
	return [][2]int{{3, 3}, {3, 2}, {4, 2}, {4, 3}, {4, 4}, {3, 4}}
}

// guessDigits takes the first usual format whose holes span no more than a production panel and no
// less than a board (common practice, no published source).
func (s *survey) guessDigits(l layout) (integer, decimals int, why string) {
	usual := usualDigits(l.unit)
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
func (s *survey) fullLength() int {
	length, lead := 0, false
	for _, axis := range s.plain {
		for _, n := range axis {
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

func (s *survey) plausible(l layout) bool {
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

// Readings gives every way to read the file that it and opt leave open, the way that Read would guess
// first; a single one where nothing is open. Each is opt with unit, zeros and digits filled in; two of
// them may still read one file alike.
func Readings(data []byte, opt Options) []Options {
	s := look(data, opt)
	var rep Report
	l := s.settle(opt, &rep)
	first := opt
	first.Unit, first.Zeros, first.Integer, first.Decimals, first.whole = l.unit, l.zeros, l.integer, l.decimals, l.whole
	if l.whole {
		first.Integer, first.Decimals = 0, 0
	}
	out := []Options{first}
	if !rep.Guessed {
		return out
	}
	said := s.said
	said.state(s.comments)
	units, zeros := []Unit{l.unit}, []Zeros{TrailingKept, LeadingKept}
	if said.unit == "" && opt.Unit == "" {
		units = []Unit{Millimetre, Inch}
	}
	if said.zeros != "" {
		zeros = []Zeros{said.zeros}
	}
	if opt.Zeros != "" && (said.zeros == "" || opt.Override) {
		zeros = []Zeros{opt.Zeros}
	}
	there := map[reading]bool{readingOf(first): true}
	add := func(o Options) {
		if k := readingOf(o); !there[k] {
			there[k] = true
			out = append(out, o)
		}
	}
	for _, u := range units {
		o := opt
		o.Unit = u
		switch {
		case !s.open() || said.whole:
			add(o)
			continue
		case s.decimal && l.integer+l.decimals == 0:
			w := o
			w.whole = true
			add(w)
		}
		digits := usualDigits(u)
		if said.integer+said.decimals > 0 {
			digits = [][2]int{{said.integer, said.decimals}}
		}
		if digitsInRange(opt.Integer, opt.Decimals) && (said.integer+said.decimals == 0 || opt.Override) {
			digits = [][2]int{{opt.Integer, opt.Decimals}}
		}
		for _, z := range zeros {
			for _, d := range digits {
				o.Zeros, o.Integer, o.Decimals = z, d[0], d[1]
				add(o)
			}
		}
	}
	return out
}

// reading is what of a reading decides the value of its numbers.
type reading struct {
	unit   Unit
	zeros  Zeros
	digits int
	whole  bool
}

func readingOf(o Options) reading {
	k := reading{unit: o.Unit, zeros: o.Zeros, digits: o.Decimals, whole: o.whole}
	switch {
	case o.whole:
		k.zeros, k.digits = "", 0
	case o.Zeros == LeadingKept:
		k.digits = o.Integer
	}
	return k
}

// AllReadings gives every usual way to read the file's numbers, whatever it says of them itself: for
// showing what a file meant whose own word cannot be true. Each is opt with Override set.
func AllReadings(data []byte, opt Options) []Options {
	s := look(data, opt)
	var out []Options
	there := map[reading]bool{}
	for _, u := range []Unit{Millimetre, Inch} {
		for _, z := range []Zeros{TrailingKept, LeadingKept} {
			for _, d := range usualDigits(u) {
				o := opt
				o.Override, o.Unit, o.Zeros, o.Integer, o.Decimals = true, u, z, d[0], d[1]
				if !s.open() {
					o.Zeros, o.Integer, o.Decimals = "", 0, 0
				}
				if k := readingOf(o); !there[k] {
					there[k] = true
					out = append(out, o)
				}
			}
		}
	}
	return out
}

// String says how numbers are read, in words.
func (o Options) String() string {
	l := layout{unit: o.Unit, zeros: o.Zeros, integer: o.Integer, decimals: o.Decimals}
	if o.whole {
		return string(o.Unit) + ", whole units where there is no point"
	}
	return l.text()
}
