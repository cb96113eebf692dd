package dxf

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/format"
)

// A block is a drawing of its own that inserts put into others.
type block struct {
	name     string
	at       int32
	x, y     float64 // what an insert puts at its place
	outside  bool    // it lies in another file
	again    int32   // where another block of the same name begins; 0 where there is none
	entities []entity
	used     bool
}

// insert is an INSERT: a block put at a place, stretched, turned and perhaps repeated in columns and rows.
type insert struct {
	block         string
	x, y          float64
	scaleX        float64
	scaleY        float64
	turn          float64 // degrees, counter-clockwise
	columns, rows int
	dx, dy        float64 // from column to column and row to row, turned with the insert but not stretched
	at            int32   // where the block's name stands
	sought        bool    // target is known
	target        *block  // nil where there is none of that name
}

// readInsert reads an INSERT: name 2, place 10, 20, scales 41 and 42, turn 50, columns 70 and rows 71 with
// their distances 44 and 45.
func readInsert(t *text, e *entity) error {
	i := &insert{scaleX: 1, scaleY: 1, columns: 1, rows: 1, at: e.at}
	if err := t.numbers(e, field{10, &i.x, true}, field{20, &i.y, true}, field{41, &i.scaleX, false}, field{42, &i.scaleY, false},
		field{50, &i.turn, false}, field{44, &i.dx, false}, field{45, &i.dy, false}); err != nil {
		return err
	}
	for _, p := range e.group {
		switch p.code {
		case 2:
			i.block, i.at = t.word(p), p.from
		case 70, 71:
			n, err := t.whole(p)
			if err != nil {
				return err
			}
			if n < 0 {
				return t.fault(p.from, "export the file again", "INSERT with a number of columns or rows below zero")
			}
			*[]*int{&i.columns, &i.rows}[p.code-70] = max(n, 1)
		}
	}
	if i.block == "" {
		return t.fault(e.at, "export the file again", "INSERT without the name of a block (group 2)")
	}
	if i.scaleX == 0 || i.scaleY == 0 {
		return t.fault(e.at, "give it a scale other than zero", "INSERT of block %q with a scale of zero", short(i.block))
	}
	e.insert = i
	return t.extrusion(e)
}

// blocks reads the section of blocks.
func (r *reader) readBlocks() error {
	var b *block
	for {
		p, ok, err := r.next()
		switch {
		case err != nil:
			return err
		case !ok:
			return r.fault(p.at, doAgain, "the drawing ends within its blocks")
		case r.is(p, 0, "ENDSEC"):
			return nil
		case r.is(p, 0, "BLOCK"):
			b = &block{at: p.at}
			if err := r.readBlock(b); err != nil {
				return err
			}
		case b == nil || p.code == 0:
			return r.fault(p.at, "export the file again", "the section of blocks has something that is no block")
		}
	}
}

// readBlock reads one block up to its ENDBLK; what follows that in groups of its own does not matter.
func (r *reader) readBlock(b *block) error {
	for {
		mark := r.pos
		p, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			return r.fault(p.at, doAgain, "the drawing ends within a block")
		}
		switch p.code {
		case 2:
			b.name = r.word(p)
		case 10, 20:
			v, err := r.number(p)
			if err != nil {
				return err
			}
			*[]*float64{&b.x, &b.y}[p.code/10-1] = v
		case 70:
			flags, err := r.whole(p)
			if err != nil {
				return err
			}
			const reference = 4 | 8
			b.outside = flags&reference != 0
		case 0:
			r.pos = mark // it begins the first entity
			if err := r.readEntities("ENDBLK", &b.entities); err != nil {
				return err
			}
			key := fold(b.name)
			if old := r.blocks[key]; old != nil {
				old.again = b.at
				return nil
			}
			r.blocks[key] = b
			r.order = append(r.order, b)
			return nil
		}
	}
}

// fold makes names that mean the same the same.
func fold(name string) string { return strings.ToUpper(name) }

