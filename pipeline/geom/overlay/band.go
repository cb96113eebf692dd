package overlay

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// A band holds a chain of a path's edges that rises by x, then y, from one end to the other, as far as
// the path does not turn back. It lies between two chains of straight segments with the same ends: where
// edges are straight both run along them; beside an arc the one runs along its chord, the other over the
// tip of a triangle that the arc cannot leave. So nothing meets an arc that does not meet its band.
//
// An arc for which that does not do, since it turns by more than a right angle or passes the leftmost or
// rightmost point of its circle, gets bands of its own: such as run along its inner side, and are part of
// the path, and such as run along its outer side. Between the two there may be nothing.
type band struct {
	up, low    []place // the upper and the lower side
	path       int32   // or −1 for the outer side of an arc
	lens       int32   // of the bands of an arc alone: n for those on its inner side, −n for the outer
	lo, hi     int32   // which corners its ends are: different corners may lie at one place
	along      bool    // whether the path rises along it
	thin       bool    // whether both sides are the same
	above      int32   // the face above it, once the sweep has come to it
	below      int32   // and the one below
	over       int32   // the segment of the upper side from which on the neighbour above is still to be looked at
	under      int32   // and that of the lower side
	atUp, atLo int32   // the segments under the sweep, as far as they were needed
}

// A walk is a path among bands.
type walk struct {
	path    geom.Path
	op      int32
	left    bool // whether what it encloses lies on its left
	outside int32
	inside  int32 // the state within, once it is known, or −1
}

// bands are operands cut into bands.
type bands struct {
	list   []band
	walks  []walk
	origin geom.Point
	places []place // those of all sides, and of all paths
	ids    int32   // how many corners have been given out
	arcs   int32   // how many arcs have bands of their own
	lift   float64 // nm: how far the sides of great arcs are moved off them

	// Of the present path: its corners are the last of places; unless it has straight edges only, with
	// what the edge from each corner on is.
	tips  []place // the tip of a small arc's triangle, or none
	lens  []int32 // which arc has bands of its own here, or 0
	roofs []roof
}

// A roof is the outer side of an arc that begins at a corner.
type roof struct {
	lens  int32
	from  int32
	to    int32 // the corner to which it leads, counted on beyond the last
	tips  []geom.Point
	start geom.Point
	end   geom.Point
}

const none place = 0 // no corner lies there

const (
	tipLift   = 2.5  // nm: how far tips are moved outwards: more than what is rounded
	sideLift  = 16   // nm: how far sides are moved off a great arc and its chords: its ends may disagree by 2 nm
	leastArc  = 64   // nm: the least radius that is looked at
	leastWide = 1000 // nm: and that of arcs that turn by more than a right angle; eight times the lift
)

// cutInto makes the bands of operands. It is not ok where they are not as operands must be, where their
// arcs are not plain, or where chords are to be kept.
func (b *bands) cutInto(operands []Operand, o Options) bool {
	b.lift = sideLift + float64(o.chordError())
	box := geom.EmptyBox()
	edges, paths := 0, 0
	for _, op := range operands {
		if op.Rule > Positive {
			return false
		}
		for _, p := range op.Paths {
			if len(p) == 0 {
				continue
			}
			last := p[len(p)-1].To
			for i := range p {
				e := &p[i]
				if e.From != last {
					return false
				}
				last = e.To
				box = box.Extend(e.From)
				if e.Sense == geom.Straight {
					continue
				}
				if o.KeepChords || !e.Center.Within() {
					return false
				}
				// Tips lie no farther from the centre than this.
				r := geom.Length(1.5*e.Radius()) + sideLift
				box = box.Union(geom.Box{Min: e.Center, Max: e.Center}.Grow(r))
			}
			edges += len(p)
			paths++
		}
	}
	if edges == 0 {
		return true
	}
	if !box.Min.Within() || !box.Max.Within() || edges > math.MaxInt32/8 {
		return false
	}
	b.origin = box.Min.Sub(geom.Pt(1, 1))
	b.places = slices.Grow(b.places, 2*edges+paths)
	for i, op := range operands {
		for _, p := range op.Paths {
			if len(p) > 0 && !b.add(p, int32(i)) {
				return false
			}
		}
	}
	return true
}

func (b *bands) place(p geom.Point) place {
	return at(int32(p.X-b.origin.X), int32(p.Y-b.origin.Y))
}

// corner adds a corner of a path, and what the edge from there on is.
func (b *bands) corner(p, tip place, lens int32) {
	b.places = append(b.places, p)
	b.tips, b.lens = append(b.tips, tip), append(b.lens, lens)
}

