package rule

import (
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// meeting is one way in which two boards lie beside each other, and every pair of copies that lie so: what
// holds at the border of one pair holds at all of them.
type meeting struct {
	a, b  *panel.Board
	rel   geom.Transform // from b's coordinates to a's
	pairs [][2]panel.Copy
}

// copies lists the copies of all pairs, each once, in their order.
func (m meeting) copies() []string {
	var out []string
	for _, p := range m.pairs {
		for _, c := range p {
			if !slices.Contains(out, c.ID) {
				out = append(out, c.ID)
			}
		}
	}
	return out
}

// meetings finds the ways in which copies come within reach of each other, where extent is the room that a
// board takes with all that counts, in its own coordinates.
func meetings(copies []panel.Copy, extent func(*panel.Board) geom.Box, reach geom.Length) []meeting {
	var index geom.Index[int]
	room := map[*panel.Board]geom.Box{}
	boxes := make([]geom.Box, len(copies))
	for i, c := range copies {
		box, ok := room[c.Board]
		if !ok {
			box = extent(c.Board)
			room[c.Board] = box
		}
		if boxes[i] = geom.EmptyBox(); !box.Empty() {
			boxes[i] = c.Place.Box(box)
		}
		index.Insert(boxes[i], i)
	}
	type key struct {
		a, b *panel.Board
		rel  geom.Transform
	}
	at := map[key]int{}
	var out []meeting
	for i, c := range copies {
		if boxes[i].Empty() {
			continue
		}
		var hits []int
		index.Search(boxes[i].Grow(reach), func(_ geom.Box, k int) bool {
			if k > i {
				hits = append(hits, k)
			}
			return true
		})
		slices.Sort(hits)
		for _, k := range hits {
			o := copies[k]
			x := key{c.Board, o.Board, o.Place.Then(c.Place.Inverse())}
			n, ok := at[x]
			if !ok {
				n = len(out)
				at[x] = n
				out = append(out, meeting{a: x.a, b: x.b, rel: x.rel})
			}
			out[n].pairs = append(out[n].pairs, [2]panel.Copy{c, o})
		}
	}
	return out
}
