package breakofftabs

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// candidate is a place where a tab may stand.
type candidate struct {
	copy    int     // the first copy that it holds, an index
	at      float64 // along the first copy's outline
	foot    geom.Point
	out     vector // outwards from the first copy
	gap     float64
	target  int // another copy, or frameTarget
	otherAt float64
	other   geom.Point // where it stands on what it holds to
	waist   geom.Length
	half    float64 // half of what it takes up along the edge
	pinned  bool
}

// placed is a copy with what its edge says.
type placed struct {
	panel.Copy
	*edge
	faces []run[faced]
	bars  []barred
	free  []stretch
	all   bool // all of the edge is free
}

// faced is what a place of an edge faces; the gap in whole micrometres, so that places alike are one.
type faced struct {
	target int
	leans  bool
}

// onPanel gives a place on a copy's edge on the panel: point, tangent.
func (c *placed) onPanel(at float64) (geom.Point, vector) {
	p, v := c.track.at(at)
	if c.Place.Turn == 0 {
		return c.Place.Apply(p), v
	}
	const long = 1e9 // nm: the direction to nine digits
	d := geom.Transform{Turn: c.Place.Turn}.Apply(geom.Pt(geom.Round(v[0]*long), geom.Round(v[1]*long)))
	return c.Place.Apply(p), unit(d)
}

// project gives the place on a copy's edge nearest to a point of the panel.
func (c *placed) project(p geom.Point) float64 { return c.track.project(c.Place.Inverse().Apply(p)) }

// standing is what the stage knows before it places tabs.
type standing struct {
	*BreakoffTabs
	ground *ground
	walls  *geom.Index[wall]
	copies []*placed
	bodies []*body
	bodyOf []int       // of each copy
	leave  geom.Length // the most blank laminate between a board and its score line
	width  geom.Length // of the slots
	corner geom.Length // radius with which slots end
}

// reach is how far across a slot a tab may reach: two bands that just meet.
func (s *standing) reach() float64 { return 2*float64(s.width) + float64(touching) }

// half is half of what a tab of the given waist takes up along an edge.
func (s *standing) half(waist geom.Length) float64 { return float64(waist)/2 + float64(s.corner) }

// edges looks at the boards' outlines.
func (s *standing) edges(ctx context.Context, env *pipeline.Env, in panel.Panel) error {
	var boards []*panel.Board
	for _, c := range in.Copies() {
		if !slices.Contains(boards, c.Board) {
			boards = append(boards, c.Board)
		}
	}
	waist := s.waist(s.width, s.corner)
	edges := make([]*edge, len(boards))
	if err := pipeline.Each(ctx, env.Workers, len(boards), func(i int) error {
		var err error
		edges[i], err = s.edgeOf(ctx, boards[i], s.half(waist), float64(waist))
		return err
	}); err != nil {
		return err
	}
	for _, c := range in.Copies() {
		s.copies = append(s.copies, &placed{Copy: c, edge: edges[slices.Index(boards, c.Board)]})
	}
	return nil
}

// look looks along every copy's edge at what it faces.
func (s *standing) look(ctx context.Context, env *pipeline.Env, in panel.Panel) error {
	s.walls = walls(in, s.ground)
	waist := s.waist(s.width, s.corner)
	return pipeline.Each(ctx, env.Workers, len(s.copies), func(i int) error {
		s.lookAlong(i, waist)
		return ctx.Err()
	})
}

// lookAlong finds what a copy's edge faces and where it is free for tabs.
func (s *standing) lookAlong(i int, waist geom.Length) {
	c := s.copies[i]
	n := int(math.Ceil(c.track.length / float64(sampleStep)))
	says := make([]faced, n)
	for k := range says {
		p, along := c.onPanel(float64(c.track.length * (float64(k) + 0.5) / float64(n)))
		target, gap, leans := look(s.walls, i, p, along.right(), s.reach())
		if target >= 0 && gap <= float64(touching) {
			target = noTarget // they touch: nothing to leave a tab in
		}
		says[k] = faced{target, leans && holds(target)}
	}
	c.faces = runs(c.track.length, says)
	c.bars = slices.Clone(c.edge.bars)
	half := s.half(waist)
	for k, r := range c.faces {
		why := reason("")
		switch {
		case r.says.target == panelEdge:
			why = isPanelEdge
		case r.says.target == ownTarget:
			why = facesItself
		case r.says.target == noTarget:
			why = facesNothing
		case r.says.leans:
			why = facesOblique
		}
		switch {
		case why != "":
			c.bars = append(c.bars, barred{r.from, r.to, half, why})
		case len(c.faces) > 1: // a tab stands before one thing only
			next := c.faces[(k+1)%len(c.faces)]
			if next.says.target != r.says.target {
				c.bars = append(c.bars, barred{r.to, r.to, half, facesOblique})
			}
		}
	}
	c.bars = append(c.bars, s.forbidden(c)...)
	c.free, c.all = free(c.track.length, c.bars)
}

