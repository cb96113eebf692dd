// Package rules judges a panel by the program's rules and the limits that recipe and standards set.
package rules

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/xout"
)

// Kind is stage "rules".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "rules",
		Summary:  "Judges the panel by every rule; recipe and standards set limits, leave rules out and waive findings.",
		Role:     pipeline.Judge,
		Contract: pipeline.Contract,
		New:      func() pipeline.Stage { return &Rules{} },
	}
}

// Rules is the options of stage "rules".
type Rules struct {
	Limits      []Limit           `block:"limit" labels:"1" help:"sets a rule's limit or severity"`
	Unchecked   []Unchecked       `block:"unchecked" labels:"1" help:"leaves a rule out, with the reason"`
	Waivers     []Waiver          `block:"waive" labels:"1" each:"true" help:"accepts findings of a rule at places, for one revision of the panel"`
	Production  []ProductionPanel `block:"production_panel" labels:"1" help:"a sheet that the fabricator makes panels from"`
	XOuts       []xout.Row        `block:"x_out" help:"how many copies of a panel may be bad, by how many it has; the papers state it, with or without bad-board marks"`
	XOutPercent *float64          `option:"x_out_percent" range:"0..100" help:"of the panels of a shipment that may have bad copies; 10 unless given"`
}

// Limit sets one rule's limit.
type Limit struct {
	Rule     string             `label:"0"`
	AtLeast  *pipeline.Quantity `option:"at_least" help:"in the rule's unit, or with a unit of its own"`
	AtMost   *pipeline.Quantity `option:"at_most" help:"in the rule's unit, or with a unit of its own"`
	Severity string             `option:"severity" choice:"error|warning|note" help:"instead of the rule's own"`
	Source   string             `option:"source" beside:"by_thickness" help:"where the limit comes from"`
	Rows     []Row              `block:"by_thickness" instead:"at_least|at_most" help:"instead of one limit, a row of a table by the panel's thickness: the first that is thick enough counts"`
}

// Row is a limit for panels up to a thickness.
type Row struct {
	UpTo    geom.Length        `option:"up_to" required:"true" range:"0.1..20" help:"thickness of the panel, at most"`
	AtLeast *pipeline.Quantity `option:"at_least" help:"in the rule's unit, or with a unit of its own"`
	AtMost  *pipeline.Quantity `option:"at_most" help:"in the rule's unit, or with a unit of its own"`
	Source  string             `option:"source" help:"where the row comes from"`
}

// otherUnit says that a figure is in the unit got where a rule asks for another, or for a plain number.
func otherUnit(got, want string) string {
	if want == "" {
		return fmt.Sprintf("is in %s, but the rule takes a plain number", got)
	}
	return fmt.Sprintf("is in %s, but the rule is in %s", got, want)
}

// checkRows refuses rows out of order, and those whose limit does not fit the rule.
func (l Limit) checkRows(k pipeline.Rule, bad func(option, why string)) {
	for i, x := range l.Rows {
		name := fmt.Sprintf("limit %s by_thickness %d", l.Rule, i+1)
		if i > 0 && x.UpTo <= l.Rows[i-1].UpTo {
			bad(name+" up_to", "must be more than that of the row before it")
		}
		if x.AtLeast == nil && x.AtMost == nil {
			bad(name, "sets no limit: write at_least or at_most")
		}
		if x.AtLeast != nil && k.Bound != pipeline.AtLeast {
			bad(name+" at_least", "does not fit the rule, "+takes(k.Bound))
		}
		if x.AtMost != nil && k.Bound != pipeline.AtMost {
			bad(name+" at_most", "does not fit the rule, "+takes(k.Bound))
		}
		for _, q := range []*pipeline.Quantity{x.AtLeast, x.AtMost} {
			if q != nil && k.Bound != pipeline.NoBound && !q.Fits(k.Unit) {
				bad(name, otherUnit(q.Unit, k.Unit))
			}
		}
	}
}

// Unchecked leaves a rule out.
type Unchecked struct {
	Rule   string `label:"0"`
	Reason string `option:"reason" required:"true" help:"why; it stands in every report"`
}

// Waiver accepts findings of one rule. Waivers of every file count, and several may be of one rule.
type Waiver struct {
	Rule     string             `label:"0"`
	Where    []string           `option:"where" required:"true" help:"the ids of features or copies, as the finding names them: all of its copies"`
	Reason   string             `option:"reason" required:"true" help:"why; it stands in every report"`
	Revision string             `option:"revision" required:"true" help:"of the panel that was looked at; another revision is looked at again"`
	AtWorst  *pipeline.Quantity `option:"at_worst" help:"the worst figure accepted, in the rule's unit; required where the rule has a limit"`
}

