package bounds

import (
	"io/fs"
	"os"
	"path"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// elsewhere says where rules are tested that the proof judges on what was written, or a stage while it plans.
// No rule that the rules stage judges may stand here. What the board stage tells of its files may be left out too:
// then its name must stand in a test beside the code.
var elsewhere = map[string]string{
	pipeline.WaiverRule: "pipeline/run and cmd/panelwright: waivers",
	"no-placement":      "stages/writeassembly",
	"legend-date":       "stages/legend",
	"board-not-held":    "stages/breakofftabs, and pipeline/outside/breakoff against the table of outlines",
	"part-not-known":    "stages/breakofftabs",
	"loose-piece":       "pipeline/proof/faults: planted in written files",
	"board-damaged":     "pipeline/proof/faults: planted in written files",
	"tab-missing":       "pipeline/proof/faults: planted in written files",
	"open-contour":      "pipeline/proof/faults: planted in written files",
	"written-profile":   "pipeline/proof/faults: planted in written files",
	"written-layer":     "pipeline/proof/faults: planted in written files",
	"written-holes":     "pipeline/proof/faults: planted in written files",
	"written-score":     "pipeline/proof/faults: planted in written files",
	"written-file":      "pipeline/proof/faults: planted in written files",
}

// besideTheCode is what stands in the tests of the board stage and of the programs around it.
var besideTheCode = sync.OnceValues(func() (string, error) {
	var all strings.Builder
	for _, dir := range []string{"stages/board", "pipeline/internal"} {
		err := fs.WalkDir(os.DirFS("../../.."), dir, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(name, "_test.go") && path.Ext(name) != ".txt" {
				return err
			}
			text, err := os.ReadFile("../../../" + name)
			all.Write(text)
			return err
		})
		if err != nil {
			return "", err
		}
	}
	return all.String(), nil
})

// namedBeside tells whether a test of the board stage names a rule.
func namedBeside(t *testing.T, name string) bool {
	t.Helper()
	text, err := besideTheCode()
	require.NoError(t, err)
	return strings.Contains(text, name)
}
