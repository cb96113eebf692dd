package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/edgeclass"
)

// bore is a hole of a board, or one edge of a slot's path.
type bore struct {
	edge       geom.Edge // a hole's runs from its middle to its middle
	d          geom.Length
	slot       bool
	plated     bool
	file, tool int
	from, to   int // copper layers
	rout       int // which slot of its file; -1 for holes
	group      int // of what one tool makes of overlapping holes and strokes: its first bore
}

func (b bore) box() geom.Box { return b.edge.Box().Grow((b.d + 1) / 2) }

// name says what it is: "hole of 0.3 mm".
func (b bore) name() string {
	if b.slot {
		return "slot of " + b.d.String()
	}
	return "hole of " + b.d.String()
}

// away is how far two bores are apart, from edge to edge, and where on the first; less than 0 where they overlap.
func (b bore) away(c bore) (float64, geom.Point) {
	d, at, _ := geom.EdgeDistance(b.edge, c.edge)
	return d - float64(b.d+c.d)/2, at
}

// bores lists the holes and slots of a board's drill files.
func bores(b *panel.Board) []bore {
	var out []bore
	for i, f := range b.Drills {
		plated := f.Plating == artwork.Plated
		for _, h := range f.Drilling.Holes {
			out = append(out, bore{geom.Line(h.At, h.At), f.Drilling.Tools[h.Tool].Diameter, false, plated, i, int(h.Tool), f.From, f.To, -1, 0})
		}
		for n, r := range f.Drilling.Routs {
			for _, e := range r.Path {
				out = append(out, bore{e, f.Drilling.Tools[r.Tool].Diameter, true, plated, i, int(r.Tool), f.From, f.To, n, 0})
			}
		}
	}
	return out
}

// groupBores finds what belongs to one slot that a tool nibbles or routs.
func groupBores(all []bore, index *geom.Index[int]) {
	sets := disjoint.New(len(all))
	for i, x := range all {
		index.Search(x.box(), func(_ geom.Box, k int) bool {
			if y := all[k]; k < i && x.file == y.file && x.tool == y.tool {
				if d, _ := x.away(y); d < 0 || x.rout >= 0 && x.rout == y.rout {
					sets.Join(i, k)
				}
			}
			return true
		})
	}
	for i := range all {
		all[i].group = sets.Find(i)
	}
}

// samePlace is how near the middles of two holes lie that are meant to be one: roundings of two files.
const samePlace = 10 * geom.UM

// sameHole is how much a cut-out and a hole may differ that are one: drawn for the drill and for the cutter.
const sameHole = 50 * geom.UM

// byLaser tells whether a bore may be a laser's: it joins two neighbouring layers of a multilayer board.
func (b bore) byLaser(of *panel.Board) bool { return of.CopperCount > 2 && b.to-b.from == 1 }

// meant tells whether two bores of one board belong together, so that no material is expected between them: one
// place in two files, a slot made of overlapping holes or strokes, a slot and the holes along its middle.
func meant(x, y bore) bool {
	if min(x.to, y.to) <= max(x.from, y.from) && (x.to != x.from || y.to != y.from) {
		return true // one lies above the other
	}
	if x.group == y.group {
		return true
	}
	if x.slot && y.slot {
		return x.edge == y.edge || x.edge == y.edge.Reverse()
	}
	d, _, _ := geom.EdgeDistance(x.edge, y.edge)
	return d <= float64(samePlace)
}

// tooNear gathers the pairs that are too near, for one finding.
type tooNear struct {
	n      int
	worst  float64
	at     geom.Point
	x, y   bore
	finite bool
}

func (t *tooNear) add(d float64, at geom.Point, x, y bore) {
	t.n++
	if !t.finite || d < t.worst {
		t.worst, t.at, t.x, t.y, t.finite = d, at, x, y, true
	}
}

// figure says how far the worst pair is apart, in mm.
func (t *tooNear) figure() (v float64, words string) {
	v = math.Round(t.worst) / 1e6
	if v < 0 {
		return v, fmt.Sprintf("overlap by %s mm", trim(-v))
	}
	return v, fmt.Sprintf("have %s mm between them", trim(v))
}

