package writefab

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Notes of a panel that may not be released say so before anything else.
func TestTheNotesSayWhatIsNotForRelease(t *testing.T) {
	board := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline().Build()
	require.NoError(t, err)
	for _, open := range []bool{true, false} {
		env := pipeline.NewEnv(pipeline.Env{Panel: "weir-1up", Revision: "B"}, nil, nil).With(pipeline.Hooks{Released: func() bool { return open }})
		text := (&set{env: env, panel: p}).notesText()
		assert.Equal(t, !open, strings.HasPrefix(text, "NOT FOR RELEASE: "), "%v", open)
		assert.Equal(t, !open, strings.Contains(text, "NOT FOR RELEASE"), "%v", open)
		assert.Contains(t, text, "Panel weir-1up, revision B\n")
	}
}

// Columns stay columns however long a figure is.
func TestColumns(t *testing.T) {
	got := columns([][]string{{"line", "position", "from", "to"}, {"score/y1", "y = 5", "0", "100"}, {"score/y10", "y = 33.999948", "12.345678901", "9"}}, 10, 8)
	assert.Equal(t, []string{
		"line       position       from          to",
		"score/y1   y = 5          0             100",
		"score/y10  y = 33.999948  12.345678901  9",
	}, got)
}
