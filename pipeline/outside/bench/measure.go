package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// The targets, for the board with the most bytes of layers. They are the project's own.
const (
	wantTimes  = 15.0  // times as fast as the outside reader
	wantMBs    = 100.0 // MB/s on one core; MB is 1,000,000 bytes
	wantMemory = 6.0   // peak memory as a multiple of the files' bytes
)

// reader is one way to read a list of files in a process of its own.
type reader struct {
	name    string
	args    []string // the files follow
	env     string
	outside bool

	times []time.Duration // wall clock, from before the process begins to after its end
	cpu   []time.Duration
	peak  int64 // the largest of the runs
	said  said
}

func (r *reader) run(files []string) error {
	cmd := exec.Command(r.args[0], append(slices.Clone(r.args[1:]), files...)...)
	var out, bad bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &bad
	cmd.Env = os.Environ()
	if r.env != "" {
		cmd.Env = append(cmd.Env, r.env)
	}
	begun := time.Now()
	err := cmd.Run()
	took := time.Since(begun)
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", r.name, err, bad.Bytes())
	}
	var s said
	if err := json.Unmarshal(out.Bytes(), &s); err != nil {
		return fmt.Errorf("%s: %w in %q", r.name, err, out.Bytes())
	}
	if s.Things == 0 || len(r.times) > 0 && s.Things != r.said.Things {
		return fmt.Errorf("%s: made %d things of the files, then %d", r.name, r.said.Things, s.Things)
	}
	r.peak = max(r.peak, s.Peak)
	r.said = s
	r.times = append(r.times, took)
	r.cpu = append(r.cpu, cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
	return nil
}

func (r *reader) best() time.Duration   { return slices.Min(r.times) }
func (r *reader) median() time.Duration { return slices.Sorted(slices.Values(r.times))[len(r.times)/2] }

func readers(scripts string) ([]*reader, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	node, err := exec.LookPath("node")
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(filepath.Join(scripts, "node_modules", "gerber-parser")); err != nil {
		return nil, fmt.Errorf("%w: install it with npm ci --prefix %s --ignore-scripts", err, scripts)
	}
	script := filepath.Join(scripts, "read-layers.mjs")
	return []*reader{
		{name: "one core", args: []string{self, "-read"}, env: "GOMAXPROCS=1"},
		{name: "two cores", args: []string{self, "-read"}, env: "GOMAXPROCS=2"},
		{name: "outside, stream", args: []string{node, script, "stream"}, outside: true},
		{name: "outside, whole", args: []string{node, script, "sync"}, outside: true},
	}, nil
}

// board is one folder's layer files.
type board struct {
	name  string
	files []string
	bytes int64
}

var formatStatement = regexp.MustCompile(`(?m)^[ \t]*%FS[LTD]?[AI]`)

// layersOf gives the layer files in a folder: those with a format statement in their first 64 KiB,
// which both readers need.
func layersOf(dir string) (board, error) {
	b := board{name: filepath.Base(dir)}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return b, err
	}
	for _, e := range entries {
		if !e.Type().IsRegular() {
			continue
		}
		name := filepath.Join(dir, e.Name())
		data, err := os.ReadFile(name) // after this it is in the system's cache
		if err != nil {
			return b, err
		}
		if formatStatement.Match(data[:min(len(data), 64<<10)]) {
			b.files, b.bytes = append(b.files, name), b.bytes+int64(len(data))
		}
	}
	return b, nil
}

func boardsIn(dir string) (all board, largest board, err error) {
	if dir == "" {
		shared := os.Getenv("PANELWRIGHT_SHARED")
		if shared == "" {
			shared = filepath.Join("..", "shared")
		}
		dir = filepath.Join(shared, "boards")
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return all, largest, fmt.Errorf("%w: set PANELWRIGHT_SHARED to the folder that holds the open board data", err)
	}
	n := 0
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		b, err := layersOf(filepath.Join(dir, e.Name()))
		if err != nil {
			return all, largest, err
		}
		n++
		all.files, all.bytes = append(all.files, b.files...), all.bytes+b.bytes
		if b.bytes > largest.bytes {
			largest = b
		}
	}
	if largest.bytes == 0 {
		return all, largest, errors.New(dir + " holds no board with layer files")
	}
	all.name = fmt.Sprintf("all %d boards", n)
	return all, largest, nil
}

func measure(boards, scripts string, n int) error {
	all, largest, err := boardsIn(boards)
	if err != nil {
		return err
	}
	var first []*reader
	for i, b := range []board{largest, all} {
		rs, err := readers(scripts)
		if err != nil {
			return err
		}
		if i > 0 {
			n = min(n, 5)
		}
		for range n {
			for _, r := range rs { // by turns
				if err := r.run(b.files); err != nil {
					return err
				}
			}
		}
		table(b, rs, n)
		if i == 0 {
			first = rs
		}
	}
	return judge(largest, first)
}

// quickest gives the outside reader's best time over both ways of calling it.
func quickest(rs []*reader, of func(*reader) time.Duration) time.Duration {
	best := time.Duration(0)
	for _, r := range rs {
		if r.outside && (best == 0 || of(r) < best) {
			best = of(r)
		}
	}
	return best
}

// share is how much of a run's wall clock, at best, its process had a processor for.
func (r *reader) share() float64 { return slices.Min(r.cpu).Seconds() / r.best().Seconds() }

func perSecond(bytes int64, t time.Duration) float64 { return float64(bytes) / 1e6 / t.Seconds() }