// place is where in the nest of inserts entities are drawn.
type place struct {
	map_   affine
	layer  *layerState // what layer "0" stands for; nil outside blocks
	hidden bool        // by the inserts
	within []*block    // the blocks that we are in, the outermost first
	blocks []string    // their names
}

// visitInsert draws a block as often as an insert puts it there.
func (r *reader) visitInsert(e *entity, layer *layerState, in place) error {
	i := e.insert
	if !i.sought {
		i.sought, i.target = true, r.blocks[fold(i.block)]
	}
	b := i.target
	refuse := func(do, what string, args ...any) error {
		return r.refuse(e, layer, func() *format.Fault { return r.fault(i.at, do, what, args...) })
	}
	switch {
	case b == nil:
		return refuse("export the file again with its blocks", "INSERT of block %q, which the file does not have", short(i.block))
	case b.again > 0:
		return refuse("export the file again", "INSERT of block %q, which is there twice, on lines %d and %d", short(i.block), r.line(b.at), r.line(b.again))
	case b.outside:
		b.used = true
		return refuse("bind it into the drawing before exporting", "INSERT of block %q, which lies in another file", short(i.block))
	case slices.Contains(in.within, b):
		return refuse("export the file again", "block %q is inserted into itself", short(i.block))
	case len(in.within) >= r.opt.MaxDepth:
		return r.fault(i.at, "explode inserts, or allow more", "inserts within inserts, more than %d deep", r.opt.MaxDepth)
	}
	b.used = true
	if i.columns > r.opt.MaxEntities/i.rows {
		return r.tooMany(e.at)
	}
	m := in.map_
	if e.flip {
		m = m.of(mirror)
	}
	m = m.of(shift(i.x, i.y)).of(turn(i.turn))
	inner := scaling(i.scaleX, i.scaleY).of(shift(-b.x, -b.y))
	next := place{
		layer: layer, hidden: in.hidden || e.invisible || layer.frozen(r),
		within: append(slices.Clip(in.within), b), blocks: append(slices.Clip(in.blocks), b.name),
	}
	for row := range i.rows {
		for column := range i.columns {
			next.map_ = m
			if i.rows > 1 || i.columns > 1 {
				if err := r.counted(e.at); err != nil {
					return err
				}
				next.map_ = m.of(shift(float64(i.dx*float64(column)), float64(i.dy*float64(row))))
			}
			next.map_ = next.map_.of(inner)
			if err := r.visit(b.entities, next); err != nil {
				return err
			}
		}
	}
	return nil
}

// refuseEverywhere hands the first insert that was refused to every layer.
func (r *reader) refuseEverywhere() {
	for i := range r.out.Layers {
		if l := &r.out.Layers[i]; r.everywhere != nil && !slices.Contains(l.Refused, r.everywhere) {
			l.Refused = append(l.Refused, r.everywhere)
		}
	}
}

// unusedBlocks tells of blocks that draw something but are never inserted.
func (r *reader) unusedBlocks() {
	var unused []*block
	for _, b := range r.order {
		// The blocks of model space and paper space are named *Model_Space, *Paper_Space0 and so on, in old
		// files $MODEL_SPACE. A name that begins so otherwise is that of a dimension or a hatch, one that
		// begins with _ that of an arrow.
		name := fold(b.name)
		space := strings.TrimLeft(name, "*$")
		switch {
		case len(b.entities) == 0 || b.used:
		case space != name && strings.HasPrefix(space, "PAPER_SPACE"):
			for i := range b.entities {
				e := &b.entities[i]
				r.ignore(e, r.layer(e.layer), paperSpace)
			}
		case space != name && strings.HasPrefix(space, "MODEL_SPACE"):
			r.note(b.at, "the block of the model space has entities; they are left out")
		case name != "" && !strings.ContainsAny(name[:1], "*$_"):
			unused = append(unused, b)
		}
	}
	if len(unused) > 0 {
		r.rep.Notes = append(r.rep.Notes, Note{Line: r.line(unused[0].at), What: fmt.Sprintf("blocks that are never inserted are left out; the first is %q", short(unused[0].name)), Count: len(unused)})
	}
}

const paperSpace = "paper space"
