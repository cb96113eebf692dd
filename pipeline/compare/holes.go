package compare

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// bore is a hole, or a slot by its ends, where it is told from: its copy's board, or the panel.
type bore struct {
	diameter geom.Length
	from, to geom.Point
	edges    int        // of a slot
	on       geom.Point // on the panel
}

// drillKey gives what a drill file is for.
func drillKey(f *file) (string, bool) {
	rest, ok := strings.CutPrefix(f.plain, "fab/*-drill-")
	if !ok {
		return "", false
	}
	return strings.CutSuffix(rest, ".drl")
}

// holes compares the drill files.
func (c *comparison) holes(ctx context.Context) error {
	for i := range c.new.files {
		n := &c.new.files[i]
		key, ok := drillKey(n)
		o := c.old.byPlain[n.plain]
		if !ok || o == nil || o.sum == n.sum {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := c.drill(key, o, n); err != nil {
			return err
		}
	}
	return nil
}

func (c *comparison) drill(key string, o, n *file) error {
	c.told[n.plain] = HolesGroup
	read := func(b *build, f *file) (*artwork.Drilling, bool, error) {
		text, err := b.read(f.name, mostBytes)
		if err != nil {
			return nil, false, err
		}
		d, _, err := xnc.Read(f.name, text, xnc.Options{})
		if err != nil {
			c.add(c.unreadable(HolesGroup, b, f, err))
		}
		return d, err == nil, nil
	}
	x, ok, err := read(c.old, o)
	if err != nil || !ok {
		return err
	}
	y, ok, err := read(c.new, n)
	if err != nil || !ok {
		return err
	}
	before, after := c.sorted(c.old.panel, x), c.sorted(c.new.panel, y)
	name := drillWords(key)
	if x.Plating != y.Plating {
		c.value(HolesGroup, 0, plainText(n.name)+": plating", x.Plating.String(), y.Plating.String())
	}
	if x.From != y.From || x.To != y.To {
		c.value(HolesGroup, 0, plainText(n.name)+": layers", fmt.Sprintf("%d to %d", x.From, x.To), fmt.Sprintf("%d to %d", y.From, y.To))
	}
	var found []Change
	type said struct{ board, says string }
	at := map[said]int{}
	for _, p := range append(c.pairsByBoard(), copyPair{len(c.old.panel.copies), len(c.new.panel.copies)}) {
		board, id := "", ""
		if p.new < len(c.new.panel.copies) {
			board, id = c.new.panel.copies[p.new].board, c.new.panel.copies[p.new].id
		}
		for _, w := range boreWords(before[p.old], after[p.new]) {
			k := said{board, w.says}
			i, ok := at[k]
			if !ok {
				i = len(found)
				at[k] = i
				found = append(found, Change{Group: HolesGroup, Kind: w.kind, rank: 1, File: n.name, subject: board, says: w.says})
			}
			if id != "" {
				found[i].Copies = append(found[i].Copies, id)
			}
			found[i].At = append(found[i].At, w.at...)
		}
	}
	// The plan says the same of perforations and of tooling holes, in words of their own.
	planned := key == "breakoff" && asPlanned(c.old.panel.lists["perforations"], allBores(before)) && asPlanned(c.new.panel.lists["perforations"], allBores(after))
	marks := asPlanned(tooling(c.old.panel), before[len(before)-1]) && asPlanned(tooling(c.new.panel), after[len(after)-1])
	for _, t := range found {
		t.Text = name + " of " + plainText(t.subject) + ": " + t.says + c.onCopies(t.subject, t.Copies)
		if t.subject == "" {
			t.Text, t.rank = name+" beside the boards: "+t.says, 5
		}
		t.subject = ""
		t.At = t.At[:min(len(t.At), mostSpots)]
		if !planned && !(marks && len(t.Copies) == 0) {
			c.add(t)
		}
	}
	switch {
	case planned:
		c.told[n.plain] = CutsGroup
	case len(found) == 0 && c.copiesStay() && x.Plating == y.Plating:
		c.add(Change{Group: HolesGroup, Kind: Changed, rank: 9, File: n.name, Text: plainText(n.name) + " has the same holes and another header or order"})
	case len(found) == 0:
		c.told[n.plain] = CopiesGroup
	}
	return nil
}

// drillWords names the holes of a file.
func drillWords(key string) string {
	if key == "breakoff" {
		return "perforations"
	}
	w := strings.Split(plainText(key), "-")
	if len(w) == 3 {
		kind := map[string]string{"plated": "plated holes", "nonplated": "holes without plating"}[w[0]]
		if kind != "" {
			return fmt.Sprintf("%s through layers %s to %s", kind, w[1], w[2])
		}
	}
	return "holes (" + plainText(key) + ")"
}

// tooling gives the tooling holes of the plan.
func tooling(d *data) (out []*feature) {
	for _, m := range d.lists["marks"] {
		if m.word("kind") == string(panel.ToolingHole) {
			out = append(out, m)
		}
	}
	return out
}

func allBores(byCopy [][]bore) (out []bore) {
	for _, b := range byCopy {
		out = append(out, b...)
	}
	return out
}

// asPlanned tells whether a file has just the holes that the plan has.
func asPlanned(plan []*feature, written []bore) bool {
	type hole struct {
		at geom.Point
		d  geom.Length
	}
	n := map[hole]int{}
	near := func(p geom.Point) geom.Point { // drill files have whole micrometres
		r := func(l geom.Length) geom.Length { return geom.Round(float64(l)/1000) * 1000 }
		return geom.Pt(r(p.X), r(p.Y))
	}
	for _, h := range plan {
		n[hole{near(h.at), h.length("diameter_mm")}]++
	}
	for _, h := range written {
		if h.edges > 0 {
			return false
		}
		n[hole{near(h.on), h.diameter}]--
	}
	for _, k := range n {
		if k != 0 {
			return false
		}
	}
	return true
}

// sorted gives the holes of every copy from its board's view, and last those beside all copies.
func (c *comparison) sorted(d *data, x *artwork.Drilling) [][]bore {
	out := make([][]bore, len(d.copies)+1)
	var index geom.Index[int]
	for i, p := range d.copies {
		index.Insert(p.box, i)
	}
	put := func(b bore) {
		on := len(d.copies)
		index.Search(geom.BoxOf(b.from, b.to).Center().Box(), func(_ geom.Box, i int) bool { on = min(on, i); return true })
		b.on = b.from
		if on < len(d.copies) {
			back := d.copies[on].place.Inverse()
			b.from, b.to = back.Apply(b.from), back.Apply(b.to)
		}
		out[on] = append(out[on], b)
	}
	for _, h := range x.Holes {
		put(bore{diameter: x.Tools[h.Tool].Diameter, from: h.At, to: h.At})
	}
	for _, r := range x.Routs {
		if len(r.Path) > 0 {
			put(bore{diameter: x.Tools[r.Tool].Diameter, from: r.Path[0].From, to: r.Path[len(r.Path)-1].To, edges: len(r.Path)})
		}
	}
	return out
}

// boreWord is what happened to some holes of one diameter.
type boreWord struct {
	kind Kind
	says string
	at   []Spot
}

// nearHole is how far a hole may seem to have moved by rounding alone: drill files have whole micrometres, and copies
// may be turned by any angle.
const nearHole = 2 * geom.UM

// boreWords says which holes are gone, new, or of another diameter.
func boreWords(old, new []bore) []boreWord {
	var index geom.Index[int]
	for i, b := range old {
		index.Insert(b.from.Box(), i)
	}
	taken := make([]bool, len(old))
	near := func(b bore, sameSize bool) int {
		found := -1
		index.Search(b.from.Box().Grow(nearHole), func(_ geom.Box, i int) bool {
			o := old[i]
			if !taken[i] && o.edges == b.edges && o.to.Sub(b.to).Norm() <= float64(2*nearHole) && (o.diameter == b.diameter) == sameSize && (found < 0 || i < found) {
				found = i
			}
			return true
		})
		return found
	}
	var left []int
	for i, b := range new {
		if k := near(b, true); k >= 0 {
			taken[k] = true
		} else {
			left = append(left, i)
		}
	}
	type event struct {
		kind    Kind
		was, is geom.Length
		slot    bool
	}
	at := map[event][]Spot{}
	n := map[event]int{}
	var order []event
	put := func(e event, on string, b bore) {
		if n[e] == 0 {
			order = append(order, e)
		}
		n[e]++
		at[e] = append(at[e], spot(on, b.on.Box().Grow(b.diameter/2))...)
	}
	for _, i := range left {
		b := new[i]
		if k := near(b, false); k >= 0 {
			taken[k] = true
			put(event{Changed, old[k].diameter, b.diameter, b.edges > 0}, "new", b)
			continue
		}
		put(event{Appeared, 0, b.diameter, b.edges > 0}, "new", b)
	}
	for i, b := range old {
		if !taken[i] {
			put(event{Gone, b.diameter, 0, b.edges > 0}, "old", b)
		}
	}
	rank := map[Kind]int{Gone: 0, Appeared: 1, Changed: 2}
	slices.SortFunc(order, func(a, b event) int {
		return cmp.Or(cmp.Compare(rank[a.kind], rank[b.kind]), cmp.Compare(a.was, b.was), cmp.Compare(a.is, b.is), cmp.Compare(one(a.slot), one(b.slot)))
	})
	var out []boreWord
	for _, e := range order {
		what := count(n[e], "hole", "holes")
		if e.slot {
			what = count(n[e], "slot", "slots")
		}
		switch e.kind {
		case Changed:
			what += " " + e.was.Decimal() + " → " + e.is.String()
		case Gone:
			what += " of " + e.was.String() + " gone"
		default:
			what += " of " + e.is.String() + " added"
		}
		out = append(out, boreWord{e.kind, what, at[e]})
	}
	return out
}
