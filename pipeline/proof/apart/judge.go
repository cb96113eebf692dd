package apart

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

// Prover looks at boards one by one.
type Prover struct {
	p       Panel
	rows    geom.Index[int] // of p.Rows
	breaks  geom.Index[int] // of p.Breaks
	boards  geom.Index[int]
	paths   []geom.Path // of the material's cut-outs
	cutOuts geom.Index[int]
}

// New makes a panel ready to be asked about its boards. The panel must not change any more.
func New(p Panel) *Prover {
	x := &Prover{p: p}
	for i, d := range p.Rows {
		x.rows.Insert(d.box(), i)
	}
	for i, b := range p.Breaks {
		x.breaks.Insert(b.Line.Box().Grow(kerf), i)
	}
	for i, b := range p.Boards {
		x.boards.Insert(b.Outline.Box(), i)
	}
	for _, o := range p.Material {
		for _, c := range o.CutOuts {
			x.cutOuts.Insert(c.Box(), len(x.paths))
			x.paths = append(x.paths, c)
		}
	}
	return x
}

// margin is how far round a board its window reaches.
func (x *Prover) margin() geom.Length { return 2*x.p.Cutter + 3*geom.MM }

// view is what lies in one board's window.
type view struct {
	window geom.Box
	mine   []geom.Path // the material's contours that reach the window, outer ones counter-clockwise
	away   []geom.Path // perforations
	breaks []int
	near   []int // other boards
}

func (x *Prover) view(i int) view {
	v := view{window: x.p.Boards[i].Outline.Box().Grow(x.margin())}
	found := func(ix *geom.Index[int]) (out []int) {
		ix.Search(v.window, func(_ geom.Box, k int) bool { out = append(out, k); return true })
		slices.Sort(out)
		return out
	}
	for _, o := range x.p.Material {
		if o.Outer.Box().Overlaps(v.window) {
			v.mine = append(v.mine, o.Outer)
		}
	}
	for _, k := range found(&x.cutOuts) {
		v.mine = append(v.mine, x.paths[k])
	}
	for _, k := range found(&x.rows) {
		v.away = append(v.away, x.p.Rows[k].path())
	}
	v.breaks = found(&x.breaks)
	v.near = slices.DeleteFunc(found(&x.boards), func(k int) bool { return k == i })
	return v
}

// Key says in bytes all that the verdict on a board hangs on, relative to the board's box: boards with
// equal keys get equal verdicts. Other boards count by place only.
func (x *Prover) Key(i int) string {
	v := x.view(i)
	at := v.window.Min
	var key []byte
	var edges []geom.Edge
	// Edges in an order of their own: where a contour begins, and which comes first, says nothing.
	add := func(mark byte, paths ...geom.Path) {
		key = append(key, mark)
		edges = edges[:0]
		for _, p := range paths {
			edges = append(edges, clipped(p, v.window)...)
		}
		slices.SortFunc(edges, geom.Edge.Compare)
		for _, e := range edges {
			for _, q := range [3]geom.Point{e.From.Sub(at), e.To.Sub(at), e.Center.Sub(at)} {
				key = binary.LittleEndian.AppendUint64(key, uint64(q.X))
				key = binary.LittleEndian.AppendUint64(key, uint64(q.Y))
			}
			key = append(key, byte(e.Sense))
		}
	}
	o := x.p.Boards[i].Outline
	add('b', o.Outer)
	add('c', o.CutOuts...)
	add('s', x.p.Boards[i].Stays.Paths()...)
	add('m', v.mine...)
	add('a', v.away...)
	for _, k := range v.breaks {
		add('l', x.p.Breaks[k].Line)
		for _, s := range x.p.Breaks[k].Stubs {
			key = fmt.Appendf(key, "%d %t;", s.Height, s.Board == i)
		}
	}
	for _, k := range v.near {
		b := x.p.Boards[k].Outline.Box()
		key = fmt.Appendf(key, "n%d %d %d %d;", b.Min.X-at.X, b.Min.Y-at.Y, b.Max.X-at.X, b.Max.Y-at.Y)
	}
	return string(key)
}

