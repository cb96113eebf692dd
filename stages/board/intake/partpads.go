package intake

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// pad is where a part is soldered, seen from the top as all layers are.
type pad struct {
	at     geom.Point // the centre of what is drawn
	box    geom.Box
	refdes string // of its part, where the layer says it
}

// like tells whether two pads are of one size.
func (p pad) like(q pad) bool {
	const drawn = 20 * geom.UM
	return (p.box.Width()-q.box.Width()).Abs() <= drawn && (p.box.Height()-q.box.Height()).Abs() <= drawn
}

// field is the pads of one side, to be found by place.
type field struct {
	pads  []pad
	cells map[[2]int32][]int32
	box   geom.Box
}

const fieldCell = geom.MM

func fieldCellOf(p geom.Point) [2]int32 {
	down := func(v geom.Length) int32 { return int32(math.Floor(float64(v) / float64(fieldCell))) }
	return [2]int32{down(p.X), down(p.Y)}
}

func newField(pads []pad) *field {
	slices.SortStableFunc(pads, func(a, b pad) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(b.refdes, a.refdes), cmp.Compare(a.box.Width(), b.box.Width()), cmp.Compare(a.box.Height(), b.box.Height()))
	})
	pads = slices.CompactFunc(pads, func(a, b pad) bool { return a.at == b.at })
	f := &field{pads: pads, cells: map[[2]int32][]int32{}, box: geom.EmptyBox()}
	for i, p := range pads {
		f.cells[fieldCellOf(p.at)] = append(f.cells[fieldCellOf(p.at)], int32(i))
		f.box = f.box.Extend(p.at)
	}
	return f
}

// around calls do for the pads of the cells at distance ring from q's.
func (f *field) around(q geom.Point, ring int32, do func(i int32)) {
	c := fieldCellOf(q)
	for x := -ring; x <= ring; x++ {
		step := int32(1)
		if x != -ring && x != ring {
			step = max(1, 2*ring)
		}
		for y := -ring; y <= ring; y += step {
			for _, i := range f.cells[[2]int32{c[0] + x, c[1] + y}] {
				do(i)
			}
		}
	}
}

// nearest gives the pad nearest to q within far, −1 when there is none.
func (f *field) nearest(q geom.Point, far geom.Length) (best int32, away float64) {
	best, away = -1, math.Inf(1)
	if !f.box.Grow(far).HoldsPoint(q) {
		return best, away
	}
	for ring := int32(0); ring <= int32(far/fieldCell)+1 && float64(ring-1)*float64(fieldCell) <= away; ring++ {
		f.around(q, ring, func(i int32) {
			if d := f.pads[i].at.Distance(q); d < away || d == away && i < best {
				best, away = i, d
			}
		})
	}
	if away > float64(far) {
		return -1, away
	}
	return best, away
}

// agreement is how far a place may lie from what it is held against: placements have two decimals of
// a millimetre or whole mils, as often as not.
const agreement = 30 * geom.UM

// centre tells whether a part could stand at c: on a pad, or so that its nearest pad has its like
// opposite, as most packages have. It gives the place that the pads say.
func (f *field) centre(c geom.Point) (geom.Point, bool) {
	const far = 15 * geom.MM
	i, away := f.nearest(c, far)
	if i < 0 {
		return c, false
	}
	p := f.pads[i]
	if away <= float64(agreement) {
		return p.at, true
	}
	opposite := geom.Pt(2*c.X-p.at.X, 2*c.Y-p.at.Y)
	found, best := int32(-1), math.Inf(1)
	for ring := int32(0); ring <= 1; ring++ {
		f.around(opposite, ring, func(j int32) {
			q := f.pads[j]
			if d := q.at.Distance(opposite); j != i && d <= 2*float64(agreement) && q.like(p) && (d < best || d == best && j < found) {
				found, best = j, d
			}
		})
	}
	if found < 0 {
		return c, false
	}
	q := f.pads[found].at
	return geom.Pt((p.at.X+q.X)/2, (p.at.Y+q.Y)/2), true
}

