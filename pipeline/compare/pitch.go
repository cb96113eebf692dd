package compare

import (
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
)

// spread tells in one change that copies stand in the same columns and rows at another pitch, instead of how far each
// moved. It leaves alone what is no such grid.
func (c *comparison) spread() {
	o, n := c.old.panel, c.new.panel
	var xs, ys [2][]geom.Length // of the lower left corners, before and after, in step
	moves := map[geom.Point]bool{}
	var ids []string
	var first *copyPair
	for _, p := range c.copies {
		if p.old < 0 || p.new < 0 || o.copies[p.old].id != n.copies[p.new].id {
			continue
		}
		a, b := o.copies[p.old], n.copies[p.new]
		if a.board != b.board || a.place.Turn.Normal() != b.place.Turn.Normal() || a.box.Width() != b.box.Width() || a.box.Height() != b.box.Height() {
			return
		}
		d := b.box.Min.Sub(a.box.Min)
		moves[d] = true
		if d != (geom.Point{}) {
			ids = append(ids, b.id)
		}
		if first == nil || a.box.Min.Y < o.copies[first.old].box.Min.Y || a.box.Min.Y == o.copies[first.old].box.Min.Y && a.box.Min.X < o.copies[first.old].box.Min.X {
			first = &copyPair{p.old, p.new}
		}
		xs[0], xs[1] = append(xs[0], a.box.Min.X), append(xs[1], b.box.Min.X)
		ys[0], ys[1] = append(ys[0], a.box.Min.Y), append(ys[1], b.box.Min.Y)
	}
	if len(moves) < 3 { // as well told one by one
		return
	}
	across, ok := pitch(xs)
	if !ok {
		return
	}
	up, ok := pitch(ys)
	if !ok {
		return
	}
	says := ""
	for _, w := range []struct {
		name string
		p    [2]geom.Length
	}{{"columns", across}, {"rows", up}} {
		if w.p[0] != w.p[1] {
			if says != "" {
				says += ", "
			}
			says += fmt.Sprintf("pitch of %s %s → %s", w.name, w.p[0].Decimal(), w.p[1])
		}
	}
	if says == "" {
		return
	}
	a, b := o.copies[first.old], n.copies[first.new]
	if d := b.box.Min.Sub(a.box.Min); d != (geom.Point{}) {
		says += "; " + b.id + " " + moved(d)
	}
	var at []Spot
	kept := c.changes[:0]
	for _, x := range c.changes {
		if x.Group == CopiesGroup && x.Kind == Moved && len(x.Was) == 0 && len(x.Features) == 1 && slices.Contains(ids, x.Features[0]) {
			at = append(at, x.At...)
			continue
		}
		kept = append(kept, x)
	}
	c.changes = append(kept, Change{Group: CopiesGroup, Kind: Moved, rank: 3, Features: ids, subject: "copy", plural: "copies", says: says, At: at})
}

// pitch gives the distance from one to the next of equally spaced places, before and after; it is the same for all, else
// there is none. One place alone has the pitch 0.
func pitch(v [2][]geom.Length) (p [2]geom.Length, ok bool) {
	to := map[geom.Length]geom.Length{}
	for i, was := range v[0] {
		if is, seen := to[was]; seen && is != v[1][i] {
			return p, false
		}
		to[was] = v[1][i]
	}
	var places []geom.Length
	for was := range to {
		places = append(places, was)
	}
	slices.Sort(places)
	for i := 1; i < len(places); i++ {
		d := [2]geom.Length{places[i] - places[i-1], to[places[i]] - to[places[i-1]]}
		if i > 1 && d != p {
			return p, false
		}
		p = d
	}
	return p, true
}
