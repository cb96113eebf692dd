package sparse

// group is a front in the making: columns that share their pattern below themselves, or nearly so.
type group struct {
	columns  []int32
	rows     int // below its columns
	parent   int32
	children []int32
	zeros    float64 // entries that are held though they are zero
	gone     bool    // merged into its parent
}

// entries is how many entries of the factor a front of w columns over r rows has.
func entries(w, r int) float64 { return float64(w*(w+1)/2 + w*r) }

// amalgamate makes fronts of columns numbered in postorder: first those whose patterns are the same, then children into
// parents where few zeros come in, since a dense block is worked through faster than two small ones.
func amalgamate(count, parent []int32) []group {
	n := len(parent)
	of := make([]int32, n)
	var all []group
	for j := range n {
		s := len(all) - 1
		if j == 0 || parent[j-1] != int32(j) || count[j-1] != count[j]+1 {
			s++
			all = append(all, group{parent: -1})
		}
		g := &all[s]
		g.columns = append(g.columns, int32(j))
		g.rows = int(count[j]) - 1
		of[j] = int32(s)
	}
	for s := range all {
		g := &all[s]
		if p := parent[g.columns[len(g.columns)-1]]; p >= 0 {
			g.parent = of[p]
			all[g.parent].children = append(all[g.parent].children, int32(s))
		}
	}
	for s := range all {
		all[s].takeIn(all)
	}

	// In postorder, with the numbers that those left get.
	number := make([]int32, len(all))
	out := make([]group, 0, len(all))
	up := make([]int32, len(all))
	for s := range all {
		up[s] = all[s].parent
		if all[s].gone {
			up[s] = -1
		}
	}
	for _, s := range postorder(up) {
		if !all[s].gone {
			number[s] = int32(len(out))
			out = append(out, all[s])
		}
	}
	for s := range out {
		if p := out[s].parent; p >= 0 {
			out[s].parent = number[p]
		}
	}
	return out
}

// takeIn merges children into the group, the last one first: those that cost no zeros at all, then others.
func (g *group) takeIn(all []group) {
	kept := g.children[:0:0]
	for i := len(g.children) - 1; i >= 0; i-- {
		c := &all[g.children[i]]
		w, r := len(g.columns), g.rows
		zeros := g.zeros + c.zeros + float64(len(c.columns)*(w+r-c.rows))
		if !worthMerging(len(c.columns), w, zeros/entries(w+len(c.columns), r)) {
			kept = append(kept, g.children[i])
			continue
		}
		g.columns = append(append(make([]int32, 0, w+len(c.columns)), c.columns...), g.columns...)
		g.zeros = zeros
		c.gone = true
		for _, k := range c.children {
			all[k].parent = c.parent
			kept = append(kept, k)
		}
	}
	sortInts(kept)
	g.children = kept
}

// worthMerging says whether two groups of so many columns become one if so great a share of its entries is zero.
func worthMerging(child, parent int, zeros float64) bool {
	switch w := child + parent; {
	case zeros == 0:
		return true
	case w <= 12:
		return zeros < 0.3
	case w <= 36:
		return zeros < 0.1
	default:
		return zeros < 0.02
	}
}
