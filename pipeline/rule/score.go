package rule

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/edgeclass"
)

// scoreKeep is what must keep off a line's middle by geometry alone: half of the groove, and the tolerance of
// the line's place.
func scoreKeep(s panel.Score) float64 { return (s.HalfWidth() + s.PositionTolerance).MM() }

// byKeep groups score lines by what is asked for at each: limit, or more where geometry says so.
func byKeep(scores []panel.Score, limit float64) (groups [][]panel.Score, asked []float64) {
	for _, s := range scores {
		need := max(limit, scoreKeep(s))
		i := slices.Index(asked, need)
		if i < 0 {
			i = len(asked)
			asked, groups = append(asked, need), append(groups, nil)
		}
		groups[i] = append(groups[i], s)
	}
	return groups, asked
}

func linesOf(scores []panel.Score) []cut {
	var cuts []cut
	for _, s := range scores {
		cuts = append(cuts, cut{s.ID, s.Groove(), 0})
	}
	return cuts
}

// copperToScores judges copper of some layers at score lines.
func copperToScores(of layers) func(context.Context, pipeline.Case) ([]pipeline.Finding, error) {
	return func(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
		var out []pipeline.Finding
		groups, asked := byKeep(in.Panel.Scores(), in.Limit)
		for i, scores := range groups {
			found, err := copperTo(ctx, in.Panel, linesOf(scores), of, asked[i], false)
			if err != nil {
				return nil, err
			}
			for k := range found {
				found[k].Limit = &asked[i]
				found[k].Message += grooveText(scores[0], asked[i])
			}
			out = append(out, found...)
		}
		return out, nil
	}
}

// grooveText says when it is the groove that asks for more than the limit.
func grooveText(s panel.Score, asked float64) string {
	if asked > scoreKeep(s)+tolerance/10 {
		return ""
	}
	return fmt.Sprintf(": half of the groove, %v, and the line's tolerance, %v", s.HalfWidth(), s.PositionTolerance)
}

func leastToScore(of layers) measuring {
	_, measure := copperRule(func(p panel.Panel) []cut { return linesOf(p.Scores()) }, of, false)
	return measure
}

// scoreThroughBoard finds score lines that run through boards.
func scoreThroughBoard(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	var index geom.Index[panel.Copy]
	for _, c := range p.Copies() {
		index.Insert(c.Box(), c)
	}
	var out []pipeline.Finding
	for _, s := range p.Scores() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		line := geom.Line(s.From, s.To)
		type cutBoard struct {
			id    string
			depth float64
			at    geom.Point
		}
		var cut []cutBoard
		index.Search(line.Box(), func(_ geom.Box, c panel.Copy) bool {
			if depth, at := throughDepth(line, c.Outline()); math.Round(depth)/1e6 > in.Limit+tolerance {
				cut = append(cut, cutBoard{c.ID, depth, at})
			}
			return true
		})
		if len(cut) == 0 {
			continue
		}
		slices.SortFunc(cut, func(a, b cutBoard) int { return cmp.Or(cmp.Compare(b.depth, a.depth), cmp.Compare(a.id, b.id)) })
		v := math.Round(cut[0].depth) / 1e6
		f := pipeline.Finding{Message: fmt.Sprintf("%s runs through %s, %s mm inside of its edge: line the boards up in full rows and columns", s.ID, cut[0].id, trim(v)),
			At: &cut[0].at, Feature: s.ID, Measured: &v}
		for _, x := range cut {
			f.Copies = append(f.Copies, x.id)
		}
		out = append(out, f)
	}
	return out, nil
}

// throughDepth gives how far a line lies inside of an outline, at most, and where.
func throughDepth(line geom.Edge, o geom.Outline) (depth float64, at geom.Point) {
	cuts := []float64{0, 1}
	for _, e := range o.Edges() {
		if !e.Box().Overlaps(line.Box()) {
			continue
		}
		for _, q := range line.Intersections(e) {
			cuts = append(cuts, fraction(line, q))
		}
	}
	sortFloats(cuts)
	for i := 1; i < len(cuts); i++ {
		for _, f := range [3]float64{0.25, 0.5, 0.75} {
			q := line.At(cuts[i-1] + float64((cuts[i]-cuts[i-1])*f))
			if o.Locate(q) != geom.Inside {
				continue
			}
			if d := o.Distance(q); d > depth {
				depth, at = d, q
			}
		}
	}
	return depth, at
}

// scoreAlong is a score line as a board sees it, in the board's coordinates.
type scoreAlong struct {
	line   geom.Edge
	score  panel.Score
	copies []string
	places []geom.Transform
}

