package recipe

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"

	"panelwright/pipeline"
)

// Settings is what a recipe is loaded with.
type Settings struct {
	Kinds          []pipeline.Kind
	Rules          []pipeline.Rule
	Given          map[string]string // from outside: --given k=v
	Supplier       string            // of the recipe's supplier blocks: whom it is built for; empty: nobody in particular
	ProgramVersion string
	// Looks is told each path that loading looks at, be there something or not: recipe, standards, and what options
	// name, some more than once; may be nil. So it is known what may mend a recipe that cannot be loaded.
	Looks func(p pipeline.InPath)
}

// looks tells of a path.
func (s Settings) looks(text, dir string) {
	if s.Looks != nil {
		s.Looks(pipeline.InPath{Text: text, Dir: dir})
	}
}

// Plan is a recipe that has been checked: what to run, in order.
type Plan struct {
	Name, Revision string
	Path           string   // of the recipe, absolute
	Where          Place    // its panel block
	Supplier       string   // whom it is built for; empty: nobody in particular
	Suppliers      []string // whom the recipe has blocks for, in its order
	Calls          []*Call
	Sources        []SourceFile      // the recipe, then its standards in the order in which they are named
	Given          map[string]string // every given value as a recipe would write it
}

// SourceFile is a file that the plan was read from.
type SourceFile struct {
	Path   string // absolute
	Name   string // relative to the recipe's folder, with slashes
	SHA256 string
	Unread bool // its text was handed over: there need be no file
}

// Bounds on a recipe as a whole.
const (
	mostCalls     = 1000
	mostStandards = 100
)

