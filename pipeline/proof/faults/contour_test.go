package faults

import (
	"bytes"
	"fmt"
	"math/rand/v2"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// exact is how far a contour may lie from the board's edge that it follows: roundings.
const exact = 20 * geom.NM

func (s *subject) outline(id string) geom.Outline {
	for _, c := range s.in.Panel.Copies() {
		if c.ID == id {
			return c.Outline()
		}
	}
	return geom.Outline{}
}

// changed is an edit of the profile.
func (s *subject) changed(p *profile, what string, args ...any) (string, map[string][]byte) {
	return fmt.Sprintf(s.name+" "+what, args...), map[string][]byte{s.file("profile.gbr"): p.text()}
}

// leftOpen lifts the pen for one stroke of a contour.
func leftOpen(s *subject, r *rand.Rand) (string, map[string][]byte) {
	name := s.file("profile.gbr")
	text := s.files[name]
	all := strokeLines(text)
	at := pick(r, all)
	m := stroke.FindSubmatch(text[at[0]:at[1]])
	for _, c := range s.profile.contours {
		if len(c) == 1 && c[0].To == coordinates(m[1], m[2]) {
			return "", nil // a circle in one stroke would be lost, not open
		}
	}
	return fmt.Sprintf("%s stroke to X%sY%s", s.name, m[1], m[2]), map[string][]byte{name: replaced(text, at, fmt.Appendf(nil, "X%sY%sD02*", m[1], m[2]))}
}

// strokeLines gives where the lines of strokes are.
func strokeLines(text []byte) (all [][]int) {
	at := 0
	for line := range bytes.Lines(text) {
		if stroke.Match(bytes.TrimSuffix(line, []byte("\n"))) {
			all = append(all, []int{at, at + len(line) - 1})
		}
		at += len(line)
	}
	return all
}

// cutOutLost takes a board's cut-out out of the profile.
func cutOutLost(s *subject, r *rand.Rand) (string, map[string][]byte) {
	c := pick(r, s.in.Panel.Copies())
	if len(c.Board.Outline.CutOuts) == 0 {
		return "", nil
	}
	n := r.IntN(len(c.Board.Outline.CutOuts))
	box := c.Place.Path(c.Board.Outline.CutOuts[n]).Box()
	for i, x := range s.profile.contours {
		b := x.Box()
		if b.Min.Distance(box.Min) > float64(exact) || b.Max.Distance(box.Max) > float64(exact) {
			continue
		}
		less := &profile{s.profile.head, s.profile.tail, append(append([]geom.Path(nil), s.profile.contours[:i]...), s.profile.contours[i+1:]...)}
		return s.changed(less, "%s cut-out %d", c.ID, n+1)
	}
	return "", nil
}

// slotWidened lets a slot bite into a board beside it, away from tabs.
func slotWidened(s *subject, r *rand.Rand) (string, map[string][]byte) {
	all, _, _ := s.profile.edges()
	i := r.IntN(len(all))
	e := all[i]
	f := 0.1 + 0.8*r.Float64()
	at := e.At(f)
	half := float64(200+r.IntN(600)) * float64(geom.UM) / e.Length()
	if half > min(f, 1-f)*0.9 {
		return "", nil
	}
	for _, t := range s.in.Panel.Tabs() {
		if at.Distance(t.Feet[0]) < float64(5*geom.MM) || at.Distance(t.Feet[1]) < float64(5*geom.MM) {
			return "", nil
		}
	}
	for _, c := range s.in.Panel.Copies() {
		if !c.Box().Grow(geom.MM).HoldsPoint(at) || c.Outline().Distance(at) > float64(exact) {
			continue
		}
		depth := geom.Length(50+r.IntN(250)) * geom.UM // what stays lies on the left of a contour
		before, after := part(e, 0, f-half), part(e, f+half, 1)
		bottom := geom.Edge{From: e.Beside(f-half, depth), To: e.Beside(f+half, depth), Center: e.Center, Sense: e.Sense}
		if e.Sense != geom.Straight && e.Radius() < float64(2*depth) {
			return "", nil
		}
		bite := geom.Path{before, geom.Line(before.To, bottom.From), bottom, geom.Line(bottom.To, after.From), after}
		p, err := s.profile.swapped(map[int]bool{i: true}, bite)
		if err != nil {
			return "", nil
		}
		return s.changed(p, "%v deep into %s at %v", depth, c.ID, at)
	}
	return "", nil
}

// islandCut cuts a piece loose in a rail: a ring, or a piece off the panel's edge.
func islandCut(s *subject, r *rand.Rand) (string, map[string][]byte) {
	rail := pick(r, s.in.Panel.Rails())
	between := func(a, b geom.Length) geom.Length { return a + geom.Length(r.Int64N(int64(b-a))) }
	if r.IntN(3) > 0 {
		size := geom.Length(1000+r.IntN(1000)) * geom.UM
		room := rail.Box.Grow(-size - 300*geom.UM)
		if room.Width() < 2 || room.Height() < 2 {
			return "", nil
		}
		at := geom.Pt(between(room.Min.X, room.Max.X), between(room.Min.Y, room.Max.Y))
		if !s.clear(at, size+500*geom.UM) {
			return "", nil
		}
		ring := geom.BoxOf(at).Grow(size)
		piece := ring.Grow(-geom.Length(100+r.IntN(500)) * geom.UM)
		if r.IntN(2) == 0 {
			return s.changed(s.profile.with(geom.Rectangle(ring).Reverse(), geom.Rectangle(piece)), "a square of %v at %v", piece.Width(), at)
		}
		return s.changed(s.profile.with(circle(ring).Reverse(), circle(piece)), "a disc of %v at %v", piece.Width(), at)
	}
	return s.bay(r, rail)
}

// edgesAlong gives the straight strokes of the panel's own edge along a rail, by their numbers among all.
func (s *subject) edgesAlong(rail panel.Rail, all geom.Path) (edges []int) {
	box := s.in.Panel.Outline().Box()
	for i, e := range all {
		q := e.At(0.5)
		if onEdge := q.X == box.Min.X || q.X == box.Max.X || q.Y == box.Min.Y || q.Y == box.Max.Y; onEdge && e.Sense == geom.Straight && rail.Box.HoldsPoint(q) {
			edges = append(edges, i)
		}
	}
	return edges
}

// railCut takes some of a rail that no mark and no board needs: a dent in the panel's edge, a bump on it, or a hole.
// Nothing is damaged, loose or open; what is built is not what was planned.
func railCut(s *subject, r *rand.Rand) (string, map[string][]byte) {
	rail := pick(r, s.in.Panel.Rails())
	all, _, _ := s.profile.edges()
	edges := s.edgesAlong(rail, all)
	if len(edges) == 0 {
		return "", nil
	}
	i := pick(r, edges)
	e := all[i]
	f := 0.1 + 0.8*r.Float64()
	half := float64(500+r.IntN(1000)) * float64(geom.UM) / e.Length()
	depth := geom.Length(20+r.IntN(280)) * geom.UM
	at := e.At(f)
	if half > min(f, 1-f)*0.9 || !s.clear(at, 3*geom.MM) {
		return "", nil
	}
	what, inward := "a dent", depth
	switch r.IntN(3) {
	case 0:
		middle := e.Beside(f, 1500*geom.UM)
		if !rail.Box.Grow(-geom.MM).HoldsPoint(middle) || !s.clear(middle, geom.MM) {
			return "", nil
		}
		return s.changed(s.profile.with(circle(geom.BoxOf(middle).Grow(depth)).Reverse()), "a hole of radius %v at %v", depth, middle)
	case 1:
		what, inward = "a bump", -depth
	}
	a, b, c, d := e.At(f-half), e.Beside(f-half, inward), e.Beside(f+half, inward), e.At(f+half)
	p, err := s.profile.swapped(map[int]bool{i: true}, geom.Path{geom.Line(e.From, a), geom.Line(a, b), geom.Line(b, c), geom.Line(c, d), geom.Line(d, e.To)})
	if err != nil {
		return "", nil
	}
	return s.changed(p, "%s of %v in the edge at %v", what, depth, at)
}

// bay makes a bay in the panel's edge along a rail, with a piece in it that touches nothing.
func (s *subject) bay(r *rand.Rand, rail panel.Rail) (string, map[string][]byte) {
	all, _, _ := s.profile.edges()
	edges := s.edgesAlong(rail, all)
	if len(edges) == 0 {
		return "", nil
	}
	i := pick(r, edges)
	e := all[i]
	f := 0.1 + 0.8*r.Float64()
	wide := float64(1500+r.IntN(2000)) * float64(geom.UM) / e.Length()
	deep := geom.Length(1000+r.IntN(2000)) * geom.UM
	if wide/2 > min(f, 1-f)*0.9 || !s.clear(e.At(f), 4*geom.MM) {
		return "", nil
	}
	bay := func(from, to float64, d0, d1 geom.Length) geom.Path {
		a, b, c, d := e.Beside(from, d0), e.Beside(from, d1), e.Beside(to, d1), e.Beside(to, d0)
		return geom.Path{geom.Line(a, b), geom.Line(b, c), geom.Line(c, d), geom.Line(d, a)}
	}
	round := bay(f-wide/2, f+wide/2, 0, deep)
	before, after := geom.Line(e.From, round[0].From), geom.Line(round[2].To, e.To)
	p, err := s.profile.swapped(map[int]bool{i: true}, geom.Path{before, round[0], round[1], round[2], after})
	if err != nil {
		return "", nil
	}
	room := float64(200*geom.UM) / e.Length()
	piece := bay(f-wide/2+room, f+wide/2-room, 0, deep-200*geom.UM)
	return s.changed(p.with(piece.Reverse()), "a piece of the edge at %v", e.At(f))
}

// clear tells whether no contour and no mark lies within a distance of a place, its own contour left out.
func (s *subject) clear(at geom.Point, within geom.Length) bool {
	for _, m := range s.in.Panel.Marks() {
		if at.Distance(m.At) < float64(within+max(m.Diameter, m.Clear)/2) {
			return false
		}
	}
	all, _, _ := s.profile.edges()
	near := 0
	for _, e := range all {
		if d, _ := geom.PointEdgeDistance(at, e); d > 1 && d < float64(within) {
			near++
		}
	}
	return near == 0
}

func circle(b geom.Box) geom.Path {
	left, right := geom.Pt(b.Min.X, b.Center().Y), geom.Pt(b.Max.X, b.Center().Y)
	return geom.Path{geom.Arc(right, left, b.Center(), geom.CounterClockwise), geom.Arc(left, right, b.Center(), geom.CounterClockwise)}
}

// tabRemoved lets the slots on both sides of a tab run into one another: the slots' ends that face the tab
// go, and the edges of what the tab joins are led on.
func tabRemoved(s *subject, r *rand.Rand) (string, map[string][]byte) {
	tabs := s.in.Panel.Tabs()
	n := r.IntN(len(tabs))
	t := tabs[n]
	if !holdsWithout(s.in.Panel, n) {
		return "", nil
	}
	all, before, after := s.profile.edges()
	sides := []geom.Outline{s.outline(t.Copies[0])}
	if len(t.Copies) > 1 {
		sides = append(sides, s.outline(t.Copies[1]))
	}
	gap := t.Feet[0].Distance(t.Feet[1])
	// level says which side's edge a corner of a contour lies on: 1 or 2, 0 for none.
	level := func(q geom.Point) int {
		switch d := sides[0].Distance(q); {
		case d <= float64(exact):
			return 1
		case len(sides) > 1 && sides[1].Distance(q) <= float64(exact), len(sides) == 1 && d >= gap-float64(2*geom.UM):
			return 2
		}
		return 0
	}
	middle := geom.Pt((t.Feet[0].X+t.Feet[1].X)/2, (t.Feet[0].Y+t.Feet[1].Y)/2)
	away := map[int]bool{}
	// end finds the end of the slot that lies that way from the tab's middle: from which corner to which.
	end := func(way geom.Length) (from, to int, ok bool) {
		ray := geom.Line(middle, geom.Pt(middle.X+way*t.Along.X, middle.Y+way*t.Along.Y))
		best, hit := -1.0, -1
		for i, e := range all {
			for _, q := range ray.Intersections(e) {
				if d := middle.Distance(q); best < 0 || d < best {
					best, hit = d, i
				}
			}
		}
		if hit < 0 {
			return 0, 0, false
		}
		from, to = hit, hit
		away[hit] = true
		for steps := 0; level(all[from].From) == 0; steps++ {
			if from = before[from]; steps > 20 || from == hit {
				return 0, 0, false
			}
			away[from] = true
		}
		for steps := 0; level(all[to].To) == 0; steps++ {
			if to = after[to]; steps > 20 || to == hit {
				return 0, 0, false
			}
			away[to] = true
		}
		return from, to, level(all[from].From) != level(all[to].To)
	}
	fromA, toA, okA := end(8)
	fromB, toB, okB := end(-8)
	if !okA || !okB || level(all[fromA].From) != level(all[toB].To) {
		return "", nil
	}
	joined := geom.Path{ledOn(all[before[fromA]], all[fromA].From, all[toB].To, all[after[toB]]), ledOn(all[before[fromB]], all[fromB].From, all[toA].To, all[after[toA]])}
	for _, e := range joined {
		if level(e.From) != 1 && len(sides) == 1 {
			continue // the other side is waste, whose edge may be any
		}
		for _, f := range []float64{0.25, 0.5, 0.75} {
			if o := sides[level(e.From)-1]; o.Distance(e.At(f)) > float64(geom.UM) {
				return "", nil // the edge bends within the tab, and is not so simply led on
			}
		}
	}
	p, err := s.profile.swapped(away, joined)
	if err != nil {
		return "", nil
	}
	return s.changed(p, "%s", t.ID)
}

// ledOn joins two corners as the strokes before and after them run: along their common circle, or straight.
func ledOn(before geom.Edge, from, to geom.Point, after geom.Edge) geom.Edge {
	if before.Sense == after.Sense && before.Sense != geom.Straight && before.Center.Distance(after.Center) <= float64(exact) {
		return geom.Arc(from, to, before.Center, before.Sense)
	}
	return geom.Line(from, to)
}

// holdsWithout tells whether all that the tabs hold together holds together without one of them.
func holdsWithout(p panel.Panel, without int) bool {
	group := map[string]string{}
	var find func(string) string
	find = func(x string) string {
		if y, ok := group[x]; ok && y != x {
			return find(y)
		}
		group[x] = x
		return x
	}
	pieces := func(skip int) int {
		clear(group)
		for i, t := range p.Tabs() {
			a, b := find(t.Copies[0]), find(t.Copies[len(t.Copies)-1])
			if t.Rail != "" {
				b = find(t.Rail)
			}
			if i != skip {
				group[a] = b
			}
		}
		n := 0
		for x := range group {
			if find(x) == x {
				n++
			}
		}
		return n
	}
	return pieces(without) == pieces(-1)
}
