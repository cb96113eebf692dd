package breakofftabs

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/opening"
)

// core gives the straight part of a tab, across the slot and a little into what it joins, so that it
// meets curved edges too: nothing of it is routed.
func core(t candidate) geom.Path {
	// An edge that turns by less than sharp, 20°, falls off by no more than that within half the waist. Where
	// a board is thin, as beside an acute corner, what reaches further would stand out on its other side.
	const tangent = 0.37 // of 20°, and a little more
	half := float64(t.waist) / 2
	into := float64(tangent * half)
	side := vector{-t.out[1], t.out[0]}
	a, b := t.out.from(t.foot, -into), t.out.from(t.foot, t.gap+into)
	p := [4]geom.Point{side.from(a, half), side.from(a, -half), side.from(b, -half), side.from(b, half)}
	path := make(geom.Path, 4)
	for i := range p {
		path[i] = geom.Line(p[i], p[(i+1)%4])
	}
	if path.Area() < 0 {
		path = path.Reverse()
	}
	return path
}

// rout gives what the cutters make of what should be routed away: each piece of it opened by the thinnest
// cutter.
func (s *standing) rout(ctx context.Context, env *pipeline.Env, tabs []candidate, thinnest geom.Length) (opening.Cut, error) {
	cores := overlay.Operand{}
	for _, t := range tabs {
		cores.Paths = append(cores.Paths, core(t))
	}
	wanted := s.ground.away
	if len(tabs) > 0 {
		var err error
		if wanted, err = overlay.Difference(ctx, overlay.Options{Workers: env.Workers}, overlay.Of(s.ground.away...), cores); err != nil {
			return opening.Cut{}, err
		}
	}
	return opening.Rout(ctx, env.Workers, wanted, s.ground.beyond, thinnest)
}

// unreached gives what stays on boards because no cutter reaches it: not the flares of tabs, which
// belong to them, nor what stays in the corners of the waste.
func (s *standing) unreached(missed geom.Region, tabs []candidate, thinnest geom.Length) []panel.Unreached {
	var cores geom.Index[geom.Path]
	for _, t := range tabs {
		p := core(t)
		cores.Insert(p.Box(), p)
	}
	var boards geom.Index[int]
	for i, b := range s.ground.boards {
		boards.Insert(b.Outer.Box(), i)
	}
	number := map[string]int{}
	var out []panel.Unreached
	for _, m := range missed {
		near := m.Outer.Box().Grow(touching)
		flare := false
		cores.Search(near, func(_ geom.Box, p geom.Path) bool {
			d, _, _ := geom.PathDistance(m.Outer, p)
			flare = flare || d <= float64(touching)
			return true
		})
		if flare {
			continue
		}
		var on []int
		boards.Search(near, func(_ geom.Box, i int) bool {
			if d, _, _ := geom.PathDistance(m.Outer, s.ground.boards[i].Outer); d <= float64(touching) {
				on = append(on, i)
			}
			return true
		})
		if len(on) == 0 {
			continue
		}
		slices.Sort(on)
		// Where a score line parts two boards, what lies along both stays on the one on whose side it lies.
		k, most := -1, -1.0
		for n, i := range on {
			if common := overlapOf(m.Outer.Box(), s.ground.boards[i].Outer.Box()); s.stays(m, i) && common > most {
				k, most = n, common
			}
		}
		if k < 0 {
			continue
		}
		c := s.copies[on[k]]
		number[c.ID]++
		out = append(out, panel.Unreached{ID: fmt.Sprintf("%s/unreached/%d", c.ID, number[c.ID]), Copy: c.ID,
			At: s.deepest(m, on[k]), Radius: thinnest / 2, Outline: m})
	}
	return out
}

// unreachedCutOuts adds what no cutter reaches of the boards' cut-outs. They stand in the profile as they are
// drawn all the same: a cut-out must not get lost, and whoever cuts it says with what.
func (s *standing) unreachedCutOuts(ctx context.Context, env *pipeline.Env, list []panel.Unreached, thinnest geom.Length) ([]panel.Unreached, error) {
	number := map[string]int{}
	for _, x := range list {
		number[x.Copy]++
	}
	var boards []*panel.Board
	for _, c := range s.copies {
		if len(c.Board.Outline.CutOuts) > 0 && !slices.Contains(boards, c.Board) {
			boards = append(boards, c.Board)
		}
	}
	missed := make([]geom.Region, len(boards))
	if err := pipeline.Each(ctx, env.Workers, len(boards), func(i int) error {
		for _, path := range boards[i].Outline.CutOuts {
			if path.Area() < 0 {
				path = path.Reverse()
			}
			o, err := opening.Opened(ctx, geom.Outline{Outer: path}, thinnest)
			if err != nil {
				return err
			}
			missed[i] = append(missed[i], o.Missed...)
		}
		return nil
	}); err != nil {
		return nil, err
	}
	for _, c := range s.copies {
		k := slices.Index(boards, c.Board)
		if k < 0 {
			continue
		}
		for _, m := range missed[k] {
			if !m.Thicker(thin) {
				continue
			}
			number[c.ID]++
			list = append(list, panel.Unreached{ID: fmt.Sprintf("%s/unreached/%d", c.ID, number[c.ID]), Copy: c.ID,
				At: c.Place.Apply(m.Box().Center()), Radius: thinnest / 2, Outline: c.Place.Outline(m)})
		}
	}
	return list, nil
}

// overlapOf is the area that two boxes share, nm².
func overlapOf(a, b geom.Box) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return float64(w) * float64(h)
}

// thin is what of a sliver nobody can see: a piece that leaves the board's edge by no more is left out.
const thin = 5 * geom.UM

// stays tells whether a piece stays on a board to an extent that can be seen: it touches the board along
// a stretch and stands out from it.
func (s *standing) stays(m geom.Outline, copy int) bool {
	board := s.ground.boards[copy]
	out, along := 0.0, 0.0
	for _, e := range m.Outer {
		mid := board.Distance(e.At(0.5))
		out = max(out, mid, board.Distance(e.From))
		if mid <= float64(touching) {
			along += e.Length()
		}
	}
	return out > float64(thin) && along > float64(thin)
}

// deepest gives the place of a piece on the board's edge that lies furthest from what was cut: the
// corner.
func (s *standing) deepest(m geom.Outline, copy int) geom.Point {
	board := s.ground.boards[copy]
	var cut []geom.Edge
	for _, e := range m.Outer {
		if board.Distance(e.At(0.5)) > float64(touching) {
			cut = append(cut, e)
		}
	}
	best, at := -1.0, m.Outer[0].From
	for _, e := range m.Outer {
		if board.Distance(e.From) > float64(touching) {
			continue
		}
		d := 0.0
		for i, x := range cut {
			if y, _ := geom.PointEdgeDistance(e.From, x); i == 0 || y < d {
				d = y
			}
		}
		if d > best {
			best, at = d, e.From
		}
	}
	return at
}