// IsPanelName tells whether a panel may be called so: small letters, digits, and hyphens that do not lead, 100 at most.
func IsPanelName(name string) bool {
	return name != "" && len(name) <= 100 && name[0] != '-' && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// layer is one file: the recipe, or a standard that it or another standard is built to.
type layer struct {
	src     *source
	content content
	builtTo []*layer
	names   *names
	blocks  map[string]*block // a standard's, by stage
	opening bool              // its own built_to is being followed
	rank    int               // how near it is; see overrides
}

// recipeBlocks are the blocks at a recipe's top level, with how many labels they have.
var recipeBlocks = map[string]int{"panel": 1, "given": 1, "let": 0, "supplier": 1, "stage": 1}

// reaches tells whether the layer is built to other, directly or through others.
func (y *layer) reaches(other *layer) bool { return y.reach(other, map[*layer]bool{}) }

func (y *layer) reach(other *layer, seen map[*layer]bool) bool {
	for _, b := range y.builtTo {
		if b == other {
			return true
		}
		if !seen[b] {
			seen[b] = true
			if b.reach(other, seen) {
				return true
			}
		}
	}
	return false
}

type loader struct {
	settings Settings
	kinds    map[string]pipeline.Kind
	options  map[string][]pipeline.Option
	dir      string
	ledger   *ledger
	budget   int
	layers   []*layer // the recipe first
	byPath   map[string]*layer
	broken   bool // a file's syntax is not whole
	plan     *Plan
}

// Load reads the recipe at path and every standard it is built to, and checks them. Mistakes in
// them come back all together, as Mistakes; any other error is the programmer's.
func Load(path string, s Settings) (*Plan, error) {
	if _, err := newLoader(s); err != nil {
		return nil, err
	}
	data, problem, err := readBounded(path)
	if problem != "" {
		return nil, Mistakes{{File: filepath.ToSlash(path), What: sentence(problem, err), Do: "name a recipe, such as gauge.panel.hcl", Withheld: withheld(err)}}
	}
	return load(path, data, s)
}

// LoadText is Load for a recipe that need not be there: data is its text, path where it would lie.
func LoadText(path string, data []byte, s Settings) (*Plan, error) {
	p, err := load(path, data, s)
	if err == nil {
		p.Sources[0].Unread = true
	}
	return p, err
}

func load(path string, data []byte, s Settings) (*Plan, error) {
	l, err := newLoader(s)
	if err != nil {
		return nil, err
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	l.dir, l.plan.Path = filepath.Dir(abs), abs
	s.looks(filepath.Base(abs), l.dir)
	if strings.HasSuffix(abs, ".standard.hcl") || strings.HasSuffix(abs, ".standard.json") {
		return nil, Mistakes{{File: filepath.ToSlash(path), What: "this is a standard, which recipes are built to, not a recipe",
			Do: "name a recipe (*.panel.hcl) that has it in built_to"}}
	}
	l.recipe(l.layer(abs, data))
	if err := l.ledger.err(); err != nil {
		return nil, err
	}
	return l.plan, nil
}

// newLoader makes a loader that has read nothing yet.
func newLoader(s Settings) (*loader, error) {
	l := &loader{settings: s, kinds: map[string]pipeline.Kind{}, options: map[string][]pipeline.Option{},
		ledger: &ledger{}, budget: mostSteps, byPath: map[string]*layer{}, plan: &Plan{Given: map[string]string{}}}
	for _, k := range s.Kinds {
		if _, twice := l.kinds[k.Name]; twice {
			return nil, fmt.Errorf("two kinds of stage are called %q", k.Name)
		}
		options, err := pipeline.OptionsOf(k.New())
		if err != nil {
			return nil, fmt.Errorf("stage %s: %w", k.Name, err)
		}
		l.kinds[k.Name], l.options[k.Name] = k, options
	}
	return l, nil
}

// sentence drops the path from a system's error: the message says it already, and an absolute one
// would differ from machine to machine.
func sentence(problem string, err error) string {
	why := ""
	if pe, ok := err.(*fs.PathError); ok && pe.Err != nil {
		why = pe.Err.Error()
	}
	if why == "" || strings.HasPrefix(problem, "no such file") {
		return strings.TrimSuffix(problem, ": %s")
	}
	return fmt.Sprintf(problem, why)
}

// layer takes in a file; its syntax is read at once.
func (l *loader) layer(abs string, data []byte) *layer {
	name := filepath.Base(abs)
	if rel, err := filepath.Rel(l.dir, abs); err == nil {
		name = filepath.ToSlash(rel)
	}
	src := newSource(abs, name, data)
	y := &layer{src: src, blocks: map[string]*block{}}
	l.byPath[abs] = y
	l.layers = append(l.layers, y)
	l.plan.Sources = append(l.plan.Sources, SourceFile{Path: abs, Name: name, SHA256: src.sum})
	if !src.parse(l.ledger) {
		l.broken = true
	}
	y.names = &names{src: src, ledger: l.ledger, budget: &l.budget, lets: map[string]*let{}}
	return y
}

// recipe checks the recipe's file, its standards and its stages.
func (l *loader) recipe(y *layer) {
	if y.src.body == nil {
		return
	}
	y.content = y.src.open(y.src.body, recipeBlocks, l.ledger)
	var panels, givens, suppliers, stages []*block
	for _, a := range y.content.attrs {
		if a.forEditors() {
			continue
		}
		l.ledger.add(y.src.mistake(a.at, fmt.Sprintf("%s stands outside every block", short(a.name)), "a recipe has blocks at its top level: panel, given, let, supplier and stage"))
	}
	for _, b := range y.content.blocks {
		switch b.kind {
		case "panel":
			panels = append(panels, b)
		case "given":
			givens = append(givens, b)
		case "let":
			l.lets(y, b)
		case "supplier":
			suppliers = append(suppliers, b)
		case "stage":
			stages = append(stages, b)
		default:
			l.unknownBlock(b, "a recipe", []string{"panel", "given", "let", "supplier", "stage"})
		}
	}
	l.panel(y, panels)
	l.suppliers(y, suppliers)
	if l.broken {
		return // what seems missing may stand where the syntax is broken
	}
	l.givens(y, givens)
	for _, layer := range l.layers {
		l.workLets(layer)
	}
	l.stages(y, stages)
}

func (l *loader) unknownBlock(b *block, where string, among []string) {
	do := "its blocks are " + list(among)
	if len(among) == 0 {
		do = "it holds no blocks: write name = value"
	}
	l.ledger.add(b.src.mistake(b.at, fmt.Sprintf("%s has no block %q%s", where, short(b.kind), nearest(b.kind, among)), do))
}

// head is the range of a block's kind and labels.
func (b *block) head() hcl.Range {
	if len(b.labelAt) == 0 {
		return b.at
	}
	last := b.labelAt[len(b.labelAt)-1]
	if b.src.json {
		return last
	}
	return hcl.Range{Filename: b.at.Filename, Start: b.at.Start, End: last.End}
}

// labelled checks that a block has exactly one label.
func (l *loader) labelled(b *block, example string) (string, bool) {
	if len(b.labels) == 1 {
		return b.labels[0], true
	}
	what := fmt.Sprintf("block %s has no name", b.kind)
	if len(b.labels) > 1 {
		what = fmt.Sprintf("block %s has more than one name", b.kind)
	}
	l.ledger.add(b.src.mistake(b.head(), what, "write it as "+example))
	return "", false
}

func (l *loader) panel(y *layer, panels []*block) {
	if len(panels) == 0 {
		if !l.broken {
			l.ledger.add(y.src.mistakeAt(0, 0, "the recipe has no panel block", `begin it with: panel "name" { revision = "A" }`))
		}
		return
	}
	for _, b := range panels[1:] {
		l.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("a recipe makes one panel, and line %d names one already", panels[0].at.Start.Line), "keep one; put the other in a recipe of its own"))
	}
	b := panels[0]
	l.plan.Where = y.src.place(b.at.Start.Byte)
	if y.src.json {
		l.plan.Where = y.src.place(b.head().Start.Byte)
	}
	name, ok := l.labelled(b, `panel "gauge-12up" { … }`)
	if ok && !IsPanelName(name) {
		l.ledger.add(b.src.mistake(b.labelAt[0], fmt.Sprintf("the panel's name %q does not fit file names", short(name)), "use lower-case letters, digits and hyphens, at most 100, such as gauge-12up"))
	}
	l.plan.Name = name
	c := y.src.open(b.body, nil, l.ledger)
	for _, x := range c.blocks {
		l.unknownBlock(x, "block panel", nil)
	}
	for _, a := range c.attrs {
		switch a.name {
		case "revision":
			l.plan.Revision, _ = l.text(y, a, "the panel's revision")
		case "built_to":
			l.follow(y, a)
		default:
			known := []string{"revision", "built_to"}
			l.ledger.add(y.src.mistake(a.at, fmt.Sprintf("block panel has no option %q%s", short(a.name), nearest(a.name, known)), "its options are "+list(known)))
		}
	}
	if c.get("revision") == nil && !l.broken {
		l.ledger.add(b.src.mistake(b.head(), "block panel needs the option revision", `write the panel's own revision: revision = "A"`))
	}
}

