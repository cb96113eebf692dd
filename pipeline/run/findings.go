package run

import (
	"encoding/json"

	"panelwright/pipeline"
)

// FindingRow is a finding as every JSON output of the program gives it: its place in millimetres.
type FindingRow struct {
	pipeline.Finding
	At *PlaceRow `json:"at,omitempty"` // stands for Finding.At
}

// PlaceRow is a place on the panel in millimetres, exact to the nanometre.
type PlaceRow struct {
	X json.Number `json:"x"`
	Y json.Number `json:"y"`
}

// FindingRows gives findings for JSON, never nil.
func FindingRows(found []pipeline.Finding) []FindingRow {
	rows := make([]FindingRow, len(found))
	for i, f := range found {
		rows[i].Finding = f
		if f.At != nil {
			rows[i].At = &PlaceRow{json.Number(f.At.X.Decimal()), json.Number(f.At.Y.Decimal())}
		}
	}
	return rows
}