// scoresNear gives the score lines within reach of each board, those that lie alike once.
func scoresNear(p panel.Panel, reach geom.Length) map[*panel.Board][]scoreAlong {
	var index geom.Index[panel.Score]
	for _, s := range p.Scores() {
		index.Insert(geom.BoxOf(s.From, s.To), s)
	}
	type key struct {
		board *panel.Board
		line  geom.Edge
	}
	at := map[key]int{}
	extents := map[*panel.Board]geom.Box{}
	out := map[*panel.Board][]scoreAlong{}
	for _, c := range p.Copies() {
		back := c.Place.Inverse()
		box, ok := extents[c.Board]
		if !ok {
			box = c.Board.Outline.Box()
			for _, f := range c.Board.Drills { // holes may lie beyond the edge
				for _, h := range f.Drilling.Holes {
					box = box.Union(geom.BoxOf(h.At).Grow(f.Drilling.Tools[h.Tool].Diameter / 2))
				}
				for _, r := range f.Drilling.Routs {
					box = box.Union(r.Path.Box().Grow(f.Drilling.Tools[r.Tool].Diameter / 2))
				}
			}
			box = box.Grow(reach)
			extents[c.Board] = box
		}
		var hits []panel.Score
		index.Search(c.Place.Box(box), func(_ geom.Box, s panel.Score) bool { hits = append(hits, s); return true })
		slices.SortFunc(hits, func(a, b panel.Score) int { return cmp.Compare(a.ID, b.ID) })
		for _, s := range hits {
			line := trimmed(back.Edge(geom.Line(s.From, s.To)), box)
			k := key{c.Board, line}
			if i, ok := at[k]; ok {
				out[c.Board][i].copies = append(out[c.Board][i].copies, c.ID)
				out[c.Board][i].places = append(out[c.Board][i].places, c.Place)
				continue
			}
			at[k] = len(out[c.Board])
			out[c.Board] = append(out[c.Board], scoreAlong{line, s, []string{c.ID}, []geom.Transform{c.Place}})
		}
	}
	return out
}

// holeToScore finds holes and slots that score lines come too near to.
func holeToScore(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	scores := p.Scores()
	if len(scores) == 0 {
		return nil, nil
	}
	farthest := in.Limit
	for _, s := range scores {
		farthest = max(farthest, scoreKeep(s))
	}
	var out []pipeline.Finding
	near := scoresNear(p, geom.FromMM(farthest))
	for _, b := range p.Boards() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for _, x := range near[b] {
			need := max(in.Limit, scoreKeep(x.score))
			least, at := math.Inf(1), geom.Point{}
			look := func(e geom.Edge, d geom.Length) {
				if !e.Box().Grow(d/2 + geom.FromMM(need)).Overlaps(x.line.Box()) {
					return
				}
				v, q, _ := geom.EdgeDistance(e, x.line)
				if v -= float64(d) / 2; v < least {
					least, at = v, q
				}
			}
			for _, f := range b.Drills {
				for _, h := range f.Drilling.Holes {
					look(geom.Line(h.At, h.At), f.Drilling.Tools[h.Tool].Diameter)
				}
				for _, r := range f.Drilling.Routs {
					for _, e := range r.Path {
						look(e, f.Drilling.Tools[r.Tool].Diameter)
					}
				}
			}
			v := math.Round(least) / 1e6
			if v >= need-tolerance || math.IsInf(least, 1) {
				continue
			}
			place := x.places[0].Apply(at)
			out = append(out, pipeline.Finding{Severity: cutOrNear(v), Message: fmt.Sprintf("a hole of board %s %s %s; at least %s mm are asked for", b.Name, comes(v), x.score.ID, trim(need)),
				At: &place, Feature: x.score.ID, Copies: x.copies, Measured: &v, Limit: &need})
		}
	}
	for _, m := range p.Marks() {
		if m.Kind != panel.ToolingHole {
			continue
		}
		for _, s := range scores {
			d, _ := geom.PointEdgeDistance(m.At, s.Groove())
			v, need := math.Round(d-float64(m.Diameter)/2)/1e6, max(in.Limit, scoreKeep(s))
			if v >= need-tolerance {
				continue
			}
			at := m.At
			out = append(out, pipeline.Finding{Severity: cutOrNear(v), Message: fmt.Sprintf("%s %s %s; at least %s mm are asked for", m.ID, comes(v), s.ID, trim(need)),
				At: &at, Feature: m.ID, Measured: &v, Limit: &need})
		}
	}
	return out, nil
}

