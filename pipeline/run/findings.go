package run

import (
	"cmp"
	"encoding/json"
	"slices"

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

// FindingTotal counts the findings of one family, or of one rule.
type FindingTotal struct {
	Rule   string          `json:"rule,omitempty"`
	Family pipeline.Family `json:"family"`
	FindingCounts
}

func byFamily(f pipeline.Finding) FindingTotal { return FindingTotal{Family: f.Family} }
func byRule(f pipeline.Finding) FindingTotal   { return FindingTotal{Rule: f.Rule, Family: f.Family} }

// totals counts findings by what key leaves of them, sorted by family and rule. It is never nil.
func totals(found []pipeline.Finding, key func(pipeline.Finding) FindingTotal) []FindingTotal {
	all := []FindingTotal{}
	at := map[FindingTotal]int{}
	for _, f := range found {
		k := key(f)
		i, ok := at[k]
		if !ok {
			i = len(all)
			at[k] = i
			all = append(all, k)
		}
		all[i].add(f)
	}
	slices.SortFunc(all, func(a, b FindingTotal) int {
		return cmp.Or(cmp.Compare(a.Family, b.Family), cmp.Compare(a.Rule, b.Rule))
	})
	return all
}
