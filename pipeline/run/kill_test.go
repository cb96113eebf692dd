//go:build unix

package run

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/recipe"
)

// The test binary runs itself as a program that builds and can be killed at any step.
func TestMain(m *testing.M) {
	if os.Getenv("RUN_TEST_RECIPE") != "" {
		os.Exit(child())
	}
	os.Exit(m.Run())
}

// child builds RUN_TEST_RECIPE into RUN_TEST_OUT. It dies at step number RUN_TEST_KILL, by the
// signal that no program can catch, and prints the names of the steps it passes.
func child() int {
	env := os.Getenv
	number := func(name string) int { n, _ := strconv.Atoi(env(name)); return n }
	if env("RUN_TEST_SWAP") == "renaming" {
		exchange = func(a, b string) error { return errors.ErrUnsupported }
	}
	if n := number("RUN_TEST_FILE_LIMIT"); n > 0 {
		signal.Ignore(syscall.SIGXFSZ) // then writing past the limit fails as on a full disk
		limit := &syscall.Rlimit{Cur: uint64(n), Max: uint64(n)}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, limit); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 99
		}
	}
	step, kill := 0, number("RUN_TEST_KILL")
	faultPoint = func(name string) {
		step++
		fmt.Println(name)
		if step == kill {
			syscall.Kill(os.Getpid(), syscall.SIGKILL)
			select {}
		}
	}
	plan, err := recipe.Load(env("RUN_TEST_RECIPE"), recipe.Settings{Kinds: kinds()})
	if err == nil {
		plan.Supplier = env("RUN_TEST_SUPPLIER")
		opt := options(env("RUN_TEST_OUT"))
		opt.Program.Version = env("RUN_TEST_VERSION")
		_, err = Build(context.Background(), plan, opt)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		if m := (*MachineError)(nil); errors.As(err, &m) {
			return 3
		}
		return 2
	}
	return 0
}

// builder of a project by child processes.
type outside struct {
	t                 *testing.T
	path, out, target string
	swap, whom        string
}

// whomOutside is newOutside for a supplier's build.
func whomOutside(t *testing.T, swap, whom string) *outside {
	o := newOutside(t, swap)
	o.whom, o.target = whom, filepath.Join(o.target, whom)
	return o
}

// side names what lies beside the build folder while a build runs.
func (o *outside) side(what string) string {
	return filepath.Join(filepath.Dir(o.target), ".panelwright-"+what+"-"+filepath.Base(o.target))
}

func newOutside(t *testing.T, swap string) *outside {
	dir := t.TempDir()
	out := filepath.Join(dir, "build")
	return &outside{t, project(t, dir), out, filepath.Join(out, "gauge-12up"), swap, ""}
}

// run builds, to be killed at step kill (0: not), and gives the steps passed and how it ended.
func (o *outside) run(version string, kill int, more ...string) (steps []string, errOut string, state *os.ProcessState) {
	o.t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), "RUN_TEST_RECIPE="+o.path, "RUN_TEST_OUT="+o.out, "RUN_TEST_SWAP="+o.swap, "RUN_TEST_SUPPLIER="+o.whom,
		"RUN_TEST_VERSION="+version, "RUN_TEST_KILL="+strconv.Itoa(kill))
	cmd.Env = append(cmd.Env, more...)
	var stdout, stderr strings.Builder
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err := cmd.Run()
	if cmd.ProcessState == nil {
		require.NoError(o.t, err)
	}
	return strings.Split(strings.TrimSpace(stdout.String()), "\n"), stderr.String(), cmd.ProcessState
}

func (o *outside) good(version string) []string {
	o.t.Helper()
	steps, said, state := o.run(version, 0)
	require.True(o.t, state.Success(), said)
	require.Empty(o.t, leftovers(o.t, o.out))
	require.Empty(o.t, leftovers(o.t, filepath.Dir(o.target)))
	return steps
}

func killed(s *os.ProcessState) bool {
	w, ok := s.Sys().(syscall.WaitStatus)
	return ok && w.Signaled() && w.Signal() == syscall.SIGKILL
}

