// Package processors helps tests to see that a package reckons the same on every processor.
package processors

import (
	"os"
	"os/exec"
	"path"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NothingFused compiles a package of the project for arm64 and looks at its assembly: Go may fuse a product with a sum, as it
// does there and not on amd64 (its specification, Floating-point operators), and package math's approximations differ
// between processors. Neither may stand in the package. folder is the package's, from the project's root.
func NothingFused(t testing.TB, folder string) {
	t.Helper()
	if testing.Short() {
		t.Skip("compiles for another processor")
	}
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags=-S", "panelwright/"+folder)
	cmd.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
	text, err := cmd.CombinedOutput()
	require.NoError(t, err, string(text))
	find := func(what string) []string {
		return regexp.MustCompile(`\b`+path.Base(folder)+`/\w+\.go:\d+\)\t`+what).FindAllString(string(text), -1)
	}
	assert.Greater(t, len(find(`FN?MULD`)), 2, "this is not the assembly of the package")
	assert.Empty(t, find(`FN?M(ADD|SUB)[DS]`))
	// The compiler puts math.Sin's body in its caller's place: then it is math.sin that is called, from a line of package math.
	assert.Empty(t, regexp.MustCompile(`CALL\tmath\.(?i:a?(sin|cos|tan)|exp|log|pow|hypot|cbrt)\w*\(SB\)`).FindAllString(string(text), -1))
}
