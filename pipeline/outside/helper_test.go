package outside

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	programs "panelwright/cmd/program"
	"panelwright/pipeline"
	"panelwright/pipeline/internal/shared"
)

// Source: JSON Schema 2020-12, by the validator ajv (npm, ajv 8). The schema of what a shop's helper answers takes and refuses
// what the table says that the reader takes and refuses, which a test beside the reader holds; the schema of what a helper is
// handed takes the panels of the demo.
func TestHelpersBySchema(t *testing.T) {
	kinds := programs.New("panelwright", "0").Stages
	i := slices.IndexFunc(kinds, func(k pipeline.Kind) bool { return k.Name == "shop_helper" })
	require.GreaterOrEqual(t, i, 0)
	texts := kinds[i].New().(pipeline.Schemer).Schemas()
	dir := t.TempDir()
	table, err := txtar.ParseFile(filepath.Join(root(t), "stages", "shophelper", "testdata", "answers.txtar"))
	require.NoError(t, err)
	var files []string
	put := func(name string, data []byte) {
		at := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(at, data, 0o644))
		files = append(files, at)
	}
	for _, f := range table.Files {
		put(f.Name, f.Data)
	}
	require.Greater(t, len(files), 80)
	for i, faults := range holdJSON(t, texts["out"], files...) {
		name := table.Files[i].Name
		assert.Equal(t, strings.HasPrefix(name, "bad-"), len(faults) > 0, "%s: %v", name, faults)
	}
	shared.Ran(t, "answers of helpers by their schema")

	files = nil
	panels, err := filepath.Glob(filepath.Join(root(t), "testdata", "golden", "*.panel.json"))
	require.NoError(t, err)
	require.Greater(t, len(panels), 5)
	for _, p := range panels {
		data, err := os.ReadFile(p)
		require.NoError(t, err)
		put(filepath.Base(p), fmt.Appendf(nil, `{"contract":1,"helper":"x","role":"judge","name":"a","revision":"A","supplier":"","date":"","settings":{"a":[1]},"outputs":[],
			"layers":["mask-top"],"panel":%s,"findings":[{"rule":"panel-size","severity":"error","message":"m","at_mm":[1,2]}]}`, data))
	}
	put("bad.json", []byte(`{"contract":1,"panel":{}}`))
	found := holdJSON(t, texts["in"], files...)
	for i, faults := range found[:len(panels)] {
		assert.Empty(t, faults, files[i])
	}
	assert.NotEmpty(t, found[len(panels)])
	shared.Ran(t, "what helpers are handed by its schema")
}
