package scorelines

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/opening"
)

// What may lie beside a line and belong to no board.
const (
	corners = "corners" // rounded or cut off
	notches = "notches" // all else
)

// thin is what of a sliver nobody can see.
const thin = 5 * geom.UM

// sliver is narrower still: a wedge between an arc and its tangent is thin and stands out all the same.
const sliver = 1 * geom.UM

// sides are the four sides of a box, in the order lower, right, upper, left.
type sides [4]bool

// cell is what the lines part off with a copy: its box, grown by the blank laminate that stays.
type cell struct {
	copy   panel.Copy
	box    geom.Box // of the copy
	scored sides
	fresh  sides          // scored by this stage, not by one before it
	leave  [4]geom.Length // blank laminate before the line, at each side that is scored
	edge   sides          // the panel's own edge
}

// whole is the cell as a rectangle.
func (c cell) whole() geom.Box {
	b := c.box
	b.Min.Y -= c.leave[0]
	b.Max.X += c.leave[1]
	b.Max.Y += c.leave[2]
	b.Min.X -= c.leave[3]
	return b
}

// touched tells which sides of the box a piece of what lies beside the board reaches, and over which
// stretch.
func (c cell) touched(piece geom.Outline) (on sides, reach [4]interval) {
	for _, e := range piece.Outer {
		b := e.Box()
		for i := range on {
			var near bool
			var lo, hi geom.Length
			switch i {
			case 0:
				near, lo, hi = (b.Max.Y-c.box.Min.Y).Abs() <= opening.Touching, b.Min.X, b.Max.X
			case 1:
				near, lo, hi = (b.Min.X-c.box.Max.X).Abs() <= opening.Touching, b.Min.Y, b.Max.Y
			case 2:
				near, lo, hi = (b.Min.Y-c.box.Max.Y).Abs() <= opening.Touching, b.Min.X, b.Max.X
			default:
				near, lo, hi = (b.Max.X-c.box.Min.X).Abs() <= opening.Touching, b.Min.Y, b.Max.Y
			}
			if !near || hi-lo <= opening.Touching {
				continue
			}
			if !on[i] {
				reach[i] = interval{lo, hi}
			}
			on[i] = true
			reach[i] = interval{min(reach[i].from, lo), max(reach[i].to, hi)}
		}
	}
	return on, reach
}

// strip gives the blank laminate between a stretch of the box's side and the line that leave puts there.
func (c cell) strip(side int, at interval) geom.Box {
	leave := c.leave[side]
	switch side {
	case 0:
		return geom.BoxOf(geom.Pt(at.from, c.box.Min.Y-leave), geom.Pt(at.to, c.box.Min.Y))
	case 1:
		return geom.BoxOf(geom.Pt(c.box.Max.X, at.from), geom.Pt(c.box.Max.X+leave, at.to))
	case 2:
		return geom.BoxOf(geom.Pt(at.from, c.box.Max.Y), geom.Pt(at.to, c.box.Max.Y+leave))
	}
	return geom.BoxOf(geom.Pt(c.box.Min.X-leave, at.from), geom.Pt(c.box.Min.X, at.to))
}

// across gives the strip beyond the line of a side, as wide as the cutter.
func (c cell) across(side int, at interval, cutter geom.Length) geom.Box {
	b := c.strip(side, at)
	switch side {
	case 0:
		return geom.BoxOf(geom.Pt(b.Min.X, b.Min.Y), geom.Pt(b.Max.X, b.Min.Y-cutter))
	case 1:
		return geom.BoxOf(geom.Pt(b.Max.X, b.Min.Y), geom.Pt(b.Max.X+cutter, b.Max.Y))
	case 2:
		return geom.BoxOf(geom.Pt(b.Min.X, b.Max.Y), geom.Pt(b.Max.X, b.Max.Y+cutter))
	}
	return geom.BoxOf(geom.Pt(b.Min.X, b.Min.Y), geom.Pt(b.Min.X-cutter, b.Max.Y))
}

