package holding

import (
	"context"
	"encoding/binary"
	"slices"

	"panelwright/pipeline/geom"
)

// problem asks for the fewest tabs: each variable is some tabs that are made together or not at all, and
// stands at a place on one board or more.
type problem struct {
	boards []onBoard
	vars   []variable
}

type onBoard struct {
	ring *ring
	vars []int // the variable of each place
}

type variable struct {
	tabs   int64
	pinned bool
	stands []stand
}

type stand struct{ board, place int }

func (p *problem) add(r *ring, vars []int) {
	if len(r.places) == 0 {
		return
	}
	for i, v := range vars {
		p.vars[v].stands = append(p.vars[v].stands, stand{len(p.boards), i})
	}
	p.boards = append(p.boards, onBoard{r, vars})
}

// whole is what one tab counts; it is split among the boards that it stands on, so that the boards' sums
// add up to the panel's and their separate minima to a bound of it (Lagrangian decomposition). It
// divides by 2 to 10.
const whole = 5040

// search is the branch and bound over what boards disagree about.
type search struct {
	ctx    context.Context
	p      *problem
	opt    Options
	meter  meter
	budget int64
	nodes  int
	weight [][]int64 // of each board, of each place
	known  map[string]answer
	ids    map[*ring]int

	have     bool
	best     []bool
	bestCost cost
	same     bool // best has the same places on each copy
	cut      bool // a limit ended the search
}

func newSearch(ctx context.Context, p *problem, opt Options) *search {
	s := &search{ctx: ctx, p: p, opt: opt, known: map[string]answer{}, ids: map[*ring]int{}}
	for _, b := range p.boards {
		s.weight = append(s.weight, make([]int64, len(b.vars)))
		if _, known := s.ids[b.ring]; !known {
			s.ids[b.ring] = len(s.ids)
		}
	}
	for _, v := range p.vars {
		n := int64(len(v.stands))
		for i, at := range v.stands {
			w := v.tabs * whole / n
			if i == 0 {
				w = v.tabs*whole - w*(n-1)
			}
			s.weight[at.board][at.place] = w
		}
	}
	return s
}

// node is a state of the variables with the boards' best answers to it.
type node struct {
	state   []int8
	answers []answer
	sum     cost
}

// run gives the best choice found, the bound below its number of tabs, and whether it is proven.
func (s *search) run(pattern func() (*problem, []int)) (best []bool, bound int, proven bool, err error) {
	root := &node{state: make([]int8, len(s.p.vars)), answers: make([]answer, len(s.p.boards))}
	for v := range s.p.vars {
		if s.p.vars[v].pinned {
			root.state[v] = in
		}
	}
	for v := range s.p.vars {
		if s.p.vars[v].pinned {
			s.crowdOut(root.state, v)
		}
	}
	for b := range s.p.boards {
		if _, err := s.settle(root, b, true); err != nil {
			return nil, 0, false, err
		}
	}
	s.budget = s.meter.steps + s.opt.MaxSteps
	if pattern != nil {
		if q, which := pattern(); q != nil {
			if err := s.tryPattern(q, which); err != nil {
				return nil, 0, false, err
			}
		}
	}
	s.offer(s.union(root))
	if !s.done(root) {
		if err := s.oneAfterTheOther(root); err != nil {
			return nil, 0, false, err
		}
	}
	if !s.done(root) {
		if err := s.sharpen(root); err != nil {
			return nil, 0, false, err
		}
	}
	if !s.done(root) {
		if err := s.branch(root); err != nil {
			return nil, 0, false, err
		}
	}
	if !s.have {
		return make([]bool, len(s.p.vars)), 0, false, nil
	}
	if !s.same {
		s.polish()
	}
	if s.bestCost.viol == 0 {
		bound = int(ceil(root.sum.num))
		proven = !s.cut || int64(bound) >= s.bestCost.num
		if proven {
			bound = int(s.bestCost.num)
		}
	}
	return s.best, bound, proven, nil
}

func ceil(num int64) int64 { return (num + whole - 1) / whole }

// done tells whether nothing below the node can have fewer tabs than the best choice, or lack less.
func (s *search) done(n *node) bool {
	if !s.have {
		return false
	}
	if n.sum.viol != s.bestCost.viol {
		return n.sum.viol > s.bestCost.viol
	}
	return ceil(n.sum.num) >= s.bestCost.num
}

// crowdOut puts out what has no room beside a variable that is in.
func (s *search) crowdOut(state []int8, v int) {
	for _, at := range s.p.vars[v].stands {
		b := &s.p.boards[at.board]
		r, n := b.ring, len(b.vars)
		wide := widest(r)
		for _, way := range [2]int{1, n - 1} {
			for k := 1; k < n; k++ {
				j := (at.place + k*way%n) % n
				from, off := at.place, k
				if way != 1 {
					from = j
				}
				if r.room(from, off) >= r.lim.Between+wide {
					break
				}
				if r.room(from, off) < r.lim.Between && state[b.vars[j]] == free {
					state[b.vars[j]] = out
				}
			}
		}
	}
}

