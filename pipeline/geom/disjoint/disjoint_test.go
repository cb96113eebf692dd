package disjoint

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The reference names every number anew at each joining.
func TestSetsAgainstRenaming(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		n := 1 + r.IntN(40)
		s, name := New(n), make([]int, n)
		for i := range name {
			name[i] = i
		}
		for range r.IntN(2 * n) {
			i, k := r.IntN(n), r.IntN(n)
			s.Join(i, k)
			a, b := name[i], name[k]
			for m := range name {
				if name[m] == a || name[m] == b {
					name[m] = min(a, b)
				}
			}
		}
		size := map[int]int{}
		for _, a := range name {
			size[a]++
		}
		for i := range n {
			require.Equal(t, name[i], s.Find(i))
			require.Equal(t, size[name[i]], s.Size(i))
		}
	}
}
