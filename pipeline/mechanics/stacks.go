package mechanics

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/density"
)

// stacks knows what the panel is made of at every place: the laminate, and the copper of each layer by squares.
type stacks struct {
	laminate  panel.Laminate
	thickness float64 // mm
	grid      *density.Grid
	foils     []float64 // mm, of each layer of grid
	bending   [2]map[int]plate.Bending
	mass      map[int]float64
}

// stacksOf counts the copper.
func stacksOf(ctx context.Context, p panel.Panel, s panel.Support, each func(n int, work func(i int) error) error) (*stacks, error) {
	out := &stacks{laminate: s.Laminate, thickness: p.Thickness().MM(),
		bending: [2]map[int]plate.Bending{{}, {}}, mass: map[int]float64{}}
	var layers []panel.Function
	var board *panel.Board
	for _, c := range p.Copies() {
		board = c.Board
		break
	}
	for _, f := range p.Functions() {
		if f.Kind != panel.Copper {
			continue
		}
		foil := s.Foil.Value
		if i := f.Index; board != nil && i >= 1 && i <= len(board.Foils) {
			foil = board.Foils[i-1].MM()
		}
		f.Type = ""
		layers, out.foils = append(layers, f), append(out.foils, foil)
	}
	var err error
	out.grid, err = density.Of(ctx, p, layers, density.Square, each)
	return out, err
}

// square is the one that q lies in.
func (s *stacks) square(q geom.Point) int {
	g := s.grid
	x := min(max(int((q.X-g.Origin.X)/g.Square), 0), g.Columns-1)
	y := min(max(int((q.Y-g.Origin.Y)/g.Square), 0), g.Rows-1)
	return y*g.Columns + x
}

func (s *stacks) stack(square int) laminate.Stack {
	out := laminate.Stack{Thickness: s.thickness}
	for i, t := range s.foils {
		share, _ := s.grid.Share(i, square)
		out.Copper = append(out.Copper, laminate.Foil{Thick: t, Share: share})
	}
	return out
}

// at gives stiffness and mass per area in the square.
func (s *stacks) at(square int, hot bool) (plate.Bending, float64) {
	k := 0
	if hot {
		k = 1
	}
	d, ok := s.bending[k][square]
	if !ok {
		d = laminate.Bending(s.laminate, s.stack(square), hot)
		s.bending[k][square] = d
		s.mass[square] = laminate.Mass(s.laminate, s.stack(square))
	}
	return d, s.mass[square]
}

// shearOf over shearIn is how much of a plate's section bears transverse shear (E. Reissner, J. Appl. Mech. 12, 1945): of one that is
// alike all through, since copper is not counted for it.
const shearOf, shearIn = 5, 6

// shear is the plate's stiffness against transverse shear, in N/mm: the shear factor times G t, of the laminate alone, alike in
// all directions.
func (s *stacks) shear(hot bool) float64 {
	g := 1000 * s.laminate.ShearThrough.Value
	if hot {
		g *= s.laminate.HotElastic.Value
	}
	return shearOf * g * s.thickness / shearIn
}
