package breakofftabs

import (
	"cmp"
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// tabsOf names the chosen tabs: by the copy and the side they stand on, numbered along x or y.
func (s *standing) tabsOf(in panel.Panel, chosen []candidate) ([]panel.Tab, []candidate) {
	chosen = slices.Clone(chosen)
	along := func(k candidate) geom.Length {
		if side := sideOf(k.out); side == "upper" || side == "lower" {
			return k.foot.X
		}
		return k.foot.Y
	}
	slices.SortStableFunc(chosen, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.copy, b.copy), cmp.Compare(sideOf(a.out), sideOf(b.out)), cmp.Compare(along(a), along(b)), a.foot.Compare(b.foot))
	})
	number := map[string]int{}
	out := make([]panel.Tab, len(chosen))
	for i, k := range chosen {
		c := s.copies[k.copy]
		key := c.ID + "/tab/" + sideOf(k.out)
		number[key]++
		const millionth = 1e6
		t := panel.Tab{ID: fmt.Sprintf("%s/%d", key, number[key]), Copies: []string{c.ID}, Width: k.waist,
			Feet: [2]geom.Point{k.foot, k.other}, Along: geom.Pt(geom.Round(-k.out[1]*millionth), geom.Round(k.out[0]*millionth)), Pinned: k.pinned}
		if k.target >= 0 {
			t.Copies = append(t.Copies, s.copies[k.target].ID)
		} else {
			t.Rail = holdsTo(in, k)
		}
		out[i] = t
	}
	return out, chosen
}

// holdsTo names what waste a tab stands on: the rail there, the frame that hangs on to the rails, or an
// island.
func holdsTo(in panel.Panel, k candidate) string {
	if i := island(k.target); i >= 0 {
		return fmt.Sprintf("waste/%d", i+1)
	}
	for _, r := range in.Rails() {
		if r.Box.Grow(touching).HoldsPoint(k.other) {
			return r.ID
		}
	}
	return "frame"
}
