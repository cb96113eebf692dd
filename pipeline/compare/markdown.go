package compare

import (
	"fmt"
	"strings"

	"panelwright/pipeline/markdown"
)

// MarkdownBytes is how long the Markdown gets at most.
const MarkdownBytes = markdown.Most

// Markdown gives the changes as a comment for a merge request: what matters most first, the rest folded away. It is
// CommonMark with the tables and the HTML element details that hosts of Git take. Texts that come from recipes and
// files cannot become markup, links or mentions.
func (r *Result) Markdown() []byte {
	for _, most := range []int{60, 25, 10, 4, 1, 0} {
		if text := r.markdown(most, len(r.Warnings)); len(text) <= MarkdownBytes {
			return text
		}
	}
	return r.markdown(0, 10)
}

// headline is how many changes stand in the open.
const headline = 6

func (r *Result) markdown(most, warnings int) []byte {
	var b strings.Builder
	title := "Panel " + r.New.Panel
	if r.Old.Panel != r.New.Panel {
		title = "Panels " + r.Old.Panel + " and " + r.New.Panel
	}
	fmt.Fprintf(&b, "## %s: %s\n\n", markdown.Text(title), counted(r))
	b.WriteString("| | old | new |\n|---|---|---|\n")
	row := func(what, old, new string) {
		if old == "" && new == "" {
			return
		}
		bold := ""
		if old != new {
			bold = "**"
		}
		fmt.Fprintf(&b, "| %s | %s | %s%s%s |\n", what, markdown.Text(old), bold, markdown.Text(new), bold)
	}
	row("folder", r.Old.Folder, r.New.Folder)
	row("revision", r.Old.Revision, r.New.Revision)
	row("built for", r.Old.Supplier, r.New.Supplier)
	row("release", releaseWord(r.Old), releaseWord(r.New))
	row("written by version", r.Old.Version, r.New.Version)
	b.WriteString("\n")
	for _, w := range r.Warnings[:min(warnings, len(r.Warnings))] {
		fmt.Fprintf(&b, "> **Caution:** %s\n\n", markdown.Text(w))
	}
	open := r.weightiest(headline)
	for _, x := range open {
		fmt.Fprintf(&b, "- %s\n", markdown.Text(x.Text))
	}
	if len(open) < len(r.Changes) {
		fmt.Fprintf(&b, "- and %d more, below\n", len(r.Changes)-len(open))
	}
	if len(open) > 0 {
		b.WriteString("\n")
	}
	for _, g := range Groups {
		list := r.In(g)
		if len(list) == 0 {
			continue
		}
		fmt.Fprintf(&b, "<details><summary>%s: %s</summary>\n\n", g, count(len(list), "change", "changes"))
		if n := min(most, len(list)); n > 0 {
			b.WriteString("| | what |\n|---|---|\n")
			for _, x := range list[:n] {
				fmt.Fprintf(&b, "| %s | %s |\n", x.Kind, markdown.Text(x.Text))
			}
			b.WriteString("\n")
		}
		if left := len(list) - most; left > 0 {
			fmt.Fprintf(&b, "%d more are not shown here.\n\n", left)
		}
		b.WriteString("</details>\n\n")
	}
	if len(r.Notes) > 0 {
		b.WriteString("<details><summary>noted, and no difference of what was built</summary>\n\n")
		for i, n := range r.Notes {
			if i == 20 {
				fmt.Fprintf(&b, "- and %d more\n", len(r.Notes)-i)
				break
			}
			fmt.Fprintf(&b, "- %s\n", markdown.Text(n))
		}
		b.WriteString("\n</details>\n")
	}
	return []byte(strings.TrimRight(b.String(), "\n") + "\n")
}

func counted(r *Result) string {
	if r.Same {
		return "nothing changed"
	}
	return count(len(r.Changes), "change", "changes")
}

func releaseWord(s Side) string {
	if s.Released {
		return "good for release"
	}
	return "NOT FOR RELEASE"
}

// weightiest picks what a reviewer must not miss: what stands first in every group, group by group.
func (r *Result) weightiest(most int) []Change {
	if len(r.Changes) <= most {
		return r.Changes
	}
	var out []Change
	for round := 0; len(out) < most; round++ {
		found := false
		for _, g := range []Group{PanelGroup, BoardsGroup, ArtworkGroup, FindingsGroup, PartsGroup, CutsGroup, HolesGroup, CopiesGroup, MarksGroup, ValuesGroup, FilesGroup} {
			if list := r.In(g); round < len(list) && len(out) < most {
				out = append(out, list[round])
				found = true
			}
		}
		if !found {
			break
		}
	}
	return out
}
