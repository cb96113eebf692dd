package cli

import (
	"fmt"
	"strconv"
	"strings"

	"panelwright/pipeline"
)

// mostShown is how many findings of one severity the terminal shows; files hold all.
const mostShown = 5

// findingLines shows the first findings of each severity. They come sorted by severity.
func findingLines(found []pipeline.Finding, written bool) string {
	var b strings.Builder
	for _, severity := range []pipeline.Severity{pipeline.Error, pipeline.Warning, pipeline.Note} {
		n := 0
		for _, f := range found {
			if f.Severity != severity {
				continue
			}
			if n++; n <= mostShown {
				b.WriteString("  " + findingText(f) + "\n")
			}
		}
		if n > mostShown {
			rest := fmt.Sprintf("  %s: %d more", severity, n-mostShown)
			if written {
				rest += " in report/findings.json"
			} else {
				rest += "; --json gives them all"
			}
			b.WriteString(rest + "\n")
		}
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
	unit := ""
	if f.Unit != "" {
		unit = " " + f.Unit
	}
	var figures []string
	if f.Measured != nil {
		figures = append(figures, "measured "+number(*f.Measured)+unit)
	}
	if f.Limit != nil {
		figures = append(figures, "limit "+number(*f.Limit)+unit)
	}
	if len(figures) > 0 {
		s += " (" + strings.Join(figures, ", ") + ")"
	}
	if n := len(f.Copies); n > 1 {
		s += fmt.Sprintf(", the same for %d copies", n)
	}
	return s
}

// number writes a figure with up to four decimals, as people read it.
func number(x float64) string {
	s := strconv.FormatFloat(x, 'f', 4, 64)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}
