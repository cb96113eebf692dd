package rule

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// slotInBoard finds slots that reach into a board, and how deep: the deepest place of a slot's contour within the
// board's outer edge. Contours that lie alike for several copies are looked at once.
func slotInBoard(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	var lines []breakLine
	for _, s := range p.Slots() {
		for _, e := range s.Outline.Edges() {
			lines = append(lines, breakLine{id: s.ID, edge: e})
		}
	}
	type place struct{ slot, copy string }
	type depth struct {
		v  float64
		at geom.Point
	}
	deepest := map[place]depth{}
	for _, b := range p.Boards() {
		outer := geom.Outline{Outer: b.Outline.Outer}
		if len(outer.Outer) == 0 {
			continue
		}
		for i, l := range breaksOf(p, b, lines, outer.Box(), 0) {
			if i%256 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			d, at := within(l.edge, outer)
			v := math.Round(d) / 1e6
			if v <= limit+2*tolerance { // two roundings: the slot's flank and the board's edge
				continue
			}
			for n, c := range l.copies {
				k := place{l.ids[n], c.ID}
				if was, ok := deepest[k]; !ok || v > was.v {
					deepest[k] = depth{v, c.Place.Apply(at)}
				}
			}
		}
	}
	var out []pipeline.Finding
	if len(deepest) == 0 {
		return nil, nil
	}
	for _, s := range p.Slots() {
		for _, c := range p.Copies() {
			d, ok := deepest[place{s.ID, c.ID}]
			if !ok {
				continue
			}
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s reaches %s mm into %s; at most %v mm are allowed", s.ID, trim(d.v), c.ID, limit),
				At:      &d.at, Feature: s.ID, Copies: []string{c.ID}, Measured: &d.v,
			})
		}
	}
	return out, nil
}

// within gives the deepest place of an edge inside an outline, of the ends and middles of the stretches that
// lie inside.
func within(e geom.Edge, o geom.Outline) (depth float64, at geom.Point) {
	look := func(q geom.Point) {
		if o.Locate(q) == geom.Inside {
			if d := o.Distance(q); d > depth {
				depth, at = d, q
			}
		}
	}
	look(e.From)
	look(e.To)
	cuts := []float64{0, 1}
	box := e.Box()
	for _, f := range o.Outer {
		if f.Box().Overlaps(box) {
			for _, q := range e.Intersections(f) {
				cuts = append(cuts, fraction(e, q))
			}
		}
	}
	sortFloats(cuts)
	for i := 1; i < len(cuts); i++ {
		if cuts[i] > cuts[i-1] {
			look(e.At((cuts[i] + cuts[i-1]) / 2))
		}
	}
	return depth, at
}

// cutterDiameter finds cutters thinner than fabricators keep.
func cutterDiameter(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	var out []pipeline.Finding
	for _, c := range p.Cutters() {
		if v := c.MM(); v < limit-tolerance {
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("a cutter of %s mm is asked for; at least %v mm are wanted", trim(v), limit), Measured: &v,
			})
		}
	}
	return out, nil
}

// noticed is how far material must stand out for anybody to tell it from a cutter's own tolerance, ± 0.1 mm
// (pcbbaltic.lt, tolerances): a fifth of that, from memory, no published source.
const noticed = 20 * geom.UM

// noticeable is how far a piece must stand out to be told of. Along a score line the edge is no truer than 0.15 mm a
// side as it breaks (wedirekt.co.uk, routing and scoring).
func noticeable(x panel.Unreached) geom.Length {
	if besideScore(x) {
		return 150 * geom.UM
	}
	return noticed
}

// besideScore tells whether a piece was left where a relief beside a score line was routed.
func besideScore(x panel.Unreached) bool { return strings.Contains(x.ID, "/relief/") }

// leftBeside is what cutters leave beside score lines on the copies of one board: it hangs on what lies across
// the lines, so that nearly every copy has its own, and is told of together.
type leftBeside struct {
	at     int // among the findings
	worst  panel.Unreached
	pieces int
	copies []string
}

