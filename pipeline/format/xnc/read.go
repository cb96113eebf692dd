package xnc

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Read reads one drill or rout file. name is what errors call it. A mistake is a *format.Fault.
func Read(name string, data []byte, opt Options) (*artwork.Drilling, *Report, error) {
	if i := bytes.IndexByte(data, 0); i >= 0 {
		f := format.At(name, data, i, "this is not a drill file: it holds binary data", "leave the file out, or export it again as text")
		return nil, nil, f
	}
	rep := &Report{}
	r := &reader{name: name, data: data, opt: opt, rep: rep, tools: map[int]int32{}, current: -1}
	r.look = look(data, opt)
	r.layout = r.look.settle(opt, rep)
	r.sets.of(nil)
	var err error
	eachLine(data, func(off int, line []byte) bool {
		err = r.line(off, line)
		return err == nil
	})
	if err != nil {
		return nil, nil, err
	}
	if !r.began {
		return nil, nil, &format.Fault{File: name, What: "this is not a drill file: there is no header, tool or coordinate in it",
			Do: "leave the file out, or export it again"}
	}
	if err := r.finish(); err != nil {
		return nil, nil, err
	}
	return &r.out, rep, nil
}

// reader is the machine that a file drives.
type reader struct {
	name   string
	data   []byte
	opt    Options
	rep    *Report
	look   *survey
	layout layout
	out    artwork.Drilling

	began, inHeader, ended bool
	reachedBody            bool

	tools    map[int]int32 // number → index of the newest tool of that number
	current  int32         // −1: none in the spindle
	typed    artwork.Plating
	starts   []platingStart
	fileSays bool // .FileFunction was there

	sets            sets
	aper, object    artwork.Attributes
	aperSet, objSet int32

	at          geom.Point
	incremental bool
	rout        bool // G00 … G05
	sense       routMove
	down        bool
	path        geom.Path
	lastHole    bool // the last thing done was a hole, which R may repeat
	edges       int

	format1 bool // FMAT,1: other codes than those of today
	moved   bool // G00 was there: rout mode was begun as it should be
	// unlowered: the cutter was taken as lowered, in a file that never says it.
	unlowered bool
	pattern   pattern
}

// platingStart is a header comment that says which plating the tools from a number on have.
type platingStart struct {
	from    int
	plating artwork.Plating
}

type routMove uint8

const (
	moveOnly routMove = iota
	straight
	clockwise
	counterClockwise
)

func (r *reader) fault(off int, do, what string, args ...any) error {
	return format.At(r.name, r.data, off, fmt.Sprintf(what, args...), do)
}

const (
	doExport = "export the file again, as XNC or as a plain drill file"
	doWhole  = "export the file with every hole written out"
	doLimit  = "where the file is right, raise the limit in the recipe, in its drill block: most_holes; otherwise " + doExport
)

func (r *reader) line(off int, line []byte) error {
	if line[0] == ';' {
		r.comment(strings.TrimSpace(string(line[1:])))
		return nil
	}
	if i := bytes.IndexByte(line, ';'); i >= 0 {
		r.comment(strings.TrimSpace(string(line[i+1:])))
		if line = bytes.TrimRight(line[:i], " \t"); len(line) == 0 {
			return nil
		}
	}
	if line[0] == '(' || isMessage(line) {
		return nil
	}
	if line[0] == '/' && !r.inHeader {
		return r.fault(off, "take the line away, or its slash; "+doExport, "a line that the operator may switch off (/) may be meant or not")
	}
	if line[0] == '%' {
		if len(bytes.Trim(line, "% ")) > 0 {
			return r.fault(off, doExport, "%% must stand alone on its line")
		}
		if r.inHeader {
			r.inHeader, r.reachedBody = false, true
		}
		return nil
	}
	if !startsWord(line) {
		return r.keyword(off, line)
	}
	ws, bad := splitWords(line, off)
	if bad >= 0 {
		if !r.began {
			return r.fault(bad, "leave the file out, or export it again", "this is not a drill file")
		}
		return r.fault(bad, doExport, "this is not a drill or rout command")
	}
	return r.words(off, ws)
}

