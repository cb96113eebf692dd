package cli

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
)

func (a *app) ruleCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "rule [NAME]",
		Short: "the rules that judge a panel, and their limits",
		Long: "Lists the rules that a panel is judged by, family by family, with the limits that hold where\n" +
			"neither recipe nor standard sets one. With NAME it shows that rule: what it is for, where its limit\n" +
			"comes from, and how a recipe sets it.",
		Args: takes(0, 1, "the name of one rule"),
		RunE: func(_ *cobra.Command, args []string) error { return a.rule(args) },
	}
}

// ruleInfo is one rule, for --json.
type ruleInfo struct {
	Name     string            `json:"name"`
	Family   pipeline.Family   `json:"family,omitempty"`
	Summary  string            `json:"summary"`
	Help     string            `json:"help,omitempty"`
	Bound    pipeline.Bound    `json:"bound,omitempty"`
	Unit     string            `json:"unit,omitempty"`
	Default  *float64          `json:"default,omitempty"`
	ByPanel  bool              `json:"by_panel,omitempty"` // the limit follows from the panel, and default says what holds in general
	Source   string            `json:"source,omitempty"`
	Severity pipeline.Severity `json:"severity"`
	JudgedBy string            `json:"judged_by,omitempty"`
	Example  string            `json:"example,omitempty"` // how a recipe sets it
}

func ruleInfoOf(r pipeline.Rule) ruleInfo {
	return ruleInfo{r.Name, r.Family, r.Summary, r.Help, r.Bound, r.Unit, r.Default, r.DefaultFor != nil, r.Source, r.Severity, r.JudgedBy, RuleExample(r)}
}

func (a *app) rule(args []string) error {
	infos := []ruleInfo{}
	var known []string
	for _, r := range a.Rules {
		known = append(known, r.Name)
		if len(args) == 0 || r.Name == args[0] {
			infos = append(infos, ruleInfoOf(r))
		}
	}
	if len(args) > 0 && len(infos) == 0 {
		return misuse("%s has no rule %q%s\n    see %s rule", a.Name, args[0], nearest(args[0], known), a.Name)
	}
	slices.SortStableFunc(infos, func(a, b ruleInfo) int { return compareFamilies(a.Family, b.Family) })
	if a.asJSON {
		return a.printJSON(struct {
			Schema int        `json:"schema"`
			Rules  []ruleInfo `json:"rules"`
		}{1, infos})
	}
	if len(args) == 0 {
		fmt.Fprint(a.out, ruleList(infos))
		return nil
	}
	fmt.Fprint(a.out, ruleText(infos[0]))
	return nil
}

// ruleList lists rules by family, all in the same columns.
func ruleList(infos []ruleInfo) string {
	rows := [][]string{{"rule", "limit", "severity", ""}}
	var heads []string // before the row of the same number
	for i, r := range infos {
		head := ""
		if i == 0 || r.Family != infos[i-1].Family {
			head = "\n" + familyName(r.Family) + "\n"
		}
		heads = append(heads, head)
		rows = append(rows, []string{"  " + r.Name, ruleLimit(r), string(r.Severity), r.Summary})
	}
	lines := strings.SplitAfter(table(rows, ""), "\n")
	var b strings.Builder
	b.WriteString(lines[0])
	for i, head := range heads {
		b.WriteString(head + lines[i+1])
	}
	return b.String()
}

