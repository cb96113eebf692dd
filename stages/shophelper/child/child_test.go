//go:build unix

package child

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shell runs a script by the system's shell, as a program like any other.
func shell(t *testing.T, script string) Command {
	t.Helper()
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no sh here")
	}
	return Command{Path: sh, Args: []string{"-c", script}, Dir: t.TempDir(), Env: []string{"A=1"}, Input: []byte("given"),
		Limits: Limits{Time: 20 * time.Second, Output: 1 << 20, Memory: 512 << 20}}
}

func TestWhatAProgramHas(t *testing.T) {
	c := shell(t, `cat; echo; echo "$A"; pwd; env`)
	out, err := Run(t.Context(), c)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	require.GreaterOrEqual(t, len(lines), 4)
	dir, err := filepath.EvalSymlinks(c.Dir)
	require.NoError(t, err)
	assert.Equal(t, []string{"given", "1", dir}, lines[:3])
	for _, l := range lines[3:] { // the shell itself sets some
		name, _, _ := strings.Cut(l, "=")
		assert.Contains(t, []string{"A", "PWD", "SHLVL", "_", "OLDPWD"}, name)
	}
}

// Every way to end otherwise than well. None may last longer than its own limit and a little.
func TestFailures(t *testing.T) {
	for _, c := range []struct {
		name, script string
		limits       Limits
		want         Failure
		said         string
	}{
		{"exit code", `echo "one" >&2; printf 'two\033[31m\007\n' >&2; exit 3`, Limits{}, Failure{Why: Exited, Code: 3}, "one\ntwo.[31m."},
		{"signal", `kill -SEGV $$`, Limits{}, Failure{Why: Signalled, Signal: "11 (segmentation fault)"}, ""},
		{"hang", `echo waiting >&2; exec sleep 600`, Limits{Time: 300 * time.Millisecond}, Failure{Why: TooLong}, "waiting"},
		{"hang that takes no hint", `trap '' TERM INT HUP; sleep 600; sleep 600`, Limits{Time: 300 * time.Millisecond}, Failure{Why: TooLong}, ""},
		{"too much output", `exec yes`, Limits{Output: 4096}, Failure{Why: TooMuch}, ""},
		{"endless standard error", `echo first >&2; exec yes more >&2`, Limits{Output: 100_000}, Failure{Why: TooLoud}, "first\nmore\nmore\nmore\n…"},
		{"too much in the folder", `i=0; while [ $i -lt 64 ]; do head -c 1024 /dev/zero >f$i; i=$((i+1)); done; echo ok`, Limits{Output: 32 << 10}, Failure{Why: TooFull}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			cmd := shell(t, c.script)
			if c.limits.Time > 0 {
				cmd.Time = c.limits.Time
			}
			if c.limits.Output > 0 {
				cmd.Output = c.limits.Output
			}
			began := time.Now()
			out, err := Run(t.Context(), cmd)
			require.Nil(t, out)
			var f *Failure
			require.ErrorAs(t, err, &f)
			got := *f
			got.Said, got.Err = "", nil
			assert.Equal(t, c.want, got)
			assert.Equal(t, c.said, f.Said)
			assert.Less(t, time.Since(began), 15*time.Second)
		})
	}
}

// gone waits until no process has the number, or says that one stays.
func gone(t *testing.T, file string) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	pid, err := strconv.Atoi(strings.TrimSpace(string(text)))
	require.NoError(t, err)
	require.Eventually(t, func() bool {
		if errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
			return true
		}
		stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat") // nobody may have waited for it
		return err == nil && bytes.Contains(stat, []byte(") Z "))
	}, 10*time.Second, 10*time.Millisecond, "process %d is still there", pid)
}

