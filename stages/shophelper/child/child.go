// Package child runs a program that nobody vouches for: without a shell, with an environment and a folder of its own, and within
// limits of time, output, memory and room on the disk. It ends with all that it has started.
//
// What it does not do: it is no sandbox. The program may do with the machine's files and network what its user may.
package child

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"sync"
	"syscall"
	"time"
)

// Command is what to run.
type Command struct {
	Path  string // absolute
	Args  []string
	Dir   string // its working folder, absolute
	Env   []string
	Input []byte // its standard input
	Limits
}

// Limits are what it may take.
type Limits struct {
	Time   time.Duration
	Output int64 // bytes of standard output, as many of standard error, and as many that it adds to its folder
	// Memory is how many bytes each process may have, and all of them together in memory: kept on Linux and Windows.
	Memory int64
}

// Why says why a run counts for nothing.
type Why string

// The reasons.
const (
	NotStarted Why = "not started"
	Exited     Why = "exited"    // with a code other than 0
	Signalled  Why = "signalled" // ended by a signal that was not ours
	TooLong    Why = "too long"
	TooMuch    Why = "too much output"
	TooLoud    Why = "too much on standard error"
	TooLarge   Why = "too much memory"
	TooFull    Why = "too much in its folder"
	HeldOpen   Why = "held open" // something that it left behind holds its output open
)

// Failure is a run that counts for nothing.
type Failure struct {
	Why    Why
	Code   int    // of Exited
	Signal string // of Signalled: its name
	Err    error  // of NotStarted
	Said   string // the beginning and the end of its standard error, made harmless
}

// Error states why.
func (f *Failure) Error() string { return string(f.Why) }

// Run runs the command, and gives what it printed if it ended well: by itself, within its limits, with the code 0. The
// error is ctx's own where ctx is done, else a *Failure, else the machine's.
func Run(ctx context.Context, c Command) ([]byte, error) {
	// A child that is to die with its parent dies with the parent's thread (Linux): so the thread is held.
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()

	room := &room{dir: c.Dir, most: c.Output}
	if err := room.begin(); err != nil {
		return nil, err
	}
	inner, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	// A cause that stands already stays: whatever ended the run first is told.
	timer := time.AfterFunc(c.Time, func() { stop(&Failure{Why: TooLong}) })
	defer timer.Stop()

	out := &bounded{most: c.Output, over: func() { stop(&Failure{Why: TooMuch}) }}
	said := &voice{most: c.Output, over: func() { stop(&Failure{Why: TooLoud}) }}
	group, cmd, err := start(inner, func() *exec.Cmd {
		cmd := exec.CommandContext(inner, c.Path, c.Args...)
		cmd.Dir, cmd.Env, cmd.Stdin, cmd.Stdout, cmd.Stderr = c.Dir, c.Env, bytes.NewReader(c.Input), out, said
		cmd.WaitDelay = waitDelay
		return cmd
	}, c.Limits)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, &Failure{Why: NotStarted, Err: err}
	}
	var watching sync.WaitGroup
	done := make(chan struct{})
	watching.Go(func() { watch(done, group, c.Limits, room, stop) })
	group.settle() // until it has ended, and all that it started is ended, too
	err = cmd.Wait()
	close(done)
	watching.Wait()
	group.close()

	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	fail := &Failure{}
	var exit *exec.ExitError
	switch cause := context.Cause(inner); {
	case errors.As(cause, &fail):
	case errors.Is(err, exec.ErrWaitDelay):
		fail.Why = HeldOpen
	case errors.As(err, &exit):
		fail.Why, fail.Code = Exited, exit.ExitCode()
		if name := signalName(exit.ProcessState); name != "" {
			fail.Why, fail.Code, fail.Signal = Signalled, 0, name
		}
	case err != nil:
		return nil, err
	case room.over():
		fail.Why = TooFull
	default:
		return out.data.Bytes(), nil
	}
	fail.Said = said.text(c.Dir, fail.Why != TooLoud)
	return nil, fail
}

// waitDelay is how long output may stay open when all that could be ended is ended.
const waitDelay = 2 * time.Second

// start starts the command. A file that was written a moment ago counts as still being written while any process that was
// started meanwhile has not let go of it: then the system says that the text is busy, and it is tried again.
func start(ctx context.Context, make func() *exec.Cmd, limits Limits) (*group, *exec.Cmd, error) {
	for wait := time.Millisecond; ; wait *= 2 {
		cmd := make()
		g, err := startOwn(cmd, limits)
		if err == nil {
			return g, cmd, nil
		}
		if !errors.Is(err, syscall.ETXTBSY) || wait > time.Second {
			return nil, nil, err
		}
		select {
		case <-time.After(wait):
		case <-ctx.Done():
			return nil, nil, ctx.Err()
		}
	}
}

// How often the watch looks: soon at first, for programs that take much at once.
const (
	firstLook = 10 * time.Millisecond
	rarest    = 200 * time.Millisecond
)

// watch ends the run when it takes more memory or room than it may.
func watch(done <-chan struct{}, g *group, limits Limits, r *room, stop context.CancelCauseFunc) {
	for wait := firstLook; ; wait = min(2*wait, rarest) {
		select {
		case <-done:
			return
		case <-time.After(wait):
		}
		if g.memory() > limits.Memory {
			stop(&Failure{Why: TooLarge})
		}
		if r.over() {
			stop(&Failure{Why: TooFull})
		}
	}
}

// room watches what a folder holds.
type room struct {
	dir      string
	most     int64
	bytes, n int64 // at the beginning
}

// mostFiles is how many files and folders a program may add to its folder.
const mostFiles = 10_000

func (r *room) begin() (err error) {
	r.bytes, r.n, err = r.count()
	return err
}

func (r *room) count() (bytes, n int64, err error) {
	err = filepath.WalkDir(r.dir, func(_ string, e fs.DirEntry, err error) error {
		if err != nil {
			return nil // it goes while it is looked at, or is closed to us
		}
		if n++; n > r.n+mostFiles+1 {
			return fs.SkipAll // enough is known
		}
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() {
			bytes += info.Size()
		}
		return nil
	})
	return bytes, n, err
}

// over tells whether more was added than may be.
func (r *room) over() bool {
	bytes, n, _ := r.count()
	return bytes-r.bytes > r.most || n-r.n > mostFiles
}

// bounded keeps what is written to it as far as a bound, and refuses more.
type bounded struct {
	data bytes.Buffer
	most int64
	over func()
}

var errOver = errors.New("more than may be")

func (b *bounded) Write(p []byte) (int, error) {
	if int64(b.data.Len()+len(p)) > b.most {
		b.over()
		return 0, errOver
	}
	return b.data.Write(p)
}

// signalName gives the name of the signal that ended a process, empty where none did.
func signalName(s *os.ProcessState) string {
	if w, ok := s.Sys().(interface {
		Signaled() bool
		Signal() syscall.Signal
	}); ok && w.Signaled() {
		return fmt.Sprintf("%d (%s)", int(w.Signal()), w.Signal())
	}
	return ""
}
