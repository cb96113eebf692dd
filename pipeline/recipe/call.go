package recipe

import (
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/hashicorp/hcl/v2"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
)

// rulesKind is the stage that a recipe must hold before it writes.
const rulesKind = "rules"

// Call is one stage block of a recipe.
type Call struct {
	Kind  pipeline.Kind // its Role is that of the call's own options
	Index int           // its place in the order, from 0
	Where Place         // its block

	l       *loader
	block   *block
	content content
	head    hcl.Range
	parts   pipeline.Parts
	gives   []gift // the values that its stage settles
	faulty  bool
	open    bool // its role follows from options that have mistakes
}

type gift struct {
	path string
	t    cty.Type
}

// Setting is one option of a call as it ends up.
type Setting struct {
	Option string // "gap"; "limit copper-to-edge at_least" for one inside a block
	Value  string // as a recipe would write it, or "settled by stage board"; empty when it is not set
	Origin string // "gauge.panel.hcl:12", "given" or "default"
	Open   bool   // Value is not known before that stage has run
}

// stages checks the order of the recipe's stages, and each of them.
func (l *loader) stages(y *layer, blocks []*block) {
	if len(blocks) > mostCalls {
		l.ledger.add(y.src.mistake(blocks[mostCalls].head(), fmt.Sprintf("the recipe has more than %d stages", mostCalls), "split it"))
		return
	}
	var calls []*Call
	unknown := false
	for _, b := range blocks {
		name, ok := l.labelled(b, `stage "array" { … }`)
		if !ok {
			unknown = true
			continue
		}
		kind, ok := l.kinds[name]
		if !ok {
			l.unknownStage(b, name)
			unknown = true
			continue
		}
		c := &Call{Kind: kind, Index: len(calls), Where: y.src.place(b.at.Start.Byte), l: l, block: b, head: b.head()}
		if y.src.json {
			c.Where = y.src.place(c.head.Start.Byte)
		}
		c.content = y.src.open(b.body, shape(l.options[name]), l.ledger)
		calls = append(calls, c)
	}
	if len(blocks) == 0 {
		l.ledger.add(y.src.mistakeAt(0, 0, "the recipe has no stages", `write the first one: stage "board" { … }`))
	}
	l.plan.Calls = calls
	// The first walk only learns what every stage settles, so that the second can tell a value that
	// a later stage settles from one that none does.
	l.walk(calls, &ledger{}, false)
	l.walk(calls, l.ledger, true)
	l.roles(calls)
	l.needs(calls, unknown)
	l.unused(calls)
}

// roles refuses stages that come after one of a later role, and writing without rules.
func (l *loader) roles(calls []*Call) {
	var top *Call
	judged := slices.ContainsFunc(calls, func(c *Call) bool { return c.Kind.Name == rulesKind && c.Kind.Role == pipeline.Judge })
	for _, c := range calls {
		if c.open {
			continue // its mistake has been told
		}
		if top != nil && c.Kind.Role < top.Kind.Role {
			l.ledger.add(c.mistake(fmt.Sprintf("stage %s (%s) comes after stage %s (%s) on line %d", c.Kind.Name, c.Kind.Role, top.Kind.Name, top.Kind.Role, top.Where.Line),
				"stages stand in the order source, shape, judge, write: move it up"))
			continue
		}
		if top == nil || c.Kind.Role > top.Kind.Role {
			top = c
		}
		if c.Kind.Role == pipeline.Write && !judged {
			l.ledger.add(c.mistake(fmt.Sprintf("stage %s writes, and no stage rules comes before it", c.Kind.Name), `judge the panel first: stage "rules" {}`))
			judged = true // once is enough
		}
	}
}

func (c *Call) mistake(what, do string) Mistake { return c.block.src.mistake(c.head, what, do) }

