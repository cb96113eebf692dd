package intake

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// NamedLoop is a closed loop of the outline's file, by the name that a recipe may choose it by.
type NamedLoop struct {
	Name  string
	Path  geom.Path
	Holds int // pads and holes
	Use   string

	loop geom.Loop
}

func (l NamedLoop) String() string {
	b := l.Path.Box()
	return fmt.Sprintf("%s (%s × %s from %s)", l.Name, b.Width().Decimal(), b.Height(), b.Min)
}

const (
	// frameMargin is how far a loop must lie outside another, on one side at least, to be a sheet frame
	// round it rather than a line along its edge (from memory: rails and keep-out lines lie within 5 mm of
	// the edge, frames of drawing sheets further out).
	frameMargin = 5 * geom.MM
	// The sizes of a job file are believed to within half a stroke on each side.
	jobMargin = 300 * geom.UM
)

// choose finds the board's outline in a heap of strokes. Where they make one outline that holds the
// board's pads and holes, that is it. Else the loops are held against what the board holds; in doubt the
// user is asked.
func (r *Result) choose(name string, edges []geom.Edge, rule *OutlineRule) (geom.Outline, error) {
	o := &r.Outline
	outline, joined, err := geom.Assemble(edges, r.req.Tolerance)
	o.Moved, o.LargestGap, o.Duplicates = joined.Moved, joined.LargestGap, joined.Duplicates
	points := r.content()
	asked := rule.Loop != "" || len(rule.NoCutOuts) > 0
	if err == nil && !asked && believable(outline, points) {
		return outline, nil
	}
	s, sketchErr := geom.SketchOf(edges, r.req.Tolerance)
	if sketchErr != nil {
		if err == nil {
			err = sketchErr
		}
		return outline, err
	}
	c := chooser{result: r, file: name, rule: rule, sketch: s, points: points, first: err}
	for i, l := range s.Loops {
		c.loops = append(c.loops, NamedLoop{Name: fmt.Sprint("loop-", i+1), Path: l.Path, Holds: countIn(l.Path, points), loop: l})
	}
	defer func() { o.Loops = c.loops }()
	board, err := c.board()
	if err != nil {
		return outline, err
	}
	outline, err = c.outline(board)
	if err != nil {
		return outline, err
	}
	o.Moved, o.LargestGap, o.Duplicates = s.Moved, s.LargestGap, s.Duplicates
	c.tell(board)
	return outline, nil
}

// believable tells whether an outline may be the board's: most of its pads and holes lie within, and no
// cut-out holds many of them.
func believable(o geom.Outline, points []geom.Point) bool {
	if len(points) < few {
		return true
	}
	if 2*countIn(o.Outer, points) < len(points) {
		return false
	}
	for _, c := range o.CutOuts {
		if n := countIn(c, points); n >= few && 5*n > len(points) {
			return false
		}
	}
	return true
}

type chooser struct {
	result *Result
	file   string
	rule   *OutlineRule
	sketch geom.Sketch
	loops  []NamedLoop
	points []geom.Point
	first  error // why the strokes are no outline as they are

	why string // the choice
}

// ask is the problem of a doubt.
func (c *chooser) ask(what string, among []int) error {
	if len(among) == 0 {
		do := "correct the outline in the source and have it written again"
		if slices.ContainsFunc(c.result.of(DrawingFile), func(f *File) bool { return f.Name == c.file }) {
			do += "; or, where only its origin differs from that of the layers, say in the recipe, in the board stage, how far it is to be moved:\n  outline {\n    shift_x = \"… mm\"\n    shift_y = \"… mm\"\n  }"
		}
		return &Problem{c.file + ": " + what, do}
	}
	return &Problem{c.file + ": " + what,
		"say in the recipe which loop is the board's edge, in the board stage (the survey's picture shows them):\n" + outlineBlock("loop", c.loops[among[len(among)-1]].Name)}
}

func (c *chooser) names(of []int) string {
	var s []string
	for n, i := range of {
		if n == 8 && len(of) > 9 {
			s = append(s, fmt.Sprintf("%d smaller ones", len(of)-n))
			break
		}
		s = append(s, c.loops[i].String())
	}
	return list(s)
}

