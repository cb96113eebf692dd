package cli

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// What the terminal shows of many findings; files hold all.
const (
	mostShown  = 3   // of one rule and severity, unless they are waived
	mostCopies = 6   // named
	lineWidth  = 100 // what lines are broken to, where words allow it
)

// families is the order in which findings and rules are told; others follow by name.
var families = []pipeline.Family{pipeline.ProofFamily, pipeline.DataFamily, pipeline.PanelFamily, pipeline.RailsFamily,
	pipeline.CutsFamily, pipeline.HolesFamily, pipeline.StrengthFamily, pipeline.AssemblyFamily}

func compareFamilies(a, b pipeline.Family) int {
	rank := func(f pipeline.Family) int {
		if i := slices.Index(families, f); i >= 0 {
			return i
		}
		return len(families)
	}
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a, b))
}

func familyName(f pipeline.Family) string { return cmp.Or(string(f), "other") }

// section is a part of what people read: findings of one severity, or those that are waived.
type section struct {
	title string
	holds func(pipeline.Finding) bool
	all   bool // shows every finding
}

var sections = []section{
	{"errors", func(f pipeline.Finding) bool { return f.Counts() && f.Severity == pipeline.Error }, false},
	{"warnings", func(f pipeline.Finding) bool { return f.Counts() && f.Severity == pipeline.Warning }, false},
	{"notes", func(f pipeline.Finding) bool {
		return f.Counts() && f.Severity != pipeline.Error && f.Severity != pipeline.Warning
	}, false},
	{"waived", func(f pipeline.Finding) bool { return !f.Counts() }, true},
}

// findingsText tells findings to people: by severity, then family, then rule, the one furthest beyond its limit
// first; those that are waived in full, after the others; and totals.
func findingsText(found []pipeline.Finding, written bool) string {
	if len(found) == 0 {
		return ""
	}
	return sectionsText(found, written) + "\n" + totalsText(found)
}

// sectionsText is findingsText without the totals.
func sectionsText(found []pipeline.Finding, written bool) string {
	where := "; --json gives them all"
	if written {
		where = " in report/findings.json"
	}
	var b strings.Builder
	var bases []string
	for _, s := range sections {
		var mine []pipeline.Finding
		for _, f := range found {
			if s.holds(f) {
				mine = append(mine, f)
			}
		}
		slices.SortStableFunc(mine, func(a, b pipeline.Finding) int {
			return cmp.Or(compareFamilies(a.Family, b.Family), cmp.Compare(a.Rule, b.Rule), cmp.Compare(b.Beyond(), a.Beyond()))
		})
		for i := 0; i < len(mine); {
			n := 1
			for i+n < len(mine) && mine[i+n].Family == mine[i].Family {
				n++
			}
			fmt.Fprintf(&b, "\n%s: %s\n", s.title, familyName(mine[i].Family))
			text, shown := familyText(mine[i:i+n], s.all, where)
			b.WriteString(text)
			for _, f := range shown {
				bases = append(bases, f.Basis)
			}
			i += n
		}
	}
	return b.String() + basesText(bases)
}

// basesText tells what figures were reckoned with, after all findings: many share most of it, and it is long. What one says that is
// said already is left out.
func basesText(bases []string) string {
	const between = "; "
	bases = slices.Compact(slices.Sorted(slices.Values(bases)))
	var said []string
	for _, x := range bases {
		if x == "" {
			continue
		}
		before := said
		for part := range strings.SplitSeq(x, between) {
			if !slices.Contains(before, part) {
				said = append(said, part)
			}
		}
	}
	if len(said) == 0 {
		return ""
	}
	return "\n" + wrap("", "reckoned with "+strings.Join(said, between), "  ")
}

