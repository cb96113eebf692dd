package boards

import (
	"fmt"
	"math"
	"slices"
)

// aperture is the form of a flash or the pen of a stroke. kind is C (circle), R (rectangle), O (obround), M
// (rectangle with corners rounded by r) or X (rectangle with corners cut by r).
type aperture struct {
	kind    byte
	w, h, r int64
	fn      string // the .AperFunction
}

// shape is what the aperture covers when flashed at p.
func (a aperture) shape(p pt) shape {
	corners := func(w, h int64) []pt {
		return []pt{{p.x - w, p.y - h}, {p.x + w, p.y - h}, {p.x + w, p.y + h}, {p.x - w, p.y + h}}
	}
	switch a.kind {
	case 'C':
		return shape{[]pt{p}, a.w / 2}
	case 'O':
		r := min(a.w, a.h) / 2
		if a.w > a.h {
			return shape{[]pt{{p.x - a.w/2 + r, p.y}, {p.x + a.w/2 - r, p.y}}, r}
		}
		return shape{[]pt{{p.x, p.y - a.h/2 + r}, {p.x, p.y + a.h/2 - r}}, r}
	case 'X':
		w, h, c := a.w/2, a.h/2, a.r
		out := shape{}
		for _, q := range []pt{{w, c - h}, {w, h - c}, {w - c, h}, {c - w, h}, {-w, h - c}, {-w, c - h}, {c - w, -h}, {w - c, -h}} {
			out.pts = append(out.pts, p.add(q))
		}
		return out
	case 'M':
		return shape{corners(a.w/2-a.r, a.h/2-a.r), a.r}
	}
	return shape{corners(a.w/2, a.h/2), 0}
}

// narrow is the smaller side.
func (a aperture) narrow() int64 {
	if a.kind == 'C' {
		return a.w
	}
	return min(a.w, a.h)
}

func (a aperture) turned(turns int) aperture {
	if turns&1 == 1 {
		a.w, a.h = a.h, a.w
	}
	return a
}

// grown is the aperture with d more copper on every side; d may be negative.
func (a aperture) grown(d int64) aperture {
	a.w += 2 * d
	if a.h += 2 * d; a.kind == 'C' {
		a.h = 0
	}
	if a.kind == 'M' {
		a.r += d
		if a.r <= 0 {
			a.kind, a.r = 'R', 0
		}
	}
	return a
}

const (
	top = iota
	bottom
	both
)

// pad is one land or drilled pad, in the board's coordinates.
type pad struct {
	num, net string
	ap       aperture
	p        pt
	side     int
	drill    int64 // finished hole, nought for a surface pad
	slot     pt    // half the slot's centre line, nought for a round hole
	windows  int   // paste windows along each axis, for a large pad
	noPaste  bool
	mask     int64 // how far the mask stays back
	part     *part
}

func (p *pad) shape() shape { return p.ap.shape(p.p) }

// part is a placed footprint.
type part struct {
	ref, val, pkg string
	p             pt
	turns         int
	bottom        bool
	pads          []*pad
	silk          []shape
	court         box
	over          bool   // may stand over the edge
	hollow        bool   // other parts may stand within its courtyard
	unplaced      bool   // no part to place: fiducial, test point, hole
	label         string // what the legend says instead of the reference; a dash for nothing
}

// hole is a hole or slot without plating.
type hole struct {
	p, to pt // equal for a round hole
	d     int64
	keep  int64 // copper-free beyond the hole's edge
}

type track struct {
	a, b pt
	w    int64
	side int
	net  string
}

type via struct {
	p   pt
	net string
}

// pour is a copper area on an outer layer.
type pour struct {
	side int
	net  string
	area []pt // where it may lie; nil for the whole board
}

// plane is a copper area on an inner layer.
type plane struct {
	layer int // 2 or 3
	net   string
	path  []edge
	poly  []pt
}

// class is how wide the tracks of a net are and how far they keep off others.
type class struct{ width, clear int64 }

