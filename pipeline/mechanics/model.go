package mechanics

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
	"panelwright/pipeline/mechanics/mesh"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// scrap is how small a piece may be, in nm², that hangs on to nothing and is left out: what bands leave of the cusps
// beside a curved edge.
const scrap = 1.5e12

// model is a panel made ready for the plate.
type model struct {
	p        panel.Panel
	support  panel.Support
	stacks   *stacks
	strips   []strip
	bands    []band
	mesh     *mesh.Mesh
	squares  []int32 // of each triangle
	strip    [][]int32
	joints   []joint
	held     []plate.Held
	masses   []plate.Load
	finder   *finder
	kept     []bool // pieces of the mesh that count
	problems []Problem
	pieces   []int // see copyPieces
}

// joint is what bridges a group of a band.
type joint struct {
	band, group int
	a, b        []plate.Share
	// what the ligaments bear follows from the motion of the sides' middles
	middle [2][2]float64 // mm
}

// build makes the model of a panel. What keeps it from being reckoned is among its problems.
func build(ctx context.Context, p panel.Panel, s panel.Support, workers int) (*model, error) {
	each := func(n int, work func(i int) error) error {
		return pipeline.Each(ctx, workers, n, work)
	}
	m := &model{p: p, support: s}
	if p.Thickness() <= 0 {
		m.problems = append(m.problems, Problem{Kind: NoLaminate, Feature: "panel",
			Message: "the panel has no board whose thickness is known: there is nothing to reckon"})
		return m, nil
	}
	material, err := p.Material(ctx, workers)
	if err != nil {
		return nil, err
	}
	m.bands = bandsOf(p, s.Laminate)
	if material, err = without(ctx, p, material, m.bands, workers); err != nil {
		return nil, err
	}
	if m.strips, m.problems, err = stripsOf(ctx, p, s); err != nil || len(m.problems) > 0 {
		return m, err
	}
	d := mesh.Domain{Region: material, Open: s.Open}
	for i := range m.bands {
		for side := range 2 {
			e := m.bands[i].side(side)
			d.Lines = append(d.Lines, mesh.Line{From: e.From, To: e.To})
			d.Near = append(d.Near, mesh.Near{Edge: e, Size: s.Fine})
		}
	}
	for _, x := range m.strips {
		for _, e := range x.sides() {
			d.Lines = append(d.Lines, mesh.Line{From: e.From, To: e.To})
			d.Near = append(d.Near, mesh.Near{Edge: e, Size: x.size()})
		}
	}
	if s.Carried == panel.ByOneRail {
		for _, side := range s.Sides {
			d.Lines = append(d.Lines, gripLine(p.Outline().Box(), side, s.Grip))
		}
	}
	if s.Carried == panel.ByPins {
		d.Points = slices.Clone(s.Pins)
	}
	if m.mesh, err = mesh.Make(ctx, d); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		m.problems = append(m.problems, Problem{Kind: NotReckoned, Feature: "panel", Message: fmt.Sprintf(
			"the panel cannot be cut into triangles of open_mesh %v and fine_mesh %v, as stage support says: %v", s.Open, s.Fine, err)})
		return m, nil
	}
	if len(m.mesh.Triangles) == 0 {
		m.problems = append(m.problems, Problem{Kind: NoLaminate, Feature: "panel", Message: "nothing is left of the panel: there is nothing to reckon"})
		return m, nil
	}
	if m.stacks, err = stacksOf(ctx, p, s, each); err != nil {
		return nil, err
	}
	m.locate()
	m.join()
	m.keep()
	m.hold()
	m.load()
	m.check()
	return m, ctx.Err()
}

// locate finds the square and the strips of every triangle.
func (m *model) locate() {
	m.squares = make([]int32, len(m.mesh.Triangles))
	m.strip = make([][]int32, len(m.mesh.Triangles))
	for i, t := range m.mesh.Triangles {
		c := m.middle(t)
		m.squares[i] = int32(m.stacks.square(c))
	}
	for k := range m.strips {
		for i, t := range m.mesh.Triangles {
			if m.strips[k].holds(m.middle(t)) {
				m.strip[i] = append(m.strip[i], int32(k))
			}
		}
	}
	m.finder = newFinder(m.mesh)
}