// cutOrNear is how much it weighs that something lies v mm from a line: negative, it is cut.
func cutOrNear(v float64) pipeline.Severity {
	if v < 0 {
		return pipeline.Error
	}
	return pipeline.Warning
}

func comes(v float64) string {
	if v < 0 {
		return "is cut by"
	}
	return "comes within " + trim(v) + " mm of"
}

// scoreOnClass finds score lines along edges that are more than a cut.
func scoreOnClass(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	if len(p.Scores()) == 0 {
		return nil, nil
	}
	var farthest geom.Length
	for _, s := range p.Scores() {
		farthest = max(farthest, s.Leave)
	}
	near := scoresNear(p, farthest+touching)
	var out []pipeline.Finding
	for _, b := range p.Boards() {
		if len(near[b]) == 0 {
			continue
		}
		list, err := edgeclass.Find(ctx, b)
		if err != nil {
			return nil, err
		}
		for _, x := range near[b] {
			for _, class := range []edgeclass.Class{edgeclass.Castellated, edgeclass.Plated, edgeclass.Fingers} {
				length, at := 0.0, geom.Point{}
				begins := 0.0
				for _, e := range b.Outline.Outer {
					l := e.Length()
					if runsAlong(e, x.line, x.score.Leave+touching) {
						for _, s := range list {
							if s.Loop != 0 || s.Class != class {
								continue
							}
							for _, shift := range [2]float64{0, b.Outline.Outer.Length()} { // a stretch may go on past the path's beginning
								from, to := max(s.From-shift, begins), min(s.To-shift, begins+l)
								if to > from {
									if length == 0 {
										at = e.At((from - begins) / l)
									}
									length += to - from
								}
							}
						}
					}
					begins += l
				}
				v := math.Round(length) / 1e6
				if v <= in.Limit+tolerance {
					continue
				}
				place := x.places[0].Apply(at)
				is := map[edgeclass.Class]string{edgeclass.Castellated: "castellated", edgeclass.Plated: "plated", edgeclass.Fingers: "of contact fingers"}[class]
				what := fmt.Sprintf("%s runs along %s mm of board %s whose edge is %s: a blade spoils it; rout that side", x.score.ID, trim(v), b.Name, is)
				if x.score.Leave > 0 {
					what = fmt.Sprintf("%v of blank laminate stay between %s and %s mm of board %s whose edge is %s, which is never cut free; rout that side", x.score.Leave, x.score.ID, trim(v), b.Name, is)
				}
				out = append(out, pipeline.Finding{Message: what,
					At: &place, Feature: x.score.ID, Copies: x.copies, Measured: &v})
			}
		}
	}
	return out, nil
}

// runsAlong tells whether a straight edge runs along a line, no farther from it than reach.
func runsAlong(e, line geom.Edge, reach geom.Length) bool {
	if e.Sense != geom.Straight {
		return false
	}
	for _, q := range [2]geom.Point{e.From, e.To} {
		if d, _ := geom.PointEdgeDistance(q, line); d > float64(reach) {
			return false
		}
	}
	return true
}

// scoreSpacing finds parallel lines that lie too near to each other.
func scoreSpacing(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	scores := in.Panel.Scores()
	var out []pipeline.Finding
	for i, a := range scores {
		for _, b := range scores[i+1:] {
			la, atA, fromA, toA := scoreRun(a)
			lb, atB, fromB, toB := scoreRun(b)
			v := (atB - atA).Abs().MM()
			if la != lb || atA == atB || v >= in.Limit-tolerance || min(toA, toB) <= max(fromA, fromB) {
				continue
			}
			at := geom.Pt((a.From.X+a.To.X)/2, (a.From.Y+a.To.Y)/2)
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s and %s lie %s mm apart; at least %v mm are asked for", a.ID, b.ID, trim(v), in.Limit),
				At: &at, Feature: b.ID, Measured: &v})
		}
	}
	return out, nil
}

// scoreRun gives whether a line runs along x, its coordinate, and where it begins and ends along itself.
func scoreRun(s panel.Score) (level bool, at, from, to geom.Length) {
	if s.From.Y == s.To.Y {
		return true, s.From.Y, min(s.From.X, s.To.X), max(s.From.X, s.To.X)
	}
	return false, s.From.X, min(s.From.Y, s.To.Y), max(s.From.Y, s.To.Y)
}

