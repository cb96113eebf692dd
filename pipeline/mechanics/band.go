package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// handCut is how long a piece of a tab stands for the row where it has no holes and is cut by hand: it is bridged by
// beams of the full section, as a row is by its ligaments.
const handCut = 500 * geom.UM

// flare is how far beyond a row's ends tabs may flare out beside the slots' round ends.
const flare = 1500 * geom.UM

// groupLength is how much of a row, in mm, moves as one: its ends are taken to stay straight, for a tab's plate is
// far stiffer over so short a stretch than its ligaments are. Longer rows are several groups.
const groupLength = 6.0

// band is what is cut out of the plate for one row: a strip as broad as the holes, from slot to slot. Beams bridge it.
type band struct {
	tab       int // index into the panel's tabs
	row       int
	from, to  geom.Point // ends of the row's line, taken to be straight
	half      float64    // half of its breadth, nm
	along     vector
	across    vector // to the left of along
	ligaments laminate.Row
	groups    []group
}

// group is a stretch of a row that moves as one.
type group struct {
	first, last int     // its ligaments, last included
	from, to    float64 // along the row, nm
}

type vector struct{ x, y float64 }

// bandsOf lays a band over every row of every tab.
func bandsOf(p panel.Panel, l panel.Laminate) []band {
	type key struct {
		tab string
		row int
	}
	holes := map[key][]panel.Perforation{}
	for _, h := range p.Perforations() {
		k := key{h.Tab, h.Row}
		holes[k] = append(holes[k], h)
	}
	thickness := p.Thickness().MM()
	if copies := p.Copies(); len(copies) > 0 {
		thickness = laminate.Of(copies[0].Board, l).Bare() // tabs carry no copper
	}
	var out []band
	for i, t := range p.Tabs() {
		for n, r := range t.Rows {
			if len(r.Line) == 0 {
				continue
			}
			b := band{tab: i, row: n, from: r.Line[0].From, to: r.Line[len(r.Line)-1].To}
			length := b.from.Distance(b.to)
			if length < float64(100*geom.UM) {
				continue
			}
			b.along = vector{float64(b.to.X-b.from.X) / length, float64(b.to.Y-b.from.Y) / length}
			b.across = vector{-b.along.y, b.along.x}
			b.divide(holes[key{t.ID, n}], length)
			b.ligaments.Thickness = thickness
			b.ligaments.Cos, b.ligaments.Sin = b.across.x, b.across.y
			b.half = b.ligaments.Diameter * float64(geom.MM) / 2
			out = append(out, b)
		}
	}
	return out
}

// divide finds the ligaments of a row of the given length and the groups that they move in.
func (b *band) divide(holes []panel.Perforation, length float64) {
	mm := float64(geom.MM)
	l := &b.ligaments
	l.Ends = [2]float64{0, length / mm}
	var cuts []float64 // middles of the holes along the row
	for _, h := range holes {
		cuts = append(cuts, float64(float64(h.At.X-b.from.X)*b.along.x)+float64(float64(h.At.Y-b.from.Y)*b.along.y))
	}
	if len(cuts) == 0 {
		l.Diameter = handCut.MM()
		n := int(math.Ceil(length / mm / groupLength))
		for i := range n {
			from, to := length*float64(i)/float64(n), length*float64(i+1)/float64(n)
			l.Webs, l.At = append(l.Webs, (to-from)/mm), append(l.At, (from+to)/2/mm)
			l.Beside = append(l.Beside, 0)
			b.groups = append(b.groups, group{i, i, from, to})
		}
		return
	}
	l.Holes, l.Diameter = true, holes[0].Diameter.MM()
	if len(cuts) > 1 && cuts[0] > cuts[len(cuts)-1] {
		for i, k := 0, len(cuts)-1; i < k; i, k = i+1, k-1 {
			cuts[i], cuts[k] = cuts[k], cuts[i]
		}
	}
	half := float64(holes[0].Diameter / 2)
	edge := 0.0
	add := func(from, to float64, bounds [2]float64, circles int) {
		// What is narrower than a hundredth of a millimetre holds nothing.
		if to-from < float64(10*geom.UM) {
			return
		}
		k := len(l.Webs)
		l.Beside = append(l.Beside, circles)
		l.Webs, l.At = append(l.Webs, (to-from)/mm), append(l.At, (from+to)/2/mm)
		if n := len(b.groups); n > 0 && bounds[1]-b.groups[n-1].from <= float64(groupLength*mm) {
			b.groups[n-1].last, b.groups[n-1].to = k, bounds[1]
			return
		}
		b.groups = append(b.groups, group{k, k, bounds[0], bounds[1]})
	}
	begin := 0.0
	for i, c := range cuts {
		add(edge, c-half, [2]float64{begin, c}, min(i, 1)+1)
		edge, begin = c+half, c
	}
	add(edge, length, [2]float64{begin, length}, 1)
}

// at is a point by its place along and across the row, nm.
func (b *band) at(along, across float64) geom.Point {
	return geom.Pt(b.from.X+geom.Round(float64(along*b.along.x)+float64(across*b.across.x)),
		b.from.Y+geom.Round(float64(along*b.along.y)+float64(across*b.across.y)))
}

func (b *band) length() float64 { return float64(b.ligaments.Ends[1] * float64(geom.MM)) }

// rectangle is the band from along to along.
func (b *band) rectangle(from, to float64) geom.Path {
	c := [4]geom.Point{b.at(from, -b.half), b.at(to, -b.half), b.at(to, b.half), b.at(from, b.half)}
	return geom.Path{geom.Line(c[0], c[1]), geom.Line(c[1], c[2]), geom.Line(c[2], c[3]), geom.Line(c[3], c[0])}
}

// side is the line at which the plate ends on one side of the band: 0 to the right of along, 1 to the left.
func (b *band) side(n int) geom.Edge {
	h := -b.half
	if n == 1 {
		h = b.half
	}
	return geom.Line(b.at(-float64(flare), h), b.at(b.length()+float64(flare), h))
}

// without cuts the bands out of the material. Where a tab flares out beside a row its cusps go too, but nothing of
// the boards beyond the row's own ends.
func without(ctx context.Context, p panel.Panel, material geom.Region, bands []band, workers int) (geom.Region, error) {
	if len(bands) == 0 {
		return material, nil
	}
	o := overlay.Options{Workers: workers, KeepChords: false}
	var rows, flares overlay.Operand
	for i := range bands {
		b := &bands[i]
		rows.Paths = append(rows.Paths, b.rectangle(0, b.length()))
		flares.Paths = append(flares.Paths, b.rectangle(-float64(flare), 0), b.rectangle(b.length(), b.length()+float64(flare)))
	}
	var boards overlay.Operand
	for _, c := range p.Copies() {
		boards.Paths = append(boards.Paths, c.Place.Path(c.Board.Outline.Outer))
	}
	cusps, err := overlay.Difference(ctx, o, flares, boards)
	if err != nil {
		return nil, err
	}
	return overlay.Difference(ctx, o, overlay.Operand{Paths: geom.Region(material).Paths()}, rows, overlay.Of(cusps...))
}
