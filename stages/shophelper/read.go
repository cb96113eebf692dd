package shophelper

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/shophelper/jsonplace"
	"panelwright/stages/shophelper/schema"
)

// mostFaults is how many faults of an answer are told at once.
const mostFaults = 8

// said is an answer that is as described.
type said struct {
	additions additions
	findings  []finding
	log       []string
	values    map[string]value
}

// place is where in an answer something stands.
type place struct {
	text    []byte
	value   *jsonplace.Value
	pointer string
}

// String gives the place as messages have it.
func (p place) String() string {
	return placeWords(p.text, p.value.At, p.pointer)
}

func placeWords(text []byte, at int, pointer string) string {
	line, column := jsonplace.Place(text, at)
	if pointer == "" {
		return fmt.Sprintf("line %d, column %d:", line, column)
	}
	return fmt.Sprintf("line %d, column %d: %s", line, column, pointer)
}

// below gives the place of a name of the object at a place, or of the number of a member of a list.
func (p place) below(name string) place {
	p.pointer += "/" + name
	if v := p.value.Get(name); v != nil {
		p.value = v
	} else if i, err := strconv.Atoi(name); err == nil && i < len(p.value.Items) {
		p.value = p.value.Items[i]
	}
	return p
}

// value is a value for later stages.
type value struct {
	place
	is cty.Value
}

// wrong words a fault of an answer that is as described and does not fit the panel or the recipe.
func (h *ShopHelper) wrong(p place, what string) error {
	return fmt.Errorf("%s: its output cannot be taken\n    %s %s", h.title(), p, what)
}

// read takes an answer that must be as described.
func (h *ShopHelper) read(text []byte, program string) (said, error) {
	shown := func(faults []schema.Fault, more bool) error {
		var b strings.Builder
		fmt.Fprintf(&b, "%s: its output is not as the contract has it", h.title())
		for _, f := range faults {
			fmt.Fprintf(&b, "\n    %s %s", placeWords(text, f.At, f.Pointer), f.What)
		}
		if more {
			b.WriteString("\n    and more")
		}
		if program == "" {
			program = "panelwright"
		}
		fmt.Fprintf(&b, "\n    see what it may be: %s options --schema shop_helper out", program)
		return errors.New(b.String())
	}
	if len(strings.TrimSpace(string(text))) == 0 {
		return said{}, fmt.Errorf("%s: printed nothing\n    a helper that has nothing to say prints {\"contract\": %d}", h.title(), pipeline.Contract)
	}
	root, err := jsonplace.Parse(text)
	if err != nil {
		var f *jsonplace.Fault
		if !errors.As(err, &f) {
			return said{}, err
		}
		line, column := jsonplace.Place(text, f.At)
		return said{}, fmt.Errorf("%s: its output is no JSON that can be read\n    line %d, column %d: %s\n    print the answer and nothing else on standard output; words for people go to standard error", h.title(), line, column, f.What)
	}
	// Another contract's answer is not judged by this one.
	if root.Kind == jsonplace.Object {
		switch v := root.Get("contract"); {
		case v == nil:
			return said{}, shown([]schema.Fault{{At: root.At, What: fmt.Sprintf("lacks contract, the version that it is written for: \"contract\": %d", pipeline.Contract)}}, false)
		case v.Kind == jsonplace.Number && v.Number != pipeline.Contract:
			return said{}, fmt.Errorf("%s: its output is written for contract %v, and this program serves contract %d\n    %s\n    use a helper and a program that go together", h.title(), v.Number, pipeline.Contract,
				placeWords(text, v.At, "/contract"))
		}
	}
	if faults := answer().Check(root, mostFaults+1); len(faults) > 0 {
		return said{}, shown(faults[:min(len(faults), mostFaults)], len(faults) > mostFaults)
	}
	return (&reader{text}).answer(root), nil
}

// reader takes the answer out of the document, which has been checked.
type reader struct{ text []byte }

func (r *reader) place(v *jsonplace.Value, pointer string) place {
	return place{r.text, v, pointer}
}