// overcut gives where the cutter goes across lines, into rails and strips of waste, to reach what it misses
// between a rounded corner and its line. Where another board lies across the line it may not.
func (s *ScoreLines) overcut(ctx context.Context, o overlay.Options, in panel.Panel, cells []cell, missed geom.Region, cutter geom.Length) (geom.Region, error) {
	var index geom.Index[int]
	for i, c := range cells {
		index.Insert(c.whole(), i)
	}
	over := overlay.Operand{Rule: overlay.NonZero}
	for _, m := range missed {
		if !m.Thicker(thin) {
			continue
		}
		box := m.Box()
		index.Search(box, func(_ geom.Box, i int) bool {
			c, whole := cells[i], cells[i].whole()
			common := geom.Box{Min: geom.Pt(max(box.Min.X, whole.Min.X), max(box.Min.Y, whole.Min.Y)), Max: geom.Pt(min(box.Max.X, whole.Max.X), min(box.Max.Y, whole.Max.Y))}
			if common.Width() <= thin || common.Height() <= thin {
				return true
			}
			x, y := interval{common.Min.X, common.Max.X}, interval{common.Min.Y, common.Max.Y}
			var on sides
			for side, at := range [4]struct {
				near geom.Length
				at   interval
			}{{common.Min.Y - whole.Min.Y, x}, {whole.Max.X - common.Max.X, y}, {whole.Max.Y - common.Max.Y, x}, {common.Min.X - whole.Min.X, y}} {
				if on[side] = c.scored[side] && at.near <= opening.Touching; on[side] {
					over.Paths = append(over.Paths, geom.Rectangle(c.across(side, at.at, cutter)))
				}
			}
			for side := range on {
				if on[side] && on[(side+1)%4] { // round the corner where two lines cross
					over.Paths = append(over.Paths, geom.Rectangle(geom.BoxOf(cornerOf(whole, side), cornerOf(whole.Grow(cutter), side))))
				}
			}
			return true
		})
	}
	if len(over.Paths) == 0 {
		return nil, nil
	}
	boards := overlay.Operand{Rule: overlay.NonZero}
	parted := map[string]geom.Box{}
	for _, c := range cells {
		parted[c.copy.ID] = c.whole()
	}
	for _, c := range in.Copies() {
		box, ok := parted[c.ID]
		if !ok {
			box = c.Box()
		}
		boards.Paths = append(boards.Paths, geom.Rectangle(box))
	}
	boards.Paths = append(boards.Paths, opening.AroundMarks(in)...)
	waste, err := overlay.Difference(ctx, o, over, boards)
	if err != nil {
		return nil, err
	}
	return overlay.Intersection(ctx, o, overlay.Of(waste...), overlay.Of(in.Outline()))
}

// cells gives the copies that the lines part off, those of stages before this one counted.
func (s *ScoreLines) cells(in panel.Panel, scores []panel.Score) []cell {
	outline := in.Outline().Box()
	type line struct {
		panel.Score
		fresh bool
	}
	var index geom.Index[line]
	var leaves []geom.Length
	add := func(x panel.Score, fresh bool) {
		index.Insert(geom.BoxOf(x.From, x.To), line{x, fresh})
		if !slices.Contains(leaves, x.Leave) {
			leaves = append(leaves, x.Leave)
		}
	}
	for _, x := range in.Scores() {
		add(x, false)
	}
	for _, x := range scores {
		add(x, true)
	}
	slices.Sort(leaves)
	var out []cell
	for _, c := range in.Copies() {
		x := cell{copy: c, box: c.Box()}
		for _, leave := range leaves {
			for i, l := range [4]geom.Box{
				geom.BoxOf(geom.Pt(x.box.Min.X, x.box.Min.Y-leave), geom.Pt(x.box.Max.X, x.box.Min.Y-leave)),
				geom.BoxOf(geom.Pt(x.box.Max.X+leave, x.box.Min.Y), geom.Pt(x.box.Max.X+leave, x.box.Max.Y)),
				geom.BoxOf(geom.Pt(x.box.Min.X, x.box.Max.Y+leave), geom.Pt(x.box.Max.X, x.box.Max.Y+leave)),
				geom.BoxOf(geom.Pt(x.box.Min.X-leave, x.box.Min.Y), geom.Pt(x.box.Min.X-leave, x.box.Max.Y)),
			} {
				if x.scored[i] {
					continue // the nearer line parts
				}
				index.Search(l, func(b geom.Box, y line) bool {
					if y.Leave == leave && b.Grow(opening.Touching).Holds(l) {
						x.scored[i], x.fresh[i], x.leave[i] = true, y.fresh, leave
					}
					return !x.scored[i]
				})
			}
		}
		x.edge = sides{x.box.Min.Y <= outline.Min.Y, x.box.Max.X >= outline.Max.X, x.box.Max.Y >= outline.Max.Y, x.box.Min.X <= outline.Min.X}
		if x.fresh != (sides{}) {
			out = append(out, x)
		}
	}
	return out
}

