package detail

import (
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// scoreDetail is score lines that are cut alike.
type scoreDetail struct {
	lines     []panel.Score
	shown     panel.Score // one that jumps, where any does
	thickness geom.Length
}

// scoreSections groups lines that are cut alike, in the order of the first of each.
func scoreSections(p panel.Panel) (out []*scoreDetail) {
	alike := func(a, b panel.Score) bool {
		a.ID, a.From, a.To, a.RunOut, a.BladeDiameter = b.ID, b.From, b.To, b.RunOut, b.BladeDiameter
		return a == b
	}
	for _, x := range p.Scores() {
		i := slices.IndexFunc(out, func(g *scoreDetail) bool { return alike(x, g.lines[0]) })
		if i < 0 {
			i = len(out)
			out = append(out, &scoreDetail{thickness: p.Thickness(), shown: x})
		}
		d := out[i]
		d.lines = append(d.lines, x)
		if x.Jumps() && !d.shown.Jumps() {
			d.shown = x
		}
	}
	return out
}

// cut is the section's plane on the panel: across the line, off its middle, where other lines may cross.
func (d *scoreDetail) cut() [2]geom.Point {
	const reach = 5 * geom.MM
	x := d.shown
	at := geom.Line(x.From, x.To).At(0.37)
	across := drawing.Toward(x.From, x.To).Left()
	return [2]geom.Point{across.From(at, -reach), across.From(at, reach)}
}

// detail makes the contract of it.
func (d *scoreDetail) detail() Detail {
	return Detail{Title: "Section through score line", Cut: d.cut(), Like: len(d.lines)}
}

// scales gives the largest and the smallest scale that the section is drawn by: so that words beside the dimension lines
// have room between the faces.
func (d *scoreDetail) scales() (most, least drawing.Scale) {
	most, least = drawing.Scale{Paper: 20, Real: 1}, drawing.Scale{Paper: 50, Real: 1}
	if d.thickness < 800*geom.UM {
		most = least
	}
	for _, s := range scales {
		if s.Paper > s.Real && s.On(d.thickness) >= 6*geom.MM {
			least = s
		}
	}
	return most, least
}

// draw draws the section, and where lines jump how they run out.
func (d *scoreDetail) draw(letter string, s drawing.Style, scale drawing.Scale) drawing.Sheet {
	x, t := d.shown, d.thickness
	half := x.HalfWidth()
	of := func(what string) drawing.Fact { return drawing.Fact{Feature: x.ID, What: what} }
	reach := half + max(t*2/5, 400*geom.UM)
	shows := x.Leave > 0 && x.Leave <= 2*t // laminate that stays can be drawn
	if shows {
		reach = max(reach, x.Leave+300*geom.UM)
	}
	window := geom.Box{Min: geom.Pt(-reach, 0), Max: geom.Pt(reach, t)}
	axis := scale.Of(3 * geom.MM) // how far the line's plane is drawn on beyond the faces
	p := newPiece("section "+letter, s, scale, window.Grow(axis))
	v := p.Views[0]
	f := v.Path(geom.Rectangle(window)).Box()
	edge := reach
	low, high := x.Depth, t-x.Depth
	path := func(pts ...geom.Point) (out geom.Path) {
		for i := 1; i < len(pts); i++ {
			out = append(out, geom.Line(pts[i-1], pts[i]))
		}
		return out
	}
	upper := path(geom.Pt(-edge, t), geom.Pt(-half, t), geom.Pt(0, high), geom.Pt(half, t), geom.Pt(edge, t))
	lower := path(geom.Pt(-edge, 0), geom.Pt(-half, 0), geom.Pt(0, low), geom.Pt(half, 0), geom.Pt(edge, 0))
	solid := append(slices.Clone(lower), geom.Line(geom.Pt(edge, 0), geom.Pt(edge, t)))
	solid = append(append(solid, upper.Reverse()...), geom.Line(geom.Pt(-edge, t), geom.Pt(-edge, 0)))
	p.draw(0, drawing.Shape{Layer: drawing.Details, Fill: drawing.Hatch, Paths: []geom.Path{solid}},
		lines(drawing.Outline, drawing.Wide, upper, lower),
		lines(drawing.Score, drawing.Pen{Width: drawing.Fine.Width, Dash: drawing.LongDashDot}, geom.Path{geom.Line(geom.Pt(0, -axis), geom.Pt(0, t+axis))}))
	left, right := f.Min.X, f.Max.X

	web := drawing.MeasureY(drawing.Span{View: v, From: geom.Pt(0, low), To: geom.Pt(0, high), Value: x.RemainingWeb, Level: true,
		Words: s.Units.Toleranced("", x.RemainingWeb, x.WebTolerance), Of: facts(of("remaining_web"), x.WebTolerance > 0, of("web_tolerance"))}, right+5*geom.MM, s)
	p.dimension(web)
	p.dimension(drawing.MeasureY(drawing.Span{View: v, From: geom.Pt(edge, 0), To: geom.Pt(edge, t), Value: t, Level: true,
		Words: "(" + s.Units.Length(t) + ")", Of: []drawing.Fact{of("thickness")}}, web.Text.Box().Max.X+4*geom.MM, s))
	p.dimension(drawing.MeasureY(drawing.Span{View: v, From: geom.Pt(-half, t), To: geom.Pt(0, high), Value: x.Depth, Level: true, Before: true,
		Words: s.Units.Length(x.Depth) + " each face", Of: []drawing.Fact{of("depth")}}, left-5*geom.MM, s))
	over := scale.On(x.Depth+axis) + 6*geom.MM
	angle := drawing.MeasureAngle(drawing.Opening{View: v, Vertex: geom.Pt(0, high), From: geom.Pt(half, t), To: geom.Pt(-half, t), Value: x.IncludedAngle,
		Words: x.IncludedAngle.Decimal() + "° (whole angle)", Of: []drawing.Fact{of("included_angle")}, Reach: over}, s)
	p.dimension(angle)
	if shows {
		y := f.Min.Y - 8*geom.MM
		p.draw(0, lines(drawing.Boards, drawing.Pen{Width: drawing.Narrow.Width, Dash: drawing.LongDashDot2},
			geom.Path{geom.Line(geom.Pt(-x.Leave, 0), geom.Pt(-x.Leave, t))}, geom.Path{geom.Line(geom.Pt(x.Leave, 0), geom.Pt(x.Leave, t))}))
		p.dimension(drawing.MeasureX(drawing.Span{View: v, From: geom.Pt(0, 0), To: geom.Pt(x.Leave, 0), Words: s.Units.Length(x.Leave) + " to the board's edge, each side",
			Of: []drawing.Fact{of("leave")}, NoFrom: true}, y, s))
	}
	if x.Jumps() {
		d.runOut(p, s, of)
	}

	below := []say{{words: d.which()}}
	if x.BladeOffsetTolerance > 0 {
		below = append(below, say{"Upper beside lower cut: within " + s.Units.Within(x.BladeOffsetTolerance), int64(x.BladeOffsetTolerance), of("blade_offset_tolerance")})
	}
	if x.PositionTolerance > 0 {
		below = append(below, say{"Both cuts beside the line: within " + s.Units.Within(x.PositionTolerance), int64(x.PositionTolerance), of("position_tolerance")})
	}
	if x.Leave > 0 && !shows {
		below = append(below, say{"Blank laminate that stays on each board: " + s.Units.Length(x.Leave), int64(x.Leave), of("leave")})
	}
	return p.finish(letter+"–"+letter, d.detail().Title, below...)
}

// facts gives a fact, and another where it is stated too.
func facts(a drawing.Fact, also bool, b drawing.Fact) []drawing.Fact {
	if also {
		return []drawing.Fact{a, b}
	}
	return []drawing.Fact{a}
}

// which says which lines are cut so.
func (d *scoreDetail) which() string {
	if n := len(d.lines); n != 1 {
		return fmt.Sprintf("%d score lines are cut so, alike from both faces", n)
	}
	return "Score line " + d.lines[0].ID + ", alike from both faces"
}

// runOut draws, from the side, how a line that jumps ends: at its full depth as far as To, then getting shallower.
func (d *scoreDetail) runOut(p *piece, s drawing.Style, of func(string) drawing.Fact) {
	x, t := d.shown, d.thickness
	before, after := 5*geom.MM, x.RunOut+3*geom.MM
	scale := drawing.Scale{Paper: 1, Real: 1}
	for _, by := range []int64{5, 2} {
		if (before+after)*geom.Length(by) <= 90*geom.MM {
			scale.Paper = by
			break
		}
	}
	window := geom.Box{Min: geom.Pt(-before, -200*geom.UM), Max: geom.Pt(after, t+200*geom.UM)}
	box := p.drawn()
	at := geom.Pt(box.Min.X+8*geom.MM, box.Min.Y-26*geom.MM)
	i := p.view(p.Views[0].Name+", run-out", scale, window, at)
	low, high := x.Depth, t-x.Depth
	rise := x.RunOut // how much of the run-out is the blade's rim
	if r := x.BladeDiameter; r > x.Depth {
		rise = min(x.RunOut, geom.Round(math.Sqrt(float64(x.Depth)*float64(r-x.Depth))))
	}
	start := x.RunOut - rise
	groove := func(deep, surface, middle geom.Length, sense geom.Sense) geom.Path {
		out := geom.Path{geom.Line(geom.Pt(-before, deep), geom.Pt(start, deep))}
		if x.BladeDiameter > x.Depth {
			return append(out, geom.Arc(geom.Pt(start, deep), geom.Pt(x.RunOut, surface), geom.Pt(start, middle), sense))
		}
		return append(out, geom.Line(geom.Pt(start, deep), geom.Pt(x.RunOut, surface)))
	}
	r := x.BladeDiameter / 2
	body := geom.Rectangle(geom.Box{Min: geom.Pt(-before, 0), Max: geom.Pt(after, t)})
	p.draw(i, lines(drawing.Outline, drawing.Wide, body),
		lines(drawing.Score, drawing.Pen{Width: drawing.Narrow.Width, Dash: drawing.Dashed}, groove(high, t, high+r, geom.CounterClockwise), groove(low, 0, low-r, geom.Clockwise)))
	v := p.Views[i]
	f := p.frame(i)
	p.dimension(drawing.MeasureX(drawing.Span{View: v, Index: i, From: geom.Pt(0, 0), To: geom.Pt(x.RunOut, 0), Words: s.Units.Length(x.RunOut) + " at most",
		Of: []drawing.Fact{of("run_out")}}, f.Min.Y-7*geom.MM, s))
	words := "Run-out of a line that ends within the panel   " + scale.String()
	top := geom.Pt(f.Min.X, f.Max.Y+10*geom.MM)
	p.Texts = append(p.Texts, drawing.Text{Layer: drawing.Notes, S: words, At: top, Height: s.Letter})
	at = v.Paper(geom.Pt(0, t))
	shapes, text := drawing.Leader("full depth up to here", true, true, s, at, geom.Pt(at.X+4*geom.MM, at.Y+5*geom.MM))
	text.Layer = drawing.Names
	p.Shapes, p.Texts = append(p.Shapes, shapes...), append(p.Texts, text)
	if x.BladeDiameter > 0 {
		middle := geom.Pt(start, high+r)
		on := geom.Line(geom.Pt(start, high), geom.Pt(x.RunOut, t)).At(0.5)
		to := drawing.Toward(middle, on).From(middle, r)
		from := geom.Pt(2*middle.X-to.X, 2*middle.Y-to.Y)
		tip := v.Paper(to)
		shapes, text := drawing.Leader("blade "+s.Units.Diameter(x.BladeDiameter), true, true, s, tip, geom.Pt(f.Max.X+5*geom.MM, tip.Y-geom.MM))
		p.dimension(drawing.Dimension{Kind: drawing.Diameter, View: i, From: from, To: to, Value: int64(x.BladeDiameter), Text: text, Lines: shapes, Of: []drawing.Fact{of("blade_diameter")}})
	}
}
