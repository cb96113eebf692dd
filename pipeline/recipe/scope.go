package recipe

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strings"

	"github.com/zclconf/go-cty/cty"
)

// names is what the expressions of one file may read.
type names struct {
	src    *source
	ledger *ledger
	budget *int
	given  map[string]*given // nil in a standard
	lets   map[string]*let
	depth  int
	// constant is for values that may read no others.
	constant bool
	// Of a recipe's stages: what earlier stages settle, and all that any stage settles. Both are nil
	// where such values cannot be read.
	tree  *node
	later func(path []string) (*trouble, int)
	// faulty tells that an earlier stage has mistakes, so that a value may be missing because of them.
	faulty bool
}

type given struct {
	v       value
	ok      bool
	outside bool // overridden
}

// let is one name of a let block; it is worked out when it is first read.
type let struct {
	attr  *attr
	state int // 0 not yet, 1 being worked out, 2 done
	v     value
	ok    bool
	given bool
}

const deepestLet = 200

func (n *names) evaluator() *evaluator {
	return &evaluator{src: n.src, scope: n, ledger: n.ledger, budget: n.budget, calls: map[int]bool{}}
}

// look resolves given.x, let.x and what earlier stages settle.
func (n *names) look(e *evaluator, path []string) (value, int, *trouble) {
	if n.constant {
		do := "only functions such as mm() may stand in it"
		if len(path) == 1 {
			do = fmt.Sprintf("a text stands in double quotes: %q", short(path[0]))
		}
		return value{}, len(path), &trouble{what: "this value is written out: it reads no others", do: do}
	}
	switch path[0] {
	case "given":
		return n.lookGiven(e, path)
	case "let":
		return n.lookLet(e, path)
	}
	return n.lookStage(e, path)
}

func (n *names) lookGiven(e *evaluator, path []string) (value, int, *trouble) {
	if n.given == nil {
		return value{}, 1, &trouble{what: "a standard reads no given values", do: "a recipe reads them; write the value out here"}
	}
	have := slices.Collect(maps.Keys(n.given))
	if len(path) < 2 {
		return value{}, 1, &trouble{what: "given is no value by itself", do: "write given.NAME"}
	}
	g, ok := n.given[path[1]]
	if !ok {
		return value{}, 2, &trouble{what: fmt.Sprintf("the recipe has no given %q%s", short(path[1]), nearest(path[1], have)),
			do: fmt.Sprintf("declare it: given %q { value = … }", short(path[1]))}
	}
	if !g.ok {
		return value{}, 2, &trouble{quiet: true}
	}
	e.given = e.given || g.outside
	return g.v, 2, nil
}

func (n *names) lookLet(e *evaluator, path []string) (value, int, *trouble) {
	if len(path) < 2 {
		return value{}, 1, &trouble{what: "let is no value by itself", do: "write let.NAME"}
	}
	have := slices.Collect(maps.Keys(n.lets))
	x, ok := n.lets[path[1]]
	if !ok {
		return value{}, 2, &trouble{what: fmt.Sprintf("this file has no let.%s%s", short(path[1]), nearest(path[1], have)),
			do: fmt.Sprintf("name it: let { %s = … }", short(path[1]))}
	}
	if x.state == 1 {
		return value{}, 2, &trouble{what: fmt.Sprintf("let.%s builds on itself", path[1]), do: "break the circle: write one of its values out"}
	}
	n.work(x)
	if !x.ok {
		return value{}, 2, &trouble{quiet: true}
	}
	e.given = e.given || x.given
	return x.v, 2, nil
}

// work works a let out.
func (n *names) work(x *let) {
	if x.state != 0 {
		return
	}
	x.state = 1
	defer func() { x.state = 2 }()
	if n.depth++; n.depth > deepestLet {
		n.depth--
		n.ledger.add(n.src.mistake(x.attr.at, fmt.Sprintf("let values build on one another more than %d deep", deepestLet), "write them more simply"))
		return
	}
	inner := *n
	inner.tree, inner.later = nil, nil
	e := inner.evaluator()
	x.v, x.ok = e.eval(x.attr.expr)
	x.given = e.given
	n.depth--
}

func (n *names) lookStage(e *evaluator, path []string) (value, int, *trouble) {
	roots := []string{"let"}
	if n.given != nil {
		roots = append(roots, "given")
	}
	if n.tree == nil {
		do := "an expression here reads " + list(roots) + " only"
		if len(path) == 1 {
			do = fmt.Sprintf("a text stands in double quotes: %q", short(path[0]))
		}
		return value{}, 1, &trouble{what: fmt.Sprintf("nothing is called %q here%s", short(path[0]), nearest(path[0], roots)), do: do}
	}
	at := n.tree
	for i, step := range path {
		next, ok := at.kids[step]
		if !ok {
			if t, took := n.later(path); t != nil {
				return value{}, took, t
			}
			return value{}, i + 1, n.missing(at, path[:i+1], roots, len(path) == 1)
		}
		if at = next; at.leaf {
			e.calls[at.call] = true
			return at.v, i + 1, nil
		}
	}
	at.callsInto(e.calls)
	return at.value(), len(path), nil
}

