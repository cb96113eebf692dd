package legend

import (
	"context"
	"fmt"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
)

// A place is where a group goes.
type place struct {
	panel panel.Panel // its rail may have become wider
	group group
	pose  lettering.Pose
	on    string // the rail's id, or "a point"
}

// step is how finely free places are looked for.
const step = 250 * geom.UM

// findRoom puts the group on the first rail that has room for it.
func (l *Legend) findRoom(ctx context.Context, in panel.Panel, say says) (place, error) {
	var why []string
	var size geom.Box
	for _, r := range in.Rails() {
		if l.On != "" && string(r.Side) != l.On {
			continue
		}
		if err := ctx.Err(); err != nil {
			return place{}, err
		}
		turn := l.turn(r.Side)
		g, err := l.group(in, say, turn)
		if err != nil {
			return place{}, err
		}
		size = g.box
		p := lettering.Pose{Side: panel.Side(l.Side), Turn: turn}
		wide, err := widened(in, r, p.Box(g.box), l.Clearance)
		if err != nil {
			return place{}, err
		}
		r, _ = wide.Rail(r.Side)
		box := p.Box(g.box)
		if across(r, box) > r.Width()-2*l.Clearance {
			why = append(why, fmt.Sprintf("%s is %v wide, and %v are needed", r.ID, r.Width(), across(r, box)+2*l.Clearance))
			continue
		}
		at, ok := l.search(wide, r, box, p)
		if !ok {
			why = append(why, fmt.Sprintf("%s, %v long, has no free stretch of that length", r.ID, along(r, r.Box)))
			continue
		}
		p.At = at.Sub(box.Min)
		return place{wide, g, p, r.ID}, nil
	}
	if len(why) == 0 {
		return place{}, fmt.Errorf("the panel has no %s rail: name one that it has with on, or say at", l.On)
	}
	return place{}, fmt.Errorf("there is no room for a print of %s, kept %v clear of edges, holes, fiducials, slots, score lines and other prints: %s. "+
		"Make the letters or the code smaller, stack the words, widen the rails, name another rail with on, print before what fills the rails, or say at",
		sizeText(size), l.Clearance, strings.Join(why, "; "))
}

// widened lets a rail whose width is left open grow to what the print needs, as it does for marks. Where
// slots, score lines or prints lie along it already, it keeps its width.
func widened(in panel.Panel, r panel.Rail, box geom.Box, clearance geom.Length) (panel.Panel, error) {
	need := across(r, box) + 2*clearance
	if !r.Derived || need <= r.Width() || len(in.Slots())+len(in.Tabs())+len(in.Scores())+len(in.Prints()) > 0 {
		return in, nil
	}
	return in.Edit().FitRail(r.Side, need).Build()
}

func level(r panel.Rail) bool { return r.Side == panel.Upper || r.Side == panel.Lower }

// across is a box's extent across a rail, along that along it.
func across(r panel.Rail, b geom.Box) geom.Length {
	if level(r) {
		return b.Height()
	}
	return b.Width()
}

func along(r panel.Rail, b geom.Box) geom.Length {
	if level(r) {
		return b.Width()
	}
	return b.Height()
}

// search looks for a free place of a box on a rail and gives its lower left corner: in the rail's middle
// first, then further to either side; along the rail from the end or middle that align says.
func (l *Legend) search(in panel.Panel, r panel.Rail, box geom.Box, p lettering.Pose) (geom.Point, bool) {
	room := r.Box.Grow(-l.Clearance)
	free := newGround(in, panel.Side(l.Side), room, l.Clearance)
	n, m := along(r, room)-along(r, box), across(r, room)-across(r, box)
	if n < 0 || m < 0 {
		return geom.Point{}, false
	}
	spot := func(s, t geom.Length) geom.Point {
		if level(r) {
			return room.Min.Add(geom.Pt(s, t))
		}
		return room.Min.Add(geom.Pt(t, s))
	}
	size := geom.Pt(box.Width(), box.Height())
	fits := func(s, t geom.Length) (bool, geom.Length, geom.Length) {
		at := spot(s, t)
		ok, block := free.takes(geom.Box{Min: at, Max: at.Add(size)})
		if ok || block.Empty() {
			return ok, 0, 0
		}
		// What is in the way is left behind at once: the box goes just past its box.
		low, high := block.Min.X-room.Min.X, block.Max.X-room.Min.X
		if !level(r) {
			low, high = block.Min.Y-room.Min.Y, block.Max.Y-room.Min.Y
		}
		return false, low - along(r, box), high
	}
	rise := func(s, t geom.Length) (geom.Length, bool) {
		for ; ; s = min(s, n) {
			ok, _, next := fits(s, t)
			if ok || s == n {
				return s, ok
			}
			s = max(s+step, next)
		}
	}
	fall := func(s, t geom.Length) (geom.Length, bool) {
		for ; ; s = max(s, 0) {
			ok, next, _ := fits(s, t)
			if ok || s == 0 {
				return s, ok
			}
			if next == 0 {
				next = s
			}
			s = min(s-step, next)
		}
	}
	look := func(t geom.Length) (geom.Length, bool) {
		end := l.end(r, p)
		if end < 0 {
			return rise(0, t)
		} else if end > 0 {
			return fall(n, t)
		}
		up, okUp := rise(n/2, t)
		down, okDown := fall(n/2, t)
		if okDown && (!okUp || n/2-down < up-n/2) {
			return down, true
		}
		return up, okUp
	}
	for d := geom.Length(0); d <= m/2; d += step {
		for _, t := range []geom.Length{m/2 + d, m/2 - d} {
			if s, ok := look(t); ok {
				return spot(s, t), true
			}
			if d == 0 {
				break
			}
		}
	}
	return geom.Point{}, false
}

