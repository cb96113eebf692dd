// Package cli is the command line as a library: a shop's own program is a main of five lines that
// hands its stages and rules to Main.
//
// Exit codes: 0 good, 1 findings that close the release gate, 2 the recipe or an input is wrong, 3 the machine
// failed, 130 interrupted.
package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/run"
	"panelwright/pipeline/store"
)

// Program is what a command line is made of.
type Program struct {
	Name    string // what people type, and what files say wrote them; "panelwright" when empty
	Version string // as files state it: equal versions must give equal bytes
	Stages  []pipeline.Kind
	Rules   []pipeline.Rule
	// Prove, PanelData: as in run.Options.
	Prove     func(ctx context.Context, in run.ProofInput) ([]pipeline.Finding, error)
	PanelData func(p panel.Panel, name, revision string) ([]byte, error)
	// ReadPanelData makes the panel of what PanelData wrote and its boards, read again. Without it, or
	// without Prove, there is no command readback.
	ReadPanelData func(text []byte, boards []*panel.Board) (p panel.Panel, name, revision string, err error)
	// Survey writes what the reader understands of the board's files at paths, as text or JSON, and
	// tells whether a recipe could use them as they are. Unless keep is nil it hands each of its pictures
	// to it, under a file name, and tells people the path that it gives back.
	// Without it there is no command survey.
	Survey func(ctx context.Context, files pipeline.Files, paths []pipeline.InPath, w io.Writer, asJSON bool,
		keep func(name string, picture []byte) (path string, err error)) (usable bool, err error)
	// Returned reads what a fabricator sends back, at paths. Without it readback has no option --against.
	Returned func(ctx context.Context, files pipeline.Files, paths []pipeline.InPath) (*pipeline.Returned, error)
	// Start makes a first recipe from a board's files. Without it there is no command start.
	Start func(ctx context.Context, q pipeline.StartRequest) (pipeline.Started, error)
	// Store opens a shared store of finished builds. Without it build has no option --store.
	Store func(ctx context.Context, url string) (*store.Store, error)
}

// Main runs the command line with args, the program's name left out, and gives the exit code.
// Results go to stdout; the log and what is wrong to stderr.
func Main(p Program, args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	if p.Name == "" {
		p.Name = "panelwright"
	}
	wait := newWaiting(stderr)
	defer wait.close()
	out := &sink{w: stdout, wait: wait}
	a := &app{Program: p, in: stdin, out: out, err: wait, wait: wait}
	defer func() {
		if r := recover(); r != nil {
			code = a.fail(&run.FaultError{What: fmt.Sprint(r), Code: run.PanicLine()})
		}
	}()
	paceGarbage()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once, which harms no build
	code = a.execute(ctx, args)
	if out.err != nil && code < exitMachine {
		code = a.fail(unwritten(out.err))
	}
	return code
}

// app is one call of the command line.
type app struct {
	Program
	in     io.Reader
	out    *sink
	err    io.Writer
	wait   *waiting // err, and how far the work is
	asJSON bool
	quiet  bool // nothing but what closes the gate, and what is wrong
	code   int  // the worst so far
}

// sink remembers the first error, so that results that did not arrive do not pass for success.
type sink struct {
	w    io.Writer
	wait *waiting
	used bool
	err  error
}

// unwritten is the error of a sink.
func unwritten(err error) error {
	return &run.MachineError{Err: fmt.Errorf("standard output cannot be written: %w", err)}
}

func (s *sink) Write(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	s.used = true
	n, err := s.wait.through(s.w, p)
	s.err = err
	return n, err
}
