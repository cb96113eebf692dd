package returned

import (
	"math/bits"

	"panelwright/pipeline/panel/sampled"
)

// like makes an empty raster of the same samples.
func like(m *sampled.Raster) *sampled.Raster {
	out := *m
	out.Bits = make([]uint64, len(m.Bits))
	return &out
}

func rowOf(m *sampled.Raster, r int) []uint64 { return m.Bits[r*m.Words : (r+1)*m.Words] }

// later sets dst to src moved by n samples towards higher columns, n < 64; earlier the other way.
func later(dst, src []uint64, n int) {
	var carry uint64
	for i, w := range src {
		dst[i] = w<<n | carry
		carry = w >> (64 - n)
	}
}

func earlier(dst, src []uint64, n int) {
	for i, w := range src {
		v := w >> n
		if i+1 < len(src) {
			v |= src[i+1] << (64 - n)
		}
		dst[i] = v
	}
}

func none(row []uint64) bool {
	for _, w := range row {
		if w != 0 {
			return false
		}
	}
	return true
}

// thick gives of what is set what squares of n by n samples, all of them set, cover; nil where there is none.
func thick(m *sampled.Raster, n int) (out *sampled.Raster) {
	// The last n rows, narrowed: a sample stays where it begins n that are set. Most rows are empty then.
	narrow := make([][]uint64, n)
	for k := range narrow {
		narrow[k] = make([]uint64, m.Words)
	}
	a, b := make([]uint64, m.Words), make([]uint64, m.Words)
	full := 0 // how many rows on end are not empty
	for r := range m.Rows {
		row, line := rowOf(m, r), narrow[r%n]
		if none(row) {
			full = 0
			continue
		}
		copy(line, row)
		for k := 1; k < n; k++ {
			earlier(b, row, k)
			for i := range line {
				line[i] &= b[i]
			}
		}
		if none(line) {
			full = 0
			continue
		}
		if full++; full < n {
			continue
		}
		copy(a, narrow[0])
		for _, l := range narrow[1:] {
			for i, w := range l {
				a[i] &= w
			}
		}
		if none(a) {
			continue
		}
		if out == nil {
			out = like(m)
		}
		copy(b, a) // the squares, widened again
		for k := 1; k < n; k++ {
			later(line, a, k)
			for i, w := range line {
				b[i] |= w
			}
		}
		for k := range n {
			to := rowOf(out, r-k)
			for i, w := range b {
				to[i] |= w
			}
		}
		full = 0 // the narrowed row was used for this: narrow those again that the next square needs
		for k := n - 2; k >= 0; k-- {
			again, row := narrow[(r-k)%n], rowOf(m, r-k)
			copy(again, row)
			for j := 1; j < n; j++ {
				earlier(a, row, j)
				for i := range again {
					again[i] &= a[i]
				}
			}
			full++
		}
	}
	return out
}

// grow sets what lies within px samples of what is set.
func grow(m *sampled.Raster, px int) *sampled.Raster {
	out := like(m)
	wide := make([][]uint64, px+1) // a row, wider by so many samples on either side
	for k := range wide {
		wide[k] = make([]uint64, m.Words)
	}
	a := make([]uint64, m.Words)
	for r := range m.Rows {
		row := rowOf(m, r)
		if none(row) {
			continue
		}
		copy(wide[0], row)
		for k := 1; k <= px; k++ {
			copy(wide[k], wide[k-1])
			for _, move := range []func(dst, src []uint64, n int){later, earlier} {
				move(a, wide[k-1], 1)
				for i, w := range a {
					wide[k][i] |= w
				}
			}
		}
		for d := -px; d <= px; d++ {
			if r+d < 0 || r+d >= m.Rows {
				continue
			}
			k := 0
			for (k+1)*(k+1)+d*d <= px*px {
				k++
			}
			line := rowOf(out, r+d)
			for i, w := range wide[k] {
				line[i] |= w
			}
		}
	}
	return out
}

// invert sets what is not set.
func invert(m *sampled.Raster) {
	for i := range m.Bits {
		m.Bits[i] = ^m.Bits[i]
	}
}

// shrink is grow the other way.
func shrink(m *sampled.Raster, px int) *sampled.Raster {
	c := like(m)
	copy(c.Bits, m.Bits)
	invert(c)
	out := grow(c, px)
	invert(out)
	return out
}

// run is a stretch of set samples of a row.
type run struct{ row, from, end int }

// runsOf lists the runs of a row.
func runsOf(m *sampled.Raster, r int, to []run) []run {
	row := rowOf(m, r)
	for c := next(row, 0, true); c < m.Columns; {
		end := min(next(row, c, false), m.Columns)
		to = append(to, run{r, c, end})
		c = next(row, end, true)
	}
	return to
}

// next gives the first sample from a place on that is set, or not set; one beyond the row where there is none.
func next(row []uint64, from int, set bool) int {
	for i := from / 64; i < len(row); i++ {
		w := row[i]
		if !set {
			w = ^w
		}
		if i == from/64 {
			w &= ^uint64(0) << (from % 64)
		}
		if w != 0 {
			return i*64 + bits.TrailingZeros64(w)
		}
	}
	return len(row) * 64
}

// anyIn tells whether a sample of a row is set from up to but without end.
func anyIn(m *sampled.Raster, r, from, end int) bool {
	from, end = max(from, 0), min(end, m.Columns)
	if r < 0 || r >= m.Rows {
		return false
	}
	line := rowOf(m, r)
	for c := from; c < end; c++ {
		if line[c/64]>>(c%64)&1 != 0 {
			return true
		}
	}
	return false
}
