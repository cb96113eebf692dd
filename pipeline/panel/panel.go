package panel

import (
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
)

// Panel is a panel in the making or finished. It is immutable: Edit gives a Builder on a copy. The
// zero Panel is empty. Its lists are handed out as copies, in the order in which they were added.
type Panel struct{ d *data }

type data struct {
	outline      geom.Outline
	cornerRadius geom.Length
	boards       []*Board
	copies       []Copy
	rails        []Rail
	marks        []Mark
	slots        []Slot
	tabs         []Tab
	perforations []Perforation
	scores       []Score
	prints       []Print
	blanks       []Blank
	cutters      []geom.Length
	unreached    []Unreached
	xOut         *XOut
	copperShares []CopperShare
	support      *Support
	memory       memory
}

var none = &data{}

func (p Panel) get() *data {
	if p.d == nil {
		return none
	}
	return p.d
}

// Outline is the panel's edge; its CutOuts are the panel's own, not those of the copies.
func (p Panel) Outline() geom.Outline { return p.get().outline }

// Boards gives every board that the recipe has read, placed or not.
func (p Panel) Boards() []*Board { return slices.Clone(p.get().boards) }

// Board gives the board of that name, nil when there is none.
func (p Panel) Board(name string) *Board {
	for _, b := range p.get().boards {
		if b.Name == name {
			return b
		}
	}
	return nil
}

// Copies gives the placed boards.
func (p Panel) Copies() []Copy { return slices.Clone(p.get().copies) }

// Rails gives the rails.
func (p Panel) Rails() []Rail { return slices.Clone(p.get().rails) }

// Marks gives fiducials and tooling holes.
func (p Panel) Marks() []Mark { return slices.Clone(p.get().marks) }

// Slots gives the openings routed between the boards.
func (p Panel) Slots() []Slot { return slices.Clone(p.get().slots) }

// Tabs gives the tabs.
func (p Panel) Tabs() []Tab { return slices.Clone(p.get().tabs) }

// Perforations gives the holes of the tabs' rows.
func (p Panel) Perforations() []Perforation { return slices.Clone(p.get().perforations) }

// Scores gives the score lines.
func (p Panel) Scores() []Score { return slices.Clone(p.get().scores) }

// Blanks gives the laminate that stays on copies beside score lines.
func (p Panel) Blanks() []Blank { return slices.Clone(p.get().blanks) }

// Cutters gives the diameters of the cutters that rout the panel, the largest first.
func (p Panel) Cutters() []geom.Length { return slices.Clone(p.get().cutters) }

// Unreached gives what should be cut and no cutter reaches.
func (p Panel) Unreached() []Unreached { return slices.Clone(p.get().unreached) }

// SizeText says how large the panel is: "254 x 147 mm".
func (p Panel) SizeText() string {
	b := p.get().outline.Box()
	return b.Width().Decimal() + " x " + b.Height().String()
}

// CopperCount is the number of copper layers of the placed boards (of the first; that they agree is
// the rule stackup-mismatch's matter).
func (p Panel) CopperCount() int {
	for _, c := range p.get().copies {
		return c.Board.CopperCount
	}
	return 0
}

// Thickness is the thickness of the placed boards (of the first).
func (p Panel) Thickness() geom.Length {
	for _, c := range p.get().copies {
		return c.Board.Thickness
	}
	return 0
}

// Edit gives a Builder that starts from p and leaves p unchanged.
func (p Panel) Edit() *Builder {
	d := *p.get()
	// Clip makes every append allocate, so that nothing written shows through in p.
	d.boards = slices.Clip(d.boards)
	d.copies = slices.Clip(d.copies)
	d.rails = slices.Clip(d.rails)
	d.marks = slices.Clip(d.marks)
	d.slots = slices.Clip(d.slots)
	d.tabs = slices.Clip(d.tabs)
	d.perforations = slices.Clip(d.perforations)
	d.scores = slices.Clip(d.scores)
	d.prints = slices.Clip(d.prints)
	d.blanks = slices.Clip(d.blanks)
	d.cutters = slices.Clip(d.cutters)
	d.unreached = slices.Clip(d.unreached)
	d.copperShares = slices.Clip(d.copperShares)
	return &Builder{d: d, ids: p.ids()}
}

func (p Panel) ids() map[string]bool {
	m := map[string]bool{}
	d := p.get()
	for _, c := range d.copies {
		m[c.ID] = true
	}
	for _, x := range d.rails {
		m[x.ID] = true
	}
	for _, x := range d.marks {
		m[x.ID] = true
	}
	for _, x := range d.slots {
		m[x.ID] = true
	}
	for _, x := range d.tabs {
		m[x.ID] = true
	}
	for _, x := range d.perforations {
		m[x.ID] = true
	}
	for _, x := range d.scores {
		m[x.ID] = true
	}
	for _, x := range d.blanks {
		m[x.ID] = true
	}
	for _, x := range d.prints {
		m[x.ID] = true
	}
	for _, x := range d.unreached {
		m[x.ID] = true
	}
	return m
}

// Builder collects changes to a panel. Adding a feature whose id is taken, or naming nothing, is an
// error that Build returns.
type Builder struct {
	d   data
	ids map[string]bool
	err error
}

