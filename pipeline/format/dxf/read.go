package dxf

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// Read reads a drawing. A mistake is a *format.Fault. The result depends on the data and the options
// alone.
func Read(name string, data []byte, opt Options) (*Drawing, *Report, error) {
	if opt.Unit != Unitless && opt.Unit.nm() == 0 {
		return nil, nil, &format.Fault{File: name, What: fmt.Sprintf("no drawing of a board is in the unit %s", opt.Unit), Do: doUnit}
	}
	opt = opt.settled()
	r := &reader{cursor: &cursor{text: &text{name: name, data: data, maxSpline: opt.MaxSplinePoints}}, opt: opt, blocks: map[string]*block{}, names: map[string]string{}, layers: map[string]*layerState{}, ignored: map[ignoredKey]int{}, notes: map[string]int{}, refused: map[refusal]bool{}}
	if err := r.read(); err != nil {
		return nil, nil, err
	}
	return &r.out, &r.rep, nil
}

// reader is what is known while a file is read.
type reader struct {
	*cursor
	opt    Options
	header header
	model  []entity // of the section of entities
	blocks map[string]*block
	order  []*block
	count  int // entities read, later looked at
	names  map[string]string

	scale  float64 // nm of a unit
	edges  int     // drawn
	layers map[string]*layerState

	out     Drawing
	rep     Report
	ignored map[ignoredKey]int // where in rep.Ignored
	notes   map[string]int     // where in rep.Notes
	refused map[refusal]bool

	everywhere *format.Fault // of the first insert that was refused: what it would have drawn may be on any layer
}

type ignoredKey struct {
	kind  string
	layer int
	why   string
}

type refusal struct {
	at    int32
	layer int
}

var bom = []byte("\xef\xbb\xbf")

// binaryMark ends the first 22 bytes of a drawing in binary form.
const binaryMark = " Binary DXF\r\n\x1a\x00"

func isBinary(data []byte) bool {
	return bytes.HasSuffix(data[:min(len(data), 22)], []byte(binaryMark))
}

// Looks tells whether the data look like a DXF drawing, in text or in binary form.
func Looks(data []byte) bool {
	if isBinary(data) {
		return true
	}
	c := &cursor{text: &text{data: data[:min(len(data), 1<<16)]}}
	c.begin()
	p, ok, err := c.next()
	return err == nil && ok && c.is(p, 0, "SECTION")
}

// begin skips what may stand before the first group.
func (c *cursor) begin() {
	c.pos = len(c.data) - len(bytes.TrimLeft(bytes.TrimPrefix(c.data, bom), " \t\r\n"))
}

func (r *reader) read() error {
	switch d := r.data; {
	case len(d) > math.MaxInt32:
		return &format.Fault{File: r.name, What: "the file has more than 2 GiB", Do: "export the outline alone"}
	case isBinary(d):
		return r.fault(0, "export it as a text (ASCII) DXF", "this is a drawing in binary DXF, which is not read")
	case len(d) > 6 && string(d[:4]) == "AC10" && bytes.IndexByte(d[:min(len(d), 64)], 0) >= 0:
		return r.fault(0, "export it as a text (ASCII) DXF", "this is a drawing in a drawing program's own form, not a DXF")
	}
	if i := bytes.IndexByte(r.data, 0); i >= 0 {
		return r.fault(int32(i), "export it as a text (ASCII) DXF", "this is no text: it holds binary data")
	}
	if err := r.sections(); err != nil {
		return err
	}
	if err := r.settleUnit(); err != nil {
		return err
	}
	r.count = 0
	if err := r.visit(r.model, place{map_: scaling(r.scale, r.scale)}); err != nil {
		return err
	}
	r.unusedBlocks()
	r.refuseEverywhere()
	r.tellHidden()
	r.rep.Entities = r.count
	return nil
}

