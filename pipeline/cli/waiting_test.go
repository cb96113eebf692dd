//go:build unix

package cli

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/run"
)

// screen is a terminal that remembers what it shows. Wide is how far any line has reached.
type screen struct {
	mu       sync.Mutex
	columns  int
	lines    [][]rune
	row, col int
	drawn    []string // the last line, each time that a carriage return leaves it for being drawn again
	raw      strings.Builder
}

func (s *screen) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.raw.Write(b)
	for _, r := range string(b) {
		for s.row >= len(s.lines) {
			s.lines = append(s.lines, nil)
		}
		switch r {
		case '\r':
			if line := strings.TrimRight(string(s.lines[s.row]), " "); s.col > 0 && line != "" {
				s.drawn = append(s.drawn, line)
			}
			s.col = 0
		case '\n':
			s.row++
		default:
			if s.col == s.columns {
				s.row, s.col = s.row+1, 0
				s.lines = append(s.lines, nil)
			}
			for len(s.lines[s.row]) <= s.col {
				s.lines[s.row] = append(s.lines[s.row], ' ')
			}
			s.lines[s.row][s.col] = r
			s.col++
		}
	}
	return len(b), nil
}

// shows gives what is on the screen, without blanks that nobody sees.
func (s *screen) shows() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for _, l := range s.lines {
		out = append(out, strings.TrimRight(string(l), " "))
	}
	return strings.TrimRight(strings.Join(out, "\n"), "\n")
}

func (s *screen) everDrawn() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]string(nil), s.drawn...)
}

// terminal opens a pseudo-terminal; close gives the screen when all is read.
func terminal(t *testing.T, columns int) (tty *os.File, s *screen, done func()) {
	t.Helper()
	master, tty, err := pty.Open()
	if err != nil {
		t.Skipf("this machine has no pseudo-terminals: %v", err)
	}
	require.NoError(t, pty.Setsize(master, &pty.Winsize{Rows: 40, Cols: uint16(columns)}))
	s = &screen{columns: columns}
	read := make(chan struct{})
	go func() {
		_, _ = io.Copy(s, master)
		close(read)
	}()
	return tty, s, func() {
		tty.Close()
		select {
		case <-read:
		case <-time.After(5 * time.Second):
		}
		master.Close()
	}
}

// slow takes its time and says how far it is.
type slow struct {
	Fails bool `option:"fails" help:"ends in an error"`
	Holds bool `option:"holds" help:"waits until it is interrupted"`
}

func (s *slow) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	for i := range 4 {
		env.Reached(i+1, 7)
		time.Sleep(drawEvery)
	}
	env.Log.Info().Msg("half-way there")
	time.Sleep(2 * drawEvery)
	if s.Holds {
		<-ctx.Done()
		return pipeline.Result{}, ctx.Err()
	}
	if s.Fails {
		return pipeline.Result{}, errors.New("does not go on\n    help it")
	}
	return pipeline.Result{Panel: in}, nil
}

func slowProgram() Program {
	return Program{Name: "panelwright", Version: "1", Rules: testRules(), Stages: append(testKinds(),
		pipeline.Kind{Name: "slow", Contract: pipeline.Contract, Role: pipeline.Shape, Summary: "Is slow.", New: func() pipeline.Stage { return &slow{} }})}
}

// slowRecipe writes a recipe into a folder with a long name.
func slowRecipe(t *testing.T, options string) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "a-folder-with-quite-a-long-name")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	text := "panel \"gauge\" { revision = \"A\" }\nstage \"board\" {\n  name = \"gauge\"\n  files = \"width.txt\"\n}\nstage \"array\" {\n  board = \"gauge\"\n  columns = 9\n}\nstage \"slow\" { " + options + " }\nstage \"rules\" {}\nstage \"write_list\" {}\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "gauge.panel.hcl"), []byte(text), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "width.txt"), []byte("20"), 0o644))
	return dir
}

