package breakofftabs

import (
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// rowOf is where one row of a tab lies.
type rowOf struct {
	copy  int
	at    float64     // of the tab's foot along the copy's outline
	rise  geom.Length // of the row outside the copy's edge
	share int         // another copy that shares the row, or -1
	holes bool        // false: no holes, the tab is cut off by hand along the board's edge
}

// rowsOf says which rows a tab gets: one along each board's edge; where the slot is too narrow for two
// with material between their holes, one midway that both boards share.
func (s *standing) rowsOf(t candidate) []rowOf {
	rise := s.rise()
	first := rowOf{t.copy, t.at, rise, -1, true}
	bare := rowOf{t.target, t.otherAt, 0, -1, false}
	switch {
	case s.Perforate == "none" && t.target < 0:
		return []rowOf{{t.copy, t.at, 0, -1, false}}
	case s.Perforate == "none":
		return []rowOf{{t.copy, t.at, 0, -1, false}, bare}
	case t.target < 0:
		return []rowOf{first}
	case s.Perforate == "one_side":
		return []rowOf{first, bare}
	}
	if geom.Round(t.gap)-2*rise < s.HoleDiameter+s.BetweenHoles {
		return []rowOf{{t.copy, t.at, geom.Round(t.gap / 2), t.target, true}}
	}
	return []rowOf{first, {t.target, t.otherAt, rise, -1, true}}
}

// perforate makes a row's holes along the board's true edge, and its figures. slots are the slots near
// the tab.
func (s *standing) perforate(t panel.Tab, index int, r rowOf, line *track, slots []geom.Edge) (panel.Row, []panel.Perforation) {
	c := s.copies[r.copy]
	foot, _ := c.track.at(r.at)
	middle := line.project(foot)
	pitch := float64(s.HoleDiameter + s.BetweenHoles)
	first := middle - float64(pitch*float64(s.HolesPerTab-1)/2)
	row := panel.Row{Copies: []string{c.ID}, Inset: s.HoleDiameter/2 + s.HoleDiameter%2 - r.rise}
	if !r.holes {
		row.Inset = 0
		half := float64(t.Width) / 2
		row.Line = c.Place.Path(s.lineOf(line, middle-half/2, middle+half/2, c.Place, slots, t.Width))
		return row, nil
	}
	if r.share >= 0 {
		row.Copies = append(row.Copies, s.copies[r.share].ID)
	}
	id := t.ID
	if index > 0 {
		id += "/far"
	}
	var holes []panel.Perforation
	for h := range s.HolesPerTab {
		p, _ := line.at(first + float64(pitch*float64(h)))
		holes = append(holes, panel.Perforation{ID: fmt.Sprintf("%s/hole/%d", id, h+1), Tab: t.ID, Row: index, Copy: c.ID,
			At: c.Place.Apply(p), Diameter: s.HoleDiameter})
	}
	row.Line = c.Place.Path(s.lineOf(line, first, first+float64(pitch*float64(s.HolesPerTab-1)), c.Place, slots, t.Width))
	s.measure(&row, holes, r, slots)
	return row, holes
}

// lineOf gives the row's line from slot to slot: led on past the outer holes until it runs into a slot.
func (s *standing) lineOf(line *track, first, last float64, place geom.Transform, slots []geom.Edge, width geom.Length) geom.Path {
	reach := float64(width+s.HoleDiameter+s.BetweenHoles) + 2*float64(s.corner) + float64(s.width)
	before, after := reach, reach
	nearest := func(path geom.Path, fromEnd bool, best *float64) {
		done := 0.0
		for i := range path {
			e := path[i]
			if fromEnd {
				e = path[len(path)-1-i].Reverse()
			}
			on := place.Edge(e)
			for _, w := range slots {
				for _, q := range on.Intersections(w) {
					*best = min(*best, done+on.Along(q))
				}
			}
			done += e.Length()
		}
	}
	nearest(line.stretch(last, last+reach), false, &after)
	nearest(line.stretch(first-reach, first), true, &before)
	return line.stretch(first-before, last+after)
}

// measure fills in a row's figures.
func (s *standing) measure(row *panel.Row, holes []panel.Perforation, r rowOf, slots []geom.Edge) {
	off, grown := s.PositionTolerance, s.DiameterTolerance
	web := math.Inf(1)
	for i := 1; i < len(holes); i++ {
		web = min(web, holes[i].At.Distance(holes[i-1].At)-float64(s.HoleDiameter))
	}
	shoulder := math.Inf(1)
	for _, h := range []panel.Perforation{holes[0], holes[len(holes)-1]} {
		for _, w := range slots {
			d, _ := geom.PointEdgeDistance(h.At, w)
			shoulder = min(shoulder, d-float64(s.HoleDiameter)/2)
		}
	}
	row.Web, row.Shoulder = down(web), down(shoulder)
	// Two holes off towards each other, both as wide as they may be; one hole off towards the slot.
	row.WorstWeb = row.Web - 2*off - grown
	row.WorstShoulder = row.Shoulder - off - grown/2
	// The row breaks along its holes' centres at the latest: what is nearer the board stays on it.
	row.Stub = max(s.standsOut(*row, holes, r), 0)
	if r.rise < 0 { // inside of the edge it runs from the last hole to the slot, and a shoulder stays
		outline := s.copies[r.copy].Outline()
		for _, h := range []panel.Perforation{holes[0], holes[len(holes)-1]} {
			least, at := math.Inf(1), h.At
			for _, w := range slots {
				if d, q := geom.PointEdgeDistance(h.At, w); d < least {
					least, at = d, q
				}
			}
			row.Stub = max(row.Stub, up(geom.Outline{Outer: outline.Outer}.Distance(at)))
		}
	}
	row.WorstStub = row.Stub + off
}

// standsOut is how far a row that breaks straight from slot to hole to hole to slot leaves material on the
// board: as far as it lies outside the edge, and where the edge bends inwards a little more.
func (s *standing) standsOut(row panel.Row, holes []panel.Perforation, r rowOf) geom.Length {
	c := s.copies[r.copy]
	if len(row.Line) == 0 {
		return r.rise
	}
	length := row.Line.Length()/2 + 2*math.Abs(float64(r.rise))
	edge := c.track.stretch(r.at-length, r.at+length)
	if len(edge) == 1 && edge[0].Sense == geom.Straight {
		return r.rise
	}
	back := c.Place.Inverse()
	points := []geom.Point{back.Apply(row.Line[0].From)}
	for _, h := range holes {
		points = append(points, back.Apply(h.At))
	}
	points = append(points, back.Apply(row.Line[len(row.Line)-1].To))
	const parts = 8 // of the way from one to the next
	most := r.rise
	for i := 1; i < len(points); i++ {
		way := geom.Line(points[i-1], points[i])
		for k := range parts - 1 {
			q := way.At(float64(k+1) / parts)
			d := math.Inf(1)
			for _, e := range edge {
				l, _ := geom.PointEdgeDistance(q, e)
				d = min(d, l)
			}
			// Roundings make no micrometre more.
			if out := up(d); out > most+geom.UM && c.Board.Outline.Locate(q) == geom.Outside {
				most = out
			}
		}
	}
	return most
}

// up rounds a figure to the micrometre above.
func up(v float64) geom.Length { return geom.Length(math.Ceil(v/1000)) * geom.UM }

// down rounds a figure to the micrometre below; 0 where it is not finite.
func down(v float64) geom.Length {
	if math.IsInf(v, 0) {
		return 0
	}
	return geom.Length(math.Floor(v/1000)) * geom.UM
}
