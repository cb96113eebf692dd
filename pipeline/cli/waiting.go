package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"path"
	"runtime"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"golang.org/x/term"
	"golang.org/x/text/width"

	"panelwright/pipeline/run"
)

// waiting is the last line of a terminal, which says how far the work has come. It is drawn again in place, with
// carriage returns and blanks alone, and gives way to whatever is written through it; on anything but a terminal it
// only hands through. It holds no more than the terminal's width.
type waiting struct {
	mu    sync.Mutex
	err   io.Writer
	width func() int // of the terminal, in columns; nil where there is none

	begun time.Time
	job   job
	step  run.Step
	busy  bool // something is under way
	over  bool // nothing is drawn any more
	open  bool // the last text did not end its line
	shown int  // columns that are drawn
	brief int  // how much of the job's words has had to be left out
	done  chan struct{}
}

// job is what is under way: a recipe, a build folder.
type job struct {
	kind  string // "recipe", "build"
	at    int    // from 1
	of    int
	name  string // a path with slashes
	whom  string // for whom; may be empty
	quiet bool
}

// How often the line is drawn, and after what time first: work that is done at once draws none.
const drawEvery = 100 * time.Millisecond

// newWaiting makes the line for a standard error. There is none where err is no terminal, nor on one that cannot go
// back in its line.
func newWaiting(err io.Writer) *waiting {
	w := &waiting{err: err}
	f, ok := err.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return w
	}
	if kind := os.Getenv("TERM"); kind == "dumb" || kind == "" && runtime.GOOS != "windows" {
		return w
	}
	w.width = func() int {
		const usual = 80
		columns, _, err := term.GetSize(int(f.Fd()))
		if err != nil || columns <= 0 {
			return usual
		}
		return columns
	}
	return w
}

// begin tells what is under way from now on, until end. The line is gone for good when ctx is done: the program may
// be ended at any time then.
func (w *waiting) begin(ctx context.Context, j job) {
	if w.width == nil || j.quiet {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.busy { // of several that are under way at once, the time is that of all
		w.begun = time.Now()
	}
	w.job, w.step, w.busy, w.brief = j, run.Step{}, true, 0
	if w.done != nil {
		return
	}
	w.done = make(chan struct{})
	context.AfterFunc(ctx, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.erase()
		w.over = true
	})
	go func(done chan struct{}) {
		tick := time.NewTicker(drawEvery)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
				w.mu.Lock()
				w.draw()
				w.mu.Unlock()
			}
		}
	}(w.done)
}

// reached takes how far the work is; it may be called by several goroutines.
func (w *waiting) reached(s run.Step) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if s.At == w.step.At && s.Name == w.step.Name && s.Done < w.step.Done { // told late by another goroutine
		return
	}
	w.step = s
}

// end takes the line away.
func (w *waiting) end() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.erase()
	w.busy = false
}

// close ends it all; nothing is drawn after it.
func (w *waiting) close() {
	w.end()
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.done != nil {
		close(w.done)
		w.done = nil
	}
	w.over = true
}

// Write writes to standard error.
func (w *waiting) Write(b []byte) (int, error) { return w.through(w.err, b) }

// through writes to what may be the same terminal, in place of the line.
func (w *waiting) through(to io.Writer, b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.erase()
	n, err := to.Write(b)
	if n > 0 {
		w.open = b[n-1] != '\n'
	}
	return n, err
}

func (w *waiting) erase() {
	if w.shown > 0 {
		fmt.Fprint(w.err, "\r"+strings.Repeat(" ", w.shown)+"\r")
		w.shown = 0
	}
}

func (w *waiting) draw() {
	if !w.busy || w.over || w.open {
		return
	}
	// The last column stays free: what is written there breaks the line on some terminals.
	most := w.width() - 1
	var text string
	text, w.brief = w.job.text(w.step, time.Since(w.begun), most, w.brief)
	columns := columnsOf(text)
	if columns == 0 {
		w.erase()
		return
	}
	blanks := max(0, min(w.shown, most)-columns)
	fmt.Fprint(w.err, "\r"+text+strings.Repeat(" ", blanks))
	w.shown = columns + blanks
	if blanks > 0 { // the cursor stands where the text ends
		fmt.Fprint(w.err, "\r"+text)
		w.shown = columns
	}
}

// text says how far it is, in at most so many columns: in the layout of the log, with less of the names and then
// less of the rest where it must be short. What has once been left out of a job's words stays out: brief counts it.
func (j job) text(s run.Step, since time.Duration, most, brief int) (string, int) {
	time := fmt.Sprintf("%8.1f s  ", since.Seconds())
	count, step, parts := "", "", ""
	if j.of > 1 {
		count = fmt.Sprintf("%s %d of %d, ", j.kind, j.at, j.of)
	}
	name, short := clean(j.name), clean(path.Base(j.name))
	if j.whom != "" {
		name, short = name+" for "+clean(j.whom), short+" for "+clean(j.whom)
	}
	if s.Of > 0 {
		step = fmt.Sprintf(": step %d of %d, %s", s.At, s.Of, clean(s.Name))
	}
	if s.Parts > 0 {
		parts = fmt.Sprintf(", %d of %d", s.Done, s.Parts)
	}
	forms := []string{
		time + count + name + step + parts,
		time + count + short + step + parts,
		strings.TrimLeft(time, " ") + count + short + step + parts,
		strings.TrimLeft(time, " ") + strings.TrimPrefix(strings.TrimSuffix(count, ", ")+step+parts, ": "),
		strings.TrimPrefix(step, ": ") + parts,
		strings.TrimPrefix(step, ": "),
	}
	for ; brief < len(forms); brief++ {
		if text := strings.TrimRight(forms[brief], " "); columnsOf(text) <= most {
			return text, brief
		}
	}
	return cutTo(strings.TrimPrefix(step, ": "), most), brief
}

// clean keeps a name from moving the cursor.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || r < ' ' || r >= 0x7f && r < 0xa0 || r >= 0x200b && r <= 0x200f || r >= 0x2028 && r <= 0x202e {
			return '?'
		}
		return r
	}, s)
}

// columnsOf is how many columns a text takes up, at most: letters of East Asian writing are two columns wide.
func columnsOf(s string) int {
	n := 0
	for _, r := range s {
		n += columnsOfLetter(r)
	}
	return n
}

func columnsOfLetter(r rune) int {
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth, width.EastAsianAmbiguous:
		return 2
	}
	return 1
}

// cutTo cuts a text to so many columns.
func cutTo(s string, most int) string {
	n := 0
	for i, r := range s {
		if n += columnsOfLetter(r); n > most {
			return s[:i]
		}
	}
	return s
}
