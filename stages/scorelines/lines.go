package scorelines

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// axis is the direction of a line.
type axis bool

const (
	alongX axis = false
	alongY axis = true
)

// across gives a box's extent across the axis, along the extent along it.
func (a axis) across(b geom.Box) (lo, hi geom.Length) {
	if a == alongX {
		return b.Min.Y, b.Max.Y
	}
	return b.Min.X, b.Max.X
}

func (a axis) along(b geom.Box) (lo, hi geom.Length) { return (!a).across(b) }

// point gives the point at a place along the axis and one across it.
func (a axis) point(along, across geom.Length) geom.Point {
	if a == alongX {
		return geom.Pt(along, across)
	}
	return geom.Pt(across, along)
}

// letter names the coordinate of a line.
func (a axis) letter() string {
	if a == alongX {
		return "y"
	}
	return "x"
}

// body is a copy or a rail that a line may part from another.
type body struct {
	name string
	box  geom.Box
	copy bool
}

// interval is a stretch along a line.
type interval struct{ from, to geom.Length }

// line is where the panel is to be parted along an axis.
type line struct {
	at    geom.Length
	parts []interval // along the copies that it parts, their blank laminate with them
}

// scores gives the score lines of the panel: first those along x, from below, then those along y.
func (s *ScoreLines) scores(in panel.Panel, section panel.Score) ([]panel.Score, error) {
	var out []panel.Score
	box := in.Outline().Box()
	there := map[axis][]panel.Score{} // by a stage before this one
	for _, x := range in.Scores() {
		there[axis(x.From.X == x.To.X)] = append(there[axis(x.From.X == x.To.X)], x)
	}
	for _, a := range []axis{alongX, alongY} {
		lines, err := s.lines(in, a)
		if err != nil {
			return nil, err
		}
		lo, hi := a.along(box)
		for i, l := range lines {
			for _, x := range there[a] {
				if at, _ := a.across(geom.BoxOf(x.From)); at == l.at {
					return nil, fmt.Errorf("%s lies at %s = %v mm already: another stage score_lines serves these pairs; let between name each pair in one of them", x.ID, a.letter(), l.at.Decimal())
				}
			}
			i += numbered(there[a])
			runs := []interval{{lo, hi}}
			if s.Jump {
				runs = jumps(l.parts, interval{lo, hi}, section.RunOut)
			}
			for k, r := range runs {
				x := section
				x.ID = fmt.Sprintf("score/%s%d", a.letter(), i+1)
				if len(runs) > 1 {
					x.ID += fmt.Sprintf("/%d", k+1)
				}
				x.From, x.To = a.point(r.from, l.at), a.point(r.to, l.at)
				if r == (interval{lo, hi}) {
					x.RunOut, x.BladeDiameter = 0, 0
				}
				out = append(out, x)
			}
		}
	}
	return out, nil
}

