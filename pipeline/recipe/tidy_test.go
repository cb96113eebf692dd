package recipe

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTidy(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"empty", "", "\n"},
		{"options line up", "a = 1\nlonger=2 # why\n", "a      = 1\nlonger = 2 # why\n"},
		{"blank lines", "\n\n\nlet {\n\n\n  a = 1\n\n\n\n  b = 2\n\n}\n\n\n", "let {\n  a = 1\n\n  b = 2\n}\n"},
		{"between blocks", "let {\n}\nstage \"x\" {}\n# of y\nstage \"y\" {}\n", "let {\n}\n\nstage \"x\" {}\n\n# of y\nstage \"y\" {}\n"},
		{"a comment that stands off stays off", "let {\n}\n# end\n\nstage \"x\" {}\n", "let {\n}\n# end\n\nstage \"x\" {}\n"},
		{"options beside blocks", "built_to = []\nstandard \"x\" {}\nb = 1\nc = 2\n", "built_to = []\n\nstandard \"x\" {}\n\nb = 1\nc = 2\n"},
		{"an object is no block", "a = {\n  x = 1\n}\nb = 1\n", "a = {\n  x = 1\n}\nb = 1\n"},
		{"inside a block nothing is set apart", "s \"x\" {\n  a {\n  }\n  b {\n  }\n}\n", "s \"x\" {\n  a {\n  }\n  b {\n  }\n}\n"},
		{"ends of lines", "a = 1  \r\n# c \t\r\n\r\nb = 2\r\n", "a = 1\n# c\n\nb = 2\n"},
		{"no end", "a = 1", "a = 1\n"},
		{"a mark at the beginning", "\xef\xbb\xbfa = 1\n", "a = 1\n"},
		{"indent", "let {\n\ta = [\n1,\n\n\n2 ]\n      }\n", "let {\n  a = [\n    1,\n\n  2]\n}\n"},
		{"lists", "a = [\n\n  1,\n\n]\n", "a = [\n  1,\n]\n"},
		{"a text over lines stays", "let {\n  a = <<E\n  x  \n\n\n y\r\nE\n}\n", "let {\n  a = <<E\n  x  \n\n\n y\r\nE\n}\n"},
		{"a comment over lines stays but for blanks at ends", "/* x  \n\n\n  y */\na = 1\n", "/* x\n\n\n  y */\na = 1\n"},
		{"signs in a text", "a = \"x  {  y\"\nb   =  \"${  1+2  }\"\n", "a = \"x  {  y\"\nb = \"${1 + 2}\"\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Tidy("p.panel.hcl", []byte(c.in))
			require.NoError(t, err)
			assert.Equal(t, c.want, string(got))
			again, err := Tidy("p.panel.hcl", got)
			require.NoError(t, err)
			assert.Equal(t, string(got), string(again))
		})
	}
}

func TestTidyJSON(t *testing.T) {
	got, err := Tidy("p.panel.json", []byte(`{"b":1e2,"a":[1,{}], "b":"x"}`))
	require.NoError(t, err)
	assert.Equal(t, "{\n  \"b\": 1e2,\n  \"a\": [\n    1,\n    {}\n  ],\n  \"b\": \"x\"\n}\n", string(got))
}

func TestTidyLeavesMistakesAlone(t *testing.T) {
	_, err := Tidy("p.panel.hcl", []byte("a = \nb = 1\n"))
	require.ErrorContains(t, err, "p.panel.hcl:1:5: ")
	_, err = Tidy("p.panel.json", []byte("{\n\"a\": }"))
	require.ErrorContains(t, err, "p.panel.json:")
}

// TestTidyKeepsMeaning: the project's own recipes and standards, laid out badly, come out as they stand in the repository.
func TestTidyKeepsMeaning(t *testing.T) {
	var files []string
	for _, pattern := range []string{"*.hcl", "standards/*.hcl", "standards/suppliers/*.hcl"} {
		more, err := filepath.Glob(filepath.Join("../../recipes", pattern))
		require.NoError(t, err)
		files = append(files, more...)
	}
	require.Greater(t, len(files), 10)
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		got, err := Tidy(path, data)
		require.NoError(t, err)
		assert.Equal(t, string(data), string(got), "%s is not in canonical layout: run panelwright tidy", path)
		bad := strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(string(data), "  ", "\t"), " = ", "="), "\n", " \r\n")
		got, err = Tidy(path, []byte(strings.ReplaceAll(bad, "\r\n \r\n", "\r\n\r\n\r\n")))
		require.NoError(t, err)
		assert.Equal(t, string(data), string(got), path)
	}
}

// FuzzTidy: what can be laid out says the same, and a second time changes nothing.
func FuzzTidy(f *testing.F) {
	for _, pattern := range []string{"*.hcl", "standards/*.hcl"} {
		files, _ := filepath.Glob(filepath.Join("../../recipes", pattern))
		for _, path := range files {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data, false)
		}
	}
	f.Add([]byte("a = <<E\n ${ 1 +\n 2 }\nE\nb { c = 1 } /* x */ # y\n"), false)
	f.Add([]byte(`{"a": {"b": [1, 2]}}`), true)
	f.Fuzz(func(t *testing.T, data []byte, json bool) {
		name := "p.panel.hcl"
		if json {
			name = "p.panel.json"
		}
		once, err := Tidy(name, data)
		if err != nil {
			return
		}
		twice, err := Tidy(name, once)
		if err != nil {
			t.Fatalf("laid out once it cannot be laid out again: %v\n%s", err, once)
		}
		if string(once) != string(twice) {
			t.Fatalf("a second time changes more:\n%q\n%q", once, twice)
		}
	})
}