// What a program leaves behind in its group ends with it: the run does not wait for it, and does not fail for it.
func TestNothingStaysBehind(t *testing.T) {
	if runtime.GOOS != "linux" && runtime.GOOS != "darwin" {
		t.Skip("a program's end cannot be waited for here without forgetting it")
	}
	c := shell(t, `sleep 600 & echo $! >pid; echo done`)
	began := time.Now()
	out, err := Run(t.Context(), c)
	require.NoError(t, err)
	assert.Equal(t, "done\n", string(out))
	assert.Less(t, time.Since(began), 10*time.Second)
	gone(t, filepath.Join(c.Dir, "pid"))
}

// The same of what it leaves when it is ended itself.
func TestAllOfItIsEnded(t *testing.T) {
	c := shell(t, `sleep 600 & echo $! >pid; wait`)
	c.Time = 300 * time.Millisecond
	_, err := Run(t.Context(), c)
	var f *Failure
	require.ErrorAs(t, err, &f)
	assert.Equal(t, TooLong, f.Why)
	gone(t, filepath.Join(c.Dir, "pid"))
}

// Something that has left the group and holds the output open is no reason to wait, and none to take half an output.
func TestOutputHeldOpen(t *testing.T) {
	setsid, err := exec.LookPath("setsid")
	if err != nil {
		t.Skip("there is no setsid here")
	}
	c := shell(t, setsid+` sh -c 'echo $$ >pid; exec sleep 600' & while [ ! -s pid ]; do sleep 0.01; done; echo done`)
	c.Env = append(c.Env, "PATH="+os.Getenv("PATH"))
	began := time.Now()
	_, err = Run(t.Context(), c)
	var f *Failure
	require.ErrorAs(t, err, &f)
	assert.Equal(t, HeldOpen, f.Why)
	assert.Less(t, time.Since(began), 15*time.Second)
	text, err := os.ReadFile(filepath.Join(c.Dir, "pid"))
	require.NoError(t, err)
	pid, err := strconv.Atoi(strings.TrimSpace(string(text)))
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(pid, syscall.SIGKILL)) // ours, and nobody else ends it
}

func TestMemory(t *testing.T) {
	if runtime.GOOS != "linux" || raced {
		t.Skip("memory is limited on Linux and Windows, and the race detector takes too much of it")
	}
	hog := func(how string, most int64) *Failure {
		self, err := os.Executable()
		require.NoError(t, err)
		c := shell(t, "")
		c.Path, c.Args, c.Env, c.Memory = self, nil, []string{"HOG=" + how}, most
		_, err = Run(t.Context(), c)
		var f *Failure
		require.ErrorAs(t, err, &f)
		return f
	}
	// Shared memory is no private data of the process, so only the watch sees it.
	f := hog("shared", 400<<20)
	assert.Equal(t, TooLarge, f.Why, "%+v", f)
	// Private memory is refused by the system: the program sees it, and says so.
	f = hog("private", 400<<20)
	assert.Equal(t, Exited, f.Why, "%+v", f)
	assert.Contains(t, f.Said, "out of memory")
}

// TestMain makes of the test's own program one that takes memory, when it is asked to.
func TestMain(m *testing.M) {
	var kept [][]byte
	take := func(flags int) {
		for range 64 { // 1 GiB at most
			data := make([]byte, 16<<20)
			if flags != 0 {
				var err error
				if data, err = syscall.Mmap(-1, 0, len(data), syscall.PROT_READ|syscall.PROT_WRITE, flags); err != nil {
					os.Exit(7)
				}
			}
			for i := 0; i < len(data); i += 4096 {
				data[i] = 1
			}
			kept = append(kept, data)
		}
		time.Sleep(10 * time.Second)
		os.Exit(len(kept) & 1)
	}
	switch os.Getenv("HOG") {
	case "shared":
		take(syscall.MAP_SHARED | syscall.MAP_ANON)
	case "private":
		take(0)
	}
	os.Exit(m.Run())
}

