package outside

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// Source: the checker of manual pages of mandoc (mdocml), which reads man(7) by its own rules. It has nothing to say of any page; of
// pages with faults planted it has.
func TestManualPages(t *testing.T) {
	mandoc, err := exec.LookPath("mandoc")
	if err != nil {
		shared.Missing(t, "mandoc, which checks manual pages, is not here")
	}
	dir := t.TempDir()
	cmd := exec.Command(program(t), "man", "-o", dir)
	cmd.Env = append(os.Environ(), "SOURCE_DATE_EPOCH=1788220800")
	said, err := cmd.CombinedOutput()
	require.NoError(t, err, string(said))
	lint := func(at string) string {
		out, _ := exec.Command(mandoc, "-T", "lint", "-W", "all", at).CombinedOutput()
		return strings.ReplaceAll(string(out), dir, "")
	}
	pages := 0
	require.NoError(t, filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		pages++
		for line := range strings.Lines(lint(at)) {
			if !strings.Contains(line, "STYLE: input text line longer than 80 bytes") { // a command's own line is long
				assert.Fail(t, line)
			}
		}
		return nil
	}))
	require.Greater(t, pages, 10)
	recipes := filepath.Join(dir, "man5", "panelwright-recipes.5")
	text, err := os.ReadFile(recipes)
	require.NoError(t, err)
	for _, planted := range []struct{ old, new, fault string }{
		{".RS\n", "", "not open"}, {`"2026-09-01"`, `""`, "date"}, {`\(dq`, `\(zz`, "zz"}, {".SH \"STAGES\"", ".SHH \"STAGES\"", "unknown macro"}, {".TP\n", ".TP\n.PP\n", "TP"},
	} {
		require.Contains(t, string(text), planted.old)
		require.NoError(t, os.WriteFile(recipes, []byte(strings.Replace(string(text), planted.old, planted.new, 1)), 0o644))
		assert.Contains(t, lint(recipes), planted.fault)
	}
	// People read it as it is meant: mandoc shows the options of a stage with what they take.
	require.NoError(t, os.WriteFile(recipes, text, 0o644))
	shown, err := exec.Command(mandoc, "-T", "ascii", "-O", "width=200", recipes).Output()
	require.NoError(t, err)
	plain := strings.NewReplacer("_\b", "").Replace(string(shown))
	for _, c := range "abcdefghijklmnopqrstuvwxyz_" { // bold is a letter over itself
		plain = strings.ReplaceAll(plain, string(c)+"\b"+string(c), string(c))
	}
	assert.Contains(t, plain, "     columns (count, 1 to 500)\n")
	assert.Contains(t, plain, `revision = "C"`)
	shared.Ran(t, "manual pages by mandoc")
}
