package breakage

import (
	"cmp"
	"context"
	"encoding/binary"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// part is the room that a part takes on its board.
type part struct {
	panel.Part
	shape geom.Shape
	box   geom.Box
}

// partsOf gives a board's parts: their bodies, or only their places where nobody says the body.
func partsOf(b *panel.Board, wants func(panel.Part) bool) []part {
	if b.PartsElsewhere { // their places mean nothing on this board
		return nil
	}
	var out []part
	for _, p := range b.Parts {
		if wants == nil && p.OnlyDrawn() || wants != nil && !wants(p) {
			continue
		}
		x := part{Part: p, shape: p.At}
		if body, ok := p.BodyOutline(); ok {
			x.shape = geom.Outline{Outer: body}
		}
		x.box = x.shape.Box()
		out = append(out, x)
	}
	return out
}

// near is a part by a break, on every copy that lies alike.
type near struct {
	part          int // index into the board's parts
	source        int // index into the copy's sources: rows of its sides in order, then score lines
	at            geom.Point
	distance      float64
	strain, least float64
}

// strained finds the parts near breaks. Copies of one board that see the same breaks in the same places, and
// lie the same way to the warp, share what is reckoned.
func (s *survey) strained(ctx context.Context, o Options) ([]Strained, error) {
	type placed struct {
		Strained
		copy, part int
	}
	parts := map[*panel.Board][]part{}
	extent := map[*panel.Board]geom.Box{}
	alike := map[string][]near{}
	number := map[*panel.Board]uint64{}
	var all []placed
	for i, c := range s.copies {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if _, ok := parts[c.Board]; !ok {
			list, box := partsOf(c.Board, o.Wants), geom.EmptyBox()
			for _, x := range list {
				box = box.Union(x.box)
			}
			parts[c.Board], extent[c.Board] = list, box
			number[c.Board] = uint64(len(number))
		}
		if len(parts[c.Board]) == 0 {
			continue
		}
		scores := s.scoresSeen(c, extent[c.Board].Grow(o.Reach))
		key := s.key(i, number[c.Board], scores)
		found, ok := alike[key]
		if !ok {
			var err error
			if found, err = s.reckon(ctx, i, parts[c.Board], scores, o); err != nil {
				return nil, err
			}
			alike[key] = found
		}
		if len(found) == 0 {
			continue
		}
		var ids []string
		for _, x := range s.sides[i] {
			for _, e := range x.rows {
				ids = append(ids, s.tabs[s.rows[e.row].tab].ID)
			}
		}
		for _, x := range scores {
			ids = append(ids, s.scores[x.score].ID)
		}
		for _, x := range found {
			all = append(all, placed{Strained{Copy: c.ID, Refdes: parts[c.Board][x.part].Refdes, At: c.Place.Apply(x.at), Break: ids[x.source],
				Distance: geom.Round(x.distance), Strain: x.strain, Least: x.least}, i, x.part})
		}
	}
	slices.SortFunc(all, func(a, b placed) int {
		return cmp.Or(cmp.Compare(b.Strain, a.Strain), cmp.Compare(a.copy, b.copy), cmp.Compare(a.part, b.part))
	})
	out := make([]Strained, len(all))
	for i, x := range all {
		out[i] = x.Strained
	}
	return out, nil
}

// scoreSeen is a piece of a score line as a copy sees it, in its board's coordinates, and what of it lies near.
type scoreSeen struct {
	score int
	line  geom.Edge
}

func (s *survey) scoresSeen(c panel.Copy, window geom.Box) []scoreSeen {
	onPanel, back := c.Place.Box(window), c.Place.Inverse()
	var out []scoreSeen
	for i, x := range s.scores {
		for _, e := range x.pieces {
			if e.Box().Overlaps(onPanel) {
				out = append(out, scoreSeen{i, clipped(back.Edge(e), window)})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b scoreSeen) int { return a.line.Compare(b.line) })
	return out
}

// clipped keeps of a line along an axis what lies in a box: copies see it alike that see as much of it.
func clipped(e geom.Edge, b geom.Box) geom.Edge {
	clamp := func(v, lo, hi geom.Length) geom.Length { return min(max(v, lo), hi) }
	switch {
	case e.From.Y == e.To.Y:
		e.From.X, e.To.X = clamp(e.From.X, b.Min.X, b.Max.X), clamp(e.To.X, b.Min.X, b.Max.X)
	case e.From.X == e.To.X:
		e.From.Y, e.To.Y = clamp(e.From.Y, b.Min.Y, b.Max.Y), clamp(e.To.Y, b.Min.Y, b.Max.Y)
	}
	return e
}

// key is the same for copies whose parts are strained alike.
func (s *survey) key(copy int, board uint64, scores []scoreSeen) string {
	k := binary.AppendUvarint(nil, board)
	length := func(v ...geom.Length) {
		for _, x := range v {
			k = binary.AppendVarint(k, int64(x))
		}
	}
	float := func(v ...float64) {
		for _, x := range v {
			k = binary.BigEndian.AppendUint64(k, math.Float64bits(x))
		}
	}
	line := func(e geom.Edge) { length(e.From.X, e.From.Y, e.To.X, e.To.Y) }
	length(geom.Length(s.copies[copy].Place.Turn.Normal() % geom.Half))
	for _, x := range s.sides[copy] {
		length(geom.Length(len(x.rows)))
		float(x.inward.x, x.inward.y, x.reach)
		for _, e := range x.rows {
			r := s.rows[e.row]
			line(e.seen.line)
			length(geom.Length(e.seen.edge))
			if r.holes {
				float(r.moment[0], r.moment[1])
			} else {
				float(0, 0)
			}
		}
	}
	for _, x := range scores {
		y := s.scores[x.score]
		line(x.line)
		float(y.line[0], y.line[1], y.strip[0], y.strip[1])
		turn := onBoard(s.copies[copy], y.along)
		float(turn.x, turn.y)
	}
	return string(k)
}

// onBoard turns a direction of the panel into that of a copy's board.
func onBoard(c panel.Copy, v vector) vector {
	sin, cos := c.Place.Turn.SinCos()
	return vector{float64(v.x*cos) + float64(v.y*sin), float64(v.y*cos) - float64(v.x*sin)}
}

// reckon finds how each part of a copy that lies near a break is strained: by the break that strains it most.
func (s *survey) reckon(ctx context.Context, copy int, parts []part, scores []scoreSeen, o Options) ([]near, error) {
	c := s.copies[copy]
	stack := laminate.Of(c.Board, s.l)
	bare := stack
	bare.Copper, bare.Thickness = nil, stack.Bare()
	if !(bare.Thickness > 0) {
		return nil, nil
	}
	p := place{survey: s, copy: c, bare: laminate.Bending(s.l, bare, false), half: stack.Thickness / 2, bending: o.Bending}
	bends := make([]bend, len(s.sides[copy]))
	for i, x := range s.sides[copy] {
		bends[i] = p.bend(x, s.facts(copy))
	}
	var out []near
	for i, x := range parts {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		best, found := near{part: i}, false
		keep := func(n near) {
			if !found || n.strain > best.strain {
				n.part = i
				best, found = n, true
			}
		}
		first := 0
		for k, b := range bends {
			if n, ok := b.strain(p, x, float64(o.Reach)); ok {
				n.source += first
				keep(n)
			}
			first += len(s.sides[copy][k].rows)
		}
		for k, y := range scores {
			if n, ok := p.score(s.scores[y.score], y.line, x, float64(o.Reach)); ok {
				n.source = first + k
				keep(n)
			}
		}
		if found {
			out = append(out, best)
		}
	}
	return out, nil
}

// place is what strain is reckoned with on one copy.
type place struct {
	*survey
	copy    panel.Copy
	bare    plate.Bending // of bare laminate, in the panel's axes
	half    float64       // of the board's thickness, mm: to the face that parts stand on
	bending func(geom.Point) plate.Bending
}

// softer is how much more the board gives way at a place in a direction of the panel than bare laminate does.
func (p place) softer(at geom.Point, v vector) float64 {
	if p.bending == nil {
		return 1
	}
	f := yielding(p.bending(p.copy.Place.Apply(at)), v.x, v.y) / yielding(p.bare, v.x, v.y)
	if !(f > 0) || math.IsInf(f, 0) {
		return 1
	}
	return f
}

// micro turns a curvature in 1/mm into strain of the face in µε.
func (p place) micro(curvature float64) float64 { return float64(curvature*p.half) * 1e6 }

// reaches finds the nearest place of a part to a line, if it lies within reach (nm).
func (x part) reaches(line geom.Edge, reach float64) (distance float64, at geom.Point, ok bool) {
	if !x.box.Grow(geom.Round(reach)).Overlaps(line.Box()) {
		return 0, at, false
	}
	distance, at, _ = geom.Distance(x.shape, line)
	return distance, at, distance <= reach
}

// source is the strip that a row's moment enters a board by.
type source struct {
	row      int // index into the side's
	x, y     float64
	half     float64
	strength [2]float64 // moment for each length, N: weak and strong
}

// bend is a side of a copy that is bent until all of its rows break.
type bend struct {
	side
	along   vector
	across  vector // of the panel
	spread  spreading
	sources []source
	ends    [2]float64 // of the copy along the side, mm
	lever   float64
}

func (p place) bend(x side, f *boardFacts) bend {
	out := bend{side: x, along: x.rows[0].seen.along, across: onPanel(p.copy, x.inward), lever: lever(x.reach)}
	out.spread = spreadIn(turned(p.bare, out.across.x, out.across.y))
	out.ends = f.reach(out.along)
	for i, e := range x.rows {
		r := p.rows[e.row]
		if width := e.seen.line.Length() / float64(geom.MM); r.holes && width > 0 {
			middle := e.seen.line.At(0.5)
			out.sources = append(out.sources, source{i, x.inward.of(middle), out.along.of(middle), width / 2,
				[2]float64{r.moment[0] / width, r.moment[1] / width}})
		}
	}
	return out
}

// strain is that at the place of a part nearest to any of the side's rows, from all of them.
//
// The board is no half plane: its other sides are free too. Rows are mirrored at its ends, so that no moment is
// lost past them, and what is left across falls towards the hand, in whose grip it is nothing.
func (b bend) strain(p place, x part, reach float64) (near, bool) {
	out := near{distance: math.Inf(1)}
	for _, s := range b.sources {
		if d, at, ok := x.reaches(b.rows[s.row].seen.line, reach); ok && d < out.distance {
			out.distance, out.at, out.source = d, at, s.row
		}
	}
	if math.IsInf(out.distance, 0) {
		return out, false
	}
	px, py := b.inward.of(out.at), b.along.of(out.at)
	wide := b.ends[1] - b.ends[0]
	var weak, strong bent
	for _, s := range b.sources {
		// A thin plate knows nothing of what is nearer than half of its thickness.
		depth := max(px-s.x, p.half)
		left := 1.0
		if b.lever > 0 {
			left = max(1-depth/b.lever, 0)
		}
		c := b.spread.at(depth, py-s.y, s.half)
		if wide > 0 {
			images := 8
			if depth < 3.5*wide {
				images = 1 + int(2*depth/wide)
			}
			for n := 1 - images; n <= images; n++ {
				shift := float64(2 * float64(n) * wide)
				c.add(1, b.spread.at(depth, py-(2*b.ends[0]-s.y)-shift, s.half))
				if n != 0 {
					c.add(1, b.spread.at(depth, py-s.y-shift, s.half))
				}
			}
			c.add(1, b.spread.at(depth, py-s.y+float64(2*float64(images)*wide), s.half))
		}
		weak.add(float64(left*s.strength[0]), c)
		strong.add(float64(left*s.strength[1]), c)
	}
	f := p.softer(out.at, b.across)
	out.strain, out.least = float64(p.micro(strong.greatest())*f), float64(p.micro(weak.greatest())*f)
	return out, true
}

// score is the strain beside a score line: every length of the line bends the board alike, up to what breaks the web. From there
// the moment falls over the strip on that side, towards the hand, in whose grip it is nothing.
func (p place) score(s score, line geom.Edge, x part, reach float64) (near, bool) {
	d, at, ok := x.reaches(line, reach)
	if !ok {
		return near{}, false
	}
	across := s.along.left()
	from, strip := across.of(p.copy.Place.Apply(at).Sub(s.From)), s.strip[1]
	if from < 0 {
		from, strip = -from, s.strip[0]
	}
	if from > strip { // another line lies between
		return near{}, false
	}
	hand := lever(strip)
	left := 1.0
	if hand > 0 {
		left = max(1-from/hand, 0)
	}
	f := float64(p.softer(at, across) * yielding(p.bare, across.x, across.y) * left)
	return near{at: at, distance: d, strain: p.micro(float64(s.line[1] * f)), least: p.micro(float64(s.line[0] * f))}, true
}
