package groove

// order is that in which the unknowns are eliminated: the grid is cut along lines of corners into halves, those into
// halves and so on, and each line comes after what it parts (A. George, "Nested dissection of a regular finite element
// mesh", SIAM J. Numer. Anal. 10, 1973). The first column, in which nodes far from each other may move alike,
// comes last of all.
func (g *grid) order(unknowns int, at []int32) []int32 {
	high := 2*g.rows + 1
	out := make([]int32, 0, unknowns)
	known := make([]bool, unknowns)
	take := func(i0, i1, j0, j1 int) {
		for i := i0; i < i1; i++ {
			for j := j0; j < j1; j++ {
				for _, u := range at[2*(i*high+j) : 2*(i*high+j)+2] {
					if u >= 0 && !known[u] {
						known[u] = true
						out = append(out, u)
					}
				}
			}
		}
	}
	var part func(i0, i1, j0, j1 int)
	part = func(i0, i1, j0, j1 int) {
		switch i, j := (i0+i1)/4*2, (j0+j1)/4*2; {
		case i1-i0 <= 3 && j1-j0 <= 3:
			take(i0, i1, j0, j1)
		case i1-i0 >= j1-j0:
			part(i0, i, j0, j1)
			part(i+1, i1, j0, j1)
			take(i, i+1, j0, j1)
		default:
			part(i0, i1, j0, j)
			part(i0, i1, j+1, j1)
			take(i0, i1, j, j+1)
		}
	}
	part(1, 2*g.columns+1, 0, high)
	take(0, 1, 0, high)
	return out
}
