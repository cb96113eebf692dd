package panel

import (
	"encoding/json"
	"fmt"

	"panelwright/pipeline/geom"
)

// Plan is what Data says of a panel by itself, without the boards' own files: where copies lie, and what the panel
// is cut and broken by.
type Plan struct {
	Name, Revision string
	CopperCount    int
	Outline        geom.Outline
	Copies         []PlanCopy
	Rails          []Rail
	Marks          []Mark
	Slots          []Slot
	Tabs           []Tab
	Perforations   []Perforation
	Scores         []Score
}

// PlanCopy is one copy of a board, by the box round it.
type PlanCopy struct {
	ID, Board string
	Place     geom.Transform
	Box       geom.Box
}

// ReadPlan reads what Data wrote, as far as a Plan holds it; what else stands there, whatever wrote it, is passed
// over. Errors are of text that Data does not write.
func ReadPlan(text []byte) (*Plan, error) {
	var doc document
	if err := json.Unmarshal(text, &doc); err != nil {
		return nil, err
	}
	if doc.Schema != DataSchema {
		return nil, fmt.Errorf("its schema is %d, and this program reads schema %d", doc.Schema, DataSchema)
	}
	r := &reader{boards: map[string]*Board{}}
	p := &Plan{Name: doc.Panel, Revision: doc.Revision, CopperCount: doc.CopperLayers, Outline: r.outline("the panel", doc.Outline, doc.CutOuts)}
	for _, x := range doc.Copies {
		p.Copies = append(p.Copies, PlanCopy{x.ID, x.Board, x.place(), geom.Box{Min: x.Box[0].point(), Max: x.Box[1].point()}})
	}
	for _, x := range doc.Rails {
		p.Rails = append(p.Rails, x.rail())
	}
	for _, x := range doc.Marks {
		p.Marks = append(p.Marks, x.mark())
	}
	for _, x := range doc.Slots {
		p.Slots = append(p.Slots, Slot{ID: x.ID, Outline: r.outline(x.ID, x.Outer, x.CutOuts)})
	}
	for _, x := range doc.Tabs {
		p.Tabs = append(p.Tabs, r.tab(x))
	}
	for _, x := range doc.Perforations {
		p.Perforations = append(p.Perforations, x.perforation())
	}
	for _, x := range doc.Scores {
		p.Scores = append(p.Scores, x.score())
	}
	if r.err == nil && len(p.Outline.Outer) == 0 {
		r.fail("it holds no outline")
	}
	return p, r.err
}
