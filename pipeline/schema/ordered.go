package schema

import (
	"bytes"
	"encoding/json"
	"slices"
)

// object is a JSON object whose members stay in the order in which they were set: people read schemas too.
type object struct {
	names  []string
	values []any
}

// of makes an object of names and values that follow one another.
func of(pairs ...any) *object {
	o := &object{}
	for i := 0; i+1 < len(pairs); i += 2 {
		o.set(pairs[i].(string), pairs[i+1])
	}
	return o
}

func (o *object) set(name string, value any) *object {
	o.names, o.values = append(o.names, name), append(o.values, value)
	return o
}

// merge sets the members of another object behind those that are there.
func (o *object) merge(x *object) *object {
	o.names, o.values = append(o.names, x.names...), append(o.values, x.values...)
	return o
}

func (o *object) has(name string) bool { return slices.Contains(o.names, name) }

// MarshalJSON writes the members in their order.
func (o *object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, name := range o.names {
		if i > 0 {
			b.WriteByte(',')
		}
		for _, x := range []any{name, o.values[i]} {
			text, err := plain(x)
			if err != nil {
				return nil, err
			}
			b.Write(text)
			b.WriteByte(':')
		}
		b.Truncate(b.Len() - 1)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// plain is json.Marshal that leaves <, > and & as they are.
func plain(x any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(x)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// text writes a schema as a file.
func (o *object) text() ([]byte, error) {
	flat, err := plain(o)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := json.Indent(&b, flat, "", "  "); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}
