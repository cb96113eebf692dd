package mesh

import (
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/processors"
)

func TestNothingIsFused(t *testing.T) { processors.NothingFused(t, "pipeline/mechanics/mesh") }

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