func table(b board, rs []*reader, n int) {
	fmt.Printf("%s: %d layer files, %.3f MB; whole processes by turns, %d runs of each\n", b.name, len(b.files), float64(b.bytes)/1e6, n)
	fmt.Printf("%-16s %8s %8s %7s %8s %8s %9s %9s %9s %8s\n",
		"reader", "best s", "median s", "noise", "cpu s", "MB/s", "ratio", "by median", "peak MB", "x bytes")
	theirs, theirMedian := quickest(rs, (*reader).best), quickest(rs, (*reader).median)
	for _, r := range rs {
		peak, share := "-", "-"
		if r.peak > 0 {
			peak, share = fmt.Sprintf("%.1f", float64(r.peak)/1e6), fmt.Sprintf("%.2f", float64(r.peak)/float64(b.bytes))
		}
		fmt.Printf("%-16s %8.4f %8.4f %6.0f%% %8.4f %8.1f %9.1f %9.1f %9s %8s\n", r.name,
			r.best().Seconds(), r.median().Seconds(), 100*(float64(r.median())/float64(r.best())-1), slices.Min(r.cpu).Seconds(),
			perSecond(b.bytes, r.best()), float64(theirs)/float64(r.best()), float64(theirMedian)/float64(r.median()), peak, share)
	}
	fmt.Printf("made of the files: %d objects and edges here, %d commands outside\n\n", rs[0].said.Things, rs[len(rs)-1].said.Things)
}

// judge says for each target what was measured and by how much it is missed, and shows a profile
// when one is.
func judge(b board, rs []*reader) error {
	one, two := rs[0], rs[1]
	times := float64(quickest(rs, (*reader).best)) / float64(one.best())
	mbs := perSecond(b.bytes, one.best())
	gain, err := speedUp(b, *one, *two)
	if err != nil {
		return err
	}
	memory := float64(max(one.peak, two.peak)) / float64(b.bytes)
	if one.share() < 0.9 {
		fmt.Printf("The machine is busy: one core was had for %.0f%% of the best time. By processor time it is %.1f MB/s, %.1f times the outside reader.\n",
			100*one.share(), perSecond(b.bytes, slices.Min(one.cpu)),
			float64(quickest(rs, func(r *reader) time.Duration { return slices.Min(r.cpu) }))/float64(slices.Min(one.cpu)))
	}
	say := func(what string, got, want float64, atMost bool) bool {
		text, reached := verdict(got, want, atMost)
		fmt.Printf("%-58s %8.2f  target %s\n", what, got, text)
		return reached
	}
	fmt.Println(b.name + ", best runs, largest peak:")
	quick := say("times as fast as the outside reader, on one core", times, wantTimes, false)
	quick = say("MB/s on one core, whole process", mbs, wantMBs, false) && quick
	quick = say("times as fast on two cores as on one", gain, 1, false) && quick
	lean := memory == 0 || say("peak memory over the files' bytes, the worse of both", memory, wantMemory, true)
	if !quick {
		// One reading is too short for samples.
		if err := showProfile(b, one, "processor time of 60 readings on one core", "cpu", "-times", "60", "-profile"); err != nil {
			return err
		}
	}
	if !lean {
		return showProfile(b, one, "all memory taken by one reading", "alloc_space", "-memory")
	}
	return nil
}

// pairs is how many runs on one core and on two are compared: they are short, and any other work on
// the machine takes the second core away.
const pairs = 40

// speedUp gives how many times as fast two cores are as one, by the best runs of pairs more by turns,
// and says what the machine makes of plain arithmetic in the same turns.
func speedUp(b board, one, two reader) (float64, error) {
	one.times, two.times = nil, nil
	self := one.args[0]
	rs := []*reader{
		&one, {name: "arithmetic", args: []string{self, "-arithmetic"}, env: one.env},
		&two, {name: "arithmetic", args: []string{self, "-arithmetic"}, env: two.env},
	}
	for range pairs {
		for _, r := range rs {
			files := b.files
			if r.name == "arithmetic" {
				files = nil
			}
			if err := r.run(files); err != nil {
				return 0, err
			}
		}
	}
	by := func(of func(*reader) time.Duration, k int) float64 { return float64(of(rs[k])) / float64(of(rs[k+2])) }
	fmt.Printf("%d runs more on one core and on two, by turns: two are %.2f times as fast by the best, %.2f by medians;\n"+
		"plain arithmetic in the same turns, which shows what the second core has to give: %.2f and %.2f\n",
		pairs, by((*reader).best, 0), by((*reader).median, 0), by((*reader).best, 1), by((*reader).median, 1))
	return by((*reader).best, 0), nil
}

// verdict holds a figure against its target.
func verdict(got, want float64, atMost bool) (string, bool) {
	sign, reached := ">=", got >= want
	if atMost {
		sign, reached = "<=", got <= want
	}
	if reached {
		return fmt.Sprintf("%s %g: reached", sign, want), true
	}
	return fmt.Sprintf("%s %g: SHORT by %.0f%%", sign, want, 100*(max(got/want, want/got)-1)), false
}

// showProfile prints a profile of r's reading; the last of args is the flag that has it written.
func showProfile(b board, r *reader, what, sample string, args ...string) error {
	dir, err := os.MkdirTemp("", "bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "prof")
	cmd := exec.Command(r.args[0], slices.Concat(r.args[1:], args, []string{file}, b.files)...)
	cmd.Env = append(os.Environ(), r.env)
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("profile: %w\n%s", err, out)
	}
	out, err := exec.Command("go", "tool", "pprof", "-top", "-sample_index="+sample, "-nodecount", "20", r.args[0], file).CombinedOutput()
	if err != nil {
		return fmt.Errorf("profile: %w\n%s", err, out)
	}
	fmt.Printf("\n%s:\n%s\n", what, strings.TrimSpace(string(out)))
	return nil
}
