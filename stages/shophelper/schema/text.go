package schema

import (
	"bytes"
	"encoding/json"
	"slices"

	"panelwright/pipeline/jsonlines"
)

// Draft is the edition of JSON Schema that Text writes.
const Draft = "https://json-schema.org/draft/2020-12/schema"

// Text prints the description as JSON Schema, indented, in a stable order.
func (d *Document) Text() []byte {
	w := &writer{defs: map[string]*Node{}}
	root := w.node(d.Root)
	all := object{{"$schema", Draft}, {"title", d.Title}}
	all = append(all, root...)
	if len(w.order) > 0 {
		var defs object
		for i := 0; i < len(w.order); i++ { // definitions may name others
			defs = append(defs, entry{w.order[i], w.node(w.defs[w.order[i]])})
		}
		slices.SortFunc(defs, func(a, b entry) int { return bytes.Compare([]byte(a.name), []byte(b.name)) })
		all = append(all, entry{"$defs", defs})
	}
	out, err := jsonlines.Indented(all)
	if err != nil {
		panic(err) // all of it is made here
	}
	return out
}

// object is an object whose names keep their order.
type object []entry

type entry struct {
	name  string
	value any
}

// MarshalJSON writes the names in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, x := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := e.Encode(x.name); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := e.Encode(x.value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

type writer struct {
	defs  map[string]*Node
	order []string
}

// use writes a node where it is used: those with a name by their name.
func (w *writer) use(n *Node) object {
	if n.Ref == "" {
		return w.node(n)
	}
	if w.defs[n.Ref] == nil {
		w.defs[n.Ref] = n
		w.order = append(w.order, n.Ref)
	}
	return object{{"$ref", "#/$defs/" + n.Ref}}
}

func (w *writer) node(n *Node) object {
	var out object
	put := func(name string, value any) { out = append(out, entry{name, value}) }
	if n.About != "" {
		put("description", n.About)
	}
	switch n.Type {
	case Any:
	case Several:
		put("type", n.OneOf)
	default:
		put("type", n.Type)
	}
	for _, x := range []struct {
		name string
		v    *float64
	}{{"const", n.Const}, {"minimum", n.Low}, {"exclusiveMinimum", n.Above}, {"maximum", n.High}} {
		if x.v != nil {
			put(x.name, *x.v)
		}
	}
	if n.Choices != nil {
		put("enum", n.Choices)
	}
	if n.Pattern != "" {
		put("pattern", n.Pattern)
	}
	least, most := "minLength", "maxLength"
	if n.Type == List {
		least, most = "minItems", "maxItems"
		put("items", w.use(n.Item))
	}
	if n.Least > 0 {
		put(least, n.Least)
	}
	if n.Most > 0 {
		put(most, n.Most)
	}
	if n.Type == Object {
		w.object(n, put)
	}
	return out
}

func (w *writer) object(n *Node, put func(string, any)) {
	props := object{}
	var required []string
	for _, p := range n.Props {
		props = append(props, entry{p.Name, w.use(p.Node)})
		if p.Required {
			required = append(required, p.Name)
		}
	}
	if len(props) > 0 {
		put("properties", props)
	}
	if required != nil {
		put("required", required)
	}
	switch {
	case n.Map != nil:
		put("propertyNames", object{{"pattern", n.Names}})
		put("additionalProperties", w.use(n.Map))
	case !n.Open:
		put("additionalProperties", false)
	}
	var all []object
	for _, x := range n.When {
		then := object{}
		if len(x.Needs) > 0 {
			then = append(then, entry{"required", x.Needs})
		}
		if len(x.Bars) > 0 {
			bars := object{}
			for _, name := range x.Bars {
				bars = append(bars, entry{name, false})
			}
			then = append(then, entry{"properties", bars})
		}
		all = append(all, object{
			{"if", object{{"properties", object{{x.Name, object{{"enum", x.Is}}}}}, {"required", []string{x.Name}}}},
			{"then", then},
		})
	}
	if all != nil {
		put("allOf", all)
	}
}