func widest(r *ring) (w geom.Length) {
	for i := range r.places {
		w = max(w, r.places[i].half)
	}
	return w
}

// settle answers a board anew. Without relaxed, or where limits can be kept elsewhere, a board that
// cannot keep its own makes the node useless: false.
func (s *search) settle(n *node, b int, relaxed bool) (bool, error) {
	board := &s.p.boards[b]
	state := make([]int8, len(board.vars))
	for i, v := range board.vars {
		state[i] = n.state[v]
	}
	a, err := s.ask(b, state, s.weight[b], false)
	if err == nil && !a.ok && relaxed {
		a, err = s.ask(b, state, s.weight[b], true)
	}
	if err != nil || !a.ok {
		return false, err
	}
	n.sum = n.sum.sub(n.answers[b].cost).add(a.cost)
	n.answers[b] = a
	return true, nil
}

// ask solves a board, once for boards that are the same and are asked the same.
func (s *search) ask(b int, state []int8, weight []int64, relaxed bool) (answer, error) {
	r := s.p.boards[b].ring
	key := binary.AppendUvarint(nil, uint64(s.ids[r]))
	if relaxed {
		key = append(key, 1)
	} else {
		key = append(key, 0)
	}
	for i := range state {
		key = binary.AppendUvarint(append(key, byte(state[i])), uint64(weight[i]))
	}
	if a, known := s.known[string(key)]; known {
		return a, nil
	}
	a, err := r.solve(s.ctx, weight, state, relaxed, &s.meter)
	if err == nil {
		s.known[string(key)] = a
		s.cut = s.cut || a.short
	}
	return a, err
}

// union is the choice of all that any board wants.
func (s *search) union(n *node) []bool {
	set := make([]bool, len(s.p.vars))
	for b, a := range n.answers {
		for _, i := range a.chosen {
			set[s.p.boards[b].vars[i]] = true
		}
	}
	return set
}

// offer takes a choice, without the tabs that it can spare, if it is the best so far.
func (s *search) offer(set []bool) {
	costs := make([]cost, len(s.p.boards))
	for b := range s.p.boards {
		c, ok := s.judge(b, set)
		if !ok {
			return
		}
		costs[b] = c
	}
	s.spare(set, costs)
	var sum cost
	for b := range costs {
		sum.viol += costs[b].viol
		sum.even += costs[b].even
		sum.pref += costs[b].pref
	}
	for v := range set {
		if set[v] {
			sum.num += s.p.vars[v].tabs
		}
	}
	if s.same && sum.viol == s.bestCost.viol && sum.num == s.bestCost.num {
		return // the same places on each copy are worth more than evenness
	}
	if !s.have || sum.less(s.bestCost) {
		s.have, s.best, s.bestCost, s.same = true, slices.Clone(set), sum, false
	}
}

func (s *search) judge(b int, set []bool) (cost, bool) {
	s.meter.steps += int64(len(s.p.boards[b].vars) / 4) // about what it takes beside a step
	return s.p.boards[b].ring.judge(localSet(s.p.boards[b].vars, set), nil)
}

// spare takes tabs away that can be missed, those first that stand at the most places.
func (s *search) spare(set []bool, costs []cost) {
	var vs []int
	for v := range set {
		if set[v] && !s.p.vars[v].pinned {
			vs = append(vs, v)
		}
	}
	slices.SortStableFunc(vs, func(x, y int) int { return len(s.p.vars[x].stands) - len(s.p.vars[y].stands) })
	for _, v := range vs {
		set[v] = false
		var now []cost
		for _, at := range s.p.vars[v].stands {
			c, ok := s.judge(at.board, set)
			if !ok || c.viol > costs[at.board].viol {
				now = nil
				break
			}
			now = append(now, c)
		}
		if now == nil {
			set[v] = true
			continue
		}
		for i, at := range s.p.vars[v].stands {
			costs[at.board] = now[i]
		}
	}
}

// tryPattern solves the panel with the same places on each copy.
func (s *search) tryPattern(q *problem, which []int) error {
	opt := s.opt
	opt.MaxSteps = opt.MaxSteps / 2
	t := newSearch(s.ctx, q, opt)
	same, _, _, err := t.run(nil)
	s.meter.steps += t.meter.steps
	s.budget += t.meter.steps / 2
	if err != nil || !t.have {
		return err
	}
	set := make([]bool, len(which))
	for v, k := range which {
		set[v] = same[k]
	}
	s.offer(set)
	s.same = s.have
	return nil
}

// oneAfterTheOther settles the boards in order: each takes what those before it took on its edge, and
// nothing that they left.
func (s *search) oneAfterTheOther(root *node) error {
	n := &node{state: slices.Clone(root.state), answers: make([]answer, len(s.p.boards))}
	set := make([]bool, len(s.p.vars))
	for v, st := range n.state {
		set[v] = st == in
	}
	for b := range s.p.boards {
		board := &s.p.boards[b]
		state, weight := make([]int8, len(board.vars)), slices.Clone(s.weight[b])
		for i, v := range board.vars {
			if state[i] = n.state[v]; state[i] == in {
				weight[i] = 0
			}
		}
		a, err := s.ask(b, state, weight, false)
		if err == nil && !a.ok {
			a, err = s.ask(b, state, weight, true)
		}
		if err != nil || !a.ok {
			return err
		}
		for _, i := range a.chosen {
			set[board.vars[i]] = true
		}
		for _, v := range board.vars {
			if n.state[v] == free && !set[v] {
				n.state[v] = out
			}
		}
		for _, v := range board.vars {
			if set[v] && n.state[v] != in {
				n.state[v] = in
				s.crowdOut(n.state, v)
			}
		}
	}
	s.offer(set)
	return nil
}

