package rule

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// judging and measuring are the two functions of a rule.
type (
	judging   = func(context.Context, pipeline.Case) ([]pipeline.Finding, error)
	measuring = func(context.Context, pipeline.Case, []pipeline.Finding) (pipeline.Figure, error)
)

// figures says how the worst figure of a rule is had that has no way of its own: always from what its Judge measures,
// so that a rule's geometry stands in one place.
var figures = map[string]func(pipeline.Rule) measuring{
	"panel-size":                    allOf(nil),
	"panel-breadth":                 allOf(nil),
	"panel-long-side":               allOf(nil),
	"panel-short-side":              allOf(nil),
	"panel-thickness-least":         allOf(nil),
	"panel-thickness-most":          allOf(nil),
	"panel-aspect":                  allOf(nil),
	"panel-weight":                  allOf(nil),
	"panel-utilisation":             allOf(nil),
	"panels-per-production-panel":   allOf(nil),
	"production-panel-use":          allOf(nil),
	"fabricator-panel-size":         allOf(nil),
	"fabricator-panel-breadth":      allOf(nil),
	"fabricator-panel-long-side":    allOf(nil),
	"fabricator-panel-short-side":   allOf(nil),
	"fabricator-thickness-least":    allOf(nil),
	"fabricator-thickness-most":     allOf(nil),
	"copper-balance":                allOf(nil),
	"rail-width":                    allOf(nil),
	"fiducial-size-least":           allOf(nil),
	"fiducial-size-most":            allOf(nil),
	"fiducial-size-spread":          allOf(nil),
	"fiducial-clear-size":           allOf(nil),
	"fiducial-to-edge":              allOf(nil),
	"fiducial-count":                allOf(nil),
	"fiducial-symmetry":             allOf(anyMarks(panel.Fiducial)),
	"tooling-hole-count":            allOf(nil),
	"tooling-hole-diameter":         allOf(nil),
	"tooling-hole-to-edge":          allOf(nil),
	"legend-stroke":                 allOf(nil),
	"legend-height":                 allOf(nil),
	"thieving-clearance":            sounded(anyThieving),
	"part-inside-board":             allOf(nil),
	"slot-in-board":                 allOf(anySlots),
	"slot-width":                    sounded(anySlots),
	"cutter-diameter":               allOf(nil),
	"cutter-reach":                  allOf(anyCutters),
	"perforation-in-board":          allOf(anyPerforations),
	"perforation-in-board-at-worst": allOf(anyPerforations),
	"perforation-web-at-worst":      allOf(nil),
	"stub-height":                   allOf(nil),
	"tabs-per-board":                allOf(nil),
	"score-through-board":           allOf(anyScores),
	"hole-to-score":                 sounded(func(p panel.Panel) bool { return anyScores(p) && (anyBores(p) || anyMarks(panel.ToolingHole)(p)) }),
	"score-on-edge-class":           allOf(anyScores),
	"edge-on-score":                 allOf(anyScores),
	"score-spacing":                 allOf(nil),
	"score-thickness":               allOf(nil),
	"score-web":                     allOf(nil),
	"score-run-out":                 allOf(nil),
	"scored-panel-side":             allOf(nil),
	"hole-spacing":                  sounded(func(p panel.Panel) bool { return anyPerforations(p) || anyMarks(panel.ToolingHole)(p) }),
	"hole-to-hole":                  sounded(anyBores),
	"hole-to-slot":                  sounded(anyBores),
	"hole-aspect":                   allOf(nil),
	"smallest-hole":                 allOf(nil),
	"panel-sag":                     allOf(nil),
	"panel-frequency":               allOf(nil),
	"tab-strength":                  allOf(nil),
	"tab-left-out":                  allOf(nil),
	"transport-shock":               allOf(nil),
	"break-force":                   allOf(nil),
	"part-strain":                   allOf(nil),
	"part-collision":                sounded(anyBodies),
	"part-over-part":                allOf(nil),
}

// beyond is a limit, in any unit, that no figure keeps: at least so much, or at most so far below 0.
const beyond = 1e9