// ruleText tells people one rule.
func ruleText(r ruleInfo) string {
	var b strings.Builder
	b.WriteString(wrap("", fmt.Sprintf("rule %s: %s", r.Name, r.Summary), "  "))
	rows := [][2]string{{"family", familyName(r.Family)}, {"limit", ruleLimit(r)}, {"severity", string(r.Severity)}}
	if r.Source != "" {
		rows = append(rows, [2]string{"source", r.Source})
	}
	if r.JudgedBy != "" {
		rows = append(rows, [2]string{"judged by", r.JudgedBy})
	}
	for _, x := range rows {
		b.WriteString(wrap(fmt.Sprintf("  %-9s  ", x[0]), x[1], strings.Repeat(" ", 13)))
	}
	text := b.String()
	if r.Help != "" {
		text += "\n" + wrap("  ", r.Help, "  ")
	}
	if r.Example == "" {
		why := (pipeline.Rule{Name: r.Name, Family: r.Family}).Waivable()
		return text + "\n" + wrap("  ", "No recipe changes it: the rule "+why+".", "  ")
	}
	text += "\nin a recipe, any of\n"
	for line := range strings.Lines(r.Example) {
		text += "  " + line
	}
	return text
}

func ruleLimit(r ruleInfo) string {
	switch {
	case r.Bound == pipeline.NoBound:
		return "holds or not"
	case r.ByPanel && r.Default != nil:
		return strings.TrimSpace(fmt.Sprintf("%s %s %s, or as the panel asks for", r.Bound, number(*r.Default), r.Unit))
	case r.ByPanel:
		return strings.TrimSpace(fmt.Sprintf("%s: as the panel asks for, %s", r.Bound, r.Unit))
	case r.Default == nil:
		return strings.TrimSpace(fmt.Sprintf("%s: set by recipe or standard, %s", r.Bound, r.Unit))
	}
	return strings.TrimSpace(fmt.Sprintf("%s %s %s", r.Bound, number(*r.Default), r.Unit))
}

// RuleExample writes how a recipe sets a rule's limit, leaves it out, and waives a finding; empty for a rule
// that no recipe changes.
func RuleExample(r pipeline.Rule) string {
	var blocks []string
	block := func(kind string, lines ...[2]string) {
		wide := 0
		for _, l := range lines {
			wide = max(wide, len(l[0]))
		}
		text := fmt.Sprintf("  %s %q {\n", kind, r.Name)
		for _, l := range lines {
			text += fmt.Sprintf("    %-*s = %s\n", wide, l[0], l[1])
		}
		blocks = append(blocks, text+"  }\n")
	}
	limit, worst := 1.0, 0.0
	if r.Default != nil {
		limit = *r.Default
	}
	// A figure beyond the limit: by one where things are counted, by a tenth else, by a little where it is nothing.
	by := float64(math.Abs(limit) / 10)
	switch {
	case r.Unit == "":
		by = 1
	case by == 0:
		by = 0.05
	}
	worst = limit - by
	if r.Bound == pipeline.AtMost {
		worst = limit + by
	}
	if r.JudgedBy == "" {
		lines := [][2]string{{"severity", `"` + string(softer(r.Severity)) + `"`}}
		if r.Bound != pipeline.NoBound {
			lines = append([][2]string{{string(r.Bound), quantityText(limit, r.Unit)}}, lines...)
			lines = append(lines, [2]string{"source", `"our fabricator's table of capabilities"`})
		}
		block("limit", lines...)
		block("unchecked", [2]string{"reason", `"why the rule is left out; it stands in every report"`})
	}
	if r.Waivable() == "" {
		lines := [][2]string{{"where", `"` + cmp.Or(r.Place, "A1") + `"`}, {"reason", `"why the finding is accepted"`}, {"revision", `"C"`}}
		if r.Bound != pipeline.NoBound {
			lines = append(lines, [2]string{"at_worst", quantityText(worst, r.Unit)})
		}
		block("waive", lines...)
	}
	if len(blocks) == 0 {
		return ""
	}
	return "stage \"rules\" {\n" + strings.Join(blocks, "") + "}\n"
}

func softer(s pipeline.Severity) pipeline.Severity {
	if s == pipeline.Error {
		return pipeline.Warning
	}
	return pipeline.Note
}

// quantityText writes a figure as a recipe does.
func quantityText(v float64, unit string) string {
	text := number(math.Round(v*1e4) / 1e4)
	if unit == "" {
		return text
	}
	return fmt.Sprintf("%q", text+" "+unit)
}
