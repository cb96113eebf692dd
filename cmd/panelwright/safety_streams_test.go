//go:build unix

package main

import (
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Results that do not arrive are no success, and yet the build is good.
func TestStandardOutputThatIsNoUse(t *testing.T) {
	t.Run("a full device", func(t *testing.T) {
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Skip("there is no /dev/full here")
		}
		defer full.Close()
		s := newShop(t)
		s.stdout = full
		e := s.run("build", "staff.panel.hcl")
		assert.Equal(t, 3, e.code)
		assert.Contains(t, e.err, "standard output cannot be written: ")
		assert.Contains(t, e.err, "no space left on device")
		s.stdout = nil
		assert.Equal(t, 0, s.run("readback", "build/staff").code)
		s.nothingBeside()
	})
	t.Run("a pipe that no one reads", func(t *testing.T) { // as by | head
		s := newShop(t)
		r, w, err := os.Pipe()
		require.NoError(t, err)
		s.stdout = w
		p := s.start("build", "staff.panel.hcl")
		w.Close()
		r.Close()
		e := p.end()
		// The signal for it ends a program in the middle; that does no harm.
		assert.True(t, e.code == 3 || e.signal == syscall.SIGPIPE, "%+v", e)
		s.stdout = nil
		s.good(1)
	})
	t.Run("closed", func(t *testing.T) {
		if _, err := exec.LookPath("sh"); err != nil {
			t.Skip("there is no sh here")
		}
		s := newShop(t)
		s.with = []string{"sh", "-c", `exec "$@" <&- >&- 2>&-`, "sh"}
		e := s.run("build", "staff.panel.hcl") // what is closed is taken for the empty device
		assert.Equal(t, 0, e.code)
		s.with = nil
		assert.Equal(t, 0, s.run("readback", "build/staff").code, "no file of the build took the place of a stream")
		s.good(2)
	})
}

// Signals in the middle of a build.
func TestSignals(t *testing.T) {
	s := newShop(t)
	begun := time.Now()
	old := s.good(2)
	takes := time.Since(begun)
	for _, c := range []struct {
		signal syscall.Signal
		code   int // 0: as the signal ends any program
	}{{syscall.SIGINT, 130}, {syscall.SIGTERM, 130}, {syscall.SIGHUP, 0}} {
		ended := 0
		for i := range 4 {
			p := s.start(buildOf(3)...)
			time.Sleep(takes * time.Duration(2*i+1) / 8)
			p.Process.Signal(c.signal)
			e := p.end()
			switch {
			case e.signal == c.signal: // before the program was ready for it, or always
			case e.code == 0: // too late
				old = s.good(2)
				continue
			default:
				require.Equal(t, c.code, e.code, "%v: %s", c.signal, e.err)
				assert.Contains(t, e.err, "interrupted; the build folder is as it was")
				s.nothingBeside()
				ended++
			}
			if now := files(t, s.path("build/staff")); !is(old, now) {
				assert.NotEqual(t, 130, e.code, "an interrupted build leaves the folder as it was")
				old = s.good(2)
			}
		}
		if c.code != 0 {
			t.Logf("%v: %d of 4 builds interrupted", c.signal, ended)
		}
	}
	s.good(3)

	// A build that is stopped and goes on is as good as another.
	p := s.start(buildOf(2)...)
	time.Sleep(takes / 3)
	p.Process.Signal(syscall.SIGSTOP)
	time.Sleep(50 * time.Millisecond)
	p.Process.Signal(syscall.SIGCONT)
	assert.Equal(t, 0, p.end().code)
	s.holds(old)
}