// sections reads the file section by section.
func (r *reader) sections() error {
	r.begin()
	if r.pos >= len(r.data) {
		return r.fault(0, doAgain, "the drawing is empty")
	}
	some := false
	for {
		p, ok, err := r.next()
		switch {
		case err != nil:
			return err
		case !ok:
			if !some {
				return r.fault(p.at, "export it as a text (ASCII) DXF", "the drawing has no section of entities")
			}
			r.note(p.at, "the drawing does not end with EOF")
			return nil
		case r.is(p, 0, "EOF"):
			if rest := bytes.TrimSpace(r.data[r.pos:]); len(rest) > 0 {
				r.note(int32(r.pos), "something stands after the end of the drawing; it is left out")
			}
			if !some {
				return r.fault(p.at, "export it as a text (ASCII) DXF", "the drawing has no section of entities")
			}
			return nil
		case !r.is(p, 0, "SECTION"):
			return r.fault(p.at, "a drawing is a row of sections, each from SECTION to ENDSEC; export the file again", "a section should begin here")
		}
		begin := p
		if p, ok, err = r.next(); err != nil {
			return err
		} else if !ok || p.code != 2 {
			return r.fault(begin.at, doAgain, "a section without a name (group 2)")
		}
		switch r.value(p) {
		case "HEADER":
			err = r.readHeader()
		case "TABLES":
			err = r.readTables()
		case "BLOCKS":
			err = r.readBlocks()
		case "ENTITIES":
			some = true
			err = r.readEntities("ENDSEC", &r.model)
		default:
			err = r.skipSection(begin)
		}
		if err != nil {
			return err
		}
	}
}

func (r *reader) skipSection(begin pair) error {
	for {
		p, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			return r.fault(begin.at, doAgain, "a section without an end")
		}
		if r.is(p, 0, "ENDSEC") {
			return nil
		}
		if r.is(p, 0, "SPATIAL_FILTER") {
			r.note(p.at, "an insert is clipped; it is taken whole")
		}
	}
}

// counted counts an entity that is looked at.
func (r *reader) counted(at int32) error {
	if r.count++; r.count > r.opt.MaxEntities {
		return r.tooMany(at)
	}
	return nil
}

func (r *reader) tooMany(at int32) *format.Fault {
	return r.fault(at, "export the outline alone, or allow more", "more than %d entities, those of inserts counted as often as they are inserted", r.opt.MaxEntities)
}

