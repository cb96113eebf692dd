package start

import (
	"fmt"
	"math"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/board/intake"
)

// side is a side of the board's box.
type side int

// The sides, counter-clockwise.
const (
	lower side = iota
	right
	upper
	left
)

func (s side) String() string { return [...]string{"lower", "right", "upper", "left"}[s] }

// facts is what was measured of the board, as far as a proposal rests on it. Sides are those of the board as its files have it.
type facts struct {
	board    *panel.Board
	box      geom.Box
	fill     float64        // how much of its box the board fills
	straight [4]float64     // how much of each side of the box is a straight edge of the board
	barred   [4]geom.Length // how much of each side is castellated, plated or has contact fingers
	classes  string         // those edges in words; empty: all plain
	outer    *near          // copper of outer layers nearest to the edge
	inner    *near          // the same of inner layers
	beyond   [4]geom.Length // how far something stands out over each side
	standOut string         // what that is
	drawn    bool           // it is only drawn so: nothing is known of parts
}

// near is a distance of copper and what it is.
type near struct {
	size  geom.Length
	layer string
	at    string
}

// lies says it as the rest of a sentence about copper.
func (n *near) lies() string {
	return fmt.Sprintf("lies %s from the edge on %s, at %s", n.size, n.layer, n.at)
}

// A rectangle or nearly so: rounded corners and small notches are routed beside a score line. Common practice, no published
// source; that each line has an edge along it is for a rule to judge.
const (
	leastFill     = 0.97
	leastStraight = 0.75
)

func factsOf(got *intake.Result) facts {
	b := got.Board
	f := facts{board: b, box: b.Outline.Box()}
	f.fill = geom.Outline{Outer: b.Outline.Outer}.Area() / (float64(f.box.Width()) * float64(f.box.Height()))
	for _, e := range b.Outline.Outer {
		if s, ok := f.sideOf(e); ok {
			f.straight[s] += e.Length() / float64(f.length(s))
		}
	}
	f.settleClasses(got.Classes())
	for _, m := range got.CopperMeasures() {
		if m.ToEdge == nil {
			continue
		}
		n := &near{m.ToEdge.Size, m.Layer.Key(), fmt.Sprintf("(%.3f, %.3f) mm", m.ToEdge.At.X.MM(), m.ToEdge.At.Y.MM())}
		at := &f.outer
		if m.Layer.Side != panel.Top && m.Layer.Side != panel.Bottom {
			at = &f.inner
		}
		if *at == nil || n.size < (*at).size {
			*at = n
		}
	}
	f.settleBeyond(got)
	return f
}

// length is that of a side of the box.
func (f *facts) length(s side) geom.Length {
	if s == lower || s == upper {
		return f.box.Width()
	}
	return f.box.Height()
}

// sideOf tells which side of the box a straight edge lies on.
func (f *facts) sideOf(e geom.Edge) (side, bool) {
	const on = geom.UM
	if e.Sense != geom.Straight {
		return 0, false
	}
	both := func(a, b, at geom.Length) bool { return (a-at).Abs() <= on && (b-at).Abs() <= on }
	switch {
	case both(e.From.Y, e.To.Y, f.box.Min.Y):
		return lower, true
	case both(e.From.X, e.To.X, f.box.Max.X):
		return right, true
	case both(e.From.Y, e.To.Y, f.box.Max.Y):
		return upper, true
	case both(e.From.X, e.To.X, f.box.Min.X):
		return left, true
	}
	return 0, false
}

// nearest is the side of the box that a place lies nearest to.
func (f *facts) nearest(p geom.Point) side {
	d := [4]geom.Length{p.Y - f.box.Min.Y, f.box.Max.X - p.X, f.box.Max.Y - p.Y, p.X - f.box.Min.X}
	best := lower
	for s := range d {
		if d[s] < d[best] {
			best = side(s)
		}
	}
	return best
}

// settleClasses takes the stretches of the edge that are not plain.
func (f *facts) settleClasses(classes []intake.EdgeStretch) {
	var words []string
	for _, c := range classes {
		if c.Loop != 0 {
			continue
		}
		var along [4]geom.Length
		for _, e := range c.Path {
			along[f.nearest(e.At(0.5))] += geom.Round(e.Length())
		}
		most := lower
		for s := range along {
			f.barred[s] += along[s]
			if along[s] > along[most] {
				most = side(s)
			}
		}
		what := string(c.Class)
		if c.Class == "fingers" {
			what = "contact fingers"
		}
		words = append(words, fmt.Sprintf("%s along %s of the %s edge", what, short(geom.Round(c.To-c.From)), most))
	}
	f.classes = sentence(words)
}

// plain tells whether no stretch of the edge has a class.
func (f *facts) plain() bool { return f.classes == "" }

// rectangle tells whether the board is one, or nearly so.
func (f *facts) rectangle() bool {
	for _, s := range f.straight {
		if s < leastStraight {
			return false
		}
	}
	return f.fill >= leastFill
}

