package board

import (
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/board/intake"
)

// rule says a drill block in the reader's words.
func (d Drill) rule() intake.DrillRule {
	r := intake.DrillRule{Files: d.Files}
	switch d.Plating {
	case "plated":
		r.Plating = artwork.Plated
	case "nonplated":
		r.Plating = artwork.NonPlated
	}
	if d.From != nil && d.To != nil {
		r.From, r.To = *d.From, *d.To
	}
	switch d.Unit {
	case "mm":
		r.Format.Unit = xnc.Millimetre
	case "in", "inch":
		r.Format.Unit = xnc.Inch
	}
	switch d.Zeros {
	case "leading":
		r.Format.Zeros = xnc.LeadingKept
	case "trailing":
		r.Format.Zeros = xnc.TrailingKept
	}
	if len(d.Digits) == 2 {
		r.Format.Integer, r.Format.Decimals = d.Digits[0], d.Digits[1]
	}
	r.Format.Override, r.ToolList = d.Override, d.ToolList
	if d.MostHoles != nil {
		r.Format.MaxHoles, r.Format.MaxEdges = *d.MostHoles, *d.MostHoles
	}
	return r
}
