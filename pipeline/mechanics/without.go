package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/sparse"
)

// Leaving a tab out takes the stiffness of its joints away: K' = K − G S Gᵀ, where G are the columns of the joints'
// relative motions and S their stiffness. By the Sherman–Morrison–Woodbury formula K'⁻¹ f = u + K⁻¹G (S⁻¹ − C)⁻¹ Gᵀu with
// C = GᵀK⁻¹G: with C known for all joints at once each tab costs next to nothing, and it is exact.

// regular is how small a pivot may be beside 1 before what is left counts as not holding: the panel then turns about
// it freely.
const regular = 1e-7

// flexible is what is known of all joints together.
type flexible struct {
	c     []float64 // Gram matrix of the joints' relative motions, three each, then of the watched places, row by row
	n     int       // its size
	s     [][3][3]float64
	watch []watched
}

// watched is a place whose deflection is followed.
type watched struct {
	node int32
	copy string
}

// relativeColumn is one of a joint's relative motions as a column over all unknowns, three a node.
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
	f := &flexible{watch: m.watched()}
	var columns []sparse.Column
	for i, j := range m.joints {
		for k := range 3 {
			columns = append(columns, j.relativeColumn(k))
		}
		f.s = append(f.s, r.against(i))
	}
	for _, w := range f.watch {
		columns = append(columns, sparse.Column{At: []int32{3 * w.node}, Val: []float64{1}})
	}
	var err error
	f.n = len(columns)
	f.c, err = r.cold.Gram(ctx, columns)
	return f, err
}

// against is the stiffness of a joint against its relative motion.
func (r *solved) against(joint int) (s [3][3]float64) {
	for a := range 3 {
		for b := range 3 {
			s[a][b] = r.models[0].Joints[joint].Stiffness[3+a][3+b]
		}
	}
	return s
}

// manyCopies is from how many copies on only their middles are watched.
const manyCopies = 60

