package breakofftabs

import (
	"context"
	"fmt"
	"math"
	"path"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/edgeclass"
)

// sampleStep is how far apart the places are at which an edge is looked at.
const sampleStep = 250 * geom.UM

// edge is what a board's outline says about tabs, in the board's coordinates: the same for every copy.
type edge struct {
	board *panel.Board
	track *track
	zones []zone
	row   *track // where the holes' centres lie: the outline moved outwards by half a hole less inset
	bars  []barred
}

// rise is how far the holes' centres lie outside the board's edge.
func (s *BreakoffTabs) rise() geom.Length { return s.HoleDiameter/2 + s.HoleDiameter%2 - s.Inset }

// edgeOf surveys a board's outline. half is half of what a tab takes up along the edge, waist its width.
func (s *BreakoffTabs) edgeOf(ctx context.Context, b *panel.Board, half, waist float64) (*edge, error) {
	e := &edge{board: b, track: newTrack(b.Outline.Outer)}
	e.zones = corners(e.track)
	var err error
	if e.row, err = moved(ctx, b.Outline.Outer, s.rise()); err != nil {
		return nil, err
	}
	for _, z := range e.zones {
		e.bars = append(e.bars, barred{z.from, z.to, float64(s.FromCorner) + half, atCorner})
	}
	if err := s.barCopper(ctx, e, waist); err != nil {
		return nil, err
	}
	if err := e.barClasses(ctx, half); err != nil {
		return nil, err
	}
	s.barHoles(e, half)
	s.barParts(e, waist)
	return e, nil
}

// moved gives the outline moved outwards; where that parts it, the longest piece.
func moved(ctx context.Context, outer geom.Path, by geom.Length) (*track, error) {
	r, err := offset.By(ctx, geom.Region{{Outer: outer}}, by, offset.Options{})
	if err != nil {
		return nil, err
	}
	if len(r) == 0 {
		return newTrack(outer), nil
	}
	best := r[0].Outer
	for _, o := range r[1:] {
		if o.Outer.Length() > best.Length() {
			best = o.Outer
		}
	}
	return newTrack(best), nil
}

// barClasses bars the edge where it is plated or has contact fingers; castellations are holes.
func (e *edge) barClasses(ctx context.Context, half float64) error {
	list, err := edgeclass.Find(ctx, e.board)
	if err != nil {
		return err
	}
	for _, x := range list {
		why := map[edgeclass.Class]reason{edgeclass.Plated: atPlated, edgeclass.Fingers: atFingers}[x.Class]
		if x.Loop > 0 || why == "" {
			continue
		}
		e.bars = append(e.bars, barred{x.From, x.To, half, why})
	}
	return nil
}

// barHoles bars the edge where plated holes make it castellated, and where any hole lies so near that
// the holes of a row would break into it.
func (s *BreakoffTabs) barHoles(e *edge, half float64) {
	// From rim to rim as much as between two holes of a row, with the one off its place and as wide as it
	// may be; the row's holes reach as far as inset into the board, if at all.
	clear := max(0, float64(s.BetweenHoles)+float64(s.Inset)) + float64(s.PositionTolerance) + float64(s.DiameterTolerance)/2
	var index geom.Index[int]
	for i, x := range e.track.path {
		index.Insert(x.Box(), i)
	}
	for _, f := range e.board.Drills {
		bar := func(at geom.Point, diameter geom.Length) {
			d := float64(diameter) / 2
			near := false
			index.Search(geom.BoxOf(at).Grow(geom.Length(math.Ceil(d+clear))), func(geom.Box, int) bool { near = true; return false })
			if !near {
				return
			}
			place := e.track.project(at)
			p, _ := e.track.at(place)
			away := p.Distance(at)
			switch {
			case away <= d && f.Plating == artwork.Plated:
				e.bars = append(e.bars, barred{place - d, place + d, half + float64(s.FromCorner)/2, atPlated})
			case away < d+clear:
				e.bars = append(e.bars, barred{place - d, place + d, half, atHole})
			}
		}
		for _, h := range f.Drilling.Holes {
			bar(h.At, f.Drilling.Tools[h.Tool].Diameter)
		}
		for _, r := range f.Drilling.Routs {
			for _, x := range r.Path {
				bar(x.From, f.Drilling.Tools[r.Tool].Diameter)
				bar(x.At(0.5), f.Drilling.Tools[r.Tool].Diameter)
				bar(x.To, f.Drilling.Tools[r.Tool].Diameter)
			}
		}
	}
}

// named tells whether a reference designator is among those that patterns mean.
func named(patterns []string, refdes string) bool {
	for _, p := range patterns {
		if ok, _ := path.Match(p, refdes); ok {
			return true
		}
	}
	return false
}

// reportUnknownParts warns of names in fragile and overhanging that mean no part: a slip there would leave a
// part unguarded.
func (s *BreakoffTabs) reportUnknownParts(env *pipeline.Env, in panel.Panel) {
	look := func(option string, patterns []string) {
		for _, p := range patterns {
			known := slices.ContainsFunc(in.Copies(), func(c panel.Copy) bool {
				return slices.ContainsFunc(c.Board.Parts, func(x panel.Part) bool { return named([]string{p}, x.Refdes) })
			})
			if !known {
				env.Report(pipeline.Finding{Rule: "part-not-known", Severity: pipeline.Warning,
					Message: fmt.Sprintf("%s names %q, but no board placed has such a part: nothing is kept away from it", option, p)})
			}
		}
	}
	look("fragile", s.Fragile)
	look("overhanging", s.Overhanging)
}

// barParts bars the edge beside parts that the recipe or the shop's table of bodies calls fragile, beside
// those that the recipe calls overhanging or that stand out over the edge by the table, and beside those
// whose place lies outside the board. A part counts from its body where the table says it, otherwise
// from its place.
func (s *BreakoffTabs) barParts(e *edge, waist float64) {
	if e.board.PartsElsewhere {
		return
	}
	for _, p := range e.board.Parts {
		var keep geom.Length
		var body geom.Path
		if p.Body.By == panel.ByTable {
			body, _ = p.BodyOutline()
		}
		switch {
		case named(s.Overhanging, p.Refdes), e.board.Outline.Locate(p.At) == geom.Outside, body != nil && e.board.OverEdge(p) > 0:
			keep = s.FromOverhanging
		case named(s.Fragile, p.Refdes), p.Body.By == panel.ByTable && p.Body.Fragile:
			keep = s.FromFragile
		default:
			continue
		}
		// The edge within reach of the part, by samples.
		n := int(math.Ceil(e.track.length / float64(sampleStep)))
		near := make([]bool, n)
		for i := range near {
			q, _ := e.track.at(float64(e.track.length * (float64(i) + 0.5) / float64(n)))
			near[i] = away(q, p.At, body) < float64(keep)
		}
		for _, r := range runs(e.track.length, near) {
			if r.says {
				e.bars = append(e.bars, barred{r.from, r.to, waist / 2, atPart})
			}
		}
	}
}

// away is how far q is from a part: from its body where that is known, 0 beneath it.
func away(q, at geom.Point, body geom.Path) float64 {
	if body == nil {
		return q.Distance(at)
	}
	if body.Locate(q) != geom.Outside {
		return 0
	}
	d := math.Inf(1)
	for _, e := range body {
		v, _ := geom.PointEdgeDistance(q, e)
		d = min(d, v)
	}
	return d
}