func (r *reader) answer(root *jsonplace.Value) said {
	var s said
	if a := root.Get("additions"); a != nil {
		s.additions = r.additions(a)
	}
	r.each(root, "findings", "", func(v *jsonplace.Value, p string) { s.findings = append(s.findings, r.finding(v, p)) })
	r.each(root, "log", "", func(v *jsonplace.Value, _ string) { s.log = append(s.log, v.Text) })
	if v := root.Get("values"); v != nil {
		s.values = map[string]value{}
		for _, f := range v.Fields {
			x := value{place: r.place(f.Value, "/values/"+f.Name)}
			switch f.Value.Kind {
			case jsonplace.Number:
				x.is = cty.NumberFloatVal(f.Value.Number)
			case jsonplace.String:
				x.is = cty.StringVal(f.Value.Text)
			default:
				x.is = cty.BoolVal(f.Value.Yes)
			}
			s.values[f.Name] = x
		}
	}
	return s
}

// each goes through a list that may be left out.
func (r *reader) each(in *jsonplace.Value, name, pointer string, do func(v *jsonplace.Value, pointer string)) {
	list := in.Get(name)
	if list == nil {
		return
	}
	for i, v := range list.Items {
		do(v, fmt.Sprintf("%s/%s/%d", pointer, name, i))
	}
}

func textOf(v *jsonplace.Value, name string) string {
	if x := v.Get(name); x != nil {
		return x.Text
	}
	return ""
}

func textsOf(v *jsonplace.Value, name string) (out []string) {
	if x := v.Get(name); x != nil {
		for _, i := range x.Items {
			out = append(out, i.Text)
		}
	}
	return out
}

// lengthOf gives a length, rounded to the nanometre; 0 where there is none.
func lengthOf(v *jsonplace.Value, name string) geom.Length {
	if x := v.Get(name); x != nil {
		return geom.FromMM(x.Number)
	}
	return 0
}

func pointOf(v *jsonplace.Value) geom.Point {
	return geom.Pt(geom.FromMM(v.Items[0].Number), geom.FromMM(v.Items[1].Number))
}

func pointsOf(v *jsonplace.Value) []geom.Point {
	out := make([]geom.Point, len(v.Items))
	for i, x := range v.Items {
		out[i] = pointOf(x)
	}
	return out
}

// finding is a finding of an answer.
type finding struct {
	place
	is pipeline.Finding
}

func (r *reader) finding(v *jsonplace.Value, p string) finding {
	f := pipeline.Finding{Rule: textOf(v, "rule"), Severity: pipeline.Severity(textOf(v, "severity")), Message: textOf(v, "message"), Feature: textOf(v, "feature"),
		Copies: textsOf(v, "copies"), Unit: textOf(v, "unit"), Source: textOf(v, "source")}
	if x := v.Get("at_mm"); x != nil {
		at := pointOf(x)
		f.At = &at
	}
	if x := v.Get("measured"); x != nil {
		f.Measured = &x.Number
	}
	if x := v.Get("limit"); x != nil {
		f.Limit = &x.Number
	}
	return finding{r.place(v, p), f}
}

// findings holds the findings against the panel and the helper's name.
func (h *ShopHelper) findings(in panel.Panel, list []finding) ([]pipeline.Finding, error) {
	known := map[string]bool{}
	for _, c := range in.Copies() {
		known[c.ID] = true
	}
	var out []pipeline.Finding
	for _, f := range list {
		prefix := h.rulePrefix()
		if !strings.HasPrefix(f.is.Rule, prefix) {
			return nil, h.wrong(f.below("rule"), fmt.Sprintf("must begin with %s, and is %s", prefix, f.is.Rule))
		}
		for _, c := range f.is.Copies {
			if !known[c] {
				return nil, h.wrong(f.below("copies"), fmt.Sprintf("names %q, and the panel has no such copy", c))
			}
		}
		out = append(out, f.is)
	}
	return out, nil
}