// watched chooses places on every copy: its middle and its extreme corners.
func (m *model) watched() []watched {
	var out []watched
	seen := map[int32]bool{}
	copies := m.p.Copies()
	for _, c := range copies {
		b := c.Box()
		for i, x := range [...][2]geom.Length{{1, 1}, {0, 0}, {2, 0}, {2, 2}, {0, 2}} {
			if len(copies) > manyCopies && i > 0 {
				break
			}
			q := b.Min.Add(geom.Pt(b.Width()/2*x[0], b.Height()/2*x[1]))
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

// index is where the i-th of the relative motions of joints lies in C.
func index(joints []int, i int) int { return 3*joints[i/3] + i%3 }

// by is how much a row of C moves when y is released at joints.
func (f *flexible) by(row int, joints []int, y []float64) float64 {
	v := 0.0
	for i := range y {
		v += float64(f.c[row*f.n+index(joints, i)] * y[i])
	}
	return v
}

// remaining is 1 − S C over joints.
func (f *flexible) remaining(joints []int) []float64 {
	n := 3 * len(joints)
	a := make([]float64, n*n)
	for i := range n {
		s := f.s[joints[i/3]][i%3]
		for k := range n {
			v := 0.0
			if i == k {
				v = 1
			}
			for l := range 3 {
				v -= float64(s[l] * f.c[(3*joints[i/3]+l)*f.n+index(joints, k)])
			}
			a[i*n+k] = v
		}
	}
	return a
}

// trialLoad is one load: how joints and watched places move under it.
type trialLoad struct {
	relative [][3]float64
	watch    []float64
}

// release gives for every load the forces y = (S⁻¹ − C)⁻¹ r at joints that are taken away; ok is false where what is
// left does not hold.
func (f *flexible) release(joints []int, loads []trialLoad) (y [][]float64, ok bool) {
	n := 3 * len(joints)
	for _, l := range loads {
		r := make([]float64, n)
		for i := range n {
			for k := range 3 {
				r[i] += float64(f.s[joints[i/3]][i%3][k] * l.relative[joints[i/3]][k])
			}
		}
		if !solveDense(f.remaining(joints), r, n) {
			return nil, false
		}
		y = append(y, r)
	}
	return y, true
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
		if !(math.Abs(a[p*n+c]) >= regular) {
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

// firstBands gives for each tab the first of its bands that has joints: a tab is left out along it.
func (m *model) firstBands() map[int]int {
	first := map[int]int{}
	for _, j := range m.joints {
		t := m.bands[j.band].tab
		if b, ok := first[t]; !ok || j.band < b {
			first[t] = j.band
		}
	}
	return first
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
	l := trialLoad{}
	for _, j := range m.joints {
		l.relative = append(l.relative, j.relative(motionOf(j, cold)))
	}
	for _, w := range f.watch {
		l.watch = append(l.watch, cold.W[w.node])
	}
	number := map[string]int{}
	all := m.p.Tabs()
	for i, t := range all {
		number[t.ID] = i
	}
	first := m.firstBands()
	joints := make([][]int, len(all))
	for i, j := range m.joints {
		if b := &m.bands[j.band]; first[b.tab] == j.band {
			joints[b.tab] = append(joints[b.tab], i)
		}
	}
	stress := make([][][3]float64, len(m.joints))
	strength := make([]float64, len(m.joints))
	for i, j := range m.joints {
		stress[i] = m.stressRows(j, r.rows[0][j.band])
		strength[i] = m.bands[j.band].strength(m.stacks.laminate, false)
	}
	known := map[int]Without{}
	for i := range out.Tabs {
		if err := ctx.Err(); err != nil {
			return err
		}
		t := number[out.Tabs[i].Tab]
		w, ok := known[t]
		if !ok {
			w = m.withoutTab(f, l, t, joints[t], stress, strength, out.States[0].Sag)
			known[t] = w
		}
		out.Tabs[i].Without = w
	}
	return nil
}

func (m *model) withoutTab(f *flexible, l trialLoad, tab int, joints []int, stress [][][3]float64, strength []float64, sag float64) Without {
	if m.fallsWithout(func(t int) bool { return t == tab }) {
		return Without{Falls: true}
	}
	y, ok := f.release(joints, []trialLoad{l})
	if !ok {
		return Without{Falls: true}
	}
	out := Without{Sag: sag, Reserve: highest}
	for w := range l.watch {
		out.Sag = math.Max(out.Sag, math.Abs(l.watch[w]+f.by(3*len(m.joints)+w, joints, y[0])))
	}
	worst := -1
	for i, j := range m.joints {
		if m.bands[j.band].tab == tab {
			continue
		}
		rel := l.relative[i]
		for k := range 3 {
			rel[k] += f.by(3*i+k, joints, y[0])
		}
		most := 0.0
		for _, s := range stress[i] {
			most = math.Max(most, math.Abs(float64(s[0]*rel[0])+float64(s[1]*rel[1])+float64(s[2]*rel[2])))
		}
		if most > 0 && strength[i]/most < out.Reserve {
			out.Reserve, worst = strength[i]/most, m.bands[j.band].tab
		}
	}
	if worst >= 0 {
		out.Worst = m.p.Tabs()[worst].ID
	}
	return out
}

// fallsWithout tells whether a board comes loose from all that is carried when tabs are left out.
func (m *model) fallsWithout(gone func(tab int) bool) bool {
	sets := m.connected(gone)
	held := map[int]bool{}
	for _, h := range m.held {
		if p := m.finder.piece(h.Node); m.kept[p] {
			held[sets.Find(p)] = true
		}
	}
	for _, p := range m.copyPieces() {
		if p >= 0 && !held[sets.Find(p)] {
			return true
		}
	}
	return false
}

// copyPieces gives the piece of the mesh that each copy is, -1 where none is found.
func (m *model) copyPieces() []int {
	if m.pieces == nil {
		for _, c := range m.p.Copies() {
			p := -1
			if t, _, ok := m.on(c); ok {
				p = int(m.mesh.Piece[t])
			}
			m.pieces = append(m.pieces, p)
		}
	}
	return m.pieces
}
