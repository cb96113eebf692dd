package cli

import (
	"fmt"
	"strconv"
	"strings"

	"panelwright/pipeline"
)

// mostShown is how many findings of one rule the terminal shows; files hold all.
const mostShown = 2

// findingLines shows the first findings of each rule and severity. They come sorted by severity and
// rule.
func findingLines(found []pipeline.Finding, written bool) string {
	where := "; --json gives them all"
	if written {
		where = " in report/findings.json"
	}
	var b strings.Builder
	for i := 0; i < len(found); {
		n := 0
		for ; i+n < len(found) && found[i+n].Severity == found[i].Severity && found[i+n].Rule == found[i].Rule; n++ {
			if n < mostShown {
				b.WriteString("  " + findingText(found[i+n]) + "\n")
			}
		}
		if n > mostShown {
			fmt.Fprintf(&b, "  %s: %s: %d more%s\n", found[i].Severity, found[i].Rule, n-mostShown, where)
		}
		i += n
	}
	return b.String()
}

// findingText says a finding on one line.
func findingText(f pipeline.Finding) string {
	s := fmt.Sprintf("%s: %s", f.Severity, f.Rule)
	switch {
	case f.Feature != "":
		s += " at " + f.Feature
	case f.At != nil:
		s += " at " + f.At.String() + " mm"
	}
	s += ": " + strings.ReplaceAll(f.Message, "\n", " ")
	// Figures that the sentence has already are not said twice.
	var figures []string
	for _, x := range []struct {
		what  string
		value *float64
	}{{"measured", f.Measured}, {"limit", f.Limit}} {
		if x.value != nil && !strings.Contains(f.Message, number(*x.value)) && !strings.Contains(f.Message, strconv.FormatFloat(*x.value, 'f', -1, 64)) {
			figures = append(figures, strings.TrimSpace(x.what+" "+number(*x.value)+" "+f.Unit))
		}
	}
	if len(figures) > 0 {
		s += " (" + strings.Join(figures, ", ") + ")"
	}
	if n := len(f.Copies); n > 1 {
		s += fmt.Sprintf(", the same for %d copies", n)
	}
	return s
}