// text reads an option that must be a text written out.
func (l *loader) text(y *layer, a *attr, what string) (string, bool) {
	e := l.constant(y)
	v, ok := e.eval(a.expr)
	if ok && (v.unknown || v.kind != textKind || strings.TrimSpace(v.text) == "") {
		e.bad(a.expr.Range(), fmt.Sprintf("%s must be a text, and this is %s", what, v.describe()), fmt.Sprintf(`write it in double quotes: %s = "…"`, a.name))
		return "", false
	}
	return v.text, ok
}

// constant gives an evaluator for values that are written out.
func (l *loader) constant(y *layer) *evaluator {
	return (&names{src: y.src, ledger: l.ledger, budget: &l.budget, constant: true}).evaluator()
}

// follow opens the standards that a file is built to.
func (l *loader) follow(y *layer, a *attr) {
	e := l.constant(y)
	v, ok := e.eval(a.expr)
	if !ok {
		return
	}
	y.opening = true
	defer func() { y.opening = false }()
	seen := map[*layer]bool{}
	for _, item := range l.standards(e, a, v) {
		b := l.standard(y, e, item)
		if b == nil {
			continue
		}
		if seen[b] {
			e.bad(item.at, "this standard is named twice", "keep one of them")
			continue
		}
		seen[b] = true
		y.builtTo = append(y.builtTo, b)
	}
}

// standards gives the paths of a list of standards.
func (l *loader) standards(e *evaluator, a *attr, v value) (items []value) {
	if v.kind == textKind {
		v = listValue([]value{v})
	}
	if v.kind != listKind {
		e.bad(a.expr.Range(), "built_to is a list of standards, and this is "+v.describe(), `write it as built_to = ["standards/hand-break.standard.hcl"]`)
		return nil
	}
	for _, item := range v.items {
		if item.at == (hcl.Range{}) {
			item.at = a.expr.Range()
		}
		if item.kind != textKind {
			e.bad(item.at, "built_to is a list of standards, and this is "+item.describe(), `write each as a text: "standards/hand-break.standard.hcl"`)
			continue
		}
		if what, do := badPath(item.text); what != "" {
			e.bad(item.at, "the standard's path "+what, do)
			continue
		}
		items = append(items, item)
	}
	return items
}

