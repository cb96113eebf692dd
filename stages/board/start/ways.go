package start

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// kind is a way of parting boards.
type kind int

// The kinds.
const (
	scored kind = iota // along score lines, boards abutted
	tabbed             // by tabs in slots
	spaced             // along score lines, boards spaced, with blank laminate left on each
	mixed              // along score lines one way, by slots the other
)

// way is a way of parting the boards, with all its options. What it says of width and height is in the board's own
// directions.
type way struct {
	kind    kind
	words   string
	because []string
	frame   bool           // rails on all four sides, not above and below alone
	across  geom.Length    // gap from board to board along the board's width
	along   geom.Length    // the same along its height
	leave   geom.Length    // blank laminate on each board
	beyond  [4]geom.Length // what stands out over the board's sides: slots are so wide that it has room, with room beside it
	room    geom.Length
	// ends, for mixed: the board's left and right side are scored, not its lower and upper one.
	ends      bool
	leastSide geom.Length // of the panel
	tabs      tabs
	open      []pipeline.Finding // errors that stay
}

// tabs are the options of stage breakoff_tabs; what is zero stays as the stage has it.
type tabs struct {
	inset, fromCorner, span, overhang geom.Length
	holes                             int
	spans                             int // how often span and overhang were mended
	fragile                           []string
}

const (
	// Fabricators' minimum and standard (eurocircuits.de, customer-panel guidelines; wedirekt.co.uk, routing and scoring).
	usualGap  = 2 * geom.MM
	gapSource = "the slot that fabricators cut as standard (eurocircuits.de, customer-panel guidelines; wedirekt.co.uk, routing and scoring)"
	// Common practice, no published source: boards 70 mil apart, 35 mil of blank laminate on each.
	usualLeave = 35 * geom.Mil
	// A fabricator's least distance of two lines (eurocircuits.de, customer-panel guidelines), where the program has no rule for it.
	leastStrip = 5 * geom.MM
	// Where the program has no rule for it: parts of neighbours, from memory, no published source.
	partRoom = 500 * geom.UM
	// As stage breakoff_tabs has them: a hole's place and half of its diameter's tolerance (pcbbaltic.lt, tolerances; 3 mil, common practice).
	holeTolerance = 88 * geom.UM
	// The stubs of rows further out are higher than rule stub-height likes. From memory, no published source.
	furthestOut = 300 * geom.UM
	// Usual bounds of from_corner: from memory, no published source, 3 to 5 mm.
	leastFromCorner = 3 * geom.MM
	// A board with a side below this has little room between two corners: 5 mm from each, and a tab of 6 mm with room to choose.
	smallSide = 30 * geom.MM
	// A fabricator's guide has a tab each 50 to 60 mm (jlcpcb.com, panelization guide); more than twice that is not proposed.
	usualSpan, longestSpan = 60 * geom.MM, 120 * geom.MM
)

// fitted gives the way with the gaps that a layout of so many columns and rows asks for. Slots are of one width, so that
// tabs can stand in all of them.
func (w way) fitted(columns, rows int, turned bool) way {
	if w.beyond == [4]geom.Length{} {
		return w
	}
	if turned {
		columns, rows = rows, columns
	}
	out := func(a, b side, n int) geom.Length {
		if n > 1 { // two neighbours' face each other
			return w.beyond[a] + w.beyond[b]
		}
		return max(w.beyond[a], w.beyond[b])
	}
	gap := max(usualGap, up(max(out(left, right, columns), out(lower, upper, rows))+w.room, 100*geom.UM))
	w.across, w.along = gap, gap
	return w
}

// gaps are those between columns and rows on the panel.
func (w way) gaps(turned bool) (x, y geom.Length) {
	if turned {
		return w.along, w.across
	}
	return w.across, w.along
}

// railRoom is what rails and the gaps to them take of the panel's width and height.
func (w way) railRoom(turned bool) (x, y geom.Length) {
	gx, gy := w.railGaps(turned)
	y = 2 * (railWidth + gy)
	if w.frame {
		x = 2 * (railWidth + gx)
	}
	return x, y
}

// railGaps are the gaps between the boards and the rails at the sides, and those above and below.
func (w way) railGaps(turned bool) (x, y geom.Length) {
	x, y = w.gaps(turned)
	if w.kind == mixed {
		if w.scoresAcross(turned) {
			x = 2 * w.leave
		} else {
			y = 2 * w.leave
		}
	}
	return x, y
}

// scoresAcross tells, for mixed, whether lines part columns on the panel, not rows.
func (w way) scoresAcross(turned bool) bool { return w.ends != turned }

