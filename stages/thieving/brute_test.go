package thieving_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/thieving"
)

// The check here is independent of the stage and of package geom's distances: everything is taken as polygons in
// floating point, arcs as chords of a degree, and every object is held against every side of everything.

type xy struct{ x, y float64 } // mm

func flat(p geom.Path) []xy {
	var out []xy
	for _, e := range p {
		out = append(out, xy{e.From.X.MM(), e.From.Y.MM()})
		if e.Sense == geom.Straight {
			continue
		}
		c := xy{e.Center.X.MM(), e.Center.Y.MM()}
		a := math.Atan2(e.From.Y.MM()-c.y, e.From.X.MM()-c.x)
		b := math.Atan2(e.To.Y.MM()-c.y, e.To.X.MM()-c.x)
		r := math.Hypot(e.From.X.MM()-c.x, e.From.Y.MM()-c.y)
		if e.Sense == geom.CounterClockwise && b <= a {
			b += 2 * math.Pi
		}
		if e.Sense == geom.Clockwise && b >= a {
			b -= 2 * math.Pi
		}
		n := int(math.Abs(b-a)/(math.Pi/180)) + 1
		for i := 1; i < n; i++ {
			w := a + (b-a)*float64(i)/float64(n)
			out = append(out, xy{c.x + r*math.Cos(w), c.y + r*math.Sin(w)})
		}
	}
	return out
}

func (a xy) to(p, q xy) float64 {
	dx, dy := q.x-p.x, q.y-p.y
	f := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		f = math.Max(0, math.Min(1, ((a.x-p.x)*dx+(a.y-p.y)*dy)/l))
	}
	return math.Hypot(a.x-p.x-f*dx, a.y-p.y-f*dy)
}

// apart is the distance of two straight pieces.
func apart(a, b, p, q xy) float64 {
	side := func(a, b, c xy) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }
	if side(a, b, p)*side(a, b, q) < 0 && side(p, q, a)*side(p, q, b) < 0 {
		return 0
	}
	return math.Min(math.Min(a.to(p, q), b.to(p, q)), math.Min(p.to(a, b), q.to(a, b)))
}

// barred is something that must be kept off.
type barred struct {
	name   string
	ring   []xy
	closed bool // the last corner joins the first
	area   bool // what it runs round counts, too
	half   float64
	keep   float64
	lo, hi xy // of the ring
}

// far tells whether the ring's box alone is further away than anything asks for.
func (b barred) far(p, q xy) bool {
	const most = 5
	return math.Max(p.x, q.x) < b.lo.x-most || math.Min(p.x, q.x) > b.hi.x+most || math.Max(p.y, q.y) < b.lo.y-most || math.Min(p.y, q.y) > b.hi.y+most
}

func (b barred) surrounds(q xy) bool {
	in := false
	for i, p := range b.ring {
		o := b.ring[(i+1)%len(b.ring)]
		if (p.y > q.y) != (o.y > q.y) && q.x < (o.x-p.x)*(q.y-p.y)/(o.y-p.y)+p.x {
			in = !in
		}
	}
	return in
}

func (b barred) distance(p, q xy) float64 {
	if b.area && b.surrounds(p) {
		return 0
	}
	d := math.Inf(1)
	n := len(b.ring)
	if !b.closed {
		n = max(1, n-1)
	}
	for i := range n {
		d = math.Min(d, apart(p, q, b.ring[i], b.ring[(i+1)%len(b.ring)]))
	}
	return d - b.half
}