// holeToHole finds holes and slots of boards with too little material between them: those of one board once,
// and those of neighbouring copies once for each way in which copies lie beside each other.
func holeToHole(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, reach := in.Panel, geom.FromMM(in.Limit)
	all := map[*panel.Board][]bore{}
	index := map[*panel.Board]*geom.Index[int]{}
	extent := map[*panel.Board]geom.Box{}
	first := map[*panel.Board]panel.Copy{}
	copies := map[*panel.Board][]string{}
	var boards []*panel.Board
	for _, c := range p.Copies() {
		b := c.Board
		copies[b] = append(copies[b], c.ID)
		if _, ok := all[b]; ok {
			continue
		}
		boards, first[b] = append(boards, b), c
		all[b], index[b], extent[b] = bores(b), &geom.Index[int]{}, geom.EmptyBox()
		for i, x := range all[b] {
			index[b].Insert(x.box(), i)
			extent[b] = extent[b].Union(x.box())
		}
		groupBores(all[b], index[b])
	}
	under := func(d float64) bool { return math.Round(d)/1e6 < in.Limit-tolerance }
	var out []pipeline.Finding
	for _, b := range boards {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var near tooNear
		for i, x := range all[b] {
			var hits []int
			index[b].Search(x.box().Grow(reach), func(_ geom.Box, k int) bool {
				if k > i && !(x.byLaser(b) && all[b][k].byLaser(b)) {
					hits = append(hits, k)
				}
				return true
			})
			slices.Sort(hits)
			for _, k := range hits {
				if d, at := x.away(all[b][k]); under(d) && !meant(x, all[b][k]) {
					near.add(d, at, x, all[b][k])
				}
			}
		}
		if near.n > 0 {
			v, words := near.figure()
			at := first[b].Place.Apply(near.at)
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s of board %s: a %s and a %s %s%s; at least %v mm are asked for", counted(near.n, "pair of holes", "pairs of holes"), b.Name,
					near.x.name(), near.y.name(), words, worstOf(near.n), in.Limit),
				At: &at, Feature: first[b].ID + "/hole", Copies: copies[b], Measured: &v,
			})
		}
	}
	for _, m := range meetings(p.Copies(), func(b *panel.Board) geom.Box { return extent[b] }, reach) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var near tooNear
		window := extent[m.a].Grow(reach)
		for _, y := range all[m.b] {
			y.edge = m.rel.Edge(y.edge)
			box := y.box()
			if !box.Overlaps(window) {
				continue
			}
			var hits []int
			index[m.a].Search(box.Grow(reach), func(_ geom.Box, k int) bool {
				hits = append(hits, k)
				return true
			})
			slices.Sort(hits)
			for _, k := range hits {
				x := all[m.a][k]
				if x.edge == y.edge && x.d == y.d {
					continue // abutted copies share it
				}
				if d, at := x.away(y); under(d) {
					near.add(d, at, x, y)
				}
			}
		}
		if near.n > 0 {
			v, words := near.figure()
			pair := m.pairs[0]
			at := pair[0].Place.Apply(near.at)
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s of %s and %s: a %s and a %s %s%s; at least %v mm are asked for", counted(near.n, "pair of holes", "pairs of holes"), pair[0].ID, pair[1].ID,
					near.x.name(), near.y.name(), words, worstOf(near.n), in.Limit),
				At: &at, Feature: pair[0].ID + "/hole", Copies: m.copies(), Measured: &v,
			})
		}
	}
	return out, nil
}

func worstOf(n int) string {
	if n == 1 {
		return ""
	}
	return ", the worst"
}