// ways gives the ways that come into question, the best first.
func (s *starter) ways() []way {
	f := &s.facts
	var out []way
	against := s.againstLines()
	if len(against) == 0 {
		out = append(out, way{kind: scored, words: "score lines",
			leastSide: s.limits.of("scored-panel-side", 0),
			because:   []string{f.shape() + "; its edges are plain" + s.copperWords()}})
	}
	tab := way{kind: tabbed, across: usualGap, along: usualGap, because: against}
	if f.beyond != [4]geom.Length{} {
		tab.beyond, tab.room = f.beyond, s.limits.of("part-collision", partRoom)
		tab.because = append(tab.because[:len(against):len(against)], "slots are so wide that what stands out has room, between neighbours too")
	}
	if f.rectangle() && f.plain() {
		two := tab
		two.words = "break-off tabs, rails above and below"
		out = append(out, two)
	}
	tab.words, tab.frame = "break-off tabs, rails on all sides", true
	out = append(out, tab)
	if f.rectangle() && f.plain() && s.thickEnough() && (f.drawn || f.beyond == [4]geom.Length{}) {
		out = append(out, way{kind: spaced, words: "score lines that leave blank laminate", frame: true, leave: usualLeave,
			across: 2 * usualLeave, along: 2 * usualLeave,
			because: []string{fmt.Sprintf("%s; its copper %s, too near for tabs or a line there: lines %s off the edge leave so much blank laminate on each board, which is larger by that on every side: mill it off, or see that it fits where the board goes", f.shape(), s.nearestCopper(), usualLeave)}})
	}
	return append(out, s.mixedWays()...)
}

// mixedWays are for boards of which two opposite sides are straight and plain, and of the others one at least is not.
func (s *starter) mixedWays() []way {
	f := &s.facts
	var out []way
	for _, ends := range [2]bool{true, false} {
		a, b := left, right
		if !ends {
			a, b = lower, upper
		}
		c, d := (a+1)%4, (b+1)%4
		if min(f.straight[a], f.straight[b]) < leastStraight || f.barred[a]+f.barred[b] > 0 || f.barred[c]+f.barred[d] == 0 || f.beyond[a]+f.beyond[b] > 0 || !s.thickEnough() {
			continue
		}
		w := way{kind: mixed, frame: true, ends: ends, words: fmt.Sprintf("score lines at the %s and %s side, slots along the others", a, b)}
		strip := s.limits.of("score-spacing", leastStrip)
		why := fmt.Sprintf("%s: neither tab nor score line may be there, and tabs elsewhere do not hold it; the %s and %s side are straight and plain", f.classes, a, b)
		if n := s.copperToLine(); n != nil {
			w.leave = usualLeave
			why += fmt.Sprintf("; copper %s, so lines leave %s of blank laminate on each board", n.lies(), usualLeave)
		}
		scoreGap, slotGap := 2*w.leave+strip, usualGap
		w.across, w.along = scoreGap, slotGap
		if !ends {
			w.across, w.along = slotGap, scoreGap
		}
		w.because = []string{why}
		out = append(out, w)
	}
	return out
}

// againstLines says what speaks against score lines on the board's edge; nothing where they come into question.
func (s *starter) againstLines() []string {
	f := &s.facts
	var why []string
	if !f.rectangle() {
		why = append(why, f.shape()+", so score lines do not follow its edge")
	}
	if !f.plain() {
		why = append(why, f.classes+", where no score line may run")
	}
	if n := s.copperToLine(); n != nil {
		why = append(why, fmt.Sprintf("copper %s, and %s is asked for to a score line (rule copper-to-score)", n.lies(), s.limits.of("copper-to-score", 500*geom.UM)))
	}
	if !s.thickEnough() {
		why = append(why, fmt.Sprintf("the board is %s thick, and scored ones are to be %s at least (rule score-thickness)", f.board.Thickness, s.limits.of("score-thickness", 800*geom.UM)))
	}
	if t := s.beyondWords(); t != "" {
		why = append(why, t+", where a blade would run")
	}
	return why
}

func (s *starter) thickEnough() bool {
	return s.facts.board.Thickness >= s.limits.of("score-thickness", 800*geom.UM)
}

// copperToLine gives the copper that lies too near to the edge for a line on it.
func (s *starter) copperToLine() *near {
	limit := s.limits.of("copper-to-score", 500*geom.UM)
	var worst *near
	for _, n := range [2]*near{s.facts.outer, s.facts.inner} {
		if n != nil && n.size < limit && (worst == nil || n.size < worst.size) {
			worst = n
		}
	}
	return worst
}

