package intake

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// layer is a layer file whose function is settled.
type layer struct {
	file *File
	is   panel.Function
}

// settleLayers decides what each layer file is for: the recipe's word first, then the file's own
// attribute, then the job file, then its name.
func (r *Result) settleLayers(jobs *File) []layer {
	var claimed []*File
	for _, f := range r.of(LayerFile) {
		f.claim, f.claimed = r.claimOf(f, jobs)
		switch c := f.claim; {
		case !f.claimed:
			r.Unclaimed = append(r.Unclaimed, f)
		case c.refused != "":
			r.Unclaimed = append(r.Unclaimed, f)
			r.problem(f.Name+": "+c.refused, "say in the recipe, in the board stage, what it is for:\n"+layerProposal(f.Name)+"\nwhere the function is "+FunctionWords)
		case c.ignored != "":
			f.Ignored = c.ignored
			if c.lost {
				r.find("layer-not-carried", pipeline.Warning, f.Name+" is ignored: "+c.ignored)
			}
		case c.drill: // settleDrills looks at it
		default:
			claimed = append(claimed, f)
		}
	}
	r.unclaimed()
	r.numberCopper(claimed)
	var out []layer
	for _, f := range claimed {
		c := f.claim
		f.By = c.from
		l := layer{f, panel.Function{Kind: c.kind, Side: c.side, Type: c.typ}}
		if c.kind == panel.Copper {
			l.is.Index = c.number
		}
		if why := f.negative(c.kind); why != "" && c.kind != panel.Copper {
			r.problem(fmt.Sprintf("%s: it is drawn as a negative (%s), and whether what is drawn on a negative %s is there or is missing is not agreed", f.Name, why, c.text()), "have it written as a positive")
		}
		out = append(out, l)
	}
	out = r.withoutTwins(out)
	for _, l := range out {
		l.file.Use = l.is.Key()
	}
	return out
}

// claimOf asks everybody in turn.
func (r *Result) claimOf(f, jobs *File) (claim, bool) {
	own, said := attributeClaim(f.Image.Attributes.Get(".FileFunction"), "its attribute .FileFunction")
	if f.drillRule != nil {
		return r.drillClaim(f, own, said), true
	}
	if rule := f.layerRule; rule != nil && rule.Is.Kind != "" {
		c := claim{kind: rule.Is.Kind, side: rule.Is.Side, number: rule.Is.Index, from: byRecipe}
		if said && (own.kind != c.kind || own.side != c.side || own.number != c.number) {
			r.find("function-overridden", pipeline.Warning, fmt.Sprintf("%s is taken for %s as the recipe says; its own attribute says %s",
				f.Name, rule.Is.Key(), strings.Join(f.Image.Attributes.Get(".FileFunction"), ",")))
		}
		return c, true
	}
	if said {
		return own, true
	}
	if jobs != nil && jobs.job != nil {
		if v := jobs.job.function(f.Name); v != nil {
			if c, ok := attributeClaim(v, "the job file "+jobs.Name); ok {
				return c, true
			}
		}
	}
	return nameClaim(f.Name)
}

// numberCopper gives every copper layer its number from the top. Names give inner layers in order
// only; the bottom's number follows from how many there are.
func (r *Result) numberCopper(files []*File) {
	lowest := 0 // of the extensions' numbers, which some begin at 1 and some at 2
	for _, f := range files {
		if c := f.claim; c.kind == panel.Copper && c.number == 0 && c.side == panel.Inner && c.byExtension && (lowest == 0 || c.order < lowest) {
			lowest = c.order
		}
	}
	highest, bottom := 0, false
	for _, f := range files {
		c := &f.claim
		if c.kind != panel.Copper {
			continue
		}
		switch {
		case c.number > 0 && c.number == 1 && c.from == byName:
			c.side = panel.Top
		case c.number > 0:
		case c.side == panel.Top:
			c.number = 1
		case c.side == panel.Inner && c.byExtension && lowest > 1:
			c.number = c.order
		case c.side == panel.Inner:
			c.number = c.order + 1
		}
		highest = max(highest, c.number)
		bottom = bottom || c.side == panel.Bottom
	}
	for _, f := range files {
		c := &f.claim
		switch {
		case c.kind != panel.Copper:
		case c.side == panel.Bottom && c.number == 0:
			c.number = max(2, highest+1)
			if r.req.CopperCount > highest {
				c.number = r.req.CopperCount
			}
		case !bottom && c.from == byName && c.side == panel.Inner && c.number == highest && c.order == 0:
			c.side = panel.Bottom // L1 … L4, all by number
		}
	}
}

