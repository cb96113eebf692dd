// Package xout is the x_out block: how many copies of a panel may be bad, by how many it has. Two stages have
// it, bad_board_marks and rules; what either states ends up in one place, panel.XOut.
package xout

import (
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Row says how many copies may be bad of panels of a size.
type Row struct {
	Copies int    `option:"copies" required:"true" range:"1..100000" help:"for panels of up to that many copies; panels of more than any x_out says take that with the most"`
	AtMost int    `option:"at_most" required:"true" range:"0..100000" help:"how many of them may be bad"`
	Source string `option:"source" help:"where the figure comes from"`
}

// UsualPercent is the share of panels where nobody says it: a fabricator's page (lhd-pcb.com); another's says
// less than 10 % (explus.com.tw).
const UsualPercent = 10

// Usual is how many copies may be bad where neither recipe nor standard says it.
func Usual() []Row {
	const source = "a fabricator's page (lhd-pcb.com)"
	return []Row{{4, 0, source}, {10, 1, source}, {20, 2, source}, {30, 3, source}}
}

// Check gives what is wrong with rows, each as a bad option.
func Check(rows []Row) (errs []error) {
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	seen := map[int]bool{}
	for _, x := range rows {
		if x.AtMost > x.Copies {
			bad("x_out at_most", fmt.Sprintf("is more than there are copies, %d", x.Copies))
		}
		if seen[x.Copies] {
			bad("x_out copies", fmt.Sprintf("is %d twice", x.Copies))
		}
		seen[x.Copies] = true
	}
	return errs
}

// For gives what rows say of a panel of so many copies, in percent of the panels. There must be a row.
func For(rows []Row, percent float64, copies int) panel.XOut {
	rows = slices.Clone(rows)
	slices.SortFunc(rows, func(a, b Row) int { return a.Copies - b.Copies })
	found := rows[len(rows)-1]
	for _, x := range rows {
		if copies <= x.Copies {
			found = x
			break
		}
	}
	return panel.XOut{Copies: min(found.AtMost, copies), Panels: panel.Share(geom.FromMM(percent) / 100), Source: found.Source}
}