// candidateStep is how far apart candidates lie, at most, on boards up to half a metre round; larger
// boards have no more of them.
const (
	candidateStep  = geom.MM
	candidateCount = 500
)

// candidates lists where tabs may stand on the whole panel, in the order of the copies and along their
// outlines. A tab between two copies is listed with the first of them.
func (s *standing) candidates() []candidate {
	var out []candidate
	for i, c := range s.copies {
		step := max(float64(candidateStep), c.track.length/candidateCount)
		spots := []float64{}
		if c.all {
			n := 4 * int(math.Ceil(c.track.length/(4*step)))
			for k := range n {
				spots = append(spots, float64(c.track.length*float64(k)/float64(n)))
			}
		}
		for _, x := range c.free {
			spots = append(spots, places(x, step)...)
		}
		for _, at := range spots {
			if k, ok := s.candidate(i, at); ok && k.target >= 0 && k.target < i {
				continue // listed with the other copy
			} else if ok {
				out = append(out, k)
			}
		}
	}
	return out
}

// candidate makes the candidate at a place of a copy's edge; false where the other side bars it.
func (s *standing) candidate(i int, at float64) (candidate, bool) {
	c := s.copies[i]
	p, along := c.onPanel(at)
	target, gap, leans := look(s.walls, i, p, along.right(), s.reach())
	if leans || !holds(target) || gap <= float64(touching) {
		return candidate{}, false
	}
	k := candidate{copy: i, at: c.track.wrap(at), foot: p, out: along.right(), gap: gap, target: target, other: along.right().from(p, gap)}
	k.waist = s.waist(geom.Round(gap), min(s.corner, geom.Round(gap/2)))
	k.half = s.half(k.waist)
	if target >= 0 {
		o := s.copies[target]
		k.otherAt = o.project(k.other)
		if !o.holds(k.otherAt) {
			return candidate{}, false
		}
	}
	return k, true
}

// holds tells whether the middle of a tab may lie at a place of the edge.
func (c *placed) holds(at float64) bool {
	if c.all {
		return true
	}
	for _, x := range c.free {
		for _, a := range [2]float64{at, at + c.track.length} {
			if a >= x.from-float64(touching) && a <= x.to+float64(touching) {
				return true
			}
		}
	}
	return false
}

// sideOf names the side of the panel that a direction points to.
func sideOf(v vector) string {
	if math.Abs(v[1]) >= math.Abs(v[0]) {
		if v[1] > 0 {
			return "upper"
		}
		return "lower"
	}
	if v[0] > 0 {
		return "right"
	}
	return "left"
}

// why says what bars tabs along a stretch of a copy's edge, the longest reason first.
func (c *placed) why(from, to float64) string {
	lengths := map[reason]float64{}
	for _, b := range c.bars {
		for shift := -1.0; shift <= 2; shift++ {
			lo, hi := max(from, b.from-b.margin+float64(shift*c.track.length)), min(to, b.to+b.margin+float64(shift*c.track.length))
			if hi-lo >= float64(50*geom.UM) { // less would be told as 0.0 mm
				lengths[b.why] += hi - lo
			}
		}
	}
	reasons := make([]reason, 0, len(lengths))
	for r := range lengths {
		reasons = append(reasons, r)
	}
	slices.SortFunc(reasons, func(a, b reason) int {
		return cmp.Or(cmp.Compare(geom.Round(lengths[b]), geom.Round(lengths[a])), cmp.Compare(a, b))
	})
	var out string
	for i, r := range reasons {
		if i == 3 {
			break
		}
		if i > 0 {
			out += "; "
		}
		out += fmt.Sprintf("%.1f mm %s", min(lengths[r], to-from)/1e6, r)
	}
	return out
}