// board chooses the loop that is the board's edge.
func (c *chooser) board() (int, error) {
	if c.rule.Loop != "" {
		i := slices.IndexFunc(c.loops, func(l NamedLoop) bool { return l.Name == c.rule.Loop })
		if i < 0 {
			return 0, &Problem{fmt.Sprintf("%s: the outline block names %s, but there are only %s", c.file, c.rule.Loop, counted(len(c.loops), "closed loop")), "name one of " + c.names(c.all())}
		}
		c.why = "the recipe says so"
		return i, nil
	}
	switch {
	case len(c.loops) == 0:
		return 0, c.first
	case len(c.points) < few:
		return c.boardByShape()
	}
	best := 0
	for _, l := range c.loops {
		best = max(best, l.Holds)
	}
	if 2*best < len(c.points) {
		if c.first != nil && best == 0 {
			return 0, c.first
		}
		what := ""
		if best == 0 {
			what = fmt.Sprintf("none of its %s holds any of the board's %d pads and holes, which lie between %s and %s mm",
				counted(len(c.loops), "closed loop"), len(c.points), boxOf(c.points).Min, boxOf(c.points).Max)
		} else {
			what = fmt.Sprintf("no closed loop holds most of the board's %d pads and holes: %s", len(c.points), c.holders())
		}
		if c.first != nil {
			what += "; " + c.first.Error()
		}
		return 0, c.ask(what, c.holding(1))
	}
	if err := c.twoBoards(best); err != nil {
		return 0, err
	}
	among := c.holding(best - best/50)
	board := among[len(among)-1] // the smallest
	if i, ok := c.byJob(among); ok {
		c.why = "the job file gives its size"
		return i, c.open(i)
	}
	for i, l := range c.loops {
		if k := c.loops[board]; i != board && l.loop.Group == k.loop.Group && !k.Path.Box().Holds(l.Path.Box()) && !slices.Contains(among, i) {
			what := fmt.Sprintf("%s, which holds the board's pads and holes, crosses or touches %s", k, l)
			if c.first != nil {
				what = c.first.Error() + "; " + what
			}
			return 0, c.ask(what, append(among, i, board))
		}
	}
	for _, i := range among[:len(among)-1] {
		if !around(c.loops[i].Path.Box(), c.loops[board].Path.Box()) {
			return 0, c.ask(fmt.Sprintf("%s could each be the board's edge: %s hold all of its pads and holes", c.names(among), both(len(among))), among)
		}
	}
	c.why = fmt.Sprintf("it is the smallest that holds %d of the board's %d pads and holes", c.loops[board].Holds, len(c.points))
	return board, c.open(board)
}

// twoBoards refuses two loops beside each other that both hold much.
func (c *chooser) twoBoards(best int) error {
	much := c.holding(max(few, best/10))
	for n, i := range much {
		for _, k := range much[:n] {
			a, b := c.loops[k], c.loops[i]
			if a.loop.Group == b.loop.Group && !(a.loop.Outer && b.loop.Outer) || a.Path.Box().Overlaps(b.Path.Box()) {
				continue
			}
			p := c.ask(fmt.Sprintf("%s holds %d of the board's pads and holes, %s holds %d: these may be two boards", a, a.Holds, b, b.Holds), []int{k, i}).(*Problem)
			p.Do = "give each board files of its own; or " + p.Do
			return p
		}
	}
	return nil
}

func both(n int) string {
	if n == 2 {
		return "both"
	}
	return fmt.Sprint("all ", n)
}

func (c *chooser) all() []int {
	var out []int
	for i := range c.loops {
		out = append(out, i)
	}
	return out
}

// holding gives the loops that hold at least n pads and holes, the largest first.
func (c *chooser) holding(n int) []int {
	var out []int
	for i, l := range c.loops {
		if l.Holds >= n {
			out = append(out, i)
		}
	}
	return out
}

func (c *chooser) holders() string {
	var s []string
	for _, i := range c.holding(1) {
		if len(s) == 8 {
			s = append(s, "others fewer")
			break
		}
		s = append(s, fmt.Sprintf("%s holds %d", c.loops[i], c.loops[i].Holds))
	}
	return list(s)
}

// boardByShape chooses where the board holds next to nothing: the one loop that no other holds.
func (c *chooser) boardByShape() (int, error) {
	var outer []int
	for i, l := range c.loops {
		if !l.loop.Outer {
			continue
		}
		held := slices.ContainsFunc(outer, func(k int) bool { return c.loops[k].Path.Box().Holds(l.Path.Box()) })
		if !held {
			outer = append(outer, i)
		}
	}
	if len(outer) == 1 && len(c.loops) == 1 {
		c.why = "it is the only closed loop"
		return outer[0], c.open(outer[0])
	}
	what := fmt.Sprintf("the board has hardly any pads and holes to tell by which of %s is its edge: %s", counted(len(c.loops), "closed loop"), c.names(c.all()))
	return 0, c.ask(what, c.all())
}

// byJob chooses the one loop of the size that the job file gives.
func (c *chooser) byJob(among []int) (int, bool) {
	j := c.result.jobs
	if j == nil || j.job == nil || j.job.width == 0 || len(among) < 2 {
		return 0, false
	}
	found := -1
	for _, i := range among {
		b := c.loops[i].Path.Box()
		if (b.Width()-j.job.width).Abs() <= jobMargin && (b.Height()-j.job.height).Abs() <= jobMargin {
			if found >= 0 {
				return 0, false
			}
			found = i
		}
	}
	return found, found >= 0
}

