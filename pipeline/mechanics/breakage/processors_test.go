package breakage_test

import (
	"os"
	"os/exec"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Go may fuse a product with a sum, as it does on arm64 and not on amd64 (its specification, Floating-point operators):
// nothing here may be fused, nor call an approximation of package math.
func TestNothingIsFused(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles for another processor")
	}
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags=-S", "panelwright/pipeline/mechanics/breakage")
	cmd.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
	text, err := cmd.CombinedOutput()
	require.NoError(t, err, string(text))
	assert.Greater(t, len(regexp.MustCompile(`breakage/[a-z]+\.go:[0-9]+\)\tFMULD`).FindAll(text, -1)), 50, "this is not the assembly of the package")
	assert.Empty(t, regexp.MustCompile(`breakage/[a-z]+\.go:[0-9]+\)\tF(N?M(ADD|SUB))[DS]`).FindAllString(string(text), -1))
	assert.Empty(t, regexp.MustCompile(`CALL\tmath\.(Sin|Cos|Tan|Atan|Exp|Log|Pow|Hypot|Cbrt)[a-zA-Z0-9]*\(SB\)`).FindAllString(string(text), -1))
}