// shape says the board's outline in words.
func (f *facts) shape() string {
	if f.rectangle() {
		what := "a rectangle"
		if f.fill < 0.9999 {
			what = "nearly a rectangle"
		}
		return fmt.Sprintf("%s: it fills %s %% of its box, and straight edges make %.0f %% of each side at least", what, percent(f.fill), 100*min(f.straight[0], f.straight[1], f.straight[2], f.straight[3]))
	}
	return fmt.Sprintf("no rectangle: it fills %s %% of its box, and straight edges make %.0f, %.0f, %.0f and %.0f %% of the lower, right, upper and left side",
		percent(f.fill), 100*f.straight[lower], 100*f.straight[right], 100*f.straight[upper], 100*f.straight[left])
}

// percent writes a share so that only a whole one is 100.
func percent(x float64) string { return fmt.Sprintf("%.1f", math.Floor(1000*x+1e-6)/10) }

// What is drawn further out than this is a note to the fabricator rather than a part; nearer than the least, a pen's width.
// From memory, no published source.
const (
	mostBeyond  = 10 * geom.MM
	leastBeyond = 200 * geom.UM
)

// settleBeyond measures what stands out over the edge: bodies of parts, and where no placement tells them what legends draw.
func (f *facts) settleBeyond(got *intake.Result) {
	grow := func(b geom.Box, what string) {
		out := [4]geom.Length{f.box.Min.Y - b.Min.Y, b.Max.X - f.box.Max.X, b.Max.Y - f.box.Max.Y, f.box.Min.X - b.Min.X}
		for s := range out {
			if out[s] > f.beyond[s] && out[s] > leastBeyond && out[s] <= mostBeyond {
				f.beyond[s], f.standOut = out[s], what
			}
		}
	}
	bodies := got.Bodies()
	for _, p := range bodies {
		if body, ok := p.BodyOutline(); ok && f.board.OverEdge(p) > 0 {
			grow(body.Box(), "parts' bodies, as "+p.Refdes)
		}
	}
	if len(bodies) > 0 {
		return
	}
	f.drawn = true
	for _, l := range f.board.Layers {
		if l.Function.Kind != panel.Legend || l.Image == nil {
			continue
		}
		for _, o := range l.Image.Objects {
			if o.Kind == artwork.Stroke && !o.Clear {
				grow(l.Image.Box(o), "what "+l.Function.Key()+" draws, there being no placement")
			}
		}
	}
}

// limits are the limits that a proposal keeps to: the program's own rules'.
type limits struct{ rules map[string]pipeline.Rule }

func limitsOf(rules []pipeline.Rule) limits {
	m := map[string]pipeline.Rule{}
	for _, r := range rules {
		m[r.Name] = r
	}
	return limits{m}
}

// of gives a rule's limit in mm, or the one given where the program has no such rule.
func (l limits) of(rule string, otherwise geom.Length) geom.Length {
	if r, ok := l.rules[rule]; ok && r.Default != nil {
		return geom.FromMM(*r.Default)
	}
	return otherwise
}

// revision marks at the end of a name.
var revisionEnd = regexp.MustCompile(`_(rev(ision)?_?[a-z0-9]{1,3}|v[0-9][0-9_]*)$`)

// generic are names that say nothing of a board.
var generic = regexp.MustCompile(`^(board|pcb|gerbers?|fab(rication)?|outputs?|files?|data|copper|schematic|layers?|export|plots?|untitled|production|manufacturing)$`)

// boardName makes a name of what the files begin with, of the project that they name, or of their folder.
func boardName(got *intake.Result, paths []pipeline.InPath) string {
	folder := ""
	if len(paths) > 0 {
		at := filepath.Join(paths[0].Dir, filepath.FromSlash(paths[0].Text))
		if len(paths) > 1 {
			at = filepath.Dir(at)
		}
		folder = filepath.Base(at)
		if len(paths) == 1 {
			folder = strings.TrimSuffix(folder, ".zip")
		}
	}
	for _, c := range []string{begin(got), got.Project(), folder} {
		name := intake.CleanName(c)
		name = strings.Trim(revisionEnd.ReplaceAllString(name, ""), "_")
		if len(name) >= 2 && len(name) <= 40 && !generic.MatchString(name) {
			return name
		}
	}
	return "board"
}

// begin is what the names of all layers and drill files begin with, up to a sign that parts words.
func begin(got *intake.Result) string {
	common := ""
	var names []string
	for _, f := range got.Files {
		if f.Ignored != "" || f.Kind != intake.LayerFile && f.Kind != intake.DrillFile {
			continue
		}
		name := path.Base(f.Name)
		if names = append(names, name); len(names) == 1 {
			common = name
			continue
		}
		for !strings.HasPrefix(name, common) {
			common = common[:len(common)-1]
		}
	}
	if len(names) < 3 {
		return ""
	}
	word := func(name string) bool {
		return len(name) > len(common) && strings.IndexByte("-_. ", name[len(common)]) < 0
	}
	if !slices.ContainsFunc(names, word) {
		return common
	}
	if at := strings.LastIndexAny(common, "-_. "); at >= 0 {
		return common[:at]
	}
	return ""
}