func (l *leftBeside) add(x panel.Unreached) {
	area := func(u panel.Unreached) float64 {
		b := u.Outline.Box()
		return float64(b.Width()) * float64(b.Height())
	}
	if l.pieces == 0 || x.Radius > l.worst.Radius || x.Radius == l.worst.Radius && area(x) > area(l.worst) {
		l.worst = x
	}
	l.pieces++
	if !slices.Contains(l.copies, x.Copy) {
		l.copies = append(l.copies, x.Copy)
	}
}

func (l *leftBeside) finding(board string) pipeline.Finding {
	v, at, box := l.worst.Radius.MM(), l.worst.At, l.worst.Outline.Box()
	return pipeline.Finding{
		Message: fmt.Sprintf("no cutter reaches all that lies beside score lines at corners and notches of board %s: %s stay on the copies, the largest %s x %s mm on %s; a thinner cutter leaves less",
			board, counted(l.pieces, "piece", "pieces"), trim(box.Width().MM()), trim(box.Height().MM()), l.worst.Copy),
		At: &at, Feature: l.worst.ID, Copies: slices.Clone(l.copies), Measured: &v,
	}
}

// cutterReach finds material that stays on a board because no cutter reaches it. Copies of a board
// that keep it in the same places are told of once.
func cutterReach(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	type key struct {
		board *panel.Board
		at    geom.Point
	}
	copies := map[string]panel.Copy{}
	for _, c := range p.Copies() {
		copies[c.ID] = c
	}
	seen := map[key]int{}
	var out []pipeline.Finding
	beside := map[*panel.Board]*leftBeside{}
	for _, x := range p.Unreached() {
		v := x.Radius.MM()
		if size := x.Outline.Box(); v <= limit+tolerance || min(size.Width(), size.Height()) < noticeable(x) {
			continue
		}
		c := copies[x.Copy]
		if besideScore(x) {
			if beside[c.Board] == nil {
				beside[c.Board] = &leftBeside{at: len(out)}
				out = append(out, pipeline.Finding{})
			}
			beside[c.Board].add(x)
			out[beside[c.Board].at] = beside[c.Board].finding(c.Board.Name)
			continue
		}
		k := key{c.Board, c.Place.Inverse().Apply(x.At)}
		if i, ok := seen[k]; ok {
			out[i].Copies = append(out[i].Copies, x.Copy)
			continue
		}
		seen[k] = len(out)
		at := x.At
		box := x.Outline.Box()
		out = append(out, pipeline.Finding{
			Message: fmt.Sprintf("no cutter reaches the inner corner or notch of %s at %v mm: a radius of %s mm remains there, and %s x %s mm of material stay on the board",
				x.Copy, at, trim(v), hundredths(box.Width()), hundredths(box.Height())),
			At: &at, Feature: x.ID, Copies: []string{x.Copy}, Measured: &v,
		})
	}
	return out, nil
}

// hundredths writes a length of what is left over in mm: a person looks at it, no one works to it.
func hundredths(l geom.Length) string { return trim(math.Round(l.MM()*100) / 100) }

// holeOffPanel finds holes of boards that do not lie wholly on the panel.
func holeOffPanel(ctx context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	outline := p.Outline()
	within := outline.Box().Grow(-outlineSlack(outline))
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n := 0
		var first geom.Point
		for _, f := range c.Board.Drills {
			for _, h := range f.Drilling.Holes {
				at := c.Place.Apply(h.At)
				r := (f.Drilling.Tools[h.Tool].Diameter + 1) / 2
				if within.Holds(geom.BoxOf(at).Grow(r)) {
					continue
				}
				if outline.Locate(at) == geom.Inside && outline.Distance(at) >= float64(r) {
					continue
				}
				if n == 0 {
					first = at
				}
				n++
			}
		}
		if n > 0 {
			out = append(out, pipeline.Finding{Message: fmt.Sprintf("holes of %s that do not lie wholly on the panel: %d, the first at %v mm", c.ID, n, first),
				At: &first, Feature: c.ID, Copies: []string{c.ID}})
		}
	}
	return out, nil
}

// outlineSlack is how far inside its box a panel's rounded corners may reach.
func outlineSlack(o geom.Outline) geom.Length {
	var r geom.Length
	for _, e := range o.Outer {
		if e.Sense != geom.Straight {
			r = max(r, geom.Length(math.Ceil(e.Radius())))
		}
	}
	return r
}
