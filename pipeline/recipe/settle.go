package recipe

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/hashicorp/hcl/v2"

	"panelwright/pipeline"
)

// cell is one settled option: its value and where it came from.
type cell struct {
	option string // "gap", "limit copper-to-edge at_least"
	words  []string
	text   string
	origin string
	src    *source
	at     hcl.Range
	known  bool
	failed bool
	set    bool
	after  []int // the stages that must run before it is known
}

// head is where a block begins, by the name that its options have: "limit copper-to-edge", "feed 2".
type head struct {
	name string
	src  *source
	at   hcl.Range
}

// contribution is one file's block for a stage, or for a labelled block within it.
type contribution struct {
	layer   *layer
	names   *names
	content content
	head    hcl.Range
}

// settler works out the options of one stage from the recipe's block and its standards'.
type settler struct {
	l      *loader
	ledger *ledger
	kind   string
	files  bool
	lax    bool // judges a standard by itself: what is missing may stand elsewhere
	cells  []cell
	heads  []head
	faulty bool
	home   contribution    // the recipe's own block
	meant  map[string]bool // options that a misspelt one is taken for: that they are missing follows from that
}

func (s *settler) add(m Mistake) {
	s.faulty = true
	s.ledger.add(m)
}

// take notes that a misspelt option is taken for this one.
func (s *settler) take(words []string) {
	if s.meant == nil {
		s.meant = map[string]bool{}
	}
	s.meant[strings.Join(words, " ")] = true
}

// nearer keeps the contributions that no other one is built on top of.
func nearer[T any](all []T, layer func(T) *layer) []T {
	var out []T
	for _, a := range all {
		over := false
		for _, b := range all {
			over = over || layer(b) != layer(a) && layer(b).overrides(layer(a))
		}
		if !over {
			out = append(out, a)
		}
	}
	return out
}

// body settles the options defs into target, a struct. within names the block for messages and is
// empty for the stage itself.
func (s *settler) body(defs []pipeline.Option, from []contribution, target reflect.Value, within []string) {
	for _, c := range from {
		s.known(defs, c, within)
	}
	whole := from
	forms := s.forms(defs, from, within)
	for _, d := range defs {
		words := append(slices.Clone(within), d.Name)
		from := whole
		if x, ok := forms[d.Name]; ok {
			from = x
		}
		switch {
		case !d.Block:
			s.option(d, from, target.FieldByName(d.Field), words)
		case d.Each:
			s.each(d, from, target.FieldByName(d.Field), words)
		case len(d.Labels) > 0:
			s.labelled(d, from, target.FieldByName(d.Field), words)
		default:
			s.repeated(d, from, target.FieldByName(d.Field), words)
		}
	}
}

// forms gives, for options that take one another's place, the files whose values count: those nearest by
// whatever form they say it in. One file that says it in two forms, and files side by side that say it in different
// ones, are mistakes.
func (s *settler) forms(defs []pipeline.Option, from []contribution, within []string) map[string][]contribution {
	var out map[string][]contribution
	for _, d := range defs {
		if len(d.Instead) == 0 {
			continue
		}
		said := func(c contribution, name string) bool {
			return c.content.get(name) != nil || slices.ContainsFunc(c.content.blocks, func(b *block) bool { return b.kind == name })
		}
		own := func(c contribution) bool { return said(c, d.Name) }
		other := func(c contribution) bool {
			return slices.ContainsFunc(d.Instead, func(name string) bool { return said(c, name) })
		}
		var all []contribution
		for _, c := range from {
			if own(c) || other(c) {
				all = append(all, c)
			}
		}
		near := nearer(all, func(c contribution) *layer { return c.layer })
		who := strings.Join(append([]string{"stage " + s.kind + ":"}, within...), " ")
		for i, c := range near {
			switch {
			case own(c) && other(c):
				s.add(c.layer.src.mistake(c.head, fmt.Sprintf("%s sets both %s and %s", who, d.Name, strings.Join(d.Instead, " or ")), "keep one of them"))
			case i > 0 && own(c) != own(near[0]) && !s.lax:
				says := func(c contribution) string {
					name := strings.Join(d.Instead, " or ")
					if own(c) {
						name = d.Name
					}
					return fmt.Sprintf("%s says %s", c.layer.src.place(c.head.Start.Byte), name)
				}
				s.add(s.home.layer.src.mistake(s.home.head, fmt.Sprintf("%s: standards disagree: %s and %s", who, says(near[0]), says(c)), "decide it here: write one of them in this stage"))
			}
		}
		if out == nil {
			out = map[string][]contribution{}
		}
		for _, name := range append([]string{d.Name}, d.Instead...) {
			out[name] = near
		}
		for _, x := range defs {
			if x.Beside != d.Name || len(near) == 0 {
				continue
			}
			for _, c := range from { // what a farther file says of its own value is not said of this one
				if !slices.ContainsFunc(near, func(n contribution) bool { return n.layer != c.layer && n.layer.overrides(c.layer) }) {
					out[x.Name] = append(out[x.Name], c)
				}
			}
		}
	}
	return out
}

