package gerber

import (
	"bytes"
	"os"
	"path/filepath"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// layers gives the layer files under a folder of the shared data, by what stands in them.
func layers(t testing.TB, folders ...string) map[string][]byte {
	out := map[string][]byte{}
	for _, f := range folders {
		root := shared.Dir(t, f)
		require.NoError(t, filepath.Walk(root, func(path string, info os.FileInfo, err error) error {
			if err != nil || info.IsDir() {
				return err
			}
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			if bytes.Contains(data, []byte("%FS")) && filepath.Ext(path) != ".md" || filepath.Ext(path) == ".gbr" {
				rel, _ := filepath.Rel(filepath.Dir(root), path)
				out[rel] = data
			}
			return nil
		}))
	}
	return out
}

func names(m map[string][]byte) []string {
	var out []string
	for n := range m {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}

func TestReadEveryBoard(t *testing.T) {
	files := layers(t, "boards")
	for _, name := range names(files) {
		_, rep, err := Read(name, files[name], Options{})
		if err != nil {
			t.Error(err)
			continue
		}
		if testing.Verbose() {
			t.Log(name, rep)
		}
	}
}
