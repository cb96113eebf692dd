package geom

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func randomBoxes(n int) []Box {
	r := rand.New(rand.NewPCG(14, 15))
	out := make([]Box, n)
	for i := range out {
		p := Pt(Length(r.Int64N(1e9)), Length(r.Int64N(1e9)))
		out[i] = BoxOf(p, p.Add(Pt(Length(r.Int64N(1e7)), Length(r.Int64N(1e7)))))
	}
	return out
}

func TestIndexAgainstSearchOfAll(t *testing.T) {
	boxes := randomBoxes(3000)
	var ix Index[int]
	for i, b := range boxes {
		ix.Insert(b, i)
	}
	ix.Insert(EmptyBox(), -1)
	assert.Equal(t, 3000, ix.Len())
	for _, q := range randomBoxes(200) {
		q = q.Grow(2e7)
		var want, got []int
		for i, b := range boxes {
			if b.Overlaps(q) {
				want = append(want, i)
			}
		}
		ix.Search(q, func(b Box, i int) bool {
			require.Equal(t, boxes[i], b)
			got = append(got, i)
			return true
		})
		slices.Sort(got)
		require.Equal(t, want, got)

		var all []float64
		for _, b := range boxes {
			all = append(all, boxGap(b, q))
		}
		slices.Sort(all)
		k := 0
		ix.Nearest(q, func(d float64, b Box, i int) bool {
			require.InDelta(t, all[k], d, 1e-6)
			require.InDelta(t, boxGap(b, q), d, 1e-6)
			k++
			return k < 50
		})
		require.Equal(t, 50, k)
	}
}

func TestEmptyIndex(t *testing.T) {
	var ix Index[string]
	ix.Search(BoxOf(Pt(0, 0)), func(Box, string) bool { t.Fatal("found"); return true })
	ix.Nearest(BoxOf(Pt(0, 0)), func(float64, Box, string) bool { t.Fatal("found"); return true })
}

func BenchmarkIndexInsert(b *testing.B) {
	boxes := randomBoxes(100_000)
	for b.Loop() {
		var ix Index[int]
		for i, x := range boxes {
			ix.Insert(x, i)
		}
	}
}

func BenchmarkIndexNearest(b *testing.B) {
	var ix Index[int]
	for i, x := range randomBoxes(100_000) {
		ix.Insert(x, i)
	}
	q := BoxOf(Pt(5e8, 5e8))
	for b.Loop() {
		ix.Nearest(q, func(d float64, _ Box, _ int) bool { return d == 0 })
	}
}

func BenchmarkIndexSearch(b *testing.B) {
	var ix Index[int]
	for i, x := range randomBoxes(100_000) {
		ix.Insert(x, i)
	}
	q := BoxOf(Pt(5e8, 5e8)).Grow(5e6)
	for b.Loop() {
		ix.Search(q, func(Box, int) bool { return true })
	}
}
