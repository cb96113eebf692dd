// Package density tells how much of a panel's laminate the copper of a layer covers, square by square of a grid.
//
// It counts samples. Each board's layer is drawn once, in the board's own coordinates, on a grid of samples 0.1 mm
// apart (object by object, in order, clear ones erasing), and counted where each copy has it; what the panel adds is
// drawn likewise. A sample is copper when its point is. Copper beyond a board's edge does not count, for it is cut
// away or lies on a neighbour's share. Laminate is what stays of the panel when it has been routed, counted by
// samples 0.2 mm apart; holes are not taken from it. Everything is reckoned in whole numbers but for where a row of
// samples enters and leaves an object, which uses no more than sums, products, quotients and square roots: it is the
// same on every processor.
//
// How far a count may be off: only samples within half a step of an object's edge are in doubt, and their errors lie
// both ways. The tests hold it, against areas worked out exactly, below a fiftieth of any square of 5 mm, and below a
// five-hundredth of a whole layer's copper.
package density

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/sampled"
)

// The distances between samples.
const (
	copperStep   = 100 * geom.UM
	laminateStep = 200 * geom.UM
)

// Square is the side of a square of the grid unless another is asked for: small beside a board, so that a pour or a
// bare corner shows, and large beside tracks (common practice, no published source).
const Square = 5 * geom.MM

// least is the part of a square, as one over it, that must be laminate for a share to be told: a sliver's says nothing.
const least = 20

// Grid tells the shares of several layers over one grid of squares, row by row, the lowest first.
type Grid struct {
	Origin        geom.Point // the first square's lower left corner: the panel's
	Square        geom.Length
	Columns, Rows int
	Laminate      []float64 // area that is laminate, in nm²
	Layers        []Layer
}

// Layer is what is copper of one layer.
type Layer struct {
	Function panel.Function
	Copper   []float64 // area in each square, in nm²
}

// Share gives the share of a square's laminate that is copper, 0 to 1. ok is false where too little of the square is
// laminate to say anything.
func (g *Grid) Share(layer, square int) (share float64, ok bool) {
	laminate := g.Laminate[square]
	if float64(laminate*least) < float64(g.Square)*float64(g.Square) {
		return 0, false
	}
	return min(1, g.Layers[layer].Copper[square]/laminate), true
}

// Total gives the area of a layer's copper on the whole panel, in nm².
func (g *Grid) Total(layer int) float64 {
	sum := 0.0
	for _, a := range g.Layers[layer].Copper {
		sum += a
	}
	return sum
}

// Of reckons the shares of copper layers. each does n independent pieces of work, as pipeline.Each does. Errors are that
// ctx is done, or a fault of the geometry.
func Of(ctx context.Context, p panel.Panel, layers []panel.Function, square geom.Length, each func(n int, work func(i int) error) error) (*Grid, error) {
	box := p.Outline().Box()
	g := &Grid{Origin: box.Min, Square: square, Columns: squares(box.Width(), square), Rows: squares(box.Height(), square)}
	g.Laminate = make([]float64, g.Columns*g.Rows)
	for _, f := range layers {
		g.Layers = append(g.Layers, Layer{f, make([]float64, g.Columns*g.Rows)})
	}
	type drawn struct {
		board *panel.Board
		layer int
		m     *sampled.Raster
	}
	var boards []drawn
	inside := map[*panel.Board]int{}
	for _, c := range p.Copies() {
		if _, ok := inside[c.Board]; ok {
			continue
		}
		inside[c.Board] = len(boards)
		for i := range layers {
			boards = append(boards, drawn{board: c.Board, layer: i})
		}
	}
	// The first piece of work is the laminate, which takes longest.
	if err := each(1+len(boards), func(i int) error {
		if i == 0 {
			g.laminate(p)
			return ctx.Err()
		}
		d := &boards[i-1]
		l := d.board.Layer(layers[d.layer])
		if l == nil {
			return nil
		}
		var err error
		d.m, err = drawBoard(ctx, d.board, l.Image)
		return err
	}); err != nil {
		return nil, err
	}
	err := each(len(layers), func(i int) error {
		sum := g.Layers[i].Copper
		odd := map[turned]*sampled.Raster{}
		for _, c := range p.Copies() {
			m, place := boards[inside[c.Board]+i].m, c.Place
			if _, quarter := place.Turn.Quarters(); m != nil && !quarter {
				k := turned{c.Board, place.Turn.Normal()}
				if odd[k] == nil {
					odd[k] = m.Turned(k.by)
				}
				m, place.Turn = odd[k], 0
			}
			if m != nil {
				g.add(sum, m, place)
			}
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		return g.addOwn(ctx, sum, p, layers[i])
	})
	return g, err
}

// turned is a board at an odd angle: it is drawn once more for each.
type turned struct {
	board *panel.Board
	by    geom.Angle
}

// squares is how many squares cover a length.
func squares(l, square geom.Length) int { return max(1, int((l+square-1)/square)) }

// Outer gives the outer copper layers that any placed board has, the top first.
func Outer(p panel.Panel) []panel.Function {
	var out []panel.Function
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		for _, c := range p.Copies() {
			i := slices.IndexFunc(c.Board.Layers, func(l panel.Layer) bool { return l.Function.Kind == panel.Copper && l.Function.Side == side })
			if i >= 0 {
				f := c.Board.Layers[i].Function
				f.Type = ""
				out = append(out, f)
				break
			}
		}
	}
	return out
}

