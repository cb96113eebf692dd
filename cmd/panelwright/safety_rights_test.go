//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asNobody makes the program run as a user who is bound by rights, which root is not. What is in the shop stays root's.
func (s *shop) asNobody() {
	s.t.Helper()
	if os.Getuid() != 0 {
		return
	}
	nobody := &syscall.Credential{Uid: 65534, Gid: 65534}
	probe := exec.Command(installed(s.t), "version")
	probe.SysProcAttr = &syscall.SysProcAttr{Credential: nobody}
	if out, err := probe.CombinedOutput(); err != nil {
		s.t.Skipf("this machine does not let a test run a program as another user: %v: %s", err, out)
	}
	s.as = nobody
}

// yield gives a folder to whom the program runs as.
func (s *shop) yield(name string) {
	s.t.Helper()
	require.NoError(s.t, os.MkdirAll(s.path(name), 0o755))
	if s.as != nil {
		require.NoError(s.t, os.Chown(s.path(name), int(s.as.Uid), int(s.as.Gid)))
	}
}

// Inputs that nobody may write, and standards and recipes too, are all that a build needs; those that it may not read end it with 3.
func TestRights(t *testing.T) {
	for _, c := range []struct {
		name  string
		set   func(s *shop)
		code  int
		says  string // in what is written to standard error
		after func(s *shop)
	}{
		{name: "read-only inputs", set: func(s *shop) {
			s.rights("board", 0o555)
			s.rights("staff.panel.hcl", 0o444)
			for _, f := range []string{"profile", "top", "bottom"} {
				s.rights("board/staff-"+f+".gbr", 0o444)
			}
		}},
		{name: "unreadable recipe", set: func(s *shop) { s.rights("staff.panel.hcl", 0) }, code: 3, says: "staff.panel.hcl: the file cannot be read: permission denied"},
		{name: "unreadable layer", set: func(s *shop) { s.rights("board/staff-top.gbr", 0) }, code: 3, says: "board/staff-top.gbr: cannot be read: permission denied"},
		{name: "unreadable board folder", set: func(s *shop) { s.rights("board", 0) }, code: 3, says: "board: cannot be read: permission denied"},
		{name: "board folder that cannot be entered", set: func(s *shop) { s.rights("board", 0o444) }, code: 3, says: "cannot be read: permission denied"},
		{name: "unreadable standard", set: func(s *shop) {
			s.write("staff.panel.hcl", `panel "staff" { built_to = ["shop.standard.hcl"] }`)
			s.write("shop.standard.hcl", "")
			s.rights("shop.standard.hcl", 0)
		}, code: 3, says: "shop.standard.hcl: the file cannot be read: permission denied"},
		{name: "read-only output folder", set: func(s *shop) { s.rights("build", 0o555) }, code: 3,
			says: "output folder build: cannot be written: permission denied; choose another with -o"},
		{name: "output folder that cannot be made", set: func(s *shop) { require.NoError(s.t, os.RemoveAll(s.path("build"))) }, code: 3,
			says: "output folder build: cannot be made: permission denied; choose another with -o"},
		{name: "unreadable old build", set: func(s *shop) {
			e := s.build(2)
			require.Equal(s.t, 0, e.code, e.err)
			s.rights("build/staff", 0)
		}, code: 3, says: "build/staff: cannot be read: permission denied"},
		{name: "no folder for what is for the moment only", set: func(s *shop) {
			s.prepare = func(cmd *exec.Cmd) {
				cmd.Env = append(cmd.Env, "TMPDIR=/nowhere", "HOME=/nowhere", "XDG_CACHE_HOME=/nowhere")
			}
		}},
		{name: "no home", set: func(s *shop) {
			s.prepare = func(cmd *exec.Cmd) { cmd.Env = []string{"GOGC=400"} }
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			s.asNobody()
			s.yield("build")
			s.yield("cache")
			c.set(s)
			e := s.build(1)
			assert.Equal(t, c.code, e.code, e.err+e.out)
			if c.code == 0 {
				assert.Len(t, files(t, s.path("build/staff")), 15)
				s.nothingBeside()
				return
			}
			assert.Contains(t, e.err, c.says)
			assert.NotContains(t, e.err, s.dir, "no absolute path")
			os.Chmod(s.path("build"), 0o755)
			s.nothingBeside()
		})
	}
}

func (s *shop) rights(name string, mode os.FileMode) {
	s.t.Helper()
	require.NoError(s.t, os.Chmod(s.path(name), mode))
}

// What happens to inputs and the output folder while a build runs: the build ends well or says what happened, and where it fails
// the old build is as it was.
func TestChangesDuringABuild(t *testing.T) {
	for name, change := range map[string]func(s *shop){
		"the output folder goes":       func(s *shop) { os.RemoveAll(s.path("build")) },
		"the output folder is renamed": func(s *shop) { os.Rename(s.path("build"), s.path("elsewhere")) },
		"a layer goes":                 func(s *shop) { os.Remove(s.path("board/staff-top.gbr")) },
		"the recipe changes":           func(s *shop) { s.write("staff.panel.hcl", staffRecipe("staff", "board")+"\n# later\n") },
		"the working folder goes":      func(s *shop) { os.RemoveAll(s.dir) },
	} {
		t.Run(name, func(t *testing.T) {
			var takes time.Duration
			for i := range 2 {
				s := newShop(t)
				begun := time.Now()
				old := s.good(2)
				takes = time.Since(begun)
				p := s.start(buildOf(3)...)
				time.Sleep(takes * time.Duration(2*i+1) / 4)
				change(s)
				e := p.end()
				assert.Contains(t, []int{0, 2, 3}, e.code, e.err)
				if e.code != 0 {
					assert.NotEmpty(t, e.err)
				}
				if _, err := os.Stat(s.path("build/staff")); err == nil {
					if e.code != 0 {
						s.holds(old)
					}
				}
				if strays, _ := filepath.Glob(s.path("build/.*")); e.code != 0 {
					assert.Empty(t, strays)
				}
			}
		})
	}
}
