package overlay

import (
	"math"

	"panelwright/pipeline/geom"
)

// arc adds the corner at which an arc begins, and what bounds the arc. It is not ok for arcs that are not
// plain: whose ends disagree about their radius, and tiny ones. The path's corners begin in places at
// begin.
func (b *bands) arc(e *geom.Edge, begin int) bool {
	f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
	r := f.Norm()
	if r < leastArc || math.Abs(t.Norm()-r) > 2 {
		return false
	}
	if e.From != e.To && f.Dot(t) > 0 && f.Cross(t)*int64(e.Sense) > 0 {
		b.small(e, r, begin)
		return true
	}
	if r < max(leastWide, 8*b.lift) || e.From != e.To && e.From.Distance(e.To) < r/2 {
		return false // a narrow mouth: its circle's centre may lie elsewhere
	}
	b.great(e, f, t, r, begin)
	return true
}

// cramped tells whether a path has arcs a few nanometres long, or an edge as short beside an arc, or an arc
// whose end makes a sharp tip with its neighbour. In the first two cases edges come within the nanometre
// and a half at which package geom takes arcs to touch, in the third chords may cross that stand for arcs
// which do not: there the general way leaves arcs in chords, and the same must come out either way.
func cramped(p geom.Path) bool {
	const few = 4
	n := len(p)
	short := func(e *geom.Edge) bool { return max((e.From.X-e.To.X).Abs(), (e.From.Y-e.To.Y).Abs()) <= few }
	for i := range p {
		e := &p[i]
		if e.Sense == geom.Straight {
			continue
		}
		if e.From != e.To && short(e) {
			return true
		}
		for _, step := range [2]int{1, n - 1} {
			k := (i + step) % n
			for k != i && p[k].Sense == geom.Straight && p[k].From == p[k].To {
				k = (k + step) % n
			}
			f := &p[k]
			if f.Sense == geom.Straight && short(f) {
				return true
			}
			if step == 1 && sharp(e, f) || step != 1 && f.Sense == geom.Straight && sharp(f, e) {
				return true
			}
		}
	}
	return false
}

// sharp tells whether the second of two edges turns back from the first by more than some 127°.
func sharp(e, f *geom.Edge) bool {
	u, v := e.Heading(e.To), f.Heading(f.From)
	d := u.Dot(v)
	return d < 0 && float64(d) < float64(-0.6*float64(u.Norm()*v.Norm()))
}

// small is for an arc that turns by less than a right angle. It lies in the triangle of its chord and the
// tangents at its ends, whose tip lies over the middle of the chord: that is so wherever its centre is,
// which rounded ends of a short arc hardly tell, as long as the radius is no less.
func (b *bands) small(e *geom.Edge, r float64, begin int) {
	c := e.To.Sub(e.From)
	x, y := float64(c.X), float64(c.Y)
	l := c.Norm()
	sin := l / (2 * (r - 2))
	lift := float64(l/2*sin)/math.Sqrt(1-float64(sin*sin)) + tipLift
	k := lift / l * float64(e.Sense) // to the right of an arc that turns left
	tip := geom.Pt(e.From.X+geom.Round(float64(x/2)+float64(y*k)), e.From.Y+geom.Round(float64(y/2)-float64(x*k)))
	p, q, over := b.place(e.From), b.place(e.To), b.place(tip)
	if p < over && over < q || q < over && over < p {
		b.corner(p, over, 0)
		return
	}
	b.arcs++
	from := int32(len(b.places) - begin)
	b.corner(p, none, b.arcs)
	b.roofs = append(b.roofs, roof{lens: b.arcs, from: from, to: from + 1, tips: []geom.Point{tip}, start: e.From, end: e.To})
}

// great is for an arc that turns farther: it lies between a polygon within its circle and one about it, and
// so do its chords, be they inside or outside: the general way must find no less room.
func (b *bands) great(e *geom.Edge, f, t geom.Point, r float64, begin int) {
	s := float64(e.Sense)
	u, v := unit{float64(f.X) / r, float64(f.Y) / r}, direction(e.To, e.Center)
	dirs := make([]unit, 1, 16)
	dirs[0] = u
	// The middle of the way from u to v lies square to the right of the chord when it turns left.
	var part func(u, v unit, wide bool)
	part = func(u, v unit, wide bool) {
		if !wide && float64(u.x*v.x)+float64(u.y*v.y) >= 0.9 {
			dirs = append(dirs, v)
			return
		}
		x, y := v.x-u.x, v.y-u.y
		l := s * math.Sqrt(float64(x*x)+float64(y*y))
		m := unit{y / l, -x / l}
		part(u, m, false)
		part(m, v, false)
	}
	if e.From == e.To {
		q := unit{-s * u.y, s * u.x}
		for _, d := range [4][2]unit{{u, q}, {q, {-u.x, -u.y}}, {{-u.x, -u.y}, {-q.x, -q.y}}, {{-q.x, -q.y}, u}} {
			part(d[0], d[1], false)
		}
	} else {
		part(u, v, true)
	}
	out := func(d unit, r float64) geom.Point {
		return geom.Pt(e.Center.X+geom.Round(float64(d.x*r)), e.Center.Y+geom.Round(float64(d.y*r)))
	}
	b.arcs++
	from := int32(len(b.places) - begin)
	b.corner(b.place(e.From), none, b.arcs)
	tips := make([]geom.Point, 0, len(dirs))
	for i := 1; i < len(dirs); i++ {
		u, v := dirs[i-1], dirs[i]
		tips = append(tips, out(unit{u.x + v.x, u.y + v.y}, (r+b.lift)/(1+float64(u.x*v.x)+float64(u.y*v.y))))
		if i+1 < len(dirs) {
			b.corner(b.place(out(v, r-b.lift)), none, b.arcs)
		}
	}
	b.roofs = append(b.roofs, roof{lens: b.arcs, from: from, to: int32(len(b.places) - begin), tips: tips, start: e.From, end: e.To})
}
