package recipe

import (
	"fmt"
	"slices"
)

// AllSuppliers is the word that means every supplier of a recipe; none may be called so.
const AllSuppliers = "all"

// How near layers are: the recipe itself, then what its supplier asks for, then the recipe's own standards.
const (
	ownStandard = iota
	supplierStandard
	recipeItself
)

// overrides tells whether what the layer says counts before what other says.
func (y *layer) overrides(other *layer) bool {
	if y.rank != other.rank {
		return y.rank > other.rank
	}
	return y.reaches(other)
}

// suppliers checks the supplier blocks, and opens the standards of the one that is built for.
func (l *loader) suppliers(y *layer, blocks []*block) {
	chosen := -1
	for _, b := range blocks {
		name, ok := l.labelled(b, `supplier "north" { built_to = ["standards/north.standard.hcl"] }`)
		switch {
		case !ok:
			continue
		case !IsPanelName(name):
			l.ledger.add(b.src.mistake(b.labelAt[0], fmt.Sprintf("the supplier's name %q does not fit file names", short(name)), "use lower-case letters, digits and hyphens, at most 100, such as north-fab"))
		case name == AllSuppliers:
			l.ledger.add(b.src.mistake(b.labelAt[0], "no supplier can be called all, which means every one of them", "give it another name"))
		case slices.Contains(l.plan.Suppliers, name):
			l.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("supplier %s is there twice", name), "keep one of them"))
			continue
		}
		l.plan.Suppliers = append(l.plan.Suppliers, name)
		c := b.src.open(b.body, nil, l.ledger)
		for _, x := range c.blocks {
			l.unknownBlock(x, "block supplier", nil)
		}
		for _, a := range c.attrs {
			if a.name != "built_to" {
				l.ledger.add(y.src.mistake(a.at, fmt.Sprintf("block supplier has no option %q%s", short(a.name), nearest(a.name, []string{"built_to"})), "its option is built_to"))
			}
		}
		a := c.get("built_to")
		switch {
		case a == nil:
			l.ledger.add(b.src.mistake(b.head(), fmt.Sprintf("supplier %s needs the option built_to", name), `write the standards that say what it can make: built_to = ["standards/north.standard.hcl"]`))
		case name == l.settings.Supplier:
			chosen = len(y.builtTo)
			told := len(l.ledger.list)
			l.follow(y, a)
			if len(y.builtTo) == chosen && !l.broken && len(l.ledger.list) == told {
				l.ledger.add(b.src.mistake(a.at, fmt.Sprintf("supplier %s is built to no standard", name), "name one, or take the block out"))
			}
		default: // its files are its own build's matter; that it is a list of paths is said now
			l.paths(y, a)
		}
	}
	y.rank = recipeItself
	if s := l.settings.Supplier; s != "" && !slices.Contains(l.plan.Suppliers, s) {
		do := "its suppliers are " + list(l.plan.Suppliers)
		if len(l.plan.Suppliers) == 0 {
			do = "it has no supplier blocks"
		}
		l.ledger.add(Mistake{File: "--supplier " + short(s), What: fmt.Sprintf("the recipe has no supplier %q%s", short(s), nearest(s, l.plan.Suppliers)), Do: do})
		return
	}
	l.plan.Supplier = l.settings.Supplier
	if chosen < 0 {
		return
	}
	for _, s := range y.builtTo[chosen:] {
		s.rank = supplierStandard
		for _, o := range l.layers[1:] {
			if s.reaches(o) {
				o.rank = supplierStandard
			}
		}
	}
}

// paths checks a list of standards that is not opened.
func (l *loader) paths(y *layer, a *attr) {
	e := l.constant(y)
	if v, ok := e.eval(a.expr); ok {
		l.standards(e, a, v)
	}
}
