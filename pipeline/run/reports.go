package run

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"panelwright/pipeline"
	"panelwright/pipeline/format/junit"
	"panelwright/pipeline/format/sarif"
)

// judgement is what a build's reports for machines are made of.
type judgement struct {
	panel, revision, supplier string
	program                   pipeline.Program
	rules                     []pipeline.Rule
	judged                    []pipeline.Judged // by stages that told so, and by those that judge a rule on their way
	found                     []pipeline.Finding
	gate                      pipeline.Gate
	released                  bool
	epoch                     *int64
}

// subject names what was judged: the panel, and for whom it is built.
func (j judgement) subject() string {
	if j.supplier == "" {
		return j.panel
	}
	return j.panel + "/" + j.supplier
}

// judgedHere adds to what stages have told the rules that stages of the recipe, or the proof, judge on their way.
func (b *builder) judgedHere() []pipeline.Judged {
	out := slices.Clone(b.stages.judged)
	ran := map[string]bool{"the end of the run": true, "the proof": b.opt.Prove != nil && !b.opt.CheckOnly}
	for _, c := range b.plan.Calls {
		if !b.opt.CheckOnly || c.Kind.Role != pipeline.Write {
			ran["stage "+c.Kind.Name] = true
		}
	}
	for _, r := range b.opt.Rules {
		if ran[r.JudgedBy] && r.JudgedBy != "" && !slices.ContainsFunc(out, func(j pipeline.Judged) bool { return j.Rule == r.Name }) {
			out = append(out, pipeline.Judged{Rule: r.Name, Family: r.Family, Bound: r.Bound, Unit: r.Unit, Stage: strings.TrimPrefix(r.JudgedBy, "stage ")})
		}
	}
	slices.SortStableFunc(out, func(a, b pipeline.Judged) int {
		return cmp.Or(cmp.Compare(a.Family, b.Family), cmp.Compare(a.Rule, b.Rule))
	})
	return out
}

// recipeFolder is what SARIF locations are relative to.
const recipeFolder = "RECIPE_FOLDER"

// sarif gives the findings in the interchange format for results of analyses.
func (j judgement) sarif() ([]byte, error) {
	log := sarif.Log{
		Tool: sarif.Tool{Name: j.program.Name, Version: j.program.Version}, ID: j.subject(),
		Bases: map[string]string{recipeFolder: "the folder that holds the panel's recipe"},
		Properties: map[string]any{"panel": j.panel, "revision": j.revision, "released": j.released, "reject": j.gate.Level(),
			"counts": CountFindings(j.found)},
	}
	if j.supplier != "" {
		log.Properties["supplier"] = j.supplier
	}
	known := map[string]bool{}
	for _, r := range j.rules {
		if known[r.Name] {
			continue
		}
		known[r.Name] = true
		p := map[string]any{"family": r.Family}
		for name, text := range map[string]string{"bound": string(r.Bound), "unit": r.Unit, "source": r.Source, "judged_by": r.JudgedBy} {
			if text != "" {
				p[name] = text
			}
		}
		if r.Default != nil {
			p["limit"] = *r.Default
		}
		log.Rules = append(log.Rules, sarif.Rule{ID: r.Name, Summary: r.Summary, Help: r.Help, Level: sarifLevel(r.Severity), Properties: p})
	}
	alike := map[string]int{}
	for _, f := range j.found {
		if !known[f.Rule] && f.Rule != "" {
			known[f.Rule] = true
			log.Rules = append(log.Rules, sarif.Rule{ID: f.Rule, Level: sarifLevel(f.Severity)})
		}
		print := fingerprint(f)
		alike[print]++
		r := sarif.Result{
			Rule: cmp.Or(f.Rule, "finding"), Level: sarifLevel(f.Severity), Message: cmp.Or(f.Message, "found"), Place: j.place(f.Set), NotJudged: f.Unchecked,
			// Findings alike in rule and feature are told apart by their order, which is always the same.
			Fingerprints: map[string]string{"ruleAndFeature/v1": fmt.Sprintf("%s:%d", print, alike[print])},
			Properties:   properties(f),
		}
		if f.Feature != "" {
			r.Logical = append(r.Logical, sarif.Logical{Name: f.Feature, Kind: "feature"})
		}
		for _, c := range f.Copies {
			if c != f.Feature {
				r.Logical = append(r.Logical, sarif.Logical{Name: c, Kind: "copy"})
			}
		}
		if w := f.Waived; w != nil {
			text := fmt.Sprintf("%s (revision %s", w.Reason, w.Revision)
			if w.AtWorst != nil {
				text += ", at worst " + strings.TrimSpace(number(*w.AtWorst)+" "+f.Unit)
			}
			r.Suppressions = []sarif.Suppression{{Justification: text + ")", Place: j.place(w.Set)}}
		}
		log.Results = append(log.Results, r)
	}
	return sarif.Encode(log)
}

func (judgement) place(at *pipeline.SetAt) *sarif.Place {
	if at == nil {
		return nil
	}
	return &sarif.Place{Base: recipeFolder, File: at.File, Line: at.Line, Column: at.Column}
}

func sarifLevel(s pipeline.Severity) sarif.Level {
	switch s {
	case pipeline.Error:
		return sarif.Error
	case pipeline.Warning:
		return sarif.Warning
	}
	return sarif.Note
}

// properties gives place and figures of a finding.
func properties(f pipeline.Finding) map[string]any {
	p := map[string]any{}
	if f.At != nil {
		p["x_mm"], p["y_mm"] = json.Number(f.At.X.Decimal()), json.Number(f.At.Y.Decimal())
	}
	for name, v := range map[string]*float64{"measured": f.Measured, "limit": f.Limit} {
		if v != nil {
			p[name] = *v
		}
	}
	for name, text := range map[string]string{"unit": f.Unit, "source": f.Source, "stage": f.Stage, "family": string(f.Family), "reckoned_with": f.Basis} {
		if text != "" {
			p[name] = text
		}
	}
	return p
}