// header words that change nothing in what is drilled.
var harmless = map[string]bool{
	"VER": true, "FMAT": true, "ATC": true, "DETECT": true, "OSTOP": true, "OTCLMP": true, "HPCK": true,
	"NCSL": true, "PCKPARAM": true, "PF": true, "PLA": true, "PVS": true, "R": true, "RC": true, "SBK": true,
	"SIXM": true, "TCST": true, "UP": true, "Z": true, "ZA": true, "ZC": true, "ZS": true, "DN": true,
	"DTMDIST": true, "EXDA": true, "FSB": true, "CCW": true, "CP": true, "BLKD": true, "AUTO SAFETY": true,
	"AFS": true, "HBCK": true, "RCP": true, "RCR": true, "RD": true, "RH": true, "SG": true, "/": true,
}

func (r *reader) keyword(off int, line []byte) error {
	text := strings.ToUpper(string(line))
	head, rest, _ := strings.Cut(text, ",")
	head = strings.TrimSpace(head)
	switch head {
	case "INCH", "METRIC":
		u, z, i, d, ok := unitLine(line)
		if !ok {
			return r.unitFault(off, head)
		}
		r.begin()
		r.setUnit(u)
		if z != "" && !(r.opt.Override && r.opt.Zeros != "") {
			r.layout.zeros = z
		}
		if i+d > 0 && !(r.opt.Override && digitsInRange(r.opt.Integer, r.opt.Decimals)) {
			r.layout.integer, r.layout.decimals, r.layout.whole = i, d, false
		}
		return nil
	case "ICI":
		r.begin()
		switch rest = strings.TrimSpace(rest); rest {
		case "ON", "OFF", "":
			r.incremental = rest == "ON"
			return nil
		}
		return r.fault(off, "the forms known are ICI,ON and ICI,OFF; "+doExport, "ICI is followed by something unknown")
	case "LZ", "TZ":
		if r.inHeader && !(r.opt.Override && r.opt.Zeros != "") {
			r.layout.zeros = zerosWord(head)
			return nil
		}
	case "FMAT":
		r.begin()
		r.format1 = strings.TrimSpace(rest) == "1"
		return nil
	}
	if strings.HasPrefix(head, "INCH") || strings.HasPrefix(head, "METRIC") {
		word := "INCH"
		if head[0] == 'M' {
			word = "METRIC"
		}
		return r.unitFault(off, word)
	}
	if harmless[head] && (r.began || head == "VER") {
		r.begin()
		return nil
	}
	switch {
	case !r.began:
		return r.fault(off, "leave the file out, or export it again", "this is not a drill file")
	case r.inHeader:
		r.rep.warn("the header line %q is not known and was passed over", clip(string(line)))
		return nil
	}
	return r.fault(off, doExport, "this is not a drill or rout command")
}

func clip(s string) string {
	s = strings.Map(func(c rune) rune {
		if c < ' ' || c > '~' {
			return '.'
		}
		return c
	}, s)
	if len(s) > 60 {
		s = s[:60] + "..."
	}
	return s
}

func (r *reader) begin() { r.began = true }

// setUnit changes the unit of what follows. Digits that were meant for the other unit do not carry
// over: the usual ones of the new unit are taken.
func (r *reader) setUnit(u Unit) {
	if u == r.layout.unit || r.opt.Override && r.opt.Unit != "" {
		return
	}
	r.rep.warn("the unit changes within the file from %s to %s", r.layout.unit, u)
	r.layout.unit = u
	r.layout.integer, r.layout.decimals = 3, 3
	if u == Inch {
		r.layout.integer, r.layout.decimals = 2, 4
	}
}

var startsAt = format.Pattern(`^(NON-PLATED|.*\bPLATED\b.*) HOLES START AT T(\d{1,5})$`)

