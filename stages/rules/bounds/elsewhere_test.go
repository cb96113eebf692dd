package bounds

import (
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// elsewhere says where rules are tested that the proof judges on what was written, or a stage while it plans: in
// which folder a test names the rule. No rule that the rules stage judges may stand here. What the board stage tells
// of its files may be left out: then a test in one of the folders besideTheCode must name it.
var elsewhere = map[string]string{
	pipeline.WaiverRule:     "pipeline",
	"board-not-held":        "stages/breakofftabs", // and pipeline/outside/breakoff against the table of outlines
	"part-not-known":        "stages/breakofftabs",
	"tabs-by-support":       "stages/support",
	"returned-file":         "pipeline/returned",
	"returned-placement":    "pipeline/returned",
	"returned-layer":        "pipeline/returned",
	"returned-cut":          "pipeline/returned",
	"returned-score":        "pipeline/returned",
	"returned-hole":         "pipeline/returned",
	"returned-breakoff":     "pipeline/returned",
	"returned-copper":       "pipeline/returned",
	"returned-mask":         "pipeline/returned",
	"returned-print":        "pipeline/returned",
	"returned-addition":     "pipeline/returned",
	"returned-compensation": "pipeline/returned",
	"loose-piece":           "pipeline/proof/faults", // planted in written files, as are those that follow
	"board-damaged":         "pipeline/proof/faults",
	"tab-missing":           "pipeline/proof/faults",
	"open-contour":          "pipeline/proof/faults",
	"written-profile":       "pipeline/proof/faults",
	"written-layer":         "pipeline/proof/faults",
	"written-holes":         "pipeline/proof/faults",
	"written-score":         "pipeline/proof/faults",
	"written-file":          "pipeline/proof/faults",
	"written-placement":     "stages/writeassembly", // planted in files of every form
}

// besideTheCode is where the board stage and the programs around it are tested.
var besideTheCode = []string{"stages/board", "pipeline/internal"}

// namedIn tells whether a test in a folder, or below it, names a rule: its name in quotes, alone or at the head of
// a line that tells a finding. A mention in a comment, or in a name that is longer, is none.
func namedIn(t *testing.T, name string, folders ...string) bool {
	t.Helper()
	quoted := regexp.MustCompile("[\"`]((note|warning|error) )?" + regexp.QuoteMeta(name) + "[\"`: ]")
	named := false
	for _, dir := range folders {
		require.NoError(t, fs.WalkDir(os.DirFS("../../.."), dir, func(file string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(file, "_test.go") {
				return err
			}
			text, err := os.ReadFile("../../../" + file)
			named = named || quoted.Match(text)
			return err
		}))
	}
	return named
}

// Where rules are said to be tested, a test names them.
func TestElsewhereIsTrue(t *testing.T) {
	for name, folder := range elsewhere {
		assert.True(t, namedIn(t, name, folder), "%s: no test in %s names it", name, folder)
	}
	assert.False(t, namedIn(t, "no-"+"such-rule", "stages/rules/bounds"))
}
