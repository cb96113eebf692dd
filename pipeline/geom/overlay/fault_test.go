package overlay

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// Two hundred squares of which two cross, taken as if nothing were left to cut: the sweep must see
// that, name the place, and the case must come down to the two.
func TestFaultNamesPlaceAndSmallCase(t *testing.T) {
	ctx := context.Background()
	r := rand.New(rand.NewPCG(3, 4))
	var squares Operand
	for i := range geom.Length(200) {
		c := geom.Pt(i%20*5_000_000, i/20*5_000_000)
		s := geom.Length(1_000_000 + r.Int64N(1_000_000))
		squares.Paths = append(squares.Paths, geom.RoundedRectangle(geom.BoxOf(c, c.Add(geom.Pt(s, s))), 200_000))
	}
	other := Of(geom.Outline{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(50_500_000, 20_500_000), geom.Pt(52_500_000, 22_500_000)))})
	uncut := func(ops []Operand) (*Arrangement, error) {
		s, err := load(ctx, Options{}, ops)
		require.NoError(t, err)
		a := &Arrangement{shapes: s}
		return a, a.finish(ctx, s.segs)
	}
	a, err := uncut([]Operand{squares, other})
	require.Error(t, err)
	err = a.report(err, func(*Arrangement) error { return nil })
	f, ok := isFault(err)
	require.True(t, ok)
	// The whole kernel does not fail for it, so report finds no case; shrink does with the same test.
	assert.Empty(t, f.Case)
	box := geom.BoxOf(geom.Pt(50_000_000, 20_000_000), geom.Pt(52_500_000, 22_500_000))
	assert.True(t, box.HoldsPoint(f.At), "%v", f.At)
	small := shrink([]Operand{a.shapes.straight()[0], other}, func(ops []Operand) bool {
		_, err := uncut(ops)
		_, bad := isFault(err)
		return bad
	})
	require.Len(t, small, 2)
	assert.Len(t, small[0].Paths, 1)
	assert.Len(t, small[1].Paths, 1)
	assert.LessOrEqual(t, len(small[0].Paths[0])+len(small[1].Paths[0]), 6)
	f.Case = small
	assert.Contains(t, f.Error(), "operand 1 (non-zero): [")
	assert.Contains(t, f.Error(), "no result is given")
}