// known refuses options and blocks that the stage does not have.
func (s *settler) known(defs []pipeline.Option, c contribution, within []string) {
	var options, blocks []string
	for _, d := range defs {
		if d.Block {
			blocks = append(blocks, d.Name)
		} else {
			options = append(options, d.Name)
		}
	}
	who := "stage " + s.kind
	if len(within) > 0 {
		who += ": " + strings.Join(within, " ")
	}
	see := "run: panelwright options " + s.kind
	for _, a := range c.content.attrs {
		if slices.Contains(options, a.name) {
			continue
		}
		if i := slices.IndexFunc(defs, func(d pipeline.Option) bool { return d.Block && d.Name == a.name }); i >= 0 {
			s.ledger.add(a.src.mistake(a.at, fmt.Sprintf("%s: %s is a block", who, a.name), "write it as "+blockExample(defs[i])))
			continue
		}
		do := "see what there is; " + see
		if n := Nearest(a.name, options); n != "" {
			do = "write " + n + ", or " + see
			s.take(append(slices.Clone(within), n))
		}
		s.ledger.add(a.src.mistake(a.at, fmt.Sprintf("%s has no option %q%s", who, short(a.name), nearest(a.name, options)), do))
	}
	for _, b := range c.content.blocks {
		i := slices.IndexFunc(defs, func(d pipeline.Option) bool { return d.Name == b.kind })
		switch {
		case i < 0:
			do := "see what there is; " + see
			if n := Nearest(b.kind, blocks); n != "" {
				do = "write " + n + ", or " + see
			}
			s.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("%s has no block %q%s", who, short(b.kind), nearest(b.kind, blocks)), do))
		case !defs[i].Block:
			s.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("%s: %s is an option, not a block", who, b.kind), fmt.Sprintf("write %s = …", b.kind)))
		case len(b.labels) != len(defs[i].Labels):
			s.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("%s: block %s takes %s in quotes, and here %s", who, b.kind, nameCount(len(defs[i].Labels)), areMembers(len(b.labels))),
				"write it as "+blockExample(defs[i])))
		}
	}
}

func nameCount(n int) string {
	switch n {
	case 0:
		return "no name"
	case 1:
		return "1 name"
	}
	return fmt.Sprintf("%d names", n)
}

func blockExample(d pipeline.Option) string {
	s := d.Name
	for _, l := range d.Labels {
		s += fmt.Sprintf(" %q", l)
	}
	return s + " { … }"
}

// stated is one file's value for an option.
type stated struct {
	c      contribution
	a      *attr
	v      reflect.Value
	known  bool
	failed bool
	given  bool
	after  []int
}

func (s *settler) option(d pipeline.Option, from []contribution, field reflect.Value, words []string) {
	name := strings.Join(words, " ")
	var all []stated
	for _, c := range from {
		if a := c.content.get(d.Name); a != nil {
			all = append(all, s.state(d, c, a, field.Type(), name))
		}
	}
	out := cell{option: name, words: words, text: d.Default, origin: "default", known: true}
	near := nearer(all, func(x stated) *layer { return x.c.layer })
	switch {
	case len(near) == 0:
		switch {
		case !d.Required || s.lax || len(from) == 0:
		case s.meant[name]:
			out.failed, s.faulty = true, true
		default:
			out.failed = true
			s.add(from[0].layer.src.mistake(from[0].head, fmt.Sprintf("stage %s needs the option %s", s.kind, name), fmt.Sprintf("write %s = …: %s", d.Name, d.Help)))
		}
	default:
		x := near[0]
		for _, y := range near[1:] {
			if s.lax || x.failed || y.failed || reflect.DeepEqual(x.v.Interface(), y.v.Interface()) {
				continue
			}
			s.disagree(words, from[0], near)
			out.failed = true
			break
		}
		out.set, out.known, out.after = true, x.known, x.after
		out.failed = out.failed || x.failed
		out.src, out.at = x.a.src, x.a.at
		out.origin = x.a.src.place(x.a.at.Start.Byte).String()
		if x.given {
			out.origin = "given"
		}
		if x.known && !x.failed {
			field.Set(x.v)
			out.text = pipeline.OptionText(x.v.Interface())
		}
	}
	s.cells = append(s.cells, out)
}

