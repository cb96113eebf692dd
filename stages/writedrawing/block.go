package writedrawing

import (
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/layout"
)

// block gives what the title block says.
func (w *WriteDrawing) block(env *pipeline.Env, p panel.Panel) layout.Block {
	b := layout.Block{
		Owner: w.Owner, Number: or(w.DocumentNumber, env.Panel), Revision: env.Revision, Date: w.date(env), Language: w.Language,
		Title: or(w.Title, "Panel "+env.Panel), Supplement: or(w.SupplementaryTitle, boardsOf(p)),
		Department: w.Department, Reference: w.TechnicalReference, Approver: w.Approver, Creator: w.Creator,
		Type: w.DocumentType, Classification: w.Classification, Status: w.State,
		Units:      map[string]string{"mm": "mm", "inch": "inch", "both": "mm [inch]"}[w.Units],
		Tolerances: "±" + w.measure(w.general(p)) + " unless stated otherwise",
		ThirdAngle: w.Projection == "third_angle" || w.Projection == "" && (strings.HasPrefix(w.Sheet, "ANSI") || w.Sheet == "" && w.Units == "inch"),
	}
	if !env.Released() {
		b.Status = "not for release"
	}
	return b
}

func or(s, usual string) string {
	if strings.TrimSpace(s) == "" {
		return usual
	}
	return s
}

// date gives the date of issue, empty where nobody says it.
func (w *WriteDrawing) date(env *pipeline.Env) string {
	if w.Date != "" {
		return w.Date
	}
	day, _, _ := strings.Cut(env.Date, "T")
	return day
}

// boardsOf lists the boards on the panel with their numbers: "12 × gauge, RG-1042 revision C".
func boardsOf(p panel.Panel) string {
	counts := map[*panel.Board]int{}
	for _, c := range p.Copies() {
		counts[c.Board]++
	}
	var out []string
	for _, b := range p.Boards() {
		if counts[b] == 0 {
			continue
		}
		words := fmt.Sprintf("%d × %s", counts[b], b.Name)
		if id := strings.TrimSpace(b.PartNumber + before(" revision ", b.Revision)); id != "" {
			words += ", " + id
		}
		out = append(out, words)
	}
	return strings.Join(out, "; ")
}

func before(words, s string) string {
	if s == "" {
		return ""
	}
	return words + s
}

// general gives the general tolerance of lengths: by the panel's longer side what a fabricator's table has for routing
// (pcbbaltic.lt, tolerances).
func (w *WriteDrawing) general(p panel.Panel) geom.Length {
	if w.GeneralTolerance != nil {
		return *w.GeneralTolerance
	}
	b := p.Outline().Box()
	switch side := max(b.Width(), b.Height()); {
	case side <= 200*geom.MM:
		return 100 * geom.UM
	case side <= 300*geom.MM:
		return 150 * geom.UM
	case side <= 400*geom.MM:
		return 200 * geom.UM
	}
	return 250 * geom.UM
}

// measure words a length with its unit: "0.15 mm", "0.0059 in", "0.15 mm [0.0059 in]".
func (w *WriteDrawing) measure(l geom.Length) string {
	metric, inch := drawing.Metric.Length(l)+" mm", drawing.Inch.Length(l)+" in"
	switch drawing.Units(w.Units) {
	case drawing.Inch:
		return inch
	case drawing.Both:
		return metric + " [" + inch + "]"
	}
	return metric
}

// stamp gives what every sheet says across its upper edge.
func (w *WriteDrawing) stamp(env *pipeline.Env) (s layout.Stamp) {
	if !env.Released() {
		s.Words = append(s.Words, "NOT FOR RELEASE")
		s.Below = "Findings close the release gate: report/findings.json names them. Do not build from this drawing."
	}
	if w.State == draft {
		s.Words = append(s.Words, "DRAFT")
		if s.Below == "" {
			s.Below = "Not yet released: for review, not to be built from."
		}
	}
	return s
}

// changes gives the table of changes: earlier revisions as the recipe tells them, and this one.
func (w *WriteDrawing) changes(env *pipeline.Env) drawing.Table {
	t := drawing.Table{Name: "Changes"}
	for _, h := range []string{"Revision", "Change order", "Change", "Date", "Approved"} {
		t.Columns = append(t.Columns, drawing.Column{Head: h})
	}
	row := func(words ...string) {
		var r []drawing.Cell
		for _, x := range words {
			r = append(r, drawing.Cell{S: x})
		}
		t.Rows = append(t.Rows, r)
	}
	for _, c := range w.Changes {
		if c.Revision != env.Revision {
			row(c.Revision, c.Order, c.What, c.Date, c.Approver)
		}
	}
	now := Change{Order: w.ChangeOrder, Date: w.date(env), Approver: w.Approver}
	for _, c := range w.Changes {
		if c.Revision == env.Revision {
			now = Change{Order: or(w.ChangeOrder, c.Order), What: c.What, Date: or(c.Date, now.Date), Approver: or(c.Approver, now.Approver)}
		}
	}
	if len(w.Changes) > 0 || w.ChangeOrder != "" {
		row(env.Revision, now.Order, now.What, now.Date, now.Approver)
	}
	return t
}