// add makes the bands of a path.
func (b *bands) add(p geom.Path, op int32) bool {
	begin := len(b.places)
	bent := false
	for i := range p {
		e := &p[i]
		switch {
		case e.Sense != geom.Straight:
			if !bent { // until now all was straight
				bent = true
				n := len(b.places) - begin
				b.tips, b.lens = slices.Grow(b.tips[:0], n)[:n], slices.Grow(b.lens[:0], n)[:n]
				clear(b.tips)
				clear(b.lens)
				b.roofs = b.roofs[:0]
			}
			if !b.arc(e, begin) {
				return false
			}
		case e.From == e.To:
		case bent:
			b.corner(b.place(e.From), none, 0)
		default:
			b.places = append(b.places, b.place(e.From))
		}
	}
	if bent && cramped(p) {
		return false
	}
	c := b.places[begin:]
	n := len(c)
	if n == 0 {
		return true
	}
	if n < 3 {
		return false // such as a way there and back
	}
	number := int32(len(b.walks))
	b.walks = append(b.walks, walk{path: p, op: op, inside: -1})
	first, last := 0, n-1
	for up := c[last] < c[0]; first < n; first++ { // a closed path turns back somewhere
		next := first + 1
		if next == n {
			next = 0
		}
		if (c[first] < c[next]) != up || bent && b.lens[first] != b.lens[last] {
			break
		}
		last = first
	}
	if first == n {
		return false
	}
	// From there on all round: what comes before it follows once more.
	b.places = append(b.places, c[:first+1]...)
	c = b.places[begin:]
	if bent {
		b.tips, b.lens = append(b.tips, b.tips[:first]...), append(b.lens, b.lens[:first]...)
	}
	for i := first; i < first+n; {
		k := i + 1
		up := c[i] < c[k]
		for k < first+n && (c[k] < c[k+1]) == up && (!bent || b.lens[k] == b.lens[i]) {
			k++
		}
		d := band{path: number, lo: b.ids + int32(i%n), hi: b.ids + int32(k%n), along: up}
		tips := b.tips[:0]
		if bent {
			d.lens, tips = b.lens[i], b.tips[i:k]
		}
		if !up {
			d.lo, d.hi = d.hi, d.lo
		}
		b.chain(&d, c[i:k+1:k+1], tips)
		i = k
	}
	if bent {
		for _, r := range b.roofs {
			b.roof(r, n)
		}
	}
	b.ids += int32(n)
	return true
}

// chain makes the sides of a band from the corners and the tips along a path.
func (b *bands) chain(d *band, c, tips []place) {
	d.thin = !slices.ContainsFunc(tips, func(p place) bool { return p != none })
	if !d.along {
		begin := len(b.places)
		for i := len(c) - 1; i >= 0; i-- {
			b.places = append(b.places, c[i])
		}
		c = b.places[begin:len(b.places):len(b.places)]
	}
	d.up, d.low = c, c
	if !d.thin {
		d.up, d.low = b.side(c, tips, d.along, true), b.side(c, tips, d.along, false)
	}
	b.list = append(b.list, *d)
}

// side gives the upper or the lower side of a band from its corners and the tips in the path's direction.
func (b *bands) side(c, tips []place, along, upper bool) []place {
	begin := len(b.places)
	b.places = append(b.places, c[0])
	for i := 1; i < len(c); i++ {
		tip := tips[i-1]
		if !along {
			tip = tips[len(tips)-i]
		}
		if tip != none && (turn(c[i-1], c[i], tip) > 0) == upper {
			b.places = append(b.places, tip)
		}
		b.places = append(b.places, c[i])
	}
	return b.places[begin:len(b.places):len(b.places)]
}

// roof makes the bands of an arc's outer side.
func (b *bands) roof(r roof, n int) {
	at := make([]place, 0, len(r.tips)+2)
	at = append(at, b.place(r.start))
	for _, p := range r.tips {
		at = append(at, b.place(p))
	}
	at = append(at, b.place(r.end))
	last := len(at) - 1
	id := func(i int) int32 {
		switch i {
		case 0:
			return b.ids + r.from
		case last:
			return b.ids + r.to%int32(n)
		}
		return -1 - int32(len(b.list)) // of a turn back: unlike all others
	}
	from := id(0)
	for i := 0; i < last; {
		k := i + 1
		up := at[i] < at[k]
		for k < last && (at[k] < at[k+1]) == up {
			k++
		}
		d := band{path: -1, lens: -r.lens, along: up, thin: true}
		to := id(k)
		d.lo, d.hi = from, to
		part := at[i : k+1]
		if !up {
			d.lo, d.hi = to, from
			begin := len(b.places)
			for m := k; m >= i; m-- {
				b.places = append(b.places, at[m])
			}
			part = b.places[begin:len(b.places):len(b.places)]
		}
		d.up, d.low = part, part
		b.list = append(b.list, d)
		from, i = to, k
	}
}