// A build killed at any step, for either way of exchanging the folders, leaves the old build or the
// new one, whole; and the next build mends what is left and succeeds.
func TestKilledAtEveryStep(t *testing.T) {
	for _, swap := range []string{"exchange", "renaming", "renaming for a supplier"} {
		t.Run(swap, func(t *testing.T) {
			o := newOutside(t, swap)
			if only, yes := strings.CutSuffix(swap, " for a supplier"); yes {
				o = whomOutside(t, only, "north")
				swap = only
				other := *o
				other.whom, other.target = "south", filepath.Join(filepath.Dir(o.target), "south")
				other.good("1")
				whole := tree(t, other.target)
				defer func() { assert.Equal(t, whole, tree(t, other.target), "the other supplier's build is as it was") }()
			}
			o.good("1")
			old := tree(t, o.target)
			steps := o.good("2")
			fresh := tree(t, o.target)
			require.NotEqual(t, old, fresh)
			require.Greater(t, len(steps), 20)
			if swap == "exchange" && exchangeWorks(t) {
				require.NotContains(t, steps, "noted", "this file system exchanges names in one step")
			}
			if swap == "renaming" {
				require.Subset(t, steps, []string{"noted", "old build aside", "new build named", "note removed"})
			}
			sawOld, sawNew := 0, 0
			for n := 1; n <= len(steps); n++ {
				o.good("1")
				require.Equal(t, old, tree(t, o.target))
				passed, _, state := o.run("2", n)
				require.True(t, killed(state), "step %d", n)
				at := passed[len(passed)-1]
				require.Contains(t, steps, at) // the two files are made in either order
				if at == "old build aside" {
					// The one moment without a build folder: both builds are there, whole, beside it.
					assert.NoDirExists(t, o.target)
					assert.Equal(t, old, tree(t, o.side("old")))
					assert.Equal(t, fresh, tree(t, o.side("stage")))
					o.mendOnly()
					assert.Equal(t, fresh, tree(t, o.target), "the next run completes it")
					sawNew++
					continue
				}
				switch got := tree(t, o.target); {
				case assert.ObjectsAreEqual(old, got):
					sawOld++
				case assert.ObjectsAreEqual(fresh, got):
					sawNew++
				default:
					t.Errorf("killed at %q: the build folder is neither the old build nor the new one", at)
				}
			}
			o.good("1")
			t.Logf("killed at %d steps: the old build was there %d times, the new one %d times", len(steps), sawOld, sawNew)
			assert.Greater(t, sawOld, 15)
			assert.Greater(t, sawNew, 2)
		})
	}
}

// exchangeWorks tells whether the system and the file system of temporary folders can exchange names.
func exchangeWorks(t *testing.T) bool {
	a, b := t.TempDir(), t.TempDir()
	return swapNames(a, b) == nil
}

// mendOnly starts a build that is killed as soon as it has mended what it found.
func (o *outside) mendOnly() {
	o.t.Helper()
	want := []string{"locked", "mended"}
	if o.whom != "" {
		want = []string{"mended", "locked", "mended"} // first what a build for no supplier may have left
	}
	passed, _, state := o.run("3", len(want))
	require.True(o.t, killed(state))
	require.Equal(o.t, want, passed)
}

// The mending may be cut off as well, at any step.
func TestKilledWhileMending(t *testing.T) {
	o := newOutside(t, "renaming")
	o.good("1")
	old := tree(t, o.target)
	steps := o.good("2")
	fresh := tree(t, o.target)
	for _, first := range []string{"noted", "old build aside", "note removed"} {
		n := slices.Index(steps, first) + 1
		require.Positive(t, n, first)
		for second := 2; second <= 6; second++ { // step 1 is the lock: nothing has been mended by then
			o.good("1")
			_, _, state := o.run("2", n)
			require.True(t, killed(state))
			passed, _, state := o.run("3", second)
			require.True(t, killed(state))
			got := tree(t, o.target)
			want := old
			if n >= slices.Index(steps, "old build aside")+1 {
				want = fresh
			}
			assert.Equal(t, want, got, "killed at %q, then at %q", first, passed[len(passed)-1])
		}
		o.good("1")
		require.Equal(t, old, tree(t, o.target))
	}
}

// When the new build is not whole after a crash of the machine, the old one comes back.
func TestMendingDistrustsABrokenStage(t *testing.T) {
	o := newOutside(t, "renaming")
	o.good("1")
	old := tree(t, o.target)
	n := slices.Index(o.good("2"), "old build aside") + 1
	for name, spoil := range map[string]func(stage string) error{
		"a file cut short": func(stage string) error {
			return os.Truncate(filepath.Join(stage, "fab", "gauge-copper-1-top.gbr"), 100)
		},
		"a file with other bytes": func(stage string) error {
			f, err := os.OpenFile(filepath.Join(stage, "gauge-fab.zip"), os.O_WRONLY, 0)
			if err != nil {
				return err
			}
			defer f.Close()
			_, err = f.WriteAt([]byte{0}, 50)
			return err
		},
		"a file missing": func(stage string) error { return os.Remove(filepath.Join(stage, "build.log")) },
		"no manifest":    func(stage string) error { return os.Remove(filepath.Join(stage, "manifest.json")) },
		"no stage":       os.RemoveAll,
	} {
		o.good("1")
		_, _, state := o.run("2", n)
		require.True(t, killed(state))
		require.NoError(t, spoil(filepath.Join(o.out, ".panelwright-stage-gauge-12up")))
		o.mendOnly()
		assert.Equal(t, old, tree(t, o.target), name)
	}
	o.good("1")
}

