package drawing

import "panelwright/pipeline/geom"

// Span is what a dimension along an axis states, and how.
type Span struct {
	View     View
	Index    int         // the view's place in its sheet
	From, To geom.Point  // real
	Words    string      // what is stated; empty: Value in the style's units
	Value    geom.Length // what is stated, exactly; 0: what is measured
	Of       []Fact
	Before   bool // words that do not fit between the arrows stand to the left or below, not to the right or above
	// Level has the words of a dimension along y stand level beside the middle of its line, to the right of it, or with
	// Before to the left.
	Level bool
	// NoFrom and NoTo leave out an extension line: an edge is drawn there already.
	NoFrom, NoTo bool
}

// MeasureX is a dimension along x; its dimension line lies at the height y of paper.
func MeasureX(p Span, y geom.Length, s Style) Dimension {
	a, b := p.View.Paper(p.From), p.View.Paper(p.To)
	d := p.start(LinearX, (p.To.X - p.From.X).Abs(), s)
	from, to, l := geom.Pt(a.X, y), geom.Pt(b.X, y), layLine(b.X-a.X, d.Text.S, p.Before, s)
	d.Lines = p.lines(a, b, from, to, l)
	d.Text = Above(geom.Pt(min(a.X, b.X)+l.text, y), d.Text.S, l.align, s)
	return d
}

// MeasureY is a dimension along y; its dimension line lies at x of paper, and the words read from below.
func MeasureY(p Span, x geom.Length, s Style) Dimension {
	a, b := p.View.Paper(p.From), p.View.Paper(p.To)
	d := p.start(LinearY, (p.To.Y - p.From.Y).Abs(), s)
	words := d.Text.S
	if p.Level {
		words = ""
	}
	from, to, l := geom.Pt(x, a.Y), geom.Pt(x, b.Y), layLine(b.Y-a.Y, words, p.Before, s)
	d.Lines = p.lines(a, b, from, to, l)
	if p.Level {
		d.Text = beside(geom.Pt(x, (a.Y+b.Y)/2), d.Text.S, !p.Before, ExtendOver+besideGap, s)
		return d
	}
	d.Text = LeftOf(geom.Pt(x, min(a.Y, b.Y)+l.text), d.Text.S, l.align, s)
	return d
}

func (p Span) start(k DimensionKind, measured geom.Length, s Style) Dimension {
	d := Dimension{Kind: k, View: p.Index, From: p.From, To: p.To, Value: int64(p.Value), Of: p.Of}
	if p.Value == 0 {
		d.Value = int64(measured)
	}
	if d.Text.S = p.Words; d.Text.S == "" {
		d.Text.S = s.Units.Length(geom.Length(d.Value))
	}
	return d
}

// laid is how a dimension line lies along its axis, from its lesser end.
type laid struct {
	start, end geom.Length // of the line
	outside    bool        // the arrows stand outside and point inwards
	text       geom.Length // where the words stand
	align      Align
}

// layLine finds room for arrows and words: between the ends where they fit, else beyond one of them.
func layLine(signed geom.Length, words string, before bool, s Style) laid {
	const clear = 500 * geom.UM
	span, w := signed.Abs(), Width(words, s.Letter, false)
	l := laid{end: span, text: span / 2, align: Middle}
	if span < 2*ArrowLength+geom.MM {
		l.outside = true
		l.start, l.end = -2*ArrowLength, span+2*ArrowLength
	}
	switch {
	case w+2*clear <= span:
	case before:
		l.text, l.align = -ArrowLength-clear, End
		l.start = min(l.start, l.text-w)
	default:
		l.text, l.align = span+ArrowLength+clear, Start
		l.end = max(l.end, l.text+w)
	}
	return l
}

// lines draws dimension line, extension lines and arrows: from a and b, what is measured, to from and to, on the
// dimension line.
func (p Span) lines(a, b, from, to geom.Point, l laid) []Shape {
	if to.Less(from) {
		a, b, from, to = b, a, to, from
		p.NoFrom, p.NoTo = p.NoTo, p.NoFrom
	}
	along := Direction{1, 0}
	if from.X == to.X {
		along = Direction{0, 1}
	}
	out := []Shape{Line(along.From(from, l.start), along.From(from, l.end))}
	for _, x := range []struct {
		at, foot geom.Point
		no       bool
	}{{a, from, p.NoFrom}, {b, to, p.NoTo}} {
		if x.no || x.at.Distance(x.foot) <= float64(ExtendGap) {
			continue
		}
		d := Toward(x.at, x.foot)
		out = append(out, Line(d.From(x.at, ExtendGap), d.From(x.foot, ExtendOver)))
	}
	if l.outside {
		return append(out, Arrow(from, along), Arrow(to, along.Back()))
	}
	return append(out, Arrow(from, along.Back()), Arrow(to, along))
}