// Parts tells that rules need copies and are what writing waits for.
func (r *Rules) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"judgement"}}
}

// CheckRules refuses limits on rules that do not exist, or of the wrong sort.
func (r *Rules) CheckRules(known []pipeline.Rule) error {
	byName := map[string]pipeline.Rule{}
	var names []string
	for _, k := range known {
		byName[k.Name] = k
		names = append(names, k.Name)
	}
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	unknown := func(block, rule string) {
		why := "names no rule"
		if n := pipeline.Nearest(rule, names); n != "" {
			why += "; nearest: " + n
		}
		errs = append(errs, &pipeline.BadOption{Option: block, Reason: why, Do: "see which there are: panelwright rule"})
	}
	unfit := func(block string, k pipeline.Rule) {
		errs = append(errs, &pipeline.BadOption{Option: block, Reason: "does not fit the rule, " + takes(k.Bound), Do: "see what it is for: panelwright rule " + k.Name})
	}
	for _, l := range r.Limits {
		k, ok := byName[l.Rule]
		if !ok {
			unknown("limit "+l.Rule, l.Rule)
			continue
		}
		if k.JudgedBy != "" {
			bad("limit "+l.Rule, "is judged by "+k.JudgedBy+", and has no limit here")
			continue
		}
		l.checkRows(k, bad)
		if l.AtLeast != nil && k.Bound != pipeline.AtLeast {
			unfit("limit "+l.Rule+" at_least", k)
		}
		if l.AtMost != nil && k.Bound != pipeline.AtMost {
			unfit("limit "+l.Rule+" at_most", k)
		}
		for _, q := range []*pipeline.Quantity{l.AtLeast, l.AtMost} {
			if q != nil && k.Bound != pipeline.NoBound && !q.Fits(k.Unit) {
				bad("limit "+l.Rule, otherUnit(q.Unit, k.Unit))
			}
		}
	}
	for _, u := range r.Unchecked {
		if k, ok := byName[u.Rule]; !ok {
			unknown("unchecked "+u.Rule, u.Rule)
		} else if k.JudgedBy != "" {
			bad("unchecked "+u.Rule, "is judged by "+k.JudgedBy+", and cannot be left unchecked")
		}
		if strings.TrimSpace(u.Reason) == "" {
			bad("unchecked "+u.Rule+" reason", "is empty: say why the rule is left out")
		}
	}
	nth := map[string]int{}
	for _, w := range r.Waivers {
		nth[w.Rule]++
		block := waiverName(w.Rule, nth[w.Rule])
		k, ok := byName[w.Rule]
		if !ok {
			unknown(block, w.Rule)
			continue
		}
		if why := k.Waivable(); why != "" {
			bad(block, "cannot be: the rule "+why)
			continue
		}
		for _, x := range w.Where {
			if strings.TrimSpace(x) == "" {
				bad(block+" where", "holds an empty name: write the id of a feature or a copy, as the finding names it")
				break
			}
		}
		if len(w.Where) == 0 {
			bad(block+" where", "is empty: write the ids of features or copies, as the finding names them")
		}
		for _, x := range []struct{ option, text, why string }{
			{"reason", w.Reason, "say why the finding is accepted"},
			{"revision", w.Revision, "write the panel's revision that was looked at"},
		} {
			if strings.TrimSpace(x.text) == "" {
				bad(block+" "+x.option, "is empty: "+x.why)
			}
		}
		switch {
		case k.Bound == pipeline.NoBound && w.AtWorst != nil:
			bad(block+" at_worst", "does not fit the rule, which has no limit and so no figure")
		case k.Bound != pipeline.NoBound && w.AtWorst == nil:
			bad(block, fmt.Sprintf("needs the option at_worst, the worst figure accepted%s: the rule has a limit", inUnit(k.Unit)))
		case w.AtWorst != nil && !w.AtWorst.Fits(k.Unit):
			bad(block+" at_worst", otherUnit(w.AtWorst.Unit, k.Unit))
		}
	}
	if r.XOutPercent != nil && len(r.XOuts) == 0 {
		bad("x_out_percent", "says of how many panels copies may be bad, and nothing says how many copies: add x_out blocks")
	}
	errs = append(errs, xout.Check(r.XOuts)...)
	return errors.Join(append(errs, r.checkProduction()...)...)
}

// waiverName names the nth waiver of a rule as the recipe's options do.
func waiverName(rule string, nth int) string { return fmt.Sprintf("waive %s %d", rule, nth) }

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " in " + unit
}

