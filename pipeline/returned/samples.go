package returned

import "panelwright/pipeline/panel/sampled"

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

// thick keeps of what is set what squares of n by n samples, all of them set, cover.
func thick(m *sampled.Raster, n int) *sampled.Raster {
	// A sample stays in core where the square with it as its lower left corner is set.
	core, out := like(m), like(m)
	some := make([]bool, m.Rows)
	a, b := make([]uint64, m.Words), make([]uint64, m.Words)
	for r := range m.Rows {
		row := rowOf(m, r)
		if none(row) {
			continue
		}
		copy(a, row)
		for k := 1; k < n; k++ {
			earlier(b, row, k)
			for i := range a {
				a[i] &= b[i]
			}
		}
		copy(rowOf(core, r), a)
		some[r] = !none(a)
	}
	for r := range m.Rows - n + 1 {
		all := true
		for k := range n {
			all = all && some[r+k]
		}
		if !all {
			continue
		}
		copy(a, rowOf(core, r))
		for k := 1; k < n; k++ {
			for i, w := range rowOf(core, r+k) {
				a[i] &= w
			}
		}
		if none(a) {
			continue
		}
		for k := range n { // the row of the square
			line := rowOf(out, r+k)
			for c := range n {
				later(b, a, c)
				if c == 0 {
					copy(b, a)
				}
				for i, w := range b {
					line[i] |= w
				}
			}
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
	start := -1
	for i, w := range rowOf(m, r) {
		if w == 0 && start < 0 || w == ^uint64(0) && start >= 0 {
			continue
		}
		for k := range 64 {
			switch set := w>>k&1 != 0; {
			case set && start < 0:
				start = i*64 + k
			case !set && start >= 0:
				to = append(to, run{r, start, i*64 + k})
				start = -1
			}
		}
	}
	if start >= 0 {
		to = append(to, run{r, start, m.Columns})
	}
	return to
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
