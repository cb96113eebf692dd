package pipeline

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"

	"github.com/rs/zerolog"

	"panelwright/pipeline/panel"
)

// Env is all that a stage may touch besides its options and the panel.
type Env struct {
	Log   zerolog.Logger // build.log: no times, no paths outside the recipe's folder
	Panel string         // the panel's name, which files are named by
	// Revision is the panel's own revision.
	Revision string
	// Supplier is whom the panel is built for, of the recipe's supplier blocks; empty: nobody in particular.
	Supplier string
	// Date is when the build counts as made, in ISO 8601 with zone, for formats that want a date: what
	// SOURCE_DATE_EPOCH says, empty where it is not set. There is no clock.
	Date    string
	Workers int // how many goroutines a stage may use; results must not depend on it
	Files   Files
	Rules   []Rule // the program's rules
	Program Program
	Gate    Gate // which findings keep the panel from being released
	report  func(Finding)
	found   func() []Finding
	hooks   Hooks
}

// Hooks are what the runner does with what stages tell it beyond findings. Any may be nil.
type Hooks struct {
	Waive    func([]Waiver)
	Judged   func(Judged)
	Released func() bool
	Agreed   func(panel.XOut)
	Show     func(Field)
	Reached  func(done, of int)
	Once     func(ctx context.Context, key string, work func(Files) (any, error)) (any, error)
	Variable func(name string) (value string, set bool)
	Program  func(name string) (path string, err error)
	Scratch  func() (dir string, err error)
}

// Program names the tool for files that state what wrote them.
type Program struct {
	Name    string // "panelwright"
	Version string
}

// NewEnv makes an Env; report takes the findings, found gives those made so far.
func NewEnv(e Env, report func(Finding), found func() []Finding) *Env {
	e.report, e.found = report, found
	return &e
}

// With hands over the runner's hooks.
func (e *Env) With(h Hooks) *Env {
	e.hooks = h
	return e
}

// Judged tells that a rule was judged, or why it was not.
func (e *Env) Judged(j Judged) {
	if e.hooks.Judged != nil {
		e.hooks.Judged(j)
	}
}

// Waive hands over what recipe and standards accept. It holds for the findings of every stage, those before
// and after this one.
func (e *Env) Waive(w []Waiver) {
	if e.hooks.Waive != nil && len(w) > 0 {
		e.hooks.Waive(w)
	}
}

// Reached tells people who wait how many of the stage's equal pieces of work are done. Nothing else comes of it; it
// may be called by several goroutines at once.
func (e *Env) Reached(done, of int) {
	if e.hooks.Reached != nil {
		e.hooks.Reached(done, of)
	}
}

// Once gives what work gives, which must follow from the key and the files that it reads alone: of recipes that are
// carried out together, all whose keys and files are the same share it, and it is worked out for the first of them. Nobody may
// change it afterwards. The key says what kind of thing it is, and everything that the result hangs on but the files'
// contents. Work reads by the files that it is handed, so that each build records them, and reports nothing.
func (e *Env) Once(ctx context.Context, key string, work func(files Files) (any, error)) (any, error) {
	if e.hooks.Once != nil {
		return e.hooks.Once(ctx, key, work)
	}
	return work(e.Files)
}

// Variable gives an environment variable, and has it recorded as something that the build hangs on.
func (e *Env) Variable(name string) (value string, set bool) {
	if e.hooks.Variable != nil {
		return e.hooks.Variable(name)
	}
	return os.LookupEnv(name)
}

// Executable finds a program by its name where the system looks for programs, and has its content recorded as something
// that the build hangs on.
func (e *Env) Executable(name string) (path string, err error) {
	if e.hooks.Program != nil {
		return e.hooks.Program(name)
	}
	return exec.LookPath(name)
}

// Scratch gives an empty folder that nobody else uses and that is gone when the build ends, an absolute path. Nothing of it
// may reach what a build writes.
func (e *Env) Scratch() (dir string, err error) {
	if e.hooks.Scratch != nil {
		return e.hooks.Scratch()
	}
	return "", errors.New("there is no place for scratch files here")
}

// Show hands over a field for the reports.
func (e *Env) Show(f Field) {
	if e.hooks.Show != nil {
		e.hooks.Show(f)
	}
}

// Agreed hands over what recipe or standard state about bad copies, from a stage that changes nothing of the panel
// itself. The runner puts it down with the panel, in place of what was there.
func (e *Env) Agreed(x panel.XOut) {
	if e.hooks.Agreed != nil {
		e.hooks.Agreed(x)
	}
}

// Released tells whether the panel may be released: none of the findings closes the gate. What a stage
// writes of it stays true: where later findings decide otherwise the stages that write are run again.
func (e *Env) Released() bool {
	if e.hooks.Released != nil {
		return e.hooks.Released()
	}
	if e.found == nil { // outside a runner nothing is kept, and nothing closes the gate
		return true
	}
	return e.Gate.Open(e.found())
}

// Report adds a finding.
func (e *Env) Report(f Finding) { e.report(f) }

// Findings gives what has been found so far, by earlier stages too.
func (e *Env) Findings() []Finding { return e.found() }

// InPath is an input as a recipe names it: Text, relative to the folder of the file that says so.
type InPath struct {
	Text string // as written, slashes
	Dir  string // the folder that Text is relative to
}

// Files is how a stage reads inputs and writes outputs.
type Files interface {
	// List gives the files that p means, sorted by name: those in a folder (with its subfolders),
	// the file itself, or what a glob matches (** crosses folders). None is an error.
	List(ctx context.Context, p InPath) ([]InPath, error)
	// Read gives a file's bytes and records its SHA-256 among the build's inputs.
	Read(ctx context.Context, p InPath) ([]byte, error)
	// Create makes a file in the build folder; name is a clean relative path with slashes. Names
	// that leave the build folder, or that were made before, are errors. The file is complete
	// when Close returns nil.
	Create(name string) (io.WriteCloser, error)
	// ReadBack gives the bytes of a file that Create made in this build.
	ReadBack(name string) ([]byte, error)
	// Archive asks for a deterministic zip of files made in this build. It is made after the
	// proof, and only when the release gate is open.
	Archive(name string, members []string) error
}