func (r *reader) comment(text string) {
	if rest, ok := strings.CutPrefix(text, "#@!"); ok {
		if command, a, ok := parseAttribute(rest); ok {
			r.attribute(command, a)
		}
		return
	}
	switch upperText := strings.ToUpper(text); {
	case strings.HasPrefix(upperText, "TYPE="):
		r.typed = platingWord(strings.TrimSpace(upperText[len("TYPE="):]))
		if r.reachedBody && len(r.out.Holes)+len(r.out.Routs) > 0 {
			r.rep.warn("a comment gives a plating (%s) among the holes; it counts for tools that are defined after it only", clip(text))
		}
	case startsAt().MatchString(upperText):
		m := startsAt().FindStringSubmatch(upperText)
		from, _ := strconv.Atoi(m[2])
		p := artwork.Plated
		if strings.Contains(m[1], "NON-PLATED") {
			p = artwork.NonPlated
		}
		r.starts = append(r.starts, platingStart{from, p})
	case r.rep.Generator == "" && strings.HasPrefix(text, "GenerationSoftware,"):
		v := strings.TrimRight(text[len("GenerationSoftware,"):], "*%")
		r.rep.Generator = strings.ReplaceAll(v, ",", " ")
	case r.rep.Generator == "" && strings.HasPrefix(text, "DRILL file {"):
		v, _, _ := strings.Cut(text[len("DRILL file {"):], "}")
		r.rep.Generator = v
	}
}

func (r *reader) attribute(command string, a artwork.Attribute) {
	switch command {
	case "TF":
		r.out.Attributes = set(r.out.Attributes, a)
		switch a.Name {
		case ".FileFunction":
			r.fileFunction(a.Values)
		case ".GenerationSoftware":
			r.rep.Generator = strings.Join(a.Values, " ")
		}
	case "TA":
		r.aper = set(r.aper, a)
	case "TO":
		r.object = set(r.object, a)
	case "TD":
		r.aper, r.object = without(r.aper, a.Name), without(r.object, a.Name)
	}
	r.aperSet, r.objSet = r.sets.of(r.aper), r.sets.of(r.object)
}

// fileFunction takes Plated,1,4,PTH and the like.
func (r *reader) fileFunction(v []string) {
	r.fileSays = true
	r.out.Plating = platingOf(v)
	r.out.From, r.out.To = 0, 0
	if len(v) < 3 {
		return
	}
	from, err1 := strconv.Atoi(v[1])
	to, err2 := strconv.Atoi(v[2])
	if err1 == nil && err2 == nil && from > 0 && to >= from && to < 1000 {
		r.out.From, r.out.To = from, to
	}
}

// words obeys one line.
func (r *reader) words(off int, ws []word) error {
	if ws[0].letter == 'N' && ws[0].num.ok { // sequence number
		ws = ws[1:]
	}
	for len(ws) > 0 {
		n, err := r.step(ws)
		if err != nil {
			return err
		}
		ws = ws[n:]
	}
	return nil
}

// step obeys the words at the head of a line and tells how many it took.
func (r *reader) step(ws []word) (int, error) {
	w := ws[0]
	if !w.num.ok {
		if !r.began && w.num.digits == 0 {
			return 0, r.fault(w.off, "leave the file out, or export it again", "this is not a drill file")
		}
		return 0, r.fault(w.off, "the line may have been cut off; "+doExport, "%c needs a number of 1 to %d digits behind it", w.letter, maxDigits)
	}
	if r.ended {
		if w.letter == 'M' && (w.num.value == 30 || w.num.value == 0) {
			return 1, nil
		}
		return 0, r.fault(w.off, "split the file into one program a file, or export it again", "the program goes on after its end")
	}
	switch w.letter {
	case 'T':
		r.begin()
		return r.tool(ws)
	case 'M':
		r.begin()
		return r.machine(ws)
	case 'G':
		r.begin()
		return r.general(ws)
	case 'X', 'Y', 'A', 'I', 'J':
		if !r.began && r.layout.unit == "" {
			return 0, r.fault(w.off, "leave the file out, or export it again", "this is not a drill file")
		}
		r.begin()
		return r.place(ws, false)
	case 'R':
		if len(ws) > 1 && ws[1].letter == 'M' {
			return r.repeatPattern(ws)
		}
		return r.repeat(ws)
	case 'F', 'S', 'B', 'H': // feed, speed, retract rate and hits of a tool are the fabricator's matter
		return 1, nil
	case 'P':
		return 0, r.fault(w.off, doWhole, "patterns stored under a number are not supported")
	case 'Z':
		return 0, r.fault(w.off, "put depth-controlled holes into a file of their own, agreed with the fabricator",
			"drilling to a depth is not supported")
	}
	return 0, r.fault(w.off, doExport, "this is not a drill or rout command")
}

