package boards

import (
	"fmt"
	"math/rand/v2"
)

// Small makes one of a family of small boards: gauges, relays and loggers of other sizes, holes, parts, layers, revisions and
// ways of writing the files. Equal seeds and numbers give equal bytes; numbers begin at 1, and no two boards have one name or
// part number.
func Small(seed uint64, number int) Made {
	b := small(rand.New(rand.NewPCG(seed, uint64(number))), number)
	b.finish()
	return b.made()
}

// SmallKinds are what the family consists of, by the first part of a board's name.
var SmallKinds = []string{"gauge", "relay", "logger"}

func small(r *rand.Rand, number int) *board {
	kind := SmallKinds[(number-1)%len(SmallKinds)]
	b := &board{
		name: fmt.Sprintf("%s_%02d", kind, number), title: "Reedwater Gauges, small " + kind,
		partNo: fmt.Sprintf("RG-%d", 5000+number), rev: string(rune('A' + r.IntN(6))),
		guid:   fmt.Sprintf("%08x-%04x-4%03x-a%03x-%012x", r.Uint32(), r.IntN(1<<16), r.IntN(1<<12), r.IntN(1<<12), number),
		layers: 2, edgeClear: mm(0.6), step: mm(0.2), viaPad: mm(0.6), viaDrill: mm(0.3), stitchPitch: mm(4),
		classes: []class{{mm(0.2), mm(0.2)}, {mm(0.3), mm(0.2)}}, classOf: map[string]int{"GND": 1, "VDD": 1},
		pourClear: mm(0.25), textHeight: mm(0.9), pen: mm(0.15),
		origin:   pick(r, at(0, 0), at(100, 50), at(-40, -25), at(25.4, 25.4)),
		dialect:  pick(r, dialect{}, dialect{digits5: true}, dialect{comments: true}, dialect{inches: true}),
		unplaced: r.IntN(4) == 0, netlisted: r.IntN(3) == 0,
	}
	if kind == "logger" || r.IntN(4) == 0 {
		b.layers = 4
	}
	l := &layout{b: b, r: r, wide: 18 + 0.5*float64(r.IntN(24))}
	l.corner = pick(r, 0, 0, 1.5, 2, 3)
	l.holes()
	l.parts(kind)
	l.outline()
	l.put()
	return b
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// layout lays a small board's parts in rows, and gives the board the height that they take.
type layout struct {
	b          *board
	r          *rand.Rand
	wide, high float64 // mm
	corner     float64
	hole       float64 // diameter of the mounting holes; 0: none
	every      bool    // one in every corner, not in two
	rim        float64 // kept free of parts below and above
	waiting    []waiting
	x, y, row  float64 // where the next part goes, and how high its row is so far
	signals    []string
}

// waiting is a part that has its place and waits for the board's outline.
type waiting struct {
	f         footprint
	kind, val string
	x, y      float64
	turns     int
	nets      []string
}

const (
	rimless  = 1.2 // mm from the edge to the nearest part
	betweenX = 0.8
	betweenY = 1.0
)

func (l *layout) holes() {
	l.hole = pick(l.r, 2.2, 2.7, 3.2, 0)
	l.every = l.r.IntN(2) == 0
	l.rim = max(3.2, l.hole+2.6)
	l.x, l.y = rimless, l.rim
}

// add gives a part the next place in the row, or the first of the next row.
func (l *layout) add(f footprint, kind, val string, turns int, nets ...string) {
	w, h := float64(f.court.x1-f.court.x0)/1e6, float64(f.court.y1-f.court.y0)/1e6
	if turns&1 == 1 {
		w, h = h, w
	}
	if l.x > rimless && l.x+w > l.wide-rimless {
		l.x, l.y, l.row = rimless, l.y+l.row+betweenY, 0
	}
	l.waiting = append(l.waiting, waiting{f, kind, val, tenth(l.x + w/2), tenth(l.y + h/2), turns, nets})
	l.x += w + betweenX
	l.row = max(l.row, h)
}

// tenth rounds to 0.1 mm.
func tenth(v float64) float64 { return float64(snap(mm(v), 100_000)) / 1e6 }

// signal names a net: a new one, or one that there is.
func (l *layout) signal(fresh int) string {
	if len(l.signals) == 0 || l.r.IntN(100) < fresh {
		l.signals = append(l.signals, fmt.Sprintf("S%d", len(l.signals)+1))
		return l.signals[len(l.signals)-1]
	}
	return pick(l.r, l.signals...)
}

// pins gives n nets, the middle one ground and the last one the supply.
func (l *layout) pins(n int) []string {
	nets := make([]string, n)
	for i := range nets {
		nets[i] = l.signal(60)
	}
	nets[n/2-1], nets[n-1] = "GND", "VDD"
	return nets
}

func (l *layout) parts(kind string) {
	r := l.r
	chips := 8 + r.IntN(7)
	size := pick(r, "0603", "0805")
	switch kind {
	case "gauge":
		for range 1 + r.IntN(2) {
			l.add(dual("MSOP-8", 8, 0.65, 1.25, 0.38, 4.3, 3, 3), "U", "RW-P092", 0, l.pins(8)...)
		}
		l.add(sot(3), "D", "RW-D2", 0, l.signal(0), "GND", l.signal(0))
	case "relay":
		for range 2 + r.IntN(2) {
			drive := l.signal(100)
			l.add(sot(3), "Q", "RW-N30", 0, l.signal(100), "GND", drive)
			l.add(chip("SMA"), "D", "RW-S40", 0, "VDD", drive)
		}
		l.add(chip("LED0603"), "D", "RED", 0, l.signal(0), "VDD")
	case "logger":
		l.add(dual("TSSOP-20", 20, 0.65, 1.35, 0.38, 5.9, 4.4, 6.5), "U", "RW-A2404", 0, l.pins(20)...)
		l.add(dual("SOIC-8", 8, 1.27, 1.55, 0.6, 5.4, 3.9, 4.9), "U", "RW-F032", 0, l.pins(8)...)
		l.add(crystal(), "Y", "RW-8M", 0, l.signal(0), "GND", l.signal(0), "GND")
		chips += 4
		size = pick(r, "0402", "0603")
	}
	pins := min(4+r.IntN(3), int((l.wide-2*rimless)/2.54))
	nets := []string{"VDD", "GND"}
	for len(nets) < pins {
		nets = append(nets, l.signal(0))
	}
	l.add(header(fmt.Sprintf("PIN-1X%d", pins), pins, 1, 2.54, 1.6, 0.95), "J", fmt.Sprintf("RW-25%02d", pins), 1, nets...)
	for i := range chips {
		letter, value := "R", pick(r, "1K0", "4K7", "10K", "100R")
		a, z := l.signal(20), l.signal(0)
		if i%2 == 0 {
			letter, value = "C", pick(r, "100N", "10N", "1U0")
			a, z = pick(r, "VDD", l.signal(0)), "GND"
		}
		l.add(chip(size), letter, value, 0, a, z)
	}
}

// outline draws the board's edge round what stands on it, and its planes.
func (l *layout) outline() {
	b := l.b
	l.high = float64(int(2*(l.y+l.row+l.rim))+1) / 2
	b.size = fmt.Sprintf("%g x %g mm", l.wide, l.high)
	b.square = l.corner == 0
	ring := func(in float64) []edge {
		if b.square {
			return polygon(at(in, in), at(l.wide-in, in), at(l.wide-in, l.high-in), at(in, l.high-in))
		}
		return roundRect(in, in, l.wide-in, l.high-in, l.corner-in)
	}
	b.outline = ring(0)
	b.pours = []pour{{side: top, net: "GND"}, {side: bottom, net: "GND"}}
	if b.layers == 4 {
		b.planes = []plane{{layer: 2, net: "GND", path: ring(0.7)}, {layer: 3, net: "VDD", path: ring(0.7)}}
	}
	b.prepare()
}

// put places holes, fiducials, parts and words.
func (l *layout) put() {
	b, w, h := l.b, l.wide, l.high
	if l.hole > 0 {
		in := l.hole/2 + 1.6
		spots := []pt{at(in, in), at(w-in, h-in)}
		if l.every {
			spots = append(spots, at(w-in, in), at(in, h-in))
		}
		for _, p := range spots {
			b.place(mountHole(l.hole, 0.6), "H", "M", float64(p.x)/1e6, float64(p.y)/1e6, 0, top).label = "-"
		}
	}
	// Clear of the holes: those take 5.6 mm of each corner at most.
	b.place(fiducial(), "FID", "", 7, 1.8, 0, top).label = "-"
	b.place(fiducial(), "FID", "", w-7, h-1.8, 0, top).label = "-"
	for _, p := range l.waiting {
		b.place(p.f, p.kind, p.val, p.x, p.y, p.turns, top, p.nets...)
	}
	b.notes = []note{{b.partNo + " " + b.rev, at(w/2, 1.6), mm(0.8), 0, bottom}}
}
