package mechanics

import (
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// clocked tells how long work took, and how much processor time of this process it cost.
func clocked(t testing.TB, work func()) (wall, spent time.Duration) {
	t.Helper()
	var before, after syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &before))
	begun := time.Now()
	work()
	wall = time.Since(begun)
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &after))
	of := func(u syscall.Rusage) time.Duration {
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return wall, of(after) - of(before)
}