// machine obeys an M code.
func (r *reader) machine(ws []word) (int, error) {
	w := ws[0]
	if r.format1 && !slices.Contains([]int64{0, 30, 48, 71, 72, 95}, w.num.value) {
		return 0, r.oldCode(w)
	}
	switch w.num.value {
	case 48:
		if len(r.out.Holes)+len(r.out.Routs) > 0 || r.down { // codes such as G90 may stand before it
			return 0, r.fault(w.off, "split the file into one program a file, or export it again", "a second header begins here")
		}
		r.inHeader = true
	case 95:
		r.inHeader, r.reachedBody = false, true
	case 71:
		r.setUnit(Millimetre)
	case 72:
		r.setUnit(Inch)
	case 30, 0:
		return r.parked(ws), r.end()
	case 2:
		if len(ws) > 1 {
			return r.repeatPattern(ws)
		}
		r.rep.warn("the program ends with M02 instead of M30")
		return 1, r.end()
	case 25:
		return 1, r.beginPattern(w)
	case 1:
		return 1, r.endPattern()
	case 8:
		return 1, r.endRepeats()
	case 6, 9: // stops
		return r.parked(ws), nil
	case 18, 61, 62, 63: // tool check, no scaling, the way down in pecks: the holes stay the same
	case 15:
		if !r.rout {
			return 0, r.fault(w.off, "G00 must come before M15; "+doExport, "the cutter goes down outside rout mode")
		}
		if err := r.pattern.placed(r, w.off); err != nil {
			return 0, err
		}
		if err := r.ready(w.off); err != nil {
			return 0, err
		}
		if err := r.raise(); err != nil {
			return 0, err
		}
		r.down = true
	case 16, 17:
		return 1, r.raise()
	case 14:
		return 0, r.fault(w.off, "agree depth routing with the fabricator, in a file of its own", "routing to a depth is not supported")
	case 50, 51, 52:
		return 0, r.fault(w.off, doWhole, "patterns that the machine finds by camera (M%d) are not supported", w.num.value)
	case 60:
		return 0, r.fault(w.off, doExport, "scaling is not supported")
	case 99:
		return 0, r.fault(w.off, doWhole, "patterns stored under a number are not supported")
	case 70, 80, 90:
		return 0, r.swapped(w)
	case 97, 98:
		return 0, r.fault(w.off, "leave the drilled text out; "+doExport, "drilled text is not supported")
	default:
		return 0, r.fault(w.off, doExport, "M%02d is not supported", w.num.value)
	}
	return 1, nil
}

// parked takes the coordinates behind a stop or an end: where the table goes, not a hole.
func (r *reader) parked(ws []word) int {
	n := 1
	for n < len(ws) && (ws[n].letter == 'X' || ws[n].letter == 'Y') {
		n++
	}
	return n
}

// unitFault tells of a line of unit and digits that is not understood.
func (r *reader) unitFault(off int, head string) error {
	return r.fault(off+len(head)+1, "the forms known are INCH or METRIC, then ,LZ or ,TZ, then digits like ,000.000",
		"%s is followed by something unknown", head)
}

// oldCode refuses codes of format 1, some of whose numbers mean other things in format 2 (from memory
// of the machines' open description: G81 drills there, G82 is a row of pins, and so on).
func (r *reader) oldCode(w word) error {
	return r.fault(w.off, "have the file written in format 2 (FMAT,2), or as XNC", "%c%02d is not known in format 1, which the file says it has (FMAT,1)", w.letter, w.num.value)
}

func (r *reader) end() error {
	r.ended, r.rep.HasEnd = true, true
	if r.down && !r.unlowered {
		r.rep.warn("the program ends with the cutter down")
	}
	return r.raise()
}

