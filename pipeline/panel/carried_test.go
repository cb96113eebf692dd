package panel

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// ledge is a board of 20 x 10 mm with a pad of 2 mm whose middle lies at x, and a row of copies of it.
func ledge(t *testing.T, x geom.Length, gap geom.Length, turns ...geom.Angle) (Panel, *Layer) {
	t.Helper()
	at := geom.Pt(x, 5*geom.MM)
	image := &artwork.Image{Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: 2 * geom.MM}}, Sets: []artwork.Attributes{nil},
		Objects: []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: geom.Line(at, at)}}}
	b := &Board{Name: "ledge", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})},
		Layers: []Layer{{Function: Function{Kind: Copper, Side: Top, Index: 1}, Image: image}}}
	e := Panel{}.Edit().AddBoard(b)
	for i, turn := range turns {
		e.AddCopy(Copy{ID: fmt.Sprintf("%c1", 'A'+i), Board: b, Place: Settle(b, turn, geom.Pt(geom.Length(i)*(20*geom.MM+gap), 0))})
	}
	p, err := e.FitOutline().Build()
	require.NoError(t, err)
	return p, &b.Layers[0]
}

func TestOnlyWhatReachesANeighbourIsCut(t *testing.T) {
	for name, c := range map[string]struct {
		x, gap geom.Length
		cut    []int // objects cut or left out, for A1, B1, C1
	}{
		"inside":                   {10 * geom.MM, geom.MM, []int{0, 0, 0}},
		"into the gap":             {20 * geom.MM, geom.MM, []int{0, 0, 0}},
		"into the neighbour":       {20 * geom.MM, 900 * geom.UM, []int{1, 1, 0}},
		"wholly on the neighbour":  {22 * geom.MM, geom.MM, []int{1, 1, 0}},
		"over the edge of abutted": {19_500 * geom.UM, 0, []int{1, 1, 0}},
		"to the left":              {0, 500 * geom.UM, []int{0, 1, 1}},
	} {
		t.Run(name, func(t *testing.T) {
			p, l := ledge(t, c.x, c.gap, 0, 0, 0)
			r, err := p.NewCarrier(context.Background())
			require.NoError(t, err)
			for i, copy := range p.Copies() {
				image, trim := r.Layer(copy, l)
				assert.Equal(t, c.cut[i], trim.Left+trim.Cut, copy.ID)
				assert.Empty(t, trim.Over)
				if trim.None() {
					assert.Same(t, l.Image, image, "an untouched layer is the board's own")
				} else {
					own := copy.Box()
					for _, o := range image.Objects {
						reach := copy.Place.Box(image.Box(o))
						assert.LessOrEqual(t, reach.Max.X, own.Max.X+c.gap/2, "cut half-way")
						assert.GreaterOrEqual(t, reach.Min.X, own.Min.X-c.gap/2)
					}
				}
			}
		})
	}
}

// A copy turned by 180° has its neighbour on the other side of its own coordinates.
func TestSharesTurnWithTheCopy(t *testing.T) {
	p, l := ledge(t, 20*geom.MM, 900*geom.UM, 0, geom.Half, 0)
	r, err := p.NewCarrier(context.Background())
	require.NoError(t, err)
	var touched []string
	for _, c := range p.Copies() {
		if _, trim := r.Layer(c, l); trim.Cut > 0 {
			touched = append(touched, c.ID)
		}
	}
	// A1's pad lies at its right, towards B1; B1's, turned, at its left, towards A1; C1's at the end.
	assert.Equal(t, []string{"A1", "B1"}, touched)
}

func TestCopiesAtOddAnglesAreCarriedWhole(t *testing.T) {
	p, l := ledge(t, 20*geom.MM, 100*geom.UM, 10*geom.Degree, 0)
	r, err := p.NewCarrier(context.Background())
	require.NoError(t, err)
	image, trim := r.Layer(p.Copies()[0], l)
	assert.Same(t, l.Image, image)
	assert.Zero(t, trim.Cut+trim.Left)
}