// holeToSlot finds holes of boards that lie too near to what is routed: slots, cut-outs, the panel's own edge.
// Castellated holes are meant to be cut.
func holeToSlot(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, reach := in.Panel, geom.FromMM(in.Limit)
	var lines []breakLine
	for _, c := range edges(p) {
		lines = append(lines, breakLine{id: c.id, edge: c.edge})
	}
	var out []pipeline.Finding
	for _, b := range p.Boards() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		all := bores(b)
		extent := geom.EmptyBox()
		for _, x := range all {
			extent = extent.Union(x.box())
		}
		if extent.Empty() {
			continue
		}
		seen := breaksOf(p, b, lines, extent, reach)
		var index geom.Index[int]
		for i, l := range seen {
			index.Insert(l.edge.Box(), i)
		}
		var castellated func(bore) bool // worked out where there is something to tell of
		type touch struct {
			v  float64
			at geom.Point
			id string
		}
		type hit struct {
			hole int
			touch
		}
		hits := map[string][]hit{} // by copy
		for i, x := range all {
			var lines []int
			index.Search(x.box().Grow(reach), func(_ geom.Box, k int) bool {
				lines = append(lines, k)
				return true
			})
			if len(lines) == 0 || beside(b, x) {
				continue
			}
			if castellated == nil {
				var err error
				if castellated, err = castellatedEdge(ctx, b); err != nil {
					return nil, err
				}
			}
			if castellated(x) {
				continue
			}
			slices.Sort(lines)
			nearest := map[string]touch{}
			for _, k := range lines {
				d, at, _ := geom.EdgeDistance(x.edge, seen[k].edge)
				v := math.Round(d-float64(x.d)/2) / 1e6
				if v >= in.Limit-tolerance {
					continue
				}
				for n, c := range seen[k].copies {
					if t, ok := nearest[c.ID]; !ok || v < t.v {
						nearest[c.ID] = touch{v, at, seen[k].ids[n]}
					}
				}
			}
			for id, t := range nearest {
				hits[id] = append(hits[id], hit{i, t})
			}
		}
		// Copies at which the same holes come as near are one.
		told := map[string]int{}
		for _, c := range p.Copies() {
			mine := hits[c.ID]
			if c.Board != b || len(mine) == 0 {
				continue
			}
			var key strings.Builder
			worst := mine[0]
			for _, h := range mine {
				fmt.Fprint(&key, h.hole, " ", h.v, " ")
				if h.v < worst.v {
					worst = h
				}
			}
			if i, ok := told[key.String()]; ok {
				out[i].Copies = append(out[i].Copies, c.ID)
				continue
			}
			told[key.String()] = len(out)
			lies := fmt.Sprintf("lies %s mm from", trim(worst.v))
			if worst.v < 0 {
				lies = "is cut by"
			}
			at := c.Place.Apply(worst.at)
			which := fmt.Sprintf("a %s of board %s", all[worst.hole].name(), b.Name)
			if len(mine) > 1 {
				which = fmt.Sprintf("%d holes of board %s lie too near to what is routed, the nearest: a %s", len(mine), b.Name, all[worst.hole].name())
			}
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s %s %s; at least %v mm are asked for", which, lies, worst.id, in.Limit),
				At: &at, Feature: c.ID + "/hole", Copies: []string{c.ID}, Measured: &worst.v})
		}
	}
	return out, nil
}

// beside tells whether a bore lies wholly beside its board or in a cut-out, and so is none of the board's own, or
// is a cut-out itself, drilled and drawn on the profile too.
func beside(b *panel.Board, x bore) bool {
	for _, path := range b.Outline.CutOuts {
		c, h := path.Box(), x.box()
		if max(c.Min.X-h.Min.X, h.Min.X-c.Min.X, c.Min.Y-h.Min.Y, h.Min.Y-c.Min.Y, c.Max.X-h.Max.X, h.Max.X-c.Max.X, c.Max.Y-h.Max.Y, h.Max.Y-c.Max.Y) <= sameHole {
			return true
		}
	}
	return b.Outline.Locate(x.edge.From) == geom.Outside && b.Outline.Distance(x.edge.From) >= float64(x.d)/2
}

