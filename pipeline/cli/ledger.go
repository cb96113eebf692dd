package cli

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/batch"
	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
)

// How much of a ledger a terminal shows unless all is asked for: what is not good stands last, where it is seen.
const (
	mostGood   = 30  // where there are more builds, the good ones are only counted
	mostBad    = 100 // builds that are not good
	mostReason = 100 // letters of what stopped a build
)

// buildsText tells what came of many builds: a line for each, and totals. The build folders lie in the folder out; hows says by their titles
// how builds came about.
func buildsText(s summary.Summary, all bool, out string, hows map[string]batch.How) string {
	var rows [][]string
	left := map[summary.State]int{}
	bad := 0
	for _, r := range s.Builds {
		switch {
		case all:
		case r.State == summary.Good && len(s.Builds) > mostGood, r.State != summary.Good && bad == mostBad:
			left[r.State]++
			continue
		case r.State != summary.Good:
			bad++
		}
		rows = append(rows, buildRow(r, out, hows[r.Title()]))
	}
	var b strings.Builder
	b.WriteString(table(rows, ""))
	var more []string
	for _, state := range []summary.State{summary.Good, summary.Held, summary.Stopped, summary.Interrupted} {
		if n := left[state]; n > 0 {
			more = append(more, fmt.Sprintf("%d %s", n, stateWord(state)))
		}
	}
	if len(more) > 0 {
		b.WriteString("not shown: " + strings.Join(more, ", ") + "; --all shows them\n")
	}
	b.WriteString(s.Counts.Words() + "; " + countsText(s.Counts.Findings) + "\n")
	return b.String()
}

func stateWord(s summary.State) string {
	if s == summary.Held {
		return run.NotForRelease
	}
	return string(s)
}

func buildRow(r summary.Row, out string, how batch.How) []string {
	detail := ""
	switch {
	case r.Findings != nil:
		detail = countsText(*r.Findings)
		if t := closingRules(r); t != "" {
			detail += " (" + t + ")"
		}
		if r.Build != "" {
			detail += "  " + path.Join(out, r.Build)
		}
		if how == batch.Unchanged || how == batch.Taken {
			detail += " (" + string(how) + ")"
		}
	case r.State == summary.Stopped:
		detail = reason(r)
	}
	return []string{r.Title(), stateWord(r.State), detail}
}

// closingRules names the rules that keep a build back.
func closingRules(r summary.Row) string {
	var rules []string
	for _, f := range r.Closing {
		rules = append(rules, f.Rule)
	}
	slices.Sort(rules)
	rules = slices.Compact(rules)
	if n := len(rules) - mostShown; n > 0 {
		return strings.Join(rules[:mostShown], ", ") + fmt.Sprintf(" and %d more", n)
	}
	return strings.Join(rules, ", ")
}

// reason is the first line of what stopped a build, without the recipe's name, which stands before it.
func reason(r summary.Row) string {
	text, _, _ := strings.Cut(strings.TrimSpace(r.Error), "\n")
	if rest, ok := strings.CutPrefix(text, r.Recipe+":"); ok {
		text = strings.TrimSpace(rest)
		if text != "" && text[0] >= '0' && text[0] <= '9' {
			text = "line " + text
		}
	}
	if utf8.RuneCountInString(text) > mostReason {
		text = string([]rune(text)[:mostReason-3]) + "..."
	}
	return text
}
