package compare

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
)

// holesOf gives the perforations of every tab.
func holesOf(d *data) map[string][]*feature {
	out := map[string][]*feature{}
	for _, h := range d.lists["perforations"] {
		t := h.word("tab")
		out[t] = append(out[t], h)
	}
	return out
}

// tabs compares tabs, each with its perforations.
func (c *comparison) tabs(ctx context.Context) error {
	f := family{"tabs", "tab", "tabs", CutsGroup, 1, false}
	oldHoles, newHoles := holesOf(c.old.panel), holesOf(c.new.panel)
	for _, p := range match(c.old.panel.lists["tabs"], c.new.panel.lists["tabs"], false) {
		if err := ctx.Err(); err != nil {
			return err
		}
		x, ok := c.oneSided(f, p)
		if !ok {
			x, ok = c.tab(f, p, oldHoles[p.old.alias], newHoles[p.new.id])
		}
		if p.old != nil {
			delete(oldHoles, p.old.alias)
		}
		if p.new != nil {
			delete(newHoles, p.new.id)
		}
		if ok {
			x.subject = f.one
			c.add(x)
		}
	}
	// Holes of no tab: panel.json is not what a build writes, and still nothing is left out.
	loose := func(m map[string][]*feature) (out []*feature) {
		for _, list := range m {
			out = append(out, list...)
		}
		slices.SortFunc(out, func(a, b *feature) int { return strings.Compare(a.id, b.id) })
		return out
	}
	holes := family{"perforations", "perforation", "perforations", CutsGroup, 8, false}
	for _, p := range match(loose(oldHoles), loose(newHoles), false) {
		x, ok := c.oneSided(holes, p)
		if !ok {
			var err error
			if x, ok, err = c.both(ctx, holes, p.old, p.new); err != nil {
				return err
			}
		}
		if ok {
			x.subject = holes.one
			c.add(x)
		}
	}
	return nil
}

// tab tells how a tab changed, holes and all.
func (c *comparison) tab(f family, p pair, oldHoles, newHoles []*feature) (Change, bool) {
	o, n := p.old, p.new
	x := Change{Group: f.group, Kind: Changed, rank: f.rank, plural: f.many, Features: []string{n.id}, At: append(spot("old", o.box), spot("new", n.box)...)}
	var says, more []string
	if o.id != n.id {
		x.Kind, x.rank, x.Was = Renamed, f.rank+3, []string{o.id}
	}
	how, with := c.movedWords(o, n)
	if how != "" {
		says = append(says, how)
	}
	if with {
		x.rank += 2
	}
	a, b := o.relative(), n.relative()
	if w, v := o.length("width_mm"), n.length("width_mm"); w != v {
		word := "narrower"
		if v > w {
			word = "wider"
		}
		more = append(more, fmt.Sprintf("%s: %s → %s", word, w.Decimal(), v.String()))
	}
	skip := append([]string{"width_mm"}, geometry...)
	more = append(more, fieldPhrases(a, b, skip...)...)
	if a["feet_mm"] != b["feet_mm"] {
		more = append(more, feetWords(o, n))
	}
	more = append(more, rowPhrases(a["rows"], b["rows"])...)
	more = append(more, c.holePhrases(o, n, oldHoles, newHoles)...)
	if len(more) == 0 && a["rows"] != b["rows"] {
		more = append(more, "its rows of perforations run elsewhere")
	}
	if len(more) == 0 && how != "" && x.Kind == Changed {
		x.Kind = Moved
	}
	if says = append(says, more...); len(says) == 0 && len(x.Was) == 0 {
		return x, false
	}
	x.says = strings.Join(says, ", ")
	return x, true
}

// rowPhrases says which figures of a tab's rows changed. Those at worst tolerance are told where nothing else changed.
func rowPhrases(old, new string) []string {
	read := func(s string) (rows []map[string]json.RawMessage) {
		_ = json.Unmarshal([]byte(s), &rows)
		return rows
	}
	a, b := read(old), read(new)
	if len(a) != len(b) {
		return []string{fmt.Sprintf("rows of perforations %d → %d", len(a), len(b))}
	}
	var main, worst []string
	for i := range a {
		o, n := map[string]string{}, map[string]string{}
		for k, v := range a[i] {
			o[k] = string(v)
		}
		for k, v := range b[i] {
			n[k] = string(v)
		}
		for _, says := range fieldPhrases(o, n, "line_mm", "copies") {
			list := &main
			if strings.Contains(says, "at worst") {
				list = &worst
			}
			if !slices.Contains(*list, says) {
				*list = append(*list, says)
			}
		}
	}
	if len(main) > 0 {
		return main
	}
	return worst
}

// holePhrases says how a tab's perforations changed.
func (c *comparison) holePhrases(o, n *feature, old, new []*feature) []string {
	if len(old) != len(new) {
		return []string{fmt.Sprintf("perforations %d → %d", len(old), len(new))}
	}
	var says []string
	put := func(s string) {
		if !slices.Contains(says, s) {
			says = append(says, s)
		}
	}
	for i := range old {
		a, b := old[i], new[i]
		if d, e := a.length("diameter_mm"), b.length("diameter_mm"); d != e {
			put(fmt.Sprintf("perforations' diameter %s → %s", d.Decimal(), e.String()))
		}
		if a.at.Sub(o.at) != b.at.Sub(n.at) {
			put("perforations sit elsewhere in the tab")
		}
		if o.id == n.id && (a.id != b.id || a.fields["row"] != b.fields["row"] || c.oldOwner[b.owner] != a.owner) {
			put("perforations are named otherwise")
		}
	}
	return says
}

// feetWords says how a tab spans its gap otherwise.
func feetWords(o, n *feature) string {
	long := func(f *feature) geom.Length {
		var feet []place
		if unmarshal([]byte(f.fields["feet_mm"]), &feet) != nil || len(feet) != 2 {
			return 0
		}
		return geom.Round(feet[0].point().Distance(feet[1].point()))
	}
	if a, b := long(o), long(n); a != b {
		return "spans " + a.Decimal() + " → " + b.String()
	}
	return "its far foot moved"
}
