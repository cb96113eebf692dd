package writereport

import (
	"cmp"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// fact is one figure of a panel. Facts without a value are left out.
type fact struct{ Label, Value string }

// table is a list of things with the same figures.
type table struct {
	ID, Title string
	Columns   []string
	Rows      [][]string
	Open      bool // shown at once, not when it is asked for
	Words     bool // rows begin with words, not with a name as files have it
}

func facts(list ...fact) []fact {
	return slices.DeleteFunc(list, func(f fact) bool { return f.Value == "" })
}

func many(n int, one, many string) string {
	if n == 0 {
		return ""
	}
	return count(n, one, many)
}

// perBoard counts copies by board: "12 of gauge".
func perBoard(p panel.Panel) string {
	n := map[string]int{}
	for _, c := range p.Copies() {
		n[c.Board.Name]++
	}
	var parts []string
	for _, b := range p.Boards() {
		if n[b.Name] > 0 {
			parts = append(parts, itoa(n[b.Name])+" of "+b.Name)
		}
	}
	return listed(parts)
}

// placed gives the boards that have copies.
func placed(p panel.Panel) []*panel.Board {
	var out []*panel.Board
	for _, c := range p.Copies() {
		if !slices.Contains(out, c.Board) {
			out = append(out, c.Board)
		}
	}
	return out
}

// same joins what boards say, once where they agree.
func same(list []*panel.Board, say func(*panel.Board) string) string {
	var out []string
	for _, b := range list {
		if s := say(b); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return listed(out)
}

func asCutFacts(p panel.Panel) []fact {
	boards := placed(p)
	var foils []string
	if len(boards) > 0 {
		for _, f := range boards[0].Foils {
			foils = append(foils, f.String())
		}
	}
	var cutters []string
	for _, c := range p.Cutters() {
		cutters = append(cutters, c.String())
	}
	xOut := ""
	if x, ok := p.XOut(); ok {
		xOut = "none"
		if x.Copies > 0 && x.Panels > 0 {
			xOut = "at most " + count(x.Copies, "copy", "copies") + " of a panel, in at most " + x.Panels.Percent() + " of the panels"
		}
	}
	return facts(
		fact{"size", p.SizeText()},
		fact{"thickness", same(boards, func(b *panel.Board) string {
			if b.ThicknessAssumed {
				return b.Thickness.String() + " (assumed)"
			}
			return b.Thickness.String()
		})},
		fact{"copies", perBoard(p)},
		fact{"copper layers", same(boards, func(b *panel.Board) string { return itoa(b.CopperCount) })},
		fact{"copper foils, from the top", listed(foils)},
		fact{"finish", same(boards, func(b *panel.Board) string { return b.Finish })},
		fact{"mask colour", same(boards, func(b *panel.Board) string { return b.MaskColor })},
		fact{"slots", many(len(p.Slots()), "opening", "openings")},
		fact{"cutters", listed(cutters)},
		fact{"tabs", many(len(p.Tabs()), "tab", "tabs")},
		fact{"perforations", many(len(p.Perforations()), "hole", "holes")},
		fact{"score lines", many(len(p.Scores()), "line", "lines")},
		fact{"out of reach of every cutter", many(len(p.Unreached()), "corner", "corners")},
		fact{"bad copies agreed", xOut},
	)
}

// bore is one kind of hole of the panel.
type bore struct {
	what     string
	plated   bool
	from, to int
	diameter geom.Length
}

// holesTable counts the holes of the whole panel by kind, the smallest first.
func holesTable(p panel.Panel) table {
	n := map[bore]int{}
	copies := map[*panel.Board]int{}
	for _, c := range p.Copies() {
		copies[c.Board]++
	}
	for _, b := range p.Boards() {
		for _, d := range b.Drills {
			for _, h := range d.Drilling.Holes {
				n[bore{"hole of a board", d.Plating == artwork.Plated, d.From, d.To, d.Drilling.Tools[h.Tool].Diameter}] += copies[b]
			}
			for _, r := range d.Drilling.Routs {
				n[bore{"slot of a board, width", d.Plating == artwork.Plated, d.From, d.To, d.Drilling.Tools[r.Tool].Diameter}] += copies[b]
			}
		}
	}
	through := max(p.CopperCount(), 1)
	for _, m := range p.Marks() {
		if m.Kind == panel.ToolingHole {
			n[bore{"tooling hole", false, 1, through, m.Diameter}]++
		}
	}
	for _, h := range p.Perforations() {
		n[bore{"perforation", false, 1, through, h.Diameter}]++
	}
	var kinds []bore
	for k, c := range n {
		if c > 0 {
			kinds = append(kinds, k)
		}
	}
	slices.SortFunc(kinds, func(a, b bore) int {
		return cmp.Or(cmp.Compare(a.what, b.what), cmp.Compare(a.diameter, b.diameter), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to), cmp.Compare(word(a.plated), word(b.plated)))
	})
	t := table{ID: "holes", Title: "Holes of the panel", Columns: []string{"what", "finished diameter", "wall", "layers", "count"}}
	for _, k := range kinds {
		t.Rows = append(t.Rows, []string{k.what, k.diameter.String(), word(k.plated), itoa(k.from) + " to " + itoa(k.to), itoa(n[k])})
	}
	return t
}

func word(plated bool) string {
	if plated {
		return "plated"
	}
	return "not plated"
}

func boardsTable(p panel.Panel) table {
	t := table{ID: "boards", Title: "Boards", Columns: []string{"board", "part number", "revision", "size", "thickness", "copper layers", "copies"}, Open: true}
	n := map[*panel.Board]int{}
	for _, c := range p.Copies() {
		n[c.Board]++
	}
	for _, b := range p.Boards() {
		box := b.Outline.Box()
		t.Rows = append(t.Rows, []string{b.Name, b.PartNumber, b.Revision, box.Width().Decimal() + " x " + box.Height().String(), b.Thickness.String(), itoa(b.CopperCount), itoa(n[b])})
	}
	return t
}

// layersTable says which layers each board brings.
func layersTable(p panel.Panel) table {
	t := table{ID: "layers", Title: "Layers", Columns: []string{"board", "layer", "from the file"}}
	for _, b := range placed(p) {
		for _, l := range b.Layers {
			t.Rows = append(t.Rows, []string{b.Name, l.Function.Key(), l.Source})
		}
		for _, d := range b.Drills {
			t.Rows = append(t.Rows, []string{b.Name, "holes " + d.Key(), d.Source})
		}
	}
	return t
}

// sharesTable says how much of the panel copper covers.
func sharesTable(p panel.Panel) table {
	t := table{ID: "shares", Title: "Share of copper", Columns: []string{"layer", "of boards and marks", "with thieving"}}
	for _, s := range p.CopperShares() {
		t.Rows = append(t.Rows, []string{s.Layer.Key(), s.Before.Percent(), s.After.Percent()})
	}
	return t
}

func scoresTable(p panel.Panel) table {
	t := table{ID: "scores", Title: "Score lines", Columns: []string{"line", "from", "to", "remaining web", "depth each side", "included angle", "laminate left"}}
	for _, s := range p.Scores() {
		t.Rows = append(t.Rows, []string{s.ID, s.From.String() + " mm", s.To.String() + " mm", s.RemainingWeb.String() + tolerance(s.WebTolerance), s.Depth.String(), s.IncludedAngle.String(), s.Leave.String()})
	}
	return t
}

func tolerance(l geom.Length) string {
	if l == 0 {
		return ""
	}
	return " ± " + l.String()
}

func onTheLineFacts(p panel.Panel) []fact {
	var widths []string
	for _, r := range p.Rails() {
		widths = append(widths, string(r.Side)+" "+r.Width().String())
	}
	top, bottom, unsized := 0, 0, 0
	var tallest geom.Length
	for _, c := range p.Copies() {
		for _, x := range c.Board.Parts {
			if c.Board.PartsElsewhere {
				continue
			}
			if x.Side == panel.Bottom {
				bottom++
			} else {
				top++
			}
			if !x.Body.Sized() {
				unsized++
			}
			tallest = max(tallest, x.Body.Height)
		}
	}
	fiducials, tooling, bad := 0, 0, 0
	for _, m := range p.Marks() {
		if m.Kind == panel.Fiducial {
			fiducials++
		} else {
			tooling++
		}
	}
	for _, x := range p.Prints() {
		if x.Use == panel.BadBoard {
			bad++
		}
	}
	tall := ""
	if tallest > 0 {
		tall = tallest.String()
	}
	return facts(
		fact{"rails", listed(widths)},
		fact{"fiducials", many(fiducials, "mark", "marks")},
		fact{"tooling holes", many(tooling, "hole", "holes")},
		fact{"bad-board marks", many(bad, "mark", "marks")},
		fact{"parts on the top", many(top, "part", "parts")},
		fact{"parts on the bottom", many(bottom, "part", "parts")},
		fact{"parts of unknown size", many(unsized, "part, drawn as a cross", "parts, drawn as crosses")},
		fact{"tallest part known", tall},
	)
}

func marksTable(p panel.Panel) table {
	t := table{ID: "marks", Title: "Marks", Columns: []string{"mark", "place", "diameter", "mask opening", "kept clear", "sides"}}
	for _, m := range p.Marks() {
		var sides []string
		for _, s := range m.Sides {
			sides = append(sides, string(s))
		}
		mask, clear := "", ""
		if m.Kind == panel.Fiducial {
			mask, clear = m.Mask.String(), m.Clear.String()
		}
		t.Rows = append(t.Rows, []string{m.ID, m.At.String() + " mm", m.Diameter.String(), mask, clear, listed(sides)})
	}
	return t
}

func copiesTable(p panel.Panel) table {
	t := table{ID: "copies", Title: "Copies", Columns: []string{"copy", "board", "origin", "turned, counter-clockwise", "parts"}}
	for _, c := range p.Copies() {
		parts := itoa(len(c.Board.Parts))
		if c.Board.PartsElsewhere {
			parts = "not placed"
		}
		t.Rows = append(t.Rows, []string{c.ID, c.Board.Name, c.Place.Shift.String() + " mm", c.Place.Turn.Normal().String(), parts})
	}
	return t
}

func printsTable(p panel.Panel) table {
	t := table{ID: "prints", Title: "Printed on the panel", Columns: []string{"print", "what for", "says", "layers", "from", "to"}}
	for _, x := range p.Prints() {
		if x.Use == panel.Thieving {
			continue
		}
		var layers []string
		for _, l := range x.Layers {
			layers = append(layers, l.Key())
		}
		t.Rows = append(t.Rows, []string{x.ID, strings.ReplaceAll(string(x.Use), "_", " "), x.Text, listed(layers), x.Area.Min.String(), x.Area.Max.String() + " mm"})
	}
	return t
}

func atBreakOffFacts(p panel.Panel) []fact {
	var widths, webs, worst, shoulders, stubs, worstStubs, remaining []geom.Length
	rows := 0
	for _, t := range p.Tabs() {
		widths = append(widths, t.Width)
		for _, r := range t.Rows {
			rows++
			webs, worst = append(webs, r.Web), append(worst, r.WorstWeb)
			shoulders = append(shoulders, r.Shoulder)
			stubs, worstStubs = append(stubs, r.Stub), append(worstStubs, r.WorstStub)
		}
	}
	var holes []geom.Length
	for _, h := range p.Perforations() {
		holes = append(holes, h.Diameter)
	}
	for _, s := range p.Scores() {
		remaining = append(remaining, s.RemainingWeb)
	}
	fragile := 0
	for _, c := range p.Copies() {
		for _, x := range c.Board.Parts {
			if x.Body.Fragile && !c.Board.PartsElsewhere {
				fragile++
			}
		}
	}
	return facts(
		fact{"tabs", many(len(p.Tabs()), "tab", "tabs")},
		fact{"tab width at the waist", span(widths)},
		fact{"rows of perforations", many(rows, "row", "rows")},
		fact{"perforation diameter", span(holes)},
		fact{"web between holes", span(webs)},
		fact{"web at worst", span(worst)},
		fact{"web at the ends of rows", span(shoulders)},
		fact{"stub that stays on the board", span(stubs)},
		fact{"stub at worst", span(worstStubs)},
		fact{"score lines", many(len(p.Scores()), "line", "lines")},
		fact{"web that remains at score lines", span(remaining)},
		fact{"fragile parts", many(fragile, "part", "parts")},
	)
}

func tabsTable(p panel.Panel) table {
	t := table{ID: "tabs", Title: "Tabs", Columns: []string{"tab", "holds", "to", "width", "rows", "web", "web at worst", "stub", "stub at worst", "inset"}}
	for _, x := range p.Tabs() {
		to := x.Rail
		if to == "" && len(x.Copies) > 1 {
			to = listed(x.Copies[1:])
		}
		var web, worst, stub, worstStub, inset []geom.Length
		for _, r := range x.Rows {
			web, worst, stub, worstStub, inset = append(web, r.Web), append(worst, r.WorstWeb), append(stub, r.Stub), append(worstStub, r.WorstStub), append(inset, r.Inset)
		}
		id := x.ID
		if x.Pinned {
			id += " (pinned)"
		}
		t.Rows = append(t.Rows, []string{id, listed(x.Copies[:min(1, len(x.Copies))]), to, x.Width.String(), itoa(len(x.Rows)), span(web), span(worst), span(stub), span(worstStub), span(inset)})
	}
	return t
}
