package breakofftabs

import (
	"cmp"
	"context"
	"math"
	"slices"

	"panelwright/pipeline/mechanics"
)

// search looks for the fewest places that keep the limits: by families of selections that spans of different lengths ask for,
// by leaving out one after another, by trading two for one, by leaving one out and mending what that breaks, and by
// beginning again from selections a little beside the best. It counts its work, and looks at no clock.
type search struct {
	*bySupport
	*pool
	trial *mechanics.Trial
	first []bool // to begin with too; nil: none
	work  float64
	most  float64 // work
}

// mostWork bounds the work of the first search, in products: about a second. Those after it have less to find.
const (
	mostWork = 1.5e9
	lessWork = 0.3e9
)

// manyRows is from how many rows of a trial on a panel is large.
const manyRows = 1500

// spent tells whether the work is done with.
func (c *search) spent() bool { return c.work > c.most }

// found is a selection.
type found struct {
	keep   []bool
	number int
	unlike int
	share  float64
}

// better orders selections: fewer tabs first, then those more alike on copies of a board, for people check one and trust the rest,
// then those that use less of the limits.
func (a *found) better(b *found) bool {
	if b == nil {
		return true
	}
	return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.unlike, b.unlike), cmp.Compare(a.share, b.share)) < 0
}

func (c *search) of(keep []bool) *found {
	return &found{slices.Clone(keep), count(keep), c.unlike(keep), c.share(keep)}
}

// share is how much a selection uses of the limits.
func (c *search) share(keep []bool) float64 {
	return c.trying(keep).Share(c.limits)
}

// trying asks the trial about a selection.
func (c *search) trying(keep []bool) mechanics.Verdict {
	const each = 60 // products for a tab and a copy that is pressed on
	c.work += float64(each * count(keep) * (1 + len(c.copies)))
	return c.trial.Try(keep)
}

// settle makes a selection that keeps the limits the one that others are tried from, unless it swings too slowly: that alone was not asked
// before.
func (c *search) settle(keep []bool) bool { return c.swings(keep) && c.stand(keep) }

// swings tells whether a selection keeps the limit of frequency.
func (c *search) swings(keep []bool) bool {
	if c.limits.LeastFrequency <= 0 {
		return true
	}
	n := float64(5 * len(c.copies))
	c.work += float64(10 * n * n)
	h := c.trial.Hertz(keep)
	return h <= 0 || h >= c.limits.LeastFrequency
}

// stand settles the trial on a selection, whether that keeps the limits or not.
func (c *search) stand(keep []bool) bool {
	rows := float64(c.trial.Rows())
	c.work += float64(8 * rows * rows)
	return c.trial.Settle(keep)
}

// fewest gives the best selection found; nil where even all places are too few.
func (c *search) fewest(ctx context.Context) ([]bool, error) {
	everything := make([]bool, len(c.all))
	for i := range everything {
		everything[i] = true
	}
	starts, err := c.families(ctx)
	if err != nil {
		return nil, err
	}
	if c.first != nil {
		first, err := c.mend(ctx, c.first, c.trying(c.first).Over)
		if err != nil {
			return nil, err
		}
		if first != nil {
			starts = slices.Insert(starts, 0, first)
		}
	}
	starts = append(starts, everything)
	var best *found
	taken := 0
	for _, keep := range starts {
		if count(keep) == len(keep) && taken > 0 && c.trial.Rows() > manyRows || taken >= 2 && count(keep) < len(keep) {
			continue // the two with the fewest tabs, and everything, which takes long on a large panel
		}
		if !c.holds(c.pool, keep, nil) || c.share(keep) > 1 || !c.settle(keep) {
			continue
		}
		taken++
		x, err := c.improve(ctx, slices.Clone(keep))
		if err != nil {
			return nil, err
		}
		if x.better(best) {
			best = x
		}
		if c.bound > 0 && best.number <= c.bound {
			break
		}
	}
	if best == nil {
		return nil, nil
	}
	return c.shake(ctx, best)
}

