package recipe

import (
	"path/filepath"
	"slices"
)

// Glance is what a recipe's file says at first sight, before anything in it has been checked.
type Glance struct {
	Panel     string   // as the panel block names it; empty where none does
	Suppliers []string // whom the recipe has blocks for, in its order
	Givens    []string // what may be given from outside, in its order
}

// GlanceAt glances at the recipe at path. What cannot be read says nothing: Load says why.
func GlanceAt(path string) (g Glance) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return g
	}
	data, problem, _ := readBounded(abs)
	if problem != "" {
		return g
	}
	src := newSource(abs, filepath.Base(abs), data)
	if !src.parse(&ledger{}) || src.body == nil {
		return g
	}
	for _, b := range src.open(src.body, recipeBlocks, &ledger{}).blocks {
		if len(b.labels) != 1 {
			continue
		}
		switch name := b.labels[0]; {
		case b.kind == "panel" && g.Panel == "":
			g.Panel = name
		case b.kind == "supplier" && !slices.Contains(g.Suppliers, name):
			g.Suppliers = append(g.Suppliers, name)
		case b.kind == "given" && !slices.Contains(g.Givens, name):
			g.Givens = append(g.Givens, name)
		}
	}
	return g
}
