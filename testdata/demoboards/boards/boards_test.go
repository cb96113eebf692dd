package boards

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made makes each board once for all tests.
var made = sync.OnceValue(func() []*board {
	var out []*board
	for _, m := range demo {
		b := m.make()
		b.finish()
		out = append(out, b)
	}
	return out
})

func TestMadeTwiceGivesEqualBytes(t *testing.T) {
	n := 0
	for _, b := range made() {
		again, ok := MakeDemo(b.name)
		require.True(t, ok)
		for i, f := range b.files() {
			require.Equal(t, f.Name, again.Files[i].Name)
			require.True(t, bytes.Equal(again.Files[i].Data, f.Data), f.Name)
			n++
		}
	}
	require.Greater(t, n, 40)
}

// TestCopperKeepsItsDistance reads the written copper files back and paints them: no two nets meet or come nearer than
// 0.15 mm, and no copper comes nearer to the board's edge than the board promises.
func TestCopperKeepsItsDistance(t *testing.T) {
	for _, b := range made() {
		for _, f := range b.files() {
			if !strings.Contains(f.Name, "_copper_") {
				continue
			}
			t.Run(f.Name, func(t *testing.T) {
				p := newPainting(b, pixel)
				read(t, f.Data, p.paint)
				require.Empty(t, p.meets, "nets that meet")
				require.Empty(t, p.near(mm(0.15)), "nets nearer than 0.15 mm")
				require.Empty(t, p.nearEdge(b, b.edgeClear-mm(0.012)), "copper too near to the edge")
			})
		}
	}
}

// TestChecksSeeFaults plants faults and expects the checks to see them.
func TestChecksSeeFaults(t *testing.T) {
	b := made()[2]
	p := newPainting(b, pixel)
	p.paint(drawn{shapes: []shape{{[]pt{at(0, 0)}, mm(0.5)}}, net: "A"})
	p.paint(drawn{shapes: []shape{{[]pt{at(1.12, 0)}, mm(0.5)}}, net: "B"})
	require.Len(t, p.near(mm(0.15)), 1)
	p.paint(drawn{shapes: []shape{{[]pt{at(1.5, 0)}, mm(0.6)}}, net: "A"})
	require.NotEmpty(t, p.meets)
	p.paint(drawn{shapes: []shape{{[]pt{at(14.2, 0)}, mm(0.4)}}, net: "A"})
	require.NotEmpty(t, p.nearEdge(b, mm(0.5)))
}

func TestPartsStandClear(t *testing.T) {
	for _, b := range made() {
		n := 0
		var clash []string
		for i, p := range b.parts {
			if !p.over {
				for _, q := range []pt{{p.court.x0, p.court.y0}, {p.court.x1, p.court.y0}, {p.court.x1, p.court.y1}, {p.court.x0, p.court.y1}} {
					require.Greater(t, b.inset(q), 0.0, "%s: %s reaches over the edge", b.name, p.ref)
				}
			} else {
				require.Equal(t, -mm(1.2), p.court.x0, "the overhang")
				n++
			}
			for _, q := range b.parts[:i] {
				if p.bottom == q.bottom && standInEachOther(p, q) {
					clash = append(clash, p.ref+" and "+q.ref)
				}
				for _, s := range p.pads {
					for _, z := range q.pads {
						if (s.drill > 0 || z.drill > 0) && s.side != z.side && s.shape().box().meets(z.shape().box()) {
							clash = append(clash, "pads of "+p.ref+" and "+q.ref)
						}
					}
				}
			}
		}
		assert.Empty(t, clash, "%s: parts that overlap", b.name)
		require.Equal(t, b.name == "gauge", n == 1, "only the gauge has a connector over its edge")
	}
}

// standInEachOther compares courtyards; of a hollow part only the pads count.
func standInEachOther(p, q *part) bool {
	for _, a := range footholds(p) {
		for _, b := range footholds(q) {
			if a.meets(b) {
				return true
			}
		}
	}
	return false
}

func footholds(p *part) []box {
	if !p.hollow {
		return []box{p.court}
	}
	var out []box
	for _, q := range p.pads {
		out = append(out, q.shape().box())
	}
	return out
}

// TestLegendKeepsOffBareMetal paints the mask's openings and the legend as two nets.
func TestLegendKeepsOffBareMetal(t *testing.T) {
	for _, b := range made() {
		data := map[string][]byte{}
		for _, f := range b.files() {
			data[f.Name] = f.Data
		}
		for _, side := range []string{"top", "bottom"} {
			p := newPainting(b, pixel)
			read(t, data[b.name+"_mask_"+side+".gbr"], func(d drawn) { d.net = "mask"; p.paint(d) })
			n := 0
			read(t, data[b.name+"_legend_"+side+".gbr"], func(d drawn) { d.net = "legend"; n++; p.paint(d) })
			assert.Empty(t, p.meets, "%s %s: legend over bare metal", b.name, side)
			require.Greater(t, n, 20, "%s %s", b.name, side)
		}
	}
}

