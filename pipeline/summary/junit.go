package summary

import (
	"fmt"
	"path"
	"strings"

	"panelwright/pipeline/format/junit"
	"panelwright/pipeline/run"
)

// mostClosing is how many of the findings that keep one build back JUnit tells; the build's own report has all.
const mostClosing = 100

// JUnit writes the summary as the report of a test run: one suite, a case for each build. A build that is held back fails with the
// findings that keep it back, one that was stopped is an error.
func (s Summary) JUnit() ([]byte, error) {
	suite := junit.Suite{Name: s.Tool.Name + " build", Package: s.Tool.Name, Properties: []junit.Property{
		{Name: "version", Value: s.Tool.Version}, {Name: "reject", Value: s.Reject},
		{Name: "good", Value: fmt.Sprint(s.Counts.Good)}, {Name: "held back", Value: fmt.Sprint(s.Counts.Held)},
		{Name: "stopped", Value: fmt.Sprint(s.Counts.Stopped)},
	}}
	if s.Counts.Interrupted > 0 {
		suite.Properties = append(suite.Properties, junit.Property{Name: "interrupted", Value: fmt.Sprint(s.Counts.Interrupted)})
	}
	if s.Part != nil {
		suite.Properties = append(suite.Properties, junit.Property{Name: "part", Value: s.Part.String()})
	}
	for _, r := range s.Builds {
		c := junit.Case{Name: r.Title(), Class: className(r.Recipe)}
		switch r.State {
		case Good:
		case Held:
			var lines []string
			for _, f := range r.Closing[:min(len(r.Closing), mostClosing)] {
				lines = append(lines, f.Line())
			}
			if left := len(r.Closing) - len(lines); left > 0 {
				lines = append(lines, fmt.Sprintf("and %d more in the build's own report", left))
			}
			c.Failure = &junit.Failure{Type: string(Held), Message: r.panelTitle() + ": " + r.heldBy(), Text: strings.Join(lines, "\n")}
		default:
			c.Error = &junit.Failure{Type: string(r.State), Message: r.reason(), Text: r.Error}
		}
		suite.Cases = append(suite.Cases, c)
	}
	return junit.Encode([]junit.Suite{suite})
}

// heldBy counts what keeps a build back.
func (r Row) heldBy() string {
	if len(r.Closing) == 0 {
		return "findings keep it from release"
	}
	return run.Count(len(r.Closing), "finding keeps", "findings keep") + " it from release"
}

// className is the recipe's folder as readers of JUnit show groups of cases: names with dots between them.
func className(recipe string) string {
	dir := strings.Trim(path.Dir(recipe), "./")
	if strings.TrimSpace(dir) == "" {
		return "recipes"
	}
	return strings.ReplaceAll(dir, "/", ".")
}
