package intake

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// CheckColumns tells what is wrong with PlacementRule.Columns, nil when nothing is.
func CheckColumns(words []string) error { return centroid.CheckColumns(words) }

// decodePlacement reads a placement table; where its unit is open, in every unit that it may be in.
func (f *File) decodePlacement(data []byte) {
	var opt centroid.Options
	if f.placementRule != nil {
		opt.Unit, opt.Columns = f.placementRule.Unit, f.placementRule.Columns
	}
	t, err := centroid.ReadWith(f.Name, data, opt)
	if err != nil {
		f.Err = err
		return
	}
	f.Unit = t.Unit
	f.table = t
	if t.UnitOpen {
		f.Unit, f.unitOpen = "", true
		f.inUnits = centroid.InUnits(f.Name, data, opt)
	}
	for _, n := range t.Notes {
		s := n.Text
		if n.Line > 0 {
			s = fmt.Sprintf("line %d: %s", n.Line, s)
		}
		if n.Doubt {
			f.doubt(s)
		} else {
			f.Remarks = append(f.Remarks, s)
		}
	}
	f.Parts = partsOf(t)
}

func partsOf(t *centroid.Table) []panel.Part {
	parts := make([]panel.Part, 0, len(t.Rows))
	for _, r := range t.Rows {
		p := panel.Part{Refdes: r.Refdes, Value: r.Value, Package: r.Package, PartNumber: r.PartNumber,
			At: geom.Pt(r.X, r.Y), Turn: r.Rotation}
		switch r.Side {
		case "top":
			p.Side = panel.Top
		case "bottom":
			p.Side = panel.Bottom
		}
		parts = append(parts, p)
	}
	return parts
}

// sided gives the parts their side: the file's own word, else the recipe's or that of the file's name,
// else what the pads say, when they agree with one side alone, else the top. open is how many were
// taken for the top without anybody saying so.
func (r *Result) sided(f *File, parts []panel.Part, pads *padSides) (open int) {
	side := sideByName(f.Name)
	if f.placementRule != nil && f.placementRule.Side != panel.NoSide {
		side = f.placementRule.Side
	}
	for i := range parts {
		if parts[i].Side == panel.NoSide {
			parts[i].Side = side
			if side == panel.NoSide {
				open++
			}
		}
	}
	if open == 0 {
		return 0
	}
	var places []geom.Point
	for _, p := range parts {
		if p.Side == panel.NoSide {
			places = append(places, p.At)
		}
	}
	found := panel.NoSide
	if len(places) >= fewest {
		t, b := pads.on(panel.Top).at(places, geom.Point{}).agree, pads.on(panel.Bottom).at(places, geom.Point{}).agree
		n := float64(len(places))
		switch {
		case float64(t) >= mostAgree*n && float64(b) <= 0.3*n:
			found = panel.Top
		case float64(b) >= mostAgree*n && float64(t) <= 0.3*n:
			found = panel.Bottom
		}
	}
	for i := range parts {
		if parts[i].Side == panel.NoSide {
			parts[i].Side = panel.Top
			if found != panel.NoSide {
				parts[i].Side = found
			}
		}
	}
	if found != panel.NoSide {
		r.find("placement-side", pipeline.Note, fmt.Sprintf("%s: neither a column nor the file's name says on which side its parts are: the %s taken, where the pads agree with them", f.Name, found))
		return 0
	}
	return open
}

// placed settles unit, side and origin of one file, and gives its parts in the board's coordinates.
func (r *Result) placed(f *File, pads *padSides) (parts []panel.Part, is Places, open int) {
	rule := f.placementRule
	if rule == nil {
		rule = &PlacementRule{}
	}
	is.File, is.Unit, is.UnitBy = f.Name, f.Unit, "file"
	if rule.Unit != "" && f.Unit == rule.Unit {
		is.UnitBy = "recipe"
	}
	if f.unitOpen {
		t, how := r.unitByPads(f, rule, pads)
		if t == nil {
			r.problem(f.Name+": nobody says the unit of its places, and neither the board's pads nor its size tell it",
				fmt.Sprintf("say it in the recipe, in the board stage, for example:\n  placement %q {\n    unit = \"mm\"\n  }", f.Name))
			t = f.table
		} else {
			r.find("placement-unit", pipeline.Note, fmt.Sprintf("%s does not say the unit of its places: %s taken, by the %s; a block placement %q in the recipe can say it, with unit = %q", f.Name, t.Unit, how, f.Name, t.Unit))
		}
		f.Unit, f.Parts = t.Unit, partsOf(t)
		is.Unit, is.UnitBy = t.Unit, how
	}
	parts = make([]panel.Part, len(f.Parts))
	copy(parts, f.Parts)
	open = r.sided(f, parts, pads)
	by := is
	if rule.Shift != nil {
		is = Places{Shift: *rule.Shift, ShiftBottom: *rule.Shift, Mirrored: rule.Mirrored != nil && *rule.Mirrored, Verdict: Stated}
	} else {
		is = pads.settle(parts, rule.Mirrored)
	}
	is.File, is.Unit, is.UnitBy = by.File, by.Unit, by.UnitBy
	is.apply(parts, rule.BottomClockwise)
	if rule.Shift != nil {
		now := pads.settle(parts, new(bool))
		is.Agree, is.Of = now.Agree, now.Of
		if now.Verdict == Moved {
			is.BestShift, is.BestAgree = rule.Shift.Add(now.Shift), now.Agree
			is.Agree = pads.count(parts)
		}
	}
	return parts, is, open
}

