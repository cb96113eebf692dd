package compare

import (
	"encoding/json"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
)

// pair is a feature before and after; one of the two is nil where it is gone or new.
type pair struct{ old, new *feature }

// match pairs features: those that are the same under their id, then those that are the same in all but their
// id, then by id, then by place. numbered features have ids that mean nothing but an order: of those an id alone
// matches only what overlaps.
func match(old, new []*feature, numbered bool) []pair {
	found := map[*feature]*feature{} // new to old
	taken := map[*feature]bool{}     // of old
	link := func(o, n *feature) {
		found[n], taken[o] = o, true
	}
	byID := map[string]*feature{}
	byText := map[string][]*feature{}
	for _, o := range old {
		byID[o.alias] = o
		byText[o.text] = append(byText[o.text], o)
	}
	for _, n := range new {
		if o := byID[n.id]; o != nil && o.text == n.text {
			link(o, n)
		}
	}
	for _, n := range new {
		if found[n] != nil || n.box.Empty() {
			continue
		}
		for _, o := range byText[n.text] {
			if !taken[o] {
				link(o, n)
				break
			}
		}
	}
	for _, n := range new {
		if o := byID[n.id]; o != nil && !taken[o] && found[n] == nil && (!numbered || o.box.Overlaps(n.box)) {
			link(o, n)
		}
	}
	if numbered {
		var index geom.Index[*feature]
		for _, o := range old {
			if !taken[o] && !o.box.Empty() {
				index.Insert(o.box, o)
			}
		}
		for _, n := range new {
			if found[n] != nil || n.box.Empty() {
				continue
			}
			var best *feature
			index.Search(n.box, func(_ geom.Box, o *feature) bool {
				if !taken[o] && alikeness(o.box, n.box) > 0.5 && (best == nil || alikeness(o.box, n.box) > alikeness(best.box, n.box)) {
					best = o
				}
				return true
			})
			if best != nil {
				link(best, n)
			}
		}
		// What is left under one id has moved where it is still the same thing.
		for _, n := range new {
			if o := byID[n.id]; o != nil && !taken[o] && found[n] == nil && o.shapeText() == n.shapeText() {
				link(o, n)
			}
		}
	}
	var out []pair
	for _, n := range new {
		out = append(out, pair{found[n], n})
	}
	for _, o := range old {
		if !taken[o] {
			out = append(out, pair{o, nil})
		}
	}
	return out
}

// rename puts the new names of copies into the old features: what a tab holds is the same though it is called otherwise. Their own
// ids stay, and alias is what those would be.
func (c *comparison) rename() {
	var swaps []string
	for _, p := range c.copies {
		if p.old < 0 || p.new < 0 {
			continue
		}
		if was, is := c.old.panel.copies[p.old].id, c.new.panel.copies[p.new].id; was != is {
			a, _ := json.Marshal(was)
			b, _ := json.Marshal(is)
			swaps = append(swaps, string(a), string(b), string(a[:len(a)-1])+"/", string(b[:len(b)-1])+"/")
		}
	}
	if len(swaps) == 0 {
		return
	}
	names := strings.NewReplacer(swaps...)
	for key, list := range c.old.panel.lists {
		if key == "copies" || key == "boards" {
			continue
		}
		for _, f := range list {
			id, _ := json.Marshal(f.id)
			if json.Unmarshal([]byte(names.Replace(string(id))), &f.alias) != nil {
				f.alias = f.id
			}
			for k, v := range f.fields {
				if k != "id" {
					f.fields[k] = names.Replace(v)
				}
			}
			f.text = f.allBut("id")
		}
	}
}

// alikeness is how much of two boxes' union they share, from 0 to 1.
func alikeness(a, b geom.Box) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w < 0 || h < 0 {
		return 0
	}
	const least = 1000 // so that lines have an area
	area := func(w, h geom.Length) float64 { return float64(w+least) * float64(h+least) }
	both := area(w, h)
	return both / (area(a.Width(), a.Height()) + area(b.Width(), b.Height()) - both)
}

// relative gives the fields with every point told from where the feature stands, so that what only moved is the same.
func (f *feature) relative() map[string]string {
	out := map[string]string{}
	for k, v := range f.fields {
		if k == "id" {
			continue
		}
		if strings.ContainsAny(v, "[{") {
			var any any
			d := json.NewDecoder(strings.NewReader(v))
			d.UseNumber()
			if d.Decode(&any) == nil {
				text, err := json.Marshal(shifted(any, strings.HasSuffix(k, "_mm"), f.at))
				if err == nil {
					v = string(text)
				}
			}
		}
		out[k] = v
	}
	return out
}

// shifted moves all points, which are pairs of numbers below a key that ends in _mm.
func shifted(v any, inMM bool, by geom.Point) any {
	switch x := v.(type) {
	case map[string]any:
		// Within edges every pair is a point.
		out := make(map[string]any, len(x))
		for k, y := range x {
			out[k] = shifted(y, inMM || strings.HasSuffix(k, "_mm"), by)
		}
		return out
	case []any:
		if inMM && len(x) == 2 {
			a, aok := x[0].(json.Number)
			b, bok := x[1].(json.Number)
			if aok && bok {
				p, perr := geom.ParseDecimal(string(a))
				q, qerr := geom.ParseDecimal(string(b))
				if perr == nil && qerr == nil {
					return []any{json.Number((p - by.X).Decimal()), json.Number((q - by.Y).Decimal())}
				}
			}
		}
		out := make([]any, len(x))
		for i, y := range x {
			out[i] = shifted(y, inMM, by)
		}
		return out
	}
	return v
}

func (f *feature) shapeText() string {
	r := f.relative()
	keys := make([]string, 0, len(r))
	for k := range r {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	var b strings.Builder
	for _, k := range keys {
		b.WriteString(k + "=" + r[k] + "\n")
	}
	return b.String()
}

// geometry are the fields that say where and of what shape a feature is: told by words of their own.
var geometry = []string{"at_mm", "box_mm", "area_mm", "outer_mm", "cut_outs_mm", "from_mm", "to_mm", "feet_mm", "along", "rows", "dots", "lines", "areas_mm", "sources"}

// fieldPhrases says which plain fields differ.
func fieldPhrases(old, new map[string]string, but ...string) []string {
	keys := map[string]bool{}
	for k := range old {
		keys[k] = true
	}
	for k := range new {
		keys[k] = true
	}
	var sorted []string
	for k := range keys {
		if old[k] != new[k] && !slices.Contains(but, k) {
			sorted = append(sorted, k)
		}
	}
	slices.Sort(sorted)
	var out []string
	for _, k := range sorted {
		word, unit := fieldWord(k)
		o, n := short(old[k], unit), short(new[k], unit)
		switch {
		case old[k] == "" && n != "":
			out = append(out, word+" "+n+", before none")
		case new[k] == "" && o != "":
			out = append(out, word+" none, before "+o)
		case o == "" || n == "" || o == n:
			out = append(out, word+" changed")
		default:
			out = append(out, word+" "+o+" → "+n)
		}
	}
	return out
}

// size says the size of a box.
func size(w, h geom.Length) string { return w.Decimal() + " × " + h.String() }

// turned says by how much and which way.
func turned(by geom.Angle) string {
	by = by.Normal()
	if by > geom.FullTurn/2 {
		return "turned by " + (geom.FullTurn - by).Decimal() + "° clockwise"
	}
	if by == geom.FullTurn/2 {
		return "turned by 180°"
	}
	return "turned by " + by.Decimal() + "° counter-clockwise"
}