func (m *model) middle(t [3]int32) geom.Point {
	a, b, c := m.mesh.Nodes[t[0]], m.mesh.Nodes[t[1]], m.mesh.Nodes[t[2]]
	return geom.Pt((a.X+b.X+c.X)/3, (a.Y+b.Y+c.Y)/3)
}

// join bridges the bands.
func (m *model) join() {
	for i := range m.bands {
		b := &m.bands[i]
		for g, x := range b.groups {
			j := joint{band: i, group: g}
			var ok [2]bool
			j.a, j.middle[0], ok[0] = m.shares(b, m.mesh.Lines[2*i], x)
			j.b, j.middle[1], ok[1] = m.shares(b, m.mesh.Lines[2*i+1], x)
			if ok[0] && ok[1] {
				m.joints = append(m.joints, j)
			}
		}
	}
}

// shares gives the weights of nodes in the mean over a group's stretch of a band's side, and its middle in mm.
func (m *model) shares(b *band, nodes []int32, g group) (out []plate.Share, middle [2]float64, ok bool) {
	place := func(n int32) float64 {
		q := m.mesh.Nodes[n].Sub(b.from)
		return float64(float64(q.X)*b.along.x) + float64(float64(q.Y)*b.along.y)
	}
	weight := map[int32]float64{}
	var order []int32
	add := func(n int32, w float64) {
		if _, ok := weight[n]; !ok {
			order = append(order, n)
		}
		weight[n] += w
	}
	total := 0.0
	for i := 1; i < len(nodes); i++ {
		n0, n1 := nodes[i-1], nodes[i]
		if !m.finder.bordering(n0, n1) {
			continue
		}
		s0, s1 := place(n0), place(n1)
		from, to := math.Max(s0, g.from), math.Min(s1, g.to)
		if to <= from {
			continue
		}
		// The mean of a straight run from s0 to s1 over from to to.
		f := (float64((from+to)/2) - s0) / (s1 - s0)
		add(n0, float64((to-from)*(1-f)))
		add(n1, float64((to-from)*f))
		total += to - from
	}
	if total < 0.05*(g.to-g.from) || total <= 0 {
		return nil, middle, false
	}
	for _, n := range order {
		w := weight[n] / total
		out = append(out, plate.Share{Node: n, Weight: w})
		middle[0] += float64(w * m.mesh.Nodes[n].X.MM())
		middle[1] += float64(w * m.mesh.Nodes[n].Y.MM())
	}
	return out, middle, true
}

// load puts the parts' masses where they stand.
func (m *model) load() {
	for _, c := range m.p.Copies() {
		for _, x := range c.Board.Parts {
			if x.Body.Mass <= 0 || c.Board.PartsElsewhere {
				continue
			}
			t, at, ok := m.finder.nearest(c.Place.Apply(x.At))
			if !ok { // over a cut-out, or far off: its board bears it all the same
				t, at, ok = m.on(c)
			}
			if ok {
				m.masses = append(m.masses, plate.Load{Triangle: t, X: at.X.MM(), Y: at.Y.MM(), Value: float64(x.Body.Mass) * 1e-12}) // micrograms to tonnes
			}
		}
	}
}

// keep leaves scraps out: pieces too small to be anything that hang on to nothing.
func (m *model) keep() {
	area := make([]float64, m.mesh.Pieces)
	for i, t := range m.mesh.Triangles {
		a, b, c := m.mesh.Nodes[t[0]], m.mesh.Nodes[t[1]], m.mesh.Nodes[t[2]]
		u, v := b.Sub(a), c.Sub(a)
		area[m.mesh.Piece[i]] += float64((float64(float64(u.X)*float64(v.Y)) - float64(float64(u.Y)*float64(v.X))) / 2)
	}
	joined := make([]bool, m.mesh.Pieces)
	for _, j := range m.joints {
		joined[m.finder.piece(j.a[0].Node)] = true
		joined[m.finder.piece(j.b[0].Node)] = true
	}
	m.kept = make([]bool, m.mesh.Pieces)
	for i := range m.kept {
		m.kept[i] = joined[i] || area[i] > scrap
	}
}

