// Package layout sets the drawing's pieces on sheets of paper, with border and title block.
package layout

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Item is a piece that is set wherever there is room: it is drawn to fit, or it flows.
type Item struct {
	Name string
	// Draw draws the piece, no larger than room where it can be. Nil for what flows.
	Draw func(s drawing.Style, room geom.Point) drawing.Sheet
	Flow drawing.Flow
}

// Input is what is to be set on sheets.
type Input struct {
	Style drawing.Style
	Sheet string        // one of SizeNames; empty: the smallest that shows the plan at full size, else the largest
	Scale drawing.Scale // zero: the largest at which the plan has room
	Size  geom.Point    // of the panel, in real lengths
	// Plan draws the plan at a scale, and tells how much of it found no room there: scales with less are preferred. An error
	// tells that it cannot be drawn at this one.
	Plan  func(drawing.Scale) (piece drawing.Sheet, missing int, err error)
	Items []Item
	Block Block
	Stamp Stamp
}

// Result is the drawing.
type Result struct {
	Sheets []drawing.Sheet
	Size   Size
	Scale  drawing.Scale
	Left   []Left // what is missing on the sheets
}

// Left is what found no room.
type Left struct {
	What string // "table Copies", "title block: Title"
	Why  string // a sentence's end: "is larger than a sheet", "is cut short"
}

// Set sets the drawing: the plan on sheet 1, the other pieces in their order on the first sheet that has room for them. Equal
// inputs give equal drawings.
func Set(ctx context.Context, in Input) (Result, error) {
	c, err := in.choose()
	if err != nil {
		return Result{}, err
	}
	// Details may be drawn wide or narrow: large ones read better, and fewer sheets are better still.
	var best *setting
	for _, wide := range []bool{true, false} {
		s := &setting{in: in, size: c.size, target: detailRoom(c.size), wide: wide}
		if err := s.set(ctx, c); err != nil {
			return Result{}, err
		}
		if best == nil || len(s.left) < len(best.left) || len(s.left) == len(best.left) && len(s.pages) < len(best.pages) {
			best = s
		}
	}
	return best.finish(c.scale), nil
}

// set sets everything.
func (s *setting) set(ctx context.Context, c choice) error {
	s.open()
	s.put(0, c.plan.piece, c.at)
	for _, x := range s.in.Items {
		if err := ctx.Err(); err != nil {
			return err
		}
		if x.Flow != nil {
			s.flow(x.Name, x.Flow)
		} else {
			s.piece(x)
		}
	}
	return nil
}

// page is a sheet that is being set.
type page struct {
	sheet drawing.Sheet
	free  rooms
}

// setting is a drawing that is being set.
type setting struct {
	in     Input
	size   Size
	target geom.Point // how large a detail should be
	wide   bool       // it may be half as wide again, for a larger scale
	pages  []*page
	left   []Left
}

// blockBox is where the title block stands: in the lower right corner of the drawing space.
func (s Size) blockBox() geom.Box {
	f := s.Frame()
	return geom.Box{Min: geom.Pt(f.Max.X-blockWidth, f.Min.Y), Max: geom.Pt(f.Max.X, f.Min.Y+blockHeight)}
}

// empty gives the rooms of a sheet on which nothing stands but block and stamp.
func (s Size) empty() rooms {
	return rooms{s.Frame().Grow(-inset)}.without(s.blockBox().Grow(apart)).without(s.strip().Grow(apart))
}

// detailRoom is how large a detail should be on a sheet: three or four stand side by side.
func detailRoom(s Size) geom.Point {
	f := s.Frame()
	side := min(max(f.Width()*3/10, 80*geom.MM), 130*geom.MM)
	return geom.Pt(side, min(side, f.Height()/3))
}

// open begins a sheet.
func (s *setting) open() { s.pages = append(s.pages, &page{free: s.size.empty()}) }

// put puts a piece at the upper left corner of a room.
func (s *setting) put(i int, p drawing.Sheet, room geom.Box) {
	at := geom.Pt(room.Min.X, room.Max.Y-p.Box.Height())
	p = p.Move(at.Sub(p.Box.Min))
	s.pages[i].sheet.Add(p)
	s.pages[i].free = s.pages[i].free.without(p.Box.Grow(apart))
}

// piece sets a piece that is drawn to fit: as large as it should be, on the first sheet that has room for it; else as large as a
// sheet allows.
func (s *setting) piece(x Item) {
	draw := func(width, height geom.Length) drawing.Sheet { return x.Draw(s.in.Style, geom.Pt(width, height)) }
	sizes := []drawing.Sheet{draw(s.target.X, s.target.Y)}
	if s.wide {
		sizes = slices.Insert(sizes, 0, draw(s.target.X*3/2, s.target.Y))
	}
	for i := range s.pages {
		for _, p := range sizes {
			if room, ok := s.pages[i].free.holding(span(p)); ok {
				s.put(i, p, room)
				return
			}
		}
	}
	empty := s.size.empty()
	for _, b := range empty {
		sizes = append(sizes, draw(b.Width(), b.Height()))
	}
	for _, p := range sizes {
		if room, ok := empty.holding(span(p)); ok {
			s.open()
			s.put(len(s.pages)-1, p, room)
			return
		}
	}
	s.left = append(s.left, Left{x.Name, "takes up " + sizeText(span(sizes[len(sizes)-1])) + " at the least, more than a sheet of size " + s.size.Name + " has room for; choose a larger sheet"})
}

