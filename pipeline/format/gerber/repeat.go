package gerber

import (
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// target is where objects go: the image, or an aperture block while it is being defined.
type target struct {
	objects  []artwork.Object
	regions  []artwork.Region // of a block; the image keeps its own
	block    bool
	number   int // the block's D number
	openedAt int
	sr       *repeated
	knock    *knockout
}

// repeated is an open step-and-repeat: its objects begin at from.
type repeated struct {
	at, from int
	nx, ny   int
	dx, dy   geom.Length
}

// repeat reads SR. A new one ends the one before; without numbers it only ends it.
func (p *parser) repeat(at int, c *cursor) error {
	if p.inRegion {
		return p.fault(at, "step-and-repeat (SR) inside a region", "end the region first; export the file again")
	}
	if err := p.closeKnockout(); err != nil {
		return err
	}
	if err := p.closeRepeat(); err != nil {
		return err
	}
	r := &repeated{at: at, from: len(p.out.objects), nx: 1, ny: 1}
	for !c.done() {
		b := c.peek()
		c.i++
		ok := true
		var err error
		switch b {
		case 'X':
			r.nx, ok = c.natural()
		case 'Y':
			r.ny, ok = c.natural()
		case 'I':
			r.dx, err = p.size(at, c)
		case 'J':
			r.dy, err = p.size(at, c)
		default:
			ok = false
		}
		if err != nil {
			return err
		}
		if !ok {
			return p.fault(at, "step-and-repeat that cannot be read", "it looks like %SRX3Y2I5.0J2.0*%")
		}
	}
	if r.nx < 1 || r.ny < 1 {
		return p.fault(at, "step-and-repeat with no copies", "the counts of SR are 1 or more")
	}
	if float64(r.nx)*float64(r.ny) > float64(p.opt.MaxCopies) {
		return p.fault(at, fmt.Sprintf("step-and-repeat of %d × %d copies, more than %d", r.nx, r.ny, p.opt.MaxCopies),
			"no layer needs that many; export the file again")
	}
	if r.nx*r.ny == 1 {
		return nil
	}
	if p.base.active {
		if p.base.mirrorX || p.base.mirrorY || p.base.scaled() {
			return p.fault(at, "step-and-repeat together with an image mirrored (MI) or scaled (SF)", "export the layer without these old statements")
		}
	}
	p.out.sr = r
	return nil
}

// closeRepeat makes the copies of the open step-and-repeat: each is the whole block, upwards first,
// then to the right.
func (p *parser) closeRepeat() error {
	r := p.out.sr
	if r == nil {
		return nil
	}
	p.out.sr = nil
	n := len(p.out.objects) - r.from
	if total := p.count + n*(r.nx*r.ny-1); total > p.opt.MaxObjects {
		return p.lack(format.LacksRoom, r.at, fmt.Sprintf("step-and-repeat of %d × %d copies makes %d objects, more than %d", r.nx, r.ny, total, p.opt.MaxObjects),
			"export it with fewer or simpler objects")
	}
	if n == 0 {
		return nil
	}
	p.out.objects = slices.Grow(p.out.objects, n*(r.nx*r.ny-1))
	regions := p.img.Regions
	if p.out.block {
		regions = p.out.regions
	}
	for ix := range r.nx {
		for iy := range r.ny {
			if ix == 0 && iy == 0 {
				continue
			}
			m := move{Transform: geom.Transform{Shift: geom.Point{X: r.dx * geom.Length(ix), Y: r.dy * geom.Length(iy)}}, hand: plain}
			if r.dx.Abs() > geom.Limit*2/geom.Length(max(ix, 1)) || r.dy.Abs() > geom.Limit*2/geom.Length(max(iy, 1)) {
				return p.copyTooFar(r.at)
			}
			if !p.out.block {
				m.Shift = p.base.direction(m.Shift)
			}
			for k := range n {
				if err := p.copyObject(r.at, p.out.objects[r.from+k], regions, m); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (p *parser) copyTooFar(at int) error {
	return p.fault(at, "a copy lies beyond 1 m from the origin", "check counts and steps, the number format and the unit; export the file again")
}

func (p *parser) unevenCopy(at int) error {
	return p.fault(at, "an arc of the block is too small or too uneven to be scaled (LS)", "export the block at its final size")
}

// move is where a copy goes: under a hand, then turned and shifted.
type move struct {
	geom.Transform // its Turn is the hand's
	hand
}

func (m move) point(q geom.Point) geom.Point {
	if m.num != m.den {
		q.X, q.Y = m.scale(q.X), m.scale(q.Y)
	}
	if m.mirror {
		q.Y = -q.Y
	}
	return m.Apply(q)
}

func (m move) edge(e geom.Edge) (f geom.Edge, near, even bool) {
	f = geom.Edge{From: m.point(e.From), To: m.point(e.To), Sense: e.Sense}
	even = true
	if e.Sense != geom.Straight {
		f.Center = m.point(e.Center)
		if m.mirror {
			f.Sense = -f.Sense
		}
		f, even = refit(settle(e, f))
	}
	return f, f.From.Within() && f.To.Within() && f.Center.Within(), even
}

// settle keeps a short arc whose ends rounding has brought together from becoming a full circle.
func settle(before, after geom.Edge) geom.Edge {
	if after.From == after.To && before.From != before.To {
		if _, sweep := before.Angles(); math.Abs(sweep) < math.Pi {
			return geom.Line(after.From, after.To)
		}
	}
	if after.Sense != geom.Straight && after.Center == after.From {
		return geom.Line(after.From, after.To)
	}
	return after
}

// copyObject stores a copy of an object that is already stored, moved; regions is where its region
// is.
func (p *parser) copyObject(at int, o artwork.Object, regions []artwork.Region, m move) error {
	if m.num != m.den && (!m.near(o.Edge.From.X) || !m.near(o.Edge.From.Y) || !m.near(o.Edge.To.X) || !m.near(o.Edge.To.Y)) {
		return p.copyTooFar(at)
	}
	if o.Kind == artwork.Fill {
		r, err := p.copyRegion(at, regions[o.Region], m)
		if err != nil || len(r.Contours) == 0 {
			return err
		}
		return p.fill(at, r, o.Clear, o.Set, o.AperSet)
	}
	before := o.Edge
	near, even := true, true
	if o.Kind == artwork.Flash {
		o.Edge.From = m.point(o.Edge.From)
		near = o.Edge.From.Within()
	} else {
		o.Edge, near, even = m.edge(o.Edge)
	}
	if !near {
		return p.copyTooFar(at)
	}
	if !even {
		return p.unevenCopy(at)
	}
	if m.hand != plain {
		a := p.img.Apertures[o.Aperture]
		if _, quarter := m.turn.Quarters(); o.Kind == artwork.Stroke && a.Shape == artwork.Rectangle && !quarter {
			if before.Sense != geom.Straight {
				o.Edge.Sense = before.Sense
			}
			return p.sweep(at, a, m.hand, o.Edge, o.Clear, o.Set, a.Set)
		}
		k := derivation{-1 - o.Aperture, m.hand} // below zero: an aperture of the image, not a definition
		slot, ok := p.derived[k]
		if !ok {
			var err error
			if slot, err = p.addAperture(at, a, m.hand); err != nil {
				return err
			}
			p.derived[k] = slot
		}
		o.Aperture = slot
	}
	return p.put(at, o)
}

// copyRegion moves a region. Straight edges that rounding has brought to nothing are dropped.
func (p *parser) copyRegion(at int, r artwork.Region, m move) (artwork.Region, error) {
	out := artwork.Region{Contours: make([]geom.Path, 0, len(r.Contours))}
	for _, c := range r.Contours {
		if p.edgeCount += len(c); p.edgeCount > p.opt.MaxEdges {
			return out, p.fault(at, fmt.Sprintf("copies of regions with more than %d edges altogether", p.opt.MaxEdges), "no layer needs that many; export the file again")
		}
		path := p.edges(len(c))[:0]
		for _, e := range c {
			if m.num != m.den && (!m.near(e.From.X) || !m.near(e.From.Y) || !m.near(e.Center.X) || !m.near(e.Center.Y)) {
				return out, p.copyTooFar(at)
			}
			f, near, even := m.edge(e)
			if !near {
				return out, p.copyTooFar(at)
			}
			if !even {
				return out, p.unevenCopy(at)
			}
			if f.From != f.To || f.Sense != geom.Straight {
				path = append(path, f)
			}
		}
		if len(path) > 0 {
			out.Contours = append(out.Contours, path)
		}
	}
	return out, nil
}

// block reads AB: with a D number it begins a block, without it ends the innermost one.
func (p *parser) block(at int, c *cursor) error {
	if p.inRegion {
		return p.fault(at, "aperture block (AB) inside a region", "end the region first; export the file again")
	}
	if c.done() {
		n := len(p.stack)
		if n == 0 {
			return p.fault(at, "end of an aperture block (AB) where none is open", "export the file again; this place is damaged")
		}
		if err := p.closeRepeat(); err != nil {
			return err
		}
		b := p.out
		p.out, p.stack = p.stack[n-1], p.stack[:n-1]
		p.assign(b.number, definition{block: b, slot: -1})
		p.slot = -1
		return nil
	}
	n, ok := 0, c.take('D')
	if ok {
		n, ok = c.natural()
	}
	if !ok || n < 10 || !c.done() {
		return p.fault(at, "aperture block that cannot be read", "it begins with %ABD12*% and ends with %AB*%")
	}
	if p.base.active {
		return p.fault(at, "aperture block together with an image moved, mirrored, scaled or turned (OF, IO, MI, SF, IR)", "export the layer without these old statements")
	}
	if len(p.stack) >= p.opt.MaxNesting {
		return p.fault(at, fmt.Sprintf("more than %d aperture blocks inside one another", p.opt.MaxNesting), "export the file again; this place is damaged")
	}
	if len(p.apers.list) > 0 {
		p.note(warnBlockAttributes, at)
	}
	p.stack = append(p.stack, p.out)
	p.out = &target{block: true, number: n, openedAt: at}
	return nil
}

// openBlock tells whether the block with D number n is being defined.
func (p *parser) openBlock(n int) bool {
	if p.out.block && p.out.number == n {
		return true
	}
	for _, t := range p.stack {
		if t.block && t.number == n {
			return true
		}
	}
	return false
}

// flashBlock draws a block: its objects under the orientation in force, moved to the flash. Clear
// polarity turns dark to clear and clear to dark. Objects without attributes of their own take
// those of the flash.
func (p *parser) flashBlock(at int, b *target, to geom.Point) error {
	m := move{Transform: geom.Transform{Turn: p.hand.turn, Shift: to}, hand: p.hand}
	set := p.objectSet(at)
	if p.count+len(b.objects) > p.opt.MaxObjects {
		return p.tooMany(at)
	}
	for _, o := range b.objects {
		o.Clear = o.Clear != p.clear
		if o.Set == 0 {
			o.Set = set
		}
		if err := p.copyObject(at, o, b.regions, m); err != nil {
			return err
		}
	}
	return nil
}
