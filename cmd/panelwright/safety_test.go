//go:build unix

package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tests in safety_*_test.go run the program as it is installed, as processes of its own, on the smallest panel that there
// is, and do it harm: what they ask is that a build folder is the old build or the new one, that nothing is left beside it, that
// the exit code and the words are right, and that nothing hangs.

// moments is for those who have more time than a build server: go test ./cmd/panelwright -run Killed -moments 1000
var moments = flag.Int("moments", 0, "random moments at which builds are killed, for each way of exchanging folders")

// built tells whether the program was built.
var built struct {
	once sync.Once
	dir  string
	err  error
}

func init() { afterTests = append(afterTests, func() { os.RemoveAll(built.dir) }) }

// installed gives the path of the program, which is built once for all tests here.
func installed(t testing.TB) string {
	t.Helper()
	built.once.Do(func() {
		if built.dir, built.err = os.MkdirTemp("", "program"); built.err != nil {
			return
		}
		os.Chmod(built.dir, 0o755) // other users run it, too
		out, err := exec.Command("go", "build", "-buildvcs=false", "-o", filepath.Join(built.dir, "panelwright"), ".").CombinedOutput()
		if err != nil {
			built.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	require.NoError(t, built.err)
	return filepath.Join(built.dir, "panelwright")
}

// shop is a folder with a recipe and its board, and how the program is run in it.
type shop struct {
	t       testing.TB
	dir     string
	with    []string            // a program and arguments that the program is run by, if any
	as      *syscall.Credential // another user, if any
	stdout  *os.File            // where results go; a buffer unless given
	prepare func(cmd *exec.Cmd) // last changes before it starts, if any
}

// staff is a board of 20 x 10 mm with a pad on each side.
func staff(t testing.TB, dir string) {
	t.Helper()
	const head = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,"
	require.NoError(t, os.MkdirAll(dir, 0o755))
	for name, text := range map[string]string{
		"profile.gbr": head + "Profile,NP*%\n%ADD10C,0.100000*%\nD10*\nX0Y0D02*\nG01*\nX20000000Y0D01*\nX20000000Y10000000D01*\nX0Y10000000D01*\nX0Y0D01*\nM02*\n",
		"top.gbr":     head + "Copper,L1,Top*%\n%ADD10C,2.000000*%\nD10*\nX5000000Y5000000D03*\nM02*\n",
		"bottom.gbr":  head + "Copper,L2,Bot*%\n%ADD10C,2.000000*%\nD10*\nX5000000Y5000000D03*\nM02*\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "staff-"+name), []byte(text), 0o644))
	}
}

// staffRecipe makes a panel of one row of boards; how many is given from outside.
func staffRecipe(name, board string) string {
	return fmt.Sprintf(`panel %q { revision = "A" }
given "columns" { value = 1 }
stage "board" {
  name      = "staff"
  files     = %q
  thickness = "1.6 mm"
}
stage "array" {
  board   = "staff"
  columns = given.columns
  rows    = 1
  gap     = 0
}
stage "rails" {
  gap   = 0
  width = "10 mm"
}
stage "score_lines" {}
stage "rules" {}
stage "write_fab" {}
`, name, board)
}

// newShop lays the shop into a folder that other users can read, too.
func newShop(t testing.TB) *shop {
	t.Helper()
	dir, err := os.MkdirTemp("", "shop")
	require.NoError(t, err)
	t.Cleanup(func() {
		filepath.WalkDir(dir, func(at string, e os.DirEntry, err error) error {
			if e != nil && e.IsDir() {
				os.Chmod(at, 0o755)
			}
			return nil
		})
		os.RemoveAll(dir)
	})
	require.NoError(t, os.Chmod(dir, 0o755))
	s := &shop{t: t, dir: dir}
	staff(t, s.path("board"))
	s.write("staff.panel.hcl", staffRecipe("staff", "board"))
	return s
}

func (s *shop) path(name string) string { return filepath.Join(s.dir, filepath.FromSlash(name)) }

func (s *shop) write(name, text string) {
	s.t.Helper()
	require.NoError(s.t, os.MkdirAll(filepath.Dir(s.path(name)), 0o755))
	require.NoError(s.t, os.WriteFile(s.path(name), []byte(text), 0o644))
}

// ended is how a process ended.
type ended struct {
	code     int // -1: by a signal
	signal   syscall.Signal
	out, err string
}

// process is a process under way.
type process struct {
	*exec.Cmd
	s        *shop
	out, err bytes.Buffer
	late     context.Context
	cancel   context.CancelFunc
}

// start starts the program in the shop's folder.
func (s *shop) start(args ...string) *process {
	s.t.Helper()
	p := &process{s: s}
	p.late, p.cancel = context.WithTimeout(context.Background(), time.Minute)
	argv := append(append([]string{}, s.with...), append([]string{installed(s.t)}, args...)...)
	p.Cmd = exec.CommandContext(p.late, argv[0], argv[1:]...)
	p.Dir, p.Stdout, p.Stderr = s.dir, &p.out, &p.err
	p.Env = append(os.Environ(), "XDG_CACHE_HOME="+s.path("cache"), "GOGC=400") // the latter for less of a build server's time
	p.WaitDelay = 10 * time.Second
	if s.stdout != nil {
		p.Stdout = s.stdout
	}
	if s.as != nil {
		p.SysProcAttr = &syscall.SysProcAttr{Credential: s.as}
	}
	if s.prepare != nil {
		s.prepare(p.Cmd)
	}
	require.NoError(s.t, p.Start())
	return p
}

// end waits for the end of a process. One that does not end is a failure.
func (p *process) end() ended {
	p.s.t.Helper()
	err := p.Wait()
	late := p.late.Err()
	p.cancel()
	require.NoError(p.s.t, late, "the program hangs: %s %s", p.out.String(), p.err.String())
	if exit := (*exec.ExitError)(nil); err != nil && !errors.As(err, &exit) {
		require.NoError(p.s.t, err)
	}
	e := ended{code: p.ProcessState.ExitCode(), out: p.out.String(), err: p.err.String()}
	if w := p.ProcessState.Sys().(syscall.WaitStatus); w.Signaled() {
		e.signal = w.Signal()
	}
	for _, trace := range []string{"goroutine ", "panic:", "runtime error"} {
		assert.NotContains(p.s.t, e.out+e.err, trace, "nothing prints a stack trace at a user")
	}
	return e
}

func (s *shop) run(args ...string) ended {
	s.t.Helper()
	return s.start(args...).end()
}

// build builds with so many columns, into the folder build.
func (s *shop) build(columns int) ended {
	s.t.Helper()
	return s.run(buildOf(columns)...)
}

func buildOf(columns int) []string {
	return []string{"build", "--quiet", "--given", fmt.Sprintf("columns=%d", columns), "staff.panel.hcl"}
}

// good builds, and gives what the build folder holds.
func (s *shop) good(columns int) map[string][]byte {
	s.t.Helper()
	e := s.build(columns)
	require.Equal(s.t, 0, e.code, e.err+e.out)
	s.nothingBeside()
	return files(s.t, s.path("build/staff"))
}

// beside lists what lies beside the build folder.
func (s *shop) beside() (left []string) {
	s.t.Helper()
	entries, err := os.ReadDir(s.path("build"))
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	require.NoError(s.t, err)
	for _, e := range entries {
		if e.Name() != "staff" {
			left = append(left, e.Name())
		}
	}
	return left
}

func (s *shop) nothingBeside() {
	s.t.Helper()
	assert.Empty(s.t, s.beside(), "nothing is left beside the build folder")
}

// is tells whether two folders hold the same.
func is(a, b map[string][]byte) bool {
	if len(a) != len(b) {
		return false
	}
	for name, data := range a {
		if other, ok := b[name]; !ok || !bytes.Equal(data, other) {
			return false
		}
	}
	return true
}

// holds requires that the build folder is as it was.
func (s *shop) holds(want map[string][]byte) {
	s.t.Helper()
	assert.True(s.t, is(want, files(s.t, s.path("build/staff"))), "the build folder is not as it was")
}

// copyTree copies a folder to a place that is not there yet.
func copyTree(from, to string) error { return os.CopyFS(to, os.DirFS(from)) }