func takes(b pipeline.Bound) string {
	if b == pipeline.NoBound {
		return "which has no limit"
	}
	return "which takes " + string(b)
}

// Run judges the panel.
func (r *Rules) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	limits := map[string]Limit{}
	for _, l := range r.Limits {
		limits[l.Rule] = l
	}
	off := map[string]string{}
	for _, u := range r.Unchecked {
		off[u.Rule] = u.Reason
	}
	// Rules are independent of one another; they are told in their order.
	ours := slices.DeleteFunc(slices.Clone(env.Rules), func(rule pipeline.Rule) bool { return rule.JudgedBy != "" })
	verdicts := make([]verdict, len(ours))
	for i, rule := range ours {
		verdicts[i] = settle(rule, limits[rule.Name], in)
	}
	for i, rule := range ours {
		k := slices.IndexFunc(ours, func(o pipeline.Rule) bool { return rule.NotLessThan != "" && o.Name == rule.NotLessThan })
		if _, ok := off[rule.NotLessThan]; k >= 0 && !ok && verdicts[i].limit != nil && verdicts[k].limit != nil && *verdicts[k].limit > *verdicts[i].limit {
			verdicts[i].limit, verdicts[i].option = verdicts[k].limit, verdicts[k].option
			verdicts[i].source = "not less than " + rule.NotLessThan + ": " + verdicts[k].source
		}
	}
	var done atomic.Int64
	if err := pipeline.Each(ctx, env.Workers, len(ours), func(i int) error {
		defer func() { env.Reached(int(done.Add(1)), len(ours)) }()
		rule := ours[i]
		if _, ok := off[rule.Name]; ok || verdicts[i].limit == nil && rule.Bound != pipeline.NoBound {
			return nil
		}
		value := 0.0
		if l := verdicts[i].limit; l != nil {
			value = *l
		}
		this := pipeline.Case{Panel: in, Limit: value, Makers: r.makers(), Workers: env.Workers}
		if rule.Missing != nil {
			missing, err := rule.Missing(ctx, this)
			if err != nil {
				return fmt.Errorf("rule %s: %w", rule.Name, err)
			}
			if verdicts[i].missing = missing; missing != "" {
				return nil
			}
		}
		found, err := rule.Judge(ctx, this)
		if err != nil {
			return fmt.Errorf("rule %s: %w", rule.Name, err)
		}
		pipeline.SortFindings(found)
		verdicts[i].found, verdicts[i].judged = found, true
		if rule.Measure != nil {
			if verdicts[i].figure, err = rule.Measure(ctx, this, found); err != nil {
				return fmt.Errorf("rule %s: %w", rule.Name, err)
			}
		}
		if rule.Fields != nil {
			if verdicts[i].fields, err = rule.Fields(ctx, this); err != nil {
				return fmt.Errorf("rule %s: %w", rule.Name, err)
			}
		}
		return nil
	}); err != nil {
		return pipeline.Result{}, err
	}
	judged, total := 0, 0
	for i, rule := range ours {
		v := verdicts[i]
		if reason, ok := off[rule.Name]; ok {
			env.Log.Info().Str("rule", rule.Name).Str("reason", reason).Msg("rule left unchecked")
			env.Report(pipeline.Finding{Rule: rule.Name, Severity: pipeline.Note, Message: "not checked: " + reason,
				Unchecked: true, Option: "unchecked " + rule.Name})
			env.Judged(pipeline.Judged{Rule: rule.Name, Bound: rule.Bound, Unit: rule.Unit, Unchecked: reason, Option: "unchecked " + rule.Name})
			continue
		}
		if v.missing != "" {
			env.Log.Debug().Str("rule", rule.Name).Str("because", v.missing).Msg("rule not judged")
			env.Judged(pipeline.Judged{Rule: rule.Name, Bound: rule.Bound, Unit: rule.Unit, Limit: v.limit, Source: v.source, Missing: v.missing, Option: v.option})
			continue
		}
		if !v.judged {
			env.Log.Debug().Str("rule", rule.Name).Msg("rule has no limit, not judged")
			continue
		}
		for _, f := range v.found {
			f.Rule, f.Severity, f.Source, f.Unit, f.Option = rule.Name, v.severity.Lesser(f.Severity), v.source, rule.Unit, v.option
			switch {
			case rule.Bound == pipeline.NoBound:
			case f.Limit == nil:
				f.Limit = v.limit
			case *f.Limit != *v.limit:
				f.Option = "" // the rule asks for more than was set, and says why
			}
			env.Report(f)
		}
		if v.beyond > 0 {
			env.Report(pipeline.Finding{Rule: rule.Name, Severity: pipeline.Note, Option: v.option, Unit: rule.Unit, Limit: v.limit,
				Message: fmt.Sprintf("the table by thickness ends at %v, and the panel is %v thick: its last row counts; add a row for such panels", v.beyond, in.Thickness())})
		}
		for _, f := range v.fields {
			env.Show(f)
		}
		told := pipeline.Judged{Rule: rule.Name, Bound: rule.Bound, Unit: rule.Unit, Option: v.option}
		if rule.Bound != pipeline.NoBound {
			told.Limit, told.Source = v.limit, v.source
		}
		worst := v.figure.Worst
		if worst != nil {
			told.Worst = worst.Measured
		}
		told.Nothing = v.figure.Nothing
		env.Judged(told)
		line := env.Log.Debug().Str("rule", rule.Name)
		if rule.Bound != pipeline.NoBound {
			line = line.Float64("limit", *v.limit).Str("unit", rule.Unit)
		}
		if told.Worst != nil {
			line = line.Float64("measured", *told.Worst)
		}
		line.Int("findings", len(v.found)).Msg("rule judged")
		if w := worst; rule.LogWorst && w != nil && w.Measured != nil {
			line := env.Log.Info().Str("rule", rule.Name).Float64("measured", *w.Measured).Str("unit", rule.Unit)
			if w.At != nil {
				line = line.Str("at", w.At.String())
			}
			line.Str("feature", w.Feature).Strs("copies", w.Copies).Msg("worst figure")
		}
		judged, total = judged+1, total+len(v.found)
	}
	env.Waive(r.waivers())
	if err := r.agree(env, in); err != nil {
		return pipeline.Result{}, err
	}
	r.logUse(env, in)
	env.Log.Info().Int("rules", judged).Int("findings", total).Msg("panel judged")
	return pipeline.Result{Panel: in}, nil
}

