package holding

import (
	"slices"

	"panelwright/pipeline/geom"
)

// place is one foot that may be, on one board. Coordinates are relative to the outline's start, so that
// copies have equal places.
type place struct {
	at, half geom.Length
	ends     [2]geom.Point // the foot's two ends
	out      [2]float64
	pinned   bool
	pref     int64
}

// ring is a board with its places in order round the outline: what copies that are the same have in
// common.
type ring struct {
	lim     Limits
	length  geom.Length
	mass    geom.Point
	places  []place
	legOut  []geom.Length // from each place to the next corner
	legIn   []geom.Length // from the last corner to each place
	corners []geom.Length // sorted
	upTo    []int         // corners no farther along than the place
	before  []int         // corners before the place
	spans   []geom.Length // between any two places; nil on a convex board
	links   [][]link      // from each place to those that may follow it

	facing     []float64 // directions and sights (turn.go), or nil
	begin, end []float64
}

// link is a pair of neighbouring tabs: off is how many places on the second lies.
type link struct {
	off  int
	viol int64 // nm over the limits
	even int64 // squares, (10 µm)²
}

func newRing(outline geom.Path, corners []geom.Length, mass geom.Point, places []place, lim Limits) *ring {
	n := len(places)
	r := &ring{lim: lim, length: geom.Round(outline.Length()), mass: mass, places: places,
		legOut: make([]geom.Length, n), legIn: make([]geom.Length, n), upTo: make([]int, n), before: make([]int, n)}
	for _, c := range corners {
		r.corners = append(r.corners, c%r.length)
	}
	slices.Sort(r.corners)
	r.corners = slices.Compact(r.corners)
	for i, p := range places {
		at := p.at % r.length
		r.upTo[i] = sortSearch(len(r.corners), func(k int) bool { return r.corners[k] > at })
		r.before[i] = sortSearch(len(r.corners), func(k int) bool { return r.corners[k] >= at })
	}
	if convex(outline) {
		r.measureConvex()
	} else {
		r.measure(outline)
	}
	r.facing = r.directions()
	r.begin, r.end = r.sights()
	r.links = make([][]link, n)
	for i := range places {
		for off := 1; off <= n; off++ {
			if r.spans == nil && r.span(i, off) > lim.FreeSpan {
				break
			}
			if l := r.step(i, off); l.viol == 0 && r.fits(i, off) {
				r.links[i] = append(r.links[i], l)
			}
		}
	}
	return r
}

func (r *ring) measureConvex() {
	k := len(r.corners)
	if k == 0 {
		return
	}
	for i, p := range r.places {
		next, last := r.corners[r.upTo[i]%k], r.corners[(r.before[i]+k-1)%k]
		r.legOut[i] = (next - p.at + 2*r.length) % r.length
		r.legIn[i] = (p.at - last + 2*r.length) % r.length
	}
}

func (r *ring) measure(outline geom.Path) {
	n := len(r.places)
	positions := make([]geom.Length, 0, n+len(r.corners))
	for _, p := range r.places {
		positions = append(positions, p.at)
	}
	ks, which := knots(outline, r.length, append(positions, r.corners...))
	placesAt, cornerAt := make([][]int, len(ks)), make([]bool, len(ks))
	for i, k := range which {
		if i < n {
			placesAt[k] = append(placesAt[k], i)
		} else {
			cornerAt[k] = true
		}
	}
	r.spans = make([]geom.Length, n*n)
	var stack []tight
	for i := range n {
		seen := false
		stack = taut(ks, r.length, which[i], len(ks), stack, func(t int, long geom.Length) {
			k := (which[i] + t) % len(ks)
			for _, j := range placesAt[k] {
				// Places at one point: the way from the earlier to the later is none, back it is all round.
				if t < len(ks) || j <= i {
					r.spans[i*n+j] = long
				}
			}
			if cornerAt[k] && !seen {
				seen, r.legOut[i] = true, long
			}
		})
	}
	for c := range r.corners {
		done := false
		from := which[n+c]
		stack = taut(ks, r.length, from, len(ks), stack, func(t int, long geom.Length) {
			if done {
				return
			}
			k := (from + t) % len(ks)
			for _, j := range placesAt[k] {
				r.legIn[j] = long
			}
			done = cornerAt[k]
		})
	}
}

// ahead is the raw way along the outline from a place to the off-th after it.
func (r *ring) ahead(i, off int) geom.Length {
	n := len(r.places)
	d := r.places[(i+off)%n].at - r.places[i].at
	if i+off >= n {
		d += r.length
	}
	return d
}

// span is the tight way from a place to the off-th after it.
func (r *ring) span(i, off int) geom.Length {
	if r.spans == nil {
		return r.ahead(i, off)
	}
	n := len(r.places)
	return r.spans[i*n+(i+off)%n]
}

// room is the stretch left free between two feet; a foot does not stand in its own way.
func (r *ring) room(i, off int) geom.Length {
	n := len(r.places)
	if off == n {
		return max(r.lim.Between, r.length)
	}
	return r.ahead(i, off) - r.places[i].half - r.places[(i+off)%n].half
}

// fits tells whether two feet have room beside each other; those that are pinned must share what there is.
func (r *ring) fits(i, off int) bool {
	return r.room(i, off) >= r.lim.Between || r.places[i].pinned && r.places[(i+off)%len(r.places)].pinned
}

// cornerBetween tells whether a corner lies strictly between a place and the off-th after it.
func (r *ring) cornerBetween(i, off int) bool {
	j := i + off
	n := len(r.places)
	if j >= n {
		return len(r.corners)+r.before[j-n]-r.upTo[i] > 0
	}
	return r.before[j]-r.upTo[i] > 0
}

func (r *ring) link(i, off int) link {
	s := r.span(i, off)
	l := link{off: off, viol: int64(max(0, s-r.lim.FreeSpan)), even: square(s)}
	if r.cornerBetween(i, off) {
		a, b := r.legOut[i], r.legIn[(i+off)%len(r.places)]
		l.viol += int64(max(0, a-r.lim.Overhang) + max(0, b-r.lim.Overhang))
		l.even += square(a) + square(b)
	}
	return l
}

// step is link with what broken tells.
func (r *ring) step(i, off int) link {
	l := r.link(i, off)
	opposite, centre := r.broken(i, off)
	if opposite {
		l.viol += r.penalty()
	}
	if centre {
		l.viol += r.penalty()
	}
	return l
}

// square is a length's square in (10 µm)².
func square(l geom.Length) int64 {
	u := int64(l+5*geom.UM) / int64(10*geom.UM)
	return u * u
}
