package badboardmarks

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
	"panelwright/pipeline/panel/waste"
)

// step is how finely free places are looked for.
const step = 250 * geom.UM

// cell is the room of one mark and its name, as long and as wide for every copy: along its rail the mark, then the
// name.
type cell struct {
	along, across geom.Length
	mark          geom.Length // diameter of all that belongs to the mark
	names         map[string]lettering.Layout
}

// cell measures the marks and names of the copies.
func (s *BadBoardMarks) cell(copies []panel.Copy) (cell, error) {
	c := cell{along: s.reach(), across: s.reach(), mark: s.reach(), names: map[string]lettering.Layout{}}
	if !s.Names {
		return c, nil
	}
	var widest geom.Length
	for _, x := range copies {
		l, err := lettering.Lay(x.ID, s.LetterHeight, s.StrokeWidth, lettering.Left)
		if err != nil {
			return c, fmt.Errorf("the name of copy %s cannot be printed: %w", x.ID, err)
		}
		c.names[x.ID] = l
		widest = max(widest, l.Box.Width())
		c.across = max(c.across, l.Box.Height())
	}
	c.along += s.Clearance + widest
	return c, nil
}

// strip is a rail as the marks see it: s along it, from left or below, t across it, from below or from the right, so
// that t is up for one who reads along the rail.
type strip struct {
	panel.Rail
	level bool
}

func stripOf(r panel.Rail) strip {
	return strip{r, r.Side == panel.Upper || r.Side == panel.Lower}
}

func (r strip) length() geom.Length {
	if r.level {
		return r.Box.Width()
	}
	return r.Box.Height()
}

// box gives the box at s and t with that extent along and across.
func (r strip) box(s, t, along, across geom.Length) geom.Box {
	if r.level {
		at := r.Box.Min.Add(geom.Pt(s, t))
		return geom.Box{Min: at, Max: at.Add(geom.Pt(along, across))}
	}
	at := geom.Pt(r.Box.Max.X-t, r.Box.Min.Y+s)
	return geom.Box{Min: at.Add(geom.Pt(-across, 0)), Max: at.Add(geom.Pt(0, along))}
}

// onRails finds a place on the rails for every copy's mark: in as few rows as need be, together on one rail if that
// can be.
func (s *BadBoardMarks) onRails(ctx context.Context, in panel.Panel) (panel.Panel, []spot, error) {
	copies := in.Copies()
	c, err := s.cell(copies)
	if err != nil {
		return in, nil, err
	}
	if in, err = s.widen(in, c); err != nil {
		return in, nil, err
	}
	things, err := waste.Things(ctx, in)
	if err != nil {
		return in, nil, err
	}
	off := waste.KeepOff(things, func(t waste.Thing) (geom.Length, bool) {
		if t.Kind == waste.Edge {
			return s.FromPanelEdge, true
		}
		return s.Clearance, true
	})
	rails := s.rails(in)
	if len(rails) == 0 {
		return in, nil, fmt.Errorf("the panel has no %s rail: name one that it has with on", strings.Join(s.On, " or "))
	}
	for _, r := range rails { // together, in one row on one of the rails; else in more
		for rows := 1; rows <= s.mostRows(r, c); rows++ {
			if err := ctx.Err(); err != nil {
				return in, nil, err
			}
			if boxes := s.block(r, c, off, len(copies), rows); boxes != nil {
				return in, s.spots(copies, c, []strip{r}, [][]geom.Box{boxes}), nil
			}
		}
	}
	most := 0
	for _, r := range rails {
		most = max(most, s.mostRows(r, c))
	}
	best := 0
	for rows := 1; rows <= most; rows++ { // apart, round what is in the way, on all rails
		left := len(copies)
		all := make([][]geom.Box, len(rails))
		for i, r := range rails {
			if err := ctx.Err(); err != nil {
				return in, nil, err
			}
			all[i] = s.scattered(r, c, off, min(rows, s.mostRows(r, c)), left)
			left -= len(all[i])
		}
		if left == 0 {
			return in, s.spots(copies, c, rails, all), nil
		}
		best = max(best, len(copies)-left)
	}
	return in, nil, fmt.Errorf("there is room for %d of %d marks of %v along a rail and %v across it, kept %v from the panel's edge and %v from all else: "+
		"make marks or letters smaller, leave the names out (names = false), widen the rails, put this stage before what fills them, or say where = %q",
		best, len(copies), c.along, c.across, s.FromPanelEdge, s.Clearance, onBoard)
}

// rails gives the rails that may carry marks, in the order of on.
func (s *BadBoardMarks) rails(in panel.Panel) []strip {
	var out []strip
	if len(s.On) == 0 {
		for _, r := range in.Rails() {
			out = append(out, stripOf(r))
		}
	}
	for _, side := range s.On {
		if r, ok := in.Rail(panel.RailSide(side)); ok {
			out = append(out, stripOf(r))
		}
	}
	return out
}

// widen lets the first rail, where its width is left open, grow to what one row needs, as it does for other marks.
// Where slots, score lines or prints lie along it already, it keeps its width.
func (s *BadBoardMarks) widen(in panel.Panel, c cell) (panel.Panel, error) {
	rails := s.rails(in)
	if len(rails) == 0 || len(in.Slots())+len(in.Tabs())+len(in.Scores())+len(in.Prints()) > 0 {
		return in, nil
	}
	r := rails[0]
	if need := s.FromPanelEdge + c.across + s.Clearance; r.Derived && need > r.Width() {
		return in.Edit().FitRail(r.Side, need).Build()
	}
	return in, nil
}

