package pipeline_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "panelwright"

// packageImports is one package and what it imports of the project, both without the module's name.
type packageImports struct{ path, imports string }

// mayImport says, for each part of the project, what of the project its own code may import. The
// first row that fits a package holds. A trailing /... takes in the folder and all below it.
//
// This is the order in which data flow: formats know nothing of panels, the panel nothing of formats,
// pipeline nothing of stages; stages meet in the panel model only; only stages that read or write,
// and what reads back, touch a codec.
var mayImport = []struct {
	part string
	may  []string
}{
	{"pipeline/geom/...", []string{"pipeline/geom/..."}},
	{"pipeline/internal/...", []string{"pipeline/geom/...", "pipeline/internal/..."}},
	{"pipeline/jsonlines", nil},
	{"pipeline/markdown/...", nil},
	{"pipeline/panel/artwork", []string{"pipeline/geom/..."}},
	{"pipeline/panel/...", []string{"pipeline/geom/...", "pipeline/panel/...", "pipeline/jsonlines"}},
	{"pipeline/drawing/...", []string{"pipeline/geom/...", "pipeline/drawing/..."}},
	{"pipeline/format/netlist/...", []string{"pipeline/geom/...", "pipeline/panel/artwork", "pipeline/format", "pipeline/format/netlist/...", "pipeline/panel"}},
	{"pipeline/format/*/...", []string{"pipeline/geom/...", "pipeline/panel/artwork", "pipeline/drawing/...", "pipeline/format", "pipeline/format/*/..."}},
	{"pipeline/format", []string{"pipeline/geom/..."}},
	{"pipeline/rule/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/rule/...", "pipeline/mechanics/..."}},
	{"pipeline/mechanics/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/mechanics/..."}},
	{"pipeline/proof/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/format/...", "pipeline/proof/..."}},
	{"pipeline/rout/...", []string{"pipeline", "pipeline/geom/..."}},
	{"pipeline/outside/...", []string{"pipeline/..."}},
	{"pipeline/recipe/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/recipe/..."}},
	{"pipeline/run/...", []string{"pipeline", "pipeline/jsonlines", "pipeline/geom/...", "pipeline/panel/...", "pipeline/recipe/...", "pipeline/proof/...", "pipeline/run/...",
		"pipeline/format/sarif", "pipeline/format/junit"}},
	{"pipeline/compare/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/format/...", "pipeline/run", "pipeline/markdown", "pipeline/compare/..."}},
	{"pipeline/known/...", []string{"pipeline", "pipeline/run", "pipeline/recipe", "pipeline/known/..."}},
	{"pipeline/reach/...", []string{"pipeline", "pipeline/run", "pipeline/reach/..."}},
	{"pipeline/changed/...", []string{"pipeline", "pipeline/recipe", "pipeline/run", "pipeline/reach", "pipeline/changed/..."}},
	{"pipeline/watch/...", []string{"pipeline", "pipeline/run", "pipeline/reach", "pipeline/watch/..."}},
	{"pipeline/store/...", []string{"pipeline", "pipeline/run", "pipeline/known", "pipeline/store/..."}},
	{"pipeline/summary/...", []string{"pipeline", "pipeline/jsonlines", "pipeline/run", "pipeline/format/junit", "pipeline/markdown", "pipeline/summary/..."}},
	{"pipeline/batch/...", []string{"pipeline", "pipeline/recipe", "pipeline/run", "pipeline/known", "pipeline/store", "pipeline/summary", "pipeline/batch/..."}},
	{"pipeline/returned/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/format/...", "pipeline/returned/..."}},
	{"pipeline/stagetest/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/recipe/...", "pipeline/run/...", "pipeline/stagetest/..."}},
	{"pipeline/schema/...", []string{"pipeline", "pipeline/schema/..."}},
	{"pipeline/cli/...", []string{"pipeline/..."}},
	{"pipeline", []string{"pipeline/geom/...", "pipeline/panel/..."}},

	{"stages", []string{"pipeline", "stages/*"}},
	{"stages/internal/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "stages/internal/..."}},
	{"stages/board/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/format/...", "stages/internal/...", "stages/board/..."}},
	{"stages/writereport/...", []string{"pipeline", "pipeline/jsonlines", "pipeline/geom/...", "pipeline/panel/...", "pipeline/mechanics", "pipeline/rout/...", "pipeline/drawing/...", "pipeline/format/...", "stages/internal/...", "stages/=/..."}},
	{"stages/write*/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/rout/...", "pipeline/drawing/...", "pipeline/format/...", "stages/internal/...", "stages/=/..."}},
	{"stages/rules/...", []string{"pipeline", "pipeline/geom/...", "pipeline/panel/...", "pipeline/rule/...", "stages/internal/...", "stages/rules/..."}},
	{"stages/breakofftabs/holding/...", []string{"pipeline/geom/..."}},
	{"stages/*/...", []string{"pipeline", "pipeline/jsonlines", "pipeline/geom/...", "pipeline/panel/...", "pipeline/mechanics/...", "stages/internal/...", "stages/=/..."}},

	{"cmd/...", []string{"pipeline/...", "stages", "cmd/..."}},
	{"testdata/...", []string{"pipeline/...", "testdata/..."}},
}

