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

// meter counts steps of the search.
type meter struct{ steps int64 }

// Clauses are for boards with notches whose limits are wide; with the evenest of the shortest cycles taken
// first, two or three suffice on nearly all of them. Each doubles the states of the cycle search, so past
// maxClauses, or past clauseSteps, the rest is divided into cases, and past divideSteps more it is left.
const (
	maxClauses  = 8
	clauseSteps = 10_000_000
	divideSteps = 10_000_000
)

// solve finds the best set of places for a board: weight is what each counts (not negative), state which
// must be in and which are out. Unless relaxed, all limits are kept or the answer is not ok; relaxed, the
// limits are broken as little as can be, and it is not ok only when places that must be in have no room.
func (r *ring) solve(ctx context.Context, weight []int64, state []int8, relaxed bool, m *meter) (answer, error) {
	links := r.links
	if relaxed {
		links = r.loose(state)
	}
	start := m.steps
	var clauses []clause
	for {
		a, err := r.cycle(ctx, links, weight, state, clauses, relaxed, m)
		if err == nil && !a.ok && relaxed && !slices.Contains(state, in) {
			a = answer{ok: true, cost: cost{viol: r.unheld()}} // all places are out
		}
		if err != nil || !a.ok || len(a.chosen) == 0 {
			return a, err
		}
		more := r.unpaid(clauses, a.chosen)
		if len(more) == 0 {
			return a, nil
		}
		if len(clauses)+len(more) > maxClauses || m.steps-start > clauseSteps {
			return r.divide(ctx, weight, state, clauses, relaxed, m, a)
		}
		clauses = append(clauses, more...)
	}
}

// unpaid gives clauses that a set breaks, of conditions whose clauses so far it keeps.
func (r *ring) unpaid(clauses []clause, set []int) (more []clause) {
	if r.facing == nil && !r.onOpposite(set) && !missed(clauses, OppositeSides, set) {
		more = append(more, r.away(set))
	}
	if u, apart := r.apart(set); r.begin == nil && apart && !missed(clauses, CentreOfMass, set) {
		more = append(more, r.beyond(u))
	}
	return more
}

// divide goes on without more clauses: where the best answer still breaks one, one of its places is put
// out in one case and in in the other.
func (r *ring) divide(ctx context.Context, weight []int64, state []int8, clauses []clause, relaxed bool, m *meter, first answer) (answer, error) {
	best := answer{cost: noCost}
	start := m.steps
	for todo := [][]int8{state}; len(todo) > 0; {
		if m.steps-start > divideSteps {
			if !best.ok {
				best = r.complete(first)
			}
			best.cost, best.short = first.cost, true
			return best, nil
		}
		state := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		links := r.links
		if relaxed {
			links = r.loose(state)
		}
		a, err := r.cycle(ctx, links, weight, state, clauses, relaxed, m)
		if err != nil {
			return a, err
		}
		if !a.ok || !a.cost.less(best.cost) {
			continue
		}
		more := r.unpaid(clauses, a.chosen)
		if len(more) == 0 {
			best = a
			continue
		}
		// One of those chosen, else, where all of them must be in, one that would mend it.
		pivot := -1
		for _, i := range a.chosen {
			if state[i] == free {
				pivot = i
				break
			}
		}
		for i := 0; i < len(state) && pivot < 0; i++ {
			if state[i] == free && more[0].hits[i] {
				pivot = i
			}
		}
		if pivot < 0 {
			if relaxed { // nothing mends it: what it costs is its own
				a.cost.viol += int64(len(more)) * r.penalty()
				if a.cost.less(best.cost) {
					best = a
				}
			}
			continue
		}
		for _, st := range [2]int8{out, in} {
			s := slices.Clone(state)
			s[pivot] = st
			todo = append(todo, s)
		}
	}
	return best, nil
}