// clipped gives a path's edges near a window; straight ones along an axis are cut down to it, so that long
// contours look alike from copies along them.
func clipped(p geom.Path, w geom.Box) []geom.Edge {
	w = w.Grow(geom.MM)
	var out []geom.Edge
	for _, e := range p {
		if e.Sense == geom.Straight {
			e.Center = w.Min // says nothing, but must not tell places apart
		}
		if !e.Box().Overlaps(w) {
			continue
		}
		if e.Sense == geom.Straight && (e.From.X == e.To.X || e.From.Y == e.To.Y) {
			in := func(q geom.Point) geom.Point {
				return geom.Pt(min(max(q.X, w.Min.X), w.Max.X), min(max(q.Y, w.Min.Y), w.Max.Y))
			}
			e.From, e.To = in(e.From), in(e.To)
		}
		out = append(out, e)
	}
	return out
}

// Judge gives what is wrong with how one board comes off, and the piece that comes off.
func (x *Prover) Judge(ctx context.Context, i int) ([]Finding, geom.Region, error) {
	v := x.view(i)
	o := overlay.Options{Workers: 1}
	cut, err := x.cutLines(ctx, v)
	if err != nil {
		return nil, nil, err
	}
	v.away = append(v.away, cut...)
	// Material inside of the window, all lines cut.
	inside, err := overlay.Intersection(ctx, o, overlay.Operand{Paths: []geom.Path{geom.Rectangle(v.window)}}, overlay.Operand{Paths: v.mine})
	if err != nil {
		return nil, nil, err
	}
	pieces, err := overlay.Difference(ctx, o, overlay.Of(inside...), overlay.Operand{Paths: v.away})
	if err != nil {
		return nil, nil, err
	}
	board := x.p.Boards[i].Outline
	// What of the board the breaks and holes leave it: rows may be set into it.
	nibbled, err := overlay.Difference(ctx, o, overlay.Of(board), overlay.Operand{Paths: append(slices.Clone(cut), discs(x.p.Rows, x.rowsIn(v.window))...)})
	if err != nil {
		return nil, nil, err
	}
	nibbled = visible(nibbled)
	mine, err := x.holding(ctx, o, i, v, pieces, nibbled)
	if err != nil {
		return nil, nil, err
	}
	var found []Finding
	if len(mine) == 0 {
		at := board.Outer[0].From
		return []Finding{{Fault: Damaged, Board: i, At: at, Area: board.Area(), Depth: min(board.Box().Width(), board.Box().Height()) / 2}}, nil, nil
	}
	for _, m := range mine {
		if touchesBorder(m, v.window) {
			f := Finding{Fault: HangsOn, Board: i}
			for _, k := range v.near {
				if x.holdsBoard(m, k) {
					f.To = append(f.To, k)
				}
			}
			f.At = x.where(m, i, v)
			return append(found, f), mine, nil
		}
	}
	if len(mine) > 1 {
		small := mine[0]
		for _, m := range mine {
			if m.Area() < small.Area() {
				small = m
			}
		}
		found = append(found, Finding{Fault: CutInTwo, Board: i, At: small.Outer[0].From, Area: small.Area()})
		return found, mine, nil
	}
	lost, err := overlay.Difference(ctx, o, overlay.Of(nibbled...), overlay.Of(mine...))
	if err != nil {
		return nil, nil, err
	}
	for _, piece := range lost {
		if depth, at := deepest(piece, board); depth > float64(thin) && !x.brokenOut(i, v, piece, depth) {
			found = append(found, Finding{Fault: Damaged, Board: i, At: at, Area: piece.Area(), Depth: geom.Round(depth)})
		}
	}
	extra, err := overlay.Difference(ctx, o, overlay.Of(mine...), overlay.Of(board))
	if err != nil {
		return nil, nil, err
	}
	more, err := x.judgeExtra(ctx, i, v, extra)
	return append(found, more...), mine, err
}

