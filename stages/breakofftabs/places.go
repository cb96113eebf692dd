package breakofftabs

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/stages/breakofftabs/holding"
)

// unlimited stands for spans that are left to the calculation.
const unlimited = 10_000 * geom.MM

// closer is how much shorter spans are for places between the planned ones.
const closer = 3

// quick bounds a choice that need not be the best.
var quick = holding.Options{MaxNodes: 200, MaxSteps: 300_000}

// pool is the places of which placing by support selects.
type pool struct {
	offered []candidate      // all there are
	all     []candidate      // in the order in which the panel lists its tabs
	bound   int              // no selection of any places holds all boards with fewer tabs; 0: not known
	full    []holding.Stance // how each body stands on tabs in all places
	on      [][]seat         // of each body, what stands on it
	of      [][]int          // of each place, the bodies that it stands on
	alike   []int            // of each place, the number of the set of places that are the same on copies of one board
	sizes   []int            // of each such set
	known   map[string]bool
}

// seat is a place as a body sees it.
type seat struct {
	tab  int
	foot holding.Candidate
}

// places gathers the pool.
func (b *bySupport) places(ctx context.Context, planned []candidate) (*pool, error) {
	if err := b.look(ctx, b.quiet, b.in); err != nil {
		return nil, err
	}
	pins, err := b.pins()
	if err != nil {
		return nil, err
	}
	offered := append(slices.Clone(pins), b.candidates()...)
	pinned := func(i int) bool { return i < len(pins) }
	free := holding.Limits{FreeSpan: unlimited, Overhang: unlimited, Between: b.corner}
	choice, fewest, err := b.among(ctx, offered, pinned, free, holding.Options{})
	if err != nil {
		return nil, err
	}
	out := &pool{offered: offered, bound: choice.LowerBound}
	out.all = slices.Clone(fewest)
	// The planned tabs that do not stand in the way of those; a tab a little beside its place is as good.
	for _, k := range planned {
		if b.room(out.all, k) {
			out.all = append(out.all, k)
		}
	}
	must := func(i int) bool {
		return pinned(i) || slices.ContainsFunc(out.all, func(k candidate) bool { return sameTab(k, offered[i]) })
	}
	_, all, err := b.among(ctx, offered, must, holding.Limits{FreeSpan: b.LongestFreeSpan / closer, Overhang: b.LongestOverhang / closer, Between: b.corner}, quick)
	if err != nil {
		return nil, err
	}
	_, out.all = b.tabsOf(b.in, all)
	return out, nil
}

// ready makes a pool ready to be selected from.
func (b *bySupport) ready(p *pool) {
	b.seats(p)
	b.likeness(p)
	p.known = map[string]bool{}
	p.full = make([]holding.Stance, len(b.bodies))
	for i := range b.bodies {
		p.full[i] = b.stance(p, i, nil)
	}
}

// room tells whether a tab can stand beside those that are there.
func (s *standing) room(there []candidate, k candidate) bool {
	return !slices.ContainsFunc(there, func(o candidate) bool {
		reach := o.half + k.half + float64(s.corner)
		return o.foot == k.foot || o.foot.Distance(k.foot) < reach || o.target >= 0 && k.target >= 0 && o.other.Distance(k.other) < reach ||
			o.target == k.copy && o.other.Distance(k.foot) < reach || k.target == o.copy && k.other.Distance(o.foot) < reach
	})
}

// chosen gives the places that keep names.
func (p *pool) chosen(keep []bool) (out []candidate) {
	for i, k := range p.all {
		if keep[i] {
			out = append(out, k)
		}
	}
	return out
}

// keep names places; nil where one is not in the pool.
func (p *pool) keep(chosen []candidate) []bool {
	out := make([]bool, len(p.all))
	for _, k := range chosen {
		i := slices.IndexFunc(p.all, func(o candidate) bool { return sameTab(o, k) })
		if i < 0 {
			return nil
		}
		out[i] = true
	}
	return out
}

// seats lists what stands on each body.
func (s *standing) seats(p *pool) {
	_, places, of := s.forHolding(p.all)
	p.on, p.of = make([][]seat, len(s.bodies)), make([][]int, len(p.all))
	add := func(body, tab int, c holding.Candidate) {
		c.Board, c.Other = 0, -1
		p.on[body] = append(p.on[body], seat{tab, c})
		p.of[tab] = append(p.of[tab], body)
	}
	for i, c := range places {
		add(c.Board, of[i], c)
		if c.Other >= 0 {
			far := c
			far.At, far.Foot, far.Outward, far.Half = c.OtherAt, c.OtherFoot, c.OtherOutward, c.OtherHalf
			add(c.Other, of[i], far)
		}
	}
	for _, c := range s.heldByScores() {
		body := c.Board
		c.Board = 0
		p.on[body] = append(p.on[body], seat{-1, c})
	}
}

