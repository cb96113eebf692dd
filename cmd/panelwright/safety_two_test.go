//go:build unix

package main

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two builds of one panel begin at about the same time: one after the other they both succeed, or one succeeds and the other says
// who is in its way. The folder is one of the two builds, whole.
func TestTwoBuildsOfOnePanelAtOnce(t *testing.T) {
	s := newShop(t)
	content := map[int]map[string][]byte{1: s.good(1), 2: s.good(2), 3: s.good(3)}
	begun := time.Now()
	s.good(1)
	takes := time.Since(begun)
	r := rand.New(rand.NewPCG(10, 1))
	both, one := 0, 0
	for i := range 6 {
		first := s.start(buildOf(2)...)
		if i > 0 { // the first two begin at once
			time.Sleep(time.Duration(r.Int64N(int64(takes) * 5 / 4)))
		}
		second := s.start(buildOf(3)...)
		a, b := first.end(), second.end()
		got := files(t, s.path("build/staff"))
		switch {
		case a.code == 0 && b.code == 0:
			both++
			assert.True(t, is(content[2], got) || is(content[3], got), "the folder is neither build")
		case a.code == 0 && b.code == 3:
			one++
			assert.True(t, is(content[2], got), "the folder is not the build that succeeded")
			assert.Regexp(t, `(?m)^another build of staff is running( \(process \d+\))?; wait for it to end$`, b.err)
		case a.code == 3 && b.code == 0:
			one++
			assert.True(t, is(content[3], got), "the folder is not the build that succeeded")
			assert.Regexp(t, `(?m)^another build of staff is running( \(process \d+\))?; wait for it to end$`, a.err)
		default:
			require.Failf(t, "one of them must succeed", "%d %s\n%d %s", a.code, a.err, b.code, b.err)
		}
		s.nothingBeside()
	}
	t.Logf("both succeeded %d times, one of them %d times", both, one)
	assert.Positive(t, one)
	e := s.run("readback", "build/staff")
	assert.Equal(t, 0, e.code, e.out+e.err)
}

// A build folder is read back, and compared, while builds take its place: what is said is said of one build.
func TestReadBesideBuilds(t *testing.T) {
	s := newShop(t)
	s.good(2)
	begun := time.Now()
	s.good(3)
	takes := time.Since(begun)
	require.NoError(t, copyTree(s.path("build/staff"), s.path("kept")))
	r := rand.New(rand.NewPCG(11, 1))
	for i := range 4 {
		building := s.start(buildOf(2 + i%2)...)
		time.Sleep(time.Duration(r.Int64N(int64(takes))))
		reads := []*process{s.start("readback", "build/staff"), s.start("compare", "--quiet", "kept", "build/staff")}
		for k, p := range reads {
			e := p.end()
			if k == 0 {
				assert.Equal(t, 0, e.code, e.out+e.err)
			} else {
				assert.Contains(t, []int{0, 1}, e.code, e.out+e.err)
			}
			assert.NotContains(t, e.out, "differs from the manifest")
			assert.NotContains(t, strings.ToLower(e.err), "not there")
		}
		e := building.end()
		require.Equal(t, 0, e.code, e.err)
	}
}