func (b *Builder) claim(id string) {
	if b.err != nil {
		return
	}
	switch {
	case id == "":
		b.err = fmt.Errorf("a feature has no id")
	case b.ids[id]:
		b.err = fmt.Errorf("two features are called %q", id)
	}
	b.ids[id] = true
}

// FitOutline sets the panel's outline to the rectangle round the copies and rails, and its lower left
// corner to the origin. Whoever adds copies ends with it.
func (b *Builder) FitOutline() *Builder { return b.relay() }

// AddBoard adds a board; a name given twice is an error.
func (b *Builder) AddBoard(x *Board) *Builder {
	for _, y := range b.d.boards {
		if y.Name == x.Name && b.err == nil {
			b.err = fmt.Errorf("two boards are called %q", x.Name)
		}
	}
	b.d.boards = append(b.d.boards, x)
	return b
}

// AddCopy places a board.
func (b *Builder) AddCopy(x Copy) *Builder {
	b.claim(x.ID)
	b.d.copies = append(b.d.copies, x)
	return b
}

// AddMark adds a fiducial or a tooling hole.
func (b *Builder) AddMark(x Mark) *Builder {
	b.claim(x.ID)
	b.d.marks = append(b.d.marks, x)
	return b
}

// AddSlot adds a routed opening.
func (b *Builder) AddSlot(x Slot) *Builder {
	b.claim(x.ID)
	b.d.slots = append(b.d.slots, x)
	return b
}

// AddTab adds a tab.
func (b *Builder) AddTab(x Tab) *Builder {
	b.claim(x.ID)
	b.d.tabs = append(b.d.tabs, x)
	return b
}

// AddPerforation adds a hole of a tab's row.
func (b *Builder) AddPerforation(x Perforation) *Builder {
	b.claim(x.ID)
	b.d.perforations = append(b.d.perforations, x)
	return b
}

// AddScore adds a score line.
func (b *Builder) AddScore(x Score) *Builder {
	b.claim(x.ID)
	b.d.scores = append(b.d.scores, x)
	return b
}

// AddBlank adds laminate that stays on a copy.
func (b *Builder) AddBlank(x Blank) *Builder {
	b.claim(x.ID)
	b.d.blanks = append(b.d.blanks, x)
	return b
}

// SetCutters says which cutters rout the panel, the largest first.
func (b *Builder) SetCutters(diameters []geom.Length) *Builder {
	b.d.cutters = slices.Clone(diameters)
	return b
}

// AddUnreached adds what no cutter reaches.
func (b *Builder) AddUnreached(x Unreached) *Builder {
	b.claim(x.ID)
	b.d.unreached = append(b.d.unreached, x)
	return b
}

// Shift moves everything placed so far by d, the outline too: for a stage that adds material to the
// left of or below what is there.
func (b *Builder) Shift(d geom.Point) *Builder {
	if d == (geom.Point{}) {
		return b
	}
	t := geom.Transform{Shift: d}
	b.d.outline = t.Outline(b.d.outline)
	b.d.copies = each(b.d.copies, func(x Copy) Copy { x.Place = x.Place.Then(t); return x })
	b.d.rails = each(b.d.rails, func(x Rail) Rail { x.Box = x.Box.Move(d); return x })
	b.d.marks = each(b.d.marks, func(x Mark) Mark { x.At = x.At.Add(d); return x })
	b.d.slots = each(b.d.slots, func(x Slot) Slot { x.Outline = t.Outline(x.Outline); return x })
	b.d.unreached = each(b.d.unreached, func(x Unreached) Unreached {
		x.At, x.Outline = x.At.Add(d), t.Outline(x.Outline)
		return x
	})
	b.d.tabs = each(b.d.tabs, func(x Tab) Tab {
		x.Feet[0], x.Feet[1] = x.Feet[0].Add(d), x.Feet[1].Add(d)
		x.Rows = each(x.Rows, func(r Row) Row { r.Line = t.Path(r.Line); return r })
		return x
	})
	b.d.perforations = each(b.d.perforations, func(x Perforation) Perforation { x.At = x.At.Add(d); return x })
	b.d.blanks = each(b.d.blanks, func(x Blank) Blank { x.Outline = t.Outline(x.Outline); return x })
	b.d.prints = each(b.d.prints, func(x Print) Print { return x.move(d) })
	b.d.scores = each(b.d.scores, func(x Score) Score { x.From, x.To = x.From.Add(d), x.To.Add(d); return x })
	if b.d.support != nil {
		s := *b.d.support
		s.Pins = each(s.Pins, func(x geom.Point) geom.Point { return x.Add(d) })
		b.d.support = &s
	}
	return b
}

func each[T any](in []T, f func(T) T) []T {
	out := make([]T, len(in))
	for i, x := range in {
		out[i] = f(x)
	}
	return out
}

// Build gives the changed panel, or the first error.
func (b *Builder) Build() (Panel, error) {
	if b.err != nil {
		return Panel{}, b.err
	}
	box := b.d.outline.Box()
	for _, c := range b.d.copies {
		box = box.Union(c.Box())
	}
	if !box.Empty() && (!box.Min.Within() || !box.Max.Within()) {
		return Panel{}, fmt.Errorf("the panel reaches from %v to %v mm: coordinates must lie within %v either way",
			box.Min, box.Max, geom.Limit)
	}
	d := b.d
	d.memory = newMemory()
	b.d = data{} // a Builder is used once
	return Panel{&d}, nil
}
