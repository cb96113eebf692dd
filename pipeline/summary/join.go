package summary

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/jsonlines"
	"panelwright/pipeline/run"
)

// Named is a summary and the name of the file that it was read from.
type Named struct {
	Name string
	Summary
}

// Join makes the summary of the whole of the summaries of all its parts, in any order; one alone that is of no part is the whole
// itself. A part that is given twice counts once, if both say the same. Errors, all at once: parts that are missing, that are of
// other recipes, another program or another release gate, or that contradict one another.
func Join(parts []Named) (Summary, error) {
	if len(parts) == 0 {
		return Summary{}, fmt.Errorf("there is no summary to join")
	}
	if len(parts) == 1 && parts[0].Part == nil {
		return parts[0].Summary, nil
	}
	j := joint{at: map[int]Named{}}
	for _, p := range parts {
		switch {
		case p.Part == nil:
			j.refuse("%s: is of no part: it was built without --part, and only parts can be joined", p.Name)
			continue
		case j.first.Part == nil:
			j.first = p
		}
		j.take(p)
	}
	if len(j.wrong) == 0 {
		j.missing()
	}
	if len(j.wrong) == 0 {
		j.contradictions()
	}
	if len(j.wrong) == 0 {
		j.lost()
	}
	if len(j.wrong) > 0 {
		return Summary{}, fmt.Errorf("%s", strings.Join(j.wrong, "\n"))
	}
	whole := New(j.first.Tool, pipeline.Severity(j.first.Reject), nil, j.builds)
	whole.Given, whole.Epoch = j.first.Given, j.first.Epoch
	return whole, nil
}

// joint is what is joined so far.
type joint struct {
	first  Named
	at     map[int]Named // the parts by their index
	builds []Row
	wrong  []string
}

func (j *joint) refuse(format string, a ...any) { j.wrong = append(j.wrong, fmt.Sprintf(format, a...)) }

// take holds a part against the first one, and keeps it.
func (j *joint) take(p Named) {
	a := j.first
	switch {
	case p.Tool != a.Tool:
		j.refuse("%s: was written by %s %s, and %s by %s %s; build all parts with one program", p.Name, p.Tool.Name, p.Tool.Version, a.Name, a.Tool.Name, a.Tool.Version)
	case p.Reject != a.Reject:
		j.refuse("%s: was built with --reject %s, and %s with --reject %s; build all parts with the same", p.Name, p.Reject, a.Name, a.Reject)
	case !maps.Equal(p.Given, a.Given):
		j.refuse("%s: was built with other given values than %s; build all parts with the same", p.Name, a.Name)
	case (p.Epoch == nil) != (a.Epoch == nil) || p.Epoch != nil && *p.Epoch != *a.Epoch:
		j.refuse("%s: was built with another SOURCE_DATE_EPOCH than %s; build all parts with the same", p.Name, a.Name)
	case p.Part.Of != a.Part.Of:
		j.refuse("%s: is part %s, and %s is part %s: they were not split into as many", p.Name, p.Part, a.Name, a.Part)
	case p.Part.Recipes != a.Part.Recipes || p.Part.Names != a.Part.Names:
		j.refuse("%s: is a part of %s, and %s of %d that are not the same; build all parts from the same state of the recipes, called by the same names",
			p.Name, run.Count(p.Part.Recipes, "recipe", "recipes"), a.Name, a.Part.Recipes)
	default:
		old, twice := j.at[p.Part.Index]
		if !twice {
			j.at[p.Part.Index] = p
		} else if why := differ(old.Summary, p.Summary); why != "" {
			j.refuse("%s and %s are both part %s, and they differ: %s; leave out the one that does not count", old.Name, p.Name, p.Part, why)
		}
	}
}

