package writereport

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// reckoned is what the mechanics say of a panel.
type reckoned struct {
	*mechanics.Answers
	held bool // whether it holds was reckoned, not only how it breaks
}

// reckon asks the mechanics; ok is false where there is nothing to say: nobody states how the panel is carried, and nothing breaks.
// It is worked out once for each panel, however often it is asked for.
func reckon(ctx context.Context, p panel.Panel, workers int) (r reckoned, ok bool, err error) {
	breaks, err := mechanics.Breaking(ctx, p, workers)
	if err != nil {
		return r, false, err
	}
	if p.Support() == nil {
		return reckoned{breaks, false}, len(breaks.Breaks) > 0, nil
	}
	a, err := mechanics.Of(ctx, p, workers)
	if err != nil {
		return r, false, err
	}
	both := *a
	both.Breaks, both.Parts = breaks.Breaks, breaks.Parts
	return reckoned{&both, true}, true, nil
}

// strengthPart is the page's part about holding and breaking.
type strengthPart struct {
	Facts    []fact
	Problems []string
	Missing  string
	Notes    []string
	Tables   []table
}

// limits are those that rules were judged by, by their names.
func limitsOf(judged []pipeline.Judged) map[string]float64 {
	out := map[string]float64{}
	for _, j := range judged {
		if j.Limit != nil && j.Unchecked == "" {
			out[j.Rule] = *j.Limit
		}
	}
	return out
}

// partOf words what was reckoned of a panel, beside the limits that rules set.
func partOf(r reckoned, p panel.Panel, limits map[string]float64) *strengthPart {
	a := r.Answers
	x := &strengthPart{Notes: []string{mechanics.Reckoned}}
	if !r.held {
		x.Missing = "Whether the panel holds was not reckoned: no stage support says how it is carried."
	} else {
		x.Facts = facts(
			fact{"support", strings.TrimPrefix(a.CarriedBy(), "carried ")},
			fact{"pins", pinsText(a)},
			fact{"grip", gripText(a.Support)},
			fact{"pressed", pressedText(a)},
			fact{"span " + mechanics.SpanWords(a.Support), spanText(a.Span)},
			fact{"sag asked for", limited(limits, "panel-sag", "at most %s %% of the span")},
			fact{"mass", massText(a, p)},
			fact{"laminate's warp", "along " + a.Support.Warp},
			fact{"lowest natural frequencies", join(hertzText(a.Hertz), limited(limits, "panel-frequency", "at least %s Hz asked for"))},
			fact{"weakest tab or score line", join(weakest(a), limited(limits, "tab-strength", "at least %s asked for"))},
			fact{"finite elements", meshText(a)},
		)
	}
	for _, p := range a.Problems {
		x.Problems = append(x.Problems, strings.TrimSpace(p.Message+" ("+listed(nonEmpty(p.Feature, p.At.String()+" mm"))+")"))
	}
	if len(a.Breaks)+len(a.Parts) > 0 {
		x.Notes = append(x.Notes, mechanics.Estimated)
	}
	if r.held {
		x.Notes = append(x.Notes, "Moments, twists and forces are told by their size, without a sign.")
	}
	x.Tables = []table{statesTable(a), rowsTable(a), linesTable(a), breaksTable(a), strainedTable(a), constantsTable(a)}
	return x
}

func nonEmpty(words ...string) (out []string) {
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}

func spanText(l geom.Length) string {
	if l <= 0 {
		return ""
	}
	return mechanics.Distance(l)
}

// pinsText says where pins are, and which of them carry nothing.
func pinsText(a *mechanics.Answers) string {
	var out []string
	for _, p := range a.Support.Pins {
		text := p.String()
		if slices.Contains(a.IdlePins, p) {
			text += " (under nothing)"
		}
		out = append(out, text)
	}
	if len(out) == 0 {
		return ""
	}
	return listed(out) + " mm"
}

func gripText(s panel.Support) string {
	if s.Carried != panel.ByOneRail {
		return ""
	}
	return s.Grip.String()
}

// pressedText says what presses where.
func pressedText(a *mechanics.Answers) string {
	for _, s := range a.States {
		if s.Kind == mechanics.Pressed {
			return mechanics.Figure(a.Support.Force.Value) + " " + a.Support.Force.Unit + " in the middle of " + s.Pressed
		}
	}
	return ""
}

// limited words a rule's limit; empty where it was not judged.
func limited(limits map[string]float64, rule, words string) string {
	v, ok := limits[rule]
	if !ok {
		return ""
	}
	return fmt.Sprintf(words, pipeline.FigureText(v))
}

// join sets words in order, apart by semicolons; nothing where the first are empty.
func join(first string, more ...string) string {
	if first == "" {
		return ""
	}
	return strings.Join(nonEmpty(append([]string{first}, more...)...), "; ")
}

