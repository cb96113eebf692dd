package breakofftabs

import (
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Pin is a tab at a fixed place.
type Pin struct {
	Copy     string      `option:"copy" help:"which copy; edge is as seen on the panel"`
	Board    string      `option:"board" help:"every copy of this board; edge is as in the board's own files"`
	Edge     string      `option:"edge" required:"true" choice:"upper|lower|left|right" help:"from which side the board is looked at"`
	Position geom.Length `option:"position" required:"true" range:"0..1000" help:"middle of the tab from the left or lower end of the bounding box on that side"`
}

// Forbidden is a stretch of a board's edge where no tab may stand.
type Forbidden struct {
	Copy  string      `option:"copy" help:"which copy; edge is as seen on the panel"`
	Board string      `option:"board" help:"every copy of this board; edge is as in the board's own files"`
	Edge  string      `option:"edge" required:"true" choice:"upper|lower|left|right" help:"from which side the board is looked at"`
	From  geom.Length `option:"from" required:"true" range:"0..1000" help:"beginning of the stretch, from the left or lower end of the bounding box on that side"`
	To    geom.Length `option:"to" required:"true" range:"0..1000" help:"its end"`
}

// sideLine is one side of a bounding box, with the direction in which positions along it count.
type sideLine struct {
	start  geom.Point // where positions count from
	along  vector
	inward vector
	depth  float64 // of the box, seen from the side
}

func lineOf(b geom.Box, edge string) sideLine {
	switch edge {
	case "lower":
		return sideLine{b.Min, vector{1, 0}, vector{0, 1}, float64(b.Height())}
	case "upper":
		return sideLine{geom.Pt(b.Min.X, b.Max.Y), vector{1, 0}, vector{0, -1}, float64(b.Height())}
	case "left":
		return sideLine{b.Min, vector{0, 1}, vector{1, 0}, float64(b.Width())}
	}
	return sideLine{geom.Pt(b.Max.X, b.Min.Y), vector{0, 1}, vector{-1, 0}, float64(b.Width())}
}

// view gives a copy's outline as a pin or a forbidden stretch means it: on the panel where it names a
// copy, in the board's files where it names a board.
func (c *placed) view(copyID, board string) (track *track, ok bool) {
	switch {
	case copyID == c.ID:
		return newTrack(c.Place.Path(c.track.path)), true
	case copyID == "" && board == c.Board.Name:
		return c.track, true
	}
	return nil, false
}

// seen gives the place on an outline that one sees first, looking from a side of its box at a position
// along it; false when there is nothing.
func seen(t *track, l sideLine, position float64) (float64, bool) {
	from := l.along.from(l.start, position)
	ray := geom.Line(l.inward.from(from, -float64(geom.MM)), l.inward.from(from, l.depth+float64(geom.MM)))
	best, at := math.Inf(1), 0.0
	for i, e := range t.path {
		for _, q := range ray.Intersections(e) {
			if d := q.Distance(ray.From); d < best {
				best, at = d, t.starts[i]+e.Along(q)
			}
		}
	}
	return at, !math.IsInf(best, 1)
}

// forbidden gives the stretches of a copy's edge that the recipe keeps free of tabs.
func (s *standing) forbidden(c *placed) []barred {
	var out []barred
	for _, f := range s.Forbidden {
		t, ok := c.view(f.Copy, f.Board)
		if !ok {
			continue
		}
		l := lineOf(t.path.Box(), f.Edge)
		n := int(math.Ceil(t.length / float64(sampleStep)))
		says := make([]bool, n)
		for i := range says {
			p, _ := t.at(float64(t.length * (float64(i) + 0.5) / float64(n)))
			position := l.along.dot(vector{float64(p.X - l.start.X), float64(p.Y - l.start.Y)})
			if position < float64(f.From) || position > float64(f.To) {
				continue
			}
			first, found := seen(t, l, position)
			q, _ := t.at(first)
			says[i] = found && q.Distance(p) < float64(sampleStep)
		}
		for _, r := range runs(t.length, says) {
			if r.says {
				out = append(out, barred{r.from, r.to, float64(s.waist(s.width, s.corner)) / 2, isForbidden})
			}
		}
	}
	return out
}

// pins gives the candidates that the recipe asks for, and says which pins cannot be.
func (s *standing) pins() ([]candidate, error) {
	var out []candidate
	for _, pin := range s.Pinned {
		found := false
		for i, c := range s.copies {
			t, ok := c.view(pin.Copy, pin.Board)
			if !ok {
				continue
			}
			at, ok := seen(t, lineOf(t.path.Box(), pin.Edge), float64(pin.Position))
			if !ok {
				return nil, fmt.Errorf("the tab pinned on edge %s at %v lies beside %s, whose side there is only %v long",
					pin.Edge, pin.Position, c.ID, lineLength(t.path.Box(), pin.Edge))
			}
			k, target := s.pinned(i, at)
			switch {
			case target == panelEdge && pin.Copy == "":
				continue // this copy lies at the panel's edge, others of its board need not
			case !holds(target):
				return nil, fmt.Errorf("the tab pinned on edge %s of %s at %v faces no board or rail across a slot", pin.Edge, c.ID, pin.Position)
			}
			found = true
			out = append(out, k)
		}
		if !found {
			return nil, fmt.Errorf("the pinned tab on edge %s of %s lies on no edge that faces a board or rail across a slot", pin.Edge, pin.Copy+pin.Board)
		}
	}
	return s.distinct(out), nil
}

func lineLength(b geom.Box, edge string) geom.Length {
	if edge == "upper" || edge == "lower" {
		return b.Width()
	}
	return b.Height()
}

// pinned makes a candidate whatever bars the place, with what it faces.
func (s *standing) pinned(i int, at float64) (candidate, int) {
	c := s.copies[i]
	p, along := c.onPanel(at)
	target, gap, _ := look(s.walls, i, p, along.right(), s.reach())
	if target == noTarget || gap <= float64(touching) && target != panelEdge {
		return candidate{}, noTarget
	}
	k := candidate{copy: i, at: at, foot: p, out: along.right(), gap: gap, target: target, other: along.right().from(p, gap), pinned: true}
	k.waist = s.waist(geom.Round(gap), min(s.corner, geom.Round(gap/2)))
	k.half = s.half(k.waist)
	if target >= 0 {
		k.otherAt = s.copies[target].project(k.other)
	}
	return k, target
}

// distinct leaves out pins that mean the same tab, as when two boards' pins name its two ends.
func (s *standing) distinct(all []candidate) []candidate {
	var out []candidate
	for _, k := range all {
		same := false
		for _, o := range out {
			same = same || k.foot.Distance(o.foot) < float64(touching) || k.foot.Distance(o.other) < float64(touching) && k.other.Distance(o.foot) < float64(touching)
		}
		if !same {
			out = append(out, k)
		}
	}
	return out
}

// names refuses pins and forbidden stretches that name what is not there.
func (s *BreakoffTabs) names(in panel.Panel) error {
	var ids []string
	for _, c := range in.Copies() {
		ids = append(ids, c.ID)
	}
	check := func(what, copyID, board string) error {
		if copyID != "" && !contains(ids, copyID) {
			return fmt.Errorf("the %s names copy %q, which there is not%s", what, copyID, nearest(copyID, ids))
		}
		if board != "" && in.Board(board) == nil {
			return fmt.Errorf("the %s names board %q, which there is not", what, board)
		}
		return nil
	}
	for _, p := range s.Pinned {
		if err := check("pinned tab", p.Copy, p.Board); err != nil {
			return err
		}
	}
	for _, f := range s.Forbidden {
		if err := check("forbidden stretch", f.Copy, f.Board); err != nil {
			return err
		}
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
