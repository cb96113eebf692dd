package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/sparse"
)

// Leaving a tab out takes the stiffness of its joints away: K' = K − G S Gᵀ, where G are the columns of the joints'
// relative motions and S their stiffness. By the Sherman–Morrison–Woodbury formula K'⁻¹ f = u + K⁻¹G (S⁻¹ − C)⁻¹ Gᵀu with
// C = GᵀK⁻¹G: with C known for all joints at once each tab costs next to nothing, and the rest is exact.

// bear is how near to 1 the share of a tab's stiffness that it bears alone may come before the rest counts as not
// holding: the panel then turns about what is left.
const bear = 1 - 1e-7

// flexible is what is known of all joints together.
type flexible struct {
	joints []joint
	c      []float64 // Gram matrix of the joints' relative motions, three each, then of watched places
	n      int       // its size
	s      [][3][3]float64
	watch  []watched
}

// watched is a place whose deflection is followed.
type watched struct {
	node int32
	copy string
}

// relativeColumn is a joint's relative motion as a column over all unknowns, 3 a node.
func (j joint) relativeColumn(k int) sparse.Column {
	dx, dy := j.middle[1][0]-j.middle[0][0], j.middle[1][1]-j.middle[0][1]
	var out sparse.Column
	add := func(node int32, what int, v float64) {
		if v != 0 {
			out.At, out.Val = append(out.At, 3*node+int32(what)), append(out.Val, v)
		}
	}
	for _, s := range j.a {
		add(s.Node, k, -s.Weight)
		if k == 0 {
			add(s.Node, 1, float64(-s.Weight*dx))
			add(s.Node, 2, float64(-s.Weight*dy))
		}
	}
	for _, s := range j.b {
		add(s.Node, k, s.Weight)
	}
	return out
}

// flexibility reckons C for all joints and for places on every copy.
func (m *model) flexibility(ctx context.Context, r *solved) (*flexible, error) {
	f := &flexible{joints: m.joints}
	var columns []sparse.Column
	for i, j := range m.joints {
		for k := range 3 {
			columns = append(columns, j.relativeColumn(k))
		}
		var s [3][3]float64
		for a := range 3 {
			for b := range 3 {
				s[a][b] = r.models[0].Joints[i].Stiffness[3+a][3+b]
			}
		}
		f.s = append(f.s, s)
	}
	f.watch = m.watched()
	for _, w := range f.watch {
		columns = append(columns, sparse.Column{At: []int32{3 * w.node}, Val: []float64{1}})
	}
	var err error
	f.n = len(columns)
	f.c, err = r.cold.Gram(ctx, columns)
	return f, err
}

// watched chooses places on every copy: its middle and its extreme corners.
func (m *model) watched() []watched {
	var out []watched
	seen := map[int32]bool{}
	copies := m.p.Copies()
	for _, c := range copies {
		b := c.Box()
		places := [...][2]int{{1, 1}, {0, 0}, {2, 0}, {2, 2}, {0, 2}}
		few := len(copies) > 60
		for i, x := range places {
			if few && i > 0 {
				break
			}
			q := b.Min
			q.X += b.Width() / 2 * geom.Length(x[0])
			q.Y += b.Height() / 2 * geom.Length(x[1])
			t, at, ok := m.finder.nearest(q)
			if !ok {
				continue
			}
			best := m.mesh.Triangles[t][0]
			for _, n := range m.mesh.Triangles[t] {
				if m.mesh.Nodes[n].Distance(at) < m.mesh.Nodes[best].Distance(at) {
					best = n
				}
			}
			if !seen[best] {
				seen[best] = true
				out = append(out, watched{best, c.ID})
			}
		}
	}
	return out
}

// leftOut reckons the panel without the joints of the given numbers, under its weight: how the other joints move
// relative to before, and how the watched places do. falls tells that the rest does not hold.
func (f *flexible) leftOut(gone []int, relative [][3]float64) (rel [][3]float64, watch []float64, falls bool) {
	n := 3 * len(gone)
	at := func(i int) int { return 3*gone[i/3] + i%3 } // row in C
	// M = S⁻¹ − C over the joints that go; solved as (I − S C) y = S r, which needs no inverse of S.
	a := make([]float64, n*n)
	y := make([]float64, n)
	for i := range n {
		for k := range n {
			v := 0.0
			if i == k {
				v = 1
			}
			for l := range 3 {
				v -= float64(f.s[gone[i/3]][i%3][l] * f.c[(3*gone[i/3]+l)*f.n+at(k)])
			}
			a[i*n+k] = v
		}
		for l := range 3 {
			y[i] += float64(f.s[gone[i/3]][i%3][l] * relative[gone[i/3]][l])
		}
	}
	if !solveDense(a, y, n) {
		return nil, nil, true
	}
	rel = make([][3]float64, len(relative))
	for j := range relative {
		for k := range 3 {
			v := relative[j][k]
			for i := range n {
				v += float64(f.c[(3*j+k)*f.n+at(i)] * y[i])
			}
			rel[j][k] = v
		}
	}
	watch = make([]float64, len(f.watch))
	for w := range f.watch {
		row := 3*len(f.joints) + w
		for i := range n {
			watch[w] += float64(f.c[row*f.n+at(i)] * y[i])
		}
	}
	return rel, watch, false
}