// A program that does not read what it is handed is no failure, whatever the size.
func TestInputNotRead(t *testing.T) {
	for _, script := range []string{`echo ok`, `exec <&-; sleep 0.1; echo ok`} {
		c := shell(t, script)
		c.Input = bytes.Repeat([]byte("x"), 4<<20)
		out, err := Run(t.Context(), c)
		require.NoError(t, err)
		assert.Equal(t, "ok\n", string(out))
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	c := shell(t, `echo $$ >pid; exec sleep 600`)
	go func() {
		for {
			if text, _ := os.ReadFile(filepath.Join(c.Dir, "pid")); len(text) > 1 {
				cancel()
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
	}()
	_, err := Run(ctx, c)
	require.ErrorIs(t, err, context.Canceled)
	gone(t, filepath.Join(c.Dir, "pid"))
}

func TestNotStarted(t *testing.T) {
	c := shell(t, "")
	for name, content := range map[string]string{"text": "no program\n", "interpreter": "#!/no/such/interpreter\n"} {
		path := filepath.Join(c.Dir, name)
		require.NoError(t, os.WriteFile(path, []byte(content), 0o700))
		c.Path, c.Args = path, nil
		_, err := Run(t.Context(), c)
		var f *Failure
		require.ErrorAs(t, err, &f, name)
		assert.Equal(t, NotStarted, f.Why)
	}
	path := filepath.Join(c.Dir, "closed")
	require.NoError(t, os.WriteFile(path, []byte("#!/bin/sh\n"), 0o600))
	c.Path = path
	_, err := Run(t.Context(), c)
	var f *Failure
	require.ErrorAs(t, err, &f)
	assert.ErrorIs(t, f.Err, os.ErrPermission)
}

// Programs that are written and started by many at once: a file that another's child still holds is tried again.
func TestWrittenAMomentAgo(t *testing.T) {
	c := shell(t, "")
	done := make(chan error)
	const n = 24
	for range n {
		dir := t.TempDir()
		go func() {
			path := filepath.Join(dir, "p")
			if err := os.WriteFile(path, []byte("#!/bin/sh\necho ok\n"), 0o700); err != nil {
				done <- err
				return
			}
			c := c
			c.Path, c.Args, c.Dir = path, nil, dir
			_, err := Run(context.Background(), c)
			done <- err
		}()
	}
	for range n {
		assert.NoError(t, <-done)
	}
}

func TestVoice(t *testing.T) {
	speak := func(text string) *voice {
		v := &voice{most: 1 << 20, over: func() {}}
		for len(text) > 0 { // in pieces, as they come
			n := min(777, len(text))
			_, _ = v.Write([]byte(text[:n]))
			text = text[n:]
		}
		return v
	}
	var many []string
	for i := range 2000 {
		many = append(many, "line "+strconv.Itoa(i))
	}
	for _, c := range []struct{ name, said, want string }{
		{"nothing", "", ""},
		{"blank", "\n\n \n", ""},
		{"control", "a\x1b]0;title\x07b\x00\u202Ec\xff\r\n", "a.]0;title.b..c."},
		{"folder", "/work/1/x.py:3 in /work/1", "x.py:3 in ."},
		{"tabs", "\tat line 3\n", " at line 3"},
		{"long", strings.Repeat("x", 300), strings.Repeat("x", 200) + "…"},
		{"many", strings.Join(many[:20], "\n"), "line 0\nline 1\nline 2\nline 3\n…\nline 12\nline 13\nline 14\nline 15\nline 16\nline 17\nline 18\nline 19"},
		{"very many", strings.Join(many, "\n"), "line 0\nline 1\nline 2\nline 3\n…\nline 1992\nline 1993\nline 1994\nline 1995\nline 1996\nline 1997\nline 1998\nline 1999"},
	} {
		assert.Equal(t, c.want, speak(c.said).text("/work/1", true), c.name)
	}
	assert.Equal(t, "line 0\nline 1\nline 2\nline 3\n…", speak(strings.Join(many, "\n")).text("/work/1", false))
}
