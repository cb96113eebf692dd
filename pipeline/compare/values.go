package compare

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"panelwright/pipeline/run"
)

// values compares the final values of all options, and what is given from outside.
func (c *comparison) values() {
	o, n := c.old.manifest, c.new.manifest
	keys := maps.Clone(o.Given)
	if keys == nil {
		keys = map[string]string{}
	}
	maps.Copy(keys, n.Given)
	for _, k := range slices.Sorted(maps.Keys(keys)) {
		a, aok := o.Given[k]
		b, bok := n.Given[k]
		if aok != bok || a != b {
			c.value(ValuesGroup, 0, "given "+plainText(k), plainText(a), plainText(b))
		}
	}
	at := map[int]int{} // of the new calls to the old
	taken := map[int]bool{}
	for _, byName := range []bool{true, false} {
		for i, x := range n.Values {
			if _, ok := at[i]; ok {
				continue
			}
			for k, y := range o.Values {
				if !taken[k] && x.Stage == y.Stage && (!byName || callName(x) == callName(y)) {
					at[i], taken[k] = k, true
					break
				}
			}
		}
	}
	last, reordered := -1, false
	for i, x := range n.Values {
		k, ok := at[i]
		if !ok {
			c.add(Change{Group: ValuesGroup, Kind: Appeared, rank: 1, Text: fmt.Sprintf("stage %s appeared (%s)", plainText(title(x)), plainText(x.At)), New: x.At})
			continue
		}
		reordered = reordered || k < last
		last = k
		c.options(title(x), o.Values[k].Values, x.Values)
	}
	for k, y := range o.Values {
		if !taken[k] {
			c.add(Change{Group: ValuesGroup, Kind: Gone, rank: 1, Text: fmt.Sprintf("stage %s gone (%s)", plainText(title(y)), plainText(y.At)), Old: y.At})
		}
	}
	if reordered {
		c.add(Change{Group: ValuesGroup, Kind: Changed, rank: 2, Text: "stages stand in another order"})
	}
	if c.elsewhere > 0 {
		c.notes = append(c.notes, count(c.elsewhere, "value is the same and comes", "values are the same and come")+" from another file")
	}
	c.sums("recipe file", o.Recipe, n.Recipe)
	c.sums("input", o.Inputs, n.Inputs)
}

// callName tells stages of one kind apart.
func callName(v run.StageValues) string {
	for _, want := range []string{"name", "board"} {
		for _, x := range v.Values {
			if x.Option == want && x.Value != "" {
				return x.Value
			}
		}
	}
	return ""
}

func title(v run.StageValues) string {
	if n := strings.Trim(callName(v), `"`); n != "" {
		return v.Stage + " of " + n
	}
	return v.Stage
}

// options compares one stage's options.
func (c *comparison) options(stage string, old, new []run.Value) {
	find := func(all []run.Value, option string) (run.Value, bool) {
		for _, x := range all {
			if x.Option == option {
				return x, true
			}
		}
		return run.Value{}, false
	}
	says := func(x run.Value, ok bool) string {
		switch {
		case !ok:
			return "none"
		case x.Value == "":
			return "(unset)"
		}
		v := plainText(x.Value)
		if x.Origin != "" {
			v += " (" + plainText(x.Origin) + ")"
		}
		return v
	}
	head := plainText(stage) + ": "
	var unknown []string // that only the newer program has, left as they are
	defer func() {
		if len(unknown) > 0 {
			c.add(Change{Group: ValuesGroup, Kind: Appeared, rank: 6, Text: head + "new in the program, at default: " + listed(unknown, 12)})
		}
	}()
	for _, n := range new {
		o, ok := find(old, n.Option)
		switch {
		case !ok && n.Origin == "default" && n.Value != "":
			unknown = append(unknown, plainText(n.Option)+" "+plainText(n.Value))
		case !ok && n.Value == "", ok && o.Value == n.Value && originFile(o) == originFile(n):
		case ok && o.Value == n.Value:
			c.elsewhere++
		default:
			c.value(ValuesGroup, 3, head+plainText(n.Option), says(o, ok), says(n, true))
		}
	}
	for _, o := range old {
		if _, ok := find(new, o.Option); !ok && o.Value != "" {
			c.value(ValuesGroup, 3, head+plainText(o.Option), says(o, true), "none")
		}
	}
}

// originFile is where a value comes from, without the line: lines move whenever a comment is added.
func originFile(v run.Value) string {
	if i := strings.LastIndexByte(v.Origin, ':'); i >= 0 && strings.Trim(v.Origin[i+1:], "0123456789") == "" {
		return v.Origin[:i]
	}
	return v.Origin
}

// sums notes which of the recipe's files and inputs differ. It is no difference of what was built: what comes of it shows
// elsewhere.
func (c *comparison) sums(what string, old, new []run.FileSum) {
	before := map[string]string{}
	for _, s := range old {
		before[s.Name] = s.SHA256
	}
	var changed, added, gone []string
	for _, s := range new {
		was, ok := before[s.Name]
		delete(before, s.Name)
		switch {
		case !ok:
			added = append(added, plainText(s.Name))
		case was != s.SHA256:
			changed = append(changed, plainText(s.Name))
		}
	}
	for _, s := range old {
		if _, ok := before[s.Name]; ok {
			gone = append(gone, plainText(s.Name))
		}
	}
	for _, x := range []struct {
		names []string
		says  string
	}{{changed, "changed"}, {added, "added"}, {gone, "gone"}} {
		if len(x.names) > 0 {
			c.notes = append(c.notes, count(len(x.names), what, what+"s")+" "+x.says+": "+listed(x.names, 8))
		}
	}
}
