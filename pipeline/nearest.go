package pipeline

import "slices"

// Nearest gives the member of among that a mistyped word most likely meant: the one with the fewest
// letters added, dropped, changed or swapped with a neighbour. It is empty when nothing is near; of
// two equally near it is the first by name.
func Nearest(word string, among []string) string {
	const longest = 64 // the work grows with the square of the length
	if word == "" || len(word) > longest {
		return ""
	}
	names := slices.Clone(among)
	slices.Sort(names)
	best, at := "", min((len(word)+2)/3, len(word)-1)+1
	for _, n := range names {
		if n == "" || n == word || len(n) > longest {
			continue
		}
		if d := edits(word, n); d < at {
			best, at = n, d
		}
	}
	return best
}

// edits counts the single-letter changes, swaps of neighbours among them, that turn a into b.
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := [3][]int{}
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		this, before, twice := rows[i%3], rows[(i+2)%3], rows[(i+1)%3]
		this[0] = i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			this[j] = min(before[j]+1, this[j-1]+1, before[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				this[j] = min(this[j], twice[j-2]+1)
			}
		}
	}
	return rows[len(x)%3][len(y)]
}