// A write that fails as on a full disk is told, and changes nothing. The limit is on the size of a
// file, set by the system, so the failing call is a real one.
func TestFullDisk(t *testing.T) {
	o := newOutside(t, "exchange")
	o.good("1")
	old := tree(t, o.target)
	for limit, file := range map[string]string{"100000": "fab/gauge-copper-1-top.gbr", "700": "", "10": ""} {
		_, said, state := o.run("2", 0, "RUN_TEST_FILE_LIMIT="+limit)
		assert.Equal(t, 3, state.ExitCode(), said)
		assert.Contains(t, said, file+": cannot be written: file too large")
		assert.Equal(t, old, tree(t, o.target))
		assert.Empty(t, leftovers(t, o.out))
	}
	_, said, state := o.run("2", 0, "RUN_TEST_FILE_LIMIT=1") // there is no room for the number of the process that holds the lock
	assert.Equal(t, 3, state.ExitCode(), said)
	assert.Contains(t, said, "cannot be written: file too large; choose another with -o")
	assert.Empty(t, leftovers(t, o.out))
	o.good("2")
}

// Where nothing can be written there is a clear error and no trace.
func TestOutputFolderThatCannotBe(t *testing.T) {
	o := newOutside(t, "exchange")
	require.NoError(t, os.WriteFile(o.out, nil, 0o644))
	_, said, state := o.run("1", 0)
	assert.Equal(t, 3, state.ExitCode())
	assert.Equal(t, "output folder "+o.out+": cannot be made: not a directory; choose another with -o\n", said)

	o.out = filepath.Join(o.out, "below")
	_, said, state = o.run("1", 0)
	assert.Equal(t, 3, state.ExitCode())
	assert.Contains(t, said, ": cannot be made: not a directory; choose another with -o\n")
}

// A folder without the right to write is met by a real user who lacks it: root, whom permissions do
// not bind, runs the child as nobody.
func TestReadOnlyOutputFolder(t *testing.T) {
	dir, err := os.MkdirTemp("", "readonly") // open to others, unlike the test's own folder
	require.NoError(t, err)
	defer os.RemoveAll(dir)
	o := &outside{t: t, path: project(t, dir), out: filepath.Join(dir, "build"), swap: "exchange"}
	require.NoError(t, os.Mkdir(o.out, 0o755))
	binary, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "child"), binary, 0o755))
	require.NoError(t, os.Chmod(dir, 0o755))
	require.NoError(t, os.Chmod(o.out, 0o555))
	defer os.Chmod(o.out, 0o755)

	cmd := exec.Command(filepath.Join(dir, "child"))
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "RUN_TEST_RECIPE="+o.path, "RUN_TEST_OUT="+o.out)
	if os.Getuid() == 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	said, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Skipf("this machine does not let a test run a program as another user: %v", err)
	}
	assert.Equal(t, 3, cmd.ProcessState.ExitCode())
	assert.Equal(t, "output folder "+o.out+": cannot be written: permission denied; choose another with -o\n", string(said))
	assert.Empty(t, leftovers(t, o.out))
}

// Two processes at once: the second says so and leaves the first alone; the lock of a process that
// was killed holds no one up.
func TestTwoProcesses(t *testing.T) {
	o := newOutside(t, "exchange")
	require.NoError(t, os.MkdirAll(o.out, 0o755))
	held, _, err := takeLock(filepath.Join(o.out, ".panelwright-lock-gauge-12up"))
	require.NoError(t, err)
	_, said, state := o.run("1", 0)
	assert.Equal(t, 3, state.ExitCode())
	assert.Equal(t, fmt.Sprintf("another build of gauge-12up is running (process %d); wait for it to end\n", os.Getpid()), said)
	assert.FileExists(t, held.file.Name())
	held.release()
	_, _, state = o.run("1", 3)
	require.True(t, killed(state))
	require.FileExists(t, held.file.Name(), "a killed process leaves its lock file")
	o.good("1")
}
