package sparse

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"sync"
	"sync/atomic"
)

// definite is how small a pivot may become, as a share of what stood on the diagonal, before a matrix is held to be singular:
// rounding leaves some 1e-15 of it, and what is held by something stiff at all keeps more than this.
const definite = 1e-11

// Factor is a matrix as L Lᵀ.
type Factor struct {
	plan    *Plan
	l       []float64 // of all fronts
	inverse []float64 // of the diagonal, by places
}

// NotDefinite is the error of a matrix that is not positive definite.
type NotDefinite struct {
	Unknown int // the first in the order of elimination that is not held by those before it and by itself
}

func (e *NotDefinite) Error() string {
	return fmt.Sprintf("the matrix is not positive definite: nothing holds unknown %d", e.Unknown)
}

// Factor factorizes m, which must be positive definite and have the plan's pattern. The workers share the work; the
// digits do not depend on how many they are, nor on which they are. Errors: *NotDefinite, another pattern, ctx done.
func (p *Plan) Factor(ctx context.Context, m *Matrix, workers int) (*Factor, error) {
	if !p.fits(m) {
		return nil, errors.New("the matrix has not the pattern that the plan was made for")
	}
	f := &Factor{plan: p, l: make([]float64, p.size), inverse: make([]float64, p.n)}
	w := work{
		ctx: ctx, f: f, val: m.Val, least: make([]float64, p.n),
		update: make([][]float64, len(p.fronts)), left: make([]atomic.Int32, len(p.fronts)),
	}
	w.bad.Store(math.MaxInt64)
	for c := range m.N {
		if m.Ptr[c] < m.Ptr[c+1] && int(m.Row[m.Ptr[c]]) == c {
			w.least[p.place[c]] = definite * m.Val[m.Ptr[c]]
		}
	}
	for c, v := range w.least {
		if !(v > 0) { // also where it is no number
			w.least[c] = 0
		}
	}
	w.run(workers)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if bad := w.bad.Load(); bad != math.MaxInt64 {
		return nil, &NotDefinite{Unknown: int(p.order[bad])}
	}
	return f, nil
}

// work is a factorization under way.
type work struct {
	ctx    context.Context
	f      *Factor
	val    []float64
	least  []float64      // what each pivot must exceed, by places
	update [][]float64    // what each front subtracts from its parent's, until that has taken it
	left   []atomic.Int32 // children still to be done
	bad    atomic.Int64   // the first place whose pivot is not positive

	mu   sync.Mutex
	free [48][][]float64 // blocks to be used again, by the number of bits of their length
}

// run does all fronts. A subtree that is small is one job; above those every front is, once its children are done.
func (w *work) run(workers int) {
	fronts := w.f.plan.fronts
	if workers <= 1 || len(fronts) < 2 {
		for s := range fronts {
			w.front(s)
		}
		return
	}
	small := w.f.plan.products / float64(8*workers)
	jobs := make(chan int, len(fronts)) // no one ever waits to put one in
	for s := range fronts {
		w.left[s].Store(int32(len(fronts[s].children)))
	}
	single := func(s int) bool { // the root of a subtree that is one job
		p := fronts[s].parent
		return fronts[s].work <= small && (p < 0 || fronts[p].work > small)
	}
	roots := int32(0)
	for s := range fronts {
		if fronts[s].parent < 0 {
			roots++
		}
		if single(s) || (fronts[s].work > small && len(fronts[s].children) == 0) {
			jobs <- s
		}
	}
	var todo atomic.Int32
	todo.Store(roots)
	start := make([]int, len(fronts)) // the first of each subtree
	for s := range fronts {
		start[s] = s
		if c := fronts[s].children; len(c) > 0 {
			start[s] = start[c[0]]
		}
	}
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for s := range jobs {
				first := s
				if fronts[s].work <= small {
					first = start[s]
				}
				for k := first; k <= s; k++ {
					w.front(k)
				}
				switch p := fronts[s].parent; {
				case p >= 0:
					if w.left[p].Add(-1) == 0 {
						jobs <- int(p)
					}
				case todo.Add(-1) == 0:
					close(jobs)
				}
			}
		})
	}
	all.Wait()
}

// front adds up a front from the matrix and from its children's updates, and factorizes it.
func (w *work) front(s int) {
	f := &w.f.plan.fronts[s]
	if int64(f.first) > w.bad.Load() || w.ctx.Err() != nil {
		return // what comes after a pivot that is not positive does not count
	}
	n, r := f.w+len(f.rows), len(f.rows)
	l := w.f.l[f.at : f.at+n*f.w]
	for i, e := range f.entry {
		l[f.to[i]] += w.val[e]
	}
	for _, c := range f.children {
		addToPanel(l, w.update[c], w.f.plan.fronts[c].up, f.w)
	}
	if bad := factorPanel(l, w.f.inverse[f.first:f.first+f.w], w.least[f.first:f.first+f.w], n, f.w); bad >= 0 {
		at := int64(f.first + bad)
		for {
			old := w.bad.Load()
			if old <= at || w.bad.CompareAndSwap(old, at) {
				return
			}
		}
	}
	var u []float64
	if r > 0 {
		u = w.take(r * r)
		products(u, l[f.w*f.w:], r, f.w)
	}
	for _, c := range f.children {
		addToUpdate(u, w.update[c], w.f.plan.fronts[c].up, f.w, r)
		w.give(w.update[c])
		w.update[c] = nil
	}
	w.update[s] = u
}

// addToPanel adds to the front's own w columns what a child's update has for them.
func addToPanel(l, u []float64, up []int32, w int) {
	r := len(up)
	own := 0
	for own < r && int(up[own]) < w {
		own++
	}
	for i := range r {
		row := l[int(up[i])*w : int(up[i])*w+w]
		for j, v := range u[i*r : i*r+min(i+1, own)] {
			row[up[j]] += v
		}
	}
}

// addToUpdate adds to the front's own update (r × r) what a child's has beyond the front's w columns.
func addToUpdate(to, u []float64, up []int32, w, r int) {
	n := len(up)
	own := 0
	for own < n && int(up[own]) < w {
		own++
	}
	at := make([]int32, n)
	for i := own; i < n; i++ {
		at[i] = up[i] - int32(w)
	}
	for i := own; i < n; i++ {
		row := to[int(at[i])*r : int(at[i])*r+r]
		for j, v := range u[i*n+own : i*n+i+1] {
			row[at[own+j]] += v
		}
	}
}

// take gives a block of at least n numbers, whatever they are.
func (w *work) take(n int) []float64 {
	k := bits.Len(uint(n - 1))
	w.mu.Lock()
	defer w.mu.Unlock()
	if have := w.free[k]; len(have) > 0 {
		b := have[len(have)-1]
		w.free[k] = have[:len(have)-1]
		return b[:n]
	}
	return make([]float64, n, 1<<k)
}

func (w *work) give(b []float64) {
	if cap(b) == 0 {
		return
	}
	k := bits.Len(uint(cap(b) - 1))
	w.mu.Lock()
	defer w.mu.Unlock()
	w.free[k] = append(w.free[k], b)
}
