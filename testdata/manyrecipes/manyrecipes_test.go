package main

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/testdata/demoboards/boards"
)

// tree gives the files below dir by name.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		data, err := os.ReadFile(at)
		rel, _ := filepath.Rel(dir, at)
		files[filepath.ToSlash(rel)] = string(data)
		return err
	}))
	return files
}

func TestEqualFlagsGiveEqualBytes(t *testing.T) {
	first, second := t.TempDir(), t.TempDir()
	m := many{recipes: 30, boards: 2, seed: 7, faults: 4}
	require.NoError(t, run(m, first, io.Discard))
	require.NoError(t, run(m, second, io.Discard))
	got := tree(t, first)
	require.Equal(t, got, tree(t, second))
	recipes := 0
	for name := range got {
		if strings.HasSuffix(name, ".panel.hcl") {
			recipes++
		}
	}
	assert.Equal(t, 30, recipes)
	assert.Contains(t, got, "boards/gauge_01/gauge_01_copper_1_top.gbr")
	assert.Contains(t, got, "standards/suppliers/millrace.standard.hcl")
}

// four are boards as far as recipes know them.
func four() (set []boards.Made) {
	for i, name := range []string{"gauge_01", "relay_02", "logger_03", "gauge_04"} {
		set = append(set, boards.Made{Name: name, PartNumber: "RG-1", Revision: "A", Layers: 2, Square: i%2 == 0})
	}
	return set
}

// Every board has its share of recipes, and of every kind of recipe there are some.
func TestRecipesDiffer(t *testing.T) {
	recipes, builds := many{recipes: 400, boards: 4, seed: 1}.texts(four())
	assert.Greater(t, builds, 410)
	has, names := map[string]int{}, map[string]bool{}
	for _, r := range recipes {
		names[r.name] = true
		for _, what := range []string{"boards/gauge_01", "boards/relay_02", "boards/logger_03", "boards/gauge_04", "score_lines", "breakoff_tabs", `"left", "right"`,
			"supplier ", "beside ", "legend", "columns = 2", "columns = 3", "rows    = 3", "mm(2.4)"} {
			if strings.Contains(r.text, what) {
				has[what]++
			}
		}
	}
	for what, n := range has {
		assert.Greater(t, n, 5, what)
		if strings.HasPrefix(what, "boards/") {
			assert.GreaterOrEqual(t, n, 100, what)
		}
	}
	assert.Len(t, has, 14)
	assert.Len(t, names, 400)
	other, _ := many{recipes: 400, boards: 4, seed: 2}.texts(four())
	assert.NotEqual(t, recipes, other)
}

// Every fault finds its place in every recipe.
func TestFaultsSpoil(t *testing.T) {
	for _, faulty := range []int{0, 1, 20, 400} {
		good, _ := many{recipes: 400, boards: 4, seed: 1}.texts(four())
		bad, _ := many{recipes: 400, boards: 4, seed: 1, faults: faulty}.texts(four())
		spoiled := 0
		for i, r := range bad {
			if r.text != good[i].text {
				spoiled++
			}
		}
		assert.Equal(t, faulty, spoiled)
	}
}

func TestWhatCannotBeMadeIsRefused(t *testing.T) {
	assert.EqualError(t, run(many{recipes: 1, boards: 1}, "", io.Discard), "where to? name a folder with -o")
	assert.EqualError(t, run(many{recipes: 0, boards: 1}, "x", io.Discard), "1 to 100000 recipes over 1 to 1000 boards can be made")
	assert.EqualError(t, run(many{recipes: 2, boards: 1, faults: 3}, "x", io.Discard), "of 2 recipes 3 cannot fail")
	full := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(full, "x"), nil, 0o644))
	assert.EqualError(t, run(many{recipes: 1, boards: 1}, full, io.Discard), full+" is not empty")
}
