package rule

import (
	"cmp"
	"context"
	"fmt"
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
type answering = func(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding

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
		return judge(c.Panel, a, c.Limit), nil
	}
}

// ofBreaks judges how a panel breaks: that asks for no support.
func ofBreaks(judge answering) judging {
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

// panelCarried tells what keeps a panel from being reckoned, and what is odd about its supports.
func panelCarried(ctx context.Context, c pipeline.Case) ([]pipeline.Finding, error) {
	if c.Panel.Support() == nil {
		return nil, nil
	}
	a, err := mechanics.Of(ctx, c.Panel, c.Workers)
	if err != nil {
		return nil, err
	}
	return append(problems(a, c.Panel), oddSupports(a, c.Panel)...), nil
}

// problems words what keeps a panel from being reckoned, each once.
func problems(a *mechanics.Answers, p panel.Panel) []pipeline.Finding {
	var out alike
	for _, x := range a.Problems {
		f := pipeline.Finding{Feature: cmp.Or(x.Feature, pipeline.WholePanel), Message: x.Message}
		if x.At != (geom.Point{}) {
			f.At = &x.At
		}
		if f.Copies = slices.Clone(x.Copies); len(f.Copies) == 0 && slices.ContainsFunc(p.Copies(), func(c panel.Copy) bool { return c.ID == x.Feature }) {
			f.Copies = []string{x.Feature}
		}
		out.add(x.Message+" at "+x.Feature, f)
	}
	return out.all()
}

// leastLift is from which part of the force on a copy it is told that a support would have to pull: panels that are pressed on lift a
// little somewhere, and settle when nobody presses.
const leastLift = 0.1

// oddSupports tells where supports are not as one may think: pins under nothing, carried edges without a rail, supports that would have
// to hold the panel down. The panel is reckoned all the same.
func oddSupports(a *mechanics.Answers, p panel.Panel) []pipeline.Finding {
	var out []pipeline.Finding
	add := func(severity pipeline.Severity, at *geom.Point, format string, args ...any) {
		out = append(out, pipeline.Finding{Severity: severity, Feature: pipeline.WholePanel, At: at, Message: fmt.Sprintf(format, args...)})
	}
	for _, pin := range a.IdlePins {
		add(pipeline.Warning, &pin, "the pin at %v mm lies under no material, and carries nothing", pin)
	}
	if rails := p.Rails(); len(rails) > 0 {
		for _, side := range a.Support.Sides {
			if _, ok := p.Rail(side); !ok {
				add(pipeline.Note, nil, "stage support has the panel %s, and it has no rail there: see that the edge is free of parts and straight enough to be carried by", a.CarriedBy())
				break
			}
		}
	}
	worst := -1
	for i, s := range a.States {
		if s.Kind == mechanics.Pressed {
			if s.Pull >= leastLift*a.Support.Force.Value && s.Pull > 0 {
				at := mechanics.Place(s.PullAt)
				add(pipeline.Note, &at, "%s, the panel lifts off its support at %v mm, which would have to hold it down by %s N: what is told of that state is too good", s.Words(a), at, mechanics.Figure(s.Pull))
			}
			continue
		}
		if s.Pull > 0 && (worst < 0 || s.Pull > a.States[worst].Pull) {
			worst = i
		}
	}
	if worst >= 0 {
		s := a.States[worst]
		at := mechanics.Place(s.PullAt)
		add(pipeline.Warning, &at, "%s, the panel lifts off its support at %v mm, which would have to hold it down by %s N: what is told of sag and strength is too good", s.Words(a), at, mechanics.Figure(s.Pull))
	}
	return out
}

// panelSag finds the state in which the panel sags furthest by its own weight, where that is too far, and whether it does where it
// is pressed on: that passes when nobody presses, so it is a warning at most.
func panelSag(p panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
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
		v, at := mechanics.Digits(w.Percent), mechanics.Place(w.SagAt)
		on := "between the boards"
		if w.SagCopy != "" {
			on = "on " + w.SagCopy
		}
		f := pipeline.Finding{At: &at, Feature: pipeline.WholePanel, Measured: &v, Basis: held(a),
			Message: fmt.Sprintf("%s, the panel sags %s mm %s, %s: %s %% of the %s %s, more than %v %%", a.CarriedBy(), mechanics.Figure(w.Sag), on,
				w.Words(a), mechanics.Figure(v), mechanics.Distance(a.Span), mechanics.SpanWords(a.Support), limit)}
		for i, s := range a.States {
			if i != worst {
				f.Message += fmt.Sprintf("; %s %s mm", s.Words(a), mechanics.Figure(s.Sag))
			}
		}
		if unknown, all := mechanics.Unweighed(p); unknown > 0 {
			f.Message += fmt.Sprintf("; of %s the masses of %d are not known and not counted", counted(all, "part", "parts"), unknown)
		}
		if v > mechanics.TooFar {
			f.Message += fmt.Sprintf("; beyond %v %% the theory of small sags no longer holds: it sags too far, and that is all the figure says", mechanics.TooFar)
		}
		if pressed {
			f.Severity = pipeline.Warning
		}
		out = append(out, f)
	}
	return out
}

// panelFrequency judges the lowest natural frequency.
func panelFrequency(_ panel.Panel, a *mechanics.Answers, limit float64) []pipeline.Finding {
	if len(a.Hertz) == 0 || !(mechanics.Digits(a.Hertz[0]) < limit) {
		return nil
	}
	v := mechanics.Digits(a.Hertz[0])
	message := fmt.Sprintf("%s, the panel swings %s times a second at its slowest, less than %v Hz", a.CarriedBy(), mechanics.Figure(v), limit)
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
