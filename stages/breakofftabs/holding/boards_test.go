package holding

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"panelwright/pipeline/geom"
)

const mm = geom.MM

func pt(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

func polygon(ps ...geom.Point) geom.Path {
	var p geom.Path
	for i := range ps {
		p = append(p, geom.Line(ps[i], ps[(i+1)%len(ps)]))
	}
	return p
}

func disc(c geom.Point, r geom.Length) geom.Path {
	a, b := geom.Pt(c.X+r, c.Y), geom.Pt(c.X-r, c.Y)
	return geom.Path{geom.Arc(a, b, c, geom.CounterClockwise), geom.Arc(b, a, c, geom.CounterClockwise)}
}

func moved(p geom.Path, d geom.Point) geom.Path { return geom.Transform{Shift: d}.Path(p) }

// board makes a board whose convex corners are the left turns between its edges.
func board(id string, outline geom.Path) Board {
	b := Board{ID: id, Outline: outline, Mass: outline.Moments().Centroid()}
	var run float64
	for i, e := range outline {
		before := outline[(i+len(outline)-1)%len(outline)]
		if before.Heading(before.To).Cross(e.Heading(e.From)) > 0 {
			b.Corners = append(b.Corners, geom.Round(run))
		}
		run += e.Length()
	}
	return b
}

// spot gives the point and the outward normal at a position of an outline.
func spot(outline geom.Path, at geom.Length) (geom.Point, [2]float64) {
	run := 0.0
	for _, e := range outline {
		l := e.Length()
		if float64(at) <= run+l {
			p := e.At((float64(at) - run) / l)
			h := e.Heading(p)
			n := h.Norm()
			return p, [2]float64{float64(h.Y) / n, -float64(h.X) / n}
		}
		run += l
	}
	panic("off the outline")
}

func private(boards []Board, b int, at geom.Length) Candidate {
	p, n := spot(boards[b].Outline, at)
	return Candidate{Board: b, At: at, Foot: p, Outward: n, Half: 2500 * geom.UM, Width: 3 * mm, Other: -1}
}

func shared(boards []Board, b int, at geom.Length, o int, oAt geom.Length) Candidate {
	c := private(boards, b, at)
	d := private(boards, o, oAt)
	c.Other, c.OtherAt, c.OtherFoot, c.OtherOutward, c.OtherHalf = o, oAt, d.Foot, d.Outward, d.Half
	return c
}

// array makes rows × columns of w × h boards with a slot of 2 mm between and rails all round, with
// candidates every step mm on all edges, margin mm from the corners; mm everywhere.
func array(columns, rows int, w, h, step, margin float64) ([]Board, []Candidate) {
	var boards []Board
	for y := range rows {
		for x := range columns {
			o := pt(float64(x)*(w+2), float64(y)*(h+2))
			boards = append(boards, board("b", moved(geom.Rectangle(geom.BoxOf(pt(0, 0), pt(w, h))), o)))
		}
	}
	var cs []Candidate
	along := func(l float64, f func(x float64)) {
		for x := margin; x <= l-margin+1e-9; x += step {
			f(x)
		}
	}
	at := func(x float64) geom.Length { return geom.FromMM(x) }
	for y := range rows {
		for x := range columns {
			b := y*columns + x
			along(w, func(t float64) {
				if y == 0 {
					cs = append(cs, private(boards, b, at(t)))
				}
				if y == rows-1 {
					cs = append(cs, private(boards, b, at(w+h+w-t)))
				} else {
					cs = append(cs, shared(boards, b, at(w+h+w-t), b+columns, at(t)))
				}
			})
			along(h, func(t float64) {
				if x == 0 {
					cs = append(cs, private(boards, b, at(2*w+h+h-t)))
				}
				if x == columns-1 {
					cs = append(cs, private(boards, b, at(w+t)))
				} else {
					cs = append(cs, shared(boards, b, at(w+t), b+1, at(2*w+h+h-t)))
				}
			})
		}
	}
	return boards, cs
}

// smallPanel makes a seeded panel of one to four boards of mixed shape with few candidates.
func smallPanel(seed uint64) ([]Board, []Candidate, Limits) {
	r := rand.New(rand.NewPCG(seed, 77))
	n := 1 + r.IntN(4)
	var boards []Board
	for b := range n {
		o := pt(float64(b)*62, 0)
		w, h := float64(20+r.IntN(40)), float64(20+r.IntN(40))
		var p geom.Path
		switch r.IntN(5) {
		case 0, 1:
			p = geom.Rectangle(geom.BoxOf(pt(0, 0), pt(w, h)))
		case 2:
			p = polygon(pt(0, 0), pt(w, 0), pt(w, h/3), pt(w/2, h/3), pt(w/2, h), pt(0, h))
		case 3:
			p = disc(pt(w/2, w/2), geom.FromMM(w/2))
		case 4:
			p = polygon(pt(0, 0), pt(w, 0), pt(w*float64(r.IntN(11))/10, h))
		}
		boards = append(boards, board(string(rune('a'+b)), moved(p, o)))
	}
	total := 6*n + r.IntN(5)
	total = min(total, 14+r.IntN(7)+2*r.IntN(2))
	sharing := 1 + r.IntN(3) // quarters
	var cs []Candidate
	for len(cs) < total {
		b := len(cs) % n
		at := geom.FromMM(float64(int(r.Float64()*boards[b].Outline.Length()/1e5)) / 10)
		if n > 1 && r.IntN(4) < sharing {
			o := (b + 1 + r.IntN(n-1)) % n
			oAt := geom.FromMM(float64(int(r.Float64()*boards[o].Outline.Length()/1e5)) / 10)
			cs = append(cs, shared(boards, b, at, o, oAt))
		} else {
			cs = append(cs, private(boards, b, at))
		}
		c := &cs[len(cs)-1]
		c.Half = geom.FromMM(1 + 2*r.Float64())
		c.Pinned = r.IntN(40) == 0
	}
	per := 0.0
	for _, b := range boards {
		per = max(per, b.Outline.Length())
	}
	lim := Limits{FreeSpan: geom.Length(per * (0.35 + 0.5*r.Float64())), Overhang: geom.FromMM(15 + 40*r.Float64()), Between: geom.Length(r.IntN(3)) * mm}
	if r.IntN(6) == 0 {
		lim.FreeSpan, lim.Overhang = 1000*mm, 1000*mm
	}
	return boards, cs, lim
}

// checker holds choices against the conditions, by itself: it knows nothing of the package's ways.
type checker struct {
	boards []Board
	cands  []Candidate
	lim    Limits
	feet   [][]footing // of each board
	way    [][][]float64
	in, to [][]float64
	corner [][][]bool
}

type footing struct {
	cand   int
	at     float64
	half   float64
	point  [2]float64
	out    [2]float64
	width  float64
	pinned bool
}

func newChecker(boards []Board, cands []Candidate, lim Limits) *checker {
	c := &checker{boards: boards, cands: cands, lim: lim, feet: make([][]footing, len(boards))}
	for i, x := range cands {
		c.feet[x.Board] = append(c.feet[x.Board], footing{i, float64(x.At), float64(x.Half), [2]float64{float64(x.Foot.X), float64(x.Foot.Y)}, x.Outward, float64(x.Width), x.Pinned})
		if x.Other >= 0 {
			c.feet[x.Other] = append(c.feet[x.Other], footing{i, float64(x.OtherAt), float64(x.OtherHalf), [2]float64{float64(x.OtherFoot.X), float64(x.OtherFoot.Y)}, x.OtherOutward, float64(x.Width), x.Pinned})
		}
	}
	for b := range boards {
		fs := c.feet[b]
		slices.SortStableFunc(fs, func(x, y footing) int { return int(x.at - y.at) })
		total := boards[b].Outline.Length()
		way, corner := make([][]float64, len(fs)), make([][]bool, len(fs))
		in, to := make([]float64, len(fs)), make([]float64, len(fs))
		for i, x := range fs {
			way[i], corner[i] = make([]float64, len(fs)), make([]bool, len(fs))
			for j, y := range fs {
				end := y.at
				if j <= i {
					end += total
				}
				way[i][j] = stringLength(boards[b].Outline, x.at, end)
				for _, k := range boards[b].Corners {
					for _, k := range []float64{float64(k), float64(k) + total} {
						corner[i][j] = corner[i][j] || x.at < k && k < end
					}
				}
			}
			next, last := math.Inf(1), math.Inf(-1)
			for _, k := range boards[b].Corners {
				for _, k := range []float64{float64(k) - total, float64(k), float64(k) + total} {
					if k > x.at {
						next = min(next, k)
					}
					if k < x.at {
						last = max(last, k)
					}
				}
			}
			if len(boards[b].Corners) > 0 {
				to[i] = stringLength(boards[b].Outline, x.at, next)
				in[i] = stringLength(boards[b].Outline, last, x.at)
			}
		}
		c.way, c.corner, c.in, c.to = append(c.way, way), append(c.corner, corner), append(c.in, in), append(c.to, to)
	}
	return c
}

// stringLength walks an outline from one position to another, a thousand chords to an arc, and cuts inner
// corners off one by one until none is left.
func stringLength(outline geom.Path, from, to float64) float64 {
	total := outline.Length()
	var xs [][2]float64
	var ps []float64
	add := func(p geom.Point, pos float64) {
		xs, ps = append(xs, [2]float64{float64(p.X), float64(p.Y)}), append(ps, pos)
	}
	for lap := -1; lap <= 1; lap++ {
		run := float64(lap) * total
		for _, e := range outline {
			l := e.Length()
			n := 1
			if e.Sense != geom.Straight {
				n = 1000
			}
			for i := range n {
				a, b := run+l*float64(i)/float64(n), run+l*float64(i+1)/float64(n)
				if b <= from || a >= to {
					continue
				}
				if len(xs) == 0 {
					add(e.At((from-run)/l), from)
				}
				if b >= to {
					add(e.At((to-run)/l), to)
				} else {
					add(e.At((b-run)/l), b)
				}
			}
			run += l
		}
	}
	for again := true; again; {
		again = false
		for i := 1; i+1 < len(xs); i++ {
			a, b, c := xs[i-1], xs[i], xs[i+1]
			if (b[0]-a[0])*(c[1]-b[1])-(b[1]-a[1])*(c[0]-b[0]) < -1e7 { // a nanometre in 10 mm is rounding
				xs, ps = slices.Delete(xs, i, i+1), slices.Delete(ps, i, i+1)
				again = true
				break
			}
		}
	}
	sum := 0.0
	for i := 1; i < len(xs); i++ {
		sum += math.Hypot(xs[i][0]-xs[i-1][0], xs[i][1]-xs[i-1][1])
	}
	return sum
}

// holds tells whether a choice, a bit a candidate, keeps every condition, within tol nm of each limit.
func (c *checker) holds(set uint32, tol float64) bool {
	for i, x := range c.cands {
		if x.Pinned && set>>i&1 == 0 {
			return false
		}
	}
	for b := range c.boards {
		if !c.boardHolds(b, func(cand int) bool { return set>>cand&1 == 1 }, tol) {
			return false
		}
	}
	return true
}

func (c *checker) boardHolds(b int, in func(cand int) bool, tol float64) bool {
	var t [64]int
	n := 0
	for i, f := range c.feet[b] {
		if in(f.cand) {
			t[n] = i
			n++
		}
	}
	if n == 0 {
		return false
	}
	total := c.boards[b].Outline.Length()
	for k := range n {
		i, j := t[k], t[(k+1)%n]
		if c.way[b][i][j] > float64(c.lim.FreeSpan)+tol {
			return false
		}
		if c.corner[b][i][j] && (c.to[b][i] > float64(c.lim.Overhang)+tol || c.in[b][j] > float64(c.lim.Overhang)+tol) {
			return false
		}
	}
	opposite := false
	for k := range n {
		x := c.feet[b][t[k]]
		for l := range k {
			y := c.feet[b][t[l]]
			opposite = opposite || x.out[0]*y.out[0]+x.out[1]*y.out[1] <= -0.5+1e-6
			d := math.Abs(x.at - y.at)
			d = min(d, total-d)
			if d-x.half-y.half < float64(c.lim.Between)-tol && !(x.pinned && y.pinned) {
				return false
			}
		}
	}
	return opposite && c.centred(b, t[:n], 2+tol)
}

// centred tells whether the centre of mass lies in the triangle of some three ends of feet, or within
// tol nm of the line between two.
func (c *checker) centred(b int, t []int, tol float64) bool {
	var buf [128][2]float64
	ps := buf[:0]
	mx, my := float64(c.boards[b].Mass.X), float64(c.boards[b].Mass.Y)
	for _, i := range t {
		f := c.feet[b][i]
		for _, s := range [2]float64{-0.5, 0.5} {
			ps = append(ps, [2]float64{f.point[0] - s*f.width*f.out[1] - mx, f.point[1] + s*f.width*f.out[0] - my})
		}
	}
	// Not in the hull when all ends lie on one side of some line through the centre: tried are the lines
	// to each end, since a line that parts them can be turned until it meets one.
	for _, p := range ps {
		for _, s := range [2]float64{1, -1} {
			l := math.Hypot(p[0], p[1])
			if l < tol {
				return true
			}
			all := true
			for _, q := range ps {
				cross := s * (p[0]*q[1] - p[1]*q[0]) / l
				if cross < 0 || math.Abs(cross) <= tol && p[0]*q[0]+p[1]*q[1] < 0 {
					if cross < -tol || p[0]*q[0]+p[1]*q[1] < 0 {
						all = false
						break
					}
				}
			}
			if all {
				return false
			}
		}
	}
	return true
}

// alone tells whether any set of a board's feet holds it, whatever the other boards need.
func (c *checker) alone(b int) bool {
	var own uint32
	for _, f := range c.feet[b] {
		own |= 1 << f.cand
	}
	for set := own; set > 0; set = (set - 1) & own {
		if c.boardHolds(b, func(cand int) bool { return set>>cand&1 == 1 }, 0) {
			return true
		}
	}
	return false
}

// least finds the fewest tabs of all choices that hold, by trying every one; −1 when none does.
func (c *checker) least() int {
	for b := range c.boards {
		if !c.alone(b) {
			return -1
		}
	}
	for size := 0; size <= len(c.cands); size++ {
		if size == 0 {
			if c.holds(0, 0) {
				return 0
			}
			continue
		}
		limit := uint32(1) << len(c.cands)
		for set := uint32(1)<<size - 1; set < limit; {
			if c.holds(set, 0) {
				return size
			}
			low := set & -set // the next of as many bits
			up := set + low
			set = (set^up)>>2/low | up
		}
	}
	return -1
}

// unevenness is the sum of squares of spans and ways to corners, in (10 µm)², of a choice.
func (c *checker) unevenness(set uint32) float64 {
	sum := 0.0
	sq := func(l float64) { sum += math.Round(l/1e4) * math.Round(l/1e4) }
	for b := range c.boards {
		var t []int
		for i, f := range c.feet[b] {
			if set>>f.cand&1 == 1 {
				t = append(t, i)
			}
		}
		for k, i := range t {
			j := t[(k+1)%len(t)]
			sq(c.way[b][i][j])
			if c.corner[b][i][j] {
				sq(c.to[b][i])
				sq(c.in[b][j])
			}
		}
	}
	return sum
}

// evenest is the least unevenness of all choices of a number of tabs that hold.
func (c *checker) evenest(size int) float64 {
	least := math.Inf(1)
	for set := range uint32(1) << len(c.cands) {
		if bits.OnesCount32(set) == size && c.holds(set, 0) {
			least = min(least, c.unevenness(set))
		}
	}
	return least
}
