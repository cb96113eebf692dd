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

// An entity is one thing drawn, as the file has it.
type entity struct {
	kind  string
	at    int32 // where the group that begins it stands
	group []pair
	sub   []entity // the corners of a POLYLINE
	open  bool     // the list of corners is not ended by SEQEND

	layer     string
	on        *layerState // that layer, once it is known
	handle    string
	paper     bool // it belongs to paper space
	invisible bool

	made   bool // what follows is known
	shape  shape
	insert *insert
	width  float64       // of a polyline
	flip   bool          // its coordinates are seen from below
	sloped bool          // it reaches out of the plane
	note   string        // something to be told
	fault  *format.Fault // it cannot be read
	mesh   bool          // it is no line but a mesh of faces
}

// readers make the shape of an entity from its groups.
var readers = map[string]func(*text, *entity) error{
	"LINE": readLine, "ARC": readArc, "CIRCLE": readArc, "ELLIPSE": readEllipse, "SPLINE": readSpline,
	"LWPOLYLINE": readLWPolyline, "POLYLINE": readPolyline, "INSERT": readInsert,
}

// keep tells whether a group of an entity matters. Of what is not read only the common groups do.
func keep(kind string, code int32) bool {
	switch code {
	case 5, 8, 60, 67:
		return true
	}
	if code >= 1000 || code == 100 || code == 102 || code == 330 {
		return false
	}
	return kind == "VERTEX" || readers[kind] != nil
}

// readEntities reads entities up to the one that ends them. It gives the group that ends them.
func (r *reader) readEntities(until string, into *[]entity) (pair, error) {
	var e *entity
	skip := false // an embedded object or the like follows
	for {
		p, ok, err := r.next()
		if err != nil {
			return p, err
		}
		if !ok {
			return p, r.fault(p.at, doAgain, "the drawing ends before %s", until)
		}
		if p.code != 0 {
			if e == nil {
				return p, r.fault(p.at, "export the file again", "an entity begins with group 0")
			}
			if p.code == 101 {
				skip = true
			}
			if !skip && keep(e.kind, p.code) {
				e.group = append(e.group, p)
			}
			continue
		}
		skip = false
		if r.is(p, 0, until) {
			return p, nil
		}
		kind := r.word(p)
		if kind == "EOF" || kind == "SECTION" || kind == "ENDSEC" || kind == "BLOCK" || kind == "ENDBLK" {
			return p, r.fault(p.from, doAgain, "%s comes before %s", kind, until)
		}
		if r.count++; r.count > r.opt.MaxEntities {
			return p, r.tooMany(p.at)
		}
		if n := len(*into); kind == "VERTEX" && n > 0 && (*into)[n-1].kind == "POLYLINE" && (*into)[n-1].open {
			line := &(*into)[n-1]
			line.sub = append(line.sub, entity{kind: kind, at: p.at})
			e = &line.sub[len(line.sub)-1]
			continue
		}
		if n := len(*into); kind == "SEQEND" && n > 0 && (*into)[n-1].kind == "POLYLINE" {
			(*into)[n-1].open = false
		}
		if kind == "SEQEND" {
			e = &entity{kind: kind} // it only ends a list
			continue
		}
		*into = append(*into, entity{kind: kind, at: p.at, open: kind == "POLYLINE"})
		e = &(*into)[len(*into)-1]
	}
}

// common reads what all entities have.
func (r *reader) common(e *entity) {
	e.layer = "0"
	for _, p := range e.group {
		switch p.code {
		case 5:
			e.handle = short(r.value(p))
		case 8:
			e.layer = r.word(p)
		case 60:
			e.invisible = r.value(p) == "1"
		case 67:
			e.paper = r.value(p) == "1"
		}
	}
}

// make makes the shape of an entity that has one.
func (r *reader) make(e *entity) {
	if e.made {
		return
	}
	e.made = true
	r.common(e)
	if read := readers[e.kind]; read != nil {
		if err := read(r.text, e); err != nil {
			e.fault = err.(*format.Fault)
		}
	}
	if e.insert != nil {
		e.insert.target = r.blocks[fold(e.insert.block)]
	}
	e.group, e.sub = nil, nil
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