// disputed gives the variable that most boards disagree about, and −1 when all agree.
func (s *search) disputed(n *node) int {
	yes := s.votes(n)
	most, worst := -1, 0
	for v := range s.p.vars {
		no := len(s.p.vars[v].stands) - yes[v]
		if d := min(yes[v], no); d > worst {
			most, worst = v, d
		}
	}
	return most
}

// votes counts the stands at which a variable is chosen.
func (s *search) votes(n *node) []int {
	yes := make([]int, len(s.p.vars))
	for b, a := range n.answers {
		for _, i := range a.chosen {
			yes[s.p.boards[b].vars[i]]++
		}
	}
	return yes
}

// sharpen moves shares of what a tab counts from stands that do without it to those that want it, and
// keeps the split with the highest bound: a few steps of subgradient ascent.
func (s *search) sharpen(root *node) error {
	bestWeight := cloneAll(s.weight)
	best := *root
	n := &node{state: root.state, answers: slices.Clone(root.answers), sum: root.sum}
	for step := int64(whole / 4); step > whole/100; step = step * 2 / 3 {
		if s.meter.steps > s.budget {
			break
		}
		yes := s.votes(n)
		touched := make([]bool, len(s.p.boards))
		chosen := s.chosenAt(n)
		for v := range s.p.vars {
			x := &s.p.vars[v]
			k := int64(len(x.stands))
			y := int64(yes[v])
			if y == 0 || y == k {
				continue
			}
			unit := step * x.tabs / k
			for _, at := range x.stands {
				if !chosen[at.board][at.place] {
					unit = min(unit, s.weight[at.board][at.place]/y)
				}
			}
			for _, at := range x.stands {
				touched[at.board] = true
				if chosen[at.board][at.place] {
					s.weight[at.board][at.place] += unit * (k - y)
				} else {
					s.weight[at.board][at.place] -= unit * y
				}
			}
		}
		any := false
		for b, t := range touched {
			if !t {
				continue
			}
			any = true
			if _, err := s.settle(n, b, true); err != nil {
				return err
			}
		}
		if !any {
			break
		}
		s.offer(s.union(n))
		if n.sum.viol == best.sum.viol && n.sum.num > best.sum.num {
			best = node{root.state, slices.Clone(n.answers), n.sum}
			bestWeight = cloneAll(s.weight)
		}
		if s.done(n) {
			break
		}
	}
	s.weight = bestWeight
	*root = best
	return nil
}

func (s *search) chosenAt(n *node) [][]bool {
	c := make([][]bool, len(n.answers))
	for b, a := range n.answers {
		c[b] = make([]bool, len(s.p.boards[b].vars))
		for _, i := range a.chosen {
			c[b][i] = true
		}
	}
	return c
}

func cloneAll(w [][]int64) [][]int64 {
	c := make([][]int64, len(w))
	for i := range w {
		c[i] = slices.Clone(w[i])
	}
	return c
}

// branch goes through what is below a node, depth first.
func (s *search) branch(root *node) error {
	stack := []*node{root}
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if s.done(n) {
			continue
		}
		v := s.disputed(n)
		s.offer(s.union(n))
		if v < 0 || s.done(n) {
			continue
		}
		if s.nodes++; s.nodes > s.opt.MaxNodes || s.meter.steps > s.budget {
			s.cut = true
			return nil
		}
		for _, st := range [2]int8{out, in} { // in comes off the stack first
			child := &node{state: slices.Clone(n.state), answers: slices.Clone(n.answers), sum: n.sum}
			s.meter.steps += int64(len(s.p.vars) / 4)
			child.state[v] = st
			if st == in {
				s.crowdOut(child.state, v)
			}
			ok := true
			for b := range s.changed(n.state, child.state) {
				var err error
				if ok, err = s.settle(child, b, !s.have || s.bestCost.viol > 0); err != nil {
					return err
				}
				if !ok {
					break
				}
			}
			if ok && !s.done(child) {
				stack = append(stack, child)
			}
		}
	}
	return nil
}

// changed goes through the boards, in order, that have a variable whose state differs.
func (s *search) changed(a, b []int8) func(yield func(int) bool) {
	touched := make([]bool, len(s.p.boards))
	for v := range a {
		if a[v] != b[v] {
			for _, at := range s.p.vars[v].stands {
				touched[at.board] = true
			}
		}
	}
	return func(yield func(int) bool) {
		for i, t := range touched {
			if t && !yield(i) {
				return
			}
		}
	}
}