// flow sets what flows: whole, on the first sheet that has room for it, else on a new one; in parts only when no sheet
// would hold it.
func (s *setting) flow(name string, f drawing.Flow) {
	for f != nil && !s.whole(f) {
		rest, ok := s.part(f)
		if !ok {
			s.open()
			if rest, ok = s.part(f); !ok {
				s.pages = s.pages[:len(s.pages)-1]
				s.left = append(s.left, Left{name, "has a line that is larger than a sheet of size " + s.size.Name + " has room for; choose a larger sheet"})
				return
			}
		}
		f = rest
	}
}

// whole sets all of what flows in one room: of a sheet that is there, not squeezed or hardly; else of a new one.
func (s *setting) whole(f drawing.Flow) bool {
	loose, rest, ok := f.Set(s.in.Style, geom.Pt(drawing.Endless, drawing.Endless))
	if !ok || rest != nil {
		return false
	}
	free, hardly := span(loose), geom.Pt(0, loose.Box.Height()*3/2)
	for _, limit := range []geom.Point{{X: free.X, Y: drawing.Endless}, hardly} {
		for i, p := range s.pages {
			if piece, room, ok := s.wholeIn(p.free, f, limit); ok {
				s.put(i, piece, room)
				return true
			}
		}
	}
	for _, limit := range []geom.Point{{X: free.X, Y: drawing.Endless}, {Y: drawing.Endless}} {
		if piece, room, ok := s.wholeIn(s.size.empty(), f, limit); ok {
			s.open()
			s.put(len(s.pages)-1, piece, room)
			return true
		}
	}
	return false
}

// wholeIn finds the first room at least as wide as limit that holds all of what flows, no higher than limit.
func (s *setting) wholeIn(r rooms, f drawing.Flow, limit geom.Point) (drawing.Sheet, geom.Box, bool) {
	for _, b := range r {
		if b.Width() < limit.X {
			continue
		}
		if piece, rest, ok := f.Set(s.in.Style, geom.Pt(b.Width(), min(b.Height(), limit.Y))); ok && rest == nil {
			return piece, b, true
		}
	}
	return drawing.Sheet{}, geom.Box{}, false
}

// part sets as much of what flows as the last sheet's best room holds; ok is false where no room is worth it: a part is at least
// a third as high as one on an empty sheet.
func (s *setting) part(f drawing.Flow) (rest drawing.Flow, ok bool) {
	at := len(s.pages) - 1
	best, room := drawing.Sheet{}, geom.Box{}
	for _, b := range s.pages[at].free {
		piece, next, fits := f.Set(s.in.Style, geom.Pt(b.Width(), b.Height()))
		if fits && (!ok || piece.Box.Height() > best.Box.Height()) {
			best, room, rest, ok = piece, b, next, true
		}
	}
	high := geom.Length(0)
	for _, b := range s.size.empty() {
		high = max(high, b.Height())
	}
	if !ok || 3*best.Box.Height() < high {
		return nil, false
	}
	s.put(at, best, room)
	return rest, true
}

// finish draws border, block and stamp on every sheet.
func (s *setting) finish(scale drawing.Scale) Result {
	out := Result{Size: s.size, Scale: scale, Left: s.left}
	block := s.size.blockBox()
	var cuts []string
	for i, p := range s.pages {
		sheet := drawing.Sheet{Name: strconv.Itoa(i + 1), Box: geom.Box{Max: s.size.Paper}}
		taken := []geom.Box{block}
		sheet.Add(s.size.border(taken))
		words := scale.String()
		if i > 0 {
			words = "as stated"
		}
		b, cut := s.in.Block.draw(block.Min, words, s.size.Name, fmt.Sprintf("%d/%d", i+1, len(s.pages)))
		for _, c := range cut {
			if !slices.Contains(cuts, c) {
				cuts = append(cuts, c)
			}
		}
		sheet.Add(b)
		sheet.Add(p.sheet)
		sheet.Add(s.in.Stamp.draw(s.size.strip()))
		out.Sheets = append(out.Sheets, sheet)
	}
	for _, c := range cuts {
		out.Left = append(out.Left, Left{"the title block's field " + c, "is longer than the field and is cut short; shorten it"})
	}
	return out
}

// span is how wide and high a piece is.
func span(p drawing.Sheet) geom.Point { return geom.Pt(p.Box.Width(), p.Box.Height()) }

func sizeText(p geom.Point) string { return mm(p.X) + " x " + mm(p.Y) + " mm" }

// mm rounds to tenths of a millimetre, upwards, for messages.
func mm(l geom.Length) string {
	const tenth = 100 * geom.UM
	return ((l + tenth - 1) / tenth * tenth).Decimal()
}
