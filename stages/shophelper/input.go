package shophelper

import (
	"encoding/json"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// handed is what a helper is handed, as question describes it.
type handed struct {
	Contract int                        `json:"contract"`
	Helper   string                     `json:"helper"`
	Role     string                     `json:"role"`
	Name     string                     `json:"name"`
	Revision string                     `json:"revision"`
	Supplier string                     `json:"supplier"`
	Date     string                     `json:"date"`
	Settings map[string]json.RawMessage `json:"settings"`
	Outputs  []string                   `json:"outputs"`
	Layers   []string                   `json:"layers"`
	Panel    json.RawMessage            `json:"panel"`
	Findings []foundRow                 `json:"findings"`
	Outlines []outlineRow               `json:"outlines,omitempty"`
	Parts    []partRow                  `json:"parts,omitempty"`
}

type foundRow struct {
	Rule     string            `json:"rule"`
	Severity pipeline.Severity `json:"severity"`
	Message  string            `json:"message"`
	At       *panel.PointData  `json:"at_mm,omitempty"`
	Feature  string            `json:"feature,omitempty"`
	Copies   []string          `json:"copies,omitempty"`
	Stage    string            `json:"stage,omitempty"`
	Measured *float64          `json:"measured,omitempty"`
	Limit    *float64          `json:"limit,omitempty"`
	Unit     string            `json:"unit,omitempty"`
	Source   string            `json:"source,omitempty"`
}

type outlineRow struct {
	Board   string             `json:"board"`
	Outer   []panel.EdgeData   `json:"outer_mm"`
	CutOuts [][]panel.EdgeData `json:"cut_outs_mm,omitempty"`
}

type partRow struct {
	Copy       string           `json:"copy"`
	Refdes     string           `json:"refdes"`
	Side       panel.Side       `json:"side"`
	X          panel.LengthData `json:"x_mm"`
	Y          panel.LengthData `json:"y_mm"`
	Rotation   json.Number      `json:"rotation_deg"`
	Package    string           `json:"package"`
	Value      string           `json:"value"`
	PartNumber string           `json:"part_number"`
}

// input gives what the helper is handed on standard input.
func (h *ShopHelper) input(env *pipeline.Env, in panel.Panel) ([]byte, error) {
	data, err := in.Data(env.Panel, env.Revision)
	if err != nil {
		return nil, err
	}
	x := handed{Contract: pipeline.Contract, Helper: h.Name, Role: h.As, Name: env.Panel, Revision: env.Revision, Supplier: env.Supplier, Date: env.Date,
		Settings: h.settings(), Outputs: append([]string{}, h.Outputs...), Layers: []string{}, Panel: data, Findings: []foundRow{}}
	for _, f := range in.Functions() {
		x.Layers = append(x.Layers, f.Key())
	}
	for _, f := range env.Findings() {
		row := foundRow{Rule: f.Rule, Severity: f.Severity, Message: f.Message, Feature: f.Feature, Copies: f.Copies, Stage: f.Stage,
			Measured: f.Measured, Limit: f.Limit, Unit: f.Unit, Source: f.Source}
		if f.At != nil {
			p := panel.PointDataOf(*f.At)
			row.At = &p
		}
		x.Findings = append(x.Findings, row)
	}
	if slices.Contains(h.With, "outlines") {
		for _, b := range in.Boards() {
			row := outlineRow{Board: b.Name, Outer: panel.PathDataOf(b.Outline.Outer)}
			for _, c := range b.Outline.CutOuts {
				row.CutOuts = append(row.CutOuts, panel.PathDataOf(c))
			}
			x.Outlines = append(x.Outlines, row)
		}
	}
	if slices.Contains(h.With, "parts") {
		x.Parts = partRows(in)
	}
	return json.Marshal(x)
}

// partRows lists the parts of all copies where they lie on the panel.
func partRows(in panel.Panel) []partRow {
	var out []partRow
	for _, c := range in.Copies() {
		if c.Board.PartsElsewhere {
			continue
		}
		for _, p := range c.Board.Parts {
			q := c.Place.Apply(p.At)
			out = append(out, partRow{Copy: c.ID, Refdes: p.Refdes, Side: p.Side, X: panel.LengthData(q.X), Y: panel.LengthData(q.Y),
				Rotation: json.Number((p.Turn + c.Place.Turn).Normal().Decimal()), Package: p.Package, Value: p.Value, PartNumber: p.PartNumber})
		}
	}
	return out
}
