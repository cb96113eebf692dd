package tables

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/detail"
)

// tabKinds is the table of the kinds of tabs that no detail shows; there is none where details show all.
func tabKinds(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Kinds of tabs", Columns: heads("Kind", "Tabs>", "Width, "+unit(s.Units)+">", "In a slot of>", "Holes", "Web>", "Inset>", "Shoulder>", "Stub at worst>")}
	all := p.Tabs()
	for i, k := range detail.TabKinds(p) {
		if i < detail.MostTabKinds {
			continue
		}
		x := all[k.Shown]
		of := func(what string) drawing.Fact { return drawing.Fact{Feature: x.ID, What: what} }
		row := []drawing.Cell{words(strconv.Itoa(i + 1)), words(strconv.Itoa(len(k.Tabs))), words(s.Units.Length(x.Width), of("width")),
			words(s.Units.Length(detail.SlotWidth(x)), of("slot_width"))}
		if k.Row < 0 {
			row = append(row, words("none: cut off by hand"), words(""), words(""), words(""), words(""))
		} else {
			r := x.Rows[k.Row]
			shoulder := r.Shoulder // the least of all that are alike
			stub := r.WorstStub
			for _, n := range k.Tabs {
				for _, y := range all[n].Rows {
					if y.Shoulder > 0 {
						shoulder = min(shoulder, y.Shoulder)
					}
					stub = max(stub, y.WorstStub)
				}
			}
			row = append(row, words(rows(k, s)), words(s.Units.Length(r.Web), of("web")), words(s.Units.Length(r.Inset)),
				words(s.Units.Length(shoulder)), words(s.Units.Length(stub)))
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) > 0 {
		t.Foot = []string{"Web: between hole edges. Inset: how far holes reach over the board's edge, 0 where they touch it from outside. Shoulder: from the last hole to the",
			"slot, the least of all. Stub: how far what stays on a board stands out of its edge after breaking."}
	}
	return t
}

// rows words a tab's rows of holes.
func rows(k detail.TabKind, s drawing.Style) string {
	var out []string
	bare := false
	for _, n := range k.Holes {
		if n == 0 {
			bare = true
			continue
		}
		out = append(out, strconv.Itoa(n))
	}
	text := strings.Join(out, " + ") + " × " + s.Units.Diameter(k.FirstHoles[0].Diameter)
	if bare {
		text += ", other side by hand"
	}
	return text
}

// edge is a line on which tabs stand.
type edge struct {
	kind  int
	along geom.Point // unit vector in millionths, along an axis
	at    geom.Length
}

// tabs is the table of tabs on edges that run along an axis: a row for each line of them, or for several with tabs at
// the same places.
func tabs(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Tabs", Columns: heads("Kind", "On the boards'", "Edges at, "+unit(s.Units), "Middle of each tab, "+unit(s.Units))}
	all := p.Tabs()
	found := map[edge][]int{}
	var order []edge
	for i, k := range detail.TabKinds(p) {
		for _, n := range k.Tabs {
			x := all[n]
			e := edge{kind: i + 1, along: x.Along}
			switch {
			case x.Along.Y == 0:
				e.at = x.Feet[0].Y
			case x.Along.X == 0:
				e.at = x.Feet[0].X
			default:
				continue
			}
			if found[e] == nil {
				order = append(order, e)
			}
			found[e] = append(found[e], n)
		}
	}
	side := func(e edge) int {
		return slices.Index([]string{"lower edges", "upper edges", "left edges", "right edges"}, edgeName(e.along))
	}
	slices.SortStableFunc(order, func(a, b edge) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(side(a), side(b)), cmp.Compare(a.at, b.at))
	})
	most, lines := 10, 6
	if s.Units == drawing.Both {
		most, lines = 5, 3
	}
	// Lines of tabs at the same places share a row.
	type shared struct {
		kind      int
		along     geom.Point
		positions string
	}
	rowOf := map[shared]int{}
	counts := map[int]int{}
	for _, e := range order {
		axis, other := "y", "x"
		if e.along.X == 0 {
			axis, other = "x", "y"
		}
		along := func(n int) geom.Length {
			if axis == "y" {
				return all[n].Feet[0].X
			}
			return all[n].Feet[0].Y
		}
		list := found[e]
		slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(along(a), along(b)) })
		for len(list) > 0 {
			n := min(len(list), most)
			var at []string
			var here, there []drawing.Fact
			for _, k := range list[:n] {
				at = append(at, s.Units.Length(along(k)))
				here = append(here, drawing.Fact{Feature: all[k].ID, What: other})
				there = append(there, drawing.Fact{Feature: all[k].ID, What: axis})
			}
			list = list[n:]
			k := shared{e.kind, e.along, other + " " + strings.Join(at, ", ")}
			if i, ok := rowOf[k]; ok && counts[i] < lines {
				r := t.Rows[i]
				r[2] = words(r[2].S+", "+s.Units.Length(e.at), append(r[2].Of, there...)...)
				r[3].Of = append(r[3].Of, here...)
				counts[i]++
				continue
			}
			rowOf[k] = len(t.Rows)
			counts[len(t.Rows)] = 1
			t.Rows = append(t.Rows, []drawing.Cell{words(strconv.Itoa(e.kind)), words(edgeName(e.along)), words(axis+" "+s.Units.Length(e.at), there...), words(k.positions, here...)})
		}
	}
	return t
}

// edgeName names the boards' edges that run in a direction, counter-clockwise round them.
func edgeName(along geom.Point) string {
	switch {
	case along.Y == 0 && along.X > 0:
		return "lower edges"
	case along.Y == 0:
		return "upper edges"
	case along.Y > 0:
		return "right edges"
	}
	return "left edges"
}

// tabsAside is the table of tabs on edges that run along no axis.
func tabsAside(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Tabs on slanting and round edges", Columns: heads("Tab", "Kind", "X, "+unit(s.Units)+">", "Y, "+unit(s.Units)+">", "Edge runs at>")}
	all := p.Tabs()
	kind := make([]int, len(all))
	for i, k := range detail.TabKinds(p) {
		for _, n := range k.Tabs {
			kind[n] = i + 1
		}
	}
	for n, x := range all {
		if x.Along.X == 0 || x.Along.Y == 0 {
			continue
		}
		of := func(what string) drawing.Fact { return drawing.Fact{Feature: x.ID, What: what} }
		tenth := geom.Angle(geom.MulDiv(int64(degrees(x.Along)), 1, int64(geom.Degree/10))) * (geom.Degree / 10)
		t.Rows = append(t.Rows, []drawing.Cell{words(x.ID), words(strconv.Itoa(kind[n])), words(s.Units.Length(x.Feet[0].X), of("x")),
			words(s.Units.Length(x.Feet[0].Y), of("y")), words(fmt.Sprintf("%s°", tenth.Decimal()), of("along"))})
	}
	return t
}
