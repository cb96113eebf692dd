package intake

import (
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
)

// touching is how close pieces of copper may come and still be taken for one: files round coordinates to at
// most 2.54 µm.
const touching = 3 * geom.UM

// border is the edges of a layer's copper, ready to be searched.
type border struct {
	board  *edgeFinder
	copper geom.Region
	edges  []geom.Edge
	boxes  []geom.Box
	piece  []int // of each edge: its outline in copper
	index  geom.Index[int]
	joined *disjoint.Sets // of pieces that touch
}

func newBorder(copper geom.Region, board *edgeFinder) *border {
	b := &border{board: board, copper: copper}
	for i, o := range copper {
		for _, e := range o.Edges() {
			x := e.Box()
			b.index.Insert(x, len(b.edges))
			b.edges, b.boxes, b.piece = append(b.edges, e), append(b.boxes, x), append(b.piece, i)
		}
	}
	return b
}

// toEdge finds the copper nearest to some edges of the board.
func (b *border) toEdge(of *edgeFinder) *Figure {
	var best *Figure
	offer := func(f Figure) {
		if best == nil || f.less(*best) {
			best = &f
		}
	}
	// Copper that covers the board's edge all along may have no border near it.
	where := geom.NewLocator(b.copper)
	for _, e := range of.edges {
		if where.Locate(e.From) != geom.Outside {
			offer(Figure{0, e.From})
		}
	}
	beyond := map[int]bool{} // pieces that begin beyond the edge
	reach := farEdge
	for i, e := range b.edges {
		if best != nil {
			reach = min(reach, best.Size+geom.UM)
		}
		of.index.Search(b.boxes[i].Grow(reach), func(_ geom.Box, k int) bool {
			d, _, at := geom.EdgeDistance(of.edges[k], e)
			if d > float64(reach) {
				return true
			}
			f := Figure{roundedUM(d), at}
			if best != nil && !f.less(*best) {
				return true
			}
			if d > 0 {
				n := b.piece[i]
				out, known := beyond[n]
				if !known {
					out = b.board.where.Locate(b.copper[n].Outer[0].From) == geom.Outside
					beyond[n] = out
				}
				if out { // wholly, else some other edge of it meets the board's
					return true
				}
			}
			offer(f)
			return true
		})
	}
	return best
}

// spacing finds the smallest gap between pieces that nothing joins, near the board's edge.
func (b *border) spacing() *Figure {
	b.join()
	var near []int
	for i := range b.edges {
		if b.board.around(b.boxes[i], nearEdge) {
			near = append(near, i)
		}
	}
	for _, reach := range []geom.Length{geom.MM / 8, geom.MM / 4, geom.MM / 2, geom.MM, 2 * geom.MM, nearEdge} {
		var best *Figure
		for _, i := range near {
			window := reach
			if best != nil {
				window = best.Size + geom.UM
			}
			b.index.Search(b.boxes[i].Grow(window), func(_ geom.Box, k int) bool {
				if b.joined.Find(b.piece[i]) == b.joined.Find(b.piece[k]) {
					return true
				}
				d, p, q := geom.EdgeDistance(b.edges[min(i, k)], b.edges[max(i, k)])
				if d > float64(window) {
					return true
				}
				f := Figure{roundedUM(d), geom.Pt((p.X+q.X)/2, (p.Y+q.Y)/2)}
				if (best == nil || f.less(*best)) && b.board.near(f.At) && b.board.on(p) && b.board.on(q) {
					best = &f
				}
				return true
			})
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// join finds the pieces that touch.
func (b *border) join() {
	b.joined = disjoint.New(len(b.copper))
	for i, e := range b.edges {
		b.index.Search(b.boxes[i].Grow(touching), func(_ geom.Box, k int) bool {
			if k < i && b.joined.Find(b.piece[i]) != b.joined.Find(b.piece[k]) {
				if d, _, _ := geom.EdgeDistance(e, b.edges[k]); d <= math.Ceil(float64(touching)) {
					b.joined.Join(b.piece[i], b.piece[k])
				}
			}
			return true
		})
	}
}
