package rule

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// noSupport is why nothing can be said of holding.
const noSupport = "no stage support says how the panel is carried"

// needsSupport says what a panel lacks of which nobody says how it is carried.
func needsSupport(_ context.Context, c pipeline.Case) (string, error) {
	if c.Panel.Support() == nil {
		return noSupport, nil
	}
	return "", nil
}

// needsAnswers says why a panel could not be reckoned.
func needsAnswers(ctx context.Context, c pipeline.Case) (string, error) {
	if c.Panel.Support() == nil {
		return noSupport, nil
	}
	a, err := mechanics.Of(ctx, c.Panel, c.Workers)
	if err != nil || len(a.Problems) == 0 {
		return "", err
	}
	return "the panel cannot be reckoned, see rule panel-carried", nil
}

// answering judges a panel by what was reckoned of it.
type answering = func(a *mechanics.Answers, limit float64) []pipeline.Finding

// ofAnswers judges a panel of which somebody says how it is carried.
func ofAnswers(judge answering) judging {
	return func(ctx context.Context, c pipeline.Case) ([]pipeline.Finding, error) {
		if c.Panel.Support() == nil {
			return nil, nil
		}
		a, err := mechanics.Of(ctx, c.Panel, c.Workers)
		if err != nil {
			return nil, err
		}
		return judge(a, c.Limit), nil
	}
}