// check looks for what keeps the panel from being reckoned: pieces that hang on to nothing, and supports that leave
// it free to fall or to tip.
func (m *model) check() {
	sets := m.connected(nil)
	type support struct {
		points  []geom.Point
		clamped bool
	}
	held := map[int]*support{}
	for _, h := range m.held {
		if !m.kept[m.finder.piece(h.Node)] {
			continue
		}
		k := sets.Find(m.finder.piece(h.Node))
		if held[k] == nil {
			held[k] = &support{}
		}
		if h.Deflection {
			held[k].points = append(held[k].points, m.mesh.Nodes[h.Node])
		}
		held[k].clamped = held[k].clamped || h.SlopeX && h.SlopeY
	}
	told := map[int]bool{}
	for i, t := range m.mesh.Triangles {
		piece := int(m.mesh.Piece[i])
		k := sets.Find(piece)
		if told[k] || !m.kept[piece] {
			continue
		}
		told[k] = true
		s := held[k]
		switch at := m.middle(t); {
		case s == nil && len(held) > 0:
			what, where := m.whatLies(sets, k, at)
			m.problems = append(m.problems, Problem{Kind: LoosePiece, At: where, Feature: what,
				Message: fmt.Sprintf("%s hangs on to nothing that is carried: tabs or other supports must hold it", what)})
		case s == nil || len(m.components(sets)) == 1 && !s.clamped && !holdsLevel(s.points):
			m.problems = append(m.problems, Problem{Kind: NotCarried, At: at, Feature: "panel", Message: m.notCarried()})
		case !s.clamped && !holdsLevel(s.points):
			what, where := m.whatLies(sets, k, at)
			m.problems = append(m.problems, Problem{Kind: NotCarried, At: where, Feature: what,
				Message: fmt.Sprintf("%s is carried along one line only and turns about it: tabs must hold it to what is carried elsewhere", what)})
		}
	}
	if len(held) == 0 {
		m.problems = m.problems[:1]
	}
	m.problems = m.gathered()
}

// gathered tells of all copies that fare alike at once. Where boards are not held the waste that is not either says
// nothing more.
func (m *model) gathered() []Problem {
	var out []Problem
	for _, x := range m.problems {
		if !slices.ContainsFunc(m.p.Copies(), func(c panel.Copy) bool { return c.ID == x.Feature }) {
			continue
		}
		if i := slices.IndexFunc(out, func(y Problem) bool { return y.Kind == x.Kind }); i >= 0 {
			out[i].Copies = append(out[i].Copies, x.Feature)
			continue
		}
		x.Copies = []string{x.Feature}
		out = append(out, x)
	}
	if out == nil {
		return m.problems
	}
	for i, x := range out {
		out[i].Message = x.Kind.sentence(x.Copies)
	}
	return out
}

// sentence says what is wrong with boards.
func (k ProblemKind) sentence(copies []string) string {
	who, hang, turn := copies[0], "hangs on to nothing", "is carried along one line only and turns"
	if n := len(copies); n > 1 {
		who, hang, turn = strings.Join(copies[:n-1], ", ")+" and "+copies[n-1], "hang on to nothing", "are carried along one line only and turn"
		if n > 6 {
			who = fmt.Sprintf("%s and %d other copies", strings.Join(copies[:5], ", "), n-5)
		}
	}
	if k == LoosePiece {
		return who + " " + hang + " that is carried: tabs or other supports must hold every board"
	}
	return who + " " + turn + " about it: tabs must hold every board to what is carried elsewhere"
}