// walk decodes every call with the values of earlier ones unknown.
func (l *loader) walk(calls []*Call, led *ledger, final bool) {
	var all []*Call
	if final {
		all = calls
	}
	tree := &node{}
	faulty := false
	for _, c := range calls {
		stage, s := c.decode(tree, led, all, faulty, true)
		c.faulty = s.faulty
		faulty = faulty || c.faulty
		c.parts, c.gives = pipeline.Parts{}, nil
		c.settleRole(stage, led)
		if p, ok := stage.(pipeline.Parter); ok {
			c.parts = p.Parts()
		}
		if v, ok := stage.(pipeline.Valuer); ok {
			types := v.ValueTypes()
			for _, path := range slices.Sorted(maps.Keys(types)) {
				c.gives = append(c.gives, gift{path, types[path]})
				root, _, _ := strings.Cut(path, ".")
				if at := tree.add(path, fromCty(cty.UnknownVal(types[path])), c.Index); at >= 0 && !slices.Contains(c.parts.Gives, path) || root == "given" || root == "let" {
					led.add(c.mistake(fmt.Sprintf("duplicate name: stage %s settles %s, and stage %s on line %d does too", c.Kind.Name, path, calls[max(at, 0)].Kind.Name, calls[max(at, 0)].Where.Line),
						"give one of them another name"))
				}
			}
		}
	}
}

// settleRole takes the role of a stage whose options decide over it. What brings boards in does so whatever its options
// say: a finished build is read back by it.
func (c *Call) settleRole(stage pipeline.Stage, led *ledger) {
	r, ok := stage.(pipeline.Roler)
	if !ok {
		return
	}
	role := r.Role()
	if (role == pipeline.Source) != (c.Kind.Role == pipeline.Source) {
		led.add(c.mistake(fmt.Sprintf("stage %s is of the role %s by its options, and %s by its kind", c.Kind.Name, role, c.Kind.Role),
			"this should not happen: a stage that brings boards in always does"))
		return
	}
	c.Kind.Role, c.open = role, c.faulty
}

// decode makes a stage of the call; the tree holds the values of earlier stages.
func (c *Call) decode(tree *node, led *ledger, all []*Call, faulty, loading bool) (pipeline.Stage, *settler) {
	y := c.l.layers[0]
	n := *y.names
	n.ledger, n.tree, n.faulty = led, tree, faulty
	n.later = func(path []string) (*trouble, int) { return c.later(all, path) }
	from := []contribution{{y, &n, c.content, c.head}}
	for _, b := range c.l.layers[1:] {
		if x := b.blocks[c.Kind.Name]; x != nil {
			from = append(from, contribution{b, b.names, b.src.open(x.body, shape(c.l.options[c.Kind.Name]), led), x.head()})
		}
	}
	s := &settler{l: c.l, ledger: led, kind: c.Kind.Name, files: loading, home: from[0]}
	stage := c.Kind.New()
	s.body(c.l.options[c.Kind.Name], from, reflect.ValueOf(stage).Elem(), nil)
	if x, ok := stage.(pipeline.Checker); ok {
		c.refused(s, x.Check(), led)
	}
	if x, ok := stage.(pipeline.RuleChecker); ok {
		c.refused(s, x.CheckRules(c.l.settings.Rules), led)
	}
	return stage, s
}

// later tells when a value is settled only by this stage or a later one.
// It gives how many steps of the path are meant.
func (c *Call) later(all []*Call, path []string) (*trouble, int) {
	whole := strings.Join(path, ".")
	for _, o := range all[min(c.Index, len(all)):] {
		for _, g := range o.gives {
			name, took := whole, len(path)
			switch {
			case strings.HasPrefix(whole, g.path+"."):
				name, took = g.path, strings.Count(g.path, ".")+1
			case g.path != whole && !strings.HasPrefix(g.path, whole+"."):
				continue
			}
			if o == c {
				return &trouble{what: fmt.Sprintf("%s is what this stage itself settles", short(name)), do: "a stage reads what earlier stages have settled"}, took
			}
			return &trouble{what: fmt.Sprintf("%s is settled by stage %s on line %d, which comes later", short(name), o.Kind.Name, o.Where.Line),
				do: "move that stage before this one"}, took
		}
	}
	return nil, 0
}

