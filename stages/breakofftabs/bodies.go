package breakofftabs

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

// body is what tabs hold as one: a copy, or copies that score lines join. The web of a line holds a board to its
// neighbour only, so that spans and corners are those of all that hangs together.
type body struct {
	*placed             // where the body is one copy: that; else one with the joined outline, in the panel's coordinates
	copies  []int       // indices
	mass    geom.Point  // centre, on the panel
	scored  []geom.Edge // lines along its edge that join it to a rail or to waste
}

// ids gives the copies' names.
func (s *standing) ids(b *body) (out []string) {
	for _, i := range b.copies {
		out = append(out, s.copies[i].ID)
	}
	return out
}

// name says in words what the body is.
func (s *standing) name(b *body) string {
	if len(b.copies) == 1 {
		return fmt.Sprintf("%s (board %s)", b.ID, b.Board.Name)
	}
	ids := s.ids(b)
	if n := len(ids); n > 3 {
		return fmt.Sprintf("%s and %d more, joined by score lines", ids[0], n-1)
	}
	last := ids[len(ids)-1]
	return fmt.Sprintf("%s and %s, joined by score lines", strings.Join(ids[:len(ids)-1], ", "), last)
}

// gather finds the bodies and which one each copy belongs to.
func (s *standing) gather(ctx context.Context, env *pipeline.Env, in panel.Panel) error {
	s.bodyOf = make([]int, len(s.copies))
	sets := disjoint.New(len(s.copies))
	lines := s.joints(in, sets)
	at := map[int]int{}
	for i := range s.copies {
		root := sets.Find(i)
		k, ok := at[root]
		if !ok {
			k = len(s.bodies)
			at[root] = k
			s.bodies = append(s.bodies, &body{})
		}
		s.bodyOf[i] = k
		s.bodies[k].copies = append(s.bodies[k].copies, i)
		s.bodies[k].scored = append(s.bodies[k].scored, lines[i]...)
	}
	blanks := map[string]geom.Region{}
	for _, b := range in.Blanks() {
		blanks[b.Copy] = append(blanks[b.Copy], b.Outline)
	}
	return pipeline.Each(ctx, env.Workers, len(s.bodies), func(i int) error { return s.settleBody(ctx, s.bodies[i], blanks) })
}

// settleBody gives a body its outline, corners and centre of mass.
func (s *standing) settleBody(ctx context.Context, b *body, blanks map[string]geom.Region) error {
	first := s.copies[b.copies[0]]
	if len(b.copies) == 1 {
		b.placed = first
		b.mass = first.Place.Apply(first.Board.Outline.Moments().Centroid())
		return nil
	}
	whole := overlay.Operand{Rule: overlay.NonZero}
	for _, i := range b.copies {
		c := s.copies[i]
		whole.Paths = append(whole.Paths, c.Outline().Outer)
		for _, x := range blanks[c.ID] {
			whole.Paths = append(whole.Paths, x.Outer)
		}
	}
	r, err := overlay.Union(ctx, overlay.Options{Workers: 1}, whole)
	if err != nil {
		return err
	}
	largest := 0
	for i, o := range r {
		if o.Area() > r[largest].Area() {
			largest = i
		}
	}
	outline := geom.Outline{Outer: r[largest].Outer}
	t := newTrack(outline.Outer)
	b.placed = &placed{Copy: panel.Copy{ID: first.ID, Board: first.Board}, edge: &edge{board: first.Board, track: t, zones: corners(t)}}
	b.mass = outline.Moments().Centroid()
	return nil
}

// joints joins copies that a score line parts from one another, and gives for each copy the lines beyond which a
// rail or waste lies.
func (s *standing) joints(in panel.Panel, sets *disjoint.Sets) [][]geom.Edge {
	out := make([][]geom.Edge, len(s.copies))
	scores := in.Scores()
	if len(scores) == 0 {
		return out
	}
	const across = 50 * geom.UM
	var boxes geom.Index[int]
	for i, c := range s.copies {
		boxes.Insert(c.Box(), i)
	}
	for i, c := range s.copies {
		box := c.Box()
		for _, x := range scores {
			level := x.From.Y == x.To.Y
			side := geom.EmptyBox()
			switch {
			case level && (box.Min.Y-x.Leave-x.From.Y).Abs() <= touching:
				side = geom.BoxOf(geom.Pt(box.Min.X, x.From.Y-x.Leave-across), geom.Pt(box.Max.X, x.From.Y))
			case level && (box.Max.Y+x.Leave-x.From.Y).Abs() <= touching:
				side = geom.BoxOf(geom.Pt(box.Min.X, x.From.Y), geom.Pt(box.Max.X, x.From.Y+x.Leave+across))
			case !level && (box.Min.X-x.Leave-x.From.X).Abs() <= touching:
				side = geom.BoxOf(geom.Pt(x.From.X-x.Leave-across, box.Min.Y), geom.Pt(x.From.X, box.Max.Y))
			case !level && (box.Max.X+x.Leave-x.From.X).Abs() <= touching:
				side = geom.BoxOf(geom.Pt(x.From.X, box.Min.Y), geom.Pt(x.From.X+x.Leave+across, box.Max.Y))
			default:
				continue
			}
			line := geom.BoxOf(x.From, x.To)
			if _, _, ok := common(line, box, level); !ok {
				continue
			}
			var beside []int
			boxes.Search(side, func(b geom.Box, k int) bool {
				if k != i && overlapInside(b, side) {
					beside = append(beside, k)
				}
				return true
			})
			slices.Sort(beside)
			for _, k := range beside {
				sets.Join(i, k)
			}
			if len(beside) == 0 {
				from, to, _ := common(line, box, level)
				if level {
					out[i] = append(out[i], geom.Line(geom.Pt(from, x.From.Y), geom.Pt(to, x.From.Y)))
				} else {
					out[i] = append(out[i], geom.Line(geom.Pt(x.From.X, from), geom.Pt(x.From.X, to)))
				}
			}
		}
	}
	return out
}

// common gives what a line and a box have in common along the line.
func common(line, box geom.Box, level bool) (from, to geom.Length, ok bool) {
	from, to = max(line.Min.Y, box.Min.Y), min(line.Max.Y, box.Max.Y)
	if level {
		from, to = max(line.Min.X, box.Min.X), min(line.Max.X, box.Max.X)
	}
	return from, to, from < to
}