// laminate counts what stays of the panel.
func (g *Grid) laminate(p panel.Panel) {
	m := sampled.New(p.Outline().Box(), laminateStep)
	m.Fill([]geom.Path{p.Outline().Outer}, true)
	for _, cut := range p.Outline().CutOuts {
		m.Fill([]geom.Path{cut}, false)
	}
	for _, s := range p.Slots() {
		m.Fill(append([]geom.Path{s.Outline.Outer}, s.Outline.CutOuts...), false)
	}
	for _, c := range p.Copies() {
		for _, cut := range c.Board.Outline.CutOuts {
			m.Fill([]geom.Path{c.Place.Path(cut)}, false)
		}
	}
	g.add(g.Laminate, m, geom.Transform{})
}

// drawBoard draws a layer of a board within the board's edge.
func drawBoard(ctx context.Context, b *panel.Board, image *artwork.Image) (*sampled.Raster, error) {
	box := b.Outline.Box()
	m, err := draw(ctx, image, box)
	if err != nil {
		return nil, err
	}
	edge := sampled.New(box, copperStep)
	edge.Fill([]geom.Path{b.Outline.Outer}, true)
	for _, cut := range b.Outline.CutOuts {
		edge.Fill([]geom.Path{cut}, false)
	}
	m.And(edge)
	return m, nil
}

// draw draws an image within a box.
func draw(ctx context.Context, image *artwork.Image, box geom.Box) (*sampled.Raster, error) {
	p, err := sampled.NewPicture(ctx, image, geom.Transform{})
	if err != nil {
		return nil, err
	}
	return p.Draw(ctx, box, copperStep)
}

// addOwn adds what the panel draws of its own: fiducials, and prints, which lie on no other copper.
func (g *Grid) addOwn(ctx context.Context, sum []float64, p panel.Panel, f panel.Function) error {
	for _, k := range p.Marks() {
		if k.Kind == panel.Fiducial && slices.Contains(k.Sides, f.Side) {
			m := sampled.New(geom.BoxOf(k.At).Grow(k.Diameter/2+1), copperStep)
			m.Capsule(geom.Line(k.At, k.At), k.Diameter, true)
			g.add(sum, m, geom.Transform{})
		}
	}
	for _, x := range p.Prints() {
		if !x.On(f) {
			continue
		}
		m, err := draw(ctx, x.Image(nil), x.Area)
		if err != nil {
			return err
		}
		g.add(sum, m, geom.Transform{})
	}
	return nil
}

// add adds to each square the area of what is set in a raster, placed at a quarter turn.
func (g *Grid) add(sum []float64, m *sampled.Raster, place geom.Transform) {
	area := float64(m.Step) * float64(m.Step)
	back := place.Inverse()
	on := place.Box(m.Box)
	c0, c1 := g.span(on.Min.X-g.Origin.X, on.Max.X-g.Origin.X, g.Columns)
	r0, r1 := g.span(on.Min.Y-g.Origin.Y, on.Max.Y-g.Origin.Y, g.Rows)
	for r := r0; r < r1; r++ {
		for c := c0; c < c1; c++ {
			// The whole numbers within the square are those of a box on the board as well.
			low := g.Origin.Add(geom.Pt(geom.Length(c)*g.Square, geom.Length(r)*g.Square))
			n := m.Count(back.Box(geom.Box{Min: low, Max: low.Add(geom.Pt(g.Square-1, g.Square-1))}))
			sum[r*g.Columns+c] += float64(float64(n) * area)
		}
	}
}

// span gives which squares along one way a stretch lies on.
func (g *Grid) span(from, to geom.Length, most int) (first, end int) {
	return min(max(0, int(floor(int64(from), int64(g.Square)))), most), min(max(0, int(floor(int64(to), int64(g.Square)))+1), most)
}

// floor is a/b rounded down; b is positive.
func floor(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