// likeness finds the places that are the same on copies of one board: those of one set are best taken on all of them.
func (s *standing) likeness(p *pool) {
	type local struct {
		board string
		at    geom.Length
	}
	const same = 20 * geom.UM
	at := map[local]int{}
	p.alike = make([]int, len(p.all))
	for i := range p.alike {
		p.alike[i] = i
	}
	find := func(i int) int {
		for p.alike[i] != i {
			i = p.alike[i]
		}
		return i
	}
	note := func(i, copy int, along float64) {
		k := local{s.copies[copy].Board.Name, geom.Round(along) / same}
		for _, off := range [3]geom.Length{0, -1, 1} {
			if o, ok := at[local{k.board, k.at + off}]; ok {
				a, b := find(i), find(o)
				p.alike[max(a, b)] = min(a, b)
				return
			}
		}
		at[k] = i
	}
	for i, k := range p.all {
		note(i, k.copy, k.at)
		if k.target >= 0 {
			note(i, k.target, k.otherAt)
		}
	}
	p.sizes = make([]int, len(p.all))
	for i := range p.all {
		p.alike[i] = find(i)
		p.sizes[p.alike[i]]++
	}
}

// unlike is how far copies of a board are from having the same tabs: 0 where all of them have.
func (p *pool) unlike(keep []bool) (sum int) {
	taken := make([]int, len(p.sizes))
	for i, k := range keep {
		if k {
			taken[p.alike[i]]++
		}
	}
	for i, n := range taken {
		sum += n * (p.sizes[i] - n)
	}
	return sum
}

// stance tells how a body stands on the tabs that keep names; keep nil: on all.
func (b *bySupport) stance(p *pool, body int, keep []bool) holding.Stance {
	var feet []holding.Candidate
	for _, x := range p.on[body] {
		if x.tab < 0 || keep == nil || keep[x.tab] {
			feet = append(feet, x.foot)
		}
	}
	return holding.StanceOf(b.bodies[body].mass, feet)
}

// stands tells whether a body stands on the tabs that keep names as well as on all.
func (b *bySupport) stands(p *pool, body int, keep []bool) bool {
	key := []byte{byte(body), byte(body >> 8)}
	for i, x := range p.on[body] {
		if i%8 == 0 {
			key = append(key, 0)
		}
		if x.tab < 0 || keep[x.tab] {
			key[len(key)-1] |= 1 << (i % 8)
		}
	}
	v, ok := p.known[string(key)]
	if !ok {
		v = b.stance(p, body, keep).AsGood(p.full[body])
		p.known[string(key)] = v
	}
	return v
}

// islandsStand tells whether two tabs at least hold each piece of waste that stays.
func (b *bySupport) islandsStand(p *pool, keep []bool) bool {
	on := make([]int, len(b.ground.islands))
	for i, k := range p.all {
		if n := island(k.target); n >= 0 && keep[i] {
			on[n]++
		}
	}
	return !slices.Contains(on, 1)
}

// holds tells whether all boards are held, and the waste that stays; of the boards only those on which one of the places stands
// that changed are looked at (nil: all).
func (b *bySupport) holds(p *pool, keep []bool, changed []int) bool {
	if !b.islandsStand(p, keep) {
		return false
	}
	if changed == nil {
		for i := range b.bodies {
			if !b.stands(p, i, keep) {
				return false
			}
		}
	}
	for _, i := range changed {
		for _, body := range p.of[i] {
			if !b.stands(p, body, keep) {
				return false
			}
		}
	}
	return true
}

// reportWanting reports which boards tabs do not hold, with or without spans that are too long.
func (b *bySupport) reportWanting(ctx context.Context, chosen []candidate, spans bool) error {
	boards, places, _ := b.forHolding(chosen)
	places = append(places, b.heldByScores()...)
	var lacks []holding.Lack
	var err error
	limits := holding.Limits{FreeSpan: unlimited, Overhang: unlimited, Between: b.corner}
	if spans {
		limits.FreeSpan, limits.Overhang = b.LongestFreeSpan, b.LongestOverhang
	}
	if lacks, err = holding.Lacks(boards, places, limits); err != nil {
		return err
	}
	if err := b.look(ctx, b.quiet, b.in); err != nil {
		return err
	}
	b.reportLacks(b.env, lacks)
	return nil
}

// search makes ready to look for the fewest.
func (b *bySupport) search(p *pool, t *mechanics.Trial) *search {
	t.Aim(b.limits)
	return &search{bySupport: b, pool: p, trial: t, most: mostWork}
}
