package offset

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// Source of the expected values: J. Steiner's formula (1840): a convex shape moved outwards by d has the
// area A + P·d + π·d² and the perimeter P + 2π·d. Of a shape with cut-outs that do not close, those have
// A − P·d + π·d².
func TestSteinersFormula(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 100 {
		var c []geom.Point
		n := 3 + r.IntN(40)
		size := math.Pow(10, 5+3*r.Float64())
		for k := range n { // corners on a circle: convex
			s, co := math.Sincos(2 * math.Pi * (float64(k) + 0.8*r.Float64()) / float64(n))
			c = append(c, geom.Pt(geom.Round(size*co), geom.Round(size*s)))
		}
		var p geom.Path
		for k, q := range c {
			p = append(p, geom.Line(q, c[(k+1)%n]))
		}
		shape := geom.Region{{Outer: p}}
		d := geom.Round(size * (0.001 + 2*r.Float64()))
		df := float64(d)
		got, err := By(t.Context(), shape, d, Options{})
		require.NoError(t, err)
		require.Len(t, got, 1)
		bound := 3 * (shape.Perimeter() + 2*math.Pi*df) // two or three nanometres along the border
		assert.InDelta(t, shape.Area()+shape.Perimeter()*df+math.Pi*df*df, got.Area(), bound)
		assert.InDelta(t, shape.Perimeter()+2*math.Pi*df, got.Perimeter(), 20*float64(n))
	}
}
