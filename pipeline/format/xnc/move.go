package xnc

import (
	"math"
	"strconv"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

func itoa(n int) string { return strconv.Itoa(n) }

// coordinate words of one block.
type block struct {
	x, y, a, i, j *word
}

// gather takes the coordinate words at the head of a line.
func gather(ws []word) (b block, n int, repeated bool) {
	for n < len(ws) {
		var p **word
		switch ws[n].letter {
		case 'X':
			p = &b.x
		case 'Y':
			p = &b.y
		case 'A':
			p = &b.a
		case 'I':
			p = &b.i
		case 'J':
			p = &b.j
		default:
			return b, n, false
		}
		if *p != nil {
			return b, n, true
		}
		*p = &ws[n]
		n++
	}
	return b, n, false
}

// length reads a coordinate word.
func (r *reader) length(w *word) (geom.Length, error) {
	if r.layout.unit == "" {
		return 0, r.fault(w.off, "say the unit in the recipe", "the file does not say its unit")
	}
	if !w.num.ok {
		return 0, r.fault(w.off, "the line may have been cut off; "+doExport, "%c needs a number of 1 to %d digits behind it", w.letter, maxDigits)
	}
	if !w.num.point && !r.layout.whole && r.layout.integer+r.layout.decimals == 0 {
		r.layout.integer, r.layout.decimals = 3, 3 // the survey saw no coordinate here; see setUnit
		if r.layout.unit == Inch {
			r.layout.integer, r.layout.decimals = 2, 4
		}
	}
	v, ok := r.layout.length(w.num)
	if !ok || v.Abs() > geom.Limit {
		return 0, r.fault(w.off, "check unit, zeros and digits of the file, and say them in the recipe where the file does not",
			"the coordinate is more than %v from the origin", geom.Limit)
	}
	return v, nil
}

// target gives where X and Y lead from here.
func (r *reader) target(b block, from geom.Point) (geom.Point, error) {
	to := from
	for _, axis := range []struct {
		w *word
		v *geom.Length
	}{{b.x, &to.X}, {b.y, &to.Y}} {
		if axis.w == nil {
			continue
		}
		v, err := r.length(axis.w)
		if err != nil {
			return to, err
		}
		if r.incremental {
			v += *axis.v
		}
		if v.Abs() > geom.Limit {
			return to, r.fault(axis.w.off, "check unit, zeros and digits of the file", "the coordinate is more than %v from the origin", geom.Limit)
		}
		*axis.v = v
	}
	return to, nil
}

// place obeys a block of coordinates: a hole, a slot, a move or a cut.
func (r *reader) place(ws []word, repeat bool) (int, error) {
	r.inHeader, r.reachedBody = false, true
	b, n, repeated := gather(ws)
	if repeated {
		return 0, r.fault(ws[n].off, doExport, "%c stands twice in one block", ws[n].letter)
	}
	if b.x == nil && b.y == nil && !(r.rout && (b.i != nil || b.j != nil)) {
		return 0, r.fault(ws[0].off, doExport, "there is no X or Y in this block")
	}
	if err := r.afterPattern(ws[0].off, b); err != nil {
		return 0, err
	}
	to, err := r.target(b, r.at)
	if err != nil {
		return 0, err
	}
	if n < len(ws) && ws[n].letter == 'G' && ws[n].num.ok && !r.format1 {
		switch g := ws[n]; g.num.value {
		case 85, 87:
			m, err := r.slot(ws[n:], to)
			return n + m, err
		case 81, 82, 83, 84:
			return 0, r.fault(g.off, doWhole, "G%02d, a canned group of holes, is not supported", g.num.value)
		}
	}
	if n < len(ws) && (ws[n].letter == 'G' || ws[n].letter == 'T' || ws[n].letter == 'R') {
		return 0, r.fault(ws[n].off, "give it a line of its own; "+doExport, "%c%02d stands behind the coordinates: whether they come before or after it is not said", ws[n].letter, ws[n].num.value)
	}
	if !r.rout {
		for _, w := range []*word{b.a, b.i, b.j} {
			if w != nil {
				return 0, r.fault(w.off, doExport, "%c belongs to an arc, but the file is drilling here", w.letter)
			}
		}
		return n, r.hole(ws[0].off, to)
	}
	return n, r.cut(ws[0].off, b, to)
}

func (r *reader) hole(off int, at geom.Point) error {
	if err := r.ready(off); err != nil {
		return err
	}
	if len(r.out.Holes) >= r.opt.maxHoles() {
		return r.fault(off, doLimit, "the file has more than %d holes", r.opt.maxHoles())
	}
	r.at, r.lastHole = at, true
	r.out.Holes = append(r.out.Holes, artwork.Hole{Tool: r.current, At: at, Set: r.objSet})
	return nil
}

// ready checks that there is a tool that can make a hole.
func (r *reader) ready(off int) error {
	if r.current < 0 {
		return r.noTool(off)
	}
	if t := r.out.Tools[r.current]; t.Diameter == 0 {
		return r.fault(off, "give the tool its finished diameter; "+doExport, "tool %d, used here, has a diameter of 0", t.Number)
	}
	return nil
}

// repeat obeys R: the last hole again, so many times, each shifted by X and Y from the one before.
func (r *reader) repeat(ws []word) (int, error) {
	w := ws[0]
	b, n, repeated := gather(ws[1:])
	n++
	if repeated || b.a != nil || b.i != nil || b.j != nil || b.x == nil && b.y == nil || w.num.point || w.num.neg {
		return 0, r.fault(w.off, "the form known is R, a count, then X and Y; "+doExport, "this repeat is not understood")
	}
	if n < len(ws) {
		return 0, r.fault(ws[n].off, "the form known is R, a count, then X and Y; "+doExport, "this repeat is not understood")
	}
	if !r.lastHole {
		return 0, r.fault(w.off, doExport, "there is no hole before this repeat")
	}
	d, err := r.shift(b)
	if err != nil {
		return 0, err
	}
	if w.num.int() > r.opt.maxHoles()-len(r.out.Holes) {
		return 0, r.fault(w.off, doLimit, "the file has more than %d holes", r.opt.maxHoles())
	}
	for range w.num.int() {
		to := r.at.Add(d)
		if !to.Within() {
			return 0, r.fault(w.off, "check unit, zeros and digits of the file", "the repeat runs more than %v from the origin", geom.Limit)
		}
		if err := r.hole(w.off, to); err != nil {
			return 0, err
		}
	}
	return n, nil
}

// shift reads X and Y as a way rather than a place.
func (r *reader) shift(b block) (d geom.Point, err error) {
	for _, axis := range []struct {
		w *word
		v *geom.Length
	}{{b.x, &d.X}, {b.y, &d.Y}} {
		if axis.w != nil {
			if *axis.v, err = r.length(axis.w); err != nil {
				return d, err
			}
		}
	}
	return d, nil
}

// slot obeys G85, a row of overlapping holes from one point to another, and G87, the same routed.
func (r *reader) slot(ws []word, from geom.Point) (int, error) {
	b, n, repeated := gather(ws[1:])
	if repeated || b.a != nil || b.i != nil || b.j != nil || b.x == nil && b.y == nil {
		return 0, r.fault(ws[0].off, doExport, "a G%d slot needs the X or Y of its end behind it", ws[0].num.value)
	}
	if r.rout {
		return 0, r.fault(ws[0].off, "G05 must come before the slot; "+doExport, "a G%d slot within rout mode", ws[0].num.value)
	}
	if err := r.ready(ws[0].off); err != nil {
		return 0, err
	}
	to, err := r.target(b, from)
	if err != nil {
		return 0, err
	}
	if from == to {
		return n + 1, r.hole(ws[0].off, to)
	}
	if err := r.countEdge(ws[0].off); err != nil {
		return 0, err
	}
	r.at, r.lastHole = to, false
	r.out.Routs = append(r.out.Routs, artwork.Rout{Tool: r.current, Path: geom.Path{geom.Line(from, to)}, Canned: ws[0].num.value == 85, Set: r.objSet})
	return n + 1, nil
}

func (r *reader) countEdge(off int) error {
	if r.edges++; r.edges > r.opt.maxEdges() {
		return r.fault(off, doLimit, "the file has more than %d slot edges", r.opt.maxEdges())
	}
	return nil
}

// cut moves the cutter, up or down.
func (r *reader) cut(off int, b block, to geom.Point) error {
	from := r.at
	if !r.down {
		switch {
		case r.sense != moveOnly && r.opt.CutsUnlowered && !r.look.lowers && r.moved: // told once, by the file's report
			if err := r.ready(off); err != nil {
				return err
			}
			if !r.unlowered {
				r.unlowered = true
				r.rep.warn("the file never lowers the cutter (M15): what it moves with G01, G02 and G03 is taken as cut")
			}
			r.down = true
		case r.sense != moveOnly:
			return r.fault(off, "M15 must come before the cut; "+doExport, "the cutter is told to cut but has not been lowered")
		}
		if !r.down {
			r.at = to
			return nil
		}
	}
	if err := r.ready(off); err != nil {
		return err
	}
	if r.sense == moveOnly {
		r.rep.warn("the lowered cutter moves without G01; a straight cut is taken")
		r.sense = straight
	}
	if err := r.countEdge(off); err != nil {
		return err
	}
	r.at = to
	if r.sense == straight {
		if b.a != nil || b.i != nil || b.j != nil {
			return r.fault(off, doExport, "a straight cut has no radius or centre")
		}
		if from != to {
			r.path = append(r.path, geom.Line(from, to))
		}
		return nil
	}
	e, err := r.arc(off, b, from, to)
	if err != nil {
		return err
	}
	switch {
	case e.From == e.To && b.a != nil:
		return nil // a radius alone cannot make a full circle
	case e.Center == e.From || e.Center == e.To:
		e = geom.Line(from, to) // an arc of a nanometre or so
	}
	r.path = append(r.path, e)
	return nil
}

// slack is how far an arc's radii or chord may disagree with one another: the rounding of a file
// in thousandths of a millimetre, with room to spare (common practice, no published source).
const slack = 20 * geom.UM

// arc gives the edge of a G02 or G03 block: by radius (A, at most half a turn) or by the way from
// the start to the centre (I and J; the end at the start makes a full circle).
func (r *reader) arc(off int, b block, from, to geom.Point) (geom.Edge, error) {
	sense := geom.Clockwise
	if r.sense == counterClockwise {
		sense = geom.CounterClockwise
	}
	switch {
	case b.a != nil && (b.i != nil || b.j != nil):
		return geom.Edge{}, r.fault(off, doExport, "an arc has both a radius and a centre")
	case b.a != nil:
		radius, err := r.length(b.a)
		if err != nil {
			return geom.Edge{}, err
		}
		centre, ok := centreOf(from, to, radius, sense)
		if !ok {
			return geom.Edge{}, r.fault(b.a.off, doExport, "an arc of this radius does not reach its end")
		}
		return geom.Arc(from, to, centre, sense), nil
	case b.i == nil && b.j == nil:
		return geom.Edge{}, r.fault(off, "give it A, or I and J; "+doExport, "an arc has neither a radius nor a centre")
	}
	var d geom.Point
	var err error
	if b.i != nil {
		if d.X, err = r.length(b.i); err != nil {
			return geom.Edge{}, err
		}
	}
	if b.j != nil {
		if d.Y, err = r.length(b.j); err != nil {
			return geom.Edge{}, err
		}
	}
	centre := from.Add(d)
	r1, r2 := from.Distance(centre), to.Distance(centre)
	if !centre.Within() || r1 == 0 || math.Abs(r1-r2) > float64(slack) {
		return geom.Edge{}, r.fault(off, doExport, "the arc's start and end are not equally far from its centre")
	}
	return geom.Arc(from, to, bisect(from, to, centre), sense), nil
}

// centreOf finds the centre of an arc of at most half a turn.
func centreOf(from, to geom.Point, radius geom.Length, sense geom.Sense) (geom.Point, bool) {
	chord := to.Sub(from)
	c, rad := chord.Norm(), math.Abs(float64(radius))
	if c == 0 {
		return from, rad == 0 || rad <= float64(slack)
	}
	if c > float64(2*rad)+float64(slack) {
		return geom.Point{}, false
	}
	h := math.Sqrt(max(0, float64(rad*rad)-float64(c*c)/4))
	// The centre lies left of the way from start to end for a counter-clockwise arc.
	if sense == geom.Clockwise {
		h = -h
	}
	centre := geom.Point{
		X: geom.Round(float64(from.X+to.X)/2 - float64(h*float64(chord.Y))/c),
		Y: geom.Round(float64(from.Y+to.Y)/2 + float64(h*float64(chord.X))/c),
	}
	return centre, true
}

// bisect moves a centre onto the line of points that are equally far from both ends.
func bisect(from, to, centre geom.Point) geom.Point {
	chord := to.Sub(from)
	c := chord.Norm()
	if c == 0 {
		return centre
	}
	ux, uy := float64(chord.X)/c, float64(chord.Y)/c
	mx, my := float64(from.X+to.X)/2, float64(from.Y+to.Y)/2
	off := float64(ux*(float64(centre.X)-mx)) + float64(uy*(float64(centre.Y)-my))
	return geom.Point{X: geom.Round(float64(centre.X) - float64(ux*off)), Y: geom.Round(float64(centre.Y) - float64(uy*off))}
}

// raise lifts the cutter: what it cut becomes a slot, or a hole where it did not move.
func (r *reader) raise() error {
	if !r.down {
		return nil
	}
	path := r.path
	r.down, r.path = false, nil
	if len(path) == 0 && r.unlowered {
		return nil // a move of no length
	}
	if len(path) == 0 {
		err := r.hole(len(r.data), r.at)
		r.lastHole = false
		return err
	}
	r.lastHole = false
	r.out.Routs = append(r.out.Routs, artwork.Rout{Tool: r.current, Path: path, Set: r.objSet})
	return nil
}
