package gerber

import (
	"fmt"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// operate carries out a D01, D02 or D03, or coordinates that repeat the operation before them.
func (p *parser) operate(at int, op int8, have int, v *[4]geom.Length) error {
	if op == 0 {
		if op = p.op; op == 0 {
			return p.fault(at, "coordinates without an operation", "add D01 (draw), D02 (move) or D03 (flash)")
		}
		p.note(oldNoOperation, at)
	}
	p.op = op
	to := p.pos
	if p.format.Incremental {
		to = to.Add(geom.Point{X: v[0], Y: v[1]})
		if !to.Within() {
			return p.tooFar(at)
		}
	} else {
		if have&hasX != 0 {
			to.X = v[0]
		}
		if have&hasY != 0 {
			to.Y = v[1]
		}
	}
	from := p.pos
	p.pos = to
	switch op {
	case 1:
		e := geom.Edge{From: from, To: to}
		if p.sense != geom.Straight {
			var err error
			if e, err = p.arc(at, from, to, v[2], v[3]); err != nil {
				return err
			}
		}
		if p.base.active && len(p.stack) == 0 {
			list, err := p.placed(at, e)
			if err != nil {
				return err
			}
			for i := range list {
				if err := p.draw(at, &list[i]); err != nil {
					return err
				}
			}
			return nil
		}
		return p.draw(at, &e)
	case 2:
		if p.inRegion {
			p.endContour(at)
		}
		return nil
	}
	if p.inRegion {
		return p.fault(at, "flash (D03) inside a region", "a region is made of D01 and D02 only; export the file again")
	}
	if p.base.active && len(p.stack) == 0 {
		if to = p.base.point(to); !to.Within() {
			return p.tooFar(at)
		}
	}
	return p.flash(at, to)
}

// draw adds an edge to the region under construction, or strokes it.
func (p *parser) draw(at int, e *geom.Edge) error {
	if !p.inRegion {
		return p.stroke(at, e)
	}
	if e.From != e.To || e.Sense != geom.Straight {
		p.contour = append(p.contour, *e)
	}
	return nil
}

func (p *parser) stroke(at int, e *geom.Edge) error {
	if p.slot < 0 || p.turned {
		if err := p.found(at); err != nil {
			return err
		}
		d := &p.defs[p.def]
		h := p.hand.ofAperture(p.base)
		if _, quarter := h.turn.Quarters(); d.block == nil && d.Shape == artwork.Rectangle && !quarter {
			return p.sweep(at, d.Aperture, h, *e, p.clear, p.objectSet(at), p.internDefinition(d))
		}
		if err := p.resolve(at, true); err != nil {
			return err
		}
	}
	a := &p.img.Apertures[p.slot]
	if a.Shape != artwork.Circle && a.Shape != artwork.Rectangle {
		p.note(oldPen, at)
	}
	if a.Hole != 0 {
		p.note(warnHollowPen, at)
	}
	o, err := p.room(at, p.objectSet(at))
	if err == nil {
		*o = artwork.Object{Kind: artwork.Stroke, Clear: p.clear, Aperture: p.slot, Region: -1, Set: p.objs.id, Edge: *e}
	}
	return err
}

func (p *parser) flash(at int, to geom.Point) error {
	if p.slot < 0 {
		if err := p.resolve(at, false); err != nil {
			return err
		}
		if p.slot < 0 {
			return p.flashBlock(at, p.defs[p.def].block, to)
		}
	}
	o, err := p.room(at, p.objectSet(at))
	if err == nil {
		*o = artwork.Object{Kind: artwork.Flash, Clear: p.clear, Aperture: p.slot, Region: -1, Set: p.objs.id, Edge: geom.Edge{From: to}}
	}
	return err
}

// sweep puts a stroke of a rectangle at an odd angle: the area that it covers.
func (p *parser) sweep(at int, a artwork.Aperture, h hand, e geom.Edge, clear bool, set, aperSet int32) error {
	if e.Sense != geom.Straight {
		return p.fault(at, "arc drawn with a turned rectangle", "draw the arc with a circle, or turn the aperture by quarter turns only")
	}
	if s, ok := h.sized(a); ok {
		a = s
	}
	if a.Hole != 0 {
		p.note(warnHollowPen, at)
	}
	contour := sweptRectangle(a.Width, a.Height, h.turn, e.From, e.To)
	if len(contour) == 0 {
		return nil // a rectangle without size that stays where it is
	}
	for _, side := range contour {
		if !side.From.Within() {
			return p.tooFar(at)
		}
	}
	return p.fill(at, artwork.Region{Contours: []geom.Path{contour}}, clear, set, aperSet)
}

// put stores an object where objects now go.
func (p *parser) put(at int, o artwork.Object) error {
	to, err := p.room(at, min(o.Set, o.AperSet))
	if err == nil {
		*to = o
	}
	return err
}

// room makes room for one more object where objects now go; set is one of its sets of attributes.
func (p *parser) room(at int, set int32) (*artwork.Object, error) {
	if p.count++; p.count > p.opt.MaxObjects {
		return nil, p.tooMany(at)
	}
	if set < 0 {
		return nil, p.tooManyAttributes(at)
	}
	list := p.out.objects
	n := len(list)
	if n < cap(list) {
		list = list[:n+1]
	} else {
		list = append(list, artwork.Object{})
	}
	p.out.objects = list
	return &list[n], nil
}

func (p *parser) tooMany(at int) error {
	return p.lack(format.LacksRoom, at, fmt.Sprintf("more than %d objects", p.opt.MaxObjects), "export it with fewer or simpler objects")
}

// fill stores a region where objects now go.
func (p *parser) fill(at int, r artwork.Region, clear bool, set, aperSet int32) error {
	list := &p.img.Regions
	if p.out.block {
		list = &p.out.regions
	}
	*list = append(*list, r)
	return p.put(at, artwork.Object{Kind: artwork.Fill, Clear: clear, Aperture: -1, Region: int32(len(*list) - 1), Set: set, AperSet: aperSet})
}

func (p *parser) openRegion(at int) error {
	if p.inRegion {
		return p.fault(at, "region (G36) inside a region", "end the first one with G37*; export the file again")
	}
	p.inRegion, p.regionAt = true, at
	p.contour, p.contours = p.contour[:0], p.contours[:0]
	if cap(p.contour) == 0 { // more than was estimated
		p.contour = make(geom.Path, 0, 1024)
	}
	return nil
}

func (p *parser) closeRegion(at int) error {
	if !p.inRegion {
		return p.fault(at, "end of a region (G37) where none is open", "export the file again; this place is damaged")
	}
	p.endContour(at)
	p.inRegion = false
	if len(p.contours) == 0 {
		return nil
	}
	n := len(p.contours)
	if len(p.pathSlab) < n {
		p.pathSlab = make([]geom.Path, max(n, 256))
	}
	paths := p.pathSlab[:n:n]
	p.pathSlab = p.pathSlab[n:]
	copy(paths, p.contours)
	return p.fill(at, artwork.Region{Contours: paths}, p.clear, p.objectSet(at), p.apertureSet(at))
}

// endContour closes the contour under construction and keeps it.
func (p *parser) endContour(at int) {
	if len(p.contour) == 0 {
		return
	}
	if first, last := p.contour[0].From, p.contour[len(p.contour)-1].To; first != last {
		p.contour = append(p.contour, geom.Line(last, first))
		p.note(warnOpenContour, at)
	}
	n := len(p.contour)
	p.contours = append(p.contours, p.contour[:n:n])
	p.pending += n
	p.contour = p.contour[n:]
}

// edges gives room for n edges out of a slab, so that copied contours cost no allocation each.
func (p *parser) edges(n int) geom.Path {
	if len(p.edgeSlab) < n {
		if n > 256 {
			return make(geom.Path, n)
		}
		p.edgeSlab = make([]geom.Edge, 1024)
	}
	out := p.edgeSlab[:n:n]
	p.edgeSlab = p.edgeSlab[n:]
	return out
}