// pitch is from one cell to the next, along and across.
func (s *BadBoardMarks) pitch(c cell) (along, across geom.Length) {
	between := max(s.Clearance, s.LetterHeight/2)
	return c.along + between, c.across + between
}

func (s *BadBoardMarks) mostRows(r strip, c cell) int {
	_, across := s.pitch(c)
	room := r.Width() - s.FromPanelEdge
	if room < c.across {
		return 0
	}
	return int((room-c.across)/across) + 1
}

// block puts all cells in rows beside one another, in the middle of the rail or as near to it as there is room; nil
// where there is none.
func (s *BadBoardMarks) block(r strip, c cell, off *waste.Off, n, rows int) []geom.Box {
	along, across := s.pitch(c)
	columns := (n + rows - 1) / rows
	width, height := geom.Length(columns-1)*along+c.along, geom.Length(rows-1)*across+c.across
	if width > r.length() || height > r.Width() || (columns-1)*rows >= n && rows > 1 {
		return nil // it does not fit, or fewer columns would do
	}
	// What the rail has left, half of it on either side: not counted is the panel's edge, which is kept off anyway.
	for _, t := range outwards(r.Width()-height, s.inner(r)) {
		for _, p := range outwards(r.length()-width, 0) {
			if !off.FreeShape(geom.Outline{Outer: geom.Rectangle(r.box(p, t, width, height))}) {
				continue
			}
			var out []geom.Box
			for i := range n { // the first row is the upper one
				row, column := i/columns, i%columns
				out = append(out, r.box(p+geom.Length(column)*along, t+geom.Length(rows-1-row)*across, c.along, c.across))
			}
			return out
		}
	}
	return nil
}

// inner is by how much the middle of what the conveyor leaves free of a rail lies off its own middle, towards the
// boards: positive where that is up for one who reads along the rail.
func (s *BadBoardMarks) inner(r strip) geom.Length {
	switch r.Side {
	case panel.Upper, panel.Left:
		return -s.FromPanelEdge / 2
	}
	return s.FromPanelEdge / 2
}

// outwards gives places from 0 to the most, from the middle, off by so much, to either side.
func outwards(most, off geom.Length) []geom.Length {
	if most < 0 {
		return nil
	}
	middle := min(max(most/2+off, 0), most)
	out := []geom.Length{middle}
	for d := step; d <= most+step; d += step {
		for _, p := range []geom.Length{middle - d, middle + d} {
			if p >= 0 && p <= most {
				out = append(out, p)
			}
		}
	}
	for _, end := range []geom.Length{0, most} {
		if !slices.Contains(out, end) {
			out = append(out, end)
		}
	}
	return out
}

// scattered puts up to n cells in rows on a rail, each at the first place that is free.
func (s *BadBoardMarks) scattered(r strip, c cell, off *waste.Off, rows, n int) []geom.Box {
	along, across := s.pitch(c)
	var best []geom.Box
	height := geom.Length(rows-1)*across + c.across
	for _, t := range outwards(r.Width()-height, s.inner(r)) {
		var out []geom.Box
		for row := range rows {
			up := t + geom.Length(rows-1-row)*across
			for p := geom.Length(0); p+c.along <= r.length() && len(out) < n; {
				box := r.box(p, up, c.along, c.across)
				if off.FreeShape(geom.Outline{Outer: geom.Rectangle(box)}) {
					out = append(out, box)
					p += along
				} else {
					p += step
				}
			}
		}
		if len(out) > len(best) {
			best = out
		}
		if len(best) == n {
			break
		}
	}
	return best
}

// spots gives each copy its cell, in order.
func (s *BadBoardMarks) spots(copies []panel.Copy, c cell, rails []strip, boxes [][]geom.Box) []spot {
	var out []spot
	for i, r := range rails {
		for _, b := range boxes[i] {
			out = append(out, s.spot(copies[len(out)].ID, c, r, b))
		}
	}
	return out
}

// spot puts a mark and its name into a cell. The name stands beside the mark on every side; on the bottom it is
// mirrored where it stands.
func (s *BadBoardMarks) spot(copy string, c cell, r strip, b geom.Box) spot {
	half := c.mark / 2
	at, turn := geom.Pt(b.Min.X+half, b.Min.Y+b.Height()/2), geom.Angle(0)
	if !r.level {
		at, turn = geom.Pt(b.Min.X+b.Width()/2, b.Min.Y+half), geom.Quarter
	}
	out := spot{copy: copy, at: at}
	l, ok := c.names[copy]
	if !ok {
		return out
	}
	for _, f := range s.on(panel.Legend) {
		// Laid at the origin first, then moved so that its box begins beside the mark, in the middle of the cell.
		placed := l.Place(f.Side, turn, geom.Point{}).Box
		to := geom.Pt(b.Min.X+c.mark+s.Clearance, at.Y-placed.Height()/2)
		if !r.level {
			to = geom.Pt(at.X-placed.Width()/2, b.Min.Y+c.mark+s.Clearance)
		}
		p := l.Place(f.Side, turn, to.Sub(placed.Min))
		out.names = append(out.names, panel.Print{ID: "bad_board_mark/" + copy + "/name/" + string(f.Side), Use: panel.Lettering, Text: copy, Copy: copy, LetterHeight: s.LetterHeight,
			Layers: []panel.Function{f}, Area: p.Box, Dots: p.Dots, Lines: p.Lines})
	}
	return out
}
