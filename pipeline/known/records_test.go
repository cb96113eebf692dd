package known

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/run"
)

// A process that is killed while it saves a record leaves no more than a file that a later one removes.
func TestRecordsInTheMakingAreRemoved(t *testing.T) {
	dir := t.TempDir()
	records, err := RecordsOf(filepath.Join(dir, "records"), filepath.Join(dir, "build"))
	require.NoError(t, err)
	r := &Record{Panel: "gauge", Manifest: "1", Stamps: map[string]run.Stamp{}}
	require.NoError(t, records.Save(r, "gauge.panel.hcl"))
	require.NotNil(t, records.Load("gauge.panel.hcl", ""))

	old, young := filepath.Join(dir, "records", newName, "1"), filepath.Join(dir, "records", newName, "2")
	for _, left := range []string{old, young} {
		require.NoError(t, os.WriteFile(left, []byte(`{"schema":`), 0o644))
	}
	long := time.Now().Add(-2 * forgotten)
	require.NoError(t, os.Chtimes(old, long, long))
	require.NoError(t, records.Save(r, "gauge.panel.hcl"))
	assert.NoFileExists(t, old)
	assert.FileExists(t, young, "it may be another process's")
	entries, err := os.ReadDir(filepath.Join(dir, "records"))
	require.NoError(t, err)
	assert.Len(t, entries, 3, "the record, new, of")
}
