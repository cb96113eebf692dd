package holding

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
)

// model is a panel with its boards as rings: copies that are the same, shifted, share one.
type model struct {
	boards []Board
	cands  []Candidate
	order  []int   // the candidates in an order that hangs on what they are alone
	rings  []*ring // of each board
	kinds  []*ring // the different ones
	id     map[*ring]int
	vars   [][]int // of each board, the variable of each place: the position in order
	groups [][]int // of each ring, the number of the group of each place: equal for places that a pattern takes together
}

func newModel(boards []Board, cands []Candidate, lim Limits) *model {
	m := &model{boards: boards, cands: cands, id: map[*ring]int{}}
	m.order = make([]int, len(cands))
	for i := range m.order {
		m.order[i] = i
	}
	slices.SortStableFunc(m.order, func(a, b int) int { return compare(&cands[a], &cands[b]) })

	lengths := make([]geom.Length, len(boards))
	for b := range boards {
		lengths[b] = geom.Round(boards[b].Outline.Length())
	}
	type spot struct {
		at   geom.Length
		v    int
		side bool // the other board's
	}
	spots := make([][]spot, len(boards))
	for v, i := range m.order {
		c := &cands[i]
		spots[c.Board] = append(spots[c.Board], spot{c.At % lengths[c.Board], v, false})
		if c.Other >= 0 {
			spots[c.Other] = append(spots[c.Other], spot{c.OtherAt % lengths[c.Other], v, true})
		}
	}
	m.rings, m.vars = make([]*ring, len(boards)), make([][]int, len(boards))
	rings := map[string]*ring{}
	groups := map[string]int{} // by outline and place
	var key []byte
	for b := range boards {
		o := boards[b].Outline[0].From
		slices.SortStableFunc(spots[b], func(x, y spot) int {
			return cmp.Or(cmp.Compare(x.at, y.at), cmp.Compare(x.v, y.v))
		})
		places := make([]place, len(spots[b]))
		for k, s := range spots[b] {
			c := &cands[m.order[s.v]]
			m.vars[b] = append(m.vars[b], s.v)
			foot, away, half := c.Foot, c.Outward, c.Half
			if s.side {
				foot, away, half = c.OtherFoot, c.OtherOutward, c.OtherHalf
			}
			places[k] = place{s.at, half, footEnds(foot.Sub(o), away, c.Width), away, c.Pinned, int64(c.Preference)}
		}
		key = outlineKey(key[:0], &boards[b], o)
		own := len(key)
		for k := range places {
			key = placeKey(key, &places[k])
		}
		r := rings[string(key)]
		if r == nil {
			r = newRing(boards[b].Outline, boards[b].Corners, boards[b].Mass.Sub(o), places, lim)
			rings[string(key)] = r
			m.id[r] = len(m.kinds)
			m.kinds = append(m.kinds, r)
			var gs []int
			for k := range places {
				one := string(placeKey(key[:own:own], &places[k]))
				g, known := groups[one]
				if !known {
					g = len(groups)
					groups[one] = g
				}
				gs = append(gs, g)
			}
			m.groups = append(m.groups, gs)
		}
		m.rings[b] = r
	}
	return m
}

// compare orders candidates by what they are.
func compare(a, b *Candidate) int {
	flag := func(x bool) int {
		if x {
			return 0
		}
		return 1
	}
	return cmp.Or(
		cmp.Compare(a.Board, b.Board), cmp.Compare(a.At, b.At), cmp.Compare(a.Other, b.Other), cmp.Compare(a.OtherAt, b.OtherAt),
		cmp.Compare(flag(a.Pinned), flag(b.Pinned)), cmp.Compare(a.Preference, b.Preference),
		cmp.Compare(a.Half, b.Half), cmp.Compare(a.OtherHalf, b.OtherHalf), cmp.Compare(b.Width, a.Width),
		a.Foot.Compare(b.Foot), a.OtherFoot.Compare(b.OtherFoot),
		cmp.Compare(a.Outward[0], b.Outward[0]), cmp.Compare(a.Outward[1], b.Outward[1]),
		cmp.Compare(a.OtherOutward[0], b.OtherOutward[0]), cmp.Compare(a.OtherOutward[1], b.OtherOutward[1]))
}

func put(key []byte, xs ...geom.Length) []byte {
	for _, x := range xs {
		key = binary.LittleEndian.AppendUint64(key, uint64(x))
	}
	return key
}

func putPoint(key []byte, p geom.Point) []byte { return put(key, p.X, p.Y) }

func outlineKey(key []byte, b *Board, o geom.Point) []byte {
	key = put(key, geom.Length(len(b.Outline)), geom.Length(len(b.Corners)))
	for _, e := range b.Outline {
		key = putPoint(putPoint(key, e.From.Sub(o)), e.To.Sub(o))
		if key = append(key, byte(e.Sense)); e.Sense != geom.Straight {
			key = putPoint(key, e.Center.Sub(o))
		}
	}
	key = put(key, b.Corners...)
	return putPoint(key, b.Mass.Sub(o))
}

func placeKey(key []byte, p *place) []byte {
	key = putPoint(putPoint(put(key, p.at, p.half), p.ends[0]), p.ends[1])
	for _, x := range p.out {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(x+0)) // −0 is 0
	}
	if p.pinned {
		key = append(key, 1)
	}
	return put(key, geom.Length(p.pref))
}

// problem is the panel as a problem: a variable for each candidate.
func (m *model) problem() *problem {
	p := &problem{vars: make([]variable, len(m.order))}
	for v, i := range m.order {
		p.vars[v] = variable{tabs: 1, pinned: m.cands[i].Pinned}
	}
	for b, r := range m.rings {
		p.add(r, m.vars[b])
	}
	return p
}

// pattern is the panel as a smaller problem, in which all copies take the same places: a variable for
// each set of places that go together because a tab joins one to the other somewhere. which gives the
// variable of each of the panel's. It is nil when no two boards are the same.
func (m *model) pattern() (p *problem, which []int) {
	if len(m.kinds) == len(m.boards) {
		return nil, nil
	}
	groups := 0
	for _, gs := range m.groups {
		for _, g := range gs {
			groups = max(groups, g+1)
		}
	}
	together := disjoint.New(groups)
	first := make([]int, len(m.order))
	for v := range first {
		first[v] = -1
	}
	for b, r := range m.rings {
		for k, v := range m.vars[b] {
			g := m.groups[m.id[r]][k]
			if first[v] < 0 {
				first[v] = g
			} else {
				together.Join(first[v], g)
			}
		}
	}
	number := map[int]int{}
	p, which = &problem{}, make([]int, len(m.order))
	for v := range m.order {
		root := together.Find(first[v])
		k, known := number[root]
		if !known {
			k = len(p.vars)
			number[root] = k
			p.vars = append(p.vars, variable{})
		}
		which[v] = k
		p.vars[k].tabs++
		p.vars[k].pinned = p.vars[k].pinned || m.cands[m.order[v]].Pinned
	}
	for i, r := range m.kinds {
		vars := make([]int, len(r.places))
		for k, g := range m.groups[i] {
			vars[k] = number[together.Find(g)]
		}
		p.add(r, vars)
	}
	return p, which
}