// nearest gives the copper nearest to the edge, nil where none is near.
func (s *starter) nearest() *near {
	n := s.facts.outer
	if i := s.facts.inner; n == nil || i != nil && i.size < n.size {
		return i
	}
	return n
}

func (s *starter) nearestCopper() string {
	if n := s.nearest(); n != nil {
		return n.lies()
	}
	return "is not near"
}

// copperWords says how near copper comes to the edge.
func (s *starter) copperWords() string {
	n := s.nearest()
	if n == nil {
		return ", with no copper within 10 mm of them"
	}
	return ", and no copper is nearer to them than " + n.size.String()
}

// beyondWords says what stands out over the edge.
func (s *starter) beyondWords() string {
	var sides []string
	for side, l := range s.facts.beyond {
		if l > 0 {
			sides = append(sides, fmt.Sprintf("%s over the %s side", short(up(l, 10*geom.UM)), s.sideName(side)))
		}
	}
	if len(sides) == 0 {
		return ""
	}
	return fmt.Sprintf("%s stand out (%s)", sentence(sides), s.facts.standOut)
}

func (s *starter) sideName(i int) string { return side(i).String() }

// mended gives the way once more with what may mend what was found, false where nothing is left to try.
func (s *starter) mended(a attempt) (way, bool) {
	w := a.way
	if w.kind == tabbed && a.errors == 0 && a.warnings > 0 && len(w.tabs.fragile) == 0 {
		w.tabs.fragile = partsNear(a.found)
		w.words += ", off the parts near them"
		w.because = append(w.because[:len(w.because):len(w.because)], fmt.Sprintf("without it tabs come too near to %s", counted(len(w.tabs.fragile), "part")))
		return w, len(w.tabs.fragile) > 0
	}
	held := true
	var span, over geom.Length
	for _, f := range a.found {
		if f.Rule != "board-not-held" || !f.Counts() {
			continue
		}
		held = false
		if f.Measured == nil {
			continue
		}
		switch l := geom.FromMM(*f.Measured); f.Option {
		case "longest_free_span":
			span = max(span, l)
		case "longest_overhang":
			over = max(over, l)
		}
	}
	if w.kind != tabbed || !w.frame || held {
		return w, false
	}
	if out, why := s.outwards(); w.tabs.inset == 0 && out > 0 {
		w.tabs.inset = -out
		w.words += ", rows of holes moved outwards"
		w.because = append(w.because[:len(w.because):len(w.because)], why)
		return w, true
	}
	if side := min(s.facts.box.Width(), s.facts.box.Height()); w.tabs.holes == 0 && side < smallSide {
		w.tabs.holes, w.tabs.fromCorner = 3, leastFromCorner
		w.words += ", small"
		w.because = append(w.because[:len(w.because):len(w.because)], fmt.Sprintf("the board's shorter side is %s: tabs are smaller and nearer to corners than usual, so that they find a place", side))
		return w, true
	}
	if (span > 0 || over > 0) && span <= longestSpan && over <= longestSpan/2 && w.tabs.spans < 3 {
		w.tabs.spans++
		if w.tabs.spans == 1 {
			w.words += ", further apart"
		}
		if span > 0 {
			w.tabs.span = up(span, geom.MM)
		}
		if over > 0 {
			w.tabs.overhang = up(over, geom.MM)
		}
		return w, true
	}
	return w, false
}

// partsNear gives the parts that breaks come too near to, by reference designator.
func partsNear(found []pipeline.Finding) []string {
	var out []string
	for _, f := range found {
		if _, part, ok := strings.Cut(f.Feature, "/part/"); ok && f.Counts() && nearBreak(f.Rule) && !strings.ContainsAny(part, `*"\\`) {
			out = append(out, part)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// outwards is how far rows of holes must lie off the board's edge so that at worst tolerance they keep off the copper
// nearest to it; 0 where they may touch the edge, or where it would be too far.
func (s *starter) outwards() (geom.Length, string) {
	var most geom.Length
	why := ""
	for _, x := range []struct {
		n     *near
		limit geom.Length
	}{{s.facts.outer, s.limits.of("copper-to-perforation", 250*geom.UM)}, {s.facts.inner, s.limits.of("inner-copper-to-perforation", 400*geom.UM)}} {
		if x.n == nil {
			continue
		}
		if need := up(x.limit+holeTolerance-x.n.size, 10*geom.UM); need > most {
			most = need
			why = fmt.Sprintf("rows of holes, which are to keep %s from the copper on %s at worst tolerance, %s, lie %s off the edge, and the stubs that stay on the board are so much higher", x.limit, x.n.layer, holeTolerance, need)
		}
	}
	if most <= 0 || most > furthestOut {
		return 0, ""
	}
	return most, why
}
