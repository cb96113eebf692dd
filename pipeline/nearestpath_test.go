package pipeline

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNearestPath(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"boards/staff/top.gbr", "boards/tide/top.gbr", "recipes/.hidden", "recipes/shop.standard.hcl"} {
		at := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, nil, 0o644))
	}
	for text, want := range map[string]string{
		"boards/staf":                 "boards/staff",
		"board/staff":                 "boards/staff",
		"boards/staff/tpo.gbr":        "boards/staff/top.gbr",
		"bords/tide/top.gbr":          "boards/tide/top.gbr",
		"../" + filepath.Base(dir):    "",
		"recipes/../boards/tid":       "recipes/../boards/tide",
		"recipes/shops.standard.hcl":  "recipes/shop.standard.hcl",
		"recipes/shop.standrd.hcl":    "recipes/shop.standard.hcl",
		"recipes/tide.standard.hcl":   "", // the ending alone makes no likeness
		"recipes/hidden":              "",
		"boards/staf/bottom.gbr":      "", // two names are wrong
		"boards/staff":                "", // it is there
		"nothing/like/it":             "",
		"boards/staff/top.gbr/deeper": "",
		"":                            "",
	} {
		assert.Equal(t, want, NearestPath(dir, text), text)
	}
	whole := filepath.ToSlash(filepath.Join(dir, "boards"))
	if filepath.Separator == '/' {
		assert.Equal(t, whole+"/staff", NearestPath("", whole+"/staf"))
	}
}
