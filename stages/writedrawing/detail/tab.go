package detail

import (
	"context"
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// tabDetail is one kind of tab, its geometry in a frame of its own: the first foot at the origin, the slot along x.
type tabDetail struct {
	tab        panel.Tab
	kind       TabKind
	others     int // kinds without a detail; told on the last one that has one
	turned     geom.Angle
	to         geom.Transform // panel to frame
	above      bool           // the first copy lies above its edge
	window     geom.Box
	open       []geom.Path // what is cut away
	boards     []geom.Path // what of boards there is
	edges      []geom.Path // the boards' edges
	contours   []geom.Path // of what stays
	rows       []geom.Path
	rims       []geom.Edge // edges of what is cut away, for the shoulder
	holes      []panel.Perforation
	tolerance  geom.Length
	slot       geom.Length
	otherBoard bool
	onPlan     bool // the plan states the width of the kind's slots
}

// frameOf gives the transform into the frame of a tab, turned as little as may be.
func frameOf(t panel.Tab) (geom.Transform, geom.Angle) {
	turn := geom.Angle(0)
	switch {
	case t.Along.Y == 0:
	case t.Along.X == 0:
		turn = -geom.Quarter
		if t.Along.Y < 0 {
			turn = geom.Quarter
		}
	default:
		turn = -geom.FromDegrees(geom.Atan2(float64(t.Along.Y), float64(t.Along.X)) * 180 / math.Pi)
		if turn > geom.Quarter {
			turn -= geom.Half
		} else if turn < -geom.Quarter {
			turn += geom.Half
		}
	}
	return geom.Transform{Shift: geom.Pt(-t.Feet[0].X, -t.Feet[0].Y)}.Then(geom.Transform{Turn: turn}), turn
}

// newTab works out the geometry of a kind's drawn tab.
func newTab(ctx context.Context, p panel.Panel, k TabKind, tolerance geom.Length) (*tabDetail, error) {
	t := p.Tabs()[k.Shown]
	d := &tabDetail{tab: t, kind: k, tolerance: tolerance, slot: SlotWidth(t), otherBoard: len(t.Copies) > 1, onPlan: gapsOnPlan(p, k)}
	d.to, d.turned = frameOf(t)
	other := d.to.Apply(t.Feet[1])
	d.above = other.Y < 0 || other.Y == 0 && t.Along.X > 0
	// From memory: as much of the slot's ends and of what the tab joins as shows what they are.
	beside := min(d.slot*9/10, 3*geom.MM) + 600*geom.UM
	const behind = 1400 * geom.UM
	d.window = geom.BoxOf(geom.Point{}, geom.Pt(0, other.Y))
	d.window = geom.Box{Min: geom.Pt(-t.Width/2-beside, d.window.Min.Y-behind), Max: geom.Pt(t.Width/2+beside, d.window.Max.Y+behind)}

	back := d.to.Inverse()
	near := back.Box(d.window)
	window := overlay.Operand{Paths: []geom.Path{geom.Rectangle(d.window)}}
	o := overlay.Options{Workers: 1}
	away := overlay.Operand{Rule: overlay.NonZero}
	for _, s := range p.Slots() {
		if s.Outline.Box().Overlaps(near) {
			for _, q := range append([]geom.Path{s.Outline.Outer}, s.Outline.CutOuts...) {
				away.Paths = append(away.Paths, d.to.Path(q))
			}
		}
	}
	var copies overlay.Operand
	for _, c := range p.Copies() {
		if !c.Box().Overlaps(near) {
			continue
		}
		outline := d.to.Outline(c.Outline())
		copies.Paths = append(copies.Paths, outline.Outer)
		for _, q := range outline.CutOuts {
			if q.Area() < 0 {
				q = q.Reverse()
			}
			away.Paths = append(away.Paths, q)
		}
		d.edges = append(d.edges, trim(outline.Outer, d.window)...)
	}
	panelEdge := overlay.Operand{Paths: []geom.Path{d.to.Path(p.Outline().Outer)}}
	whole, err := overlay.Intersection(ctx, o, window, panelEdge)
	if err != nil {
		return nil, err
	}
	stays, err := overlay.Difference(ctx, o, overlay.Of(whole...), away)
	if err != nil {
		return nil, err
	}
	open, err := overlay.Difference(ctx, o, overlay.Of(whole...), overlay.Of(stays...))
	if err != nil {
		return nil, err
	}
	boards, err := overlay.Intersection(ctx, o, overlay.Of(stays...), copies)
	if err != nil {
		return nil, err
	}
	d.open, d.boards = open.Paths(), boards.Paths()
	for _, q := range stays.Paths() {
		d.contours = append(d.contours, within(q, d.window)...)
	}
	for _, q := range d.contours {
		d.rims = append(d.rims, q...)
	}
	for _, r := range t.Rows {
		d.rows = append(d.rows, d.to.Path(r.Line))
	}
	for _, h := range p.Perforations() {
		if !near.HoldsPoint(h.At) {
			continue
		}
		h.At = d.to.Apply(h.At)
		if d.window.Holds(geom.BoxOf(h.At).Grow(h.Diameter / 2)) {
			d.holes = append(d.holes, h)
		}
	}
	return d, nil
}

// detail makes the contract of it.
func (d *tabDetail) detail() Detail {
	title := "Break-off tab"
	return Detail{Title: title, Where: d.to.Inverse().Box(d.window), Like: len(d.kind.Tabs)}
}

// body names what a tab stands on.
func body(name string) string {
	kind, side, _ := strings.Cut(name, "/")
	switch kind {
	case "rail":
		return side + " rail"
	case "waste":
		return "waste that stays"
	}
	return name
}

// draw draws the detail.
func (d *tabDetail) draw(letter, title string, s drawing.Style, scale drawing.Scale) drawing.Sheet {
	p := newPiece("detail "+letter, s, scale, d.window)
	p.draw(0, drawing.Shape{Layer: drawing.Slots, Fill: drawing.Light, Paths: d.open},
		drawing.Shape{Layer: drawing.Boards, Fill: drawing.Hatch, Paths: d.boards},
		lines(drawing.Boards, drawing.Pen{Width: drawing.Narrow.Width, Dash: drawing.Dashed}, d.edges...),
		lines(drawing.Outline, drawing.Wide, d.contours...))
	var rims, middles []geom.Path
	for _, h := range d.holes {
		rims = append(rims, circle(h.At, h.Diameter))
	}
	for _, r := range d.rows {
		middles = append(middles, trim(r, d.window)...)
	}
	p.draw(0, drawing.Shape{Layer: drawing.Perforations, Pen: drawing.Narrow, Fill: drawing.Paper, Paths: rims},
		lines(drawing.Perforations, drawing.Pen{Width: drawing.Fine.Width, Dash: drawing.LongDashDot}, middles...))
	p.border(0)

	f := p.frame(0)
	v := p.Views[0]
	of := func(what string) []drawing.Fact { return []drawing.Fact{{Feature: d.tab.ID, What: what}} }
	// side gives the height of the n-th dimension line beyond the window, on the side of the first copy or on the other.
	side := func(first bool, n int) geom.Length {
		if first == d.above {
			return f.Max.Y + 4*geom.MM + 7*geom.MM*geom.Length(n)
		}
		return f.Min.Y - 7*geom.MM - 7*geom.MM*geom.Length(n)
	}
	middle := d.to.Apply(d.tab.Feet[1])
	middle = geom.Pt(middle.X/2, middle.Y/2)
	p.dimension(drawing.MeasureX(drawing.Span{View: v, From: geom.Pt(middle.X-d.tab.Width/2, middle.Y), To: geom.Pt(middle.X-d.tab.Width/2+d.tab.Width, middle.Y),
		Of: of("width"), Before: true}, side(false, 0), s))
	p.dimension(d.slotWidth(v, f, of("slot_width"), s))
	below := []say{}
	if d.kind.Row >= 0 {
		below = append(below, d.drawRow(p, v, side, of)...)
	}
	d.tellOtherRows(p, v)
	d.nameBodies(p, v)
	p.setLabels(0)

	var first []string
	if n := len(d.kind.Tabs); n > 1 {
		first = append(first, fmt.Sprintf("%d tabs are like this one", n))
	} else {
		first = append(first, "one tab")
	}
	if d.turned != 0 {
		tenth := geom.Angle(geom.MulDiv(int64(d.turned), 1, int64(geom.Degree/10))) * (geom.Degree / 10)
		first = append(first, "turned by "+tenth.Decimal()+"°")
	}
	notes := []say{{words: strings.Join(first, "; ") + "; places: see the table of tabs"}}
	notes = append(notes, below...)
	if d.others == 1 {
		notes = append(notes, say{words: "1 other kind: see the table of kinds of tabs"})
	} else if d.others > 1 {
		notes = append(notes, say{words: fmt.Sprintf("%d other kinds: see the table of kinds of tabs", d.others)})
	}
	return p.finish(letter, title, notes...)
}

// slotWidth is the slot's width, in brackets where the plan states it: as an auxiliary dimension (ISO 129-1).
func (d *tabDetail) slotWidth(v drawing.View, f geom.Box, of []drawing.Fact, s drawing.Style) drawing.Dimension {
	from, to := geom.Point{}, d.to.Apply(d.tab.Feet[1])
	// Where the edges run straight on to the window's border, that is where they are measured.
	straight := true
	for _, r := range d.edges {
		straight = straight && (r[0].Sense == geom.Straight)
	}
	if straight {
		from.X, to.X = d.window.Min.X, d.window.Min.X
	}
	words := s.Units.Length(d.slot)
	if d.onPlan {
		words = "(" + words + ")"
	}
	return drawing.MeasureY(drawing.Span{View: v, From: from, To: to, Value: d.slot, Words: words, Of: of, Level: true, Before: true},
		f.Min.X-6*geom.MM, s)
}

// drawRow dimensions the first row that has holes.
func (d *tabDetail) drawRow(p *piece, v drawing.View, side func(bool, int) geom.Length, of func(string) []drawing.Fact) []say {
	s := p.style
	r := d.tab.Rows[d.kind.Row]
	holes := make([]panel.Perforation, len(d.kind.FirstHoles))
	for i, h := range d.kind.FirstHoles {
		h.At = d.to.Apply(h.At)
		holes[i] = h
	}
	if holes[0].At.X > holes[len(holes)-1].At.X { // from left to right
		for i, k := 0, len(holes)-1; i < k; i, k = i+1, k-1 {
			holes[i], holes[k] = holes[k], holes[i]
		}
	}
	n := len(holes)
	// Words of dimensions stand to the left, those of leaders to the right: they do not meet.
	first := d.kind.Row == 0 // along the first copy's edge
	last := holes[n-1]
	dia := last.Diameter
	// Words of dimensions stand to the left, those of leaders to the right: they do not meet.
	if n > 1 {
		d.spacing(p, v, holes, r, first, side, of)
	}
	// Hole diameter: at the hole nearest to the labels.
	out := geom.Pt(last.At.X+dia*2/5, last.At.Y) // a point of the rim, up or down and right
	if d.above == first {
		out.Y += dia * 3 / 10
	} else {
		out.Y -= dia * 3 / 10
	}
	opposite := geom.Pt(2*last.At.X-out.X, 2*last.At.Y-out.Y)
	p.labels = append(p.labels, label{words: fmt.Sprintf("%d× %s", n, s.Units.Toleranced("Ø", dia, d.tolerance)), at: v.Paper(out), end: onEdge,
		dim: &drawing.Dimension{Kind: drawing.Diameter, From: opposite, To: out, Value: int64(dia), Of: of("hole_diameter")}})
	if a, b, ok := d.shoulder(holes, r); ok {
		p.labels = append(p.labels, label{words: "shoulder " + s.Units.Length(r.Shoulder), at: v.Paper(geom.Pt((a.X+b.X)/2, (a.Y+b.Y)/2)), end: onArea,
			dim: &drawing.Dimension{Kind: drawing.Aligned, From: a, To: b, Value: int64(r.Shoulder), Of: of("shoulder")}})
	}
	d.tellInset(p, v, holes, r, first, of)
	below := []say{}
	if len(r.Copies) > 1 {
		below = append(below, say{words: "One row for both boards, midway"})
	}
	below = append(below, say{words: "Stub on the board after breaking, at worst " + s.Units.Length(r.WorstStub), value: int64(r.WorstStub), of: of("stub_at_worst")[0]})
	return below
}

// tellOtherRows tells of the rows that are not dimensioned.
func (d *tabDetail) tellOtherRows(p *piece, v drawing.View) {
	s := p.style
	for i := range d.tab.Rows {
		if i == d.kind.Row || len(d.rows[i]) == 0 {
			continue
		}
		at := d.rows[i][len(d.rows[i])-1].At(0.5)
		if d.kind.Holes[i] == 0 {
			p.labels = append(p.labels, label{words: "no holes: cut off by hand along the board's edge", at: v.Paper(at), end: onEdge})
			continue
		}
		p.labels = append(p.labels, label{words: d.otherRow(i, s), at: v.Paper(d.rows[i][len(d.rows[i])-1].To), end: onPlace})
	}
}

// spacing states web and pitch: by dimensions along the slot where the row is straight enough, else by leaders.
func (d *tabDetail) spacing(p *piece, v drawing.View, holes []panel.Perforation, r panel.Row, first bool, side func(bool, int) geom.Length, of func(string) []drawing.Fact) {
	s, n, dia := p.style, len(holes), holes[0].Diameter
	even := alike(holes)
	pitch := geom.Round(d.kind.FirstHoles[0].At.Distance(d.kind.FirstHoles[1].At))
	// Of two that lie level enough: what is measured along the slot is what is stated, to two micrometres.
	level := func(i int) bool {
		return (holes[i+1].At.X - holes[i].At.X - pitch).Abs() <= 2*geom.UM
	}
	web := label{words: "(web " + s.Units.Length(r.Web) + ")", end: onArea, dim: &drawing.Dimension{Kind: drawing.Aligned, Value: int64(r.Web), Of: of("web")}}
	at := -1
	for i := n - 2; i >= 0; i-- {
		if (i < n-2 || n < 3) && level(i) {
			at = i
		}
	}
	if even && at >= 0 {
		p.dimension(drawing.MeasureX(drawing.Span{View: v, From: geom.Pt(holes[at].At.X+dia/2, holes[at].At.Y), To: geom.Pt(holes[at+1].At.X-dia/2, holes[at+1].At.Y),
			Value: r.Web, Words: "(" + s.Units.Length(r.Web) + ")", Of: of("web"), Before: true}, side(first, 0), s))
	} else {
		least := 0
		for i := range n - 1 {
			if holes[i].At.Distance(holes[i+1].At) < holes[least].At.Distance(holes[least+1].At) {
				least = i
			}
		}
		out := drawing.Toward(holes[least].At, holes[least+1].At)
		web.dim.From, web.dim.To = out.From(holes[least].At, dia/2), out.Back().From(holes[least+1].At, dia/2)
		web.at = v.Paper(geom.Line(web.dim.From, web.dim.To).At(0.5))
		p.labels = append(p.labels, web)
	}
	times, words := 0, s.Units.Length(pitch)
	if even && n > 2 {
		times = n - 1
		words = fmt.Sprintf("%d× %s", times, words)
	}
	if even && at >= 0 && n > 2 && level(n-2) {
		x := drawing.MeasureX(drawing.Span{View: v, From: holes[n-2].At, To: holes[n-1].At, Value: pitch, Words: words, Of: of("pitch"), Before: true}, side(first, 1), s)
		x.Times = times
		p.dimension(x)
		return
	}
	if !even {
		words += " between these two"
	}
	a, b := d.to.Apply(d.kind.FirstHoles[0].At), d.to.Apply(d.kind.FirstHoles[1].At)
	if even && a.X < holes[n/2].At.X { // equal ones: the pair nearer to the words
		a, b = holes[n-2].At, holes[n-1].At
	}
	p.labels = append(p.labels, label{words: "pitch " + words, at: v.Paper(geom.Line(a, b).At(0.5)), end: onArea,
		dim: &drawing.Dimension{Kind: drawing.Aligned, From: a, To: b, Value: int64(pitch), Times: times, Of: of("pitch")}})
}

// otherRow words the row that is not dimensioned.
func (d *tabDetail) otherRow(i int, s drawing.Style) string {
	a, b := d.tab.Rows[d.kind.Row], d.tab.Rows[i]
	if d.kind.Holes[i] == d.kind.Holes[d.kind.Row] && a.Inset == b.Inset && (a.Web-b.Web).Abs() <= coarse {
		return "second row alike"
	}
	return fmt.Sprintf("second row: %d holes, web %s", d.kind.Holes[i], s.Units.Length(b.Web))
}

// alike tells whether the holes lie at equal distances, but for rounding.
func alike(holes []panel.Perforation) bool {
	first := holes[0].At.Distance(holes[1].At)
	for i := 2; i < len(holes); i++ {
		if math.Abs(holes[i].At.Distance(holes[i-1].At)-first) > 1000 {
			return false
		}
	}
	return true
}

// shoulder gives the narrowest place between an outer hole and the slot: a point on the hole's rim and one on the slot's.
func (d *tabDetail) shoulder(holes []panel.Perforation, r panel.Row) (from, to geom.Point, ok bool) {
	best := math.Inf(1)
	var h panel.Perforation
	for _, x := range []panel.Perforation{holes[len(holes)-1], holes[0]} {
		for _, e := range d.rims {
			if l, q := geom.PointEdgeDistance(x.At, e); l < best-1000 {
				best, to, h = l, q, x
			}
		}
	}
	if r.Shoulder <= 0 || math.IsInf(best, 1) || best == 0 {
		return from, to, false
	}
	f := float64(h.Diameter) / 2 / best
	return geom.Line(h.At, to).At(f), to, true
}

// tellInset says how the row lies to the board's edge.
func (d *tabDetail) tellInset(p *piece, v drawing.View, holes []panel.Perforation, r panel.Row, first bool, of func(string) []drawing.Fact) {
	if len(r.Copies) > 1 {
		return // midway between two boards
	}
	h := holes[(len(holes)-1)/2]
	toBoard := geom.Length(1)
	if first != d.above {
		toBoard = -1
	}
	rim := geom.Pt(h.At.X, h.At.Y+toBoard*h.Diameter/2)
	edge := geom.Pt(rim.X, rim.Y-toBoard*r.Inset)
	words := "holes touch the board's edge from outside"
	switch {
	case r.Inset > 0:
		words = "holes reach " + p.style.Units.Length(r.Inset) + " over the board's edge"
	case r.Inset < 0:
		words = "holes keep " + p.style.Units.Length(-r.Inset) + " clear of the board's edge"
	}
	p.labels = append(p.labels, label{words: words, at: v.Paper(geom.Pt(rim.X, (rim.Y+edge.Y)/2)), end: onEdge,
		dim: &drawing.Dimension{Kind: drawing.Aligned, From: edge, To: rim, Value: int64(r.Inset.Abs()), Of: of("inset")}})
}

// nameBodies says what the tab joins.
func (d *tabDetail) nameBodies(p *piece, v drawing.View) {
	other := d.tab.Rail
	if d.otherBoard {
		other = "board " + d.tab.Copies[1]
	} else {
		other = body(other)
	}
	quarter := d.window.Height() / 12
	top, bottom := d.window.Max.Y-quarter, d.window.Min.Y+quarter
	names := [2]string{"board " + d.tab.Copies[0], other}
	if !d.above {
		names[0], names[1] = names[1], names[0]
	}
	for i, y := range [2]geom.Length{top, bottom} {
		at := geom.Pt(0, y)
		for _, x := range []geom.Length{d.window.Max.X - d.window.Width()/12, d.window.Max.X / 2} {
			if q := geom.Pt(x, y); !d.cutAt(q) {
				at = q
				break
			}
		}
		p.labels = append(p.labels, label{words: names[i], at: v.Paper(at), end: onArea})
	}
}

// cutAt tells whether a place is cut away.
func (d *tabDetail) cutAt(q geom.Point) bool {
	n := 0
	for _, path := range d.open {
		n += path.Winding(q)
	}
	return n != 0
}
