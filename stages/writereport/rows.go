package writereport

import (
	"cmp"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// row is what the page says of one finding.
type row struct {
	pipeline.Finding
	Number int
	Kind   string // its severity and whether it counts, as classes of the style sheet
	State  string // "error", "warning, waived"
	Moment pipeline.Moment
	Place  *geom.Point  // where its mark is: its own place, or that of its feature
	Alike  []geom.Point // the same place on the other copies it holds for
	Bound  pipeline.Bound
	Marks  []markLink
}

// markLink leads from what is said of a finding to its mark in a picture.
type markLink struct{ ID, Side string }

// Label says in short what a mark stands for.
func (r *row) Label() string {
	s := r.State + " " + itoa(r.Number) + ": " + r.Rule
	if r.Feature != "" {
		s += " at " + r.Feature
	}
	return s
}

// Figures says what was measured against what was asked for.
func (r *row) Figures() string {
	return figures3(r.Measured, r.Bound, r.Limit, r.Unit)
}

// Where names the place: feature and coordinates.
func (r *row) Where() string {
	s := r.Feature
	if r.At != nil {
		s = strings.TrimSpace(s + " " + r.At.String() + " mm")
	}
	return s
}

// Unmarked says why a finding has no mark in a picture.
func (r *row) Unmarked() string {
	if r.Place == nil {
		return "It has no place of its own, so no picture marks it."
	}
	return "It is not marked: the pictures of this part have as many marks as can be told apart."
}

// Of lists the copies it holds for, where these are more than the feature says.
func (r *row) Of() string {
	if len(r.Copies) < 2 {
		return ""
	}
	return strings.Join(r.Copies, ", ")
}

// figures3 words a figure and its limit.
func figures3(measured *float64, bound pipeline.Bound, limit *float64, unit string) string {
	var parts []string
	if measured != nil {
		parts = append(parts, "measured "+quantity(*measured, unit))
	}
	if limit != nil {
		word := map[pipeline.Bound]string{pipeline.AtLeast: "at least ", pipeline.AtMost: "at most ", pipeline.NoBound: "limit "}[bound]
		parts = append(parts, word+quantity(*limit, unit))
	}
	return strings.Join(parts, ", ")
}

func quantity(v float64, unit string) string {
	return strings.TrimSpace(pipeline.FigureText(v) + " " + unit)
}

// setText says which line of a recipe or standard set something.
func setText(at *pipeline.SetAt) string {
	if at == nil {
		return ""
	}
	return at.File + ":" + itoa(at.Line)
}

// SetText is the line that set the limit.
func (r *row) SetText() string { return setText(r.Set) }

// rowsOf numbers the findings in their order.
func rowsOf(p panel.Panel, found []pipeline.Finding, judged []pipeline.Judged, rules []pipeline.Rule) []*row {
	places := placesOf(p)
	copies := map[string]panel.Copy{}
	for _, c := range p.Copies() {
		copies[c.ID] = c
	}
	bounds := map[string]pipeline.Bound{}
	for _, r := range rules {
		bounds[r.Name] = r.Bound
	}
	for _, j := range judged {
		if j.Bound != pipeline.NoBound {
			bounds[j.Rule] = j.Bound
		}
	}
	var out []*row
	for i, f := range found {
		r := &row{Finding: f, Number: i + 1, Moment: momentOf(f.Rule, f.Family), Kind: string(f.Severity), State: string(f.Severity), Place: f.At, Bound: bounds[f.Rule]}
		switch {
		case f.Unchecked:
			r.Kind, r.State = r.Kind+" set-aside", "not checked"
		case f.Waived != nil:
			r.Kind, r.State = r.Kind+" set-aside", r.State+", waived"
		}
		if r.Place == nil {
			if at, ok := places[f.Feature]; ok {
				r.Place = &at
			} else if len(f.Copies) == 1 {
				if at, ok := places[f.Copies[0]]; ok {
					r.Place = &at
				}
			}
		}
		r.Alike = alike(f, copies)
		out = append(out, r)
	}
	return out
}

// alike gives the finding's place on the other copies that it holds for. The place is that on the copy which its
// feature names.
func alike(f pipeline.Finding, copies map[string]panel.Copy) []geom.Point {
	id, _, _ := strings.Cut(f.Feature, "/")
	own, ok := copies[id]
	if f.At == nil || !ok || len(f.Copies) < 2 || !slices.Contains(f.Copies, id) {
		return nil
	}
	on := own.Place.Inverse().Apply(*f.At)
	var out []geom.Point
	for _, k := range f.Copies {
		if x, ok := copies[k]; ok && k != id && x.Board == own.Board {
			out = append(out, x.Place.Apply(on))
		}
	}
	return out
}

// placesOf gives the middles of the panel's features by their ids.
func placesOf(p panel.Panel) map[string]geom.Point {
	at := map[string]geom.Point{}
	for _, x := range p.Copies() {
		at[x.ID] = x.Box().Center()
	}
	for _, x := range p.Rails() {
		at[x.ID] = x.Box.Center()
	}
	for _, x := range p.Marks() {
		at[x.ID] = x.At
	}
	for _, x := range p.Slots() {
		at[x.ID] = x.Outline.Box().Center()
	}
	for _, x := range p.Tabs() {
		at[x.ID] = x.Feet[0]
	}
	for _, x := range p.Perforations() {
		at[x.ID] = x.At
	}
	for _, x := range p.Scores() {
		at[x.ID] = geom.Box{Min: x.From, Max: x.From}.Extend(x.To).Center()
	}
	for _, x := range p.Prints() {
		at[x.ID] = x.Area.Center()
	}
	for _, x := range p.Unreached() {
		at[x.ID] = x.At
	}
	for _, x := range p.Blanks() {
		at[x.ID] = x.Outline.Box().Center()
	}
	return at
}

// check is one rule that was judged, or left out.
type check struct {
	Rule, Summary, Result, Kind, Measured, Limit, Source, Set string
}

// checksOf says what became of each rule.
func checksOf(judged []pipeline.Judged, rows []*row, rules []pipeline.Rule) []check {
	type tally struct {
		worst     pipeline.Severity
		n, waived int
	}
	found := map[string]*tally{}
	for _, r := range rows {
		t := found[r.Rule]
		if t == nil {
			t = &tally{}
			found[r.Rule] = t
		}
		switch {
		case r.Unchecked:
			continue
		case r.Waived != nil:
			t.waived++
		default:
			t.n++
			if t.worst == "" || t.worst.Lesser(r.Severity) == t.worst {
				t.worst = r.Severity
			}
		}
	}
	worst := map[string]*float64{}
	for _, r := range rows { // the worst figure of the rule's findings
		if r.Measured == nil || r.Unchecked {
			continue
		}
		w := worst[r.Rule]
		if w == nil || r.Bound == pipeline.AtMost && *r.Measured > *w || r.Bound != pipeline.AtMost && *r.Measured < *w {
			worst[r.Rule] = r.Measured
		}
	}
	summaries := map[string]string{}
	for _, r := range rules {
		summaries[r.Name] = r.Summary
	}
	var out []check
	for _, j := range judged {
		c := check{Rule: j.Rule, Summary: summaries[j.Rule], Result: "holds", Kind: "holds", Source: j.Source, Set: setText(j.Set)}
		if m := cmp.Or(j.Worst, worst[j.Rule]); m != nil {
			c.Measured = quantity(*m, j.Unit)
		}
		if j.Nothing {
			c.Result = "nothing to measure"
		}
		if j.Limit != nil {
			c.Limit = strings.TrimPrefix(figures3(nil, j.Bound, j.Limit, j.Unit), "limit ")
		}
		if t := found[j.Rule]; t != nil && t.n > 0 {
			c.Kind = string(t.worst)
			c.Result = count(t.n, "finding", "findings")
			if t.waived > 0 {
				c.Result += ", " + itoa(t.waived) + " waived"
			}
		} else if t != nil && t.waived > 0 {
			c.Kind, c.Result = "set-aside", itoa(t.waived)+" waived"
		}
		if j.Missing != "" {
			c.Kind, c.Result = "set-aside", "not judged: "+j.Missing
		}
		if j.Unchecked != "" {
			c.Kind, c.Result = "set-aside", "not checked: "+j.Unchecked
		}
		out = append(out, c)
	}
	return out
}

// AtWorst is the worst figure that a waiver accepts.
func (r *row) AtWorst() string {
	if r.Waived == nil || r.Waived.AtWorst == nil {
		return ""
	}
	return quantity(*r.Waived.AtWorst, r.Unit)
}

// WaivedAt is the line at which a waiver stands.
func (r *row) WaivedAt() string {
	if r.Waived == nil {
		return ""
	}
	return setText(r.Waived.Set)
}