// castellatedEdge tells which bores are cut by an edge that is castellated.
func castellatedEdge(ctx context.Context, b *panel.Board) (func(bore) bool, error) {
	list, err := edgeclass.Find(ctx, b)
	if err != nil {
		return nil, err
	}
	list = slices.DeleteFunc(slices.Clone(list), func(s edgeclass.Stretch) bool { return s.Class != edgeclass.Castellated })
	if len(list) == 0 {
		return func(bore) bool { return false }, nil
	}
	classes := edgeclass.NewLocator(b, list)
	return func(x bore) bool {
		return x.plated && b.Outline.Distance(x.edge.From) < float64(x.d)/2 && classes.Holds(x.edge.From)
	}, nil
}

// smallest gives of the holes that count the first of the smallest.
func smallest(all []bore, counts func(bore) bool) (bore, bool) {
	var least bore
	found := false
	for _, x := range all {
		if counts(x) && (!found || x.d < least.d) {
			least, found = x, true
		}
	}
	return least, found
}

// perBoard judges each placed board once.
func perBoard(p panel.Panel, judge func(b *panel.Board, first panel.Copy) (pipeline.Finding, bool)) []pipeline.Finding {
	type told struct {
		at int
		is bool
	}
	seen := map[*panel.Board]told{}
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		t, ok := seen[c.Board]
		if !ok {
			f, is := judge(c.Board, c)
			t = told{len(out), is}
			seen[c.Board] = t
			if is {
				out = append(out, f)
			}
		}
		if t.is {
			out[t.at].Copies = append(out[t.at].Copies, c.ID)
		}
	}
	return out
}

// smallestHole finds boards whose smallest hole, and tabs whose holes, are smaller than what is drilled.
func smallestHole(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	under := func(d geom.Length) bool { return d.MM() < in.Limit-tolerance }
	out := perBoard(in.Panel, func(b *panel.Board, c panel.Copy) (pipeline.Finding, bool) {
		x, ok := smallest(bores(b), func(x bore) bool { return !x.byLaser(b) })
		if !ok || !under(x.d) {
			return pipeline.Finding{}, false
		}
		v, at := x.d.MM(), c.Place.Apply(x.edge.From)
		return pipeline.Finding{Message: fmt.Sprintf("board %s has a %s; at least %v mm are asked for", b.Name, x.name(), in.Limit),
			At: &at, Feature: c.ID + "/hole", Measured: &v}, true
	})
	for _, h := range in.Panel.Perforations() {
		if under(h.Diameter) {
			v, at := h.Diameter.MM(), h.At
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("perforations are %s mm wide, %s first; at least %v mm are asked for", trim(v), h.ID, in.Limit), At: &at, Feature: h.ID, Measured: &v})
			break // a panel's perforations are alike
		}
	}
	for _, m := range in.Panel.Marks() {
		if m.Kind == panel.ToolingHole && under(m.Diameter) {
			v, at := m.Diameter.MM(), m.At
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s is %s mm wide; at least %v mm are asked for", m.ID, trim(v), in.Limit), At: &at, Feature: m.ID, Measured: &v})
		}
	}
	return out, nil
}

// holeAspect finds boards that are too thick for their smallest plated hole.
func holeAspect(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	return perBoard(in.Panel, func(b *panel.Board, c panel.Copy) (pipeline.Finding, bool) {
		x, ok := smallest(bores(b), func(x bore) bool { return x.plated && x.from == 1 && x.to == b.CopperCount })
		if !ok || x.d <= 0 || b.Thickness <= 0 {
			return pipeline.Finding{}, false
		}
		v := math.Round(float64(b.Thickness)/float64(x.d)*1e6) / 1e6
		if v <= in.Limit+1e-6 {
			return pipeline.Finding{}, false
		}
		assumed := ""
		if b.ThicknessAssumed {
			assumed = " (assumed)"
		}
		at := c.Place.Apply(x.edge.From)
		return pipeline.Finding{Message: fmt.Sprintf("board %s is %s%s thick, %.2f times as much as its narrowest plated %s; at most %v times are asked for", b.Name, b.Thickness, assumed, v, x.name(), in.Limit),
			At: &at, Feature: c.ID + "/hole", Measured: &v}, true
	}), nil
}