// solveDense solves a small system in place by elimination with pivots. It tells whether the matrix is regular.
func solveDense(a, b []float64, n int) bool {
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a[r*n+c]) > math.Abs(a[p*n+c]) {
				p = r
			}
		}
		if math.Abs(a[p*n+c]) < 1-bear {
			return false
		}
		if p != c {
			for k := range n {
				a[p*n+k], a[c*n+k] = a[c*n+k], a[p*n+k]
			}
			b[p], b[c] = b[c], b[p]
		}
		for r := c + 1; r < n; r++ {
			f := a[r*n+c] / a[c*n+c]
			if f == 0 {
				continue
			}
			for k := c; k < n; k++ {
				a[r*n+k] -= float64(f * a[c*n+k])
			}
			b[r] -= float64(f * b[c])
		}
	}
	for c := n - 1; c >= 0; c-- {
		for k := c + 1; k < n; k++ {
			b[c] -= float64(a[c*n+k] * b[k])
		}
		b[c] /= a[c*n+c]
	}
	return true
}

// leaveOut reckons for every tab what happens without it, cold and under the panel's weight.
func (m *model) leaveOut(ctx context.Context, r *solved, out *Answers) error {
	if len(m.joints) == 0 {
		return nil
	}
	f, err := m.flexibility(ctx, r)
	if err != nil {
		return err
	}
	cold := r.states[0].state
	relative := make([][3]float64, len(m.joints))
	for i, j := range m.joints {
		relative[i] = j.relative(motionOf(j, cold))
	}
	sink := make([]float64, len(f.watch))
	for i, w := range f.watch {
		sink[i] = cold.W[w.node]
	}
	first := map[int]int{} // tab to the first of its bands that has joints
	for _, j := range m.joints {
		t := m.bands[j.band].tab
		if b, ok := first[t]; !ok || j.band < b {
			first[t] = j.band
		}
	}
	for i := range out.Tabs {
		if err := ctx.Err(); err != nil {
			return err
		}
		x := &out.Tabs[i]
		x.Without = m.withoutTab(f, r, relative, sink, first, x.Tab, out.States[0].Sag)
	}
	return nil
}

func (m *model) withoutTab(f *flexible, r *solved, relative [][3]float64, sink []float64, first map[int]int, id string, sag float64) Without {
	tab := -1
	for i, t := range m.p.Tabs() {
		if t.ID == id {
			tab = i
		}
	}
	var gone []int
	for i, j := range m.joints {
		if j.band == first[tab] {
			gone = append(gone, i)
		}
	}
	if m.fallsWithout(tab) {
		return Without{Falls: true}
	}
	rel, watch, falls := f.leftOut(gone, relative)
	if falls {
		return Without{Falls: true}
	}
	out := Without{Sag: sag, Reserve: highest}
	for i := range watch {
		out.Sag = math.Max(out.Sag, math.Abs(sink[i]+watch[i]))
	}
	all := m.p.Tabs()
	for i, j := range m.joints {
		b := &m.bands[j.band]
		if b.tab == tab {
			continue
		}
		if l := m.rowLoad(j, r.rows[0][j.band], moved(rel[i]), false); l.Reserve < out.Reserve {
			out.Reserve, out.Worst = l.Reserve, all[b.tab].ID
		}
	}
	return out
}

// fallsWithout tells whether a board comes loose from all that is carried when a tab is left out.
func (m *model) fallsWithout(tab int) bool {
	sets := m.connected(func(t int) bool { return t == tab })
	held := map[int]bool{}
	for _, h := range m.held {
		if p := m.finder.piece(h.Node); m.kept[p] {
			held[sets.Find(p)] = true
		}
	}
	for _, c := range m.p.Copies() {
		if t, _, ok := m.finder.nearest(m.middleOf(c)); ok && !held[sets.Find(int(m.mesh.Piece[t]))] {
			return true
		}
	}
	return false
}