func (s *settler) state(d pipeline.Option, c contribution, a *attr, t reflect.Type, name string) stated {
	e := c.names.evaluator()
	e.ledger = s.ledger
	x := stated{c: c, a: a, v: reflect.New(t).Elem()}
	v, ok := e.eval(a.expr)
	x.given = e.given
	for n := range e.calls {
		x.after = append(x.after, n)
	}
	slices.Sort(x.after)
	if !ok {
		x.failed, s.faulty = true, true
		return x
	}
	dec := decoder{src: a.src, ledger: s.ledger, who: fmt.Sprintf("stage %s: option %s", s.kind, name), option: d, at: a.expr.Range(), files: s.files, looks: s.l.settings.looks}
	x.known, ok = dec.decode(v, x.v)
	if !ok {
		x.failed, s.faulty = true, true
	}
	if d.Early && !x.known && !x.failed && s.files {
		dec.bad(v, "must be known before anything runs, and an earlier stage settles what this reads", "write it out, or read a given or let value")
		x.failed, s.faulty = true, true
	}
	return x
}

// disagree points at the recipe's block, which is where the matter can be decided.
func (s *settler) disagree(words []string, block contribution, near []stated) {
	decide := words[len(words)-1] + " = …"
	if block.layer != s.home.layer && len(words) > 1 {
		labels := ""
		for _, w := range words[1 : len(words)-1] {
			labels += " " + pipeline.Quote(w)
		}
		block, decide = s.home, words[0]+labels+" { "+decide+" }"
	}

	var says []string
	for _, x := range near {
		text := "something else"
		if x.known && !x.failed {
			text = pipeline.OptionText(x.v.Interface())
		}
		says = append(says, fmt.Sprintf("%s says %s", x.a.src.place(x.a.at.Start.Byte), text))
	}
	s.add(block.layer.src.mistake(block.head, fmt.Sprintf("stage %s: standards disagree on %s: %s", s.kind, strings.Join(words, " "), list(says)),
		"decide it here: write "+decide))
}

// labelled merges blocks of the same labels option by option.
func (s *settler) labelled(d pipeline.Option, from []contribution, field reflect.Value, words []string) {
	type group struct {
		labels []string
		from   []contribution
	}
	var groups []*group
	for _, c := range from {
		mine := map[string]*block{}
		for _, b := range c.content.blocks {
			if b.kind != d.Name || len(b.labels) != len(d.Labels) {
				continue
			}
			key := strings.Join(b.labels, "\x00")
			if first := mine[key]; first != nil {
				s.add(b.src.mistake(b.head(), fmt.Sprintf("stage %s: %s is set twice in this block, first on line %d", s.kind, strings.Join(append(slices.Clone(words), b.labels...), " "), first.head().Start.Line),
					"keep one of them"))
				continue
			}
			mine[key] = b
			i := slices.IndexFunc(groups, func(g *group) bool { return slices.Equal(g.labels, b.labels) })
			if i < 0 {
				i = len(groups)
				groups = append(groups, &group{labels: b.labels})
			}
			groups[i].from = append(groups[i].from, s.inner(d, c, b))
		}
	}
	for _, g := range groups {
		target := reflect.New(field.Type().Elem()).Elem()
		for i, f := range d.LabelFields {
			target.FieldByName(f).SetString(g.labels[i])
		}
		name := append(slices.Clone(words), g.labels...)
		s.heads = append(s.heads, head{strings.Join(name, " "), g.from[0].layer.src, g.from[0].head})
		s.body(d.Options, g.from, target, name)
		field.Set(reflect.Append(field, target))
	}
	if len(groups) == 0 && d.Required && !s.lax && len(from) > 0 {
		s.missingBlock(d, from[0], words)
	}
}