func (l *loader) standard(y *layer, e *evaluator, item value) *layer {
	abs := filepath.Join(y.src.dir, filepath.FromSlash(item.text))
	if b := l.byPath[abs]; b != nil {
		switch {
		case b == l.layers[0]:
			e.bad(item.at, "a recipe cannot be a standard", "name a standard file")
			return nil
		case b.opening:
			e.bad(item.at, fmt.Sprintf("standard %s is built to itself", b.src.name), "break the circle: drop one built_to")
			return nil
		}
		return b
	}
	l.settings.looks(item.text, y.src.dir)
	data, problem, err := readBounded(abs)
	if problem != "" {
		what := "standard " + short(item.text) + ": " + sentence(problem, err)
		if near := pipeline.NearestPath(y.src.dir, item.text); near != "" {
			what += "; nearest: " + near
		}
		m := e.src.mistake(item.at, what, "the path is relative to the folder of the file that names it")
		m.Withheld = withheld(err)
		e.ledger.add(m)
		return nil
	}
	if len(l.layers) > mostStandards {
		e.bad(item.at, fmt.Sprintf("the recipe is built to more than %d standards", mostStandards), "join some of them")
		return nil
	}
	b := l.layer(abs, data)
	if b.src.body == nil {
		return b
	}
	b.content = b.src.open(b.src.body, map[string]int{"standard": 1, "let": 0}, l.ledger)
	for _, a := range b.content.attrs {
		if a.name == "built_to" {
			l.follow(b, a)
			continue
		}
		if a.forEditors() {
			continue
		}
		l.ledger.add(b.src.mistake(a.at, fmt.Sprintf("%s stands outside every block%s", short(a.name), nearest(a.name, []string{"built_to"})),
			`a standard has built_to, let blocks and blocks such as standard "array" { … }`))
	}
	for _, x := range b.content.blocks {
		switch x.kind {
		case "standard":
			l.standardBlock(b, x)
		case "let":
			l.lets(b, x)
		case "stage":
			l.ledger.add(x.src.mistake(x.head(), "a standard adds no stages", `give a stage its values with standard "array" { … }, and write the stage in the recipe`))
		case "given", "panel", "supplier":
			l.ledger.add(x.src.mistake(x.head(), fmt.Sprintf("a standard has no %s block", x.kind), "it belongs in the recipe"))
		default:
			l.unknownBlock(x, "a standard", []string{"standard", "let"})
		}
	}
	return b
}

func (l *loader) standardBlock(y *layer, b *block) {
	name, ok := l.labelled(b, `standard "array" { … }`)
	if !ok {
		return
	}
	if _, known := l.kinds[name]; !known {
		l.unknownStage(b, name)
		return
	}
	if first := y.blocks[name]; first != nil {
		l.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("standard %s is set twice in this file, first on line %d", name, first.at.Start.Line), "join the two blocks"))
		return
	}
	y.blocks[name] = b
}

func (l *loader) unknownStage(b *block, name string) {
	have := slices.Collect(maps.Keys(l.kinds))
	l.ledger.add(b.src.mistake(b.labelAt[0], fmt.Sprintf("there is no stage %q%s", short(name), nearest(name, have)), "see which there are: panelwright options"))
}

// lets takes in a let block.
func (l *loader) lets(y *layer, b *block) {
	if len(b.labels) > 0 {
		l.ledger.add(b.src.mistake(b.head(), "block let takes no name", "write it as let { gap = mm(2) }"))
	}
	c := b.src.open(b.body, nil, l.ledger)
	for _, x := range c.blocks {
		l.ledger.add(x.src.mistake(x.at, fmt.Sprintf("block let holds values, and %s is a block", short(x.kind)), fmt.Sprintf("write %s = …", short(x.kind))))
	}
	for _, a := range c.attrs {
		if first := y.names.lets[a.name]; first != nil {
			l.ledger.add(a.src.mistake(a.at, fmt.Sprintf("let.%s is set twice, first on line %d", short(a.name), first.attr.at.Start.Line), "keep one of them"))
			continue
		}
		y.names.lets[a.name] = &let{attr: a}
	}
}

