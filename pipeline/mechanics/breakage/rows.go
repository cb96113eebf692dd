package breakage

import (
	"cmp"
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// row is one row of a tab.
type row struct {
	tab, n int // index into the panel's tabs, into the tab's rows
	copies []int
	line   geom.Edge // straight, from slot to slot
	holes  bool
	moment [2]float64 // that breaks it
}

func (r row) middle() geom.Point { return r.line.At(0.5) }

type rowKey struct {
	tab string
	row int
}

// findRows works out the section of each row.
func (s *survey) findRows(ctx context.Context) error {
	holes := map[rowKey][]panel.Perforation{}
	for _, h := range s.p.Perforations() {
		k := rowKey{h.Tab, h.Row}
		holes[k] = append(holes[k], h)
	}
	for i, t := range s.tabs {
		if err := ctx.Err(); err != nil {
			return err
		}
		for n, r := range t.Rows {
			x := row{tab: i, n: n}
			for _, id := range r.Copies {
				if c, ok := s.byID[id]; ok {
					x.copies = append(x.copies, c)
				}
			}
			line, ok := lineOf(t, r)
			if len(x.copies) == 0 || !ok {
				continue
			}
			own := holes[rowKey{t.ID, n}]
			x.line, x.holes = line, len(own) > 0
			thick := laminate.Of(s.copies[x.copies[0]].Board, s.l).Bare()
			x.moment = s.moments(section(r, line, own, thick))
			s.rows = append(s.rows, x)
		}
	}
	return nil
}

// lineOf is a row's line from slot to slot, taken to be straight. A row without one lies across its tab's foot.
func lineOf(t panel.Tab, r panel.Row) (geom.Edge, bool) {
	if n := len(r.Line); n > 0 && r.Line[0].From != r.Line[n-1].To {
		return geom.Line(r.Line[0].From, r.Line[n-1].To), true
	}
	length := t.Along.Norm()
	if length == 0 || t.Width <= 0 {
		return geom.Edge{}, false
	}
	foot := t.Feet[0]
	if len(r.Copies) > 0 {
		foot = footOn(t, r.Copies[0])
	}
	half := float64(t.Width) / 2 / length
	by := geom.Pt(geom.Round(float64(half*float64(t.Along.X))), geom.Round(float64(half*float64(t.Along.Y))))
	return geom.Line(foot.Sub(by), foot.Add(by)), true
}

// footOn is where a tab stands on a copy.
func footOn(t panel.Tab, id string) geom.Point {
	if len(t.Copies) > 1 && t.Copies[1] == id {
		return t.Feet[1]
	}
	return t.Feet[0]
}

// section gives what is left of a row to bend, weak and strong: they differ in the shoulders alone. A crack runs from an
// end hole to the slot by the shortest way or straight on along the row.
func section(r panel.Row, line geom.Edge, holes []panel.Perforation, thick float64) (out [2]laminate.Row) {
	d := line.To.Sub(line.From)
	length := d.Norm()
	tx, ty := float64(d.X)/length, float64(d.Y)/length
	mm := float64(geom.MM)
	type hole struct{ at, half float64 } // mm along the line
	var along []hole
	for _, h := range holes {
		q := h.At.Sub(line.From)
		along = append(along, hole{(float64(float64(q.X)*tx) + float64(float64(q.Y)*ty)) / mm, float64(h.Diameter) / 2 / mm})
	}
	slices.SortFunc(along, func(a, b hole) int { return cmp.Compare(a.at, b.at) })
	web := laminate.Row{Thickness: thick, Ends: [2]float64{0, length / mm}, Cos: -ty, Sin: tx, Holes: len(holes) > 0}
	edge := 0.0
	for _, h := range along {
		web.Webs = append(web.Webs, max(h.at-h.half-edge, 0))
		edge = max(edge, h.at+h.half)
	}
	web.Webs = append(web.Webs, max(length/mm-edge, 0))
	out = [2]laminate.Row{web, web}
	if least := r.Shoulder.MM(); len(holes) > 0 && least > 0 {
		weak := slices.Clone(web.Webs)
		for _, i := range [2]int{0, len(weak) - 1} {
			weak[i] = min(weak[i], least)
		}
		out[0].Webs = weak
	}
	return out
}

// moments gives what breaks a section across its row, weak and strong.
func (s *survey) moments(section [2]laminate.Row) [2]float64 {
	weak, strong := section[0], section[1]
	least := laminate.Strength(s.l, weak.Cos, weak.Sin, false)
	if weak.Holes {
		least /= s.l.Notch.Value
	}
	return ordered(float64(weak.Modulus()*least), float64(strong.Modulus()*laminate.Highest(s.l, strong.Cos, strong.Sin)))
}

// ordered keeps a range in order, whatever the constants are.
func ordered(a, b float64) [2]float64 { return [2]float64{math.Min(a, b), math.Max(a, b)} }

// ofRows gives the breaks of the rows one by one.
func (s *survey) ofRows() []Break {
	out := make([]Break, 0, len(s.rows))
	for _, r := range s.rows {
		b := Break{Kind: OneTab, Feature: s.tabs[r.tab].ID, Row: r.n, Tabs: []string{s.tabs[r.tab].ID}, At: r.middle(), Moment: r.moment, Cut: !r.holes}
		lightest := math.Inf(1)
		for _, c := range r.copies {
			b.Copies = append(b.Copies, s.copies[c].ID)
			if f := s.facts(c); f.area < lightest { // of two boards the lighter is bent
				lightest = f.area
				b.Lever = lever(s.reachOf(r, c))
			}
		}
		b.Force = over(b.Moment, b.Lever)
		out = append(out, b)
	}
	return out
}
