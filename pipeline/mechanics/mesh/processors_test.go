package mesh

import (
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Go may fuse a product with a sum, as it does on arm64 and not on amd64 (its specification, Floating-point operators):
// nothing here may be fused. Nor may package math's approximations be called, which differ from one processor to another.
func TestNothingIsFused(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles for another processor")
	}
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags=-S", "panelwright/pipeline/mechanics/mesh")
	cmd.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
	text, err := cmd.CombinedOutput()
	require.NoError(t, err, string(text))
	assert.Greater(t, len(regexp.MustCompile(`mesh/[a-z]+\.go:[0-9]+\)\tFMULD`).FindAll(text, -1)), 50, "this is not the assembly of the package")
	assert.Empty(t, regexp.MustCompile(`mesh/[a-z]+\.go:[0-9]+\)\tF(N?M(ADD|SUB))[DS]`).FindAllString(string(text), -1))
	assert.Empty(t, regexp.MustCompile(`\bmath\.(Sin|Cos|Tan|A|E|L|P|Hypot|Cbrt)\w*\(SB\)`).FindAllString(string(text), -1))
}

var update = flag.Bool("update", false, "write the digests anew")

// digest is a short name for all that a mesh says.
func digest(m *Mesh) string {
	h := sha256.New()
	put := func(v any) {
		if err := binary.Write(h, binary.LittleEndian, v); err != nil {
			panic(err)
		}
	}
	put(m.Nodes)
	put(m.Triangles)
	put(m.Piece)
	for _, l := range m.Lines {
		put(int32(len(l)))
		put(l)
	}
	put(m.Points)
	put(m.Border)
	return fmt.Sprintf("%x", h.Sum(nil)[:12])
}

// TestSameOnEveryProcessor holds digests of meshes against those kept in testdata, which every processor must have.
func TestSameOnEveryProcessor(t *testing.T) {
	var lines []string
	for kind, name := range sceneKinds {
		for s := range uint64(2) {
			m, err := Make(t.Context(), scene(t, kind, 1<<60+s))
			require.NoError(t, err)
			lines = append(lines, fmt.Sprintf("%s  %s, %d nodes", digest(m), name, len(m.Nodes)))
		}
	}
	name := filepath.Join("testdata", "digests.txt")
	got := strings.Join(lines, "\n") + "\n"
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(name, []byte(got), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}
