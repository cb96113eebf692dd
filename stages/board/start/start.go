// Package start makes a first recipe from one board's files. The board is surveyed (facts); from what was measured
// follows how often it is repeated (layout) and which ways of parting the boards come into question (ways); each is written
// as a recipe (text) and carried out, until one leaves no error.
package start

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/stages/board/intake"
)

// Start makes a first recipe for the board that is to be read so. Where the files leave something open, what it gives
// has no recipe, and asks. An error means that the files could not be got at, that no panel can be laid out, or that q.Try failed.
func Start(ctx context.Context, q pipeline.StartRequest, board intake.Request) (pipeline.Started, error) {
	got, err := intake.Read(ctx, q.Files, board)
	if err != nil {
		return pipeline.Started{}, err
	}
	name := board.Name
	if q.BoardText == "" {
		name = boardName(got, q.Paths)
	}
	out := pipeline.Started{Board: name, Tried: []pipeline.Tried{}, Says: []pipeline.Saying{}}
	if len(got.Problems) > 0 {
		for _, p := range got.Problems {
			out.Asks = append(out.Asks, p.Error())
		}
		if out.Stage = q.BoardText; out.Stage == "" {
			out.Stage = got.BoardStage(q.Paths, name, nil)
		}
		return out, nil
	}
	if err := got.Measure(ctx); err != nil {
		return pipeline.Started{}, err
	}
	s := &starter{q: q, got: got, name: name, facts: factsOf(got), limits: limitsOf(q.Rules)}
	return out, s.choose(ctx, &out)
}

// starter is one recipe in the making.
type starter struct {
	q      pipeline.StartRequest
	got    *intake.Result
	name   string // of the board
	facts  facts
	limits limits
	tried  []attempt
}

// attempt is one way that was carried out.
type attempt struct {
	way
	layout   layout
	recipe   recipeText
	found    []pipeline.Finding
	noRoom   bool
	errors   int
	own      int // those among them that are of the board's own copper, which no way of parting it mends
	warnings int // about parts near breaks
}

// better orders ways by what carrying them out left: what the layout is to blame for first, then the board's own copper,
// then parts near breaks.
func (a attempt) better(b attempt) bool {
	return cmp.Or(cmp.Compare(a.errors-a.own, b.errors-b.own), cmp.Compare(a.own, b.own), cmp.Compare(a.warnings, b.warnings)) < 0
}

// ownCopper tells whether a rule holds a board's copper against its own edge.
func ownCopper(rule string) bool { return rule == "copper-to-edge" || rule == "inner-copper-to-edge" }

// choose carries ways out, the best first, until one leaves no error and no part too near to a break, and takes the
// one that leaves the fewest.
func (s *starter) choose(ctx context.Context, out *pipeline.Started) error {
	var refused error
	try := func(w way) (attempt, error) {
		l, err := s.lay(w)
		if err != nil { // this way has no room
			if refused == nil {
				refused = err
			}
			return attempt{way: w, noRoom: true}, nil
		}
		a := attempt{way: w, layout: l}
		a.recipe = s.write(w, l)
		if a.found, err = s.q.Try(ctx, a.recipe.text); err != nil {
			return a, err
		}
		for _, f := range a.found {
			switch {
			case !f.Counts():
			case f.Severity == pipeline.Error:
				a.errors++
				if ownCopper(f.Rule) {
					a.own++
				}
			case f.Severity == pipeline.Warning && nearBreak(f.Rule):
				a.warnings++
			}
		}
		s.tried = append(s.tried, a)
		return a, nil
	}
	queue := s.ways()
	for len(queue) > 0 {
		w := queue[0]
		queue = queue[1:]
		a, err := try(w)
		if err != nil {
			return err
		}
		switch {
		case a.noRoom:
			continue
		case a.errors == 0 && a.warnings == 0:
			queue = nil
		case a.errors == 0 && w.kind != scored:
			queue = nil // what is left is there to mend errors
		}
		if next, ok := s.mended(a); ok {
			queue = slices.Insert(queue, 0, next)
		}
	}
	if len(s.tried) == 0 {
		return refused
	}
	best := 0
	for i, a := range s.tried {
		if a.better(s.tried[best]) {
			best = i
		}
	}
	s.tell(out, best)
	return nil
}

// nearBreak tells whether a rule is about parts near where boards are parted.
func nearBreak(rule string) bool {
	return strings.HasSuffix(rule, "-near-break") || strings.HasSuffix(rule, "-near-score")
}

// tell fills in what came out. The recipe is written anew with what the others lacked.
func (s *starter) tell(out *pipeline.Started, best int) {
	a := s.tried[best]
	for i, t := range s.tried {
		row := pipeline.Tried{Way: t.words, Errors: t.errors, Warnings: t.warnings, Taken: i == best}
		if i != best || t.errors > 0 {
			row.Why = against(t)
		}
		out.Tried = append(out.Tried, row)
	}
	a.way.because = slices.Concat(a.way.because, s.others(best))
	if a.errors > 0 {
		a.open = errorsOf(a.found)
	}
	text := s.write(a.way, a.layout)
	out.Panel, out.Way, out.Recipe, out.Says, out.Found = s.panelName(a.layout), a.words, text.text, text.says, a.found
}

// against says in a sentence what speaks against a way, by rules.
func against(t attempt) string {
	var parts []string
	rules := map[string]int{}
	var order []string
	for _, f := range t.found {
		if f.Counts() && (f.Severity == pipeline.Error || t.errors == 0 && f.Severity == pipeline.Warning && nearBreak(f.Rule)) {
			if rules[f.Rule] == 0 {
				order = append(order, f.Rule)
			}
			rules[f.Rule]++
		}
	}
	slices.Sort(order)
	for _, r := range order {
		parts = append(parts, fmt.Sprintf("%s (%d)", r, rules[r]))
	}
	return strings.Join(parts, ", ")
}

// others says why the ways that were tried before were not taken.
func (s *starter) others(best int) []string {
	var out []string
	for i, t := range s.tried {
		if i != best && t.errors+t.warnings > 0 {
			out = append(out, fmt.Sprintf("%q was tried too, and left %s", t.words, against(t)))
		}
	}
	return out
}

// errorsOf gives the errors of a way, of each rule the one furthest beyond its limit.
func errorsOf(found []pipeline.Finding) []pipeline.Finding {
	var out []pipeline.Finding
	for _, f := range found {
		if !f.Counts() || f.Severity != pipeline.Error {
			continue
		}
		i := slices.IndexFunc(out, func(x pipeline.Finding) bool { return x.Rule == f.Rule })
		switch {
		case i < 0:
			out = append(out, f)
		case f.Beyond() > out[i].Beyond():
			out[i] = f
		}
	}
	return out
}