// seconds are what no two runs have in common.
var seconds = regexp.MustCompile(`(?m)^ *[0-9]+\.[0-9]+ s`)

// On a terminal the last line says how far it is, fits in, and is gone when all is done: what stays is what a file
// would hold.
func TestProgressOnATerminal(t *testing.T) {
	t.Setenv("TERM", "xterm")
	dir := slowRecipe(t, "")
	recipe := filepath.Join(dir, "gauge.panel.hcl")
	var plain, log strings.Builder
	require.Equal(t, exitFindings, Main(slowProgram(), []string{"build", "--force", "-o", filepath.Join(dir, "build"), recipe}, nil, &plain, &log))
	manifest := filepath.Join(dir, "build", "gauge", "manifest.json") // which has the sums of all files
	before, err := os.ReadFile(manifest)
	require.NoError(t, err)
	for columns, want := range map[int]string{
		240: "s  " + filepath.ToSlash(recipe) + ": step 3 of 6, slow, 4 of 7",
		60:  "s  gauge.panel.hcl: step 3 of 6, slow, 4 of 7",
		40:  "s  step 3 of 6, slow, 4 of 7",
		22:  "step 3 of 6, slow",
		10:  "step 3 of",
	} {
		tty, s, done := terminal(t, columns)
		code := Main(slowProgram(), []string{"build", "--force", "-o", filepath.Join(dir, "build"), recipe}, nil, tty, tty)
		done()
		assert.Equal(t, exitFindings, code)
		after, err := os.ReadFile(manifest)
		require.NoError(t, err)
		assert.Equal(t, string(before), string(after))
		wide := &screen{columns: columns}
		_, _ = wide.Write([]byte(strings.ReplaceAll(log.String()+plain.String(), "\n", "\r\n")))
		squeeze := func(s string) string { return seconds.ReplaceAllString(s, "T s") }
		assert.Equal(t, squeeze(wide.shows()), squeeze(s.shows()), columns)
		assert.NotContains(t, log.String()+plain.String(), "\r")
		assert.NotContains(t, log.String()+plain.String(), "step 3")
		found := false
		for _, l := range s.everDrawn() {
			if strings.Contains(l, "step ") {
				assert.Less(t, len([]rune(l)), columns, "%q", l)
			}
			found = found || strings.Contains(l, want)
		}
		assert.True(t, found, "%d columns: %q was not among %q", columns, want, s.everDrawn())
		assert.NotContains(t, s.raw.String(), "\x1b", "nothing but carriage returns and blanks")
	}
}

// An error or an interrupt finds the line empty.
func TestProgressGivesWay(t *testing.T) {
	t.Setenv("TERM", "xterm")
	for name, options := range map[string]string{"error": "fails = true", "interrupt": "holds = true"} {
		dir := slowRecipe(t, options)
		tty, s, done := terminal(t, 200)
		if name == "interrupt" {
			go func() {
				for range 500 {
					if strings.Contains(s.shows(), "half-way there") && strings.Contains(s.shows(), ": step 3 of 6, slow") {
						break
					}
					time.Sleep(10 * time.Millisecond)
				}
				_ = syscall.Kill(os.Getpid(), syscall.SIGINT)
			}()
		}
		code := Main(slowProgram(), []string{"build", "--force", "-o", filepath.Join(dir, "build"), filepath.Join(dir, "gauge.panel.hcl")}, nil, tty, tty)
		done()
		shows := s.shows()
		assert.NotContains(t, shows, "step 3", name)
		drawn := strings.Join(s.everDrawn(), "\n")
		assert.Contains(t, drawn, "step 3 of 6, slow", name)
		if name == "error" {
			assert.Equal(t, exitInput, code)
			assert.Contains(t, shows, "\n"+filepath.ToSlash(dir)+"/gauge.panel.hcl:10:1: stage slow: does not go on\n")
		} else {
			assert.Equal(t, exitInterrupted, code)
			assert.Regexp(t, `(?m)^interrupted; the build folder is as it was$`, shows)
		}
	}
}

