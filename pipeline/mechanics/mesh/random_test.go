package mesh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/internal/outlines"
)

// A scene is a random domain about 100 mm large.
var sceneKinds = []string{"star", "outline", "heap", "slivers", "comb", "dust"}

func scene(t testing.TB, kind int, seed uint64) Domain {
	r := rand.New(rand.NewPCG(uint64(kind), seed))
	in := func(low, high float64) float64 { return low + r.Float64()*(high-low) }
	jitter := func() float64 {
		return []float64{0, 1e-6, 1e-3, 0.009, 0.011, 0.019, 0.021, 0.03, 0.1}[r.IntN(9)] * float64(r.IntN(3)-1)
	}
	var add, less []geom.Path
	switch kind {
	case 0:
		n := 3 + r.IntN(20)
		var xy []float64
		for i := range n {
			s, c := geom.SinCos(2 * math.Pi * float64(i) / float64(n))
			l := in(3, 60)
			xy = append(xy, l*c, l*s)
		}
		add = append(add, polygon(xy...))
		for range r.IntN(4) {
			less = append(less, disc(in(-20, 20), in(-20, 20), in(0.02, 8)))
		}
	case 1:
		o := outlines.Random(seed)
		add = append(add, o.Outer)
		for _, c := range o.CutOuts {
			less = append(less, c.Reverse())
		}
	case 2:
		for k := range 5 + r.IntN(15) {
			var p geom.Path
			x, y := in(-50, 50), in(-50, 50)
			switch r.IntN(3) {
			case 0:
				p = disc(x, y, in(1, 30))
			case 1:
				p = rect(x, y, x+in(1, 50), y+in(1, 50))
			case 2:
				p = slot(x, y, x+in(0, 60), y, in(0.5, 5))
			}
			if k%3 == 2 {
				less = append(less, p)
			} else {
				add = append(add, p)
			}
		}
	case 3:
		// Things nearly on one another.
		x, y := in(-50, 0), in(-50, 0)
		w, h := in(10, 50), in(10, 50)
		for range 6 {
			add = append(add, rect(x+jitter(), y+jitter(), x+w+jitter(), y+h+jitter()))
			less = append(less, rect(x+w/3+jitter(), y+h/4+jitter(), x+w/2+jitter(), y+h/2+jitter()))
			add = append(add, disc(x+jitter(), y+jitter(), 10+jitter()))
			less = append(less, rect(x+w/2, y-1, x+w/2+math.Abs(jitter()), y+in(1, 5))) // a slit
		}
		less = append(less, rect(x+w-0.005, y+1, x+w+2, y+1.004), rect(x+w-0.2, y+2, x+w+2, y+2.05)) // notches
	case 4:
		n := 4 + r.IntN(10)
		add = append(add, rect(-40, -20, 40, 20))
		gap := in(0.005, 0.4)
		for i := range n {
			x := -35 + float64(70*float64(i))/float64(n)
			less = append(less, rect(x, -15, x+gap, 20+float64(i%2)))
		}
	case 5:
		add = append(add, rect(-20, -20, 20, 20))
		for range 100 {
			x, y := in(-3, 3), in(-3, 3)
			s := in(0.001, 0.1)
			less = append(less, rect(x, y, x+s, y+in(0.001, 0.1)))
		}
	}
	reg, err := overlay.Difference(t.Context(), overlay.Options{}, overlay.Operand{Paths: add}, overlay.Operand{Paths: less})
	require.NoError(t, err)
	d := Domain{Region: reg, Open: geom.FromMM(in(3, 8))}
	b := reg.Box()
	if b.Empty() {
		return d
	}
	any := func() geom.Point {
		return geom.Pt(b.Min.X-geom.MM+geom.Length(r.Int64N(int64(b.Width()+2*geom.MM))), b.Min.Y-geom.MM+geom.Length(r.Int64N(int64(b.Height()+2*geom.MM))))
	}
	moved := func(p geom.Point) geom.Point {
		return geom.Pt(p.X+geom.FromMM(jitter()), p.Y+geom.FromMM(jitter()))
	}
	edges := []geom.Edge{}
	for p := range d.paths() {
		edges = append(edges, p...)
	}
	for range r.IntN(8) {
		e := edges[r.IntN(len(edges))]
		l := Line{any(), any()}
		switch r.IntN(5) {
		case 0:
			l = Line{e.From, e.To}
		case 1:
			l = Line{moved(e.From), moved(e.To)}
		case 2:
			l = Line{e.At(in(0, 1)), any()}
		case 3:
			if n := len(d.Lines); n > 0 {
				o := geom.Line(d.Lines[n-1].From, d.Lines[n-1].To)
				l = Line{moved(o.At(in(0, 1))), moved(o.At(in(0, 1)))}
			}
		}
		d.Lines = append(d.Lines, l)
	}
	for range r.IntN(20) {
		e := edges[r.IntN(len(edges))]
		p := any()
		switch r.IntN(4) {
		case 0:
			p = moved(e.From)
		case 1:
			p = moved(e.At(in(0, 1)))
		case 2:
			if n := len(d.Points); n > 0 {
				p = moved(d.Points[n-1])
			}
		}
		d.Points = append(d.Points, p)
	}
	for range r.IntN(6) {
		d.Near = append(d.Near, Near{edges[r.IntN(len(edges))], geom.FromMM(in(0.3, 1.5))})
	}
	return d
}