// beside is what lies beside a board within its cell, for a cell whose box begins at the origin.
type beside struct {
	away  geom.Region // is routed away
	blank geom.Region // stays on the board
}

// kindOf says what tells cells apart, but for their place.
type kindOf struct {
	board  *panel.Board
	turn   geom.Angle
	scored sides
	fresh  sides
	leave  [4]geom.Length
	edge   sides
}

// relieve routs away what belongs to no board, adds what stays of the blank laminate, and tells how many
// openings there are. What lies beside a side that neither a line nor the panel's edge parts is left to
// whatever parts that side.
func (s *ScoreLines) relieve(ctx context.Context, env *pipeline.Env, in panel.Panel, scores []panel.Score, b *panel.Builder) (int, error) {
	o := overlay.Options{Workers: env.Workers}
	cells := s.cells(in, scores)
	made := map[kindOf]beside{}
	blanks := map[string]geom.Region{}
	for _, x := range in.Blanks() {
		blanks[x.Copy] = append(blanks[x.Copy], x.Outline)
	}
	var away geom.Region
	for _, c := range cells {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		k := kindOf{c.copy.Board, c.copy.Place.Turn.Normal(), c.scored, c.fresh, c.leave, c.edge}
		x, ok := made[k]
		if !ok {
			var err error
			if x, err = s.beside(ctx, c, blanks[c.copy.ID]); err != nil {
				return 0, fmt.Errorf("%s: %w", c.copy.ID, err)
			}
			made[k] = x
		}
		to := geom.Transform{Shift: c.box.Min}
		for _, piece := range x.away {
			away = append(away, to.Outline(piece))
		}
		for i, piece := range x.blank {
			b.AddBlank(panel.Blank{ID: fmt.Sprintf("%s/blank/%d", c.copy.ID, len(blanks[c.copy.ID])+i+1), Copy: c.copy.ID, Outline: to.Outline(piece)})
		}
	}
	if len(away) == 0 {
		return 0, nil
	}
	wanted, err := overlay.Union(ctx, o, overlay.Operand{Paths: away.Paths(), Rule: overlay.NonZero})
	if err != nil {
		return 0, err
	}
	thinnest := slices.Min(s.Cutters)
	beyond, err := opening.Beyond(ctx, o, in.Outline(), wanted, thinnest)
	if err != nil {
		return 0, err
	}
	cut, err := opening.Rout(ctx, env.Workers, wanted, beyond, thinnest)
	if err != nil {
		return 0, err
	}
	over, err := s.overcut(ctx, o, in, cells, cut.Missed, thinnest)
	if err != nil {
		return 0, err
	}
	if len(over) > 0 {
		if wanted, err = overlay.Union(ctx, o, overlay.Of(wanted...), overlay.Of(over...)); err != nil {
			return 0, err
		}
		if beyond, err = opening.Beyond(ctx, o, in.Outline(), wanted, thinnest); err != nil {
			return 0, err
		}
		if cut, err = opening.Rout(ctx, env.Workers, wanted, beyond, thinnest); err != nil {
			return 0, err
		}
	}
	n, before := 0, 0
	for _, x := range in.Slots() {
		if strings.HasPrefix(x.ID, "relief/") {
			before++
		}
	}
	for _, x := range cut.Slots {
		if x.Thicker(thin) {
			n++
			b.AddSlot(panel.Slot{ID: fmt.Sprintf("relief/%d", before+n), Outline: x})
		}
	}
	return n, s.unreached(ctx, o, in, cells, cut.Missed, thinnest, b)
}