// massText tells what mass was reckoned with, and of how many parts nobody says theirs.
func massText(a *mechanics.Answers, p panel.Panel) string {
	if !(a.Mass > 0) {
		return ""
	}
	unknown, all := mechanics.Unweighed(p)
	text := mechanics.Figure(a.Mass) + " g"
	if unknown > 0 {
		text += fmt.Sprintf(", without %d of %s whose mass nobody says", unknown, count(all, "part", "parts"))
	}
	return text
}

func hertzText(list []float64) string {
	var out []string
	for _, h := range list {
		out = append(out, mechanics.Figure(h))
	}
	if len(out) == 0 {
		return ""
	}
	return listed(out) + " Hz"
}

func meshText(a *mechanics.Answers) string {
	if a.Triangles == 0 {
		return ""
	}
	text := count(a.Triangles, "triangle", "triangles") + " of " + a.Support.Fine.Decimal() + " to " + a.Support.Open.String()
	if a.Rows > 0 {
		text += ", " + count(a.Rows, "row of a tab", "rows of tabs") + " as beams"
	}
	return text + ", " + itoa(a.Unknowns) + " unknowns"
}

// weakest names the tab or score line with the least reserve.
func weakest(a *mechanics.Answers) string {
	id, least, in := "", 0.0, ""
	look := func(of string, loads []mechanics.RowLoad) {
		k := worstOf(loads)
		if k >= 0 && k < len(a.States) && (id == "" || loads[k].Reserve < least) {
			id, least, in = of, loads[k].Reserve, a.States[k].Words(a)
		}
	}
	for _, t := range a.Tabs {
		look(t.Tab, t.Loads)
	}
	for _, l := range a.Lines {
		look(l.Score, l.Loads)
	}
	if id == "" {
		return ""
	}
	return id + ", reserve " + mechanics.Times(least) + ", " + in
}

// worstOf gives the load with the least reserve, -1 where there is none.
func worstOf(loads []mechanics.RowLoad) int {
	k := -1
	for i, l := range loads {
		if k < 0 || l.Reserve < loads[k].Reserve {
			k = i
		}
	}
	return k
}

func statesTable(a *mechanics.Answers) table {
	t := table{ID: "states", Title: "Sag", Open: true, Words: true, Columns: []string{"state", "furthest sag", "of the span", "at", "on"}}
	for _, s := range a.States {
		t.Rows = append(t.Rows, []string{s.Words(a), mechanics.Figure(s.Sag) + " mm", mechanics.Figure(s.Percent) + " %", mechanics.Place(s.SagAt).String() + " mm", cmp.Or(s.SagCopy, "waste")})
	}
	return t
}

// mostRows is how many rows a table of the page lists; report/mechanics.json has all.
const mostRows = 60

// longest keeps the rows of a table that are worst, in their order, where they are too many. of gives the figure of each row, least
// first.
func (t table) longest(what string, of []float64) table {
	n := len(t.Rows)
	if n <= mostRows {
		return t
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(of[a], of[b]) })
	order = order[:mostRows]
	slices.Sort(order)
	rows := t.Rows
	t.Rows = nil
	for _, i := range order {
		t.Rows = append(t.Rows, rows[i])
	}
	t.Title += fmt.Sprintf(" (the %s of %d; report/mechanics.json has all)", what, n)
	return t
}

// rowsTable lists the rows of tabs in the state that strains each most.
func rowsTable(a *mechanics.Answers) table {
	t := table{ID: "tab-strength", Title: "What the rows of tabs bear", Columns: []string{"tab", "row", "section modulus", "worst", "moment", "twist", "shear", "stress with the notch factor",
		"strength", "reserve", "if the tab is left out, cold"}}
	var reserves []float64
	for _, x := range a.Tabs {
		k := worstOf(x.Loads)
		if k < 0 || k >= len(a.States) {
			continue
		}
		l := x.Loads[k]
		out := "a piece comes loose"
		if w := x.Without; !w.Falls {
			out = "sag " + mechanics.Figure(w.Sag) + " mm, reserve " + mechanics.Times(w.Reserve)
			if w.Worst != "" {
				out += " at " + w.Worst
			}
		}
		reserves = append(reserves, l.Reserve)
		t.Rows = append(t.Rows, []string{x.Tab, itoa(x.Row + 1), mechanics.Figure(x.Modulus) + " mm³", a.States[k].Words(a), mechanics.Small(l.Moment) + " N·mm", mechanics.Small(l.Twist) + " N·mm",
			mechanics.Small(l.Shear) + " N", mechanics.Figure(l.Stress) + " MPa", mechanics.Figure(l.Strength) + " MPa", mechanics.Times(l.Reserve), out})
	}
	return t.longest("weakest", reserves)
}