// refused notes what a stage's own checks say, each at its option's line.
func (c *Call) refused(s *settler, err error, led *ledger) {
	if err == nil {
		return
	}
	if many, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range many.Unwrap() {
			c.refused(s, e, led)
		}
		return
	}
	see := "see its options: panelwright options " + c.Kind.Name
	var bad *pipeline.BadOption
	if !errors.As(err, &bad) {
		if !s.faulty {
			s.faulty = true
			led.add(c.mistake("stage "+c.Kind.Name+": "+err.Error(), see))
		}
		return
	}
	if s.meant[bad.Option] {
		s.faulty = true
		return
	}
	if bad.Do != "" {
		see = bad.Do
	}
	m := c.mistake(fmt.Sprintf("stage %s: %s", c.Kind.Name, bad.Error()), see)
	for _, x := range s.cells {
		if !sameOption(x, bad.Option) {
			continue
		}
		if x.failed || !x.known {
			return // it has a mistake already, or the value that it was checked with is not its own
		}
		if x.set {
			m = x.src.mistake(x.at, m.What, m.Do)
			led.add(m)
			return
		}
		break
	}
	if x := c.blockOf(s, bad.Option); x != nil {
		m = *x
		m.What, m.Do = fmt.Sprintf("stage %s: %s", c.Kind.Name, bad.Error()), see
	}
	led.add(m)
}

// sameOption compares a settled option with the name that a stage gives. Of blocks without labels
// the stage may leave the number out when it means the first.
func sameOption(x cell, name string) bool {
	if x.option == name {
		return true
	}
	if len(x.words) == 3 && x.words[1] == "1" {
		return x.words[0]+" "+x.words[2] == name
	}
	return false
}