// around tells whether a frame lies well outside a board on some side.
func around(frame, board geom.Box) bool {
	return max(board.Min.X-frame.Min.X, board.Min.Y-frame.Min.Y, frame.Max.X-board.Max.X, frame.Max.Y-board.Max.Y) > frameMargin
}

// open refuses to pass over a chain round the board or within it that nearly closes: it may be the edge
// or a cut-out, left open.
func (c *chooser) open(board int) error {
	if c.rule.IgnoreOpen {
		return nil
	}
	box := c.loops[board].Path.Box()
	for _, m := range c.sketch.Marks {
		size := max(m.Box.Width(), m.Box.Height())
		if m.Gap < 0 || size < geom.MM || float64(m.Gap) > max(float64(geom.MM), m.Length/20) || float64(m.Gap) > m.Length/4 || !m.Box.Overlaps(box) {
			continue
		}
		return &Problem{fmt.Sprintf("%s: beside %s, which could be the board, there is a chain of %s that nearly closes: a gap of %s between %s and %s (ends are joined up to %s apart)",
			c.file, c.loops[board], counted(m.Edges, "stroke"), m.Gap, m.From, m.To, c.result.req.Tolerance),
			"close it in the source, or allow the gap with outline_tolerance; or, where it is only a mark, say so in the board stage:\n  outline {\n    ignore_open = true\n  }"}
	}
	return nil
}

// outline gives the board with its cut-outs: the loops within it that hold nothing of the board.
func (c *chooser) outline(board int) (geom.Outline, error) {
	edge := c.loops[board]
	for _, n := range c.rule.NoCutOuts {
		if !slices.ContainsFunc(c.loops, func(l NamedLoop) bool { return l.Name == n }) {
			return geom.Outline{}, &Problem{fmt.Sprintf("%s: not_cut_outs names %s, but there are only %s", c.file, n, counted(len(c.loops), "closed loop")), "name one of " + c.names(c.all())}
		}
	}
	where := geom.NewLocator(geom.Region{{Outer: edge.Path}})
	edges := slices.Clone(edge.Path)
	var cuts []geom.Path
	for i := range c.loops {
		l := &c.loops[i]
		if i == board || !l.loop.Outer || l.loop.Group == edge.loop.Group || where.Locate(l.Path[0].From) != geom.Inside {
			continue
		}
		switch {
		case slices.Contains(c.rule.NoCutOuts, l.Name):
			l.Use = "no cut-out, as the recipe says"
		case l.Holds >= few && 100*l.Holds > len(c.points):
			l.Use = fmt.Sprintf("no cut-out: it holds %d pads and holes", l.Holds)
		case slices.ContainsFunc(cuts, func(p geom.Path) bool {
			return geom.NewLocator(geom.Region{{Outer: p}}).Locate(l.Path[0].From) != geom.Outside
		}):
			l.Use = "within a cut-out"
		default:
			l.Use = "cut-out"
			cuts = append(cuts, l.Path)
			edges = append(edges, l.Path...)
		}
	}
	c.loops[board].Use = "the board"
	outline, _, err := geom.Assemble(edges, 0)
	return outline, err
}

// tell says what was chosen and what was dropped.
func (c *chooser) tell(board int) {
	r := c.result
	r.Outline.Why = fmt.Sprintf("%s: %s", c.loops[board], c.why)
	var s []string
	frames, small := 0, 0
	for i, l := range c.loops {
		switch {
		case l.Use == "cut-out" || i == board:
		case l.Use != "":
			s = append(s, fmt.Sprintf("%s, %s", l, l.Use))
		case l.loop.Group == c.loops[board].loop.Group:
			s = append(s, fmt.Sprintf("%s, which hangs together with the board", l))
		case l.Holds > 0 && l.Path.Box().Holds(c.loops[board].Path.Box()):
			if frames++; frames < 4 {
				s = append(s, fmt.Sprintf("%s, round the board", l))
			}
		default:
			small++
		}
	}
	if small > 0 {
		s = append(s, counted(small, "other loop"))
	}
	if n := len(c.sketch.Marks); n > 0 {
		edges := 0
		for _, m := range c.sketch.Marks {
			edges += m.Edges
		}
		s = append(s, fmt.Sprintf("%s in %s that close no loop, the first near %s", counted(edges, "stroke"), counted(n, "mark"), c.sketch.Marks[0].Box.Center()))
	}
	r.Outline.Dropped = s
	if out := len(c.points) - c.loops[board].Holds; out > 0 {
		s = append(s, fmt.Sprintf("%d of the board's %d pads and holes lie outside it", out, len(c.points)))
	}
	if len(s) == 0 && c.rule.Loop == "" {
		return // strokes that only had to be divided where they lie on one another
	}
	text := fmt.Sprintf("%s: the board is %s: %s", c.file, c.loops[board], c.why)
	if len(s) > 0 {
		text += "; did not count: " + strings.Join(s, "; ")
	}
	r.find("outline-chosen", pipeline.Warning, text)
}