// centres are places at which a part could stand: the pads, and the middles of pads and their likes
// nearby.
func (f *field) centres() []geom.Point {
	const (
		near  = 6 // mm
		likes = 4
		most  = 6000 // pads looked at
	)
	stride := len(f.pads)/most + 1
	var out []geom.Point
	type other struct {
		i    int32
		away float64
	}
	var found []other
	for i := 0; i < len(f.pads); i += stride {
		p := f.pads[i]
		out = append(out, p.at)
		found = found[:0]
		for ring := int32(0); ring <= near; ring++ {
			if len(found) >= likes && found[likes-1].away <= float64(ring-1)*float64(fieldCell) {
				break
			}
			f.around(p.at, ring, func(j int32) {
				if int(j) != i && f.pads[j].like(p) {
					found = append(found, other{j, f.pads[j].at.Distance(p.at)})
				}
			})
			slices.SortFunc(found, func(a, b other) int { return cmp.Or(cmp.Compare(a.away, b.away), cmp.Compare(a.i, b.i)) })
		}
		for _, o := range found[:min(likes, len(found))] {
			q := f.pads[o.i].at
			out = append(out, geom.Pt((p.at.X+q.X)/2, (p.at.Y+q.Y)/2))
		}
	}
	slices.SortFunc(out, geom.Point.Compare)
	return slices.Compact(out)
}

// padsOn gives the pads of a side: those that the copper layer names by its attributes; where it names
// none, the openings of the soldermask; where there is no mask, what is flashed on the copper layer.
func (r *Result) padsOn(side panel.Side) []pad {
	var copper, mask *artwork.Image
	for _, l := range r.layers {
		switch {
		case l.file.Image == nil || l.file.Image.Negative || l.is.Side != side:
		case l.is.Kind == panel.Copper:
			copper = l.file.Image
		case l.is.Kind == panel.Soldermask:
			mask = l.file.Image
		}
	}
	if copper != nil {
		if named := namedPads(copper); len(named) > 0 {
			return named
		}
	}
	if mask != nil {
		if open := openings(mask); len(open) > 0 {
			return open
		}
	}
	if copper == nil {
		return nil
	}
	var out []pad
	for _, o := range copper.Objects {
		if o.Kind == artwork.Flash && !o.Clear && !noPad(function(copper, o)) {
			out = append(out, pad{at: o.Edge.From, box: copper.Box(o)})
		}
	}
	return out
}

// function is the aperture function of an object, "" where the file does not say it.
func function(m *artwork.Image, o artwork.Object) string {
	set := o.AperSet
	if o.Aperture >= 0 {
		set = m.Apertures[o.Aperture].Set
	}
	if v := m.Sets[set].Get(".AperFunction"); len(v) > 0 {
		return v[0]
	}
	return ""
}

// noPad tells whether an aperture function says that a part is not soldered there (layer format
// specification, section 5.6.10).
func noPad(function string) bool {
	switch function {
	case "", "SMDPad", "ComponentPad", "BGAPad", "HeatsinkPad", "ConnectorPad", "CastellatedPad", "TestPad", "FiducialPad", "EtchedComponent":
		return false
	}
	return true
}

// namedPads are the pads that carry their part's name (attributes .P and .C of the layer format).
func namedPads(m *artwork.Image) []pad {
	var out []pad
	for _, o := range m.Objects {
		if o.Clear || o.Kind == artwork.Stroke || noPad(function(m, o)) {
			continue
		}
		a := m.Sets[o.Set]
		v := a.Get(".P")
		if len(v) == 0 {
			v = a.Get(".C")
		}
		if len(v) == 0 || v[0] == "" {
			continue
		}
		b := m.Box(o)
		p := pad{at: b.Center(), box: b, refdes: v[0]}
		if o.Kind == artwork.Flash {
			p.at = o.Edge.From
		}
		out = append(out, p)
	}
	return out
}

// openings are the places that a soldermask leaves free. Some systems draw long openings as one
// stroke; where strokes are many, they fill areas.
func openings(m *artwork.Image) []pad {
	const large = 25 * geom.MM
	var out, strokes []pad
	for _, o := range m.Objects {
		if o.Clear {
			continue
		}
		b := m.Box(o)
		p := pad{at: b.Center(), box: b}
		switch {
		case b.Width() > large || b.Height() > large:
		case o.Kind == artwork.Stroke:
			strokes = append(strokes, p)
		case o.Kind == artwork.Flash:
			p.at = o.Edge.From
			out = append(out, p)
		default:
			out = append(out, p)
		}
	}
	if len(strokes) <= 2*len(out) {
		out = append(out, strokes...)
	}
	return out
}