// beside finds what lies beside the board in a cell.
func (s *ScoreLines) beside(ctx context.Context, c cell, blanks geom.Region) (beside, error) {
	o := overlay.Options{Workers: 1}
	back := geom.Transform{Shift: geom.Pt(-c.box.Min.X, -c.box.Min.Y)}
	board := geom.Outline{Outer: back.Path(c.copy.Outline().Outer)}
	c.box = c.box.Move(back.Shift)
	pieces, err := overlay.Difference(ctx, o, overlay.Operand{Paths: []geom.Path{geom.Rectangle(c.box)}}, overlay.Of(board))
	if err != nil {
		return beside{}, err
	}
	var out beside
	var left, relieved []geom.Path // others' pieces; what goes, the laminate before it with it
	for _, piece := range pieces {
		if !piece.Thicker(thin) {
			continue
		}
		on, reach := c.touched(piece)
		open, fresh, count := false, false, 0
		for i := range on {
			if on[i] {
				count++
				open = open || !c.scored[i] && !c.edge[i]
				fresh = fresh || c.fresh[i]
			}
		}
		if open || !fresh && c.scored != c.fresh { // others' matter, or a stage before this one has settled it
			left = append(left, piece.Outer)
			continue
		}
		what, cornerAt := notches, -1
		for i := range on {
			if next := (i + 1) % 4; on[i] && on[next] {
				cornerAt = i
				// Beside a corner that is rounded or cut off the board's edge bulges: no more than half is free.
				if piece.Area() <= float64(reach[i].to-reach[i].from)*float64(reach[next].to-reach[next].from)/2*1.001 {
					what = corners
				}
			}
		}
		if count == 0 || !s.relieves(what) {
			continue
		}
		relieved = append(relieved, piece.Outer)
		for i := range on {
			if !on[i] || c.leave[i] == 0 {
				continue
			}
			relieved = append(relieved, geom.Rectangle(c.strip(i, reach[i])))
			if next := (i + 1) % 4; i == cornerAt && c.leave[next] > 0 {
				all := c.strip(i, reach[i]).Union(c.strip(next, reach[next]))
				relieved = append(relieved, geom.Rectangle(geom.BoxOf(cornerOf(c.box, i), cornerOf(all, i))))
			}
		}
	}
	if len(relieved) > 0 {
		if out.away, err = overlay.Union(ctx, o, overlay.Operand{Paths: relieved, Rule: overlay.NonZero}); err != nil {
			return beside{}, err
		}
	}
	there := make(geom.Region, len(blanks))
	for i, x := range blanks {
		there[i] = back.Outline(x)
	}
	blank, err := overlay.Difference(ctx, o, overlay.Operand{Paths: []geom.Path{geom.Rectangle(c.whole())}}, overlay.Of(board), overlay.Of(there...),
		overlay.Operand{Paths: slices.Concat(left, relieved), Rule: overlay.NonZero})
	for _, piece := range blank {
		if piece.Thicker(thin) {
			out.blank = append(out.blank, piece)
		}
	}
	return out, err
}

// cornerOf gives the corner of a box at the end of a side, sides counted lower, right, upper, left.
func cornerOf(b geom.Box, side int) geom.Point {
	switch side {
	case 0:
		return geom.Pt(b.Max.X, b.Min.Y)
	case 1:
		return b.Max
	case 2:
		return geom.Pt(b.Min.X, b.Max.Y)
	}
	return b.Min
}

// unreached adds what the cutter leaves, each copy's share of it.
func (s *ScoreLines) unreached(ctx context.Context, o overlay.Options, in panel.Panel, cells []cell, missed geom.Region, cutter geom.Length, b *panel.Builder) error {
	var index geom.Index[int]
	for i, c := range cells {
		index.Insert(c.whole(), i)
	}
	number := map[string]int{}
	for _, x := range in.Unreached() {
		number[x.Copy]++
	}
	for _, m := range missed {
		if !m.Thicker(sliver) {
			continue
		}
		var on []int
		index.Search(m.Box(), func(_ geom.Box, i int) bool { on = append(on, i); return true })
		slices.Sort(on)
		for _, i := range on {
			share, err := overlay.Intersection(ctx, o, overlay.Of(m), overlay.Operand{Paths: []geom.Path{geom.Rectangle(cells[i].whole())}})
			if err != nil {
				return err
			}
			for _, x := range share {
				if !x.Thicker(sliver) {
					continue
				}
				number[cells[i].copy.ID]++
				b.AddUnreached(panel.Unreached{ID: fmt.Sprintf("%s/unreached/relief/%d", cells[i].copy.ID, number[cells[i].copy.ID]), Copy: cells[i].copy.ID,
					At: x.Box().Center(), Radius: cutter / 2, Outline: x})
			}
		}
	}
	return nil
}
