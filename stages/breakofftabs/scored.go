package breakofftabs

import (
	"context"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/stages/breakofftabs/holding"
	"panelwright/stages/internal/opening"
)

// isRelief tells whether a slot is what a stage before this one has opened beside a score line.
func isRelief(x panel.Slot) bool { return strings.HasPrefix(x.ID, "relief/") }

// withReliefs joins the cutters that are there already with this stage's own, the largest first.
func withReliefs(there, own []geom.Length) []geom.Length {
	all := slices.Concat(there, own)
	slices.SortFunc(all, func(a, b geom.Length) int { return int(b - a) })
	return slices.Compact(all)
}

// heldByScores gives, for every stretch of a body's edge along which a score line joins it to a rail or to waste,
// places at which it counts as held: both ends, and others between them, near enough for any limit. The web of a
// score line holds all along.
func (s *standing) heldByScores() []holding.Candidate {
	room := float64(s.corner)
	step := max(min(float64(s.LongestFreeSpan)/2, float64(s.LongestOverhang)/2), 2*room+float64(geom.UM))
	var out []holding.Candidate
	for i, b := range s.bodies {
		if len(b.scored) == 0 {
			continue
		}
		begun := len(out)
		n := int(math.Ceil(b.track.length / float64(sampleStep)))
		on := make([]bool, n)
		for k := range on {
			p, along := b.onPanel(float64(b.track.length * (float64(k) + 0.5) / float64(n)))
			out := along.right()
			on[k] = slices.ContainsFunc(b.scored, func(l geom.Edge) bool {
				// The line runs along the edge, not across it.
				level := math.Abs(out[1]) > oblique && l.From.Y == l.To.Y || math.Abs(out[0]) > oblique && l.From.X == l.To.X
				d, _ := geom.PointEdgeDistance(p, l)
				return level && d <= float64(s.leave+touching)
			})
		}
		for _, r := range runs(b.track.length, on) {
			if !r.says {
				continue
			}
			pieces := max(1, int(math.Ceil((r.to-r.from)/step)))
			places := pieces + 1
			if r.to-r.from >= b.track.length {
				places = pieces // the last would be the first
			}
			for k := range places {
				at := b.track.wrap(r.from + float64((r.to-r.from)*float64(k)/float64(pieces)))
				if slices.ContainsFunc(out[begun:], func(c holding.Candidate) bool { return b.apart(float64(c.At), at) < room+float64(geom.UM) }) {
					continue // another stretch begins there: no cutter goes between them
				}
				p, along := b.onPanel(at)
				out = append(out, holding.Candidate{Board: i, At: geom.Round(at), Foot: p, Outward: along.right(), Other: -1})
			}
		}
	}
	return out
}

// parted cuts pieces along the score lines that run through them: what lies beyond a line stays on another
// board.
func parted(ctx context.Context, o overlay.Options, pieces geom.Region, scores []panel.Score) (geom.Region, error) {
	for _, x := range scores {
		line := geom.BoxOf(x.From, x.To)
		var out geom.Region
		for _, m := range pieces {
			box := m.Box()
			low, high := box, box
			level := x.From.Y == x.To.Y
			if level {
				low.Max.Y, high.Min.Y = line.Min.Y, line.Min.Y
			} else {
				low.Max.X, high.Min.X = line.Min.X, line.Min.X
			}
			if !line.Overlaps(box) || min(low.Width(), low.Height(), high.Width(), high.Height()) <= thin {
				out = append(out, m)
				continue
			}
			for _, side := range [2]geom.Box{low, high} {
				half, err := overlay.Intersection(ctx, o, overlay.Of(m), overlay.Operand{Paths: []geom.Path{geom.Rectangle(side)}})
				if err != nil {
					return nil, err
				}
				out = append(out, half...)
			}
		}
		pieces = out
	}
	return pieces, nil
}

// joint is how far what is added to two missed pieces overlaps between them.
const joint = 2*opening.Play + 2*touching

// overScores gives where slots go on across a score line into the waste beyond, so that the cutter leaves no
// radius in a board's corner on the line: as far as the cutter is wide, beside each piece that it would miss there.
// Where another board lies across the line, or laminate that stays on one, slots end.
func (s *standing) overScores(ctx context.Context, env *pipeline.Env, in panel.Panel, missed geom.Region, cutter geom.Length) (geom.Region, error) {
	over := overlay.Operand{Rule: overlay.NonZero}
	for _, x := range in.Scores() {
		line := geom.BoxOf(x.From, x.To).Grow(touching)
		for _, m := range missed {
			box := m.Box()
			if !m.Thicker(thin) || !line.Overlaps(box) {
				continue
			}
			strip := box.Grow(joint) // pieces on both flanks of a slot just as wide as the cutter leave it its play between them
			switch level := x.From.Y == x.To.Y; {
			case level && (box.Min.Y-x.From.Y).Abs() <= touching:
				strip.Min.Y, strip.Max.Y = x.From.Y-cutter, x.From.Y
			case level && (box.Max.Y-x.From.Y).Abs() <= touching:
				strip.Min.Y, strip.Max.Y = x.From.Y, x.From.Y+cutter
			case !level && (box.Min.X-x.From.X).Abs() <= touching:
				strip.Min.X, strip.Max.X = x.From.X-cutter, x.From.X
			case !level && (box.Max.X-x.From.X).Abs() <= touching:
				strip.Min.X, strip.Max.X = x.From.X, x.From.X+cutter
			default:
				continue
			}
			over.Paths = append(over.Paths, geom.Rectangle(strip))
		}
	}
	if len(over.Paths) == 0 {
		return nil, nil
	}
	o := overlay.Options{Workers: env.Workers}
	keep := overlay.Operand{Rule: overlay.NonZero}
	for _, c := range in.Copies() {
		keep.Paths = append(keep.Paths, geom.Rectangle(c.Box()))
	}
	for _, b := range in.Blanks() {
		keep.Paths = append(keep.Paths, b.Outline.Outer)
	}
	keep.Paths = append(keep.Paths, opening.AroundMarks(in)...)
	out, err := overlay.Difference(ctx, o, over, keep)
	if err != nil {
		return nil, err
	}
	return overlay.Intersection(ctx, o, overlay.Of(out...), overlay.Of(in.Outline()))
}