// blockOf finds the block that a name such as "limit copper-to-edge", or that of an option within one, means,
// in the recipe or in a standard.
func (c *Call) blockOf(s *settler, name string) *Mistake {
	best := -1
	for i, h := range s.heads {
		if (h.name == name || strings.HasPrefix(name, h.name+" ")) && (best < 0 || len(h.name) > len(s.heads[best].name)) {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	m := s.heads[best].src.mistake(s.heads[best].at, "", "")
	return &m
}

// needs checks that every part a stage needs has been given by an earlier one. Parts with a dot in
// their name, such as boards.gauge, are single things: two stages cannot both give them.
func (l *loader) needs(calls []*Call, unknown bool) {
	given := map[string]*Call{}
	ended := map[string]*Call{}
	var names []string
	faulty := unknown
	for _, c := range calls {
		for _, need := range c.parts.Needs {
			if given[need] == nil {
				l.unmet(calls, c, need, names, faulty)
			}
		}
		faulty = faulty || c.faulty
		for _, g := range c.parts.Gives {
			if last := ended[g]; last != nil {
				l.ledger.add(c.at(g, fmt.Sprintf("stage %s gives %s, too late: stage %s on line %d goes by what is there before it", c.Kind.Name, g, last.Kind.Name, last.Where.Line),
					fmt.Sprintf("move it before stage %s", last.Kind.Name)))
			}
			first := given[g]
			if first == nil {
				given[g] = c
				names = append(names, g)
			} else if strings.Contains(g, ".") && first != c {
				l.ledger.add(c.at(g, fmt.Sprintf("duplicate name: stage %s on line %d gives %s already", first.Kind.Name, first.Where.Line, g), "give one of them another name"))
			}
		}
		for _, part := range c.parts.Ends {
			if ended[part] == nil {
				ended[part] = c
			}
		}
	}
}

func (l *loader) unmet(calls []*Call, c *Call, need string, names []string, faulty bool) {
	for _, o := range calls[c.Index+1:] {
		if slices.Contains(o.parts.Gives, need) {
			l.ledger.add(c.at(need, fmt.Sprintf("stage %s needs %s, which stage %s on line %d gives, too late", c.Kind.Name, need, o.Kind.Name, o.Where.Line),
				fmt.Sprintf("move stage %s before it", o.Kind.Name)))
			return
		}
	}
	if faulty {
		return // the stage that gives it may be the one that has a mistake
	}
	do := "add a stage that gives it before this one"
	var givers []string
	for _, name := range slices.Sorted(maps.Keys(l.kinds)) {
		if p, ok := l.kinds[name].New().(pipeline.Parter); ok && slices.Contains(p.Parts().Gives, need) {
			givers = append(givers, name)
		}
	}
	if len(givers) > 0 {
		do = "add a stage before this one: " + strings.Join(givers, " or ")
	}
	l.ledger.add(c.at(need, fmt.Sprintf("stage %s needs %s, which no stage gives%s", c.Kind.Name, need, nearest(need, names)), do))
}

// at points at the option whose text names a part, such as board = "gauge" for boards.gauge, or else
// at the stage's block.
func (c *Call) at(part, what, do string) Mistake {
	_, name, ok := strings.Cut(part, ".")
	if ok {
		for _, a := range c.content.attrs {
			e := c.l.constant(c.l.layers[0])
			e.ledger = &ledger{}
			if v, ok := e.eval(a.expr); ok && v.kind == textKind && v.text == name {
				return a.src.mistake(a.expr.Range(), what, do)
			}
		}
	}
	return c.mistake(what, do)
}

// unused judges the standards' blocks for stages that the recipe does not have.
func (l *loader) unused(calls []*Call) {
	for _, y := range l.layers[1:] {
		for _, name := range slices.Sorted(maps.Keys(y.blocks)) {
			if slices.ContainsFunc(calls, func(c *Call) bool { return c.Kind.Name == name }) {
				continue
			}
			b := y.blocks[name]
			s := &settler{l: l, ledger: l.ledger, kind: name, files: true, lax: true}
			from := []contribution{{y, y.names, y.src.open(b.body, shape(l.options[name]), l.ledger), b.head()}}
			s.body(l.options[name], from, reflect.ValueOf(l.kinds[name].New()).Elem(), nil)
		}
	}
}

// known gives the values of the stages before this one: those of values, and unknown ones of the
// told type for the rest.
func (c *Call) known(values map[string]cty.Value) *node {
	tree := &node{}
	for _, o := range c.l.plan.Calls[:c.Index] {
		for _, g := range o.gives {
			tree.add(g.path, settledValue(g.path, g.t, values), o.Index)
		}
	}
	return tree
}

// Stage makes the call's stage, ready to run: options decoded with the values that earlier stages
// have settled, by dotted path, and checked. An error is of type Mistakes.
func (c *Call) Stage(values map[string]cty.Value) (pipeline.Stage, error) {
	led := &ledger{}
	c.l.budget = mostSteps
	stage, s := c.decode(c.known(values), led, c.l.plan.Calls, false, false)
	for _, x := range s.cells {
		if !x.known && !x.failed {
			led.add(x.src.mistake(x.at, fmt.Sprintf("stage %s: option %s is not known, as %s has not settled it", c.Kind.Name, x.option, c.stageNames(x.after)),
				"this should not happen: a stage settles the values that it has told of"))
		}
	}
	if r, ok := stage.(pipeline.Roler); ok && r.Role() != c.Kind.Role {
		led.add(c.mistake(fmt.Sprintf("stage %s is of the role %s by what earlier stages have settled, and was taken to be of the role %s", c.Kind.Name, r.Role(), c.Kind.Role),
			"its role must not hang on what is not known before the run: write it out"))
	}
	if err := led.err(); err != nil {
		return nil, err
	}
	return stage, nil
}

func (c *Call) stageNames(calls []int) string {
	var n []string
	for _, i := range calls {
		if name := "stage " + c.l.plan.Calls[i].Kind.Name; !slices.Contains(n, name) {
			n = append(n, name)
		}
	}
	return list(n)
}

// PlaceOf gives the place of an option as a stage names it, "limit copper-to-edge at_least", or of a block,
// "limit copper-to-edge": the line of the recipe or standard that sets it. Where none does it is that of the
// block that the option would stand in, at last the stage's own.
func (c *Call) PlaceOf(option string) Place {
	if option == "" {
		return c.Where
	}
	c.l.budget = mostSteps
	_, s := c.decode(c.known(nil), &ledger{}, c.l.plan.Calls, false, false)
	for _, x := range s.cells {
		if sameOption(x, option) && x.src != nil {
			return x.src.place(x.at.Start.Byte)
		}
	}
	if m := c.blockOf(s, option); m != nil {
		return Place{File: m.File, Line: m.Line, Column: m.Column, SourceLine: m.SourceLine, cut: m.cut, offset: m.offset}
	}
	return c.Where
}

// Settled lists every option of the call as it ends up, in the stage's order, with where its value
// comes from. Values of earlier stages that are not among values show as settled by their stage.
func (c *Call) Settled(values map[string]cty.Value) []Setting {
	c.l.budget = mostSteps
	_, s := c.decode(c.known(values), &ledger{}, c.l.plan.Calls, false, false)
	out := make([]Setting, 0, len(s.cells))
	for _, x := range s.cells {
		v := Setting{Option: x.option, Value: x.text, Origin: x.origin}
		if !x.known {
			v.Value, v.Open = "settled by "+c.stageNames(x.after), true
		}
		out = append(out, v)
	}
	return out
}