// visit draws entities. An error ends the reading.
func (r *reader) visit(list []entity, in place) error {
	for i := range list {
		e := &list[i]
		if err := r.counted(e.at); err != nil {
			return err
		}
		layer := in.layer
		if layer == nil || e.layer != "0" {
			if e.on == nil {
				e.on = r.layer(e.layer)
			}
			layer = e.on
		}
		if in.layer == nil && e.paper {
			r.ignore(e, layer, paperSpace)
			continue
		}
		if e.note != "" {
			r.note(e.at, e.note)
		}
		var err error
		switch {
		case e.fault != nil:
			err = r.refuse(e, layer, func() *format.Fault { return e.fault })
		case e.insert != nil:
			err = r.visitInsert(e, layer, in)
		case e.shape != nil:
			err = r.draw(e, layer, in)
		default:
			r.ignore(e, layer, "")
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// draw makes the curve of an entity.
func (r *reader) draw(e *entity, layer *layerState, in place) error {
	m := in.map_
	if e.flip {
		m = m.of(mirror)
	}
	p := &pen{tol: float64(r.opt.Tolerance), left: r.opt.MaxEdges - r.edges + 1}
	ok := e.shape.draw(p, m)
	r.edges = r.opt.MaxEdges + 1 - p.left
	switch {
	case p.far:
		return r.refuse(e, layer, func() *format.Fault {
			return r.fault(e.at, "check the unit, and move the drawing nearer to the origin", "%s that reaches beyond 1 m from the origin", e.kind)
		})
	case p.left <= 0:
		return r.fault(e.at, "export the outline alone, allow more, or take a wider tolerance", "more than %d edges are drawn", r.opt.MaxEdges)
	case !ok:
		return r.refuse(e, layer, func() *format.Fault {
			return r.fault(e.at, "draw it in common sizes", "%s whose numbers are too large to be read to the nanometre", e.kind)
		})
	case len(p.path) == 0:
		r.note(e.at, fmt.Sprintf("%s without length on layer %q, dropped", e.kind, short(layer.name(r))))
		return nil
	}
	if e.sloped {
		r.note(e.at, e.kind+" that reaches out of the plane of x and y; it is taken as seen from above")
	}
	if p.flattened {
		r.rep.Flattened++
	}
	r.rep.Curves++
	l := &r.out.Layers[layer.index]
	l.Curves = append(l.Curves, Curve{
		Path: slices.Clip(p.path), Kind: Kind(e.kind), Layer: l.Name, Handle: e.handle, Line: r.line(e.at),
		Width: geom.Round(min(float64(geom.Limit), max(0, e.width)*m.stretch())), Blocks: in.blocks,
		Hidden: in.hidden || e.invisible || l.Frozen || l.Off, Flattened: p.flattened,
	})
	return nil
}

// refuse keeps the error of an entity, or gives it where nothing is set aside. What a block has is
// refused once for a layer, not as often as the block is inserted; the error is made only then.
func (r *reader) refuse(e *entity, layer *layerState, fault func() *format.Fault) error {
	if !r.opt.SetAside {
		return fault()
	}
	key := refusal{e.at, layer.index}
	if r.refused[key] {
		return nil
	}
	r.refused[key] = true
	f := fault()
	// Layers of another file have names of their own; only its layer 0 is the insert's.
	foreign := e.insert != nil && e.insert.target != nil && e.insert.target.outside
	if e.kind == "INSERT" && !foreign && r.everywhere == nil {
		r.everywhere = f
	}
	l := &r.out.Layers[layer.index]
	l.Refused = append(l.Refused, f)
	return nil
}

// note adds a remark.
func (r *reader) note(at int32, what string) {
	i, ok := r.notes[what]
	if !ok {
		i = len(r.rep.Notes)
		r.notes[what] = i
		r.rep.Notes = append(r.rep.Notes, Note{Line: r.line(at), What: what})
	}
	r.rep.Notes[i].Count++
}

// silent are the kinds that draw no line that could belong to an outline; areas are those that bound or
// fill an area. Any other kind is taken for one that draws lines.
var (
	silent = []string{"TEXT", "MTEXT", "ATTRIB", "ATTDEF", "POINT", "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "LEADER", "MULTILEADER", "MLEADER", "TOLERANCE", "RTEXT",
		"ARCALIGNEDTEXT", "ACAD_TABLE", "VIEWPORT", "LIGHT", "CAMERA", "SUN", "OLEFRAME", "OLE2FRAME", "SEQEND", "GEOPOSITIONMARKER", "SECTION", "VERTEX", "SHAPE", "DGNUNDERLAY", "DWFUNDERLAY", "PDFUNDERLAY"}
	areas = []string{"HATCH", "MPOLYGON", "SOLID", "TRACE", "3DFACE", "REGION", "BODY", "3DSOLID", "MESH", "SURFACE", "PLANESURFACE", "IMAGE", "WIPEOUT", "POLYLINE"}
)

// ignore counts an entity that gives no curve.
func (r *reader) ignore(e *entity, layer *layerState, why string) {
	kind := short(e.kind)
	area := slices.Contains(areas, kind) && (e.mesh || kind != string(Polyline))
	if e.mesh {
		kind = "POLYLINE (mesh)"
	}
	key := ignoredKey{kind, layer.index, why}
	i, ok := r.ignored[key]
	if !ok {
		i = len(r.rep.Ignored)
		r.ignored[key] = i
		r.rep.Ignored = append(r.rep.Ignored, Ignored{Kind: kind, Layer: layer.name(r), Why: why, Line: r.line(e.at), Drawn: !slices.Contains(silent, kind), Area: area})
	}
	r.rep.Ignored[i].Count++
}

// Err gives what keeps the layer from being taken as it is: the first of Refused, with how many more
// there are. It is nil for a layer that was read whole.
func (l *Layer) Err() error {
	if len(l.Refused) == 0 {
		return nil
	}
	f := *l.Refused[0]
	if n := len(l.Refused) - 1; n > 0 {
		f.What += fmt.Sprintf("; layer %q has %d more that cannot be read", short(l.Name), n)
	}
	return &f
}
