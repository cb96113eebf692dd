package recipe

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
)

// content is what a body holds, in the order of the file, in either syntax.
type content struct {
	attrs  []*attr
	blocks []*block
}

type attr struct {
	src  *source
	name string
	at   hcl.Range // the name
	expr hcl.Expression
}

type block struct {
	src     *source
	kind    string
	labels  []string
	at      hcl.Range   // the kind's word
	labelAt []hcl.Range //
	body    hcl.Body
}

// forEditors tells whether it is what JSON files tell editors by: where their schema is.
func (a *attr) forEditors() bool { return a.src.json && a.name == "$schema" }

// get finds an attribute.
func (c content) get(name string) *attr {
	for _, a := range c.attrs {
		if a.name == name {
			return a
		}
	}
	return nil
}

// open lists what a body holds. blocks tells how many labels each kind of block has that may stand
// here: JSON cannot be told apart without it.
func (s *source) open(b hcl.Body, blocks map[string]int, l *ledger) content {
	var c content
	if native, ok := b.(*hclsyntax.Body); ok {
		for _, a := range native.Attributes {
			c.attrs = append(c.attrs, &attr{s, a.Name, a.NameRange, a.Expr})
		}
		for _, x := range native.Blocks {
			c.blocks = append(c.blocks, &block{s, x.Type, x.Labels, x.TypeRange, x.LabelRanges, x.Body})
		}
	} else {
		c = s.openJSON(b, blocks, l)
	}
	slices.SortStableFunc(c.attrs, func(a, b *attr) int { return cmp.Compare(a.at.Start.Byte, b.at.Start.Byte) })
	slices.SortStableFunc(c.blocks, func(a, b *block) int {
		return cmp.Compare(a.body.MissingItemRange().Start.Byte, b.body.MissingItemRange().Start.Byte)
	})
	return c
}

func (s *source) openJSON(b hcl.Body, blocks map[string]int, l *ledger) content {
	var c content
	schema := &hcl.BodySchema{}
	for _, kind := range slices.Sorted(maps.Keys(blocks)) {
		schema.Blocks = append(schema.Blocks, hcl.BlockHeaderSchema{Type: kind, LabelNames: make([]string, blocks[kind])})
		for i := range blocks[kind] {
			schema.Blocks[len(schema.Blocks)-1].LabelNames[i] = "name"
		}
	}
	// The library would take a null for no block: of a stage that would be left out in silence.
	whole, _ := b.JustAttributes()
	for kind, labels := range blocks {
		if a := whole[kind]; a != nil {
			for _, at := range nulls(a.Expr, labels) {
				l.add(s.mistake(at, fmt.Sprintf("null is no block %s", kind), "write {} where it has no options"))
			}
		}
	}
	found, rest, diags := b.PartialContent(schema)
	for _, x := range found.Blocks {
		c.blocks = append(c.blocks, &block{s, x.Type, x.Labels, x.TypeRange, x.LabelRanges, x.Body})
	}
	attrs, more := rest.JustAttributes()
	for _, a := range attrs {
		c.attrs = append(c.attrs, &attr{s, a.Name, a.NameRange, a.Expr})
	}
	diags = append(diags, more...)
	wrongKind := slices.ContainsFunc(diags, func(d *hcl.Diagnostic) bool { return d.Summary == "Incorrect JSON value type" })
	for _, d := range diags {
		if wrongKind && d.Summary == "Missing block label" {
			continue // it follows from the other
		}
		m, _ := s.reword(d)
		l.add(m)
	}
	return c
}

// nulls finds where null stands for a block with so many labels.
func nulls(x hcl.Expression, labels int) (out []hcl.Range) {
	if items, diags := hcl.ExprList(x); !diags.HasErrors() {
		for _, i := range items {
			if labels > 0 { // of one in a list of blocks the library tells itself
				out = append(out, nulls(i, labels)...)
			}
		}
		return out
	}
	if pairs, diags := hcl.ExprMap(x); !diags.HasErrors() {
		for _, p := range pairs {
			if labels > 0 {
				out = append(out, nulls(p.Value, labels-1)...)
			}
		}
		return out
	}
	if v, _ := x.Value(nil); labels == 0 && v.IsNull() {
		out = append(out, x.Range())
	}
	return out
}
