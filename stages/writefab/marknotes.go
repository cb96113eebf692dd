package writefab

import (
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/wording"
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
			case x.Use == panel.OnBoard:
				rows = append(rows, fmt.Sprintf("stays on %s: %s,%s", x.Copy, said(x), where))
			case x.Use == panel.Lettering && x.Copy != "":
				if names[f] == nil {
					on = append(on, f)
				}
				names[f] = append(names[f], x)
			case x.Use == panel.Lettering && x.LetterHeight > 0:
				rows = append(rows, fmt.Sprintf("letters %s high: %s,%s", x.LetterHeight.Decimal(), pipeline.Quote(x.Text), where))
			case x.Use == panel.Lettering && strings.HasPrefix(x.Text, "direction of travel"):
				rows = append(rows, "arrow, "+x.Text+","+where)
			case x.Use == panel.Lettering:
				rows = append(rows, said(x)+","+where)
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
	if text := wording.Mask(p); text != "" {
		line("")
		line("Soldermask   %s", text)
	}
}

// said words what a print of a shop's own says: in letters, or as a sign of lines and areas.
func said(x panel.Print) string {
	switch {
	case x.Text == "":
		return "a sign"
	case x.LetterHeight > 0:
		return fmt.Sprintf("letters %s high, %s", x.LetterHeight.Decimal(), pipeline.Quote(x.Text))
	}
	return "a sign that says " + pipeline.Quote(x.Text)
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

// markNotes says what the panel adds to its layers, and what is agreed about bad copies.
func markNotes(p panel.Panel, line func(format string, a ...any)) {
	if text := wording.Thieving(p); text != "" {
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
	marks, agreed := wording.BadBoardMarks(p), wording.XOut(p)
	if marks != "" || agreed != "" {
		line("")
	}
	first := "Bad copies   "
	if marks != "" {
		line("%s%s: %s", first, marks, wording.BlackOut)
		first = "             "
	}
	if agreed != "" {
		line("%s%s", first, agreed)
	}
}
