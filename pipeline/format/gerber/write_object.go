package gerber

import (
	"fmt"
	"strconv"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// piece writes the objects of one piece.
func (x *writer) piece(pc Piece, plan []int32) error {
	m := pc.Image
	x.comment(pc.Comment)
	x.objSet, x.aperSet = -1, -1
	_, quarter := pc.Place.Turn.Quarters()
	still := pc.Place.Identity()
	for i := range m.Objects {
		o := &m.Objects[i]
		var err error
		switch {
		case o.Kind == artwork.Fill:
			err = x.region(m, o, pc.Place)
		case o.Kind == artwork.Stroke && !quarter && m.Apertures[o.Aperture].Shape == artwork.Rectangle:
			err = x.swept(m, o, pc.Place)
		default:
			err = x.drawn(m, o, plan[o.Aperture], pc.Place, still)
		}
		if err != nil {
			return fmt.Errorf("object %d: %w", i+1, err)
		}
	}
	return nil
}

// drawn writes a flash or a stroke.
func (x *writer) drawn(m *artwork.Image, o *artwork.Object, d int32, place geom.Transform, still bool) error {
	if err := x.state(m, o, -1); err != nil {
		return err
	}
	if x.d != d {
		x.d = d
		x.buf = append(strconv.AppendInt(append(x.buf[:0], 'D'), int64(d), 10), "*\n"...)
		x.w.Write(x.buf)
	}
	e := o.Edge
	if o.Kind == artwork.Flash {
		at := e.From
		if !still {
			at = place.Apply(at)
		}
		if !at.Within() {
			return tooFar(at)
		}
		x.coordinates(at, "D03*\n")
		return nil
	}
	if !still {
		e = settle(e, place.Edge(e))
	}
	if x.lastX != e.From.X || x.lastY != e.From.Y {
		if !e.From.Within() {
			return tooFar(e.From)
		}
		x.coordinates(e.From, "D02*\n")
	}
	return x.edge(e)
}

func tooFar(p geom.Point) error { return fmt.Errorf("%v mm lies beyond 1 m from the origin", p) }

// coordinates writes a place and what is done there.
func (x *writer) coordinates(p geom.Point, op string) {
	b := appendCoordinate(x.buf[:0], 'X', p.X)
	b = appendCoordinate(b, 'Y', p.Y)
	x.buf = append(b, op...)
	x.w.Write(x.buf)
	x.lastX, x.lastY = p.X, p.Y
}

// edge writes a D01 from where the pen stands.
func (x *writer) edge(e geom.Edge) error {
	if !e.To.Within() {
		return tooFar(e.To)
	}
	if x.sense != e.Sense {
		x.sense = e.Sense
		x.text([...]string{"G02*\n", "G01*\n", "G03*\n"}[e.Sense+1])
	}
	if e.Sense == geom.Straight {
		x.coordinates(e.To, "D01*\n")
		return nil
	}
	if !e.Center.Within() {
		return tooFar(e.Center)
	}
	b := appendCoordinate(x.buf[:0], 'X', e.To.X)
	b = appendCoordinate(b, 'Y', e.To.Y)
	b = appendCoordinate(b, 'I', e.Center.X-e.From.X)
	b = appendCoordinate(b, 'J', e.Center.Y-e.From.Y)
	x.buf = append(b, "D01*\n"...)
	x.w.Write(x.buf)
	x.lastX, x.lastY = e.To.X, e.To.Y
	return nil
}

// state writes polarity and attributes where they change. aperSet is the aperture attributes that a
// region carries, −1 for other objects, whose apertures have them already.
func (x *writer) state(m *artwork.Image, o *artwork.Object, aperSet int32) error {
	if x.clear != o.Clear {
		x.clear = o.Clear
		if o.Clear {
			x.text("%LPC*%\n")
		} else {
			x.text("%LPD*%\n")
		}
	}
	if x.objSet == o.Set && (aperSet < 0 || x.aperSet == aperSet) {
		return nil
	}
	objs, err := setOf(m, o.Set)
	if err != nil {
		return err
	}
	apers := x.apers
	if aperSet >= 0 {
		if apers, err = setOf(m, aperSet); err != nil {
			return err
		}
		x.aperSet = aperSet
	}
	x.objSet = o.Set
	x.force(apers, objs)
	return nil
}

func (x *writer) region(m *artwork.Image, o *artwork.Object, place geom.Transform) error {
	if o.Region < 0 || int(o.Region) >= len(m.Regions) {
		return fmt.Errorf("region number %d does not exist", o.Region)
	}
	r := &m.Regions[o.Region]
	still := place.Identity()
	open := false
	for k, c := range r.Contours {
		if len(c) == 0 {
			continue
		}
		if !c.Closed() {
			return fmt.Errorf("contour %d of region %d is not closed", k+1, o.Region)
		}
		begun := false
		at := c[0].From
		for _, e := range c {
			if e.From != at {
				return fmt.Errorf("contour %d of region %d has a gap at %v mm", k+1, o.Region, at)
			}
			at = e.To
			if !still {
				e = settle(e, place.Edge(e))
			}
			if e.Sense == geom.Straight && e.From == e.To {
				continue
			}
			if !open {
				if err := x.state(m, o, o.AperSet); err != nil {
					return err
				}
				x.text("G36*\n")
				open = true
			}
			if !begun {
				if !e.From.Within() {
					return tooFar(e.From)
				}
				x.coordinates(e.From, "D02*\n")
				begun = true
			}
			if err := x.edge(e); err != nil {
				return err
			}
		}
	}
	if open {
		x.text("G37*\n")
	}
	return nil
}

// swept writes a straight stroke of a rectangle at an odd angle as the region that it covers.
func (x *writer) swept(m *artwork.Image, o *artwork.Object, place geom.Transform) error {
	if o.Edge.Sense != geom.Straight {
		return fmt.Errorf("an arc drawn with a rectangle cannot be turned by %v, only by quarter turns", place.Turn)
	}
	a := &m.Apertures[o.Aperture]
	e := place.Edge(o.Edge)
	contour := sweptRectangle(a.Width, a.Height, place.Turn, e.From, e.To)
	one := artwork.Image{Apertures: m.Apertures, Sets: m.Sets, Regions: []artwork.Region{{Contours: []geom.Path{contour}}}}
	f := artwork.Object{Kind: artwork.Fill, Clear: o.Clear, Set: o.Set, AperSet: a.Set}
	return x.region(&one, &f, geom.Transform{})
}
