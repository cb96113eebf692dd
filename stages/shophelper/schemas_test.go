package shophelper

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/stages/shophelper/jsonplace"
	"panelwright/stages/shophelper/schema"
)

// fitsQuestion holds what a helper is handed against its description.
func fitsQuestion(t *testing.T, text []byte) {
	t.Helper()
	v, err := jsonplace.Parse(text)
	require.NoError(t, err)
	require.Empty(t, question().Check(v, 5))
}

// The reader takes and refuses what testdata/answers.txtar says; pipeline/outside holds the JSON Schema against the same table.
func TestAnswersByTable(t *testing.T) {
	table, err := txtar.ParseFile("testdata/answers.txtar")
	require.NoError(t, err)
	h := &ShopHelper{Name: "x"}
	n := map[bool]int{}
	for _, f := range table.Files {
		_, err := h.read(f.Data, "panelwright")
		good := strings.HasPrefix(f.Name, "good-")
		n[good]++
		assert.Equal(t, good, err == nil, "%s: %v", f.Name, err)
	}
	assert.Greater(t, n[true], 15)
	assert.Greater(t, n[false], 70)
}

// The schemas are printed alike each time, and name the edition.
func TestSchemas(t *testing.T) {
	all := (&ShopHelper{}).Schemas()
	require.Len(t, all, 2)
	for word, text := range all {
		assert.Equal(t, string(text), string((&ShopHelper{}).Schemas()[word]))
		assert.Contains(t, string(text), schema.Draft)
	}
}

// Whatever panel.json holds, the description of what is handed over names.
func TestAllOfThePanelIsDescribed(t *testing.T) {
	files, err := filepath.Glob("../../testdata/golden/*.panel.json")
	require.NoError(t, err)
	require.Greater(t, len(files), 5)
	var panel *schema.Node
	for _, p := range question().Root.Props {
		if p.Name == "panel" {
			panel = p.Node
		}
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		v, err := jsonplace.Parse(text)
		require.NoError(t, err, f)
		require.Empty(t, (&schema.Document{Root: panel}).Check(v, 5), f)
		described(t, panel, v, filepath.Base(f))
	}
}

// described fails for a name that the description does not have.
func described(t *testing.T, n *schema.Node, v *jsonplace.Value, at string) {
	t.Helper()
	for _, x := range v.Items {
		described(t, n.Item, x, at)
	}
	for _, f := range v.Fields {
		i := slices.IndexFunc(n.Props, func(p schema.Prop) bool { return p.Name == f.Name })
		if i < 0 && len(n.Props) > 0 {
			assert.Fail(t, "not described", "%s: %s", at, f.Name)
			continue
		}
		if i >= 0 {
			described(t, n.Props[i].Node, f.Value, at+"/"+f.Name)
		}
	}
}
