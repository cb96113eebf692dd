package compare

import (
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked is a context that does something when it is asked for the n-th time whether it has ended, which is while files are read.
type asked struct {
	context.Context
	n  int
	do func()
}

func (a *asked) Err() error {
	if a.n--; a.n == 0 {
		a.do()
	}
	return a.Context.Err()
}

// A build takes the place of one that is being compared: what is told is told of one of them.
func TestFolderThatIsExchanged(t *testing.T) {
	p := onePanel()
	other := onePanel().with("marks", aMark("fiducial/1", "fiducial", "6", "2", "1"), aMark("tooling_hole/1", "tooling_hole", "45", "2", "3"))
	exchanged := 0
	for n := 1; n <= 14; n++ {
		old, next := aTree(p).manifest(p, nil).lay(t), aTree(other).manifest(other, nil).lay(t)
		now := aTree(p).manifest(p, nil).lay(t)
		r, err := Folders(&asked{t.Context(), n, func() {
			exchanged++
			require.NoError(t, os.RemoveAll(now))
			require.NoError(t, os.Rename(next, now))
		}}, old, now, Options{Workers: 1})
		require.NoError(t, err, "asked %d times", n)
		assert.Empty(t, r.Warnings, "asked %d times", n)
		if assert.Len(t, r.Changes, 1, "asked %d times: %v", n, told(r)) {
			assert.Contains(t, told(r)[0], "fiducial/1")
		}
	}
	assert.Equal(t, 14, exchanged)
}
