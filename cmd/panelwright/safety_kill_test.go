//go:build unix

package main

import (
	"errors"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A build is killed by the signal that no program can catch, at random moments between its start and its end: the folder holds
// the old build or the new one, whole, and the next build mends what is left. A program that was killed while it
// exchanged the folders by renaming may leave none in its place: then both are beside it, whole, and the next build completes it.
func TestKilledAtRandomMoments(t *testing.T) {
	ways := []struct {
		name    string
		with    []string
		moments int
	}{
		{"exchanged in one step", nil, 24},
		{"renamed one by one", withoutExchange, 12},
	}
	for _, way := range ways {
		t.Run(way.name, func(t *testing.T) {
			n := way.moments
			if *moments > 0 {
				n = *moments
			}
			s := newShop(t)
			if s.with = way.with; way.with != nil {
				onlyByRenaming(t, s)
			}
			killedAt(t, s, n, way.with == nil)
		})
	}
}

// killedAt kills n builds. Those of two and three columns take turns, so that each build would replace another one.
func killedAt(t *testing.T, s *shop, n int, inOneStep bool) {
	r := rand.New(rand.NewPCG(9, uint64(n)))
	content := map[int]map[string][]byte{}
	for _, columns := range []int{3, 2} {
		content[columns] = s.good(columns)
	}
	require.False(t, is(content[2], content[3]))
	begun := time.Now()
	s.good(3)
	takes := time.Since(begun)
	now := 3 // columns of the build that is in place
	died, sawOld, sawNew, sawNone, mended := 0, 0, 0, 0, 0
	for i := range n {
		next := 5 - now
		p := s.start(buildOf(next)...)
		begun := time.Now()
		time.Sleep(time.Duration(r.Int64N(int64(takes) + 1)))
		p.Process.Kill()
		e := p.end()
		if e.signal == 0 {
			require.Equal(t, 0, e.code, e.err)
			takes = (takes + time.Since(begun)) / 2 // so quick was it; the moments are to lie within
		} else {
			died++
		}
		_, err := os.Stat(s.path("build/staff"))
		switch {
		case errors.Is(err, os.ErrNotExist):
			require.False(t, inOneStep, "moment %d: there is no build folder", i)
			sawNone++
			assert.True(t, is(content[now], files(t, s.path("build/.panelwright-old-staff"))), "moment %d: the old build beside", i)
			assert.True(t, is(content[next], files(t, s.path("build/.panelwright-stage-staff"))), "moment %d: the new build beside", i)
			now = next // it will be completed
		case err != nil:
			require.NoError(t, err)
		default:
			switch got := files(t, s.path("build/staff")); {
			case is(content[now], got):
				sawOld++
			case is(content[next], got):
				sawNew++
				now = next
			default:
				require.Fail(t, "mixed", "moment %d: the build folder is neither the old build nor the new one", i)
			}
		}
		if i%3 == 2 || err != nil || i == n-1 { // now and then what is left is left to the next that is killed
			next = 5 - now
			require.True(t, is(content[next], s.good(next)), "moment %d: the next build", i)
			now = next
			mended++
		}
	}
	t.Logf("%d moments: %d builds were killed; the old build was there %d times, the new one %d times, both beside %d times; %d builds after it were good",
		n, died, sawOld, sawNew, sawNone, mended)
	assert.Greater(t, died, n/3)
	assert.Positive(t, sawOld)
}
