//go:build linux

package main

import (
	"fmt"
	"os"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mounted mounts a small file system in memory at a place of the shop, for as long as the test runs.
func (s *shop) mounted(name, options string) {
	s.t.Helper()
	require.NoError(s.t, os.MkdirAll(s.path(name), 0o755))
	if err := syscall.Mount("tmpfs", s.path(name), "tmpfs", 0, options); err != nil {
		s.t.Skipf("this machine does not let a test mount a file system: %v", err)
	}
	s.t.Cleanup(func() { assert.NoError(s.t, syscall.Unmount(s.path(name), syscall.MNT_DETACH)) })
}

func (s *shop) resized(name, options string) {
	s.t.Helper()
	require.NoError(s.t, syscall.Mount("tmpfs", s.path(name), "tmpfs", syscall.MS_REMOUNT, options))
}

// usedOf gives bytes and files that a file system holds.
func (s *shop) usedOf(name string) (bytes, files int64) {
	s.t.Helper()
	var f syscall.Statfs_t
	require.NoError(s.t, syscall.Statfs(s.path(name), &f))
	return (int64(f.Blocks) - int64(f.Bfree)) * f.Bsize, int64(f.Files) - int64(f.Ffree)
}

// A disk that is full, at many points of a build from its first file to its last: the build says so and ends with 3, the old
// build is as it was, nothing is left, and when there is room again the next build is good.
func TestDiskFull(t *testing.T) {
	s := newShop(t)
	s.mounted("build", "size=64m")
	s.good(2)
	old := s.good(3)
	bytes, inodes := s.usedOf("build")
	// While a build runs, the disk holds two.
	for _, full := range []struct {
		of         string
		have, step int64
	}{{"size", bytes, max(4096, bytes/6/4096*4096)}, {"nr_inodes", inodes, max(1, inodes/5)}} {
		refused := 0
		said := map[string]bool{}
		for more := int64(0); ; more += full.step {
			s.resized("build", fmt.Sprintf("%s=%d", full.of, full.have+more))
			e := s.build(2)
			if e.code == 0 {
				require.Greater(t, more, full.have/3, "so little was room enough")
				require.LessOrEqual(t, more, 2*full.have)
				break
			}
			refused++
			require.Equal(t, 3, e.code, e.err)
			line := lineWith(e.err, "no space left on device")
			assert.NotEmpty(t, line, e.err)
			said[line] = true
			s.holds(old)
			s.nothingBeside()
		}
		t.Logf("%s: %d builds refused: %v", full.of, refused, said)
		assert.Greater(t, refused, 3)
		s.resized("build", "size=64m,nr_inodes=10000")
		old = s.good(3)
	}
}

// A full disk under the records alone, or the folder for what is for the moment only, keeps no build back.
func TestDiskFullElsewhere(t *testing.T) {
	s := newShop(t)
	s.mounted("cache", "size=4k,nr_inodes=2")
	s.good(2)
	e := s.run("build", "staff.panel.hcl")
	assert.Equal(t, 0, e.code, e.err)
	assert.Contains(t, e.err, "warning: what is built cannot be recorded, and will be built again the next time: ")
}

// lineWith gives the first line of a text that holds a piece.
func lineWith(text, piece string) string {
	for line := range strings.Lines(text) {
		if strings.Contains(line, piece) {
			return strings.TrimSpace(line)
		}
	}
	return ""
}