// There is no such line where nobody could see it, or where it would be noise: the output is byte for byte the plain
// one.
func TestProgressIsLeftOut(t *testing.T) {
	dir := slowRecipe(t, "")
	recipe := filepath.Join(dir, "gauge.panel.hcl")
	for name, c := range map[string]struct {
		term string
		args []string
	}{
		"dumb": {"dumb", nil}, "no kind of terminal": {"", nil}, "quiet": {"xterm", []string{"--quiet"}},
	} {
		t.Setenv("TERM", c.term)
		tty, s, done := terminal(t, 300)
		assert.Equal(t, exitFindings, Main(slowProgram(), append([]string{"build", "--force", "-o", filepath.Join(dir, "build"), recipe}, c.args...), nil, tty, tty))
		done()
		assert.NotContains(t, s.raw.String(), "step ", name)
		assert.NotContains(t, strings.ReplaceAll(s.raw.String(), "\r\n", "\n"), "\r", name)
	}
}

// NO_COLOR is about colours, of which there are none; with --json standard output holds JSON alone, whatever the
// terminal shows.
func TestProgressBesideJSON(t *testing.T) {
	t.Setenv("TERM", "xterm")
	t.Setenv("NO_COLOR", "1")
	dir := slowRecipe(t, "")
	var out [2]strings.Builder
	tty, s, done := terminal(t, 120)
	args := []string{"check", "--json", filepath.Join(dir, "gauge.panel.hcl")}
	assert.Equal(t, exitFindings, Main(slowProgram(), args, nil, &out[0], tty))
	done()
	assert.Contains(t, strings.Join(s.everDrawn(), "\n"), "gauge.panel.hcl: step 3 of 4, slow, ") // a check does not write
	assert.NotContains(t, s.raw.String(), "\x1b")
	assert.Equal(t, exitFindings, Main(slowProgram(), args, nil, &out[1], io.Discard))
	assert.Equal(t, out[1].String(), out[0].String())
	assert.True(t, strings.HasPrefix(out[0].String(), "{\n"))
}

// The words fit whatever the width, with names of any letters, and move no cursor.
func TestWordsOfProgressFit(t *testing.T) {
	jobs := []job{{kind: "recipe", at: 3, of: 12, name: "recipes/gauge.panel.hcl", whom: "millrace"}, {kind: "build", at: 1, of: 1, name: "水位計/パネル.panel.hcl"},
		{kind: "recipe", at: 1, of: 2, name: "a\x1b[2Jb\nc\u202e.panel.hcl"}}
	for _, j := range jobs {
		for _, s := range []run.Step{{}, {Name: "breakoff_tabs", At: 7, Of: 14}, {Name: "rules", At: 8, Of: 14, Done: 3, Parts: 117}} {
			for most := range 150 {
				text, brief := j.text(s, 3*time.Second, most, 0)
				again, _ := j.text(s, 3*time.Second, 150, brief) // there is room again: it does not jump back
				assert.True(t, again == text || brief == 6 || strings.HasSuffix(again, text), "%q, then %q", text, again)
				assert.LessOrEqual(t, columnsOf(text), most)
				assert.NotContains(t, text, "\x1b")
				assert.NotContains(t, text, "\n")
				assert.NotContains(t, text, "\u202e")
			}
		}
	}
	text, _ := jobs[0].text(run.Step{Name: "rules", At: 8, Of: 14, Done: 3, Parts: 117}, 3*time.Second, 120, 0)
	assert.Equal(t, "     3.0 s  recipe 3 of 12, recipes/gauge.panel.hcl for millrace: step 8 of 14, rules, 3 of 117", text)
	assert.Equal(t, 6, columnsOf("水位計"))
}
