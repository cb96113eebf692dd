package run

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// A build that takes the place of the one that is being read back: the new one is read from the beginning.
func TestReadbackOfAFolderThatIsExchanged(t *testing.T) {
	dir := t.TempDir()
	plan := load(t, project(t, dir), kinds())
	opt := options(filepath.Join(dir, "build"))
	rebuild := func(version string) string {
		t.Helper()
		opt.Program.Version = version
		out, err := Build(t.Context(), plan, opt)
		require.NoError(t, err)
		return out.Dir
	}
	built := rebuild("1")
	exchanges := 0
	back := ReadbackOptions{
		Sources: filepath.Join(dir, "recipes"), Kinds: kinds(),
		Prove: func(context.Context, ProofInput) ([]pipeline.Finding, error) { return nil, nil },
		ReadPanelData: func([]byte, []*panel.Board) (panel.Panel, string, string, error) {
			return panel.Panel{}, "gauge-12up", "C", nil
		},
	}
	read := func(exchange int) (*Proved, error) {
		exchanges = 0
		back.Progress = func(s Step) {
			if s.At == 1 && exchanges < exchange { // the manifest has been read, its files have not
				exchanges++
				rebuild("2." + string(rune('0'+exchanges)))
			}
		}
		return Readback(t.Context(), built, back)
	}
	for _, n := range []int{0, 1, 2} {
		rebuild("1")
		out, err := read(n)
		require.NoError(t, err)
		assert.Empty(t, out.Findings, "exchanged %d times", n)
		assert.Equal(t, []string{"1", "2.1", "2.2"}[n], out.Manifest.Tool.Version)
		assert.Equal(t, n, exchanges)
	}
	rebuild("1")
	_, err := read(100)
	var m *MachineError
	require.ErrorAs(t, err, &m)
	assert.ErrorContains(t, err, "build/gauge-12up: other builds took its place while it was read; try again when none is running")
	assert.Equal(t, steadyTries, exchanges)
}