// ofBreaks judges how a panel breaks: that asks for no support.
func ofBreaks(judge func(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding) judging {
	return func(ctx context.Context, c pipeline.Case) ([]pipeline.Finding, error) {
		if len(c.Panel.Tabs())+len(c.Panel.Scores()) == 0 {
			return nil, nil
		}
		a, err := mechanics.Breaking(ctx, c.Panel, c.Workers)
		if err != nil {
			return nil, err
		}
		return judge(c.Panel, a, c.Limit), nil
	}
}

// panelCarried tells what keeps a panel from being reckoned.
func panelCarried(ctx context.Context, c pipeline.Case) ([]pipeline.Finding, error) {
	if c.Panel.Support() == nil {
		return nil, nil
	}
	a, err := mechanics.Of(ctx, c.Panel, c.Workers)
	if err != nil {
		return nil, err
	}
	return problems(a, c.Panel), nil
}

// problems words what keeps a panel from being reckoned, each once.
func problems(a *mechanics.Answers, p panel.Panel) []pipeline.Finding {
	var out alike
	for _, x := range a.Problems {
		f := pipeline.Finding{Feature: cmp.Or(x.Feature, pipeline.WholePanel), Message: x.Message}
		if x.At != (geom.Point{}) {
			f.At = &x.At
		}
		if slices.ContainsFunc(p.Copies(), func(c panel.Copy) bool { return c.ID == x.Feature }) {
			f.Copies = []string{x.Feature}
		}
		out.add(x.Message+" at "+x.Feature, f)
	}
	return out.all()
}

// alike gathers findings: those that are the same but for their place become one.
type alike struct {
	at    map[string]int
	more  []int // how many more each holds for
	out   []pipeline.Finding
	tails []string  // what each says after that
	words [2]string // "other tab", "other tabs"
}

// add adds a finding; those with the same words in same are one. tail is said at the end.
func (a *alike) add(same string, f pipeline.Finding, tail ...string) {
	if a.at == nil {
		a.at = map[string]int{}
	}
	i, ok := a.at[same]
	if !ok {
		a.at[same] = len(a.out)
		f.Copies = slices.Clone(f.Copies)
		a.out, a.more, a.tails = append(a.out, f), append(a.more, 0), append(a.tails, strings.Join(tail, ""))
		return
	}
	a.more[i]++
	for _, c := range f.Copies {
		if !slices.Contains(a.out[i].Copies, c) {
			a.out[i].Copies = append(a.out[i].Copies, c)
		}
	}
}

func (a *alike) all() []pipeline.Finding {
	for i, n := range a.more {
		if n > 0 && a.words[0] != "" {
			a.out[i].Message += ", the same for " + counted(n, a.words[0], a.words[1])
		}
		a.out[i].Message += a.tails[i]
	}
	return a.out
}

// panelSag finds the state in which the panel sags furthest by its own weight, where that is too far, and whether it does where it
// is pressed on: that passes when nobody presses, so it is a warning at most.
func panelSag(a *mechanics.Answers, limit float64) []pipeline.Finding {
	var out []pipeline.Finding
	for _, pressed := range [2]bool{false, true} {
		worst := -1
		for i, s := range a.States {
			if (s.Kind == mechanics.Pressed) == pressed && (worst < 0 || s.Percent > a.States[worst].Percent) {
				worst = i
			}
		}
		if worst < 0 || !(mechanics.Digits(a.States[worst].Percent) > limit) {
			continue
		}
		w := a.States[worst]
		v := mechanics.Digits(w.Percent)
		on := "between the boards"
		if w.SagCopy != "" {
			on = "on " + w.SagCopy
		}
		f := pipeline.Finding{At: &w.SagAt, Feature: pipeline.WholePanel, Measured: &v, Basis: held(a),
			Message: fmt.Sprintf("%s, the panel sags %s mm %s, %s: %s %% of the %s between its supports, more than %v %%", mechanics.CarriedBy(a.Support), mechanics.Figure(w.Sag), on,
				w.Words(a), mechanics.Figure(v), a.Span, limit)}
		for i, s := range a.States {
			if i != worst {
				f.Message += fmt.Sprintf("; %s %s mm", s.Words(a), mechanics.Figure(s.Sag))
			}
		}
		if pressed {
			f.Severity = pipeline.Warning
		}
		out = append(out, f)
	}
	return out
}

// weakest gives of each tab the row that is strained most, in the state in which it is, in the order of the tabs.
func weakest(a *mechanics.Answers, of func(mechanics.Tab) (reserve float64, state int)) []tabReserve {
	at := map[string]int{}
	var out []tabReserve
	for _, t := range a.Tabs {
		r, state := of(t)
		if math.IsNaN(r) || math.IsInf(r, 0) {
			continue
		}
		i, ok := at[t.Tab]
		if !ok {
			at[t.Tab] = len(out)
			out = append(out, tabReserve{t, mechanics.Digits(r), state})
		} else if r < out[i].reserve {
			out[i] = tabReserve{t, mechanics.Digits(r), state}
		}
	}
	return out
}

// tabReserve is a tab's row with its least reserve, and the state of that.
type tabReserve struct {
	mechanics.Tab
	reserve float64
	state   int // index into Answers.States; -1: none of them
}

// tabStrength finds the tabs whose reserve is too small.
func tabStrength(a *mechanics.Answers, limit float64) []pipeline.Finding {
	out := alike{words: [2]string{"other tab", "other tabs"}}
	for _, w := range weakest(a, func(t mechanics.Tab) (float64, int) {
		k := least(t.Loads)
		if k < 0 || k >= len(a.States) {
			return math.Inf(1), -1
		}
		return t.Loads[k].Reserve, k
	}) {
		if w.reserve >= limit {
			continue
		}
		l := w.Loads[w.state]
		state := a.States[w.state]
		v := w.reserve
		verb := fmt.Sprintf("is %s times as strong as it is strained", mechanics.Figure(v))
		if v < 1 {
			verb = fmt.Sprintf("breaks: it is only %s times as strong as it is strained", mechanics.Figure(v))
		}
		out.add(mechanics.Figure(v)+string(state.Kind), pipeline.Finding{At: &w.At, Feature: w.Tab.Tab, Copies: w.Copies, Measured: &v, Basis: held(a),
			Message: fmt.Sprintf("%s %s, %s: a moment of %s N·mm over %s mm³ (beside a twist of %s N·mm) stresses its worst ligament to %s MPa with the notch factor, and it bears %s MPa; at least %v times are asked for",
				w.Tab.Tab, verb, state.Words(a), mechanics.Figure(math.Abs(l.Moment)), mechanics.Figure(w.Modulus), mechanics.Figure(math.Abs(l.Twist)), mechanics.Figure(l.Stress), mechanics.Figure(l.Strength), limit)})
	}
	return append(out.all(), webStrength(a, limit)...)
}

// webStrength finds the score lines whose web has too small a reserve.
func webStrength(a *mechanics.Answers, limit float64) []pipeline.Finding {
	out := alike{words: [2]string{"other score line", "other score lines"}}
	for _, x := range a.Lines {
		k := least(x.Loads)
		if k < 0 || k >= len(a.States) || !(mechanics.Digits(x.Loads[k].Reserve) < limit) {
			continue
		}
		l, v := x.Loads[k], mechanics.Digits(x.Loads[k].Reserve)
		verb := fmt.Sprintf("the web of %s is %s times as strong as it is strained", x.Score, mechanics.Figure(v))
		if v < 1 {
			verb = fmt.Sprintf("the web of %s breaks: it is only %s times as strong as it is strained", x.Score, mechanics.Figure(v))
		}
		out.add(mechanics.Figure(v)+string(a.States[k].Kind), pipeline.Finding{At: &x.At, Feature: x.Score, Measured: &v, Basis: held(a),
			Message: fmt.Sprintf("%s, %s: a moment of %s N·mm on each mm of it over %s mm³ stresses it to %s MPa with the notch factor, and it bears %s MPa; at least %v times are asked for",
				verb, a.States[k].Words(a), mechanics.Figure(math.Abs(l.Moment)), mechanics.Figure(x.Modulus), mechanics.Figure(l.Stress), mechanics.Figure(l.Strength), limit)})
	}
	return out.all()
}

// least gives the load with the least reserve, -1 where there is none.
func least(loads []mechanics.RowLoad) int {
	k := -1
	for i, l := range loads {
		if k < 0 || l.Reserve < loads[k].Reserve {
			k = i
		}
	}
	return k
}

// tabLeftOut finds the tabs without which the others do not hold.
func tabLeftOut(a *mechanics.Answers, limit float64) []pipeline.Finding {
	out := alike{words: [2]string{"other tab", "other tabs"}}
	for _, w := range weakest(a, func(t mechanics.Tab) (float64, int) {
		if t.Without.Falls {
			return 0, -1
		}
		return t.Without.Reserve, -1
	}) {
		if w.reserve >= limit {
			continue
		}
		v := w.reserve
		f := pipeline.Finding{At: &w.At, Feature: w.Tab.Tab, Copies: w.Copies, Measured: &v, Basis: held(a)}
		same := mechanics.Figure(v) + w.Without.Worst
		if w.Without.Falls {
			same = "falls"
			f.Message = fmt.Sprintf("without %s a piece comes loose or turns freely: nothing else holds it", w.Tab.Tab)
		} else {
			f.Message = fmt.Sprintf("without %s the panel sags %s mm, cold, and %s bears it with a strength of %s times what it is strained; at least %v times are asked for",
				w.Tab.Tab, mechanics.Figure(w.Without.Sag), w.Without.Worst, mechanics.Figure(v), limit)
		}
		out.add(same, f)
	}
	return out.all()
}

// transportShock finds the tabs that a jolt breaks too soon.
func transportShock(a *mechanics.Answers, limit float64) []pipeline.Finding {
	out := alike{words: [2]string{"other tab", "other tabs"}}
	cold := slices.IndexFunc(a.States, func(s mechanics.State) bool { return s.Kind == mechanics.Cold })
	for _, w := range weakest(a, func(t mechanics.Tab) (float64, int) {
		if cold < 0 || cold >= len(t.Loads) {
			return math.Inf(1), -1
		}
		return t.Loads[cold].Reserve, cold
	}) {
		if w.reserve >= limit {
			continue
		}
		v := w.reserve
		out.add(mechanics.Figure(v), pipeline.Finding{At: &w.At, Feature: w.Tab.Tab, Copies: w.Copies, Measured: &v, Basis: held(a),
			Message: fmt.Sprintf("%s breaks by a jolt of %s times the panel's own weight (%s MPa at rest, and it bears %s MPa); at least %v times are asked for",
				w.Tab.Tab, mechanics.Figure(v), mechanics.Figure(w.Loads[w.state].Stress), mechanics.Figure(w.Loads[w.state].Strength), limit)})
	}
	lines := alike{words: [2]string{"other score line", "other score lines"}}
	for _, x := range a.Lines {
		if cold < 0 || cold >= len(x.Loads) || !(mechanics.Digits(x.Loads[cold].Reserve) < limit) {
			continue
		}
		v := mechanics.Digits(x.Loads[cold].Reserve)
		lines.add(mechanics.Figure(v), pipeline.Finding{At: &x.At, Feature: x.Score, Measured: &v, Basis: held(a),
			Message: fmt.Sprintf("the web of %s breaks by a jolt of %s times the panel's own weight (%s MPa at rest, and it bears %s MPa); at least %v times are asked for",
				x.Score, mechanics.Figure(v), mechanics.Figure(x.Loads[cold].Stress), mechanics.Figure(x.Loads[cold].Strength), limit)})
	}
	return append(out.all(), lines.all()...)
}

// panelFrequency judges the lowest natural frequency.
func panelFrequency(a *mechanics.Answers, limit float64) []pipeline.Finding {
	if len(a.Hertz) == 0 || !(mechanics.Digits(a.Hertz[0]) < limit) {
		return nil
	}
	v := mechanics.Digits(a.Hertz[0])
	message := fmt.Sprintf("%s, the panel swings %s times a second at its slowest, less than %v Hz", mechanics.CarriedBy(a.Support), mechanics.Figure(v), limit)
	if len(a.Hertz) > 1 {
		var next []string
		for _, h := range a.Hertz[1:min(len(a.Hertz), 4)] {
			next = append(next, mechanics.Figure(h))
		}
		message += "; its next frequencies are " + strings.Join(next, ", ") + " Hz"
	}
	return []pipeline.Finding{{Feature: pipeline.WholePanel, Measured: &v, Message: message, Basis: held(a)}}
}

// sagFields gives what was reckoned as pictures, with the limit of sag where a figure is one.
func sagFields(ctx context.Context, c pipeline.Case) ([]pipeline.Field, error) {
	a, err := mechanics.Of(ctx, c.Panel, c.Workers)
	if err != nil {
		return nil, err
	}
	return fieldsOf(a, c.Limit), nil
}

func fieldsOf(a *mechanics.Answers, limit float64) []pipeline.Field {
	var out []pipeline.Field
	for _, s := range a.Shapes {
		f := pipeline.Field{ID: s.ID, Title: s.Title, Unit: s.Unit, Moment: pipeline.OnTheLine, Origin: s.Origin, Step: s.Step, Columns: s.Columns, Rows: s.Rows,
			Values: s.Values, Source: s.Source}
		if s.Unit == "mm" && limit > 0 && a.Span > 0 {
			most := float64(limit * a.Span.MM() / 100)
			f.Most = &most
		}
		out = append(out, f)
	}
	return out
}
