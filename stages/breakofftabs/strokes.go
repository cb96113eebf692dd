package breakofftabs

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// channel is a straight slot's middle line.
type channel struct {
	horizontal bool
	line       geom.Length // twice the line's coordinate, so that odd gaps stay exact as keys
	width      geom.Length
}

// strokes gives the cutter's strokes: along the gaps, less the tabs, and round corners that are not
// sharp.
func (s *BreakoffTabs) strokes(in panel.Panel, shapes map[string]shape, pairs []pair, tabs []tab) ([]stroke, error) {
	cuts := map[channel][]span{}
	gaps := map[string][4]geom.Length{} // the slot's width along each side of each copy
	note := func(id string, d side, gap geom.Length) {
		g := gaps[id]
		g[d] = max(g[d], gap)
		gaps[id] = g
	}
	for _, p := range pairs {
		note(p.copy.ID, p.side, p.gap)
		if p.other != "" {
			note(p.other, p.side.opposite(), p.gap)
		}
	}
	panelBox := in.Outline().Box()
	var tooWide error
	add := func(id string, d side, gap geom.Length) {
		sh := shapes[id]
		k := channel{d.horizontal(), 2*d.line(sh.box) + gap*signum(d), gap}
		c := d.span(sh.box)
		before, after := left, right
		if !d.horizontal() {
			before, after = lower, upper
		}
		for _, across := range [2]side{before, after} {
			if g := gaps[id][across]; g > 0 && gap > 2*g {
				tooWide = fmt.Errorf("the slot along the %s side of %s is %v wide and meets one of only %v: its cutter would leave the corner or reach into a neighbour; "+
					"make the gaps more alike", d, id, gap, g)
			}
		}
		c.lo -= reach(sh.box, panelBox, before, gaps[id][before], gap)
		c.hi += reach(sh.box, panelBox, after, gaps[id][after], gap)
		cuts[k] = append(cuts[k], c)
	}
	for _, p := range pairs {
		add(p.copy.ID, p.side, p.gap)
		if p.other != "" {
			add(p.other, p.side.opposite(), p.gap)
		}
	}
	if tooWide != nil {
		return nil, tooWide
	}
	spare := map[channel][]span{}
	for _, t := range tabs {
		d := t.pair.side
		k := channel{d.horizontal(), 2*d.line(shapes[t.pair.copy.ID].box) + t.slot*signum(d), t.slot}
		spare[k] = append(spare[k], span{t.middle - t.foot(), t.middle + t.foot()})
	}
	keys := make([]channel, 0, len(cuts))
	for k := range cuts {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b channel) int {
		ah, bh := 0, 0
		if a.horizontal {
			ah = 1
		}
		if b.horizontal {
			bh = 1
		}
		return cmp.Or(cmp.Compare(bh, ah), cmp.Compare(a.line, b.line), cmp.Compare(a.width, b.width))
	})
	var out []stroke
	number := map[bool]int{}
	for _, k := range keys {
		number[k.horizontal]++
		name := fmt.Sprintf("slot/x%d", number[k.horizontal])
		if k.horizontal {
			name = fmt.Sprintf("slot/y%d", number[k.horizontal])
		}
		for i, c := range without(united(cuts[k]), united(spare[k])) {
			a, b := geom.Pt(c.lo, k.line/2), geom.Pt(c.hi, k.line/2)
			if !k.horizontal {
				a, b = geom.Pt(k.line/2, c.lo), geom.Pt(k.line/2, c.hi)
			}
			out = append(out, stroke{ID: fmt.Sprintf("%s/%d", name, i+1), Width: k.width, Path: geom.Path{geom.Line(a, b)}})
		}
	}
	if err := refuseCuts(out, shapes); err != nil {
		return nil, err
	}
	for _, c := range in.Copies() {
		corners, err := corners(c, shapes[c.ID], gaps[c.ID])
		if err != nil {
			return nil, err
		}
		out = append(out, corners...)
	}
	return out, nil
}

// reach is how far a slot's middle line goes on past the end of a copy's side: to the middle of the
// slot across it, but not so far that the round end of a wider slot reaches past that slot's far
// flank; or out of the panel where the side ends at the panel's edge. Where the boards abut it stops
// at their common line.
func reach(box, panelBox geom.Box, d side, gap, own geom.Length) geom.Length {
	switch {
	case gap > 0:
		return min(gap/2, gap-(own+1)/2)
	case d.line(box) == d.line(panelBox):
		return (own + 1) / 2
	}
	return 0
}