// end tells to which end of a rail a print goes: −1 left or below, 1 right or above, 0 the middle. Left is
// where one begins to read.
func (l *Legend) end(r panel.Rail, p lettering.Pose) int {
	if l.Align == "centre" {
		return 0
	}
	to := p.Point(geom.Pt(geom.MM, 0)).Sub(p.Point(geom.Point{}))
	ahead := to.X
	if !level(r) {
		ahead = to.Y
	}
	if (ahead < 0) != (l.Align == "right") {
		return 1
	}
	return -1
}

// ground is what stands on a rail already.
type ground struct {
	shapes    *geom.Shapes
	boxes     []geom.Box // of what may be passed at once: grown by the clearance; empty for others
	clearance geom.Length
}

func newGround(in panel.Panel, side panel.Side, room geom.Box, clearance geom.Length) ground {
	g := ground{clearance: clearance}
	var shapes []geom.Shape
	reach := room.Grow(clearance)
	add := func(s geom.Shape, whole bool) {
		b := s.Box()
		if !b.Overlaps(reach) {
			return
		}
		shapes = append(shapes, s)
		if whole {
			g.boxes = append(g.boxes, b.Grow(clearance))
		} else {
			g.boxes = append(g.boxes, geom.EmptyBox())
		}
	}
	disc := func(at geom.Point, d geom.Length) {
		from := at.Add(geom.Pt((d+1)/2, 0))
		add(geom.Outline{Outer: geom.Path{geom.Arc(from, from, at, geom.CounterClockwise)}}, true)
	}
	rectangle := func(b geom.Box) { add(geom.Outline{Outer: geom.Rectangle(b)}, true) }
	for _, e := range in.Outline().Edges() {
		add(geom.Path{e}, false)
	}
	for _, m := range in.Marks() {
		if m.Kind == panel.ToolingHole {
			disc(m.At, m.Diameter)
			continue
		}
		for _, s := range m.Sides {
			if s == side {
				disc(m.At, max(m.Diameter, m.Mask, m.Clear))
			}
		}
	}
	for _, s := range in.Slots() {
		add(s.Outline, false)
	}
	for _, h := range in.Perforations() {
		disc(h.At, h.Diameter)
	}
	for _, s := range in.Scores() {
		rectangle(geom.BoxOf(s.From, s.To).Grow(s.HalfWidth() + s.PositionTolerance + s.RunOut))
	}
	for _, b := range in.Blanks() {
		add(b.Outline, false)
	}
	for _, c := range in.Copies() {
		if c.Box().Overlaps(room) { // one beside the rail keeps no clearance of its own
			add(c.Outline(), false)
		}
	}
	for _, p := range in.Prints() {
		if p.Use != panel.RailMask && printedOn(p, side) {
			rectangle(p.Area)
		}
	}
	g.shapes = geom.Gather(shapes...)
	return g
}

// printedOn tells whether something of a print shows on a side.
func printedOn(p panel.Print, side panel.Side) bool {
	for _, f := range p.Layers {
		if f.Side == side {
			return true
		}
	}
	return false
}

// takes tells whether a box stands clear of everything. Where it does not, block is the box of what is in
// the way, with its clearance, empty where that cannot be passed at once.
func (g ground) takes(b geom.Box) (ok bool, block geom.Box) {
	const rounding = 2 // nm
	if near := g.shapes.Within(geom.Outline{Outer: geom.Rectangle(b.Grow(-rounding))}, float64(g.clearance)); len(near) > 0 {
		return false, g.boxes[near[0].Shape]
	}
	return true, geom.EmptyBox()
}