func scoreThickness(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	v := in.Panel.Thickness().MM()
	if len(in.Panel.Scores()) == 0 || v >= in.Limit-tolerance {
		return nil, nil
	}
	return []pipeline.Finding{{Message: fmt.Sprintf("the boards are %s mm thick; at least %v mm are asked for where they are scored", trim(v), in.Limit), Feature: "panel", Measured: &v}}, nil
}

func scoreWeb(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	var out []pipeline.Finding
	at := map[[2]geom.Length]int{}
	for _, s := range in.Panel.Scores() {
		v := (s.RemainingWeb - s.WebTolerance).MM()
		if v >= in.Limit-tolerance {
			continue
		}
		k := [2]geom.Length{s.RemainingWeb, s.WebTolerance}
		if _, ok := at[k]; ok {
			continue // one section is one finding
		}
		at[k] = len(out)
		place := s.From
		out = append(out, pipeline.Finding{Message: fmt.Sprintf("a web of %v may come out as thin as %s mm; at least %v mm are asked for", s.RemainingWeb, trim(v), in.Limit),
			At: &place, Feature: s.ID, Measured: &v})
	}
	return out, nil
}

// scoreRunOut finds lines that jump and have no room beyond an end.
func scoreRunOut(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	outline := p.Outline().Box()
	var index geom.Index[geom.Edge]
	var boards geom.Index[panel.Copy]
	names := map[geom.Edge]string{}
	for _, c := range p.Copies() {
		boards.Insert(c.Box(), c)
		for _, e := range c.Outline().Outer {
			index.Insert(e.Box(), e)
			names[e] = c.ID
		}
	}
	for _, s := range p.Slots() {
		for _, e := range s.Outline.Edges() {
			index.Insert(e.Box(), e)
			names[e] = s.ID
		}
	}
	var out []pipeline.Finding
	for _, s := range p.Scores() {
		if !s.Jumps() {
			continue
		}
		need := max(in.Limit, s.RunOut.MM())
		half := s.HalfWidth()
		for _, end := range [2][2]geom.Point{{s.To, s.From}, {s.From, s.To}} {
			at, from := end[0], end[1]
			level := at.Y == from.Y
			to := geom.Pt(at.X, outline.Max.Y)
			switch {
			case level && at.X > from.X:
				to = geom.Pt(outline.Max.X, at.Y)
			case level:
				to = geom.Pt(outline.Min.X, at.Y)
			case at.Y < from.Y:
				to = geom.Pt(at.X, outline.Min.Y)
			}
			free, what := at.Distance(to), "the panel's edge"
			if free == 0 {
				continue // it runs out of the panel
			}
			// The groove's width ahead of the end, a little away from what the line parts.
			ahead := geom.BoxOf(at, to)
			if level {
				ahead.Min.Y, ahead.Max.Y = ahead.Min.Y-half, ahead.Max.Y+half
			} else {
				ahead.Min.X, ahead.Max.X = ahead.Min.X-half, ahead.Max.X+half
			}
			index.Search(ahead, func(_ geom.Box, e geom.Edge) bool {
				if d, ok := reachedAhead(e, at, to, half); ok && (d < free || d == free && names[e] < what) {
					free, what = d, names[e]
				}
				return true
			})
			// A board that begins where the line ends has nothing of its edge ahead.
			step := geom.Length(20 * geom.UM)
			just := at.Add(geom.Pt(sign(to.X-at.X)*step, sign(to.Y-at.Y)*step))
			boards.Search(geom.BoxOf(just), func(_ geom.Box, c panel.Copy) bool {
				if c.Outline().Locate(just) == geom.Inside && (free > 0 || c.ID < what) {
					free, what = 0, c.ID
				}
				return true
			})
			v := math.Round(free) / 1e6
			if v >= need-tolerance {
				continue
			}
			place := at
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s ends %s mm before %s; at least %s mm are asked for, in which the blade gets out", s.ID, trim(v), what, trim(need)),
				At: &place, Feature: s.ID, Measured: &v, Limit: &need})
		}
	}
	return out, nil
}