// waivers gives the waivers as the runner takes them.
func (r *Rules) waivers() (all []pipeline.Waiver) {
	nth := map[string]int{}
	for _, w := range r.Waivers {
		nth[w.Rule]++
		x := pipeline.Waiver{Rule: w.Rule, Where: w.Where, Reason: w.Reason, Revision: w.Revision, Option: waiverName(w.Rule, nth[w.Rule])}
		if w.AtWorst != nil {
			x.AtWorst = &w.AtWorst.Value
		}
		all = append(all, x)
	}
	return all
}

// verdict is one rule's limit as recipe and standards leave it, and what it found.
type verdict struct {
	limit    *float64
	source   string
	severity pipeline.Severity
	option   string // that set the limit, or else the severity; empty where the rule's own hold
	found    []pipeline.Finding
	judged   bool
	missing  string // why it was not judged, where the panel lacks something
	fields   []pipeline.Field
	figure   pipeline.Figure
	beyond   geom.Length // where a table by thickness ends, below the panel's thickness; 0 otherwise
}

// settle gives a rule's limit for a panel, its source and severity: its own, unless l says otherwise.
func settle(rule pipeline.Rule, l Limit, in panel.Panel) verdict {
	v := verdict{limit: rule.Default, source: rule.Source, severity: rule.Severity}
	if rule.DefaultFor != nil {
		v.limit, v.source = rule.DefaultFor(in)
	}
	if l.Severity != "" {
		v.option = "limit " + rule.Name + " severity"
	}
	source := l.Source
	for i, x := range l.Rows {
		if last := i == len(l.Rows)-1; in.Thickness() > x.UpTo && !last {
			continue
		} else if last && in.Thickness() > x.UpTo {
			v.beyond = x.UpTo
		}
		v.option = fmt.Sprintf("limit %s by_thickness %d at_least", rule.Name, i+1)
		q := x.AtLeast
		if q == nil {
			q, v.option = x.AtMost, fmt.Sprintf("limit %s by_thickness %d at_most", rule.Name, i+1)
		}
		v.limit, v.source = &q.Value, "set by the recipe or its standard"
		if x.Source != "" {
			source = x.Source // the row's own, before that of the whole table
		}
		break
	}
	for _, x := range []struct {
		name string
		set  *pipeline.Quantity
	}{{"at_least", l.AtLeast}, {"at_most", l.AtMost}} {
		if x.set != nil {
			v.limit, v.source, v.option = &x.set.Value, "set by the recipe or its standard", "limit "+rule.Name+" "+x.name
		}
	}
	if source != "" {
		v.source = source
	}
	if l.Severity != "" {
		v.severity = pipeline.Severity(l.Severity)
	}
	return v
}