// jumps gives the stretches that are cut at full depth where the blade may be lifted: those that part
// something, together where the blade has no room to leave and enter between them, and on to the panel's
// edge where it would run out of the panel anyway.
func jumps(parts []interval, panel interval, runOut geom.Length) []interval {
	parts = slices.Clone(parts)
	slices.SortFunc(parts, func(a, b interval) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	var out []interval
	for _, p := range parts {
		if k := len(out) - 1; k >= 0 && p.from-out[k].to < 2*runOut {
			out[k].to = max(out[k].to, p.to)
			continue
		}
		out = append(out, p)
	}
	for i := range out {
		if out[i].from-panel.from <= runOut {
			out[i].from = panel.from
		}
		if panel.to-out[i].to <= runOut {
			out[i].to = panel.to
		}
	}
	return out
}

// lines gives the lines along an axis, in order.
func (s *ScoreLines) lines(in panel.Panel, a axis) ([]line, error) {
	var bodies []body
	for _, c := range in.Copies() {
		bodies = append(bodies, body{c.ID, c.Box(), true})
	}
	for _, r := range in.Rails() {
		bodies = append(bodies, body{name: r.ID, box: r.Box})
	}
	var index geom.Index[int]
	for i, b := range bodies {
		index.Insert(b.box, i)
	}
	outline := in.Outline().Box()
	found := map[geom.Length][]interval{}
	for _, p := range bodies {
		for _, q := range facing(a, p, bodies, &index, outline) {
			if !s.wanted(a, p, bodies[q]) {
				continue
			}
			at, err := s.between(a, p, bodies[q])
			if err != nil {
				return nil, err
			}
			for n, x := range at {
				for k, b := range [2]body{p, bodies[q]} {
					if b.copy && (len(at) == 1 || n == k) { // of two lines each parts its own
						lo, hi := a.along(b.box)
						found[x] = append(found[x], interval{lo - s.leave(), hi + s.leave()})
					}
				}
			}
		}
	}
	out := make([]line, 0, len(found))
	for at, parts := range found {
		out = append(out, line{at, parts})
	}
	slices.SortFunc(out, func(x, y line) int { return cmp.Compare(x.at, y.at) })
	return out, nil
}

// wanted tells whether the recipe asks for lines between two bodies, q above or to the right of p.
func (s *ScoreLines) wanted(a axis, p, q body) bool {
	served := func(what string) bool { return slices.Contains(s.Between, what) }
	switch {
	case !p.copy && !q.copy:
		return false
	case !p.copy || !q.copy:
		return served("rails") || a == alongX && served("upper_and_lower_rails") || a == alongY && served("left_and_right_rails")
	case a == alongX:
		return served("rows")
	}
	return served("columns")
}

// facing gives the bodies that lie next to p across the axis, upwards or to the right, with nothing between.
func facing(a axis, p body, all []body, index *geom.Index[int], outline geom.Box) []int {
	from, to := a.along(p.box)
	_, edge := a.across(p.box)
	_, end := a.across(outline)
	look := geom.BoxOf(a.point(from, edge), a.point(to, end))
	var near []int
	index.Search(look, func(_ geom.Box, i int) bool {
		lo, _ := a.across(all[i].box)
		l, h := a.along(all[i].box)
		if lo >= edge && l < to && h > from && all[i].name != p.name {
			near = append(near, i)
		}
		return true
	})
	slices.SortFunc(near, func(i, k int) int {
		li, _ := a.across(all[i].box)
		lk, _ := a.across(all[k].box)
		return cmp.Or(cmp.Compare(li, lk), cmp.Compare(i, k))
	})
	open := []interval{{from, to}}
	var out []int
	for _, i := range near {
		l, h := a.along(all[i].box)
		var left []interval
		seen := false
		for _, o := range open {
			if l >= o.to || h <= o.from {
				left = append(left, o)
				continue
			}
			seen = true
			if o.from < l {
				left = append(left, interval{o.from, l})
			}
			if h < o.to {
				left = append(left, interval{h, o.to})
			}
		}
		if seen {
			out = append(out, i)
		}
		open = left
	}
	return out
}

// between gives the coordinates of the lines between p and q, which lies above it or to its right.
func (s *ScoreLines) between(a axis, p, q body) ([]geom.Length, error) {
	_, low := a.across(p.box)
	high, _ := a.across(q.box)
	gap, leave := high-low, s.leave()
	if !p.copy || !q.copy {
		if gap < leave {
			return nil, fmt.Errorf("%s and %s are spaced %v, and leave = %v asks for as much blank laminate at least on the board", p.name, q.name, gap, leave)
		}
		if p.copy {
			return []geom.Length{low + leave}, nil
		}
		return []geom.Length{high - leave}, nil
	}
	switch {
	case gap == 2*leave:
		return []geom.Length{low + leave}, nil
	case gap-2*leave >= s.LeastStrip:
		return []geom.Length{low + leave, high - leave}, nil
	case s.Leave == nil:
		return nil, fmt.Errorf("%s and %s are spaced %v: abut them (gap = 0), say with leave how much blank laminate stays on each board (here %v), "+
			"or space them at least %v for two lines with a strip of waste between", p.name, q.name, gap, gap/2, s.LeastStrip)
	}
	return nil, fmt.Errorf("%s and %s are spaced %v, but leave = %v asks for a gap of %v, or for one of at least %v with two lines and a strip of waste between",
		p.name, q.name, gap, leave, 2*leave, 2*leave+s.LeastStrip)
}

// numbered is the highest number of lines: score/y3 and score/y3/2 are the third.
func numbered(scores []panel.Score) (n int) {
	for _, x := range scores {
		number, _, _ := strings.Cut(strings.TrimLeft(strings.TrimPrefix(x.ID, "score/"), "xy"), "/")
		if k, err := strconv.Atoi(number); err == nil {
			n = max(n, k)
		}
	}
	return n
}
