package breakoff

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/internal/outlines"
	"panelwright/stages/breakofftabs"
)

// TestRandomOutlines: of random outlines, 500 unless -random says another number (50 with -short), every fourth one as 2 × 2 copies,
// at least 95 in a hundred are held by tabs, written, and proved without a finding; the rest are listed
// with theirs. On none does a perforation reach into a board or a tab stand off an edge; none ends in an
// error of the geometry kernel, or in a panic.
func TestRandomOutlines(t *testing.T) {
	n := *random
	if testing.Short() {
		n = 50
	}
	said := make([]string, n)
	var g errgroup.Group
	g.SetLimit(2)
	for seed := range n {
		g.Go(func() error {
			said[seed] = tryRandom(t, uint64(seed))
			return nil
		})
	}
	require.NoError(t, g.Wait())
	failed := slices.DeleteFunc(slices.Clone(said), func(s string) bool { return s == "" })
	t.Logf("%d of %d held by tabs and proved; the rest:\n%s", n-len(failed), n, strings.Join(failed, "\n"))
	assert.LessOrEqual(t, len(failed), n/20)
}

var random = flag.Int("random", 200, "how many random outlines TestRandomOutlines tries")

// tryRandom tries one outline; it gives what was found, a line, or nothing.
func tryRandom(t *testing.T, seed uint64) (said string) {
	name := fmt.Sprintf("seed %d", seed)
	defer func() {
		if r := recover(); r != nil {
			t.Errorf("%s: %v\n%s", name, r, debug.Stack())
			said = name + ": a panic"
		}
	}()
	o := outlines.Random(seed)
	side := 1
	if seed%4 == 3 {
		side = 2
	}
	b := o.Box()
	name = fmt.Sprintf("seed %d, %d x %d of %.1f x %.1f mm, %d edges, %d cut-outs", seed, side, side, b.Width().MM(), b.Height().MM(), len(o.Outer), len(o.CutOuts))
	in, err := frame(o, side, side)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return name
	}
	got, err := buildWith(context.Background(), in, forSize(b), seed%10 == 0)
	if err != nil {
		var fault *overlay.Fault
		t.Errorf("%s: %v (a Fault: %t)", name, err, errors.As(err, &fault))
		return name + ": " + err.Error()
	}
	holdsPlace(reporter{t}, name, got.panel)
	found := append(slices.Clone(got.found), got.proved...)
	switch {
	case len(found) > 0:
		f := found[0]
		return fmt.Sprintf("  %s: %d tabs, %d findings, the first %s: %s", name, got.tabs, len(found), f.Rule, f.Message)
	case got.tabs == 0:
		return "  " + name + ": no tabs"
	}
	return ""
}

// forSize gives what a practitioner would ask for boards of a size: on small ones thin cutters, short rows,
// and rows nearer to corners.
func forSize(b geom.Box) func(*breakofftabs.BreakoffTabs) {
	if min(b.Width(), b.Height()) >= 50*geom.MM {
		return nil
	}
	return func(s *breakofftabs.BreakoffTabs) {
		s.Cutters, s.HolesPerTab, s.FromCorner = []geom.Length{geom.MM}, 3, geom.MM
	}
}

// reporter lets a goroutine fail a test without ending it.
type reporter struct{ *testing.T }

// FailNow marks the test as failed and goes on.
func (r reporter) FailNow() { r.Fail() }