func (n *names) missing(at *node, path, roots []string, bare bool) *trouble {
	full := strings.Join(path, ".")
	if n.faulty {
		return &trouble{quiet: true}
	}
	have := slices.Sorted(maps.Keys(at.kids))
	last := path[len(path)-1]
	if len(path) > 1 {
		return &trouble{what: fmt.Sprintf("no earlier stage settles %s%s", short(full), nearest(last, have)),
			do: fmt.Sprintf("what %s holds: %s", strings.Join(path[:len(path)-1], "."), orNothing(have))}
	}
	have = append(have, roots...)
	slices.Sort(have)
	do := "an expression here reads " + list(have)
	if bare {
		do = fmt.Sprintf("a text stands in double quotes: %q; an expression reads %s", short(full), list(have))
	}
	return &trouble{what: fmt.Sprintf("nothing is called %q here%s", short(full), nearest(full, have)), do: do}
}

// node is one step of the dotted paths that stages settle values by.
type node struct {
	kids map[string]*node
	leaf bool
	v    value
	call int // the stage that settles it
}

// add puts a value in; it gives the stage that has settled the path before, -1 when none has.
func (n *node) add(path string, v value, call int) int {
	for _, step := range strings.Split(path, ".") {
		if n.leaf {
			return n.call
		}
		if n.kids == nil {
			n.kids = map[string]*node{}
		}
		if n.kids[step] == nil {
			n.kids[step] = &node{call: call}
		}
		n = n.kids[step]
	}
	if n.leaf || len(n.kids) > 0 {
		return n.call
	}
	n.leaf, n.v, n.call = true, v, call
	return -1
}

func (n *node) value() value {
	if n.leaf {
		return n.v
	}
	fields := map[string]value{}
	for name, k := range n.kids {
		fields[name] = k.value()
	}
	return objectValue(fields)
}

func (n *node) callsInto(calls map[int]bool) {
	if n.leaf {
		calls[n.call] = true
	}
	for _, k := range n.kids {
		k.callsInto(calls)
	}
}

// settle finds a path's value among those a run has settled, or an unknown one of its type.
func settledValue(path string, t cty.Type, values map[string]cty.Value) value {
	if v, ok := values[path]; ok {
		return fromCty(v)
	}
	return fromCty(cty.UnknownVal(t))
}

// readGiven reads a text from outside by the kind of the value it replaces.
func readGiven(text string, was value) (v value, what, do string) {
	text = strings.TrimSpace(text)
	switch was.kind {
	case textKind:
		return textValue(text), "", ""
	case yesNoKind:
		switch text {
		case "true", "yes":
			return yesNoValue(true), "", ""
		case "false", "no":
			return yesNoValue(false), "", ""
		}
		return value{}, "is true or false", "write true or false"
	case numberKind:
		return readGivenNumber(text, was)
	case listKind:
		if len(was.items) == 0 {
			return value{}, "is a list whose kind cannot be told, as its own value is empty", "give it a value with a member in the recipe"
		}
		var items []value
		for _, part := range strings.Split(strings.Trim(text, "[]"), ",") {
			part = strings.TrimSpace(part)
			if n := len(part); n >= 2 && part[0] == '"' && part[n-1] == '"' {
				part = part[1 : n-1]
			}
			item, what, do := readGiven(part, was.items[0])
			if what != "" {
				return value{}, "is a list, and a member " + what, do
			}
			items = append(items, item)
		}
		return listValue(items), "", ""
	}
	return value{}, "is an object, which cannot be given from outside", "change it in the recipe"
}

func readGivenNumber(text string, was value) (v value, what, do string) {
	var units []unit
	example := "a number, such as 3"
	switch was.measure {
	case length:
		units, example = lengthUnits, `3, or "3 mm" with its unit`
	case angle:
		units, example = angleUnits, `45, or "45 deg"`
	}
	var r *big.Rat
	var found string
	var number bool
	for _, set := range [][]unit{units, {{"", big.NewRat(1, 1)}}} {
		if r, found, number = readMeasure(text, set); r != nil {
			if tooLarge(r) {
				break
			}
			return numberValue(r, was.measure), "", ""
		}
	}
	switch {
	case number && found != "" && units != nil:
		return value{}, fmt.Sprintf("has the wrong unit %q", found), unitsOf(was.measure, units)
	case number && found != "":
		return value{}, fmt.Sprintf("is a plain number, and here it has the unit %q", found), "write " + example
	}
	return value{}, "must be " + was.measure.String(), "write " + example
}
