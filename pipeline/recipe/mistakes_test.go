package recipe

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the texts that mistakes give now into testdata")

const want = "-- want --\n"

// TestMistakes holds the whole text of every mistake against testdata/mistakes, fifty times over:
// the syntax library gives its findings in varying order.
func TestMistakes(t *testing.T) {
	cases, err := filepath.Glob("testdata/mistakes/*.txt")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(cases), 30)
	for _, path := range cases {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txt"), func(t *testing.T) {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			archive, expected, _ := strings.Cut(string(data), want)
			dir := write(t, archive)
			name := filepath.Join(dir, "p.panel.hcl")
			if strings.HasPrefix(archive, "-- p.panel.json") {
				name = filepath.Join(dir, "p.panel.json")
			}
			_, err = Load(name, fakes())
			require.Error(t, err)
			var all Mistakes
			require.True(t, errors.As(err, &all))
			got := err.Error() + "\n"
			if *update {
				require.NoError(t, os.WriteFile(path, []byte(archive+want+got), 0o644))
				return
			}
			require.Equal(t, expected, got)
			for range 50 {
				_, err = Load(name, fakes())
				require.Equal(t, expected, err.Error()+"\n")
			}
			for _, m := range all {
				assert.NotEmpty(t, m.What)
				assert.NotEmpty(t, m.Do, m.What)
				assert.NotContains(t, m.Error(), dir, "a message must not depend on the machine")
			}
		})
	}
}

func TestGivenFromOutside(t *testing.T) {
	const recipe = `-- p.panel.hcl --
panel "p" { revision = "A" }
given "count" { value = 4 }
given "gap" { value = mm(2) }
given "turn" { value = deg(0) }
given "word" { value = "a" }
given "tidy" { value = false }
given "sides" { value = ["upper", "lower"] }
given "widths" { value = [mm(1)] }
given "thing" { value = { a = 1 } }
given "none" { value = [] }
stage "rules" {}
`
	for _, c := range []struct{ name, text, value, mistake string }{
		{"count", "3", "3", ""},
		{"count", " 2.5 ", "2.5", ""},
		{"count", "four", "", "--given count=four: given count must be a plain number\n    write a number, such as 3"},
		{"count", "3 mm", "", "--given count=3 mm: given count is a plain number, and here it has the unit \"mm\"\n    write a number, such as 3"},
		{"cuont", "3", "", "--given cuont=3: the recipe has no given \"cuont\"; nearest: count\n    what may be given: count, gap, none, sides, thing, tidy, turn, widths and word"},
		{"gap", "3", `"3 mm"`, ""},
		{"gap", "70 mil", `"1.778 mm"`, ""},
		{"gap", "3 kg", "", "--given gap=3 kg: given gap has the wrong unit \"kg\"\n    the units of a length are mm, um, mil and in"},
		{"turn", "45deg", `"45 deg"`, ""},
		{"word", "b c", `"b c"`, ""},
		{"tidy", "yes", "true", ""},
		{"tidy", "maybe", "", "--given tidy=maybe: given tidy is true or false\n    write true or false"},
		{"sides", "left,right", `["left", "right"]`, ""},
		{"sides", `["left"]`, `["left"]`, ""},
		{"widths", "1, 80 mil", `["1 mm", "2.032 mm"]`, ""},
		{"thing", "1", "", "--given thing=1: given thing is an object, which cannot be given from outside\n    change it in the recipe"},
		{"none", "1", "", "--given none=1: given none is a list whose kind cannot be told, as its own value is empty\n    give it a value with a member in the recipe"},
	} {
		s := fakes()
		s.Given = map[string]string{c.name: c.text}
		p, err := Load(filepath.Join(write(t, recipe), "p.panel.hcl"), s)
		if c.mistake != "" {
			assert.EqualError(t, err, c.mistake)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, c.value, p.Given[c.name])
	}
}
