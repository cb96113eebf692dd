package sparse

// rowsOf gives, for the unknowns renumbered by place (place[u] is where u is eliminated), the earlier unknowns that
// each one is coupled with: those of row i are in col[ptr[i]:ptr[i+1]].
func rowsOf(m *Matrix, place []int32) (ptr, col []int32) {
	ptr = make([]int32, m.N+1)
	for c := range m.N {
		pc := place[c]
		for _, r := range m.Row[m.Ptr[c]:m.Ptr[c+1]] {
			if pr := place[r]; pr != pc {
				ptr[max(pr, pc)+1]++
			}
		}
	}
	for i := range m.N {
		ptr[i+1] += ptr[i]
	}
	col = make([]int32, ptr[m.N])
	next := append([]int32(nil), ptr[:m.N]...)
	for c := range m.N {
		pc := place[c]
		for _, r := range m.Row[m.Ptr[c]:m.Ptr[c+1]] {
			if pr := place[r]; pr != pc {
				i := max(pr, pc)
				col[next[i]] = min(pr, pc)
				next[i]++
			}
		}
	}
	return ptr, col
}

// eliminationTree gives each unknown's parent: the first later one that its elimination touches, or −1. Source:
// J. W. H. Liu, "A compact row storage scheme for Cholesky factors using elimination trees", ACM Trans. Math. Softw. 12, 1986.
func eliminationTree(ptr, col []int32) []int32 {
	n := len(ptr) - 1
	parent, up := make([]int32, n), make([]int32, n) // up is a shortcut to the root found so far
	for i := range int32(n) {
		parent[i], up[i] = -1, -1
		for _, k := range col[ptr[i]:ptr[i+1]] {
			for k != -1 && k < i {
				k2 := up[k]
				up[k] = i
				if k2 == -1 {
					parent[k] = i
				}
				k = k2
			}
		}
	}
	return parent
}

// postorder lists a forest so that every subtree lies in one piece, its root last; children stay in their order.
func postorder(parent []int32) []int32 {
	n := len(parent)
	first, next := make([]int32, n), make([]int32, n)
	for i := range first {
		first[i], next[i] = -1, -1
	}
	for i := n - 1; i >= 0; i-- {
		if p := parent[i]; p >= 0 {
			next[i], first[p] = first[p], int32(i)
		}
	}
	order := make([]int32, 0, n)
	var stack []int32
	for root := range n {
		if parent[root] >= 0 {
			continue
		}
		stack = append(stack[:0], int32(root))
		for len(stack) > 0 {
			v := stack[len(stack)-1]
			if c := first[v]; c >= 0 {
				first[v] = next[c]
				stack = append(stack, c)
				continue
			}
			order = append(order, v)
			stack = stack[:len(stack)-1]
		}
	}
	return order
}

// columnCounts gives how many entries each column of the factor has, the diagonal included, for unknowns numbered in
// postorder. Source: J. R. Gilbert, E. G. Ng, B. W. Peyton, "An efficient algorithm to compute row and column counts
// for sparse Cholesky factorization", SIAM J. Matrix Anal. Appl. 15, 1994.
func columnCounts(ptr, col, parent []int32) []int32 {
	n := len(parent)
	// The columns of the pattern: which later unknowns each is coupled with.
	cptr := make([]int32, n+1)
	for _, k := range col {
		cptr[k+1]++
	}
	for i := range n {
		cptr[i+1] += cptr[i]
	}
	row := make([]int32, len(col))
	next := append([]int32(nil), cptr[:n]...)
	for i := range n {
		for _, k := range col[ptr[i]:ptr[i+1]] {
			row[next[k]] = int32(i)
			next[k]++
		}
	}

	first := make([]int32, n) // the first descendant
	last := make([]int32, n)  // of each row: its last leaf so far
	seen := make([]int32, n)  // of each row: the greatest first descendant of its leaves so far
	up := make([]int32, n)
	count := make([]int32, n)
	for i := range int32(n) {
		first[i], last[i], seen[i], up[i] = -1, -1, -1, i
	}
	for j := range int32(n) {
		if first[j] == -1 {
			count[j] = 1 // a leaf of the tree
		}
		for k := j; k != -1 && first[k] == -1; k = parent[k] {
			first[k] = j
		}
	}
	for j := range int32(n) {
		if parent[j] >= 0 {
			count[parent[j]]--
		}
		for _, i := range row[cptr[j]:cptr[j+1]] {
			if first[j] <= seen[i] {
				continue // j is no leaf of row i's subtree
			}
			seen[i] = first[j]
			count[j]++
			if q := last[i]; q >= 0 {
				root := q
				for root != up[root] {
					root = up[root]
				}
				for q != root {
					q, up[q] = up[q], root
				}
				count[root]--
			}
			last[i] = j
		}
		if parent[j] >= 0 {
			up[j] = parent[j]
		}
	}
	for j := range int32(n) {
		if parent[j] >= 0 {
			count[parent[j]] += count[j]
		}
	}
	return count
}
