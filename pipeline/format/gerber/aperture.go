package gerber

import (
	"encoding/binary"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// definition is what a D number stands for: an aperture with its attributes, or a block.
type definition struct {
	artwork.Aperture
	attrs dict
	block *target
	slot  int32 // into Image.Apertures as defined; −1 until drawn with
}

// define reads AD. A D number may be defined again; what was drawn before keeps the old meaning.
func (p *parser) define(at int, c *cursor) error {
	if !c.take('D') {
		return p.fault(at, "aperture definition without a D number", "a definition looks like %ADD10C,0.5*%")
	}
	n, ok := c.natural()
	if !ok || n < 10 {
		return p.fault(at, "aperture number below D10", "apertures are numbered from D10 upwards; export the file again")
	}
	c.peek()
	from := c.i
	for c.i < c.end && c.data[c.i] != ',' {
		c.i++
	}
	name := trimmed(c.data[from:c.i])
	c.take(',')
	var a artwork.Aperture
	var err error
	switch name {
	case "C", "R", "O", "P":
		a, err = p.standard(at, name[0], c)
	default:
		a, err = p.fromMacro(at, n, name, c)
	}
	if err != nil {
		return err
	}
	p.apers.shared = true
	p.assign(n, definition{Aperture: a, attrs: p.apers, slot: -1})
	return nil
}

func trimmed(b []byte) string {
	c := cursor{b, 0, len(b)}
	out := make([]byte, 0, len(b))
	for ch := c.peek(); ch != 0; ch = c.peek() {
		out = append(out, ch)
		c.i++
	}
	return string(out)
}

func (p *parser) assign(n int, d definition) {
	p.defs = append(p.defs, d)
	if n < len(p.low) {
		p.low[n] = int32(len(p.defs))
	} else {
		p.high[n] = int32(len(p.defs))
	}
}

// lookup gives the definition of a D number, −1 when there is none.
func (p *parser) lookup(n int) int32 {
	if n < len(p.low) {
		return p.low[n] - 1
	}
	return p.high[n] - 1
}

// choose selects an aperture; one that is not defined is an error only when it draws.
func (p *parser) choose(n int) {
	p.selected, p.def, p.slot = n, p.lookup(n), -1
}

// standard reads the sizes of C, R, O and P.
func (p *parser) standard(at int, shape byte, c *cursor) (artwork.Aperture, error) {
	var a artwork.Aperture
	next := func() (geom.Length, error) {
		from := c.i
		l, err := p.size(at, c)
		if err == nil && l < 0 {
			err = p.fault(from, "negative size", "export the file again; this place is damaged")
		}
		if err == nil && !c.take('X') && !c.done() {
			err = p.fault(c.i, "unexpected text in an aperture definition", "sizes are separated by X; export the file again")
		}
		return l, err
	}
	var err error
	if a.Width, err = next(); err != nil {
		return a, err
	}
	switch shape {
	case 'R', 'O':
		a.Shape = artwork.Rectangle
		if shape == 'O' {
			a.Shape = artwork.Obround
		}
		if a.Height, err = next(); err != nil {
			return a, err
		}
	case 'P':
		a.Shape = artwork.Polygon
		from := c.i
		n, ok := c.decimal()
		v, isWhole := n.integer()
		if !ok || !isWhole || v < 3 || v > 12 {
			return a, p.fault(from, "number of vertices outside 3 to 12", "export the file again, with this aperture as a macro")
		}
		a.Vertices = v
		if c.take('X') {
			from := c.i
			n, ok := c.decimal()
			turn, near := n.scaled(int64(geom.Degree), 1e6*int64(geom.FullTurn))
			if !ok || !near {
				return a, p.fault(from, "an angle was expected here", "export the file again; this place is damaged")
			}
			a.Turn = polygonTurn(geom.Angle(turn), v)
		}
		c.take('X')
	}
	if c.done() {
		return a, nil
	}
	if a.Hole, err = next(); err != nil {
		return a, err
	}
	if !c.done() {
		h, err := next()
		if err != nil {
			return a, err
		}
		p.note(oldRectangularHole, at)
		w := a.Hole
		a.Hole = 0
		a = artwork.Aperture{Shape: artwork.Macro, Name: "RectangularHole", Primitives: append(solid(a),
			artwork.Primitive{Kind: artwork.PrimCenterLine, Off: true, Size: [5]geom.Length{w, h}, Points: []geom.Point{{}}})}
	}
	if !c.done() {
		return a, p.fault(c.i, "too many sizes in an aperture definition", "export the file again; this place is damaged")
	}
	return a, nil
}

// polygonTurn brings the turn of a regular polygon into the range in which pictures differ.
func polygonTurn(t geom.Angle, vertices int) geom.Angle {
	t = t.Normal()
	if n := geom.Angle(vertices); geom.FullTurn%n == 0 {
		t %= geom.FullTurn / n
	}
	return t
}

// solid gives a standard aperture without its hole as macro primitives.
func solid(a artwork.Aperture) []artwork.Primitive {
	bar := func(w, h geom.Length) artwork.Primitive {
		return artwork.Primitive{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{w, h}, Points: []geom.Point{{}}}
	}
	disc := func(d, x, y geom.Length) artwork.Primitive {
		return artwork.Primitive{Kind: artwork.PrimCircle, Size: [5]geom.Length{d}, Points: []geom.Point{{X: x, Y: y}}}
	}
	switch a.Shape {
	case artwork.Rectangle:
		return []artwork.Primitive{bar(a.Width, a.Height)}
	case artwork.Obround:
		if a.Width >= a.Height {
			x := (a.Width - a.Height) / 2
			return []artwork.Primitive{disc(a.Height, x, 0), disc(a.Height, -x, 0), bar(a.Width-a.Height, a.Height)}
		}
		y := (a.Height - a.Width) / 2
		return []artwork.Primitive{disc(a.Width, 0, y), disc(a.Width, 0, -y), bar(a.Width, a.Height-a.Width)}
	case artwork.Polygon:
		return []artwork.Primitive{{Kind: artwork.PrimPolygon, Vertices: a.Vertices, Size: [5]geom.Length{a.Width}, Points: []geom.Point{{}}, Turn: a.Turn}}
	}
	return []artwork.Primitive{disc(a.Width, 0, 0)}
}

// found makes sure that p.def is the definition to draw with.
func (p *parser) found(at int) error {
	if p.def < 0 && p.selected > 0 {
		p.def = p.lookup(p.selected)
	}
	switch {
	case p.selected == 0:
		return p.fault(at, "drawing before any aperture is selected", "select one with its D number, for example D10*; export the file again")
	case p.def < 0 && p.openBlock(p.selected):
		return p.fault(at, fmt.Sprintf("aperture block D%d is used inside itself", p.selected), "a block can hold other blocks, but not itself; export the file again")
	case p.def < 0:
		return p.fault(at, fmt.Sprintf("aperture D%d is used before it is defined", p.selected),
			fmt.Sprintf("define it with %%ADD%d...*%% above this place, or export the file again", p.selected))
	}
	return nil
}

// resolve turns the selected aperture, under the orientation in force, into one of the image.
func (p *parser) resolve(at int, pen bool) error {
	p.turned = false
	if err := p.found(at); err != nil {
		return err
	}
	d := &p.defs[p.def]
	if d.block != nil {
		if pen {
			return p.fault(at, fmt.Sprintf("stroke (D01) with aperture block D%d", p.selected), "blocks can only be flashed (D03); export the file again")
		}
		return nil
	}
	h := p.hand.ofAperture(p.base)
	slot, err := p.apertureUnder(at, p.def, h)
	if err != nil {
		return err
	}
	_, quarter := h.turn.Quarters()
	p.slot, p.turned = slot, d.Shape == artwork.Rectangle && !quarter
	return nil
}

// apertureUnder gives the image's aperture for a definition, mirrored, scaled and turned.
func (p *parser) apertureUnder(at int, def int32, h hand) (int32, error) {
	d := &p.defs[def]
	if h == plain && d.slot >= 0 {
		return d.slot, nil
	}
	k := derivation{def, h}
	if slot, ok := p.derived[k]; ok {
		return slot, nil
	}
	a := d.Aperture
	if a.Set = p.internDefinition(d); a.Set < 0 {
		return 0, p.tooManyAttributes(at)
	}
	slot, err := p.addAperture(at, a, h)
	if err != nil {
		return 0, err
	}
	if h == plain {
		d.slot = slot
	} else {
		p.derived[k] = slot
	}
	return slot, nil
}

func (p *parser) internDefinition(d *definition) int32 {
	if d.attrs.id < 0 {
		d.attrs.id = p.intern(&d.attrs)
	}
	return d.attrs.id
}

// addAperture gives the image's aperture that equals a under h, adding it when it is new.
func (p *parser) addAperture(at int, a artwork.Aperture, h hand) (int32, error) {
	for i := range a.Primitives {
		p.work += 16 * (len(a.Primitives[i].Points) + 4)
	}
	if p.work > p.opt.MaxMacros {
		return 0, p.fault(at, "aperture macros too large altogether", "export the file again with simpler apertures or with regions")
	}
	a, ok := h.apply(a)
	if !ok {
		return 0, p.fault(at, "aperture scaled beyond 2 m", "check the scale (LS)")
	}
	p.key = appendAperture(p.key[:0], a)
	p.key = binary.AppendUvarint(p.key, uint64(a.Set))
	slot, ok := p.keys[string(p.key)]
	if !ok {
		slot = int32(len(p.img.Apertures))
		p.keys[string(p.key)] = slot
		p.img.Apertures = append(p.img.Apertures, a)
	}
	return slot, nil
}

// appendAperture makes a key that is equal exactly for equal shapes; names do not count.
func appendAperture(key []byte, a artwork.Aperture) []byte {
	num := func(v int64) { key = binary.AppendVarint(key, v) }
	num(int64(a.Shape))
	num(int64(a.Width))
	num(int64(a.Height))
	num(int64(a.Hole))
	num(int64(a.Vertices))
	num(int64(a.Turn))
	for i := range a.Primitives {
		q := &a.Primitives[i]
		num(int64(q.Kind))
		if q.Off {
			num(1)
		} else {
			num(0)
		}
		for _, s := range q.Size {
			num(int64(s))
		}
		num(int64(q.Vertices))
		num(int64(q.Turn))
		num(int64(len(q.Points)))
		for _, pt := range q.Points {
			num(int64(pt.X))
			num(int64(pt.Y))
		}
	}
	return key
}