// components lists the sets of pieces that hang together.
func (m *model) components(sets *disjoint.Sets) []int {
	var out []int
	for p, kept := range m.kept {
		if k := sets.Find(p); kept && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// connected joins the pieces that joints bridge, but for those of one tab.
func (m *model) connected(but func(tab int) bool) *disjoint.Sets {
	sets := disjoint.New(m.mesh.Pieces)
	for _, j := range m.joints {
		if but != nil && but(m.bands[j.band].tab) {
			continue
		}
		sets.Join(m.finder.piece(j.a[0].Node), m.finder.piece(j.b[0].Node))
	}
	return sets
}

// whatLies names what hangs together, and where: by its first copy, else by its rail.
func (m *model) whatLies(sets *disjoint.Sets, set int, at geom.Point) (string, geom.Point) {
	for i, c := range m.p.Copies() {
		if p := m.copyPieces()[i]; p >= 0 && sets.Find(p) == set {
			return c.ID, m.middleOf(c)
		}
	}
	for _, r := range m.p.Rails() {
		if t, _, ok := m.finder.nearest(r.Box.Center()); ok && sets.Find(int(m.mesh.Piece[t])) == set {
			return r.ID, r.Box.Center()
		}
	}
	return "a piece of waste", at
}

// holdsLevel tells whether points hold a plate against falling and tipping: three that do not lie in a line.
func holdsLevel(points []geom.Point) bool {
	if len(points) < 3 {
		return false
	}
	a, far := points[0], points[0]
	for _, q := range points {
		if q.Distance(a) > far.Distance(a) {
			far = q
		}
	}
	d := far.Sub(a)
	n := d.Norm()
	if n < float64(geom.MM) {
		return false
	}
	for _, q := range points {
		v := q.Sub(a)
		if off := float64(float64(d.X)*float64(v.Y)) - float64(float64(d.Y)*float64(v.X)); math.Abs(off)/n > float64(geom.MM) {
			return true
		}
	}
	return false
}

// plate gives the finite elements.
func (m *model) plate(rows [][][6][6]float64, hot bool) *plate.Model {
	out := &plate.Model{Held: m.held, Masses: m.masses}
	for _, q := range m.mesh.Nodes {
		out.X, out.Y = append(out.X, q.X.MM()), append(out.Y, q.Y.MM())
	}
	shear := m.stacks.shear(hot)
	for i, t := range m.mesh.Triangles {
		d, mass := m.stacks.at(int(m.squares[i]), hot)
		for _, k := range m.strip[i] {
			d = m.strips[k].weaken(d, hot)
		}
		out.Triangles = append(out.Triangles, plate.Triangle{Nodes: t, D: d, Mass: mass, Shear: shear})
	}
	for _, j := range m.joints {
		out.Joints = append(out.Joints, plate.Joint{A: j.a, B: j.b, Stiffness: m.stiffness(j, rows[j.band])})
	}
	return out
}

// reach is how a ligament's ends move as the middles of a joint's sides do: (w, ∂w/∂x, ∂w/∂y) at both ends from
// those at both middles.
func (m *model) reach(j joint, ligament int) (t [6][6]float64) {
	b := &m.bands[j.band]
	for side := range 2 {
		h := -b.half
		if side == 1 {
			h = b.half
		}
		s := b.ligaments.At[ligament] * float64(geom.MM)
		x := (float64(b.from.X) + float64(s*b.along.x) + float64(h*b.across.x)) / float64(geom.MM)
		y := (float64(b.from.Y) + float64(s*b.along.y) + float64(h*b.across.y)) / float64(geom.MM)
		k := 3 * side
		for i := range 3 {
			t[k+i][k+i] = 1
		}
		t[k][k+1], t[k][k+2] = x-j.middle[side][0], y-j.middle[side][1]
	}
	return t
}

// stiffness adds up the ligaments of a joint.
func (m *model) stiffness(j joint, ligaments [][6][6]float64) (sum [6][6]float64) {
	g := m.bands[j.band].groups[j.group]
	for n := g.first; n <= g.last; n++ {
		t := m.reach(j, n)
		k := ligaments[n]
		var kt [6][6]float64
		for i := range 6 {
			for c := range 6 {
				for l := range 6 {
					kt[i][c] += float64(k[i][l] * t[l][c])
				}
			}
		}
		for i := range 6 {
			for c := range 6 {
				for l := range 6 {
					sum[i][c] += float64(t[l][i] * kt[l][c])
				}
			}
		}
	}
	return sum
}