// differ tells where two summaries of one part say different things.
func differ(a, b Summary) string {
	if same(a, b) {
		return ""
	}
	for i := range max(len(a.Builds), len(b.Builds)) {
		switch {
		case i >= len(a.Builds) || i < len(b.Builds) && compareRows(a.Builds[i], b.Builds[i]) > 0:
			return "the first has no " + b.Builds[i].Title()
		case i >= len(b.Builds) || compareRows(a.Builds[i], b.Builds[i]) < 0:
			return "the second has no " + a.Builds[i].Title()
		}
		if why := differRows(a.Builds[i], b.Builds[i]); why != "" {
			return why
		}
	}
	return "in what they say of themselves"
}

func differRows(a, b Row) string {
	switch {
	case a.State != b.State:
		return fmt.Sprintf("%s is %s in the first and %s in the second", a.Title(), a.State, b.State)
	case a.Manifest != b.Manifest:
		return fmt.Sprintf("%s has other files in the first than in the second", a.Title())
	case !same(a, b):
		return fmt.Sprintf("they tell different things of %s", a.Title())
	}
	return ""
}

// same tells whether JSON says the same of both.
func same(a, b any) bool {
	x, errA := jsonlines.Indented(a)
	y, errB := jsonlines.Indented(b)
	return errA == nil && errB == nil && bytes.Equal(x, y)
}

// missing names the parts that are not there.
func (j *joint) missing() {
	var lack []string
	of := j.first.Part.Of
	for i := range of {
		if _, ok := j.at[i]; !ok {
			lack = append(lack, Part{Index: i, Of: of}.String())
		}
	}
	const most = 8
	switch n := len(lack); {
	case n == 0:
	case n == 1:
		j.refuse("part %s is missing\n    give the summary that build --part %s --summary wrote, or build that part", lack[0], lack[0])
	case n <= most:
		j.refuse("parts %s and %s are missing\n    "+giveParts, strings.Join(lack[:n-1], ", "), lack[n-1])
	default:
		j.refuse("parts %s and %d more are missing\n    "+giveParts, strings.Join(lack[:most], ", "), n-most)
	}
}

// giveParts says what to do about parts that are missing.
const giveParts = "give the summaries that build --part … --summary wrote of them, or build those parts"

// contradictions puts all builds together, and finds what cannot be in one call.
func (j *joint) contradictions() {
	type made struct {
		row  Row
		part Named
	}
	byName, byFolder := map[[2]string]made{}, map[string]made{}
	for i := range j.first.Part.Of {
		p := j.at[i]
		for _, r := range p.Builds {
			name := [2]string{r.Recipe, r.Supplier}
			if old, ok := byName[name]; ok {
				why := differRows(old.row, r)
				if why == "" {
					why = "no recipe is in two parts"
				}
				j.refuse("%s and %s both tell of %s: %s", old.part.Name, p.Name, r.Title(), why)
				continue
			}
			byName[name] = made{r, p}
			j.builds = append(j.builds, r)
			if old, ok := byFolder[r.Build]; ok && r.Build != "" && old.row.Recipe != r.Recipe {
				j.refuse("%s (%s) and %s (%s) both make panel %s: one would replace the other; give one of them another name",
					old.row.Recipe, old.part.Name, r.Recipe, p.Name, r.Panel)
				continue
			}
			byFolder[r.Build] = made{r, p}
		}
	}
}

// lost finds recipes that were split and that no part tells of.
func (j *joint) lost() {
	var names []string
	for _, r := range j.builds {
		names = append(names, r.Recipe)
	}
	slices.Sort(names)
	names = slices.Compact(names)
	if want := j.first.Part; len(names) != want.Recipes || digest(names) != want.Names {
		text := fmt.Sprintf("%s split into %d parts, and together they tell of %d", run.Count(want.Recipes, "recipe was", "recipes were"), want.Of, len(names))
		if len(names) == want.Recipes {
			text += ", not of the same ones"
		}
		for i := range want.Of {
			if j.at[i].Counts.Interrupted > 0 {
				text += fmt.Sprintf("; part %s (%s) was interrupted: build it again", j.at[i].Part, j.at[i].Name)
			}
		}
		j.refuse("%s", text)
	}
}