// fits says whether a path is what a pattern means: * is any one folder, a name ending in * any that
// begins so, /... the folder and all below it; "=" is the folder of the same place in self.
func fits(pattern, path, self string) bool {
	ps, xs, ss := strings.Split(pattern, "/"), strings.Split(path, "/"), strings.Split(self, "/")
	for i, p := range ps {
		if p == "..." {
			return true
		}
		if i >= len(xs) {
			return false
		}
		switch {
		case p == "=":
			if i >= len(ss) || xs[i] != ss[i] {
				return false
			}
		case strings.HasSuffix(p, "*"):
			if !strings.HasPrefix(xs[i], strings.TrimSuffix(p, "*")) {
				return false
			}
		case p != xs[i]:
			return false
		}
	}
	return len(ps) == len(xs)
}

// wrongImports gives those that no row allows, as sentences.
func wrongImports(all []packageImports) []string {
	var wrong []string
	for _, x := range all {
		row := slices.IndexFunc(mayImport, func(r struct {
			part string
			may  []string
		}) bool {
			return fits(r.part, x.path, x.path)
		})
		switch {
		case row < 0:
			wrong = append(wrong, fmt.Sprintf("no row of mayImport is for package %s: say there what it may import", x.path))
		case !slices.ContainsFunc(mayImport[row].may, func(p string) bool { return fits(p, x.imports, x.path) }):
			wrong = append(wrong, fmt.Sprintf("%s must not import %s", x.path, x.imports))
		}
	}
	slices.Sort(wrong)
	return slices.Compact(wrong)
}

// TestImportDirections enforces the direction of imports in the code itself. Tests may import more:
// a stage's test may read back what it wrote.
func TestImportDirections(t *testing.T) {
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Imports", module+"/...")
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	require.NoError(t, err, said.String())
	var all []packageImports
	packages := 0
	for in := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := in.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else {
			require.NoError(t, err)
		}
		packages++
		for _, i := range p.Imports {
			if own, ok := strings.CutPrefix(i, module+"/"); ok {
				all = append(all, packageImports{strings.TrimPrefix(p.ImportPath, module+"/"), own})
			}
		}
	}
	require.Greater(t, packages, 5, "go list found next to nothing")
	require.NotEmpty(t, all)
	for _, w := range wrongImports(all) {
		t.Error(w)
	}
}

// TestWrongImportsAreSeen: the table refuses what it must refuse.
func TestWrongImportsAreSeen(t *testing.T) {
	for _, c := range []struct {
		path, imports string
		ok            bool
	}{
		{"pipeline/geom", "pipeline/panel", false},
		{"pipeline/panel", "pipeline/format/gerber", false},
		{"pipeline/panel", "pipeline/geom", true},
		{"pipeline/panel/artwork", "pipeline/panel", false},
		{"pipeline/format/gerber", "pipeline/panel", false},
		{"pipeline/format/gerber", "pipeline/panel/artwork", true},
		{"pipeline/format/gerber", "pipeline/format", true},
		{"pipeline/format/netlist", "pipeline/panel", true},
		{"pipeline/format/centroid", "pipeline", false},
		{"pipeline", "stages", false},
		{"pipeline/cli", "stages/array", false},
		{"pipeline/run", "stages", false},
		{"pipeline/run", "pipeline/format/xnc", false},
		{"stages/array", "stages/rails", false},
		{"stages/array", "stages/array/cell", true},
		{"stages/array", "pipeline/format/gerber", false},
		{"stages/board", "pipeline/format/gerber", true},
		{"stages/writefab", "pipeline/format/gerber", true},
		{"stages/writefab", "stages/writeassembly", false},
		{"stages/writefab", "pipeline/mechanics", false},
		{"stages/writereport", "pipeline/mechanics", true},
		{"stages/writefab", "stages/writefab/parts", true},
		{"stages/rules", "pipeline/format/gerber", false},
		{"stages", "stages/array", true},
		{"cmd/panelwright", "stages", true},
		{"cmd/panelwright", "stages/array", false},
		{"elsewhere", "pipeline", false},
	} {
		assert.Equal(t, c.ok, len(wrongImports([]packageImports{{c.path, c.imports}})) == 0, "%s imports %s", c.path, c.imports)
	}
}