// shakes is how often a search begins again beside the best.
const shakes = 60

// shake begins again from the best selection with a few places more and others less, which walk over the pool in long steps, and keeps
// what comes out better; then it makes copies more alike.
func (c *search) shake(ctx context.Context, best *found) ([]bool, error) {
	steps := newStride(len(c.all))
	now := best
	for n := range shakes {
		if c.bound > 0 && best.number <= c.bound || c.spent() {
			break
		}
		keep := slices.Clone(now.keep)
		for range 2 + n%5 {
			keep[steps.next()] = true
		}
		if !c.holds(c.pool, keep, nil) || !c.stand(keep) || c.trial.Now().Over > 0 {
			continue
		}
		for range len(keep) / 3 {
			i := steps.next()
			if !keep[i] || c.all[i].pinned {
				continue
			}
			try := slices.Clone(keep)
			try[i] = false
			if c.over(try, i) == 0 && c.settle(try) {
				keep = try
			}
		}
		x, err := c.improve(ctx, keep)
		if err != nil {
			return nil, err
		}
		if x.number <= now.number {
			now = x
		}
		if x.better(best) {
			best = x
		}
	}
	if !c.stand(best.keep) {
		return best.keep, nil
	}
	keep := slices.Clone(best.keep)
	return keep, c.even(ctx, keep)
}

// stride walks over n places so that each comes before any comes twice, and neighbours come far apart.
type stride struct{ at, by, n int }

func newStride(n int) *stride {
	by := max(1, int(float64(n)*0.618)) // the golden section: no two steps fall near each other for long
	for gcd(by, n) != 1 {
		by++
	}
	return &stride{0, by, n}
}

