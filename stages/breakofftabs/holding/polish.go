package holding

import (
	"encoding/binary"
	"slices"
)

// polish moves one tab at a time to another place between the same boards, as long as that makes the
// choice more even. What is found is a local optimum; one board alone is at the best already.
func (s *search) polish() {
	tries := s.opt.MaxSteps / 1000
	alike := s.alike()
	costs := make([]cost, len(s.p.boards))
	for b := range s.p.boards {
		costs[b], _ = s.judge(b, s.best)
	}
	for moved := true; moved; {
		moved = false
		for v := range s.best {
			if !s.best[v] || s.p.vars[v].pinned {
				continue
			}
			boards := s.boardsOf(v)
			to, least := v, total(costs, boards)
			for _, w := range alike[v] {
				if s.best[w] {
					continue
				}
				if tries--; tries < 0 {
					return
				}
				s.best[v], s.best[w] = false, true
				if c, ok := s.judgeAll(boards); ok && c.less(least) {
					to, least = w, c
				}
				s.best[v], s.best[w] = true, false
			}
			if to == v {
				continue
			}
			was := total(costs, boards)
			s.best[v], s.best[to], moved = false, true, true
			for _, b := range boards {
				costs[b], _ = s.judge(b, s.best)
			}
			s.bestCost.viol += least.viol - was.viol
			s.bestCost.even += least.even - was.even
			s.bestCost.pref += least.pref - was.pref
		}
	}
}

// alike gives for each variable those, itself among them, that stand for as many tabs on the same boards.
func (s *search) alike() [][]int {
	groups := map[string][]int{}
	keys := make([]string, len(s.p.vars))
	for v := range s.p.vars {
		key := binary.AppendVarint(nil, s.p.vars[v].tabs)
		for _, b := range s.boardsOf(v) {
			key = binary.AppendVarint(key, int64(b))
		}
		keys[v] = string(key)
		groups[keys[v]] = append(groups[keys[v]], v)
	}
	all := make([][]int, len(s.p.vars))
	for v, k := range keys {
		all[v] = groups[k]
	}
	return all
}

// boardsOf gives the boards that a variable stands on, in order.
func (s *search) boardsOf(v int) []int {
	var bs []int
	for _, at := range s.p.vars[v].stands {
		bs = append(bs, at.board)
	}
	slices.Sort(bs)
	return slices.Compact(bs)
}

func total(costs []cost, boards []int) (sum cost) {
	for _, b := range boards {
		sum = sum.add(costs[b])
	}
	return sum
}

func (s *search) judgeAll(boards []int) (sum cost, ok bool) {
	for _, b := range boards {
		c, ok := s.judge(b, s.best)
		if !ok {
			return sum, false
		}
		sum = sum.add(c)
	}
	return sum, true
}
