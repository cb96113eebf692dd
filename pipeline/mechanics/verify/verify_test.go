package verify

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
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
	for i := range max(len(before), len(now)) {
		var was, is string
		if i < len(before) {
			was = before[i]
		}
		if i < len(now) {
			is = now[i]
		}
		if was != is && len(before) != len(now) {
			t.Fatalf("VERIFICATION.md has %d lines and should have %d, the first that differs being %d:\nit is        %s\nit should be %s\nmake verification writes the table anew; review it as a diff", len(before), len(now), i+1, was, is)
		}
		assert.Equal(t, was, is, "line %d; make verification writes the table anew; review it as a diff", i+1)
	}
}

// TestOtherMeshes reckons the rows that depend on the mesh most, moments on borders, in plates that are cut differently: that the
// table's mesh keeps the bound is no luck.
func TestOtherMeshes(t *testing.T) {
	for _, s := range []*sheets{
		{open: 3700 * geom.UM},
		{open: 4300 * geom.UM},
		{open: open, moved: []geom.Point{geom.Pt(91*geom.MM, 0), geom.Pt(0, 87*geom.MM), geom.Pt(63*geom.MM, 71*geom.MM), geom.Pt(140*geom.MM, 33*geom.MM)}},
	} {
		g := Group{}
		require.NoError(t, g.corners(t.Context(), s, 0.3, 0.025507))
		require.NoError(t, g.clamped(t.Context(), s, 1))
		for _, r := range g.Rows {
			assert.LessOrEqual(t, math.Abs(r.Off()), Bound, "%s, %s: %g, should be %g", r.Case, r.Quantity, r.Got, r.Reference)
		}
	}
}

// TestSameDigitsOnEveryProcessor holds all digits of some plates, from cutting to moments and frequencies, against those kept in testdata,
// which "make golden" writes and "make arm64" reads on another processor.
func TestSameDigitsOnEveryProcessor(t *testing.T) {
	s := &sheets{open: 25 * geom.MM}
	var b strings.Builder
	for _, reckon := range []func(context.Context, *sheets) (Group, error){clamped, corners, orthotropic, askew, frequencies, patch, composite} {
		g, err := reckon(t.Context(), s)
		require.NoError(t, err)
		h := sha256.New()
		for _, r := range g.Rows {
			require.NoError(t, binary.Write(h, binary.BigEndian, r.Got))
		}
		fmt.Fprintf(&b, "%x  %s, %d figures\n", h.Sum(nil), g.Title, len(g.Rows))
	}
	name := filepath.Join("testdata", "digests.txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err, "make golden writes it")
	require.Equal(t, string(want), b.String())
}
