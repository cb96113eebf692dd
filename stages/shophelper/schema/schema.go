// Package schema describes JSON documents once, for two uses: Text prints the description as JSON Schema (draft 2020-12), and
// Check holds a document against it. What the one accepts, the other accepts.
package schema

import (
	"regexp"
)

// Node describes a value.
type Node struct {
	Type  Type
	About string // one or two sentences
	Ref   string // its name among the definitions; empty: it is described where it stands
	// Of an object: its names. Others are refused unless it is Open; a Map is of any names that fit Names.
	Props []Prop
	Open  bool
	Map   *Node
	Names string // a regular expression
	When  []When
	// Of a list: what each member is, and how many there may be.
	Item        *Node
	Least, Most int // Most 0: no bound. Of a text: how many characters
	// Of a number, nil: no bound.
	Low, High *float64
	Above     *float64 // exclusive
	// Of a text.
	Choices []string
	Pattern string // a regular expression, of what ECMA-262 and Go understand alike
	// Const is the one number that there is, nil: any.
	Const *float64
	// Of a value that may be of several types: one of these.
	OneOf []Type

	pattern, names *regexp.Regexp
}

// Type is the type of a value.
type Type string

// The types of JSON Schema. Any is whatever there is.
const (
	Any     Type = ""
	Object  Type = "object"
	List    Type = "array"
	Text    Type = "string"
	Number  Type = "number"
	Count   Type = "integer"
	YesNo   Type = "boolean"
	Several Type = "several" // those of OneOf
)

// Prop is one name of an object.
type Prop struct {
	Name     string
	Node     *Node
	Required bool
}

// When says what else an object must have, and must not have, when one of its texts is among some.
type When struct {
	Name  string
	Is    []string
	Needs []string
	Bars  []string
}

// Document is a whole description.
type Document struct {
	Title string
	Root  *Node
}

// F makes a bound.
func F(v float64) *float64 { return &v }
