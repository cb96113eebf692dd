package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/density"
)

// sections are the panel's laminates: bare laminate first, then laminate whose copper is all etched away, then one for
// each square that copper is counted by.
type sections struct {
	grid *density.Grid
	all  []orthotropic
}

// The first of the laminates.
const (
	bare = iota
	etched
	squares
)

// sectionsOf counts copper as the project's mechanics do, and makes of each square's bending stiffness and mass the
// homogeneous material that has them.
func sectionsOf(t testing.TB, p panel.Panel) *sections {
	t.Helper()
	s, l := &sections{}, p.Support().Laminate
	var layers []panel.Function
	for _, f := range p.Functions() {
		if f.Kind == panel.Copper {
			f.Type = ""
			layers = append(layers, f)
		}
	}
	var err error
	s.grid, err = density.Of(t.Context(), p, layers, density.Square, func(n int, work func(int) error) error {
		for i := range n {
			if err := work(i); err != nil {
				return err
			}
		}
		return nil
	})
	require.NoError(t, err)
	add := func(x laminate.Stack) {
		s.all = append(s.all, like(l, laminate.Bending(l, x, false), x.Thickness, laminate.Mass(l, x)))
	}
	stack := laminate.Of(p.Copies()[0].Board, l)
	require.Len(t, stack.Copper, len(layers))
	add(laminate.Stack{Thickness: stack.Thickness})
	add(stack)
	for square := range s.grid.Columns * s.grid.Rows {
		for i := range layers {
			stack.Copper[i].Share, _ = s.grid.Share(i, square)
		}
		add(stack)
	}
	return s
}

// at is which of the laminates lies at a place in mm.
func (s *sections) at(x, y float64) int32 {
	cell := func(v float64, origin geom.Length, count int) int {
		return min(max(int(math.Floor((v-origin.MM())/s.grid.Square.MM())), 0), count-1)
	}
	return int32(squares + cell(y, s.grid.Origin.Y, s.grid.Rows)*s.grid.Columns + cell(x, s.grid.Origin.X, s.grid.Columns))
}

// like is the homogeneous material of which a plate of that thickness has that bending stiffness and mass.
func like(l panel.Laminate, d plate.Bending, thickness, mass float64) orthotropic {
	cube := thickness * thickness * thickness / 12
	determinant := d[0][0]*d[1][1] - d[0][1]*d[1][0]
	return orthotropic{
		ex: determinant / d[1][1] / cube, ey: determinant / d[0][0] / cube, ez: 1000 * l.Through.Value,
		xy: d[0][1] / d[1][1], xz: l.PoissonThrough.Value, yz: l.PoissonThrough.Value,
		gxy: d[2][2] / cube, gxz: 1000 * l.ShearThrough.Value, gyz: 1000 * l.ShearThrough.Value,
		density: mass / thickness,
	}
}

// carry holds the middle plane's nodes on the edges that lie on the conveyor.
func (j *job) carry(t testing.TB, p panel.Panel) {
	t.Helper()
	require.Equal(t, panel.ByTwoRails, p.Support().Carried)
	box := p.Outline().Box()
	for _, side := range p.Support().Sides {
		before := len(j.held)
		j.hold(func(q [3]float64) bool {
			const near = 0.001
			if q[2] != 0 {
				return false
			}
			switch side {
			case panel.Lower:
				return q[1] < box.Min.Y.MM()+near
			case panel.Upper:
				return q[1] > box.Max.Y.MM()-near
			case panel.Left:
				return q[0] < box.Min.X.MM()+near
			}
			return q[0] > box.Max.X.MM()-near
		}, 3)
		require.Greater(t, len(j.held), before+2, "the panel lies on its edge at the %s", side)
	}
}

// place is a point of the panel in mm.
func place(p geom.Point) [2]float64 { return [2]float64{p.X.MM(), p.Y.MM()} }
