package writefab

import (
	"fmt"
	"io"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/wording"
)

// notes writes what the files for machines do not say, for the people who build the panel.
func (s *set) notes() error {
	text := s.notesText()
	s.plan("fab/"+s.env.Panel+"-notes.txt", func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
	return nil
}

func (s *set) notesText() string {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	p := s.panel
	box := p.Outline().Box()
	if !s.env.Released() {
		line("NOT FOR RELEASE: findings in report/findings.json close the release gate. Do not build from these files.")
		line("")
	}
	line("Panel %s, revision %s", s.env.Panel, s.env.Revision)
	if s.env.Supplier != "" {
		line("Built for supplier %s, to that supplier's standards", s.env.Supplier)
	}
	line("")
	line("Lengths in millimetres. Origin: lower left corner of the panel's outline, seen from the top.")
	line("")
	line("Panel        %s x %s, %d copper layers, %s thick", box.Width().Decimal(), box.Height().Decimal(), p.CopperCount(), p.Thickness().Decimal())
	seen := map[string]int{}
	var order []*panel.Board
	for _, c := range p.Copies() {
		if seen[c.Board.Name] == 0 {
			order = append(order, c.Board)
		}
		seen[c.Board.Name]++
	}
	for _, x := range order {
		line("Board        %d of %s", seen[x.Name], strings.TrimSpace(x.Name+orNothing(", part number ", x.PartNumber)+orNothing(", revision ", x.Revision)))
		if x.Finish != "" || x.MaskColor != "" {
			line("             %s", strings.TrimPrefix(orNothing(", finish ", x.Finish)+orNothing(", soldermask ", x.MaskColor), ", "))
		}
	}
	if slots := p.Slots(); len(slots) > 0 {
		line("")
		line("Slots        %s, routed, cutter %s wide; their contours stand in %s-profile.gbr and govern what is cut", wording.Count(len(slots), "opening"), diameters(p.Cutters()), s.env.Panel)
	}
	if tabs := p.Tabs(); len(tabs) > 0 {
		line("Tabs         %s%s", wording.Count(len(tabs), "tab"), rowFigures(tabs))
	}
	if holes := p.Perforations(); len(holes) > 0 {
		line("Perforations %s of %s in %s-drill-breakoff.drl and in no other file: non-plated, no copper, no mask opening",
			wording.Count(len(holes), "hole"), holes[0].Diameter.Decimal(), s.env.Panel)
		position, diameter := wording.Tolerances(p.Tabs())
		line("             tolerances unless agreed otherwise: position %s, diameter %s either way", position.Decimal(), diameter.Decimal())
	}
	scoreNotes(line, s.env.Panel, p)
	markNotes(p, line)
	railNotes(p, line)
	line("")
	line("The profile holds every contour that is cut: the panel's outline, slots, the boards' own cut-outs. array-drawing shows where the boards lie; it is")
	line("no cutting data.")
	line("")
	line("Where these notes or files are not what you can or may build, say so before building: your own limits and local rules")
	line("have the last word. Routing, scoring and breaking set free glass-fibre dust and sharp chips.")
	return b.String()
}

// rowFigures gives the rows' worst figures.
func rowFigures(tabs []panel.Tab) string {
	f := wording.Rows(tabs)
	if f.Web == 0 {
		return "; they are cut off along the boards' edges by hand"
	}
	return fmt.Sprintf("; at least %s between holes, %s from the last hole to the slot; what stays on a board after breaking stands out by up to\n"+
		"             %s (%s at worst tolerance): file it off where it must be flush", f.Web.Decimal(), f.Shoulder.Decimal(), f.Stub.Decimal(), f.WorstStub.Decimal())
}

func orNothing(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

// diameters lists the cutters' diameters.
func diameters(cutters []geom.Length) string {
	var out []string
	for _, c := range cutters {
		out = append(out, c.Decimal())
	}
	return strings.Join(out, ", ")
}
