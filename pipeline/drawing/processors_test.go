package drawing_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Places on paper must be the same on every processor, so no product may be fused with a sum, as Go does on arm64 and not
// on amd64, and no approximation of package math may be used. The formats' packages have such tests of their own.
func TestNoFusedProducts(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go command here")
	}
	for _, folder := range []string{".", "place"} {
		sources, err := filepath.Glob(filepath.Join(folder, "*.go"))
		require.NoError(t, err)
		for _, name := range sources { // so that the go command sees a change, as the geometry packages have it
			_, err := os.ReadFile(name)
			require.NoError(t, err)
		}
		path := strings.TrimSuffix("panelwright/pipeline/drawing/"+folder, "/.")
		cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags="+path+"=-S", path)
		cmd.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0", "GOFLAGS=")
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%.2000s", out)
		assert.Contains(t, string(out), path, "this is not the assembly of this package")
		for _, m := range regexp.MustCompile(`\(panelwright/([^()]*\.go:\d+)\)\t(FN?M(?:ADD|SUB)D?)\t`).FindAllStringSubmatch(string(out), -1) {
			t.Errorf("%s: %s: write float64(a*b) + c", m[1], m[2])
		}
		for _, m := range regexp.MustCompile(`\bmath\.([A-Za-z0-9]+)\(SB\)`).FindAllStringSubmatch(string(out), -1) {
			assert.Contains(t, "Abs Ceil Floor Max Min Mod NaN Inf Round Sqrt mod abs ceil floor max min sqrt", strings.TrimPrefix(m[1], "arch"), "differs from one processor to another: geom has SinCos and Atan2")
		}
	}
}
