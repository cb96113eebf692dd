package verify

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/mesh"
	"panelwright/pipeline/mechanics/plate"
)

// side is the short side of the plates in mm, and open how long the edges of triangles are: the default of panels in the open.
const (
	short = 200.0
	open  = 4 * geom.MM
)

// What the plates are made of; nothing but the ratio of contraction is left of it in figures without units.
const (
	elastic   = 24000.0 // MPa
	thickness = 1.6     // mm
	mass      = 3.04e-9 // t/mm²: 1.6 mm of 1900 kg/m³
	gravity   = 9806.65 // mm/s²
	pressure  = mass * gravity
	yielding  = 5.0 / 6 * 3500 * thickness // N/mm: plates yield to shear as boards are taken to
)

// sheet is a region of straight sides cut into triangles, and the nodes that are asked for.
type sheet struct {
	x, y      []float64
	triangles [][3]int32
	sides     [][]int32 // the nodes along each side
	marks     []int32   // the nodes of the marked places
}

// Marked places of a rectangle: the middle, and the middles of its sides, in the order of its sides: below, right, above, left.
const (
	middle = iota
	middleBelow
	middleRight
	middleAbove
	middleLeft
)

// sheets remembers rectangles, cut with edges of a length in the open, and with nodes where there need be none, so that one is cut
// in several ways.
type sheets struct {
	open  geom.Length
	moved []geom.Point
	made  map[float64]*sheet
}

// rectangle is one from (0, 0) with sides of 200 mm along x and ratio times as much along y.
func (s *sheets) rectangle(ctx context.Context, ratio float64) (*sheet, error) {
	if got := s.made[ratio]; got != nil {
		return got, nil
	}
	a, b := geom.FromMM(short), geom.FromMM(short*ratio)
	marks := append([]geom.Point{{X: a / 2, Y: b / 2}, {X: a / 2}, {X: a, Y: b / 2}, {X: a / 2, Y: b}, {Y: b / 2}}, s.moved...)
	got, err := cut(ctx, s.open, []geom.Point{{}, {X: a}, {X: a, Y: b}, {Y: b}}, marks)
	if err != nil {
		return nil, err
	}
	if s.made == nil {
		s.made = map[float64]*sheet{}
	}
	s.made[ratio] = got
	return got, nil
}

// cut cuts what has the given corners, counter-clockwise, with a node at each mark.
func cut(ctx context.Context, open geom.Length, corners, marks []geom.Point) (*sheet, error) {
	d := mesh.Domain{Points: marks, Open: open}
	var border geom.Path
	for i, c := range corners {
		next := corners[(i+1)%len(corners)]
		border = append(border, geom.Line(c, next))
		d.Lines = append(d.Lines, mesh.Line{From: c, To: next})
	}
	d.Region = geom.Region{{Outer: border}}
	m, err := mesh.Make(ctx, d)
	if err != nil {
		return nil, err
	}
	s := &sheet{triangles: m.Triangles, sides: m.Lines, marks: m.Points}
	for _, p := range m.Nodes {
		s.x, s.y = append(s.x, p.X.MM()), append(s.y, p.Y.MM())
	}
	return s, nil
}

// model makes a plate of a sheet.
func (s *sheet) model(d plate.Bending) *plate.Model {
	m := &plate.Model{X: s.x, Y: s.y}
	for _, t := range s.triangles {
		m.Triangles = append(m.Triangles, plate.Triangle{Nodes: t, D: d, Mass: mass, Shear: yielding})
	}
	return m
}

// holding is how a side is held.
type holding uint8

const (
	free    holding = iota
	carried         // cannot sink, and so cannot tip along the side either where that runs along an axis; free to turn
	fast            // can neither sink nor turn
)

// hold holds a sheet's sides, each in its way.
func (s *sheet) hold(m *plate.Model, how ...holding) {
	for i, h := range how {
		nodes := s.sides[i]
		a, b := nodes[0], nodes[len(nodes)-1]
		for _, n := range nodes {
			switch h {
			case carried:
				m.Held = append(m.Held, plate.Held{Node: n, Deflection: true, SlopeX: s.y[a] == s.y[b], SlopeY: s.x[a] == s.x[b]})
			case fast:
				m.Held = append(m.Held, plate.Held{Node: n, Deflection: true, SlopeX: true, SlopeY: true})
			}
		}
	}
}

// sag is a plate under its own weight.
type sag struct {
	s       *sheet
	system  *plate.System
	state   plate.State
	moments [][3]float64 // at the nodes
	w, m    float64      // what deflections and moments are divided by: qa⁴/D and qa²
}

// load makes a model ready and loads it by its weight; a and d are what figures are made free of units by.
func (s *sheet) load(ctx context.Context, m *plate.Model, a, d float64) (*sag, error) {
	system, err := plate.New(ctx, m, 1)
	if err != nil {
		return nil, err
	}
	b, err := system.Weight(gravity, nil)
	if err != nil {
		return nil, err
	}
	x := system.Solve(b)[0]
	return &sag{s, system, x, system.RecoveredMoments(x), pressure * a * a * a * a / d, pressure * a * a}, nil
}

func (g *sag) deflection(node int32) float64 { return g.state.W[node] / g.w }

// moment k is Mx, My, Mxy.
func (g *sag) moment(node int32, k int) float64 { return g.moments[node][k] / g.m }

// lambda is frequencies in Hz as ω a² √(μ/D).
func lambda(hertz, a, d float64) float64 { return 2 * math.Pi * hertz * a * a * math.Sqrt(mass/d) }
