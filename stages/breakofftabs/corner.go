package breakofftabs

import (
	"math"

	"panelwright/pipeline/geom"
)

// A corner is where an outline turns by more than sharp within a short way: a vertex, an arc of small
// radius, or many short edges that stand for one. From memory, no published source: a row of holes can
// follow an edge of 6 mm radius, and looks like one round a corner on less.
const (
	sharp    = math.Pi / 9  // 20° …
	shortWay = 2 * geom.MM  // … within this: a radius of 5.7 mm
	turned   = math.Pi / 6  // what the whole corner turns to count as a corner that opens or closes
	arcPiece = math.Pi / 36 // arcs are looked at in pieces of 5°
	joined   = 2 * geom.MM  // corners nearer than this are one
)

// zone is a corner's stretch of an outline.
type zone struct {
	from, to float64 // along the outline, nm; to may lie past the end where it begins
	turn     float64 // radians, positive to the left: the board's corner stands out
}

// convex tells whether the board's material stands out in the corner.
func (z zone) convex() bool { return z.turn >= turned }

// middle is where the corner is, as one place.
func (z zone) middle() float64 { return (z.from + z.to) / 2 }

// bend is a small piece of an outline's turning.
type bend struct{ from, to, turn float64 }

// bends lists where and how much an outline turns, in order.
func bends(t *track) []bend {
	var out []bend
	for i, e := range t.path {
		prev := t.path[(i+len(t.path)-1)%len(t.path)]
		if turn := turnBetween(heading(prev, 1), heading(e, 0)); math.Abs(turn) > 1e-6 && len(t.path) > 1 {
			out = append(out, bend{t.starts[i], t.starts[i], turn})
		}
		if e.Sense == geom.Straight {
			continue
		}
		_, sweep := e.Angles()
		n := max(1, int(math.Ceil(math.Abs(sweep)/arcPiece)))
		l := e.Length() / float64(n)
		for k := range n {
			from := t.starts[i] + float64(l*float64(k))
			out = append(out, bend{from, from + l, sweep / float64(n)})
		}
	}
	return out
}

// turnBetween is the angle from one direction to another, between −π and π.
func turnBetween(a, b vector) float64 {
	return geom.Atan2(float64(a[0]*b[1])-float64(a[1]*b[0]), a.dot(b))
}

// corners finds an outline's corners, in order.
func corners(t *track) []zone {
	all := bends(t)
	n := len(all)
	marked := make([]bool, n)
	for i := range all {
		sum := 0.0
		for k := range n {
			j := i + k
			b := all[j%n]
			end := b.to
			if j >= n {
				end += t.length
			}
			if k > 0 && end-all[i].from > float64(shortWay) {
				break
			}
			sum += b.turn // what turns back and forth is rough, not sharp
			if math.Abs(sum) >= sharp {
				for m := i; m <= j; m++ {
					marked[m%n] = true
				}
			}
		}
	}
	var zones []zone
	for i, b := range all {
		if !marked[i] {
			continue
		}
		if k := len(zones) - 1; k >= 0 && b.from-zones[k].to <= float64(joined) {
			zones[k].to = max(zones[k].to, b.to)
			zones[k].turn += b.turn
			continue
		}
		zones = append(zones, zone(b))
	}
	// The last corner may go on past where the outline begins.
	if k := len(zones) - 1; k > 0 && zones[0].from+t.length-zones[k].to <= float64(joined) {
		zones[k].to, zones[k].turn = zones[0].to+t.length, zones[k].turn+zones[0].turn
		zones = zones[1:]
	}
	return zones
}