// each takes the blocks of every file as they stand: those of the recipe first, then its standards', numbered
// by their labels.
func (s *settler) each(d pipeline.Option, from []contribution, field reflect.Value, words []string) {
	count := map[string]int{}
	for _, c := range from {
		for _, b := range c.content.blocks {
			if b.kind != d.Name || len(b.labels) != len(d.Labels) {
				continue
			}
			name := append(slices.Clone(words), b.labels...)
			key := strings.Join(name, "\x00")
			count[key]++
			name = append(name, fmt.Sprint(count[key]))
			own := s.inner(d, c, b)
			at := b.head()
			if b.src.json && len(own.content.attrs) > 0 {
				at = own.content.attrs[0].at // several share one label there
			}
			s.heads = append(s.heads, head{strings.Join(name, " "), b.src, at})
			target := reflect.New(field.Type().Elem()).Elem()
			for i, f := range d.LabelFields {
				target.FieldByName(f).SetString(b.labels[i])
			}
			s.body(d.Options, []contribution{own}, target, name)
			field.Set(reflect.Append(field, target))
		}
	}
	if len(count) == 0 && d.Required && !s.lax && len(from) > 0 {
		s.missingBlock(d, from[0], words)
	}
}

func (s *settler) missingBlock(d pipeline.Option, c contribution, words []string) {
	s.add(c.layer.src.mistake(c.head, fmt.Sprintf("stage %s needs a block %s", s.kind, strings.Join(words, " ")), "write it as "+blockExample(d)+": "+d.Help))
}

func (s *settler) inner(d pipeline.Option, c contribution, b *block) contribution {
	return contribution{c.layer, c.names, b.src.open(b.body, shape(d.Options), s.ledger), b.head()}
}

// shape tells how many labels the blocks among options have.
func shape(options []pipeline.Option) map[string]int {
	m := map[string]int{}
	for _, o := range options {
		if o.Block {
			m[o.Name] = len(o.Labels)
		}
	}
	return m
}

// repeated takes the nearer file's list of blocks without labels as a whole.
func (s *settler) repeated(d pipeline.Option, from []contribution, field reflect.Value, words []string) {
	type run struct {
		c      contribution
		v      reflect.Value
		cells  []cell
		heads  []head
		faulty bool
		first  *block
	}
	var runs []run
	for _, c := range from {
		r := run{c: c, v: reflect.Zero(field.Type())}
		one := *s
		one.cells, one.heads, one.faulty = nil, nil, false
		n := 0
		for _, b := range c.content.blocks {
			if b.kind != d.Name || len(b.labels) != 0 {
				continue
			}
			if r.first == nil {
				r.first = b
			}
			n++
			target := reflect.New(field.Type().Elem()).Elem()
			name := append(slices.Clone(words), fmt.Sprint(n))
			one.heads = append(one.heads, head{strings.Join(name, " "), b.src, b.head()})
			one.body(d.Options, []contribution{s.inner(d, c, b)}, target, name)
			r.v = reflect.Append(r.v, target)
		}
		if n > 0 {
			r.cells, r.heads, r.faulty = one.cells, one.heads, one.faulty
			s.faulty = s.faulty || r.faulty
			runs = append(runs, r)
		}
	}
	near := nearer(runs, func(r run) *layer { return r.c.layer })
	if len(near) == 0 {
		if d.Required && !s.lax && len(from) > 0 {
			s.missingBlock(d, from[0], words)
		}
		return
	}
	for _, r := range near[1:] {
		if !s.lax && !r.faulty && !near[0].faulty && !reflect.DeepEqual(r.v.Interface(), near[0].v.Interface()) {
			a, b := near[0].first, r.first
			s.add(s.home.layer.src.mistake(s.home.head, fmt.Sprintf("stage %s: standards disagree on the blocks %s: they begin at %s and at %s", s.kind, strings.Join(words, " "),
				a.src.place(a.at.Start.Byte), b.src.place(b.at.Start.Byte)), "decide it here: write the blocks in this stage"))
			break
		}
	}
	field.Set(near[0].v)
	s.cells, s.heads = append(s.cells, near[0].cells...), append(s.heads, near[0].heads...)
}