// familyText tells findings of one family, sorted by rule, and gives those that it shows.
func familyText(found []pipeline.Finding, all bool, where string) (text string, told []pipeline.Finding) {
	var b strings.Builder
	for i := 0; i < len(found); {
		n := 1
		for i+n < len(found) && found[i+n].Rule == found[i].Rule {
			n++
		}
		rule := found[i : i+n]
		shown := rule
		if !all {
			shown = rule[:min(n, mostShown)]
		}
		// What all of them share is said once, beside the rule.
		limit, set := common(rule, limitText), common(rule, setText)
		head := rule[0].Rule
		for _, x := range []string{limit, set} {
			if x != "" {
				head += ", " + x
			}
		}
		b.WriteString(wrap("  ", head, "      "))
		for _, f := range shown {
			if limit != "" {
				f.Limit = nil
			}
			if set != "" {
				f.Set = nil
			}
			b.WriteString(findingText(f))
		}
		if left := n - len(shown); left > 0 {
			fmt.Fprintf(&b, "    and %d more%s\n", left, where)
		}
		told = append(told, shown...)
		i += n
	}
	return b.String(), told
}

// common gives what a text of all findings is, where it is the same.
func common(found []pipeline.Finding, text func(pipeline.Finding) string) string {
	first := text(found[0])
	for _, f := range found {
		if text(f) != first {
			return ""
		}
	}
	return first
}

func limitText(f pipeline.Finding) string {
	if f.Limit == nil {
		return ""
	}
	return strings.TrimSpace("limit " + number(*f.Limit) + " " + f.Unit)
}

func setText(f pipeline.Finding) string {
	if f.Set == nil {
		return ""
	}
	return fmt.Sprintf("set at %s:%d", f.Set.File, f.Set.Line)
}

// findingText says where a finding is, with its figures and copies, and below that what it is.
func findingText(f pipeline.Finding) string {
	var parts []string
	at := f.Feature
	if f.At != nil {
		at = strings.TrimSpace(at + " at " + f.At.String() + " mm")
	}
	if at != "" {
		parts = append(parts, at)
	}
	if t := run.FiguresText(f); t != "" {
		parts = append(parts, t)
	}
	if t := setText(f); t != "" {
		parts = append(parts, t)
	}
	if n := len(f.Copies); n > 1 || n == 1 && f.Copies[0] != f.Feature && !strings.HasPrefix(f.Feature, f.Copies[0]+"/") {
		names := strings.Join(f.Copies[:min(n, mostCopies)], ", ")
		if n > mostCopies {
			names += fmt.Sprintf(" and %d more", n-mostCopies)
		}
		parts = append(parts, plural(n, "copy ", "copies ")+names)
	}
	indent, text := "    ", ""
	if len(parts) > 0 {
		text = wrap(indent, strings.Join(parts, ", "), indent+"    ")
		indent += "  "
	}
	text += wrap(indent, f.Message, indent)
	if w := f.Waived; w != nil {
		said := "waived for revision " + w.Revision
		if w.AtWorst != nil {
			said += ", at worst " + strings.TrimSpace(number(*w.AtWorst)+" "+f.Unit)
		}
		if w.Set != nil {
			said += fmt.Sprintf(", at %s:%d", w.Set.File, w.Set.Line)
		}
		text += wrap(indent, said+": "+w.Reason, indent)
	}
	return text
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// wrap breaks a text into lines of lineWidth characters: the first begins with head as it is, the others with
// indent. A word that is longer stays whole.
func wrap(head, text, indent string) string {
	var lines []string
	line, empty := head, true
	for _, word := range strings.Fields(text) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > lineWidth {
			lines = append(lines, line)
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return strings.Join(append(lines, line), "\n") + "\n"
}

// totalsText counts findings by family.
func totalsText(found []pipeline.Finding) string {
	by := map[pipeline.Family][]pipeline.Finding{}
	var names []pipeline.Family
	for _, f := range found {
		if by[f.Family] == nil {
			names = append(names, f.Family)
		}
		by[f.Family] = append(by[f.Family], f)
	}
	slices.SortFunc(names, compareFamilies)
	rows := [][]string{{"totals", "errors", "warnings", "notes", "waived"}}
	row := func(name string, found []pipeline.Finding) {
		n := run.CountFindings(found)
		rows = append(rows, []string{name, fmt.Sprint(n.Error), fmt.Sprint(n.Warning), fmt.Sprint(n.Note), fmt.Sprint(n.Waived)})
	}
	for _, f := range names {
		row("  "+familyName(f), by[f])
	}
	row("  all", found)
	return table(rows, "")
}
