package verify

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the table anew")

// TestTable reckons the table: each row must keep its bound, and the committed table must be what comes out.
func TestTable(t *testing.T) {
	groups, err := Groups(t.Context())
	require.NoError(t, err)
	used := map[string]bool{}
	for _, g := range groups {
		assert.NotEmpty(t, g.Rows, g.Title)
		for _, r := range g.Rows {
			assert.True(t, r.Within(), "%s, %s, %s: %g, should be %g, off by %.2g, bound %g", g.Title, r.Case, r.Quantity, r.Got, r.Reference, r.Off(), r.Bound)
			assert.NotEmpty(t, r.Source)
			if r.Bound != Bound {
				used[r.Quantity] = true
			}
		}
	}
	for _, e := range exceptions {
		assert.True(t, used[e.quantity], "nothing needs the exception %q", e.quantity)
		assert.NotEmpty(t, e.reason)
	}
	const name = "../VERIFICATION.md"
	got := Markdown(groups)
	if *update {
		require.NoError(t, os.WriteFile(name, got, 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "make verification writes it")
	before, now := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
	require.Len(t, now, len(before), "make verification writes it anew; review it as a diff")
	for i := range now {
		assert.Equal(t, before[i], now[i], "line %d; make verification writes the table anew; review it as a diff", i+1)
	}
}