func TestBoardsAreWhatTheirNotesSay(t *testing.T) {
	for i, want := range []struct{ parts, pads, layers int }{{180, 700, 4}, {40, 180, 4}, {12, 40, 2}, {25, 80, 2}} {
		b := made()[i]
		n := 0
		for _, p := range b.parts {
			if !p.unplaced {
				n++
			}
		}
		require.GreaterOrEqual(t, n, want.parts, b.name)
		require.LessOrEqual(t, n, 250, b.name)
		require.GreaterOrEqual(t, len(b.pads()), want.pads, b.name)
		require.Equal(t, want.layers, b.layers)
		require.LessOrEqual(t, float64(b.unrouted), 0.05*float64(len(b.pads())), "%s: pads left without a track", b.name)
	}
}

// drawn is one object read back.
type drawn struct {
	shapes []shape
	poly   []pt
	net    string
	light  bool
}

// read understands the subset of the layer format that this program writes, and hands out what is drawn, in the
// board's own coordinates moved by the file's origin.
func read(t *testing.T, data []byte, draw func(drawn)) {
	t.Helper()
	var unit int64 = 1
	trailing := false
	aps := map[string]aperture{}
	var ap aperture
	var cur pt
	net, pin := "", ""
	light, inRegion := false, false
	arc := straight
	var contour []edge
	num := func(s string) int64 {
		neg := strings.HasPrefix(s, "-")
		s = strings.TrimPrefix(s, "-")
		if trailing {
			s += strings.Repeat("0", 9-len(s))
		}
		var v int64
		_, err := fmt.Sscan(strings.TrimLeft(s, "0"), &v)
		if err != nil {
			v = 0
		}
		if neg {
			v = -v
		}
		return v * unit
	}
	scale := 1e6
	end := func() {
		if len(contour) > 0 {
			require.Equal(t, contour[0].a, contour[len(contour)-1].b, "a contour stays open")
			draw(drawn{poly: flatten(contour), net: net, light: light})
			contour = nil
		}
	}
	attr := func(s string) {
		switch {
		case s == "TD":
			net, pin = "", ""
		case strings.HasPrefix(s, "TO.P,"):
			pin = s[5:]
		case strings.HasPrefix(s, "TO.N,"):
			if net = s[5:]; net == "N/C" {
				net = "N/C " + pin
			}
		}
	}
	for _, l := range strings.Split(string(data), "\n") {
		switch {
		case strings.HasPrefix(l, "G04 #@! "):
			attr(strings.TrimSuffix(l[8:], "*"))
			continue
		case strings.HasPrefix(l, "%T"):
			attr(strings.Trim(l, "%*"))
			continue
		case strings.HasPrefix(l, "%FST"):
			trailing, unit = true, 10
			continue
		case strings.HasPrefix(l, "%FSLAX25"):
			unit, scale = 254, 25.4e6
			continue
		case strings.HasPrefix(l, "%LP"):
			light = l[3] == 'C'
			continue
		case strings.HasPrefix(l, "%ADD"):
			name, rest, _ := strings.Cut(strings.Trim(l[4:], "%*"), ",")
			var v [3]float64
			for i, s := range strings.Split(rest, "X") {
				_, err := fmt.Sscan(s, &v[i])
				require.NoError(t, err, l)
			}
			kind := map[string]byte{"C": 'C', "R": 'R', "O": 'O', "SoftRect": 'M', "CutRect": 'X'}[name[2:]]
			n := func(f float64) int64 { return int64(math.Round(f * scale)) }
			aps[name[:2]] = aperture{kind: kind, w: n(v[0]), h: n(v[1]), r: n(v[2])}
			require.NotZero(t, kind, l)
			continue
		case strings.HasPrefix(l, "D"):
			a, ok := aps[l[1:3]]
			require.True(t, ok, l)
			ap = a
			continue
		}
		switch l {
		case "G01*", "G02*", "G03*":
			arc = int(l[2] - '1')
		case "G36*":
			inRegion = true
		case "G37*":
			end()
			inRegion = false
		}
		if !strings.HasPrefix(l, "X") {
			continue
		}
		l = strings.TrimSuffix(l, "*")
		op := l[len(l)-3:]
		x, y, _ := strings.Cut(l[1:len(l)-3], "Y")
		y, ij, _ := strings.Cut(y, "I")
		p := pt{num(x), num(y)}
		switch op {
		case "D02":
			end()
		case "D03":
			draw(drawn{shapes: []shape{ap.shape(p)}, net: net, light: light})
		case "D01":
			e := edge{a: cur, b: p, arc: arc}
			if arc != straight {
				i, j, _ := strings.Cut(ij, "J")
				e.c = pt{cur.x + num(i), cur.y + num(j)}
			}
			if inRegion {
				contour = append(contour, e)
				break
			}
			ap.kind = 'C'
			draw(drawn{shapes: item{kind: stroke, ap: ap, a: e.a, b: e.b, c: e.c, arc: arc}.shapes(), net: net, light: light})
		}
		cur = p
	}
}

