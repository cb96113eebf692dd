package writefab

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/waste"
)

// railNotes says what is printed beside the boards for people and machines to read, and whether mask lies there.
func railNotes(p panel.Panel, line func(format string, a ...any)) {
	var rows []string
	names := map[panel.Function][]panel.Print{} // of copies, beside their marks
	var on []panel.Function
	for _, x := range p.Prints() {
		for _, f := range x.Layers {
			where := " " + madeOf(f) + " on the " + string(f.Side) + place(x.Area)
			switch {
			case x.Use == panel.Lettering && x.Copy != "":
				if names[f] == nil {
					on = append(on, f)
				}
				names[f] = append(names[f], x)
			case x.Use == panel.Lettering && x.LetterHeight > 0:
				rows = append(rows, fmt.Sprintf("letters %s high: %s,%s", x.LetterHeight.Decimal(), pipeline.Quote(x.Text), where))
			case x.Use == panel.Lettering:
				rows = append(rows, "arrow, "+x.Text+","+where)
			case x.Use == panel.Code:
				rows = append(rows, fmt.Sprintf("%s that says %s, squares of %s,%s", symbologies[x.Symbology], pipeline.Quote(x.Text), x.Square.Decimal(), where))
			case x.Use == panel.LabelArea:
				frame := "with a frame" + where
				if len(x.Lines) == 0 { // nothing is drawn, and so of nothing made
					frame = "without a frame on the " + string(f.Side) + place(x.Area)
				}
				rows = append(rows, "room "+x.Text+" "+frame)
			}
		}
	}
	for _, f := range on {
		rows = append(rows, fmt.Sprintf("letters %s high: the names of %s beside their bad-board marks, %s on the %s",
			names[f][0].LetterHeight.Decimal(), copiesOf(len(names[f])), madeOf(f), f.Side))
	}
	if len(rows) > 0 {
		line("")
	}
	for i, r := range rows {
		first := "             "
		if i == 0 {
			first = "Printed      "
		}
		line("%s%s", first, r)
	}
	if text := maskNote(p); text != "" {
		line("")
		line("Soldermask   %s", text)
	}
}

func copiesOf(n int) string {
	if n == 1 {
		return "1 copy"
	}
	return fmt.Sprintf("%d copies", n)
}

// symbologies are the names of codes as their standards have them.
var symbologies = map[string]string{"": "code", "data_matrix": "Data Matrix", "qr": "QR code"}

func madeOf(f panel.Function) string {
	if f.Kind == panel.Copper {
		return "in copper"
	}
	return "in legend"
}

func place(b geom.Box) string {
	return fmt.Sprintf(", takes up %s x %s from (%s, %s)", b.Width().Decimal(), b.Height().Decimal(), b.Min.X.Decimal(), b.Min.Y.Decimal())
}

// maskNote says on which sides mask lies over the rails; empty where there are no rails or no mask.
func maskNote(p panel.Panel) string {
	if len(p.Rails()) == 0 {
		return ""
	}
	var masked, opened []string
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		if !waste.Masked(p, side) {
			continue
		}
		masked = append(masked, string(side))
		if slices.ContainsFunc(p.Prints(), func(x panel.Print) bool {
			return bares(p, x) && x.On(panel.Function{Kind: panel.Soldermask, Side: side})
		}) {
			opened = append(opened, string(side))
		}
	}
	switch {
	case len(masked) == 0:
		return ""
	case len(opened) == 0:
		return "covers the rails on " + strings.Join(masked, " and ") + ", but for the openings drawn"
	}
	return "is left out over the thieved waste on " + strings.Join(opened, " and ") + "; it covers the rails elsewhere, but for the openings drawn"
}

// bares tells that a print opens the mask over thieving.
func bares(p panel.Panel, x panel.Print) bool {
	return x.Use == panel.RailMask && slices.ContainsFunc(p.Prints(), func(o panel.Print) bool { return o.Use == panel.Thieving && x.Area.Holds(o.Area) })
}

// markNotes says what the panel adds to its layers, and what is agreed about bad copies.
func markNotes(p panel.Panel, line func(format string, a ...any)) {
	if text := thievingNote(p); text != "" {
		line("")
		line("Thieving     %s", text)
		if shares := p.CopperShares(); len(shares) > 0 {
			line("             copper in per cent of the panel's area:")
			line("             %-18s %9s %9s", "layer", "before", "after")
			for _, s := range shares {
				line("             %-18s %9s %9s", s.Layer.Key(), s.Before.Percent(), s.After.Percent())
			}
		}
	}
	marks := badBoardMarks(p)
	x, agreed := p.XOut()
	if len(marks) > 0 || agreed {
		line("")
	}
	if len(marks) > 0 {
		line("Bad copies   %s: where a copy is bad, black its mark out and strike the copy itself through", marks)
	}
	if !agreed {
		return
	}
	copies := len(p.Copies())
	first := "             "
	if len(marks) == 0 {
		first = "Bad copies   "
	}
	if x.Copies == 0 || x.Panels == 0 {
		line("%sX-out: none of the %d copies of a panel may be bad, unless agreed otherwise%s", first, copies, from(x.Source))
		return
	}
	line("%sX-out: at most %d of the %d copies of a panel may be bad, in at most %s of the panels delivered, unless agreed otherwise%s",
		first, x.Copies, copies, x.Panels.Percent(), from(x.Source))
}

func from(s string) string {
	if s == "" {
		return ""
	}
	return "; " + s
}

// thievingNote counts what is filled; empty where nothing is.
func thievingNote(p panel.Panel) string {
	dots, lines := 0, 0
	open := false
	var layers []string
	for _, x := range p.Prints() {
		open = open || bares(p, x)
		if x.Use != panel.Thieving {
			continue
		}
		dots, lines = dots+len(x.Dots), lines+len(x.Lines)
		for _, f := range x.Layers {
			if !slices.Contains(layers, f.Key()) {
				layers = append(layers, f.Key())
			}
		}
	}
	text := ""
	switch {
	case dots+lines == 0:
		return ""
	case lines == 0:
		text = count(dots, "dot")
	case dots == 0:
		text = count(lines, "line")
	default:
		text = count(dots, "dot") + " and " + count(lines, "line")
	}
	mask := "below soldermask"
	if open {
		mask = "with the soldermask left out over it"
	}
	return fmt.Sprintf("%s of copper on the waste, on %s, %s", text, count(len(layers), "copper layer"), mask)
}

// badBoardMarks says what the bad-board marks are; empty where there are none.
func badBoardMarks(p panel.Panel) string {
	var of []string
	copper := false
	for _, x := range p.Prints() {
		if x.Use != panel.BadBoard || len(x.Dots) == 0 || x.Layers[0].Kind == panel.Soldermask {
			continue
		}
		copper = copper || x.Layers[0].Kind == panel.Copper
		if !slices.Contains(of, x.Copy) {
			of = append(of, x.Copy)
		}
	}
	switch {
	case len(of) == 0:
		return ""
	case copper:
		return count(len(of), "bad-board mark") + ", one for each copy, copper dots in mask openings"
	}
	return count(len(of), "bad-board mark") + ", one for each copy, dots of legend"
}
