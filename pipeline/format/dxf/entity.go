package dxf

import (
	"math"

	"panelwright/pipeline/format"
)

// A shape draws itself under a map that ends in nanometres. It is false where its numbers are too large
// to be exact; what lies too far away the pen knows.
type shape interface {
	draw(p *pen, m affine) bool
}

// An entity is one thing drawn.
type entity struct {
	kind      string
	at        int32 // where the group that begins it stands
	layer     string
	on        *layerState // that layer, once it is known
	handle    string
	paper     bool // it belongs to paper space
	invisible bool

	shape  shape         // nil where it draws nothing itself
	insert *insert       // of an INSERT
	fault  *format.Fault // it cannot be read
	note   string        // something to be told
	width  float64       // of a polyline
	flip   bool          // its coordinates are seen from below
	sloped bool          // it reaches out of the plane
	mesh   bool          // it is no line but a mesh of faces

	// Only while it is read:
	group   []pair
	corners []pair // those of a POLYLINE: each is a group 0 and what follows
	open    bool   // they are not ended by SEQEND
}

// readers make the shape of an entity from its groups.
var readers = map[string]func(*text, *entity) error{
	"LINE": readLine, "ARC": readArc, "CIRCLE": readArc, "ELLIPSE": readEllipse, "SPLINE": readSpline,
	"LWPOLYLINE": readLWPolyline, "POLYLINE": readPolyline, "INSERT": readInsert,
}

// keep tells whether a group of an entity matters. Of what is not read only the common groups do.
func keep(read bool, code int32) bool {
	switch code {
	case 5, 8, 60, 67:
		return true
	}
	return read && code < 1000 && code != 100 && code != 102 && code != 330
}

// readEntities reads entities up to what ends them.
func (r *reader) readEntities(until string, into *[]entity) error {
	var e entity // the one that is being read, once one has begun
	var begun, read, skip bool
	finish := func() {
		if begun {
			r.make(&e)
			*into = append(*into, e)
		}
	}
	for {
		p, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			return r.fault(p.at, doAgain, "the drawing ends before %s", until)
		}
		if p.code != 0 {
			// What follows an embedded object (101) is not the entity's own.
			skip = skip || p.code == 101
			switch {
			case !begun && !skip:
				return r.fault(p.at, "export the file again", "an entity begins with group 0")
			case skip || !keep(read, p.code):
			case len(e.corners) > 0:
				e.corners = append(e.corners, p)
			default:
				e.group = append(e.group, p)
			}
			continue
		}
		skip = false
		if r.is(p, 0, until) {
			finish()
			return nil
		}
		kind := r.nameOf(p)
		switch kind {
		case "EOF", "SECTION", "ENDSEC", "BLOCK", "ENDBLK":
			return r.fault(p.from, doAgain, "%s comes before %s", kind, until)
		}
		if r.count++; r.count > r.opt.MaxEntities {
			return r.tooMany(p.at)
		}
		if kind == "VERTEX" && e.open {
			e.corners = append(e.corners, p)
			continue
		}
		if kind == "SEQEND" {
			e.open, skip = false, true // it only ends a list
			continue
		}
		group, corners := e.group[:0], e.corners[:0]
		finish()
		e = entity{kind: kind, at: p.at, open: kind == "POLYLINE", group: group, corners: corners}
		begun, read = true, readers[kind] != nil
	}
}

// make makes of an entity's groups what is kept of it.
func (r *reader) make(e *entity) {
	e.layer = "0"
	for _, p := range e.group {
		switch p.code {
		case 5:
			e.handle = short(r.value(p))
		case 8:
			e.layer = r.nameOf(p)
		case 60:
			e.invisible = r.value(p) == "1"
		case 67:
			e.paper = r.value(p) == "1"
		}
	}
	if read := readers[e.kind]; read != nil {
		if err := read(r.text, e); err != nil {
			e.fault = err.(*format.Fault)
		}
	}
	e.group, e.corners = nil, nil
}

// A field is a group with one number that an entity may have, and where it goes.
type field struct {
	code int32
	to   *float64
	must bool // the entity is nothing without it
}

// numbers reads the fields of an entity. Of a group that comes twice the last counts.
func (t *text) numbers(e *entity, fields ...field) error {
	var had uint64
	for _, p := range e.group {
		for i, f := range fields {
			if f.code != p.code {
				continue
			}
			v, err := t.number(p)
			if err != nil {
				return err
			}
			*f.to = v
			had |= 1 << i
			break
		}
	}
	for i, f := range fields {
		if f.must && had&(1<<i) == 0 {
			return t.fault(e.at, "export the file again", "%s without group %d", e.kind, f.code)
		}
	}
	return nil
}

// extrusion reads the direction that an entity is seen from: straight from above or from below, else it
// is an error. Seen from below its own x runs to the left.
func (t *text) extrusion(e *entity) error {
	x, y, z := 0.0, 0.0, 1.0
	at := e.at
	for _, p := range e.group {
		var to *float64
		switch p.code {
		case 210:
			to = &x
		case 220:
			to = &y
		case 230:
			to = &z
		default:
			continue
		}
		if at == e.at {
			at = p.at
		}
		v, err := t.number(p)
		if err != nil {
			return err
		}
		*to = v
	}
	// A lean of a millionth shortens by less than a millionth of a millionth.
	if !(math.Abs(z) > 0 && math.Abs(x) <= math.Abs(z)/1e6 && math.Abs(y) <= math.Abs(z)/1e6) {
		return t.fault(at, "draw the outline in the plane of x and y", "%s whose plane leans (groups 210, 220, 230)", e.kind)
	}
	e.flip = z < 0
	return nil
}