// general obeys a G code.
func (r *reader) general(ws []word) (int, error) {
	w := ws[0]
	if r.format1 && !slices.Contains([]int64{5, 81, 90, 91}, w.num.value) {
		return 0, r.oldCode(w)
	}
	r.inHeader, r.reachedBody = false, true
	unsupported := func(what string) (int, error) {
		return 0, r.fault(w.off, doWhole, "G%02d, %s, is not supported", w.num.value, what)
	}
	switch w.num.value {
	case 0:
		if r.down {
			if r.look.lowers {
				r.rep.warn("the cutter moves on without having been raised; it is taken as raised")
			}
			if err := r.raise(); err != nil {
				return 0, err
			}
		}
		r.rout, r.moved, r.sense = true, true, moveOnly
	case 1, 2, 3:
		r.rout = true
		r.sense = [...]routMove{straight, clockwise, counterClockwise}[w.num.value-1]
	case 4: // dwell
		if len(ws) > 1 && ws[1].letter == 'X' {
			return 2, nil
		}
	case 5, 81:
		if w.num.value == 81 && len(ws) > 1 && coordinate(ws[1]) {
			return 0, r.fault(w.off, "let G81 stand alone on its line where drilling is meant; "+doWhole,
				"G81 with coordinates drills one hole on one machine and a row of pins on another")
		}
		if r.down && r.look.lowers {
			r.rep.warn("drilling begins without the cutter having been raised; it is taken as raised")
		}
		r.rout = false
		return 1, r.raise()
	case 7, 40, 80:
	case 85, 87:
		if err := r.pattern.placed(r, w.off); err != nil {
			return 0, err
		}
		return r.slot(ws, r.at)
	case 90:
		r.incremental = false
	case 91:
		r.incremental = true
	case 93:
		n := 1
		for n < len(ws) && (ws[n].letter == 'X' || ws[n].letter == 'Y') {
			if ws[n].num.value != 0 {
				return unsupported("a shifted origin")
			}
			n++
		}
		return n, nil
	case 32, 33:
		return 0, r.fault(w.off, "have the circle routed with G02 or G03, or drilled",
			"G%02d, a canned circle, is not supported: whether its radius is that of the opening or of the cutter's way is not agreed between machines", w.num.value)
	case 41, 42:
		return 0, r.fault(w.off, "have the way of the cutter's middle written out, without compensation (G40)",
			"G%02d, compensation for the cutter's radius, is not supported", w.num.value)
	case 34, 35, 36, 37, 38, 39, 45, 46, 47, 48:
		return unsupported("work by camera")
	case 82, 83, 84:
		return unsupported("a canned group of holes")
	default:
		return 0, r.fault(w.off, doExport, "G%02d is not supported", w.num.value)
	}
	return 1, nil
}

func coordinate(w word) bool {
	switch w.letter {
	case 'X', 'Y', 'A', 'I', 'J':
		return true
	}
	return false
}

func (r *reader) noTool(off int) error {
	return r.fault(off, "a line such as T1 must come before the first hole; "+doExport, "no tool is selected")
}

// finish settles what only the whole file tells.
func (r *reader) finish() error {
	if err := r.raise(); err != nil {
		return err
	}
	if !r.rep.HasEnd {
		r.rep.warn("the file does not end with M30: it may have been cut off")
	}
	for i := range r.out.Tools {
		t := &r.out.Tools[i]
		if t.Plating == artwork.PlatingUnknown {
			t.Plating = r.startedPlating(t.Number)
		}
		if l := r.look.listed[t.Number]; t.Plating == artwork.PlatingUnknown && !l.twice {
			t.Plating = l.plating
		}
	}
	if !r.fileSays {
		r.out.Plating = agreed(r.out.Tools)
	}
	r.out.Sets = r.sets.list
	return nil
}

func (r *reader) startedPlating(number int) artwork.Plating {
	best, p := -1, artwork.PlatingUnknown
	for _, s := range r.starts {
		if s.from <= number && s.from > best {
			best, p = s.from, s.plating
		}
	}
	return p
}

// agreed is the plating that all tools have, unknown when they differ.
func agreed(tools []artwork.Tool) artwork.Plating {
	if len(tools) == 0 {
		return artwork.PlatingUnknown
	}
	p := tools[0].Plating
	for _, t := range tools {
		if t.Plating != p {
			return artwork.PlatingUnknown
		}
	}
	return p
}
