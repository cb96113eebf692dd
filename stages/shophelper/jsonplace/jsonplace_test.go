package jsonplace

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFaults(t *testing.T) {
	for _, c := range []struct {
		text         string
		line, column int
		what         string
	}{
		{"", 1, 1, "ends where a value should stand"},
		{"  \n ", 2, 2, "ends where a value should stand"},
		{"{", 1, 2, "has its end where a name in double quotes should stand"},
		{`{"a"`, 1, 5, "has its end where a colon should stand"},
		{`{"a":`, 1, 6, "ends where a value should stand"},
		{`{"a":1`, 1, 7, "has its end where a comma or a closing brace should stand"},
		{"{\n  \"a\": [1, 2\n}", 3, 1, "has '}' where a comma or a closing bracket should stand"},
		{`{"a":1,}`, 1, 8, "has '}' where a name in double quotes should stand"},
		{`{a:1}`, 1, 2, "has 'a' where a name in double quotes should stand"},
		{`{'a':1}`, 1, 2, "has '\\'' where a name in double quotes should stand"},
		{`[1,]`, 1, 4, "has ']' where a value should stand"},
		{`[1 2]`, 1, 4, "has '2' where a comma or a closing bracket should stand"},
		{`[1] x`, 1, 5, "goes on after its end with 'x'"},
		{"{}\n{}", 2, 1, "goes on after its end with '{'"},
		{`{"é":1,"é":2}`, 1, 8, `has the name "é" twice in one object`},
		{`{"a":1,"\u0061":2}`, 1, 8, `has the name "a" twice in one object`},
		{`NaN`, 1, 1, "has NaN, which is no number in JSON"},
		{`[-Infinity]`, 1, 2, "has a number that JSON does not write so: a digit before and after the point, no zero in front"},
		{`[True]`, 1, 2, `has the word "True" where a value should stand; texts stand in double quotes`},
		{`[1e999]`, 1, 2, "has a number beyond all that can be reckoned with: 1e999"},
		{`[01]`, 1, 2, "has a number that JSON does not write so: a digit before and after the point, no zero in front"},
		{`[.5]`, 1, 2, "has '.' where a value should stand"},
		{`[5.]`, 1, 2, "has a number that JSON does not write so: a digit before and after the point, no zero in front"},
		{`[+5]`, 1, 2, "has '+' where a value should stand"},
		{`[1e]`, 1, 2, "has a number that JSON does not write so: a digit before and after the point, no zero in front"},
		{`[0x10]`, 1, 3, "has 'x' where a comma or a closing bracket should stand"},
		{`"abc`, 1, 1, "has a text that does not end"},
		{"\"a\nb\"", 1, 3, "has the control character U+000A within a text; write it as \\u000a"},
		{`"\x"`, 1, 2, "has an escape that JSON does not know; a backslash is written as two"},
		{`"\u12g4"`, 1, 2, "has an escape that is not whole: \\u takes four hexadecimal digits"},
		{`"\u12`, 1, 2, "has an escape that is not whole: \\u takes four hexadecimal digits"},
		{`"\ud800"`, 1, 2, "has half of a character without the other"},
		{`"\ud800\u0041"`, 1, 2, "has half of a character without the other"},
		{`"\udc00"`, 1, 2, "has the second half of a character without the first"},
		{"[\"a\xffb\"]", 1, 4, "holds the byte 0xFF, which is no UTF-8 here"},
		{"\uFEFF{}", 1, 1, "begins with a byte order mark, which JSON does not have"},
		{strings.Repeat("[", 100_000), 1, 66, "holds values more than 64 deep in one another"},
		{strings.Repeat(`{"a":`, 100_000), 1, 326, "holds values more than 64 deep in one another"},
		{"[" + strings.Repeat("0,", MaxValues) + "0]", 1, 2 * MaxValues, "holds more than 1000000 values"},
		{"// x\n{}", 1, 1, "has '/' where a value should stand"},
		{"hello", 1, 1, `has the word "hello" where a value should stand; texts stand in double quotes`},
	} {
		name := c.text[:min(20, len(c.text))]
		_, err := Parse([]byte(c.text))
		var f *Fault
		require.ErrorAs(t, err, &f, name)
		line, column := Place([]byte(c.text), f.At)
		assert.Equal(t, c.what, f.What, name)
		assert.Equal(t, [2]int{c.line, c.column}, [2]int{line, column}, name)
	}
}

func TestValues(t *testing.T) {
	v, err := Parse([]byte(` {"a": [1, -2.5e1, "x\u00e9\ud83d\ude00\n\/", true, false, null, {}, []], "b": 0} `))
	require.NoError(t, err)
	require.Equal(t, Object, v.Kind)
	list := v.Get("a").Items
	require.Len(t, list, 8)
	assert.Equal(t, 1.0, list[0].Number)
	assert.Equal(t, -25.0, list[1].Number)
	assert.Equal(t, "xé😀\n/", list[2].Text)
	assert.Equal(t, []Kind{Bool, Bool, Null, Object, Array}, []Kind{list[3].Kind, list[4].Kind, list[5].Kind, list[6].Kind, list[7].Kind})
	assert.True(t, list[3].Yes)
	assert.False(t, list[4].Yes)
	assert.Nil(t, v.Get("c"))
	assert.Equal(t, 8, list[0].At)
}

// plain gives the value as encoding/json would.
func (v *Value) plain() any {
	switch v.Kind {
	case Bool:
		return v.Yes
	case Number:
		return v.Number
	case String:
		return v.Text
	case Array:
		out := []any{}
		for _, x := range v.Items {
			out = append(out, x.plain())
		}
		return out
	case Object:
		out := map[string]any{}
		for _, f := range v.Fields {
			out[f.Name] = f.Value.plain()
		}
		return out
	}
	return nil
}

// FuzzParse holds the reader against the library's: what is read here is read there alike, and what is refused here is refused
// there too, but for what this one alone refuses.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`{"a":[1,2.5,"x\u00e9",true,null]}`, `[1e5,-0,0.1]`, `{"a":1,"a":2}`, `"\ud83d\ude00"`, "[1,]", "\"\x01\"", `[[[[]]]]`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		v, err := Parse(text)
		var theirs any
		other := json.Unmarshal(text, &theirs)
		if err == nil {
			require.NoError(t, other)
			require.Equal(t, theirs, v.plain())
			return
		}
		var fault *Fault
		require.True(t, errors.As(err, &fault))
		require.LessOrEqual(t, fault.At, len(text))
		Place(text, fault.At)
		if other != nil {
			return
		}
		ours := false
		for _, w := range []string{"twice", "deep", "UTF-8", "half", "byte order"} {
			ours = ours || strings.Contains(fault.What, w)
		}
		require.True(t, ours, "%s", fault.What)
	})
}
