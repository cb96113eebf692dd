package gerber

import (
	"bytes"
	"fmt"
	"sort"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

const (
	maxSetItems = 1_000_000   // attributes in all sets together
	maxInForce  = 64          // attributes of one kind in force at once
	baseArc     = 5 * geom.UM // radii that differ by this much are left alone
)

// parser holds the state of one reading.
type parser struct {
	name string
	data []byte
	i    int // the next byte
	opt  Options
	img  *artwork.Image
	rep  *Report

	// Numbers.
	unit     Unit
	format   NumberFormat
	hasFS    bool
	ready    bool // unit and format are known, axes are set
	axes     [2]axis
	arcSlack geom.Length

	// Graphics state.
	pos        geom.Point
	sense      geom.Sense // G01, G02, G03
	quadrant   uint8      // 0, 74 or 75
	op         int8       // the last D01, D02 or D03
	clear      bool
	hand       hand       // mirroring, rotation and scale of apertures
	mirrorTurn geom.Angle // the half turn that LM has put into hand
	base       base       // of the whole image, by the old statements
	hasIP      bool

	// Apertures.
	defs     []definition
	low      [1024]int32 // D number to defs, plus one
	high     map[int]int32
	macros   map[string]macro
	selected int   // D number; 0 for none
	def      int32 // into defs; −1 when not defined at selection
	slot     int32 // into img.Apertures for def under hand; −1 until resolved
	turned   bool  // slot is a rectangle at an odd angle
	derived  map[derivation]int32
	keys     map[string]int32 // aperture key to img.Apertures
	key      []byte
	vars     []number
	args     []number
	work     int

	// Attributes.
	apers, objs dict
	setIDs      map[string]int32
	setItems    int
	known       map[string]artwork.Attribute

	// Region under construction.
	inRegion  bool
	regionAt  int
	contour   geom.Path // what is behind its end is room for the contours to come
	contours  []geom.Path
	edgeSlab  []geom.Edge
	pathSlab  []geom.Path
	edgeCount int
	pending   int // edges of regions not yet handed to Options.Visit

	// Where objects go: the image, or the innermost open aperture block.
	out   *target
	stack []*target
	count int

	notes [remarkCount]struct{ at, n int }
	ended bool
}

// Read parses one layer; name is used in errors, which are of type *format.Fault. It never keeps
// data. Zero-length straight edges of contours are dropped, since they enclose nothing; open
// contours are closed. Everything else is kept in the order in which it was drawn.
func Read(name string, data []byte, opt Options) (*artwork.Image, *Report, error) {
	opt.fill()
	p := &parser{
		name: name, data: bytes.TrimRight(data, "\x1a\r\n\t "), opt: opt,
		img: &artwork.Image{Sets: []artwork.Attributes{nil}}, rep: &Report{},
		hand: plain, def: -1, slot: -1,
		high: map[int]int32{}, macros: map[string]macro{}, derived: map[derivation]int32{},
		keys: map[string]int32{}, setIDs: map[string]int32{"": 0}, known: map[string]artwork.Attribute{},
	}
	p.base = base{scale: [2]number{whole(1), whole(1)}}
	p.out = &target{}
	if bytes.HasPrefix(p.data, []byte("\xef\xbb\xbf")) {
		p.i = 3
	}
	if err := p.recognise(); err != nil {
		return nil, nil, err
	}
	objects, edges, most := p.estimate()
	if opt.Visit != nil {
		objects, edges = min(objects, 2*visitAtOnce), min(edges, most+visitAtOnce)
	}
	p.out.objects = make([]artwork.Object, 0, min(objects, opt.MaxObjects))
	p.contour = make(geom.Path, 0, min(edges, opt.MaxEdges))
	if err := p.run(); err != nil {
		return nil, nil, err
	}
	if opt.Visit != nil {
		p.visit()
	} else {
		p.img.Objects = p.out.objects
	}
	p.report()
	return p.img, p.rep, nil
}

// run is the top loop: statements and extended commands until the end.
func (p *parser) run() error {
	for !p.ended {
		for p.i < len(p.data) && p.data[p.i] <= ' ' {
			p.i++
		}
		if p.i >= len(p.data) {
			break
		}
		var err error
		switch p.data[p.i] {
		case '%':
			err = p.extended()
		case '*':
			p.i++
		default:
			var done bool
			if done, err = p.plain(); !done {
				err = p.statement()
			}
		}
		if err != nil {
			return err
		}
		// Objects of an open block or step-and-repeat are still to be copied.
		if p.opt.Visit != nil && len(p.out.objects)+p.pending >= visitAtOnce && !p.out.block && p.out.sr == nil && p.out.knock == nil {
			p.visit()
		}
	}
	if p.inRegion {
		return p.fault(p.regionAt, "region (G36) that never ends", "end it with G37*, or fetch the file again: it may be cut short")
	}
	if n := len(p.stack); n > 0 {
		return p.fault(p.out.openedAt, fmt.Sprintf("aperture block D%d that never ends", p.out.number), "end it with %AB*%, or fetch the file again: it may be cut short")
	}
	if !p.ended {
		p.note(warnNoEnd, len(p.data))
	} else if rest := bytes.TrimLeft(p.data[p.i:], "\r\n\t *%"); len(rest) > 0 {
		p.note(warnAfterEnd, len(p.data)-len(rest))
	}
	p.rep.HasEnd = p.ended
	if err := p.closeKnockout(); err != nil {
		return err
	}
	return p.closeRepeat()
}

// visitAtOnce is how many objects and edges of regions are gathered for one call of Options.Visit.
const visitAtOnce = 4096

// visit hands over the objects gathered and forgets them.
func (p *parser) visit() {
	p.opt.Visit(p.img, p.out.objects)
	p.out.objects = p.out.objects[:0]
	p.img.Regions, p.pending = nil, 0
}

// recognise refuses what is no layer at all before any of it is parsed.
func (p *parser) recognise() error {
	if len(p.data) <= p.i {
		return &format.Fault{File: p.name, What: "the file is empty", Do: "export it again"}
	}
	if n := bytes.IndexByte(p.data, 0); n >= 0 {
		return p.fault(n, "binary data, not a Gerber layer", "name a layer file here; if this should be one, export it again as text")
	}
	head := p.data[p.i:min(len(p.data), p.i+1024)]
	if !hasCommand(head) {
		return &format.Fault{File: p.name, What: "no Gerber command in the first 1024 bytes: this is not a Gerber layer",
			Do: "name a layer file here; drill files, placement files and archives are read in other ways"}
	}
	return nil
}

// hasCommand looks for an extended command, or for a word command that ends with *.
func hasCommand(head []byte) bool {
	upper := func(b byte) bool { return b >= 'A' && b <= 'Z' }
	for i := 0; i+2 < len(head); i++ {
		switch b := head[i]; {
		case b == '%' && upper(head[i+1]) && upper(head[i+2]):
			return true
		case b == 'G' || b == 'D' || b == 'M' || b == 'X' || b == 'Y':
			if c := head[i+1]; c >= '0' && c <= '9' || c == '-' {
				if i == 0 || head[i-1] <= ' ' || head[i-1] == '*' {
					return bytes.IndexByte(head[i:], '*') >= 0
				}
			}
		}
	}
	return false
}

// estimate counts, roughly, the objects that the file draws and the edges of its regions, all and of
// the largest, so that they can be stored without growing: a growing slice holds its content twice.
func (p *parser) estimate() (objects, edges, most int) {
	region, n := false, 0
	for d := p.data; ; {
		i := bytes.IndexByte(d, '*')
		if i < 0 {
			return objects, edges, most
		}
		if i >= 3 {
			switch last := d[i-1]; {
			case d[i-3] == 'G' && d[i-2] == '3' && last == '6':
				region, n = true, 0
				objects++
			case d[i-3] == 'G' && d[i-2] == '3' && last == '7':
				region, most = false, max(most, n)
			case (last == '1' || last == '3') && (d[i-2] == 'D' || d[i-2] == '0' && d[i-3] == 'D'):
				if region {
					n++
					edges++
				} else {
					objects++
				}
			}
		}
		d = d[i+1:]
	}
}

func (p *parser) fault(at int, what, do string) error {
	return format.At(p.name, p.data, at, what, do)
}

func (p *parser) note(r remark, at int) {
	if p.notes[r].n == 0 {
		p.notes[r].at = at
	}
	p.notes[r].n++
}

func (p *parser) report() {
	p.rep.Unit, p.rep.Format = p.unit, p.format
	if v := p.img.Attributes.Get(".GenerationSoftware"); v != nil {
		p.rep.Generator = joinWords(v)
	}
	for r, n := range p.notes {
		if n.n == 0 {
			continue
		}
		note := Note{Line: format.At(p.name, p.data, n.at, "", "").Line, What: remarks[r], Count: n.n}
		if remark(r) < firstWarning {
			p.rep.Deprecated = append(p.rep.Deprecated, note)
		} else {
			p.rep.Warnings = append(p.rep.Warnings, note)
		}
	}
	for _, list := range [][]Note{p.rep.Deprecated, p.rep.Warnings} {
		sort.SliceStable(list, func(i, j int) bool { return list[i].Line < list[j].Line })
	}
}