// fingerprint tells findings of one rule at one feature from all others, from build to build.
func fingerprint(f pipeline.Finding) string {
	h := sha256.Sum256([]byte(f.Rule + "\x00" + f.Feature))
	return hex.EncodeToString(h[:16])
}

// junit gives the findings as a report of a test run: a suite for each family, a case for each rule that was
// judged. What closes the gate fails a case; the rest is told beside.
func (j judgement) junit() ([]byte, error) {
	by := map[pipeline.Family]*junit.Suite{}
	var families []pipeline.Family
	suite := func(f pipeline.Family) *junit.Suite {
		if by[f] == nil {
			families = append(families, f)
			by[f] = &junit.Suite{Name: cmp.Or(string(f), "other"), Package: j.subject(), Timestamp: j.timestamp(), Properties: []junit.Property{
				{Name: "panel", Value: j.panel}, {Name: "revision", Value: j.revision},
				{Name: "released", Value: fmt.Sprint(j.released)}, {Name: "reject", Value: string(j.gate.Level())},
			}}
			if j.supplier != "" {
				by[f].Properties = append(by[f].Properties, junit.Property{Name: "supplier", Value: j.supplier})
			}
		}
		return by[f]
	}
	judged := slices.Clone(j.judged)
	told := map[string]bool{}
	for _, x := range judged {
		told[x.Rule] = true
	}
	for _, f := range j.found { // of rules that nobody told of
		if name := cmp.Or(f.Rule, "finding"); !told[name] {
			told[name] = true
			judged = append(judged, pipeline.Judged{Rule: name, Family: f.Family})
		}
	}
	slices.SortStableFunc(judged, func(a, b pipeline.Judged) int {
		return cmp.Or(cmp.Compare(a.Family, b.Family), cmp.Compare(a.Rule, b.Rule))
	})
	for _, x := range judged {
		s := suite(x.Family)
		if x.Limit != nil {
			s.Properties = append(s.Properties, junit.Property{Name: x.Rule + " " + string(x.Bound), Value: strings.TrimSpace(number(*x.Limit) + " " + x.Unit)})
		}
		c := junit.Case{Name: x.Rule, Class: j.subject() + "." + s.Name, Skipped: x.Unchecked}
		if x.Missing != "" {
			c.Skipped = "not judged: " + x.Missing
		}
		var closing []string
		var worst pipeline.Severity
		for _, f := range j.found {
			switch {
			case cmp.Or(f.Rule, "finding") != x.Rule || f.Unchecked:
			case j.gate.Rejects(f):
				if worst == "" || f.Severity == pipeline.Error {
					worst = f.Severity
				}
				closing = append(closing, FindingLine(f))
			default:
				s.Out += FindingLine(f) + "\n"
			}
		}
		if len(closing) > 0 && x.Unchecked == "" {
			c.Failure = &junit.Failure{Type: string(worst), Message: Count(len(closing), "finding", "findings"), Text: strings.Join(closing, "\n")}
		}
		s.Cases = append(s.Cases, c)
	}
	slices.Sort(families)
	var all []junit.Suite
	for _, f := range families {
		all = append(all, *by[f])
	}
	return junit.Encode(all)
}

// timestamp is what SOURCE_DATE_EPOCH says: there is no clock.
func (j judgement) timestamp() string {
	if j.epoch == nil {
		return ""
	}
	at := time.Unix(*j.epoch, 0).UTC()
	if last := time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC); at.After(last) { // as late as the format can say
		at = last
	}
	return at.Format("2006-01-02T15:04:05")
}

// FindingLine says all of a finding on one line: severity, rule, where, what, figures, copies, where the limit
// was set, and the waiver.
func FindingLine(f pipeline.Finding) string {
	at := ""
	if f.At != nil {
		at = f.At.String()
	}
	return findingLine(f, at)
}

// Line says all of the finding on one line, as FindingLine does.
func (r FindingRow) Line() string {
	at := ""
	if r.At != nil {
		at = fmt.Sprintf("(%s, %s)", r.At.X, r.At.Y)
	}
	return findingLine(r.Finding, at)
}

func findingLine(f pipeline.Finding, at string) string {
	s := fmt.Sprintf("%s: %s", f.Severity, f.Rule)
	if f.Feature != "" {
		s += " at " + f.Feature
	}
	if at != "" {
		s += " " + at + " mm"
	}
	s += ": " + strings.ReplaceAll(f.Message, "\n", " ")
	if t := FiguresText(f); t != "" {
		s += "; " + t
	}
	if len(f.Copies) > 1 {
		s += "; copies " + strings.Join(f.Copies, ", ")
	}
	if f.Set != nil {
		s += fmt.Sprintf("; set at %s:%d", f.Set.File, f.Set.Line)
	}
	if w := f.Waived; w != nil {
		s += fmt.Sprintf("; waived for revision %s: %s", w.Revision, strings.ReplaceAll(w.Reason, "\n", " "))
	}
	return s
}

// FiguresText words a finding's figures: measured 0.2 mm, limit 0.25 mm. It is empty where it has none.
func FiguresText(f pipeline.Finding) string {
	var parts []string
	for _, x := range []struct {
		what  string
		value *float64
	}{{"measured", f.Measured}, {"limit", f.Limit}} {
		if x.value != nil {
			parts = append(parts, strings.TrimSpace(x.what+" "+number(*x.value)+" "+f.Unit))
		}
	}
	return strings.Join(parts, ", ")
}

// number writes a figure with up to four decimals, as people read it.
func number(x float64) string { return pipeline.FigureText(x) }
