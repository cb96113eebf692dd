package dxf

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

// Coordinates must be the same on every processor, so no product may be fused with a sum, as Go does on
// arm64 and not on amd64, and no approximation of package math may be used. The geometry packages have
// such a test of their own.
func TestNoFusedProducts(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go command here")
	}
	// The sources are opened so that the go command does not take a result kept from before a change: on
	// this processor the test's own program may be the same.
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range sources {
		_, err := os.ReadFile(name)
		require.NoError(t, err)
	}
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags=panelwright/pipeline/format/dxf=-S", "panelwright/pipeline/format/dxf")
	cmd.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0", "GOFLAGS=")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%.2000s", out)
	products := 0
	for _, m := range regexp.MustCompile(`\(([^()]*\.go:\d+)\)\t(FN?M(?:ADD|SUB|UL)D?)\t`).FindAllStringSubmatch(string(out), -1) {
		if strings.HasSuffix(m[2], "MULD") {
			products++
			continue
		}
		t.Errorf("%s: %s: write float64(a*b) + c", m[1], m[2])
	}
	assert.Greater(t, products, 50, "this is not the assembly of this package")
	for _, m := range regexp.MustCompile(`\bmath\.([A-Za-z0-9]+)\(SB\)`).FindAllStringSubmatch(string(out), -1) {
		assert.Contains(t, "Abs Ceil Mod NaN Round Sqrt mod abs ceil sqrt", strings.TrimPrefix(m[1], "arch"), "differs from one processor to another: geom has SinCos and Atan2")
	}
}