// withoutTwins leaves one file for each function. A second one of the same bytes is ignored; of
// other bytes it is a problem, and where several functions are there twice the files are two boards'.
func (r *Result) withoutTwins(in []layer) []layer {
	by := map[string][]layer{}
	var keys []string
	var out []layer
	for _, l := range in {
		k := l.is.Key()
		if by[k] == nil {
			keys = append(keys, k)
		}
		twin := false
		for _, o := range by[k] {
			if o.file.SHA256 == l.file.SHA256 {
				l.file.Ignored = "the same bytes as " + o.file.Name
				twin = true
				break
			}
		}
		if twin {
			continue
		}
		if by[k] == nil {
			out = append(out, l)
		}
		by[k] = append(by[k], l)
	}
	slices.Sort(keys)
	var twice []string
	for _, k := range keys {
		if len(by[k]) > 1 {
			twice = append(twice, k)
		}
	}
	names := func(k string) []string {
		var s []string
		for _, l := range by[k] {
			s = append(s, l.file.Name)
		}
		return s
	}
	switch {
	case r.mixed || len(twice) == 0:
	case len(twice) > 1:
		var s []string
		for _, k := range twice {
			s = append(s, k+" in "+list(names(k)))
		}
		r.problem("the files are those of two boards: "+strings.Join(s, "; "),
			"give each board a stage of its own, with files that are its own")
	default:
		k := twice[0]
		var by1 []string
		for _, l := range by[k] {
			by1 = append(by1, fmt.Sprintf("%s (%s)", l.file.Name, l.file.By))
		}
		r.problem(fmt.Sprintf("two files claim to be %s: %s", k, list(by1)),
			"take one away, or say in the recipe which one does not count:\n"+ignoreProposal(by[k][len(by[k])-1].file.Name))
	}
	slices.SortStableFunc(out, func(a, b layer) int {
		return cmp.Or(cmp.Compare(order(a.is.Kind), order(b.is.Kind)), cmp.Compare(a.is.Index, b.is.Index), -cmp.Compare(a.is.Side, b.is.Side))
	})
	return out
}

// order is where a kind of layer stands among a board's layers.
func order(k panel.FunctionKind) int {
	return slices.Index([]panel.FunctionKind{panel.Copper, panel.Soldermask, panel.Paste, panel.Legend, panel.Glue, panel.Carbon, panel.Peelable, panel.Profile}, k)
}

// settleCopper counts the copper layers and looks for gaps.
func (r *Result) settleCopper(layers []layer) int {
	there := map[int]layer{}
	count, bottom := 0, layer{}
	for _, l := range layers {
		if l.is.Kind != panel.Copper {
			continue
		}
		if o, twice := there[l.is.Index]; twice {
			r.problem(fmt.Sprintf("copper layer %d is both %s (%s) and %s (%s)", l.is.Index, o.is.Side, o.file.Name, l.is.Side, l.file.Name),
				"say in the recipe what they are, in layer blocks")
		}
		there[l.is.Index] = l
		count = max(count, l.is.Index)
		if l.is.Side == panel.Bottom {
			if bottom.file != nil {
				r.problem(fmt.Sprintf("two files claim to be the bottom copper: %s as layer %d and %s as layer %d", bottom.file.Name, bottom.is.Index, l.file.Name, l.is.Index),
					"these may be the files of two boards, or of two revisions: leave one of them out")
			}
			bottom = l
		}
	}
	if count == 0 && r.unreadable() {
		return max(r.req.CopperCount, 2)
	}
	if count == 0 {
		r.problem("none of the files is copper", "add the board's copper layers; where a name says nothing, give it a layer block in the recipe")
		return max(r.req.CopperCount, 2)
	}
	if bottom.file != nil && bottom.is.Index < count && there[count].file != bottom.file {
		r.problem(fmt.Sprintf("%s is copper layer %d, below the bottom copper %s, which is layer %d",
			there[count].file.Name, count, bottom.file.Name, bottom.is.Index), "say in the recipe what they are, in layer blocks")
	}
	given := r.req.CopperCount
	if given > 0 && count > given {
		r.problem(fmt.Sprintf("%s is copper layer %d, but the recipe says copper_layers = %d", there[count].file.Name, count, given), "correct one of them")
	}
	if given > 0 && bottom.file != nil && bottom.is.Index < given {
		r.problem(fmt.Sprintf("%s is the bottom copper and layer %d, but the recipe says copper_layers = %d", bottom.file.Name, bottom.is.Index, given), "correct one of them")
	}
	count = max(count, given)
	var missing []string
	for i := 1; i <= count; i++ {
		if _, ok := there[i]; !ok {
			missing = append(missing, strconv.Itoa(i))
		}
	}
	switch {
	case len(missing) == 0 || r.unreadable():
	case given > 0:
		r.find("copper-layer-missing", pipeline.Warning, fmt.Sprintf("of %d copper layers, no file is layer %s: the panel will lack it", count, list(missing)))
	default:
		r.problem(fmt.Sprintf("of %d copper layers, no file is layer %s", count, list(missing)),
			fmt.Sprintf("add it; or, where the file is left out on purpose, write copper_layers = %d", count))
	}
	return count
}

// unclaimed is the problem of the layer files of which nobody says what they are for.
func (r *Result) unclaimed() {
	var names, blocks []string
	for _, f := range r.Unclaimed {
		if f.claimed {
			continue // it has a problem of its own
		}
		names = append(names, f.Name)
		blocks = append(blocks, layerProposal(f.Name))
	}
	what := "nobody says what this layer is for: it has no attribute .FileFunction, and its name follows no known convention"
	switch {
	case len(names) == 0:
		return
	case len(names) > 1:
		what = "nobody says what these layers are for: they have no attribute .FileFunction, and their names follow no known convention"
	}
	r.problem(list(names)+": "+what, "say it in the recipe, in the board stage:\n"+strings.Join(blocks, "\n")+"\nwhere the function is "+FunctionWords)
}

// layerProposal writes the layer block that a recipe would need for a file.
func layerProposal(name string) string {
	return fmt.Sprintf("  layer %q {\n    function = \"…\"\n  }", name)
}

func ignoreProposal(name string) string {
	return fmt.Sprintf("  layer %q {\n    function = \"ignore\"\n    reason   = \"…\"\n  }", name)
}

// unreadable tells whether a layer file could not be read: what seems to be missing may be that one.
func (r *Result) unreadable() bool {
	for _, f := range r.Files {
		if f.Kind == LayerFile && f.Err != nil {
			return true
		}
	}
	return false
}