// bars lists what is to be kept off on a panel, and how far.
func bars(p panel.Panel, s *thieving.Thieving) []barred {
	var out []barred
	add := func(name string, ring []xy, closed, area bool, half float64, keep geom.Length) {
		b := barred{name, ring, closed, area, half, keep.MM(), ring[0], ring[0]}
		for _, q := range ring {
			b.lo, b.hi = xy{math.Min(b.lo.x, q.x), math.Min(b.lo.y, q.y)}, xy{math.Max(b.hi.x, q.x), math.Max(b.hi.y, q.y)}
		}
		out = append(out, b)
	}
	add("the panel's edge", flat(p.Outline().Outer), true, false, 0, s.FromPanelEdge)
	for _, c := range p.Copies() {
		add(c.ID, flat(c.Outline().Outer), true, true, 0, s.FromBoard)
	}
	for _, x := range p.Blanks() {
		add(x.ID, flat(x.Outline.Outer), true, true, 0, s.FromBoard)
	}
	for _, x := range p.Slots() {
		add(x.ID, flat(x.Outline.Outer), true, len(x.Outline.CutOuts) == 0, 0, s.FromBreak)
		for _, c := range x.Outline.CutOuts {
			add(x.ID+" inside", flat(c), true, false, 0, s.FromBreak)
		}
	}
	for _, x := range p.Tabs() {
		a, b := xy{x.Feet[0].X.MM(), x.Feet[0].Y.MM()}, xy{x.Feet[1].X.MM(), x.Feet[1].Y.MM()}
		l, w := math.Hypot(b.x-a.x, b.y-a.y), x.Width.MM()/2
		u, v := -(b.y-a.y)/l*w, (b.x-a.x)/l*w
		add(x.ID, []xy{{a.x - u, a.y - v}, {b.x - u, b.y - v}, {b.x + u, b.y + v}, {a.x + u, a.y + v}}, true, true, 0, s.FromBreak)
	}
	dot := func(name string, q geom.Point, d, keep geom.Length) {
		add(name, []xy{{q.X.MM(), q.Y.MM()}}, false, false, d.MM()/2, keep)
	}
	for _, x := range p.Perforations() {
		dot(x.ID, x.At, x.Diameter, s.FromBreak)
	}
	for _, x := range p.Scores() {
		half := x.Depth.MM() * math.Tan(x.IncludedAngle.Degrees()/2*math.Pi/180)
		add(x.ID, []xy{{x.From.X.MM(), x.From.Y.MM()}, {x.To.X.MM(), x.To.Y.MM()}}, false, false, half, s.FromBreak)
	}
	for _, m := range p.Marks() {
		if m.Kind == panel.Fiducial {
			dot(m.ID, m.At, m.Clear, s.FromMark)
		} else {
			dot(m.ID, m.At, m.Diameter, s.FromHole)
		}
	}
	for _, x := range p.Prints() {
		if x.Use != panel.Thieving && x.Use != panel.RailMask {
			add(x.ID, flat(geom.Rectangle(x.Area)), true, true, 0, s.FromMark)
		}
	}
	return out
}

// objects counts what is drawn, and requires that none of it comes nearer to anything than asked, and that all of
// it lies on the panel. The tolerance in mm is for arcs taken as chords.
func objects(t testing.TB, p panel.Panel, s *thieving.Thieving, tolerance float64) int {
	t.Helper()
	all := bars(p, s)
	whole := barred{ring: flat(p.Outline().Outer)}
	n := 0
	look := func(id string, a, b geom.Point, width geom.Length) {
		n++
		from, to := xy{a.X.MM(), a.Y.MM()}, xy{b.X.MM(), b.Y.MM()}
		require.True(t, whole.surrounds(from), "%s at %v lies off the panel", id, a)
		for _, x := range all {
			if x.far(from, to) {
				continue
			}
			if d := x.distance(from, to) - width.MM()/2; d < x.keep-tolerance {
				require.Fail(t, "too near", "%s from %v to %v comes within %v of %s; %v is asked for", id, a, b, d, x.name, x.keep)
			}
		}
	}
	for _, x := range p.Prints() {
		if x.Use != panel.Thieving {
			continue
		}
		for _, d := range x.Dots {
			look(x.ID, d.At, d.At, d.Diameter)
		}
		for _, l := range x.Lines {
			require.Len(t, l.Path, 1)
			look(x.ID, l.Path[0].From, l.Path[0].To, l.Width)
		}
	}
	return n
}

// spread requires that no two dots come nearer than the pitch.
func spread(t testing.TB, p panel.Panel, pitch geom.Length) {
	t.Helper()
	var all []geom.Point
	for _, x := range p.Prints() {
		if x.Use == panel.Thieving {
			for _, d := range x.Dots {
				all = append(all, d.At)
			}
		}
	}
	for i, a := range all {
		for _, b := range all[:i] {
			if d := a.Sub(b); d.Dot(d) < int64(pitch)*int64(pitch) {
				require.Fail(t, "two dots come too near", fmt.Sprint(a, b))
			}
		}
	}
}
