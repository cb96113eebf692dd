package schema

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"panelwright/stages/shophelper/jsonplace"
)

// Fault is one thing that a document has otherwise than described.
type Fault struct {
	At      int    // byte offset
	Pointer string // JSON Pointer (RFC 6901); empty: the whole document
	What    string // a sentence without its subject: "must be a number, and is a text"
}

// Check gives what a document has otherwise than described, in the order of its text, as far as most faults.
func (d *Document) Check(v *jsonplace.Value, most int) []Fault {
	c := &checker{most: most}
	c.check(d.Root, v, "")
	return c.faults
}

type checker struct {
	faults []Fault
	most   int
}

func (c *checker) fault(at int, pointer, format string, a ...any) {
	if len(c.faults) < c.most {
		c.faults = append(c.faults, Fault{at, pointer, fmt.Sprintf(format, a...)})
	}
}

var kinds = map[Type]jsonplace.Kind{Object: jsonplace.Object, List: jsonplace.Array, Text: jsonplace.String, Number: jsonplace.Number,
	Count: jsonplace.Number, YesNo: jsonplace.Bool}

func (c *checker) check(n *Node, v *jsonplace.Value, at string) {
	if len(c.faults) >= c.most || n.Type == Any {
		return
	}
	if n.Type == Several {
		var words []string
		for _, t := range n.OneOf {
			if v.Kind == kinds[t] {
				return
			}
			words = append(words, kinds[t].String())
		}
		c.fault(v.At, at, "must be %s, and is %s", strings.Join(words, " or "), v.Kind)
		return
	}
	if v.Kind != kinds[n.Type] {
		c.fault(v.At, at, "must be %s, and is %s", kinds[n.Type], v.Kind)
		return
	}
	switch n.Type {
	case Object:
		c.object(n, v, at)
	case List:
		if len(v.Items) < n.Least || n.Most > 0 && len(v.Items) > n.Most {
			c.fault(v.At, at, "must have %s, and has %d", extent(n.Least, n.Most, "member", "members"), len(v.Items))
		}
		for i, x := range v.Items {
			c.check(n.Item, x, at+"/"+strconv.Itoa(i))
		}
	case Text:
		c.text(n, v, at)
	case Number, Count:
		c.number(n, v, at)
	}
}

func (c *checker) object(n *Node, v *jsonplace.Value, at string) {
	for _, f := range v.Fields {
		pointer := at + "/" + escape(f.Name)
		if i := slices.IndexFunc(n.Props, func(p Prop) bool { return p.Name == f.Name }); i >= 0 {
			c.check(n.Props[i].Node, f.Value, pointer)
			continue
		}
		switch {
		case n.Map != nil && n.fitsName(f.Name):
			c.check(n.Map, f.Value, pointer)
		case n.Map != nil:
			c.fault(f.At, pointer, "is no name that may stand here: names fit %s", n.Names)
		case !n.Open:
			c.fault(f.At, pointer, "is not known here; known are %s", names(n.Props))
		}
	}
	for _, p := range n.Props {
		if p.Required && v.Get(p.Name) == nil {
			c.fault(v.At, at, "lacks %s", p.Name)
		}
	}
	for _, w := range n.When {
		is := v.Get(w.Name)
		if is == nil || is.Kind != jsonplace.String || !slices.Contains(w.Is, is.Text) {
			continue
		}
		for _, name := range w.Needs {
			if v.Get(name) == nil {
				c.fault(v.At, at, "lacks %s, which %s %s needs", name, w.Name, is.Text)
			}
		}
		for _, name := range w.Bars {
			if x := v.Get(name); x != nil {
				c.fault(x.At, at+"/"+escape(name), "cannot stand beside %s %s", w.Name, is.Text)
			}
		}
	}
}

func (c *checker) text(n *Node, v *jsonplace.Value, at string) {
	switch count := utf8.RuneCountInString(v.Text); {
	case n.Choices != nil && !slices.Contains(n.Choices, v.Text):
		c.fault(v.At, at, "must be one of %s, and is %s", strings.Join(n.Choices, ", "), short(v.Text))
	case count < n.Least || n.Most > 0 && count > n.Most:
		c.fault(v.At, at, "must have %s, and has %d", extent(n.Least, n.Most, "character", "characters"), count)
	case n.Pattern != "" && !n.fitsPattern(v.Text):
		c.fault(v.At, at, "must fit %s, and is %s", n.Pattern, short(v.Text))
	}
}

func (c *checker) number(n *Node, v *jsonplace.Value, at string) {
	f := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	switch x := v.Number; {
	case n.Type == Count && x != math.Trunc(x):
		c.fault(v.At, at, "must be a whole number, and is %s", f(x))
	case n.Const != nil && x != *n.Const:
		c.fault(v.At, at, "must be %s, and is %s", f(*n.Const), f(x))
	case n.Low != nil && x < *n.Low:
		c.fault(v.At, at, "must be at least %s, and is %s", f(*n.Low), f(x))
	case n.Above != nil && x <= *n.Above:
		c.fault(v.At, at, "must be more than %s, and is %s", f(*n.Above), f(x))
	case n.High != nil && x > *n.High:
		c.fault(v.At, at, "must be at most %s, and is %s", f(*n.High), f(x))
	}
}

func (n *Node) fitsPattern(s string) bool {
	if n.pattern == nil {
		n.pattern = regexp.MustCompile(n.Pattern)
	}
	return n.pattern.MatchString(s)
}

func (n *Node) fitsName(s string) bool {
	if n.names == nil {
		n.names = regexp.MustCompile(n.Names)
	}
	return n.names.MatchString(s)
}

func names(all []Prop) string {
	var out []string
	for _, p := range all {
		out = append(out, p.Name)
	}
	return strings.Join(out, ", ")
}

// extent words how many there may be.
func extent(least, most int, one, many string) string {
	word := many
	if most == 1 || most == 0 && least == 1 {
		word = one
	}
	switch {
	case least == most:
		return fmt.Sprintf("%d %s", least, word)
	case most == 0:
		return fmt.Sprintf("at least %d %s", least, word)
	case least == 0:
		return fmt.Sprintf("at most %d %s", most, word)
	}
	return fmt.Sprintf("%d to %d %s", least, most, many)
}

func short(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "…"
	}
	return strconv.Quote(s)
}

// escape writes a name as a JSON Pointer has it.
func escape(name string) string {
	return strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1")
}
