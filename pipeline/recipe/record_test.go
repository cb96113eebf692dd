package recipe

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// recordable is the fakes with an array that may stand at a recipe's beginning: records are read for stages
// of that role only, and this one has every kind of option and block.
func recordable() Settings {
	s := fakes()
	s.Kinds[1].Role = pipeline.Source
	return s
}

// What Settled gives of a recipe makes the same stages again.
func TestRecordedStagesAreTheSame(t *testing.T) {
	dir := write(t, `
-- panels/gauge.panel.hcl --
panel "gauge" {
  revision = "C"
  built_to = ["../shop/near.standard.hcl"]
}
given "columns" { value = 3 }
stage "board" {
  name      = "gauge"
  revision  = "a \"b\" \\ $${c}"
  thickness = "1.2 mm"
}
stage "array" {
  board             = "gauge"
  columns           = given.columns
  gap               = 2
  turn              = "22.5 deg"
  turn_every_second = "row"
  fit_within        = [100, "4 in"]
  share             = 0.25
  tidy              = true
  pinned "A1" { at = 3 }
  pinned "in the middle" {
    at   = "1 mm"
    edge = "upper"
  }
  spot { x = 1 }
  spot {
    x = 2
    y = 3
  }
}
-- shop/near.standard.hcl --
standard "board" {
  files = ["../boards/gauge", "../boards/*/\"x\".gbr"]
}
`)
	home := filepath.Join(dir, "panels")
	plan, err := Load(filepath.Join(home, "gauge.panel.hcl"), recordable())
	require.NoError(t, err)
	var calls []Recorded
	for _, c := range plan.Calls {
		calls = append(calls, Recorded{c.Kind.Name, c.Settled(nil)})
	}
	again, err := FromRecord(home, calls, recordable())
	require.NoError(t, err)
	require.Len(t, again.Calls, len(plan.Calls))
	for i, c := range plan.Calls {
		want, err := c.Stage(nil)
		require.NoError(t, err)
		got, err := again.Calls[i].Stage(nil)
		require.NoError(t, err)
		if b, ok := want.(*boardStage); ok {
			// A standard's paths are relative to its own folder, recorded ones to the recipe's: the same files.
			for k := range b.Files {
				f := got.(*boardStage).Files
				assert.Equal(t, filepath.Join(b.Files[k].Dir, b.Files[k].Text), filepath.Join(f[k].Dir, f[k].Text))
				f[k] = b.Files[k]
			}
			require.Len(t, b.Files, 2)
		}
		assert.Equal(t, want, got)
	}
}

func TestRecordsThatAreRefused(t *testing.T) {
	board := func(more ...Setting) []Recorded {
		return []Recorded{{"board", append([]Setting{{Option: "name", Value: `"gauge"`}, {Option: "files", Value: `["."]`}}, more...)}}
	}
	for _, c := range []struct {
		name  string
		calls []Recorded
		want  string
	}{
		{"no such option", board(Setting{Option: "color", Value: "1"}), `stage board has no option "color", which is recorded`},
		{"out of range", board(Setting{Option: "thickness", Value: `"11 mm"`}), "stage board: option thickness"},
		{"no value at all", board(Setting{Option: "thickness", Value: `"`}), "recorded values:7:16: this text is not closed"},
		{"more than a value", board(Setting{Option: "thickness", Value: "1\n}"}), "is none that a build records"},
		{"no such stage", []Recorded{{"shop_board", nil}}, `"shop_board"`},
		{"no such folder", []Recorded{{"board", []Setting{{Option: "name", Value: `"gauge"`}, {Option: "files", Value: `["elsewhere"]`}}}}, "no such file or folder: elsewhere"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := FromRecord(t.TempDir(), c.calls, fakes())
			require.ErrorContains(t, err, c.want)
			require.ErrorAs(t, err, new(Mistakes))
		})
	}
	_, err := FromRecord(t.TempDir(), board(), fakes())
	require.NoError(t, err)
}
