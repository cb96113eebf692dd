// Package tables has the drawing's tables: boards, copies, layers, holes and slots by tool, score lines, tabs.
package tables

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/writedrawing/detail"
	"panelwright/stages/writedrawing/tools"
)

// Settings are what tables state beyond the panel.
type Settings struct {
	Panel string // name with which files begin; empty: they are named without it
	// Plated and NonPlated are the tolerances of finished diameters and slot widths, either way, where the panel does not say
	// them.
	Plated, NonPlated geom.Length
}

// Usual are the usual tolerances.
func Usual() Settings {
	return Settings{
		Plated:    100 * geom.UM, // common practice, no published source
		NonPlated: 76 * geom.UM,  // 3 mil: common practice, no published source
	}
}

// All gives the tables with usual tolerances.
func All(ctx context.Context, p panel.Panel, s drawing.Style) []drawing.Table {
	return Usual().All(ctx, p, s)
}

// All gives the tables that the panel has anything for.
func (x Settings) All(ctx context.Context, p panel.Panel, s drawing.Style) []drawing.Table {
	all := []drawing.Table{x.holes(p, s), boards(p, s), copies(p, s), x.layers(p)}
	all = append(all, scores(p, s), tabKinds(p, s), tabs(p, s), tabsAside(p, s))
	var out []drawing.Table
	for _, t := range all {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// words makes a cell.
func words(s string, of ...drawing.Fact) drawing.Cell { return drawing.Cell{S: s, Of: of} }

// heads makes columns; a head that ends in > has its cells at the right.
func heads(names ...string) (out []drawing.Column) {
	for _, n := range names {
		c := drawing.Column{Head: strings.TrimSuffix(n, ">"), Align: drawing.Start}
		if c.Head != n {
			c.Align = drawing.End
		}
		out = append(out, c)
	}
	return out
}

// unit is the word for lengths in heads: "mm", "in", "mm [in]".
func unit(u drawing.Units) string {
	switch u {
	case drawing.Inch:
		return "in"
	case drawing.Both:
		return "mm [in]"
	}
	return "mm"
}

// holes is the table of tools.
func (x Settings) holes(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Holes and slots",
		Columns: heads("Symbol", "Finished size, "+unit(s.Units), "Tolerance", "Plated", "Layers", "For", "Count>"),
		Foot:    []string{"Counts are of the whole panel. Sizes are finished ones."}}
	detailed := perforationsInDetails(p)
	repeats, closes := false, false
	for _, h := range tools.List(p) {
		var of []drawing.Fact
		within := x.NonPlated
		switch {
		case h.Use == tools.Tooling:
			of = []drawing.Fact{{Feature: h.First, What: "diameter"}}
		case h.Use == tools.Perforation:
			of = []drawing.Fact{{Feature: h.First, What: "hole_diameter"}}
		case h.Plated:
			within = x.Plated
		}
		if h.Tolerance > 0 {
			within = h.Tolerance
		}
		plated := "no"
		if h.Plated {
			plated = "yes"
		}
		finished, tolerance := words(size(h, s.Units), of...), words(s.Units.Within(within))
		if h.Use == tools.Perforation && slices.Contains(detailed, h.Diameter) {
			finished = repeated(finished)
			if h.Tolerance > 0 {
				tolerance = repeated(tolerance)
			}
			repeats = true
		} else if h.Plated && within >= h.Diameter {
			// No hole is smaller than none: such a via may be plated shut (common practice, no published source).
			tolerance, closes = words("+"+s.Units.Length(within)+" / −"+s.Units.Length(h.Diameter)), true
		}
		symbol := h.Symbol.Cell()
		if h.Drawn() {
			symbol = words("as drawn")
		}
		t.Rows = append(t.Rows, []drawing.Cell{symbol, finished, tolerance, words(plated), words(span(h.From, h.To)), words(string(h.Use)), words(strconv.Itoa(h.Count))})
	}
	if closes {
		t.Foot = append(t.Foot, "A tolerance down to the whole size: the hole may be plated shut.")
	}
	if repeats {
		t.Foot = append(t.Foot, "In brackets: stated in the details.")
	}
	return t
}

// repeated puts a cell in brackets: what it states is stated elsewhere, and stands here to be read only, as an auxiliary
// dimension does (ISO 129-1).
func repeated(c drawing.Cell) drawing.Cell {
	c.S = "(" + c.S + ")"
	return c
}

// perforationsInDetails are the diameters of perforations that details state.
func perforationsInDetails(p panel.Panel) (out []geom.Length) {
	kinds := detail.TabKinds(p)
	for _, k := range kinds[:min(len(kinds), detail.MostTabKinds)] {
		if k.Row >= 0 {
			out = append(out, k.FirstHoles[0].Diameter)
		}
	}
	return out
}

// size words a tool's diameter, or a slot's width and length.
func size(h tools.Tool, u drawing.Units) string {
	switch {
	case h.Use != tools.BoardSlot:
		return u.Diameter(h.Diameter)
	case h.Least == 0:
		return u.Length(h.Diameter) + " wide"
	case h.Least == h.Most:
		return u.Length(h.Diameter) + " × " + u.Length(h.Least)
	}
	return u.Length(h.Diameter) + " × " + u.Length(h.Least) + " to " + u.Length(h.Most)
}

func span(from, to int) string {
	if from == to {
		return strconv.Itoa(from)
	}
	return fmt.Sprintf("%d–%d", from, to)
}

// boards is the table of placed boards.
func boards(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Boards", Columns: heads("Board", "Part number", "Revision", "Size, "+unit(s.Units), "Copies>", "Thickness", "Copper layers>", "Finish", "Soldermask")}
	count := map[*panel.Board]int{}
	for _, c := range p.Copies() {
		count[c.Board]++
	}
	repeats := false
	for _, b := range p.Boards() {
		if count[b] == 0 {
			continue
		}
		id := "boards." + b.Name
		box := b.Outline.Box()
		thick := s.Units.Length(b.Thickness)
		if b.ThicknessAssumed {
			thick += " (assumed)"
		}
		thickness := words(thick, drawing.Fact{Feature: id, What: "thickness"})
		if b.Thickness == p.Thickness() {
			thickness, repeats = repeated(thickness), true
		}
		t.Rows = append(t.Rows, []drawing.Cell{words(b.Name), words(b.PartNumber), words(b.Revision),
			words(s.Units.Length(box.Width())+" × "+s.Units.Length(box.Height()), drawing.Fact{Feature: id, What: "width"}, drawing.Fact{Feature: id, What: "height"}),
			words(strconv.Itoa(count[b])), thickness, words(strconv.Itoa(b.CopperCount)),
			words(unsaid(b.Finish)), words(unsaid(b.MaskColor))})
	}
	if repeats {
		t.Foot = append(t.Foot, "In brackets: the panel's, stated in the notes.")
	}
	return t
}

// unsaid words what nobody says.
func unsaid(s string) string {
	if s == "" {
		return "not stated"
	}
	return s
}

// layers is the table of the files for layers, contours and holes.
func (x Settings) layers(p panel.Panel) drawing.Table {
	t := drawing.Table{Name: "Layers", Columns: heads("Layer", "File", "Side", "Polarity", "From")}
	name := func(key string) string {
		if x.Panel == "" {
			return key
		}
		return x.Panel + "-" + key
	}
	var placed []*panel.Board
	seen := map[*panel.Board]bool{}
	for _, c := range p.Copies() {
		if !seen[c.Board] {
			seen[c.Board] = true
			placed = append(placed, c.Board)
		}
	}
	row := func(layer, file, side, polarity, from string) {
		t.Rows = append(t.Rows, []drawing.Cell{words(layer), words(name(file)), words(side), words(polarity), words(from)})
	}
	for _, f := range p.Functions() {
		var of []string
		for _, b := range placed {
			if b.Layer(f) != nil {
				of = append(of, b.Name)
			}
		}
		from := strings.Join(of, ", ")
		switch {
		case len(of) == 0:
			from = "panel only"
		case len(of) == len(placed) && len(of) > 1:
			from = "all boards"
		}
		polarity := "positive"
		if f.Kind == panel.Soldermask {
			polarity = "negative: openings"
		}
		row(layerName(f), f.Key()+".gbr", string(f.Side), polarity, from)
	}
	row("Contours of all that is cut", "profile.gbr", "", "positive", "panel")
	if len(p.Scores()) > 0 {
		row("Score lines", "score.gbr", "both", "positive", "panel")
	}
	last := ""
	for _, h := range tools.List(p) {
		file := panel.DrillFile{Plating: artwork.NonPlated, From: h.From, To: h.To}
		what, key, from := "Holes, non-plated", "drill-"+file.Key(), "boards, panel"
		if h.Plated {
			file.Plating = artwork.Plated
			what, key, from = "Holes, plated", "drill-"+file.Key(), "boards"
		}
		if h.Use == tools.Perforation {
			what, key, from = "Perforations of tabs", "drill-breakoff", "panel"
		}
		if key != last && !has(t, name(key+".drl")) {
			row(what+", layers "+span(h.From, h.To), key+".drl", "", "", from)
		}
		last = key
	}
	return t
}

func has(t drawing.Table, file string) bool {
	for _, r := range t.Rows {
		if r[1].S == file {
			return true
		}
	}
	return false
}

// layerName words a layer's function.
func layerName(f panel.Function) string {
	switch f.Kind {
	case panel.Copper:
		if f.Type != "" {
			return fmt.Sprintf("Copper %d, %s", f.Index, strings.ToLower(f.Type))
		}
		return fmt.Sprintf("Copper %d", f.Index)
	case panel.Soldermask:
		return "Soldermask"
	case panel.Carbon:
		return "Carbon"
	case panel.Peelable:
		return "Peelable mask"
	}
	s := string(f.Kind)
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