func sign(v geom.Length) geom.Length {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// reachedAhead gives how far from an end, in the direction of to, an edge comes into a groove of the half width;
// false where it does not, or lies behind the end.
func reachedAhead(e geom.Edge, at, to geom.Point, half geom.Length) (float64, bool) {
	d := to.Sub(at)
	l := at.Distance(to)
	best, ok := math.Inf(1), false
	const slack = 5_000 // nm: the edge that the line itself parts
	note := func(q geom.Point) {
		v := q.Sub(at)
		on := (float64(v.X)*float64(d.X) + float64(float64(v.Y)*float64(d.Y))) / l
		side := math.Abs(float64(v.X)*float64(d.Y)-float64(float64(v.Y)*float64(d.X))) / l
		if on > slack && side < float64(half)-slack {
			best, ok = min(best, on), true
		}
	}
	for _, q := range e.Intersections(geom.Line(at, to)) {
		note(q)
	}
	n := max(2, int(math.Ceil(e.Length()/float64(max(half, geom.UM)/4+1))))
	for i := range min(n, 4000) + 1 {
		note(e.At(float64(i) / float64(min(n, 4000))))
	}
	return best, ok
}

func scoredSide(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	b := in.Panel.Outline().Box()
	side := min(b.Width(), b.Height())
	if len(in.Panel.Scores()) == 0 || side.MM() >= in.Limit-tolerance {
		return nil, nil
	}
	return []pipeline.Finding{sized(b, side, "shorter", "less", in.Limit)}, nil
}

// edgeOnScore finds sides of boards that lie along their score line for next to nothing.
func edgeOnScore(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	if len(p.Scores()) == 0 {
		return nil, nil
	}
	blanks := map[string]geom.Path{}
	for _, b := range p.Blanks() {
		blanks[b.Copy] = append(blanks[b.Copy], b.Outline.Outer...)
	}
	var index geom.Index[panel.Score]
	for _, s := range p.Scores() {
		index.Insert(geom.BoxOf(s.From, s.To), s)
	}
	type key struct {
		board  *panel.Board
		turn   geom.Angle
		side   int
		length geom.Length
	}
	seen := map[key]int{}
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		box := c.Box()
		var near []panel.Score
		index.Search(box.Grow(geom.Length(50*geom.MM)), func(_ geom.Box, s panel.Score) bool { near = append(near, s); return true })
		slices.SortFunc(near, func(a, b panel.Score) int { return cmp.Compare(a.ID, b.ID) })
		edges := append(slices.Clone(c.Outline().Outer), blanks[c.ID]...)
		for _, s := range near {
			side, ok := sideOnScore(box, s)
			if !ok {
				continue
			}
			length := lengthOn(edges, geom.Line(s.From, s.To))
			v := length.MM()
			if v >= in.Limit-tolerance {
				continue
			}
			k := key{c.Board, c.Place.Turn.Normal(), side, length}
			if i, ok := seen[k]; ok {
				out[i].Copies = append(out[i].Copies, c.ID)
				continue
			}
			seen[k] = len(out)
			at := box.Center()
			if s.From.Y == s.To.Y {
				at.Y = s.From.Y
			} else {
				at.X = s.From.X
			}
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("%s (board %s) lies along %s for %s mm only; at least %v mm are asked for, to hold it and for the blade to part", c.ID, c.Board.Name, s.ID, trim(v), in.Limit),
				At: &at, Feature: c.ID, Copies: []string{c.ID}, Measured: &v})
		}
	}
	return out, nil
}

// sideOnScore tells which side of a box a line parts: lower, right, upper, left; false for none.
func sideOnScore(box geom.Box, s panel.Score) (side int, ok bool) {
	level, at, from, to := scoreRun(s)
	if level {
		if to <= box.Min.X || from >= box.Max.X {
			return 0, false
		}
		switch {
		case (box.Min.Y - s.Leave - at).Abs() <= touching:
			return 0, true
		case (box.Max.Y + s.Leave - at).Abs() <= touching:
			return 2, true
		}
		return 0, false
	}
	if to <= box.Min.Y || from >= box.Max.Y {
		return 0, false
	}
	switch {
	case (box.Max.X + s.Leave - at).Abs() <= touching:
		return 1, true
	case (box.Min.X - s.Leave - at).Abs() <= touching:
		return 3, true
	}
	return 0, false
}

// lengthOn adds up what of straight edges lies on a line along an axis, nothing twice.
func lengthOn(edges geom.Path, line geom.Edge) geom.Length {
	level := line.From.Y == line.To.Y
	type run struct{ from, to geom.Length }
	var runs []run
	for _, e := range edges {
		if !runsAlong(e, line, touching) {
			continue
		}
		b := e.Box()
		r := run{b.Min.Y, b.Max.Y}
		if level {
			r = run{b.Min.X, b.Max.X}
		}
		if r.to-r.from > touching {
			runs = append(runs, r)
		}
	}
	slices.SortFunc(runs, func(a, b run) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	var sum, end geom.Length
	for i, r := range runs {
		if i == 0 || r.from > end {
			sum, end = sum+r.to-r.from, r.to
		} else if r.to > end {
			sum, end = sum+r.to-end, r.to
		}
	}
	return sum
}
