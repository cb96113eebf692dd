package shared

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRanAppendsOneLineACheck(t *testing.T) {
	name := filepath.Join(t.TempDir(), "ran")
	t.Setenv("PANELWRIGHT_OUTSIDE_COUNT", name)
	Ran(t, "picture: first")
	Ran(t, "picture: two\nlines")
	got, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, "picture: first\npicture: two lines\n", string(got))
}

func TestRanNeedsNoFile(t *testing.T) {
	t.Setenv("PANELWRIGHT_OUTSIDE_COUNT", "")
	Ran(t, "picture: first")
}