// board is one board from its first lines to its finished copper. Lengths are nanometres from its own origin.
type board struct {
	name, title, partNo, rev, guid string
	size                           string
	layers                         int
	origin                         pt // added to every coordinate written
	dialect                        dialect
	outline                        []edge
	cutouts                        [][]edge
	edgeClear                      int64
	stitchPitch                    int64
	step                           int64 // of the router's grid
	viaPad, viaDrill               int64
	classes                        []class // classes[0] is for every net not named in classOf
	classOf                        map[string]int
	pourClear                      int64
	textHeight, pen                int64
	unplaced, netlisted            bool // there is no placement file; there is a netlist
	square                         bool // see Made

	parts    []*part
	npth     []hole
	vias     []via
	tracks   []track
	pours    []pour
	planes   []plane
	regions  [2][]item // pours, once poured
	spokes   []track
	legend   [2][]shape
	extra    [2][]item // copper drawn by hand
	bare     [2]bool   // that copper is free of mask
	notes    []note
	unrouted int

	poly   []pt
	polys  [][]pt
	count  map[string]int
	urgent map[string]int // connections that failed before, by how often
}

// note is a legend text at a fixed place.
type note struct {
	s     string
	p     pt
	h     int64
	turns int
	side  int
}

func (b *board) prepare() {
	b.poly = flatten(b.outline)
	for _, c := range b.cutouts {
		b.polys = append(b.polys, flatten(c))
	}
	b.count = map[string]int{}
	for i := range b.planes {
		b.planes[i].poly = flatten(b.planes[i].path)
	}
}

// inset is how far p lies inside the board, negative outside.
func (b *board) inset(p pt) float64 {
	d := polyDist(p, b.poly)
	if !inPolygon(p, b.poly) {
		return -d
	}
	for _, c := range b.polys {
		e := polyDist(p, c)
		if inPolygon(p, c) {
			return -e
		}
		d = min(d, e)
	}
	return d
}

// place puts a footprint on the board. kind is the letter of its reference; nets go to the pads in order.
func (b *board) place(f footprint, kind, val string, x, y float64, turns int, side int, nets ...string) *part {
	b.count[kind]++
	pa := &part{ref: fmt.Sprintf("%s%d", kind, b.count[kind]), val: val, pkg: f.pkg, p: at(x, y), turns: turns,
		bottom: side == bottom, unplaced: f.unplaced, over: f.over}
	put := func(q pt) pt {
		if pa.bottom {
			q.x = -q.x
		}
		return q.quarter(turns).add(pa.p)
	}
	for i, fp := range f.pads {
		pd := &pad{num: fp.num, ap: fp.ap.turned(turns), p: put(fp.p), side: side, drill: fp.drill, windows: fp.windows,
			noPaste: fp.noPaste, mask: mm(0.05), part: pa}
		if fp.mask > 0 {
			pd.mask = fp.mask
		}
		if fp.drill > 0 {
			pd.side = both
			pd.slot = put(fp.slot)
			pd.slot = pt{pd.slot.x - pa.p.x, pd.slot.y - pa.p.y}
		}
		if i < len(nets) {
			pd.net = nets[i]
		}
		if pd.net == "" {
			pd.net = fmt.Sprintf("NC_%s_%s", pa.ref, pd.num)
		}
		pa.pads = append(pa.pads, pd)
	}
	for _, s := range f.silk {
		t := shape{r: s.r}
		for _, q := range s.pts {
			t.pts = append(t.pts, put(q))
		}
		pa.silk = append(pa.silk, t)
	}
	p, q := put(pt{f.court.x0, f.court.y0}), put(pt{f.court.x1, f.court.y1})
	pa.court = box{min(p.x, q.x), min(p.y, q.y), max(p.x, q.x), max(p.y, q.y)}
	for _, h := range f.npth {
		b.npth = append(b.npth, hole{put(h.p), put(h.to), h.d, h.keep})
	}
	b.parts = append(b.parts, pa)
	return pa
}

func (b *board) pads() []*pad {
	var out []*pad
	for _, p := range b.parts {
		out = append(out, p.pads...)
	}
	return out
}

func (b *board) class(net string) class { return b.classes[b.classOf[net]] }

// clear is the distance that copper of two nets keeps.
func (b *board) clear(m, n string) int64 { return max(b.class(m).clear, b.class(n).clear) }

// planeAt says whether the inner plane of a net lies under p with room for a via.
func (b *board) planeAt(net string, p pt) bool {
	for _, pl := range b.planes {
		if pl.net == net && inPolygon(p, pl.poly) && polyDist(p, pl.poly) > float64(b.viaPad/2+mm(0.1)) {
			return true
		}
	}
	return false
}

func (b *board) hasPlane(net string) bool {
	return slices.ContainsFunc(b.planes, func(p plane) bool { return p.net == net })
}

func snap(v, step int64) int64 { return int64(math.Floor(float64(v)/float64(step)+0.5)) * step }
