package overlay

import (
	"slices"
)

// Cover is the set of operands that cover a place, by their position among the arguments.
type Cover struct{ operands []int32 }

// Len is how many operands cover the place.
func (c Cover) Len() int { return len(c.operands) }

// Has tells whether operand i covers the place.
func (c Cover) Has(i int) bool {
	_, found := slices.BinarySearch(c.operands, int32(i))
	return found
}

// Operands gives the operands that cover the place, ascending.
func (c Cover) Operands() []int {
	out := make([]int, len(c.operands))
	for i, o := range c.operands {
		out[i] = int(o)
	}
	return out
}

// gains adds up by how much operands' winding numbers change.
type gains struct {
	sums []int32 // by operand
	ops  []int32 // those whose sums may not be 0
	list []turns
}

func (g *gains) add(op, delta int32) {
	if int(op) >= len(g.sums) {
		g.sums = append(g.sums, make([]int32, int(op)+1-len(g.sums))...)
	}
	if g.sums[op] == 0 {
		g.ops = append(g.ops, op)
	}
	g.sums[op] += delta
}

// take gives the sums that are not 0, ascending by operand, and begins anew. They are good until the
// next call.
func (g *gains) take() []turns {
	if len(g.ops) > 1 {
		slices.Sort(g.ops)
	}
	g.list = g.list[:0]
	for _, op := range g.ops {
		if g.sums[op] != 0 {
			g.list = append(g.list, turns{op, g.sums[op]})
			g.sums[op] = 0
		}
	}
	g.ops = g.ops[:0]
	return g.list
}

// A turns says how often an operand's paths run round a place.
type turns struct{ op, winding int32 }

// states numbers the combinations of winding numbers that occur, 0 being the outside. Places are
// covered by few operands each, however many there are, so only those that run round at all are
// listed.
type states struct {
	list [][]turns  // of each state, ascending by operand
	from [][]change // of each state, steps that lead from it and were asked for before
	find map[uint64][]int32
	buf  []turns
}

type change struct{ op, delta, to int32 }

func newStates() *states {
	return &states{list: [][]turns{nil}, from: make([][]change, 1), find: map[uint64][]int32{hashTurns(nil): {0}}}
}

// next gives the state after an operand's winding number has changed by delta.
func (s *states) next(state, op, delta int32) int32 {
	steps := s.from[state]
	for _, t := range steps {
		if t.op == op && t.delta == delta {
			return t.to
		}
	}
	list := s.list[state]
	i, found := slices.BinarySearchFunc(list, op, func(t turns, op int32) int { return int(t.op) - int(op) })
	next := append(s.buf[:0], list...)
	switch {
	case !found:
		next = slices.Insert(next, i, turns{op, delta})
	case list[i].winding+delta == 0:
		next = slices.Delete(next, i, i+1)
	default:
		next[i].winding += delta
	}
	s.buf = next
	to := s.number(next)
	// A state with very many neighbours (the outside has one for each operand) keeps a few of them.
	if len(steps) < 8 {
		s.from[state] = append(steps, change{op, delta, to})
	}
	return to
}

// after gives the state after several operands' winding numbers have changed.
func (s *states) after(state int32, gains []turns) int32 {
	if len(gains) <= 2 {
		for _, t := range gains {
			state = s.next(state, t.op, t.winding)
		}
		return state
	}
	list := s.list[state]
	next := s.buf[:0]
	for len(list) > 0 || len(gains) > 0 {
		switch {
		case len(gains) == 0 || len(list) > 0 && list[0].op < gains[0].op:
			next, list = append(next, list[0]), list[1:]
		case len(list) == 0 || gains[0].op < list[0].op:
			next, gains = append(next, gains[0]), gains[1:]
		default:
			if w := list[0].winding + gains[0].winding; w != 0 {
				next = append(next, turns{list[0].op, w})
			}
			list, gains = list[1:], gains[1:]
		}
	}
	s.buf = next
	return s.number(next)
}

func (s *states) number(list []turns) int32 {
	h := hashTurns(list)
	for _, i := range s.find[h] {
		if slices.Equal(s.list[i], list) {
			return i
		}
	}
	i := int32(len(s.list))
	s.list = append(s.list, slices.Clone(list))
	s.from = append(s.from, nil)
	s.find[h] = append(s.find[h], i)
	return i
}

func hashTurns(list []turns) uint64 {
	h := uint64(14695981039346656037) // FNV-1a's, a step a number
	for _, t := range list {
		h = (h ^ uint64(uint32(t.op))) * 1099511628211
		h = (h ^ uint64(uint32(t.winding))) * 1099511628211
	}
	return h
}

// cover gives the operands inside which a state lies.
func (s *states) cover(state int32, rules []Rule) Cover {
	var c Cover
	for _, t := range s.list[state] {
		if rules[t.op].inside(t.winding) {
			c.operands = append(c.operands, t.op)
		}
	}
	return c
}

func (r Rule) inside(winding int32) bool {
	switch r {
	case EvenOdd:
		return winding%2 != 0
	case Positive:
		return winding > 0
	}
	return winding != 0
}