func linesTable(a *mechanics.Answers) table {
	t := table{ID: "web-strength", Title: "What the webs of score lines bear", Columns: []string{"score line", "worst at", "worst", "moment on each mm", "section modulus of each mm", "stress with the notch factor", "strength", "reserve"}}
	var reserves []float64
	for _, x := range a.Lines {
		k := worstOf(x.Loads)
		if k < 0 || k >= len(a.States) {
			continue
		}
		l := x.Loads[k]
		reserves = append(reserves, l.Reserve)
		t.Rows = append(t.Rows, []string{x.Score, mechanics.Place(x.At).String() + " mm", a.States[k].Words(a), mechanics.Small(l.Moment) + " N·mm", mechanics.Figure(x.Modulus) + " mm³", mechanics.Figure(l.Stress) + " MPa",
			mechanics.Figure(l.Strength) + " MPa", mechanics.Times(l.Reserve)})
	}
	return t.longest("weakest", reserves)
}

// breakWords says what is broken.
var breakWords = map[mechanics.BreakKind]string{
	mechanics.OneTab: "one tab", mechanics.BoardEdge: "all tabs along one edge at once", mechanics.ScoreLine: "a score line",
}

func brokenWords(b mechanics.Break) string {
	if b.Kind == mechanics.OneTab {
		return breakWords[b.Kind] + ", row " + itoa(b.Row+1)
	}
	return breakWords[b.Kind]
}

// namedCopies is how many copies a row names.
const namedCopies = 4

// someOf lists copies, where they are many the first of them.
func someOf(copies []string) string {
	if n := len(copies) - namedCopies; n > 1 {
		return listed(copies[:namedCopies]) + " and " + itoa(n) + " more"
	}
	return listed(copies)
}

// breaksTable lists what breaking takes; what takes the same is told together.
func breaksTable(a *mechanics.Answers) table {
	t := table{ID: "breaks", Title: "What breaking takes, from weak material to strong", Words: true, Columns: []string{"broken", "of", "moment", "hand from the line", "force", "first", "at"}}
	type key struct{ broken, moment, lever, force string }
	at := map[key]int{}
	var forces []float64
	var copies [][]string
	for _, b := range a.Breaks {
		if b.Kind == mechanics.BoardEdge && len(b.Tabs) == 1 {
			continue // it is that tab
		}
		k := key{brokenWords(b), mechanics.Figure(b.Moment[0]) + " to " + mechanics.Figure(b.Moment[1]) + " N·mm", mechanics.Figure(b.Lever) + " mm",
			mechanics.Figure(b.Force[0]) + " to " + mechanics.Figure(b.Force[1]) + " N"}
		if b.Cut {
			k.force += ", but it is to be cut off by a tool"
		}
		i, ok := at[k]
		if !ok {
			i = len(t.Rows)
			at[k] = i
			t.Rows = append(t.Rows, []string{k.broken, "", k.moment, k.lever, k.force, b.Feature, mechanics.Place(b.At).String() + " mm"})
			copies, forces = append(copies, nil), append(forces, -b.Force[1])
		}
		for _, c := range b.Copies {
			if !slices.Contains(copies[i], c) {
				copies[i] = append(copies[i], c)
			}
		}
	}
	for i, list := range copies {
		t.Rows[i][1] = someOf(list)
	}
	return t.longest("strongest", forces)
}

// strainedTable lists parts, worst first; those that are strained alike on several copies together.
func strainedTable(a *mechanics.Answers) table {
	t := table{ID: "strained", Title: "Parts strained most by breaking", Columns: []string{"part", "copies", "break", "distance", "strain of the board beneath it, about, from weak material to strong"}}
	type key struct{ refdes, distance, strain string }
	at := map[key]int{}
	var order []float64
	var copies [][]string
	for _, s := range a.Parts {
		k := key{s.Refdes, mechanics.Figure(s.Distance.MM()) + " mm", mechanics.Figure(s.Least) + " to " + mechanics.Figure(s.Strain) + " microstrain"}
		if i, ok := at[k]; ok {
			copies[i] = append(copies[i], s.Copy)
			continue
		}
		at[k] = len(t.Rows)
		copies = append(copies, []string{s.Copy})
		order = append(order, float64(len(order)))
		t.Rows = append(t.Rows, []string{s.Refdes, "", s.Break, k.distance, k.strain})
	}
	for i, list := range copies {
		t.Rows[i][1] = someOf(list)
	}
	return t.longest("most strained", order)
}

func constantsTable(a *mechanics.Answers) table {
	t := table{ID: "constants", Title: "Reckoned with", Open: true, Words: true, Columns: []string{"constant", "value", "where it comes from"}}
	for _, c := range a.Constants {
		t.Rows = append(t.Rows, []string{c.Name, strings.TrimSpace(mechanics.Exact(c.Value) + " " + c.Unit), c.Source})
	}
	return t
}