// allOf judges by a limit that nothing keeps, so that everything is told of: for rules whose work does not grow with
// the limit. Where nothing is told of, there is nothing to measure, unless there is something by is: then nobody can
// say.
func allOf(is func(panel.Panel) bool) func(pipeline.Rule) measuring {
	return func(r pipeline.Rule) measuring {
		return func(ctx context.Context, c pipeline.Case, found []pipeline.Finding) (pipeline.Figure, error) {
			if w := worstFigure(r.Bound, found); w != nil {
				return pipeline.Figure{Worst: w}, nil
			}
			c.Limit = beyond
			if r.Bound == pipeline.AtMost {
				c.Limit = -beyond
			}
			found, err := r.Judge(ctx, c)
			if err != nil {
				return pipeline.Figure{}, err
			}
			pipeline.SortFindings(found)
			w := worstFigure(r.Bound, found)
			return pipeline.Figure{Worst: w, Nothing: w == nil && (is == nil || !is(c.Panel))}, nil
		}
	}
}

// sounded judges by twice the limit, and by four times where nothing is told of then: for rules about distances, whose
// work grows with how far they look. Further away nothing is of interest. There is nothing to measure where there is nothing of the kind that is says.
func sounded(is func(panel.Panel) bool) func(pipeline.Rule) measuring {
	return func(r pipeline.Rule) measuring {
		return func(ctx context.Context, c pipeline.Case, found []pipeline.Finding) (pipeline.Figure, error) {
			if w := worstFigure(r.Bound, found); w != nil {
				return pipeline.Figure{Worst: w}, nil
			}
			if !is(c.Panel) {
				return pipeline.Figure{Nothing: true}, nil
			}
			limit := max(c.Limit, 0.1)
			for _, times := range [2]float64{2, 4} {
				c.Limit = times * limit
				found, err := r.Judge(ctx, c)
				if err != nil {
					return pipeline.Figure{}, err
				}
				pipeline.SortFindings(found)
				if w := worstFigure(r.Bound, found); w != nil {
					return pipeline.Figure{Worst: w}, nil
				}
			}
			return pipeline.Figure{}, nil
		}
	}
}

// worstFigure gives the finding with the worst figure, the first of several; nil where none has one.
func worstFigure(b pipeline.Bound, found []pipeline.Finding) (w *pipeline.Finding) {
	for i, f := range found {
		if f.Measured == nil || math.IsInf(*f.Measured, 0) {
			continue
		}
		if w == nil || b == pipeline.AtMost && *f.Measured > *w.Measured || b != pipeline.AtMost && *f.Measured < *w.Measured {
			w = &found[i]
		}
	}
	return w
}

func anyScores(p panel.Panel) bool       { return len(p.Scores()) > 0 }
func anySlots(p panel.Panel) bool        { return len(p.Slots()) > 0 }
func anyCutters(p panel.Panel) bool      { return len(p.Cutters()) > 0 }
func anyPerforations(p panel.Panel) bool { return len(p.Perforations()) > 0 }

func anyThieving(p panel.Panel) bool {
	return slices.ContainsFunc(p.Prints(), func(x panel.Print) bool { return x.Use == panel.Thieving })
}

func anyMarks(kind panel.MarkKind) func(panel.Panel) bool {
	return func(p panel.Panel) bool { return len(marks(p, kind)) > 0 }
}

// anyBoard tells whether something holds for a board that is placed.
func anyBoard(p panel.Panel, is func(*panel.Board) bool) bool {
	return slices.ContainsFunc(placedBoards(p), func(b placedBoard) bool { return is(b.Board) })
}

func anyBores(p panel.Panel) bool {
	return anyBoard(p, func(b *panel.Board) bool {
		return slices.ContainsFunc(b.Drills, func(f panel.DrillFile) bool { return len(f.Drilling.Holes)+len(f.Drilling.Routs) > 0 })
	})
}

func anyBodies(p panel.Panel) bool {
	return len(p.Copies()) > 1 && anyBoard(p, func(b *panel.Board) bool { return len(bodies(b)) > 0 })
}
