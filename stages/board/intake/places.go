package intake

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Places tells how the places of one placement file become those of the board.
type Places struct {
	File     string
	Unit     string     // as taken
	UnitBy   string     // who says it: "file", "recipe", "pads", "size of the board"
	Shift    geom.Point // added to the file's places
	Mirrored bool       // x of the parts on the bottom is negated first
	// ShiftBottom is what is added on the bottom instead, where it is mirrored.
	ShiftBottom geom.Point
	Agree, Of   int // parts that agree with pads, and how many there are on sides with pads
	Verdict     Verdict
	BestShift   geom.Point // when Unclear: what fits best, and BestAgree parts agree
	BestAgree   int
	BestMirror  bool
}

// Verdict says how sure the coordinates of a placement are.
type Verdict string

// The verdicts.
const (
	Untold    Verdict = "not to be told by pads" // too few parts or no pads
	AsWritten Verdict = "as written"             // the pads agree
	Moved     Verdict = "moved"                  // the pads agree after a shift, and with no other
	Stated    Verdict = "stated"                 // the recipe says it
	Unclear   Verdict = "unclear"                // the pads do not agree, and no shift stands out
)

// padSides holds what placements are held against, made when a placement asks for it.
type padSides struct {
	r    *Result
	made map[panel.Side]*fitter
}

func (p *padSides) on(side panel.Side) *fitter {
	if f, ok := p.made[side]; ok {
		return f
	}
	f := newFitter(p.r.padsOn(side))
	p.made[side] = f
	return f
}

// pool is the places of one side.
type pool struct {
	fitter *fitter
	places []geom.Point
}

// mirrored gives the places with x negated.
func (p pool) mirrored() pool {
	out := pool{p.fitter, make([]geom.Point, len(p.places))}
	for i, q := range p.places {
		out.places[i] = geom.Pt(-q.X, q.Y)
	}
	return out
}

// How sure one must be to move a placement: common sense, no published source. Parts of several
// pads in a row, and those placed by another point than their centre, never agree.
const (
	mostAgree   = 0.6  // of the parts, at least
	noneElse    = 0.75 // of that number at most may agree with any other shift
	luckAtMost  = -3   // logarithm of how many shifts as good as this luck alone would give
	enoughAgree = 0.5  // of the parts, to take places as they are written
	muchBetter  = 1.05 // times as many agree with another shift: then they are not taken so
	fewest      = 4    // parts of which something can be told
)

// standing is what the pads say of the places of one side.
type standing struct {
	Verdict
	fit
	mirror bool
	best   fit // whatever it is worth
}

// hold holds the places of one side against its pads, mirrored or not as mirror says, both when nil.
func (p pool) hold(mirror *bool) standing {
	n := float64(len(p.places))
	if len(p.places) < fewest {
		return standing{Verdict: Untold}
	}
	type found struct {
		fit
		mirror bool
	}
	var all []found
	for _, m := range []bool{false, true} {
		if mirror != nil && *mirror != m {
			continue
		}
		q := p
		if m {
			q = p.mirrored()
		}
		a, b := q.fitter.search(q.places)
		all = append(all, found{a, m}, found{b, m})
	}
	slices.SortStableFunc(all, func(a, b found) int { return cmp.Compare(b.agree, a.agree) })
	best, second := all[0], found{}
	for _, x := range all[1:] {
		if x.mirror != best.mirror || x.shift.Distance(best.shift) > 4*float64(agreement) {
			second = x
			break
		}
	}
	plain := p
	turned := mirror != nil && *mirror
	if turned {
		plain = p.mirrored()
	}
	now := plain.fitter.at(plain.places, geom.Point{}).agree
	same := best.mirror == turned && best.shift.Distance(geom.Point{}) <= 4*float64(agreement)
	clear := float64(second.agree) <= noneElse*float64(best.agree)
	out := standing{fit: best.fit, mirror: best.mirror, best: best.fit, Verdict: Unclear}
	switch {
	case same && (float64(now) >= enoughAgree*n || now >= fewest-1 && clear),
		float64(now) >= enoughAgree*n && float64(best.agree) < math.Max(float64(now+2), muchBetter*float64(now)):
		out.Verdict, out.fit, out.mirror = AsWritten, fit{agree: now}, turned
	case float64(best.agree) >= mostAgree*n && clear && p.fitter.chance(len(p.places), best.agree) <= luckAtMost:
		out.Verdict = Moved
	default:
		out.fit.agree = now
	}
	return out
}

