// Package disjoint keeps sets of numbers that grow together, as connected pieces do when one link after
// another is found.
package disjoint

// Sets are disjoint sets of the numbers from 0 to n − 1. Each is named by its least member, in whatever
// order they were joined. Ways to the name are halved as they are gone (R. E. Tarjan and J. van Leeuwen,
// "Worst-case analysis of set union algorithms", Journal of the ACM 31, 1984).
type Sets struct{ up, count []int }

// New makes n sets of one number each.
func New(n int) *Sets {
	s := &Sets{make([]int, n), make([]int, n)}
	for i := range n {
		s.up[i], s.count[i] = i, 1
	}
	return s
}

// Find gives the name of the set that holds i.
func (s *Sets) Find(i int) int {
	for s.up[i] != i {
		s.up[i] = s.up[s.up[i]]
		i = s.up[i]
	}
	return i
}

// Size is the number of members of the set that holds i.
func (s *Sets) Size(i int) int { return s.count[s.Find(i)] }

// Join makes one set of those that hold i and k.
func (s *Sets) Join(i, k int) {
	if i, k = s.Find(i), s.Find(k); i != k {
		i, k = min(i, k), max(i, k)
		s.up[k], s.count[i] = i, s.count[i]+s.count[k]
	}
}
