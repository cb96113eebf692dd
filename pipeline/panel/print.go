package panel

import (
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// PrintUse is what a Print is for.
type PrintUse string

// The uses of prints.
const (
	Lettering PrintUse = "lettering"  // words and signs for people
	Code      PrintUse = "code"       // a two-dimensional code for machines
	LabelArea PrintUse = "label_area" // room that is kept for a label
	Thieving  PrintUse = "thieving"   // copper that evens out plating
	BadBoard  PrintUse = "bad_board"  // the mark that says that a copy is not to be used
	RailMask  PrintUse = "rail_mask"  // opening in the mask over waste
	OnBoard   PrintUse = "on_board"   // legend that stays on a copy: a serial number, a lot
)

// Dot is a round flash.
type Dot struct {
	At       geom.Point
	Diameter geom.Length
}

// PenLine is a stroke of a round pen: edges that follow one another.
type PenLine struct {
	Path  geom.Path
	Width geom.Length
}

// Print is artwork that the panel adds of its own, beside its marks: lettering, codes, thieving. It is
// drawn alike on each of its layers, and nothing of it is clear. On the bottom, letters are mirrored here:
// all layers are seen from the top.
type Print struct {
	ID     string // "legend/product", "thieving/rail/upper", "bad_board_mark/A1"
	Use    PrintUse
	Layers []Function // their Type is empty
	Text   string     // what lettering and codes say
	Copy   string     // the copy that a bad-board mark is of, or that a print stays on
	Area   geom.Box   // what it takes up, at least all that is drawn; nothing else may lie there
	Dots   []Dot
	Lines  []PenLine
	Areas  []geom.Path // closed and filled; they do not overlap
	// LetterHeight is the height of lettering's capitals, 0 where there are no letters.
	LetterHeight geom.Length
	// Symbology is a code's, "data_matrix" or "qr", and Square the side of one of its squares; empty and 0 of
	// all else.
	Symbology string
	Square    geom.Length
}

// On tells whether the print stands on a layer.
func (p Print) On(f Function) bool {
	return slices.ContainsFunc(p.Layers, func(l Function) bool { return l.Key() == f.Key() })
}

// Image gives the print as artwork: dots, then lines, then areas, each in its order. function is the
// apertures' .AperFunction, nil for none.
func (p Print) Image(function []string) *artwork.Image {
	m := &artwork.Image{Sets: []artwork.Attributes{nil}}
	set := int32(0)
	if function != nil {
		m.Sets = append(m.Sets, artwork.Attributes{{Name: ".AperFunction", Values: function}})
		set = 1
	}
	pens := map[geom.Length]int32{}
	pen := func(d geom.Length) int32 {
		i, ok := pens[d]
		if !ok {
			i = int32(len(m.Apertures))
			pens[d] = i
			m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Circle, Width: d, Set: set})
		}
		return i
	}
	for _, d := range p.Dots {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Aperture: pen(d.Diameter), Region: -1, Edge: geom.Line(d.At, d.At)})
	}
	for _, l := range p.Lines {
		for _, e := range l.Path {
			m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Stroke, Aperture: pen(l.Width), Region: -1, Edge: e})
		}
	}
	for _, a := range p.Areas {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Fill, Aperture: -1, Region: int32(len(m.Regions)), AperSet: set})
		m.Regions = append(m.Regions, artwork.Region{Contours: []geom.Path{a}})
	}
	return m
}

// Prints gives what the panel prints of its own.
func (p Panel) Prints() []Print { return slices.Clone(p.get().prints) }

// AddPrint adds artwork of the panel's own. A print without a layer or with nothing drawn, pens of no width,
// areas that do not close, and what is drawn beyond its own area are errors.
func (b *Builder) AddPrint(x Print) *Builder {
	b.claim(x.ID)
	if b.err == nil {
		b.err = x.check()
	}
	b.d.prints = append(b.d.prints, x)
	return b
}

func (p Print) check() error {
	bad := func(what string) error { return fmt.Errorf("print %q %s", p.ID, what) }
	if len(p.Layers) == 0 {
		return bad("stands on no layer")
	}
	if len(p.Dots)+len(p.Lines)+len(p.Areas) == 0 && p.Use != LabelArea {
		return bad("has nothing to draw")
	}
	box := geom.EmptyBox()
	for _, d := range p.Dots {
		if d.Diameter <= 0 {
			return bad("has a dot of no size")
		}
		box = box.Union(geom.BoxOf(d.At).Grow(d.Diameter / 2))
	}
	for _, l := range p.Lines {
		if l.Width <= 0 || len(l.Path) == 0 {
			return bad("has a line of no width or no length")
		}
		for i, e := range l.Path {
			if i > 0 && l.Path[i-1].To != e.From {
				return bad("has a line whose edges do not follow one another")
			}
		}
		box = box.Union(l.Path.Box().Grow(l.Width / 2))
	}
	for _, a := range p.Areas {
		for i, e := range a {
			if e.From != a[(i+len(a)-1)%len(a)].To {
				return bad("has an area that does not close")
			}
		}
		box = box.Union(a.Box())
	}
	if !box.Empty() && !p.Area.Holds(box) {
		return bad("draws beyond its own area")
	}
	return nil
}

// move gives the print elsewhere.
func (p Print) move(d geom.Point) Print {
	t := geom.Transform{Shift: d}
	p.Area = p.Area.Move(d)
	p.Dots = each(p.Dots, func(x Dot) Dot { x.At = x.At.Add(d); return x })
	p.Lines = each(p.Lines, func(x PenLine) PenLine { x.Path = t.Path(x.Path); return x })
	p.Areas = each(p.Areas, t.Path)
	return p
}
