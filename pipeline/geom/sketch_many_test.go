package geom

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Thousands of strokes that cross everywhere are refused, not worked on for minutes.
func TestSketchOfTooMuch(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	at := func() Point { return Pt(Length(r.Int64N(100*int64(MM))), Length(r.Int64N(100*int64(MM)))) }
	var edges []Edge
	for range 5000 {
		edges = append(edges, Line(at(), at()))
	}
	_, err := SketchOf(edges, 10*UM)
	var e *OutlineError
	require.ErrorAs(t, err, &e)
	require.Equal(t, OutlineTooComplex, e.Kind)
	_, err = SketchOf(edges[:200], 10*UM)
	require.NoError(t, err)
}