// corners gives the strokes round the corners that are not sharp.
func corners(c panel.Copy, sh shape, gaps [4]geom.Length) ([]stroke, error) {
	var out []stroke
	names := [...]string{"lower_right", "upper_right", "upper_left", "lower_left"}
	for d := lower; d <= left; d++ {
		if len(sh.corner[d]) == 0 {
			continue
		}
		next := (d + 1) % 4
		// The narrower of the two slots that meet: the wider cutter would reach into a neighbour.
		width := gaps[d]
		if width == 0 || gaps[next] > 0 && gaps[next] < width {
			width = gaps[next]
		}
		if width == 0 {
			return nil, fmt.Errorf("%s has a rounded or bevelled corner (%s) where no slot passes: a routed relief there is not made yet", c.ID, names[d])
		}
		far := cornerPoint(sh.box, d)
		depth := -1.0
		for _, e := range sh.corner[d] {
			if dist, _ := geom.PointEdgeDistance(far, e); depth < 0 || dist < depth {
				depth = dist
			}
		}
		if depth > float64(width) {
			return nil, fmt.Errorf("%s (board %s) cannot get tabs yet: its %s corner is cut back by %v, more than the slot's width %v: "+
				"a loose piece of waste would be left there", c.ID, c.Board.Name, names[d], geom.Round(depth), width)
		}
		out = append(out, stroke{ID: "slot/" + c.ID + "/" + names[d], Width: width, Path: sh.round(d, width/2)})
	}
	return out, nil
}

// united sorts spans and joins those that touch.
func united(spans []span) []span {
	spans = slices.Clone(spans)
	slices.SortFunc(spans, func(a, b span) int { return cmp.Or(cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi)) })
	var out []span
	for _, s := range spans {
		if n := len(out); n > 0 && s.lo <= out[n-1].hi {
			out[n-1].hi = max(out[n-1].hi, s.hi)
			continue
		}
		out = append(out, s)
	}
	return out
}

// without gives what is left of spans outside the gaps; both united.
func without(spans, gaps []span) []span {
	var out []span
	for _, s := range spans {
		for _, g := range gaps {
			if g.hi <= s.lo || g.lo >= s.hi {
				continue
			}
			if g.lo > s.lo {
				out = append(out, span{s.lo, g.lo})
			}
			s.lo = g.hi
		}
		if s.lo < s.hi {
			out = append(out, s)
		}
	}
	return out
}

// refuseCuts refuses straight slots that reach into a board's bounding box. Slots lie in gaps, and
// with boards in full rows and columns none does.
func refuseCuts(slots []stroke, shapes map[string]shape) error {
	var index geom.Index[string]
	for id, sh := range shapes {
		index.Insert(sh.box, id)
	}
	for _, s := range slots {
		half := s.Width / 2
		band := s.Path[0].Box() // without the round ends, which reach no further along than a gap
		if s.Path[0].From.Y == s.Path[0].To.Y {
			band.Min.Y, band.Max.Y = band.Min.Y-half, band.Max.Y+half
		} else {
			band.Min.X, band.Max.X = band.Min.X-half, band.Max.X+half
		}
		hit := ""
		index.Search(band, func(b geom.Box, id string) bool {
			if band.Min.X+slack < b.Max.X && b.Min.X+slack < band.Max.X && band.Min.Y+slack < b.Max.Y && b.Min.Y+slack < band.Max.Y && (hit == "" || id < hit) {
				hit = id
			}
			return true
		})
		if hit != "" {
			return fmt.Errorf("%s, from %v to %v mm, would cut into %s: place boards in full rows and columns, with one gap along each side",
				s.ID, s.Path[0].From, s.Path[0].To, hit)
		}
	}
	return nil
}

// stroke is one stroke of a cutter: a band of Width along Path, ends round.
type stroke struct {
	ID    string
	Width geom.Length
	Path  geom.Path
}

// openings gives what the strokes cut, within the panel.
func openings(ctx context.Context, in panel.Panel, strokes []stroke) ([]panel.Slot, error) {
	var paths []geom.Path
	for _, s := range strokes {
		r, err := offset.Stroke(ctx, []geom.Path{s.Path}, s.Width, offset.Options{})
		if err != nil {
			return nil, err
		}
		paths = append(paths, r.Paths()...)
	}
	cut, err := overlay.Intersection(ctx, overlay.Options{}, overlay.Operand{Paths: paths}, overlay.Of(in.Outline()))
	if err != nil {
		return nil, err
	}
	var out []panel.Slot
	for i, o := range cut {
		out = append(out, panel.Slot{ID: fmt.Sprintf("slot/%d", i+1), Outline: o})
	}
	return out, nil
}