const pixel = 25_000

// painting is a raster of nets, its pixels' middles tested.
type painting struct {
	o, origin pt
	nx, ny    int
	px        []int32
	names     []string
	ids       map[string]int32
	meets     []string
}

func newPainting(b *board, px int64) *painting {
	bb := shape{pts: b.poly}.box().grow(mm(2))
	p := &painting{o: pt{bb.x0, bb.y0}, origin: b.origin, nx: int((bb.x1 - bb.x0) / px), ny: int((bb.y1 - bb.y0) / px), ids: map[string]int32{}, names: []string{""}}
	p.px = make([]int32, p.nx*p.ny)
	return p
}

func (p *painting) point(i int) pt {
	return pt{p.o.x + int64(i%p.nx)*pixel, p.o.y + int64(i/p.nx)*pixel}
}

func (p *painting) paint(d drawn) {
	id, ok := p.ids[d.net]
	if !ok {
		id = int32(len(p.names))
		p.ids[d.net] = id
		p.names = append(p.names, d.net)
	}
	set := func(i int) {
		if d.light {
			p.px[i] = 0
			return
		}
		if was := p.px[i]; was != 0 && was != id && len(p.meets) < 20 {
			q := p.point(i)
			p.meets = append(p.meets, fmt.Sprintf("%s and %s at %.3f, %.3f", p.names[was], d.net, float64(q.x)/1e6, float64(q.y)/1e6))
		}
		p.px[i] = id
	}
	for _, s := range d.shapes {
		m := shape{r: s.r}
		for _, q := range s.pts {
			m.pts = append(m.pts, pt{q.x - p.origin.x, q.y - p.origin.y})
		}
		bb := m.box()
		for y := max(0, int((bb.y0-p.o.y)/pixel)); y <= min(p.ny-1, int((bb.y1-p.o.y)/pixel)+1); y++ {
			for x := max(0, int((bb.x0-p.o.x)/pixel)); x <= min(p.nx-1, int((bb.x1-p.o.x)/pixel)+1); x++ {
				if i := y*p.nx + x; m.dist(p.point(i)) == 0 {
					set(i)
				}
			}
		}
	}
	if len(d.poly) == 0 {
		return
	}
	for y := range p.ny {
		// Halfway between two nanometres no vertex lies, so every crossing counts once.
		fy := float64(p.o.y+int64(y)*pixel+p.origin.y) + 0.5
		var xs []float64
		for i, a := range d.poly {
			b := d.poly[(i+1)%len(d.poly)]
			if (float64(a.y) > fy) != (float64(b.y) > fy) {
				xs = append(xs, float64(a.x)+(fy-float64(a.y))/float64(b.y-a.y)*float64(b.x-a.x))
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			from := int(math.Ceil((xs[i] - float64(p.o.x+p.origin.x)) / pixel))
			to := int(math.Floor((xs[i+1] - float64(p.o.x+p.origin.x)) / pixel))
			for x := max(0, from); x <= min(p.nx-1, to); x++ {
				set(y*p.nx + x)
			}
		}
	}
}

// rim calls f for every painted pixel with a neighbour of another colour.
func (p *painting) rim(f func(i int)) {
	for y := 1; y < p.ny-1; y++ {
		for x := 1; x < p.nx-1; x++ {
			i := y*p.nx + x
			if c := p.px[i]; c != 0 && (p.px[i-1] != c || p.px[i+1] != c || p.px[i-p.nx] != c || p.px[i+p.nx] != c) {
				f(i)
			}
		}
	}
}

// near lists the pairs of nets whose pixels come nearer than d, each once.
func (p *painting) near(d int64) []string {
	var offs [][2]int
	n := int(d/pixel) + 1
	for y := -n; y <= n; y++ {
		for x := -n; x <= n; x++ {
			if math.Hypot(float64(x), float64(y))*pixel < float64(d)-1000 {
				offs = append(offs, [2]int{x, y})
			}
		}
	}
	var out []string
	seen := map[[2]int32]bool{}
	p.rim(func(i int) {
		for _, o := range offs {
			x, y := i%p.nx+o[0], i/p.nx+o[1]
			if x < 0 || y < 0 || x >= p.nx || y >= p.ny {
				continue
			}
			a, b := p.px[i], p.px[y*p.nx+x]
			if b != 0 && a < b && !seen[[2]int32{a, b}] {
				seen[[2]int32{a, b}] = true
				q := p.point(i)
				out = append(out, fmt.Sprintf("%s and %s at %.3f, %.3f", p.names[a], p.names[b], float64(q.x)/1e6, float64(q.y)/1e6))
			}
		}
	})
	return out
}

func (p *painting) nearEdge(b *board, d int64) []string {
	var out []string
	p.rim(func(i int) {
		if q := p.point(i); len(out) < 10 && b.inset(q) < float64(d) {
			out = append(out, fmt.Sprintf("%s at %.3f, %.3f", p.names[p.px[i]], float64(q.x)/1e6, float64(q.y)/1e6))
		}
	})
	return out
}