// workLets works out the lets that nothing reads too, so that their mistakes are told.
func (l *loader) workLets(y *layer) {
	var all []*let
	for _, x := range y.names.lets {
		all = append(all, x)
	}
	slices.SortFunc(all, func(a, b *let) int { return a.attr.at.Start.Byte - b.attr.at.Start.Byte })
	for _, x := range all {
		y.names.work(x)
	}
}

// givens takes in the given blocks and what was given from outside.
func (l *loader) givens(y *layer, blocks []*block) {
	y.names.given = map[string]*given{}
	at := map[string]*block{}
	for _, b := range blocks {
		name, ok := l.labelled(b, `given "columns" { value = 4 }`)
		if !ok {
			continue
		}
		if !hclsyntax.ValidIdentifier(name) {
			l.ledger.add(b.src.mistake(b.labelAt[0], fmt.Sprintf("the given name %q cannot be read as given.NAME", short(name)), "use letters, digits and underscores"))
			continue
		}
		if first := at[name]; first != nil {
			l.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("given %s is declared twice, first on line %d", name, first.at.Start.Line), "keep one of them"))
			continue
		}
		at[name] = b
		y.names.given[name] = l.given(y, b, name)
	}
	have := slices.Collect(maps.Keys(y.names.given))
	for _, k := range slices.Sorted(maps.Keys(l.settings.Given)) {
		text := l.settings.Given[k]
		from := Mistake{File: "--given " + short(k) + "=" + short(text)}
		g := y.names.given[k]
		if g == nil {
			from.What, from.Do = fmt.Sprintf("the recipe has no given %q%s", short(k), nearest(k, have)), "what may be given: "+orNothing(slices.Sorted(slices.Values(have)))
			l.ledger.add(from)
			continue
		}
		if !g.ok {
			continue
		}
		v, what, do := readGiven(text, g.v)
		if what != "" {
			from.What, from.Do = fmt.Sprintf("given %s %s", k, what), do
			l.ledger.add(from)
			g.ok = false
			continue
		}
		v.at = g.v.at
		g.v, g.outside = v, true
		l.plan.Given[k] = v.write()
	}
}

func (l *loader) given(y *layer, b *block, name string) *given {
	g := &given{}
	c := b.src.open(b.body, nil, l.ledger)
	for _, x := range c.blocks {
		l.unknownBlock(x, "block given", nil)
	}
	for _, a := range c.attrs {
		switch a.name {
		case "value":
			e := l.constant(y)
			g.v, g.ok = e.eval(a.expr)
			if g.ok {
				l.plan.Given[name] = g.v.write()
			}
		case "help":
			l.text(y, a, "the help of a given value")
		default:
			known := []string{"value", "help"}
			l.ledger.add(y.src.mistake(a.at, fmt.Sprintf("block given has no option %q%s", short(a.name), nearest(a.name, known)), "its options are "+list(known)))
		}
	}
	if c.get("value") == nil {
		l.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("given %s has no value", name), "write the value it has unless another is given: value = 4"))
	}
	return g
}

// badPath refuses paths that would not mean the same on every machine.
func badPath(text string) (what, do string) {
	switch {
	case strings.TrimSpace(text) == "":
		return "is empty", "write a path relative to this file's folder"
	case strings.ContainsRune(text, '\\'):
		return "has a backslash", "join folders by /"
	case strings.HasPrefix(text, "/"), len(text) > 1 && text[1] == ':', strings.HasPrefix(text, "~"):
		return "is absolute", "write it relative to this file's folder, so that the recipe builds on every machine"
	case strings.ContainsRune(text, 0):
		return "has a character that no file name has", "write it anew"
	}
	return "", ""
}

// exists tells whether an input without glob characters is there.
func exists(dir, text string) bool {
	if strings.ContainsAny(text, "*?[{") {
		return true // what a pattern matches is the reading stage's matter
	}
	_, err := os.Stat(filepath.Join(dir, filepath.FromSlash(text)))
	return err == nil
}
