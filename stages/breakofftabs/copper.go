package breakofftabs

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// barCopper bars the edge where copper would come nearer than its clearance to the holes of a row, with
// every hole off its place and as wide as the tolerances allow. What a later clear object takes away does not
// count: where one lies, the copper is worked out as it is drawn.
func (s *BreakoffTabs) barCopper(ctx context.Context, e *edge, waist float64) error {
	if s.Perforate == "none" {
		return nil
	}
	grown := float64(s.HoleDiameter)/2 + float64(s.PositionTolerance) + float64(s.DiameterTolerance)/2
	// The row's line in short pieces, so that each says for itself.
	n := int(math.Ceil(e.track.length / float64(sampleStep)))
	near := make([]bool, n)
	var pieces geom.Index[int]
	edges := make([]geom.Edge, n)
	rise := float64(s.rise())
	point := func(i int) geom.Point {
		p, along := e.track.at(float64(e.track.length * float64(i) / float64(n)))
		return along.right().from(p, rise)
	}
	for i := range edges {
		edges[i] = geom.Line(point(i), point(i+1))
		pieces.Insert(edges[i].Box(), i)
	}
	for _, l := range e.board.Layers {
		if l.Function.Kind != panel.Copper {
			continue
		}
		limit := float64(s.CopperClearance) + grown
		if l.Function.Side == panel.Inner {
			limit = float64(s.InnerCopperClearance) + grown
		}
		reach := geom.Length(math.Ceil(limit))
		picture := artwork.NewPicture(l.Image)
		window := func(i int) geom.Box { return edges[i].Box().Grow(reach + geom.UM) }
		doubtful := map[int]bool{}
		for k, o := range l.Image.Objects {
			if k%4096 == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			if o.Clear {
				continue
			}
			pieces.Search(l.Image.Box(o).Grow(reach), func(_ geom.Box, i int) bool {
				if near[i] || doubtful[i] || l.Image.DistanceToEdge(o, edges[i]) >= limit {
					return true
				}
				if picture.Doubts(k, window(i)) {
					doubtful[i] = true
				} else {
					near[i] = true
				}
				return true
			})
		}
		for i := range near {
			if !doubtful[i] || near[i] {
				continue
			}
			d, _, ok, err := picture.Nearest(ctx, edges[i], window(i))
			if err != nil {
				return err
			}
			near[i] = ok && d < limit
		}
	}
	for _, r := range runs(e.track.length, near) {
		if r.says {
			e.bars = append(e.bars, barred{r.from, r.to, waist / 2, atCopper})
		}
	}
	return nil
}
