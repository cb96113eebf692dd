package corpus_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/internal/corpus"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// TestTableNamesEveryFile: each file of the open data has one row, and each row its files.
func TestTableNamesEveryFile(t *testing.T) {
	root := filepath.Dir(shared.Dir(t, "corpus"))
	var files, named []string
	for _, part := range []string{"boards", "corpus"} {
		err := filepath.WalkDir(shared.Dir(t, part), func(path string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				files = append(files, path)
			}
			return err
		})
		require.NoError(t, err)
	}
	for _, r := range corpus.All() {
		found, err := r.Find(root)
		require.NoError(t, err)
		named = append(named, found...)
	}
	slices.Sort(files)
	slices.Sort(named)
	require.Equal(t, files, named)
	require.Greater(t, len(files), 400)
}

// TestReadingGivesWhatTheTableSays reads every layer and drill file and holds the objects, or the
// refusal, against the table.
func TestReadingGivesWhatTheTableSays(t *testing.T) {
	root := filepath.Dir(shared.Dir(t, "corpus"))
	for _, r := range corpus.All() {
		if r.Kind == corpus.Other {
			require.NotEmpty(t, r.Why, r.Path)
			continue
		}
		t.Run(r.Path, func(t *testing.T) {
			found, err := r.Find(root)
			require.NoError(t, err)
			data, err := os.ReadFile(found[0])
			require.NoError(t, err)
			var got [5]int
			if r.Kind == corpus.Layer {
				var m *artwork.Image
				if m, _, err = gerber.Read(r.Path, data, gerber.Options{}); err == nil {
					for _, o := range m.Objects {
						got[o.Kind]++
					}
				}
			} else {
				var d *artwork.Drilling
				if d, _, err = xnc.Read(r.Path, data, xnc.Options{}); err == nil {
					got[3], got[4] = len(d.Holes), len(d.Routs)
				}
			}
			if r.Refused != "" {
				var f *format.Fault
				require.ErrorAs(t, err, &f, "the file was read: %v", got)
				assert.Equal(t, r.Refused, f.What)
				assert.Equal(t, r.Line, f.Line)
				assert.NotEmpty(t, f.Do, "what to do")
				assert.True(t, strings.HasPrefix(f.Error(), r.Path+":"), f.Error())
				return
			}
			require.NoError(t, err)
			want := [5]int{r.Flashes, r.Strokes, r.Areas, r.Holes, r.Slots}
			assert.Equal(t, want, got, "flashes, strokes, areas, holes, slots")
		})
	}
}
