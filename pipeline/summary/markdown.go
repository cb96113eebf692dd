package summary

import (
	"fmt"
	"strings"

	"panelwright/pipeline/markdown"
	"panelwright/pipeline/run"
)

// detail is how much of a summary is written as Markdown.
type detail struct {
	told     int // builds that are not good, with their reasons
	findings int // of each
	listed   int // builds by name alone, in each table
}

// Markdown writes the summary as a comment for a merge request or a job's page: counts first, then what is held back or stopped
// with the reasons, the rest folded away. It is no longer than markdown.Most. Texts of recipes cannot become markup, links or mentions.
func (s Summary) Markdown() []byte {
	var text []byte
	for _, d := range []detail{{100, 10, 1000}, {50, 5, 400}, {25, 3, 200}, {10, 3, 100}, {5, 2, 20}, {2, 1, 5}, {0, 0, 2}} {
		if text = s.markdown(d); len(text) <= markdown.Most {
			return text
		}
	}
	return text
}

func (s Summary) markdown(d detail) []byte {
	var b strings.Builder
	title := s.Counts.Words()
	if n := len(s.Builds); n > 0 && s.Counts.Good == n {
		title = run.Count(n, "build, and it is good", "builds, all good")
	}
	if s.Part != nil {
		title = fmt.Sprintf("Part %s, %s", s.Part, title)
	}
	fmt.Fprintf(&b, "## %s\n\n", title)
	c := s.Counts
	b.WriteString("| good | held back | stopped | interrupted | errors | warnings | notes | waived |\n|---|---|---|---|---|---|---|---|\n")
	fmt.Fprintf(&b, "| %d | %d | %d | %d | %d | %d | %d | %d |\n\n", c.Good, c.Held, c.Stopped, c.Interrupted, c.Findings.Error, c.Findings.Warning, c.Findings.Note, c.Findings.Waived)
	by := map[State][]Row{}
	for _, r := range s.Builds {
		by[r.State] = append(by[r.State], r)
	}
	for _, x := range []struct {
		state State
		title string
		tell  func(*strings.Builder, Row, detail)
	}{
		{Held, run.NotForRelease, tellHeld},
		{Stopped, "Stopped", tellStopped},
		{Interrupted, "Interrupted", tellInterrupted},
	} {
		rows := by[x.state]
		if len(rows) == 0 {
			continue
		}
		fmt.Fprintf(&b, "### %s: %s\n\n", x.title, run.Count(len(rows), "build", "builds"))
		n := min(d.told, len(rows))
		for _, r := range rows[:n] {
			x.tell(&b, r, d)
		}
		if n < len(rows) {
			fold(&b, run.Count(len(rows)-n, "other", "others"), rows[n:], d)
		}
	}
	if rows := by[Good]; len(rows) > 0 {
		fold(&b, "good: "+run.Count(len(rows), "build", "builds"), rows, d)
	}
	fmt.Fprintf(&b, "%s; findings at %s keep a panel from release.\n", markdown.Text(s.Tool.Name+" "+s.Tool.Version), levels(s.Reject))
	return []byte(b.String())
}

func levels(reject string) string {
	if reject == "warning" {
		return "error or warning level"
	}
	return "error level"
}

func head(b *strings.Builder, r Row) {
	fmt.Fprintf(b, "**%s**", markdown.Text(r.Title()))
	if t := r.panelTitle(); t != "" {
		b.WriteString(" (" + markdown.Text(t) + ")")
	}
	b.WriteString("\n\n")
}

func tellHeld(b *strings.Builder, r Row, d detail) {
	head(b, r)
	n := min(d.findings, len(r.Closing))
	for _, f := range r.Closing[:n] {
		fmt.Fprintf(b, "- %s\n", markdown.Text(f.Line()))
	}
	if left := len(r.Closing) - n; left > 0 {
		fmt.Fprintf(b, "- and %d more in the build's report\n", left)
	}
	b.WriteString("\n")
}

// mostErrorLines is how many lines of what stopped a build are shown.
const mostErrorLines = 24

func tellStopped(b *strings.Builder, r Row, _ detail) {
	head(b, r)
	lines := strings.Split(strings.TrimSpace(r.Error), "\n")
	if left := len(lines) - mostErrorLines; left > 1 {
		lines = append(lines[:mostErrorLines], fmt.Sprintf("and %d lines more", left))
	}
	b.WriteString(markdown.Block(strings.Join(lines, "\n")) + "\n")
}

func tellInterrupted(b *strings.Builder, r Row, _ detail) { head(b, r) }

// fold lists builds in a table that opens with a click.
func fold(b *strings.Builder, title string, rows []Row, d detail) {
	fmt.Fprintf(b, "<details><summary>%s</summary>\n\n", title)
	b.WriteString("| recipe | panel | errors | warnings | notes | waived |\n|---|---|---|---|---|---|\n")
	n := min(d.listed, len(rows))
	for _, r := range rows[:n] {
		cells := "| | | |"
		if f := r.Findings; f != nil {
			cells = fmt.Sprintf("%d | %d | %d | %d |", f.Error, f.Warning, f.Note, f.Waived)
		}
		fmt.Fprintf(b, "| %s | %s | %s\n", markdown.Text(r.Title()), markdown.Text(strings.TrimPrefix(r.panelTitle(), "panel ")), cells)
	}
	b.WriteString("\n")
	if left := len(rows) - n; left > 0 {
		fmt.Fprintf(b, "%d more are not shown here.\n\n", left)
	}
	b.WriteString("</details>\n\n")
}
