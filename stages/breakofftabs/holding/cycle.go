package holding

import (
	"context"
	"math"
	"slices"
)

// cost is compared in this order.
type cost struct{ viol, num, even, pref int64 }

var noCost = cost{math.MaxInt64, math.MaxInt64, math.MaxInt64, math.MaxInt64}

func (a cost) less(b cost) bool {
	switch {
	case a.viol != b.viol:
		return a.viol < b.viol
	case a.num != b.num:
		return a.num < b.num
	case a.even != b.even:
		return a.even < b.even
	}
	return a.pref < b.pref
}

func (a cost) add(b cost) cost {
	return cost{a.viol + b.viol, a.num + b.num, a.even + b.even, a.pref + b.pref}
}

func (a cost) sub(b cost) cost {
	return cost{a.viol - b.viol, a.num - b.num, a.even - b.even, a.pref - b.pref}
}

// The states of a place.
const (
	free int8 = iota
	in
	out
)

// answer is the best choice on one board.
type answer struct {
	ok     bool
	chosen []int
	cost   cost // not more than that of any choice
	short  bool // chosen may miss a clause: the search for clauses was ended
}

// maxClauses bounds the states of the cycle search. Clauses are for boards with notches whose limits are
// wide; with the evenest of the shortest cycles taken first, two or three suffice on nearly all of them.
func (r *ring) maxClauses() int {
	if len(r.places) > 60 {
		return 6
	}
	return 10
}

// solve finds the best set of places for a board: weight is what each counts (not negative), state which
// must be in and which are out. Unless relaxed, all limits are kept or the answer is not ok; relaxed, the
// limits are broken as little as can be, and it is not ok only when places that must be in have no room.
func (r *ring) solve(ctx context.Context, weight []int64, state []int8, relaxed bool, steps *int64) (answer, error) {
	links := r.links
	if relaxed {
		links = r.loose(state)
	}
	var clauses []clause
	for {
		a, err := r.cycle(ctx, links, weight, state, clauses, relaxed, steps)
		if err != nil || !a.ok {
			return a, err
		}
		if len(clauses) >= r.maxClauses() {
			return r.complete(a), nil
		}
		more := false
		if r.facing == nil && !r.onOpposite(a.chosen) && !missed(clauses, OppositeSides, a.chosen) {
			clauses, more = append(clauses, r.away(a.chosen)), true
		}
		if u, apart := r.apart(a.chosen); r.begin == nil && apart && !missed(clauses, CentreOfMass, a.chosen) {
			clauses, more = append(clauses, r.beyond(u)), true
		}
		if !more {
			return a, nil
		}
	}
}

// complete adds one place to an answer that may miss a clause, if that helps.
func (r *ring) complete(a answer) answer {
	c, ok := r.judge(a.chosen, nil)
	if ok && c.viol <= a.cost.viol {
		return a
	}
	a.short = true
	best := a.chosen
	for i := range r.places {
		if k, found := slices.BinarySearch(a.chosen, i); !found {
			set := slices.Insert(slices.Clone(a.chosen), k, i)
			if d, fits := r.judge(set, nil); fits && (!ok || d.less(c)) {
				best, c, ok = set, d, true
			}
		}
	}
	a.chosen = best
	return a
}

// missed tells whether a set misses one of the clauses of a kind, so that it has paid for it already.
func missed(clauses []clause, kind Kind, set []int) bool {
	for _, c := range clauses {
		if c.kind != kind {
			continue
		}
		hit := false
		for _, i := range set {
			hit = hit || c.hits[i]
		}
		if !hit {
			return true
		}
	}
	return false
}

// loose gives links that may break limits: longer than the longest free span only where no third place
// has room between the two.
func (r *ring) loose(state []int8) [][]link {
	n := len(r.places)
	all := make([][]link, n)
	for i := range n {
		if state[i] == out {
			continue
		}
		// The end of the foot that ends first of those that have room after i, seen from i.
		firstEnd := int64(math.MaxInt64 / 2)
		for off := 1; off <= n; off++ {
			j := (i + off) % n
			if state[j] == out {
				continue
			}
			room, d, h := r.room(i, off), int64(r.ahead(i, off)), int64(r.places[j].half)
			fits := room >= r.lim.Between
			if fits || r.places[i].pinned && r.places[j].pinned {
				l := r.step(i, off)
				if int64(r.span(i, off)) <= int64(r.lim.FreeSpan) || firstEnd+int64(r.lim.Between) > d-h {
					if !fits {
						l.viol += int64(r.lim.Between - room)
					}
					all[i] = append(all[i], l)
				}
				if fits {
					firstEnd = min(firstEnd, d+h)
				}
			}
			if state[j] == in {
				break
			}
		}
	}
	return all
}