// under gives how many places agree with what another side says: the same shift, mirrored or not.
func (p pool) under(shift geom.Point, mirror *bool) (agree int, mirrored bool) {
	if mirror == nil || !*mirror {
		agree = p.fitter.at(p.places, shift).agree
	}
	if mirror == nil || *mirror {
		q := p.mirrored()
		if n := q.fitter.at(q.places, shift).agree; n > agree || mirror != nil {
			return n, true
		}
	}
	return agree, false
}

// settle holds the parts' places against the pads. mirror is what the recipe says of the bottom, nil
// when nothing. The sides are judged each by itself, and must then agree: one file has one origin.
func (p *padSides) settle(parts []panel.Part, mirror *bool) Places {
	var sides [2]pool
	for i, s := range []panel.Side{panel.Top, panel.Bottom} {
		sides[i].fitter = p.on(s)
		for _, x := range parts {
			if x.Side == s {
				sides[i].places = append(sides[i].places, x.At)
			}
		}
		if len(sides[i].fitter.field.pads) == 0 {
			sides[i].places = nil
		}
	}
	never := false
	top, bottom := sides[0].hold(&never), sides[1].hold(mirror)
	out := Places{Of: len(sides[0].places) + len(sides[1].places), Verdict: Untold, Mirrored: mirror != nil && *mirror}
	told := func(s standing) bool { return s.Verdict == AsWritten || s.Verdict == Moved }
	// A side that says nothing by itself may agree with what the other one says.
	if n := len(sides[1].places); told(top) && !told(bottom) && n > 0 {
		agree, m := sides[1].under(top.shift, mirror)
		if n < fewest || float64(agree) >= enoughAgree*float64(n) {
			bottom = standing{Verdict: top.Verdict, fit: fit{top.shift, agree}, mirror: m}
			if m != out.Mirrored {
				bottom.Verdict = Moved
			}
		}
	}
	if n := len(sides[0].places); told(bottom) && !told(top) && n > 0 {
		agree, _ := sides[0].under(bottom.shift, &never)
		if n < fewest || float64(agree) >= enoughAgree*float64(n) {
			top = standing{Verdict: bottom.Verdict, fit: fit{bottom.shift, agree}}
			if bottom.shift == (geom.Point{}) {
				top.Verdict = AsWritten
			}
		}
	}
	out.Agree = top.agree + bottom.agree
	unclear := func() Places {
		out.Verdict = Unclear
		x := top
		if bottom.best.agree > top.best.agree {
			x = bottom
		}
		out.BestShift, out.BestAgree, out.BestMirror = x.best.shift, x.best.agree, x.mirror
		return out
	}
	switch {
	case top.Verdict == Unclear || bottom.Verdict == Unclear:
		return unclear()
	case !told(top) && !told(bottom):
		return out
	case !told(top): // there is nothing on the top
		top = bottom
	case !told(bottom):
		bottom = top
		bottom.mirror = out.Mirrored
	}
	const one = 2 * agreement
	apart := top.shift.Distance(bottom.shift) > float64(one)
	if apart && !(bottom.mirror && (top.shift.Y-bottom.shift.Y).Abs() <= one) {
		return unclear() // two origins in one file
	}
	if !apart {
		if len(sides[0].places) >= len(sides[1].places) {
			bottom.shift = top.shift
		} else {
			top.shift = bottom.shift
		}
	}
	out.Shift, out.ShiftBottom, out.Mirrored = top.shift, bottom.shift, bottom.mirror
	out.Verdict = Moved
	if top.Verdict == AsWritten && bottom.Verdict == AsWritten {
		out.Verdict = AsWritten
	}
	return out
}

// apply moves parts as told.
func (p Places) apply(parts []panel.Part, clockwise bool) {
	for i := range parts {
		x := &parts[i]
		if x.Side != panel.Bottom {
			x.At = x.At.Add(p.Shift)
			continue
		}
		if p.Mirrored {
			x.At = geom.Pt(-x.At.X, x.At.Y).Add(p.ShiftBottom)
		} else {
			x.At = x.At.Add(p.Shift)
		}
		if clockwise {
			x.Turn = (-x.Turn).Normal()
		}
	}
}
