package start

import (
	"fmt"

	"panelwright/pipeline/geom"
)

// How large a panel is to be, and how many copies it is to have.
const (
	// An assembler's preferred panel (tttrading.co.za, pandawillcircuits.com): 150 x 250 mm.
	preferredLong, preferredShort = 250 * geom.MM, 150 * geom.MM
	preferredSource               = "an assembler prefers 150 x 250 mm (tttrading.co.za, pandawillcircuits.com)"
	// The largest of an assembler's lines (pcbcart.com, panel requirements), where the program has no rule for it.
	mostLong, mostShort = 410 * geom.MM, 310 * geom.MM
	// A fabricator's table of bad copies (lhd-pcb.com) ends at 30.
	mostCopies = 30
	copySource = "a fabricator's table of bad copies (lhd-pcb.com) ends at 30"
	// Where the program has no rule for it: from memory, no published source.
	mostAspect = 4
	// Rails (tttrading.co.za, pandawillcircuits.com): 10 mm and more.
	railWidth  = 10 * geom.MM
	railSource = "assemblers ask for 10 mm (tttrading.co.za, pandawillcircuits.com)"
)

// layout is how the copies lie.
type layout struct {
	columns, rows int
	turned        bool // by a quarter, counter-clockwise
	gapX, gapY    geom.Length
	width, height geom.Length // of the panel
	why           string
}

// count is the number of copies.
func (l layout) count() int { return l.columns * l.rows }

// noRoomError says that no panel can be laid out.
type noRoomError struct{ text string }

func (e *noRoomError) Error() string { return e.text }

// lay finds how often the board is repeated for a way of parting the copies: as often as a usual panel holds.
func (s *starter) lay(w way) (layout, error) {
	long, short := s.limits.of("panel-size", mostLong), s.limits.of("panel-breadth", mostShort)
	aspect := float64(mostAspect)
	if r, ok := s.limits.rules["panel-aspect"]; ok && r.Default != nil {
		aspect = *r.Default
	}
	var all []layout
	for _, turned := range [2]bool{false, true} {
		width, height := s.facts.box.Width(), s.facts.box.Height()
		if turned {
			width, height = height, width
		}
		for columns := 1; columns <= mostCopies; columns++ {
			for rows := 1; columns*rows <= mostCopies; rows++ {
				w := w.fitted(columns, rows, turned)
				one := layout{columns: columns, rows: rows, turned: turned}
				one.gapX, one.gapY = w.gaps(turned)
				railX, railY := w.railRoom(turned)
				one.width = geom.Length(one.columns)*(width+one.gapX) - one.gapX + railX
				one.height = geom.Length(one.rows)*(height+one.gapY) - one.gapY + railY
				if one.width > long || one.height > short || one.width < one.height {
					continue // the longer side lies along the conveyor
				}
				if float64(one.width) > aspect*float64(one.height) {
					continue
				}
				all = append(all, one)
			}
		}
	}
	if len(all) == 0 {
		return layout{}, &noRoomError{fmt.Sprintf("the board is %s x %s mm, and with rails and gaps not one fits a panel of %s x %s mm, the longest that an assembler takes, with its longer side along the conveyor and at most %.3g times as long as broad",
			s.facts.box.Width().Decimal(), s.facts.box.Height().Decimal(), long.Decimal(), short.Decimal(), aspect)}
	}
	usual := func(l layout) bool {
		return l.width <= preferredLong && l.height <= preferredShort && l.width >= w.leastSide && l.height >= w.leastSide
	}
	best, asFiles := all[0], 0 // asFiles: how many a usual panel holds that are not turned
	for _, l := range all {
		if better(l, best, usual) {
			best = l
		}
		if usual(l) && !l.turned {
			asFiles = max(asFiles, l.count())
		}
	}
	best.why = s.whyLayout(best, usual(best), asFiles, long, short)
	return best, nil
}

// better orders layouts: several copies on a usual panel, as many as there is room for; else the smallest panel with
// several; of two alike the smaller panel, the one with shorter sides together, and copies that are not turned.
func better(a, b layout, usual func(layout) bool) bool {
	rank := func(l layout) int {
		switch {
		case usual(l) && l.count() > 1:
			return 2
		case l.count() > 1:
			return 1
		}
		return 0
	}
	if x, y := rank(a), rank(b); x != y {
		return x > y
	}
	area := func(l layout) float64 { return float64(l.width) / 1e6 * (float64(l.height) / 1e6) }
	if rank(a) == 2 && a.count() != b.count() {
		return a.count() > b.count()
	}
	if rank(a) == 2 {
		if x, y := a.width+a.height, b.width+b.height; x != y {
			return x < y
		}
	}
	if x, y := area(a), area(b); x != y {
		return x < y
	}
	return !a.turned && b.turned
}

func (s *starter) whyLayout(l layout, usual bool, asFiles int, long, short geom.Length) string {
	turn := ""
	switch {
	case l.turned && usual && asFiles < l.count():
		turn = fmt.Sprintf(", turned by a quarter, for as the files have them %d would fit", asFiles)
	case l.turned:
		turn = ", turned by a quarter, so that the panel is smaller or its longer side lies along the conveyor"
	}
	text := fmt.Sprintf("%s of %s, %s in all, on a panel of %s x %s mm%s: ", counted(l.columns, "column"), counted(l.rows, "row"), copies(l.count()), l.width.Decimal(), l.height.Decimal(), turn)
	switch {
	case usual && l.count() == mostCopies:
		return text + copySource + ", and " + preferredSource
	case usual && l.count() > 1:
		return text + "as many as fit where " + preferredSource
	case l.count() > 1:
		return text + fmt.Sprintf("%s, which has no room for two; this is the smallest panel with several, and an assembler takes up to %s x %s mm (rules panel-size, panel-breadth)", preferredSource, short.Decimal(), long.Decimal())
	}
	return text + fmt.Sprintf("two do not fit, an assembler takes panels up to %s x %s mm (rules panel-size, panel-breadth)", short.Decimal(), long.Decimal())
}

// panelName names the panel, as by the recipe's name of the board and the number of copies.
func (s *starter) panelName(l layout) string {
	if s.q.Panel != "" {
		return s.q.Panel
	}
	return hyphens(s.name) + fmt.Sprintf("-%dup", l.count())
}