// cycle finds the cheapest cycle through the places that hits every clause: from each start that a cycle
// may have, the shortest way round by places and clauses hit.
func (r *ring) cycle(ctx context.Context, links [][]link, weight []int64, state []int8, clauses []clause, relaxed bool, steps *int64) (answer, error) {
	n := len(r.places)
	nextIn := r.nextIn(state)
	masks := 1 << len(clauses)
	hit := make([]int, n)
	for c, cl := range clauses {
		for i, h := range cl.hits {
			if h {
				hit[i] |= 1 << c
			}
		}
	}
	penalty := make([]int64, masks)
	for m := range masks {
		var kinds [Room + 1]bool
		for c, cl := range clauses {
			if m>>c&1 == 0 {
				kinds[cl.kind] = true
			}
		}
		for _, k := range kinds {
			if k {
				penalty[m] += r.penalty()
			}
		}
	}
	type from struct{ t, mask int }
	best, bestStart := noCost, -1
	var bestWay []int
	dist := make([]cost, (n+1)*masks)
	prev := make([]from, (n+1)*masks)
	for _, s := range starts(links, state, nextIn) {
		if err := ctx.Err(); err != nil {
			return answer{}, err
		}
		for i := range dist {
			dist[i] = noCost
		}
		dist[hit[s]] = cost{num: weight[s], pref: r.places[s].pref}
		for t := range n {
			i := (s + t) % n
			for m := range masks {
				d := dist[t*masks+m]
				if d.viol == math.MaxInt64 || !d.less(best) {
					continue
				}
				for _, l := range links[i] {
					to := t + l.off
					if l.off > nextIn[i] || to > n {
						break
					}
					*steps++
					j := i + l.off
					if j >= n {
						j -= n
					}
					if state[j] == out {
						continue
					}
					c, mask := d, m
					c.viol += l.viol
					c.even += l.even
					if to < n {
						c.num += weight[j]
						c.pref += r.places[j].pref
						mask |= hit[j]
					}
					if k := to*masks + mask; c.less(dist[k]) {
						dist[k], prev[k] = c, from{t, m}
					}
				}
			}
		}
		for m := range masks {
			d := dist[n*masks+m]
			if d.viol == math.MaxInt64 {
				continue
			}
			if penalty[m] > 0 {
				if !relaxed {
					continue
				}
				d.viol += penalty[m]
			}
			if d.less(best) {
				best, bestStart, bestWay = d, s, bestWay[:0]
				for at := (from{n, m}); at.t > 0; {
					at = prev[at.t*masks+at.mask]
					bestWay = append(bestWay, at.t)
				}
			}
		}
	}
	if bestStart < 0 {
		return answer{}, nil
	}
	a := answer{ok: true, cost: best}
	taken := make([]bool, n)
	for _, t := range bestWay {
		taken[(bestStart+t)%n] = true
	}
	for i, x := range taken {
		if x {
			a.chosen = append(a.chosen, i)
		}
	}
	return a, nil
}

// nextIn is how many places on the next one lies that must be in, n when there is none.
func (r *ring) nextIn(state []int8) []int {
	n := len(r.places)
	next := make([]int, n)
	far := n + 1
	for k := 2*n - 1; k >= 0; k-- {
		if k < n {
			next[k] = min(far, n)
		}
		if state[k%n] == in {
			far = 0
		}
		far++
	}
	return next
}

// starts gives places of which each cycle passes one: every cycle steps over every gap between two
// places just once, so those that can be stepped to over one gap will do. It takes the gap with the
// fewest.
func starts(links [][]link, state []int8, nextIn []int) []int {
	n := len(links)
	back := make([]int, n) // the longest step that ends here
	for i, ls := range links {
		if state[i] == out {
			continue
		}
		for _, l := range ls {
			if l.off > nextIn[i] {
				break
			}
			if j := (i + l.off) % n; state[j] != out {
				back[j] = max(back[j], l.off)
			}
		}
	}
	bestGap, fewest := 0, n+1
	for gap := range n {
		count := 0
		for k := 0; k < n && count < fewest; k++ {
			if back[(gap+k)%n] > k {
				count++
			}
		}
		if count < fewest {
			bestGap, fewest = gap, count
		}
	}
	var s []int
	for k := range n {
		if j := (bestGap + k) % n; back[j] > k {
			s = append(s, j)
		}
	}
	return s
}