// count gives how many parts agree with pads where they are.
func (p *padSides) count(parts []panel.Part) int {
	n := 0
	for _, x := range parts {
		if _, ok := p.on(x.Side).field.centre(x.At); ok {
			n++
		}
	}
	return n
}

// unitByPads finds the one unit in which the parts agree with pads, or, where pads do not tell, the one
// in which they spread over the board as parts do.
func (r *Result) unitByPads(f *File, rule *PlacementRule, pads *padSides) (*centroid.Table, string) {
	var best *centroid.Table
	var score, next int
	for _, t := range f.inUnits {
		parts := partsOf(t)
		r.sidedQuietly(f, parts)
		p := pads.settle(parts, rule.Mirrored)
		n := p.Agree
		if p.Verdict == Untold || p.Verdict == Unclear {
			n = 0
			next = max(next, p.BestAgree)
		}
		if n > score {
			best, score, next = t, n, max(next, score)
		} else {
			next = max(next, n)
		}
	}
	if best != nil && float64(next) <= noneElse*float64(score) {
		return best, "pads"
	}
	best = nil
	if !r.Outline.Found {
		return nil, ""
	}
	board := r.Outline.Outline.Box()
	for _, t := range f.inUnits {
		there, off := geom.EmptyBox(), 0
		for _, x := range t.Rows {
			there = there.Extend(geom.Pt(x.X, x.Y))
			if !board.Grow(5 * geom.MM).HoldsPoint(geom.Pt(x.X, x.Y)) {
				off++
			}
		}
		if len(t.Rows) < fewest || 10*off > len(t.Rows) || 4*max(there.Width(), there.Height()) < max(board.Width(), board.Height()) {
			continue
		}
		if best != nil {
			return nil, ""
		}
		best = t
	}
	return best, "size of the board"
}

// sidedQuietly gives parts a side for a trial.
func (r *Result) sidedQuietly(f *File, parts []panel.Part) {
	side := sideByName(f.Name)
	if f.placementRule != nil && f.placementRule.Side != panel.NoSide {
		side = f.placementRule.Side
	}
	if side == panel.NoSide {
		side = panel.Top
	}
	for i := range parts {
		if parts[i].Side == panel.NoSide {
			parts[i].Side = side
		}
	}
}

// tellPlaces says what was found of a file's coordinates.
func (r *Result) tellPlaces(p Places) {
	block := func(s string) string {
		return fmt.Sprintf("a block placement %q in the recipe can state it, with %s", p.File, s)
	}
	shift := func(q geom.Point) string {
		return fmt.Sprintf("shift = [%s, %s]", q.X.Decimal(), q.Y.Decimal())
	}
	switch p.Verdict {
	case Moved:
		s := fmt.Sprintf("%s: its places are not in the coordinates of the layers: moved by %s mm", p.File, p.Shift)
		state := shift(p.Shift)
		if p.Mirrored {
			s = fmt.Sprintf("%s: its places are not in the coordinates of the layers: x of parts on the bottom is mirrored, and all are moved by %s mm", p.File, p.Shift)
			state += ` and bottom_x = "mirrored"`
			if p.ShiftBottom != p.Shift {
				s = fmt.Sprintf("%s: its places are not in the coordinates of the layers: x of parts on the bottom is mirrored, and those are moved by %s mm, the others by %s mm", p.File, p.ShiftBottom, p.Shift)
				state = `two files, one a side`
			}
			if p.Shift == (geom.Point{}) && p.ShiftBottom == p.Shift {
				s = p.File + ": x of its parts on the bottom is mirrored"
			}
		}
		r.find("placement-origin", pipeline.Note, fmt.Sprintf("%s; so %d of %d parts agree with pads, and not so with any other shift; %s", s, p.Agree, p.Of, block(state)))
	case Unclear:
		s := fmt.Sprintf("%s: only %d of %d parts agree with pads as it is written, and no shift is sure to be right", p.File, p.Agree, p.Of)
		if p.BestAgree > p.Agree {
			s += fmt.Sprintf(" (with %s mm %d agree, and with others nearly as many)", p.BestShift, p.BestAgree)
		}
		r.find("placement-origin", pipeline.Warning, s+": its places are taken as written; "+block(shift(geom.Point{})+" if they are right, or with the shift that is"))
	case Stated:
		if p.BestAgree > p.Agree {
			r.find("placement-origin", pipeline.Warning, fmt.Sprintf("%s: with the shift that the recipe states %d of %d parts agree with pads, with %s %d: look whether it is right", p.File, p.Agree, p.Of, shift(p.BestShift), p.BestAgree))
		}
	}
}

// tellLeft says which lines of a file place no part.
func (r *Result) tellLeft(f *File) {
	if f.table == nil || len(f.table.Left) == 0 {
		return
	}
	byWhy := map[string][]string{}
	var order []string
	for _, l := range f.table.Left {
		if byWhy[l.Why] == nil {
			order = append(order, l.Why)
		}
		byWhy[l.Why] = append(byWhy[l.Why], l.Refdes)
	}
	for _, why := range order {
		names := byWhy[why]
		n := len(names)
		if n > 8 {
			names = append(names[:8:8], fmt.Sprintf("%d more", n-8))
		}
		r.find("parts-not-placed", pipeline.Note, fmt.Sprintf("%s: not placed, since %s: %s", f.Name, whyNot(why, n), list(names)))
	}
}

func whyNot(why string, n int) string {
	if n > 1 {
		switch why {
		case "it has no place":
			return "they have no place"
		}
	}
	return why
}