func (x *Prover) rowsIn(w geom.Box) (out []int) {
	x.rows.Search(w, func(_ geom.Box, k int) bool { out = append(out, k); return true })
	slices.Sort(out)
	return out
}

func discs(all []Disc, which []int) (out []geom.Path) {
	for _, k := range which {
		out = append(out, all[k].path())
	}
	return out
}

// visible leaves out pieces that nobody can see.
func visible(r geom.Region) geom.Region {
	return slices.DeleteFunc(slices.Clone(r), func(o geom.Outline) bool { return !o.Thicker(thin) })
}

// cutLines gives the breaks in a window as cuts of the kerf's width.
func (x *Prover) cutLines(ctx context.Context, v view) ([]geom.Path, error) {
	var out []geom.Path
	for _, k := range v.breaks {
		line := x.p.Breaks[k].Line
		cut, err := offset.Stroke(ctx, []geom.Path{line}, kerf, offset.Options{End: offset.SquareEnd, Overlay: overlay.Options{Workers: 1}})
		if err != nil {
			return nil, err
		}
		out = append(out, cut.Paths()...)
	}
	return out, nil
}

// holding gives the pieces that hold what can be seen of a board, and more than what breaks out of it.
func (x *Prover) holding(ctx context.Context, o overlay.Options, i int, v view, pieces, board geom.Region) (geom.Region, error) {
	var out geom.Region
	box := board.Box()
	for _, m := range pieces {
		if !m.Box().Overlaps(box) {
			continue
		}
		common, err := overlay.Intersection(ctx, o, overlay.Of(m), overlay.Of(board...))
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(visible(common), func(c geom.Outline) bool {
			depth, _ := deepest(c, x.p.Boards[i].Outline)
			return !x.brokenOut(i, v, c, depth)
		}) {
			out = append(out, m)
		}
	}
	return out, nil
}

func touchesBorder(m geom.Outline, w geom.Box) bool {
	b := m.Box()
	return b.Min.X <= w.Min.X || b.Min.Y <= w.Min.Y || b.Max.X >= w.Max.X || b.Max.Y >= w.Max.Y
}

// holdsBoard tells whether a piece holds part of another board: a place just inside its edge.
func (x *Prover) holdsBoard(m geom.Outline, k int) bool {
	box := m.Box()
	for _, e := range x.p.Boards[k].Outline.Outer {
		if q := e.Beside(0.5, 50*geom.UM); box.HoldsPoint(q) && m.Locate(q) == geom.Inside {
			return true
		}
	}
	return false
}

// where gives the place on a board's edge past which a piece goes on, away from where breaks should part
// it: the place furthest from any break.
func (x *Prover) where(m geom.Outline, i int, v view) geom.Point {
	best, at := -1.0, x.p.Boards[i].Outline.Outer[0].From
	for _, e := range x.p.Boards[i].Outline.Outer {
		n := max(1, int(e.Length()/float64(geom.MM)))
		for k := range n {
			f := (float64(k) + 0.5) / float64(n)
			if m.Locate(e.Beside(f, -500*geom.UM)) != geom.Inside {
				continue
			}
			d := math.MaxFloat64
			for _, b := range v.breaks {
				for _, l := range x.p.Breaks[b].Line {
					y, _ := geom.PointEdgeDistance(e.At(f), l)
					d = min(d, y)
				}
			}
			if d > best {
				best, at = d, e.At(f)
			}
		}
	}
	return at
}

// deepest gives how far the border of a piece lies from a board's edge, at most, and where.
func deepest(piece geom.Outline, board geom.Outline) (depth float64, at geom.Point) {
	at = piece.Outer[0].From
	for _, e := range piece.Outer {
		for _, q := range [3]geom.Point{e.From, e.At(0.25), e.At(0.5)} {
			if d := board.Distance(q); d > depth {
				depth, at = d, q
			}
		}
	}
	return depth, at
}
