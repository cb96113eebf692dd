// Package jsonlines writes JSON that is made to be read in a diff: one object, a key a line and a member of a list a line.
package jsonlines

import (
	"bytes"
	"encoding/json"
)

// Object is the object in the making. The zero Object is empty.
type Object struct {
	buf bytes.Buffer
	err error
}

// Key begins a line with a key; a Value must follow.
func (o *Object) Key(k string) {
	sep := ",\n"
	if o.buf.Len() == 0 {
		sep = "{\n"
	}
	o.buf.WriteString(sep + "  \"" + k + "\": ")
}

// Value writes a value as package json has it, on one line, but for &, < and >, which stay as they are.
func (o *Object) Value(v any) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil && o.err == nil {
		o.err = err
	}
	o.buf.Write(bytes.TrimRight(b.Bytes(), "\n"))
}

// Line writes a key and its value.
func (o *Object) Line(k string, v any) {
	o.Key(k)
	o.Value(v)
}

// List writes a key and a list, of each item what f makes of it.
func List[T any](o *Object, k string, items []T, f func(T) any) {
	o.Key(k)
	o.buf.WriteString("[")
	for i, x := range items {
		if i > 0 {
			o.buf.WriteString(",")
		}
		o.buf.WriteString("\n    ")
		o.Value(f(x))
	}
	if len(items) > 0 {
		o.buf.WriteString("\n  ")
	}
	o.buf.WriteString("]")
}

// Done ends the object, which has at least one key. The error is the first that a value could not be written by.
func (o *Object) Done() ([]byte, error) {
	o.buf.WriteString("\n}\n")
	return o.buf.Bytes(), o.err
}

// Indented writes a value as package json has it, indented by two spaces, but for &, < and >, which stay as they are; a newline ends
// it.
func Indented(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