// complete adds one place to an answer that misses a clause, if that helps.
func (r *ring) complete(a answer) answer {
	c, ok := r.judge(a.chosen, nil)
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
			if r.fits(i, off) {
				d, h := int64(r.ahead(i, off)), int64(r.places[j].half)
				if r.span(i, off) <= r.lim.FreeSpan || firstEnd+int64(r.lim.Between) > d-h {
					all[i] = append(all[i], r.step(i, off))
				}
				firstEnd = min(firstEnd, d+h)
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
func (r *ring) cycle(ctx context.Context, links [][]link, weight []int64, state []int8, clauses []clause, relaxed bool, count *meter) (answer, error) {
	n := len(r.places)
	links = r.within(links, state)
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
	prefs := make([]int64, n)
	for i := range prefs {
		prefs[i] = r.places[i].pref
	}
	best, bestStart := noCost, -1
	var bestWay []int
	dist := make([]cost, (n+1)*masks)
	prev := make([]int32, (n+1)*masks) // where in dist the best way to here comes from
	lightest := slices.Min(weight)
	hops := make([]int64, n+1)
	for _, s := range starts(links) {
		if err := ctx.Err(); err != nil {
			return answer{}, err
		}
		for i := range dist {
			dist[i] = noCost
		}
		fewestHops(hops, links, s)
		dist[hit[s]] = cost{num: weight[s], pref: prefs[s]}
		for t := range n {
			i := (s + t) % n
			for m := range masks {
				d := dist[t*masks+m]
				if d.viol == math.MaxInt64 {
					continue
				}
				atLeast := d
				atLeast.num += (hops[t] - 1) * lightest
				if !atLeast.less(best) {
					continue
				}
				for _, l := range links[i] {
					to := t + l.off
					if to > n {
						break
					}
					count.steps++
					c, k := d, to*masks
					c.viol += l.viol
					c.even += l.even
					if to < n {
						j := i + l.off
						if j >= n {
							j -= n
						}
						c.num += weight[j]
						c.pref += prefs[j]
						k += m | hit[j]
					} else {
						k += m
					}
					if c.less(dist[k]) {
						dist[k], prev[k] = c, int32(t*masks+m)
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
				for at := n*masks + m; at >= masks; {
					at = int(prev[at])
					bestWay = append(bestWay, at/masks)
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

// within gives the links that lead to and from places that are not out, over none that must be in.
func (r *ring) within(links [][]link, state []int8) [][]link {
	nextIn := r.nextIn(state)
	total := 0
	for _, ls := range links {
		total += len(ls)
	}
	some, all := make([][]link, len(links)), make([]link, 0, total)
	for i, ls := range links {
		if state[i] == out {
			continue
		}
		first := len(all)
		for _, l := range ls {
			if l.off > nextIn[i] {
				break
			}
			if state[(i+l.off)%len(links)] != out {
				all = append(all, l)
			}
		}
		some[i] = all[first:len(all):len(all)]
	}
	return some
}

// fewestHops fills in how many steps at least lead from the t-th place after s round to s again: as many
// as when from each place one could go as far as from any place passed.
func fewestHops(hops []int64, links [][]link, s int) {
	n := len(links)
	far := 0
	for t := range n {
		if ls := links[(s+t)%n]; len(ls) > 0 {
			far = max(far, min(n, t+ls[len(ls)-1].off))
		}
		hops[t] = int64(far)
	}
	hops[n] = 0
	for t := n - 1; t >= 0; t-- {
		if far := hops[t]; far <= int64(t) {
			hops[t] = int64(n) // no way on
		} else {
			hops[t] = 1 + hops[far]
		}
	}
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
func starts(links [][]link) []int {
	n := len(links)
	back := make([]int, n) // the longest step that ends here
	for i, ls := range links {
		for _, l := range ls {
			j := (i + l.off) % n
			back[j] = max(back[j], l.off)
		}
	}
	// One comes in over the gaps before it and before the places that its longest step passes: counts of
	// gaps as sums of their changes.
	change := make([]int, 2*n+1)
	for j, b := range back {
		change[n+j-b+1]++
		change[n+j+1]--
	}
	count := make([]int, n)
	sum := 0
	for g := range 2 * n {
		sum += change[g]
		count[g%n] += sum
	}
	bestGap := 0
	for gap := range n {
		if count[gap] < count[bestGap] {
			bestGap = gap
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
