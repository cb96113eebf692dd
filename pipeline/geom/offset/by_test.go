package offset

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// agree holds a region against how deep places lie in what it should be, in nm.
func agree(r geom.Region, places []geom.Point, deep func(geom.Point) float64, tolerance float64) (asked int, err error) {
	for _, q := range places {
		d := deep(q)
		if math.Abs(d) <= tolerance {
			continue
		}
		asked++
		if in := r.Locate(q); (in == geom.Inside) != (d > 0) {
			return asked, fmt.Errorf("%v lies %.1f nm inside, and the result has it: %v", q, d, in)
		}
	}
	return asked, nil
}

// byIsWhatLiesWithin holds a region moved by some distance, and the outline of a stroke along its
// borders, against the distance to every edge.
func byIsWhatLiesWithin(t testing.TB, seed uint64, probed int) (asked int, err error) {
	rnd := rand.New(rand.NewPCG(seed, 5))
	size := math.Pow(10, 2+6.5*rnd.Float64())
	r := random(t, rnd, size)
	d := geom.Round(size*math.Pow(10, -2.5*rnd.Float64())) + 1
	if seed%2 == 1 {
		d = -d / 2
	}
	if len(r) == 0 || d == 0 {
		return 0, nil
	}
	o := Options{Overlay: overlay.Options{ChordError: geom.Round(math.Pow(10, 4*rnd.Float64()))}}
	tolerance := tooNear + float64(o.Overlay.ChordError)
	// What is thinner than the chord error may go, before it is moved.
	r, err = overlay.Union(t.Context(), o.Overlay, overlay.Of(r...))
	if err != nil {
		return 0, err
	}
	moved, err := By(t.Context(), r, d, o)
	if err != nil {
		return 0, err
	}
	asked, err = agree(moved, probes(rnd, r, d, probed), func(q geom.Point) float64 { return depth(r, q) + float64(d) }, tolerance)
	if err != nil {
		return asked, fmt.Errorf("by %d: %w", d, err)
	}
	pen, err := Stroke(t.Context(), r.Paths(), 2*d.Abs(), o)
	if err != nil {
		return asked, err
	}
	more, err := agree(pen, probes(rnd, r, d, probed), func(q geom.Point) float64 { return float64(d.Abs()) - math.Abs(depth(r, q)) }, tolerance)
	if err != nil {
		err = fmt.Errorf("a stroke %d wide: %w", 2*d.Abs(), err)
	}
	return asked + more, err
}

// The reference is the distance to every edge.
func TestByIsWhatLiesWithinTheDistance(t *testing.T) {
	n := uint64(600)
	if testing.Short() {
		n = 30
	}
	all := 0
	for seed := range n {
		asked, err := byIsWhatLiesWithin(t, seed, 100)
		require.NoError(t, err, "seed %d", seed)
		all += asked
	}
	assert.Greater(t, all, int(n)*60)
}

func FuzzBy(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) {
		_, err := byIsWhatLiesWithin(t, seed, 60)
		require.NoError(t, err)
	})
}
