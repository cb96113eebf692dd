package writereport

import (
	"cmp"
	"context"
	"strings"

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

// mostParts is how many parts the page lists, worst first; report/mechanics.json has all.
const mostParts = 60

// strengthPart is the page's part about holding and breaking.
type strengthPart struct {
	Facts    []fact
	Problems []string
	Missing  string
	Notes    []string
	Tables   []table
}

// partOf words what was reckoned.
func partOf(r reckoned) *strengthPart {
	a := r.Answers
	x := &strengthPart{Notes: []string{mechanics.Reckoned}}
	if !r.held {
		x.Missing = "Whether the panel holds was not reckoned: no stage support says how it is carried."
	} else {
		x.Facts = facts(
			fact{"carried", mechanics.CarriedBy(a.Support)},
			fact{"span between supports", someLength(a.Span)},
			fact{"laminate's warp", "along " + a.Support.Warp},
			fact{"lowest natural frequencies", hertzText(a.Hertz)},
			fact{"weakest tab or score line", weakest(a)},
			fact{"finite elements", meshText(a)},
		)
	}
	for _, p := range a.Problems {
		x.Problems = append(x.Problems, strings.TrimSpace(p.Message+" ("+listed(nonEmpty(p.Feature, p.At.String()+" mm"))+")"))
	}
	if len(a.Breaks)+len(a.Parts) > 0 {
		x.Notes = append(x.Notes, mechanics.Estimated)
	}
	strained, n := strainedTable(a)
	x.Tables = []table{statesTable(a), rowsTable(a), linesTable(a), breaksTable(a), strained, constantsTable(a)}
	if n > mostParts {
		x.Notes = append(x.Notes, "Of "+count(n, "part", "parts")+" near breaks, those that are alike on several copies counted once, the "+itoa(mostParts)+" most strained are listed; report/mechanics.json has all.")
	}
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

func someLength(l geom.Length) string {
	if l <= 0 {
		return ""
	}
	return l.String()
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
	return count(a.Triangles, "triangle", "triangles") + " of " + a.Support.Fine.Decimal() + " to " + a.Support.Open.String() + ", " + itoa(a.Unknowns) + " unknowns"
}

// weakest names the tab or score line with the least reserve.
func weakest(a *mechanics.Answers) string {
	id, least := "", 0.0
	look := func(of string, reserve float64) {
		if id == "" || reserve < least {
			id, least = of, reserve
		}
	}
	for _, t := range a.Tabs {
		look(t.Tab, t.Least)
	}
	for _, l := range a.Lines {
		look(l.Score, l.Least)
	}
	if id == "" {
		return ""
	}
	return id + ", reserve " + mechanics.Times(least)
}

func statesTable(a *mechanics.Answers) table {
	t := table{ID: "states", Title: "Sag", Open: true, Columns: []string{"state", "furthest sag", "of the span", "at", "on"}}
	for _, s := range a.States {
		t.Rows = append(t.Rows, []string{s.Words(a), mechanics.Figure(s.Sag) + " mm", mechanics.Figure(s.Percent) + " %", s.SagAt.String() + " mm", cmp.Or(s.SagCopy, "waste")})
	}
	return t
}

// rowsTable lists the rows of tabs in the state that strains each most.
func rowsTable(a *mechanics.Answers) table {
	t := table{ID: "tab-strength", Title: "What the rows of tabs bear", Columns: []string{"tab", "row", "section modulus", "worst", "moment", "twist", "shear", "stress with the notch factor",
		"strength", "reserve", "if the tab is left out, cold"}}
	for _, x := range a.Tabs {
		k := 0
		for i, l := range x.Loads {
			if l.Reserve < x.Loads[k].Reserve {
				k = i
			}
		}
		if k >= len(x.Loads) || k >= len(a.States) {
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
		t.Rows = append(t.Rows, []string{x.Tab, itoa(x.Row + 1), mechanics.Figure(x.Modulus) + " mm³", a.States[k].Words(a), mechanics.Figure(l.Moment) + " N·mm", mechanics.Figure(l.Twist) + " N·mm",
			mechanics.Figure(l.Shear) + " N", mechanics.Figure(l.Stress) + " MPa", mechanics.Figure(l.Strength) + " MPa", mechanics.Times(l.Reserve), out})
	}
	return t
}

func linesTable(a *mechanics.Answers) table {
	t := table{ID: "web-strength", Title: "What the webs of score lines bear", Columns: []string{"score line", "worst at", "worst", "moment on each mm", "section modulus of each mm", "stress", "strength", "reserve"}}
	for _, x := range a.Lines {
		k := 0
		for i, l := range x.Loads {
			if l.Reserve < x.Loads[k].Reserve {
				k = i
			}
		}
		if k >= len(x.Loads) || k >= len(a.States) {
			continue
		}
		l := x.Loads[k]
		t.Rows = append(t.Rows, []string{x.Score, x.At.String() + " mm", a.States[k].Words(a), mechanics.Figure(l.Moment) + " N·mm", mechanics.Figure(x.Modulus) + " mm³", mechanics.Figure(l.Stress) + " MPa",
			mechanics.Figure(l.Strength) + " MPa", mechanics.Times(l.Reserve)})
	}
	return t
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

func breaksTable(a *mechanics.Answers) table {
	t := table{ID: "breaks", Title: "What breaking takes, from weak material to strong", Columns: []string{"feature", "broken", "of", "at", "moment", "hand from the line", "force"}}
	for _, b := range a.Breaks {
		force := mechanics.Figure(b.Force[0]) + " to " + mechanics.Figure(b.Force[1]) + " N"
		if b.Cut {
			force += ", but it is to be cut off by a tool"
		}
		t.Rows = append(t.Rows, []string{b.Feature, brokenWords(b), listed(b.Copies), b.At.String() + " mm", mechanics.Figure(b.Moment[0]) + " to " + mechanics.Figure(b.Moment[1]) + " N·mm",
			mechanics.Figure(b.Lever) + " mm", force})
	}
	return t
}

// strainedTable lists parts, worst first; those that are strained alike on several copies together.
func strainedTable(a *mechanics.Answers) (t table, all int) {
	t = table{ID: "strained", Title: "Parts strained most by breaking", Columns: []string{"part", "copies", "break", "distance", "strain of the board beneath it, about"}}
	type key struct{ refdes, distance, strain string }
	at := map[key]int{}
	for _, s := range a.Parts {
		k := key{s.Refdes, mechanics.Figure(s.Distance.MM()) + " mm", mechanics.Figure(s.Least) + " to " + mechanics.Figure(s.Strain) + " microstrain"}
		if i, ok := at[k]; ok {
			if i < len(t.Rows) {
				t.Rows[i][1] += ", " + s.Copy
			}
			continue
		}
		at[k] = all
		all++
		if len(t.Rows) < mostParts {
			t.Rows = append(t.Rows, []string{s.Refdes, s.Copy, s.Break, k.distance, k.strain})
		}
	}
	return t, all
}

func constantsTable(a *mechanics.Answers) table {
	t := table{ID: "constants", Title: "Reckoned with", Open: true, Columns: []string{"constant", "value", "where it comes from"}}
	for _, c := range a.Constants {
		t.Rows = append(t.Rows, []string{c.Name, quantity(c.Value, c.Unit), c.Source})
	}
	return t
}