func (s *stride) next() int {
	s.at = (s.at + s.by) % s.n
	return s.at
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// families gives selections that hold the boards as spans of different lengths ask for, those with the fewest tabs first.
func (c *search) families(ctx context.Context) ([][]bool, error) {
	list, err := c.familiesOf(ctx, c.all, quick)
	var out [][]bool
	for _, tabs := range list {
		out = append(out, c.keep(tabs))
	}
	return out, err
}

// improve leaves out what can be spared and trades, beginning with a selection that the trial is settled on.
func (c *search) improve(ctx context.Context, keep []bool) (*found, error) {
	for {
		if err := c.thin(ctx, keep); err != nil {
			return nil, err
		}
		if c.bound > 0 && count(keep) <= c.bound {
			break
		}
		better, err := c.trade(ctx, keep)
		if err == nil && !better {
			better, err = c.repair(ctx, keep)
		}
		if err != nil {
			return nil, err
		}
		if !better {
			break
		}
	}
	return c.of(keep), nil
}

// step is what may be left out at once: a tab, or all tabs that are left of a piece of waste, which then goes too.
type step struct {
	tabs  []int
	waste bool
}

func (c *search) steps() []step {
	var out []step
	waste := make([][]int, len(c.ground.islands))
	pinned := make([]bool, len(waste))
	for i, k := range c.all {
		if n := island(k.target); n >= 0 {
			waste[n] = append(waste[n], i)
			pinned[n] = pinned[n] || k.pinned
		}
		if !k.pinned {
			out = append(out, step{tabs: []int{i}})
		}
	}
	for n, tabs := range waste {
		if len(tabs) > 1 && !pinned[n] {
			out = append(out, step{tabs, true})
		}
	}
	return out
}

// left gives the tabs of a step that are there; none where they are fewer than it takes.
func (s step) left(keep []bool) (out []int) {
	for _, i := range s.tabs {
		if keep[i] {
			out = append(out, i)
		}
	}
	if s.waste && len(out) < 2 {
		return nil
	}
	return out
}

// thin leaves tabs out one after another, each time that whose loss uses the limits up least, until none can be spared.
func (c *search) thin(ctx context.Context, keep []bool) error {
	// What a loss costs mostly grows as others go: an old figure will do until it is the least, and only at the end
	// all are reckoned anew.
	steps := c.steps()
	cost, fresh := make([]float64, len(steps)), make([]bool, len(steps))
	for {
		best := -1
		var order float64
		taken := make([]int, len(c.sizes))
		for i, k := range keep {
			if k {
				taken[c.alike[i]]++
			}
		}
		for n, x := range steps {
			left := x.left(keep)
			if len(left) == 0 || cost[n] > 1 && fresh[n] {
				continue
			}
			// Among those that cost the same, to four digits, first the one whose likes have gone already.
			likes := c.alike[left[0]]
			o := math.Round(cost[n]*1e4) + float64(taken[likes])/float64(c.sizes[likes]+1)
			if best < 0 || o < order {
				best, order = n, o
			}
		}
		if best < 0 {
			return nil
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		try, gone := slices.Clone(keep), steps[best].left(keep)
		for _, i := range gone {
			try[i] = false
		}
		if !fresh[best] {
			fresh[best] = true
			cost[best] = math.Inf(1)
			if c.holds(c.pool, try, gone) {
				cost[best] = c.share(try)
			}
			continue
		}
		if !c.settle(try) {
			cost[best] = math.Inf(1)
			continue
		}
		copy(keep, try)
		clear(fresh)
	}
}

// near lists, for every place, the kept ones on the same boards.
func (c *search) near(keep []bool, of int) (out []int) {
	for _, body := range c.pool.of[of] {
		for _, x := range c.on[body] {
			if x.tab >= 0 && x.tab != of && keep[x.tab] && !c.all[x.tab].pinned && !slices.Contains(out, x.tab) {
				out = append(out, x.tab)
			}
		}
	}
	slices.Sort(out)
	return out
}

// over tells by how much a selection exceeds the limits in all; without end where boards are not held.
func (c *search) over(keep []bool, changed ...int) float64 {
	if !c.holds(c.pool, keep, changed) {
		return math.Inf(1)
	}
	return c.trying(keep).Over
}

// with gives a selection with one more place, and others less.
func with(keep []bool, put int, take ...int) []bool {
	out := slices.Clone(keep)
	out[put] = true
	for _, i := range take {
		out[i] = false
	}
	return out
}

// trade takes one place for two on the same boards. It tells whether there is such.
func (c *search) trade(ctx context.Context, keep []bool) (bool, error) {
	for put := range c.all {
		if keep[put] {
			continue
		}
		if err := ctx.Err(); err != nil || c.spent() {
			return false, err
		}
		first := c.near(keep, put)
		for n, a := range first {
			second := slices.DeleteFunc(append(c.near(keep, a), first[n+1:]...), func(b int) bool { return slices.Contains(first[:n+1], b) })
			slices.Sort(second)
			for _, b := range slices.Compact(second) {
				try := with(keep, put, a, b)
				if c.over(try, put, a, b) == 0 && c.settle(try) {
					copy(keep, try)
					return true, nil
				}
			}
		}
	}
	return false, nil
}

// How far repair goes.
const (
	spared  = 6 // tabs that it begins by leaving out, those that are missed least
	repairs = 8 // swaps after that
)

// repair leaves one tab out though the limits are exceeded then, and mends that. It tells whether it could.
func (c *search) repair(ctx context.Context, keep []bool) (bool, error) {
	was := slices.Clone(keep)
	missed := c.missed(keep)
	for _, gone := range missed[:min(spared, len(missed))] {
		now := slices.Clone(was)
		now[gone.tab] = false
		now, err := c.mend(ctx, now, gone.over)
		if err != nil || c.spent() {
			return false, err
		}
		c.stand(was)
		if now != nil && c.settle(now) {
			copy(keep, now)
			return true, nil
		}
	}
	return false, nil
}

// mend swaps tabs of a selection that exceeds the limits until they are kept; nil where it does not come to that.
func (c *search) mend(ctx context.Context, now []bool, over float64) ([]bool, error) {
	for range repairs {
		if err := ctx.Err(); err != nil || c.spent() {
			return nil, err
		}
		if over == 0 {
			break
		}
		if !c.stand(now) {
			return nil, nil
		}
		if now, over = c.swap(now, over); now == nil {
			return nil, nil
		}
	}
	if over > 0 {
		return nil, nil
	}
	return now, nil
}

// loss is what leaving a tab out costs.
type loss struct {
	tab  int
	over float64
}

// missed lists the tabs that may be left out, those that are missed least first.
func (c *search) missed(keep []bool) []loss {
	var out []loss
	for i := range keep {
		if !keep[i] || c.all[i].pinned {
			continue
		}
		try := slices.Clone(keep)
		try[i] = false
		if over := c.over(try, i); !math.IsInf(over, 0) {
			out = append(out, loss{i, over})
		}
	}
	slices.SortStableFunc(out, func(a, b loss) int { return cmp.Compare(a.over, b.over) })
	return out
}

// swap finds the place that relieves overloaded tabs most, for one near it or for one that is missed little anywhere; nil where none relieves.
func (c *search) swap(now []bool, over float64) (best []bool, less float64) {
	missed := c.missed(now)
	var anywhere []int
	for _, x := range missed[:min(4, len(missed))] {
		anywhere = append(anywhere, x.tab)
	}
	var puts []int
	for _, x := range c.trial.Overloaded() {
		for _, body := range c.pool.of[x] {
			for _, s := range c.on[body] {
				if s.tab >= 0 && !now[s.tab] && !slices.Contains(puts, s.tab) {
					puts = append(puts, s.tab)
				}
			}
		}
	}
	slices.Sort(puts)
	less = float64(over * 0.98)
	for _, put := range puts {
		takes := append(c.near(now, put), anywhere...)
		slices.Sort(takes)
		for _, take := range slices.Compact(takes) {
			try := with(now, put, take)
			if x := c.over(try, put, take); x < less {
				best, less = try, x
			}
		}
	}
	return best, less
}

// even takes places for others as long as that makes copies more alike, or leaves them as alike and eases the limits by a hundredth or more: one for
// another, or all that are the same on copies of a board for all of another such set.
func (c *search) even(ctx context.Context, keep []bool) error {
	const eased = 0.99
	sets := make([][]int, len(c.all))
	for i, k := range c.alike {
		sets[k] = append(sets[k], i)
	}
	for {
		start := c.of(keep)
		best := start
		look := func(try []bool, changed []int) {
			if c.unlike(try) > best.unlike || count(try) > best.number || !c.holds(c.pool, try, changed) {
				return
			}
			x := c.of(try)
			if x.share <= 1 && (x.number < best.number || x.unlike < best.unlike || x.share < float64(best.share*eased)) {
				best = x
			}
		}
		for put := range c.all {
			if keep[put] {
				continue
			}
			if err := ctx.Err(); err != nil || c.spent() {
				return err
			}
			for _, take := range c.near(keep, put) {
				look(with(keep, put, take), []int{put, take})
			}
		}
		whole := func(set []int, kept bool) bool {
			return len(set) > 1 && !slices.ContainsFunc(set, func(i int) bool { return keep[i] != kept || c.all[i].pinned })
		}
		for _, puts := range sets {
			if !whole(puts, false) {
				continue
			}
			if err := ctx.Err(); err != nil || c.spent() {
				return err
			}
			for _, takes := range sets {
				if !whole(takes, true) || len(puts) > len(takes) {
					continue
				}
				try := slices.Clone(keep)
				for _, i := range puts {
					try[i] = true
				}
				for _, i := range takes {
					try[i] = false
				}
				look(try, slices.Concat(puts, takes))
			}
		}
		if best == start || !c.settle(best.keep) {
			return nil
		}
		copy(keep, best.keep)
	}
}