func TestRandom(t *testing.T) {
	n := uint64(4)
	if *scenes > 0 {
		n = *scenes
	}
	for kind, name := range sceneKinds {
		for s := range n {
			s += *seed
			d := scene(t, kind, s)
			m, err := Make(t.Context(), d)
			require.NoError(t, err, "%s %d", name, s)
			if testing.Verbose() {
				least, small, edge := measure(m)
				fmt.Printf("%s %d: %d nodes, %d triangles, %d pieces, least angle %.2f, %d small, mean edge %.3f mm\n", name, s, len(m.Nodes), len(m.Triangles), m.Pieces, least, small, edge/1e6)
			}
			draw(t, fmt.Sprintf("%s%d", name, s), d, m)
			t.Run(fmt.Sprintf("%s %d", name, s), func(t *testing.T) {
				sound(t, d, m)
				follows(t, d, m)
				sized(t, d, m)
				for _, p := range thin(t, d, m) {
					t.Errorf("thin: %.2f degrees at %v %v %v", smallest(p), p[0], p[1], p[2])
				}
			})
		}
	}
}

// follows requires that edges follow the domain's lines within the region and that nodes lie on its points.
func follows(t testing.TB, d Domain, m *Mesh) {
	t.Helper()
	d.fill()
	tidy := d.Tidy
	near := 2.5 * float64(tidy)
	in := geom.NewLocator(d.Region)
	var borders []geom.Edge
	for p := range d.paths() {
		borders = append(borders, p...)
	}
	// Far from the border chords and tidying do not matter.
	where := func(p geom.Point) (inside, sure bool) {
		for _, e := range borders {
			if d, _, _ := geom.PathDistance(geom.Path{e}, geom.Path{geom.Line(p, p)}); d < 60e3+2*near {
				return false, false
			}
		}
		return in.Locate(p) == geom.Inside, true
	}
	joined := map[[2]int32]bool{}
	for _, q := range m.Triangles {
		for k := range 3 {
			joined[[2]int32{q[k], q[(k+1)%3]}], joined[[2]int32{q[(k+1)%3], q[k]}] = true, true
		}
	}
	for i, p := range d.Points {
		n := m.Points[i]
		if n >= 0 {
			require.LessOrEqual(t, p.Distance(m.Nodes[n]), float64(tidy), "point %v", p)
			continue
		}
		inside, sure := where(p)
		require.False(t, inside && sure, "point %v has no node", p)
	}
	for i, l := range d.Lines {
		nodes := m.Lines[i]
		way := l.To.Sub(l.From)
		var chain geom.Path
		for k, n := range nodes {
			p := m.Nodes[n]
			d, _, _ := geom.PathDistance(geom.Path{geom.Line(l.From, l.To)}, geom.Path{geom.Line(p, p)})
			require.LessOrEqual(t, d, near, "line %v: node %v", l, p)
			if k > 0 {
				q := m.Nodes[nodes[k-1]]
				require.GreaterOrEqual(t, float64(way.Dot(p.Sub(q))), -float64(tidy)*way.Norm(), "line %v: order at %v", l, p)
				require.NotEqual(t, nodes[k-1], n)
				if joined[[2]int32{nodes[k-1], n}] {
					chain = append(chain, geom.Line(q, p))
				}
			}
		}
		if way.Norm() < 2*float64(tidy) {
			continue
		}
		const samples = 50
		for k := range samples {
			p := geom.Line(l.From, l.To).At((float64(k) + 0.5) / samples)
			if inside, sure := where(p); inside && sure {
				d, _, _ := geom.PathDistance(chain, geom.Path{geom.Line(p, p)})
				require.LessOrEqual(t, d, near, "line %v is not followed at %v", l, p)
			}
		}
	}
}

// sized requires that no triangle is larger than the sizes ask for: its circle is no larger than that of an equilateral triangle
// with edges 1.3 times as long, and a little for Near arcs that chords stand for.
func sized(t testing.TB, d Domain, m *Mesh) {
	t.Helper()
	d.fill()
	size := func(x, y float64) float64 {
		h := float64(d.Open)
		p := geom.Pt(geom.Round(x), geom.Round(y))
		for _, n := range d.Near {
			away, _, _ := geom.PathDistance(geom.Path{n.Edge}, geom.Path{geom.Line(p, p)})
			h = min(h, float64(n.Size)+d.Grading*away)
		}
		return h
	}
	for _, q := range m.Triangles {
		a, b, c := m.Nodes[q[0]], m.Nodes[q[1]], m.Nodes[q[2]]
		r := a.Distance(b) / 2 * b.Distance(c) * c.Distance(a) / float64(b.Sub(a).Cross(c.Sub(a)))
		h := size(float64(a.X+b.X+c.X)/3, float64(a.Y+b.Y+c.Y)/3)
		if r <= 0.75*h*1.05 {
			continue
		}
		require.LessOrEqual(t, r, 0.75*h*1.05, "triangle %v %v %v, size %.0f", a, b, c, h)
	}
}
