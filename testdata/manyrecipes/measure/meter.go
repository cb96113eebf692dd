package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
)

// meter measures the program.
type meter struct {
	program, generator, dir string
	wrong                   int // how often the wrong builds were made
}

// taken is what a process took.
type taken struct {
	wall, processor time.Duration
	peak            int64 // bytes; 0 where the system does not say
}

func plain(name string, args ...string) error {
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", name, err, out)
	}
	return nil
}

// command is the program on the recipes in a folder, or one of them, with build folders in out. Confined, it has the processor of this
// number alone; -1: all.
func (m *meter) command(dir, out string, processor int, args ...string) *exec.Cmd {
	argv := append([]string{m.program, "build", "--quiet", "-o", out}, args...)
	env := append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(m.dir, "cache"))
	if processor >= 0 {
		env = append(env, "GOMAXPROCS=1")
		if pin, err := exec.LookPath("taskset"); err == nil {
			argv = append([]string{pin, "-c", fmt.Sprint(processor)}, argv...)
		}
	}
	cmd := exec.Command(argv[0], argv[1:]...)
	cmd.Dir, cmd.Env = dir, env
	return cmd
}

// together runs processes at the same time, and gives what each took; all of them must end well.
func together(cmds ...*exec.Cmd) ([]taken, error) {
	said := make([]bytes.Buffer, len(cmds))
	begun := time.Now()
	ends := make([]time.Duration, len(cmds))
	errs := make(chan error, len(cmds))
	for i, c := range cmds {
		c.Stdout, c.Stderr = &said[i], &said[i]
		if err := c.Start(); err != nil {
			return nil, err
		}
		go func() {
			err := c.Wait()
			ends[i] = time.Since(begun)
			if err != nil {
				err = fmt.Errorf("%w\n%s", err, said[i].Bytes()[:min(said[i].Len(), 4000)])
			}
			errs <- err
		}()
	}
	var failed error
	for range cmds {
		if err := <-errs; err != nil {
			failed = err
		}
	}
	var all []taken
	for i, c := range cmds {
		s := c.ProcessState
		all = append(all, taken{ends[i], s.UserTime() + s.SystemTime(), peak(s)})
	}
	return all, failed
}

func (m *meter) run(dir, out string, args ...string) (taken, error) {
	all, err := together(m.command(dir, out, -1, args...))
	if err != nil {
		return taken{}, err
	}
	return all[0], nil
}

// median runs it n times.
func (m *meter) median(n int, dir, out string, args ...string) (time.Duration, error) {
	var times []time.Duration
	for range n {
		t, err := m.run(dir, out, args...)
		if err != nil {
			return 0, err
		}
		times = append(times, t.wall)
	}
	slices.Sort(times)
	return times[n/2], nil
}

// generate writes recipes into a folder.
func (m *meter) generate(n, boards int, more ...string) (dir string, err error) {
	dir = filepath.Join(m.dir, fmt.Sprintf("recipes-%d", n))
	return dir, plain(m.generator, append([]string{"-recipes", fmt.Sprint(n), "-boards", fmt.Sprint(boards), "-o", dir}, more...)...)
}

// seen is which build folders there are, each with what the system calls it: a build that is made again is another folder.
func seen(out string) (map[string]fs.FileInfo, error) {
	all := map[string]fs.FileInfo{}
	for _, pattern := range []string{"*/manifest.json", "*/*/manifest.json"} {
		found, err := filepath.Glob(filepath.Join(out, pattern))
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			info, err := os.Stat(f)
			if err != nil {
				return nil, err
			}
			rel, err := filepath.Rel(out, filepath.Dir(f))
			if err != nil {
				return nil, err
			}
			all[filepath.ToSlash(rel)] = info
		}
	}
	return all, nil
}

// again lists the builds that were made between two looks.
func again(before, after map[string]fs.FileInfo) []string {
	var made []string
	for name, info := range after {
		if old, ok := before[name]; !ok || !os.SameFile(old, info) || !old.ModTime().Equal(info.ModTime()) {
			made = append(made, name)
		}
	}
	slices.Sort(made)
	return made
}

// users lists the builds that hang on a board, by the text of the recipes.
func users(dir, board string) ([]string, error) {
	recipes, err := filepath.Glob(filepath.Join(dir, "*.panel.hcl"))
	if err != nil {
		return nil, err
	}
	var names []string
	for _, r := range recipes {
		text, err := os.ReadFile(r)
		if err != nil {
			return nil, err
		}
		if !bytes.Contains(text, []byte(`"boards/`+board+`"`)) {
			continue
		}
		name := strings.TrimSuffix(filepath.Base(r), ".panel.hcl")
		suppliers := 0
		for line := range strings.Lines(string(text)) {
			if s, ok := strings.CutPrefix(line, `supplier "`); ok {
				suppliers++
				names = append(names, name+"/"+s[:strings.IndexByte(s, '"')])
			}
		}
		if suppliers == 0 {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names, nil
}

// expect holds the builds that were made against those that should have been.
func (m *meter) expect(what string, made, want []string) {
	if !slices.Equal(made, want) {
		m.wrong++
		fmt.Fprintf(os.Stderr, "measure: %s: built again were %v, and should have been %v\n", what, made, want)
	}
}

// rebuilt runs the program, and gives what it took and which builds it made.
func (m *meter) rebuilt(dir, out string) (taken, []string, error) {
	before, err := seen(out)
	if err != nil {
		return taken{}, nil, err
	}
	t, err := m.run(dir, out, ".")
	if err != nil {
		return taken{}, nil, err
	}
	after, err := seen(out)
	return t, again(before, after), err
}

func (m *meter) row(n, boards int, pair bool) error {
	dir, err := m.generate(n, boards)
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(m.dir, "out")
	defer os.RemoveAll(out)
	first, made, err := m.rebuilt(dir, out)
	if err != nil {
		return err
	}
	time.Sleep(3 * time.Second) // what was written just now could still change with the same date
	if _, err := m.run(dir, out, "."); err != nil {
		return err
	}
	all, err := m.median(5, dir, out, ".")
	if err != nil {
		return err
	}
	_, none, err := m.rebuilt(dir, out)
	if err != nil {
		return err
	}
	m.expect("nothing changed", none, nil)

	recipes, err := filepath.Glob(filepath.Join(dir, "*.panel.hcl"))
	if err != nil {
		return err
	}
	one, err := m.median(20, dir, out, filepath.Base(recipes[len(recipes)/2]))
	if err != nil {
		return err
	}

	touched, err := m.touch(dir, out)
	if err != nil {
		return err
	}
	changed, err := m.change(dir, out)
	if err != nil {
		return err
	}
	ratio := "not measured"
	if pair {
		if ratio, err = m.pair(dir); err != nil {
			return err
		}
	}
	fmt.Printf("| %d (%d) | %d | %.1f s | %.1f s | %.0f MiB | %.3f s | %.1f ms | %s | %s | %s |\n", n, len(made), boards, first.wall.Seconds(), first.processor.Seconds(),
		float64(first.peak)/(1<<20), all.Seconds(), float64(one.Microseconds())/1000, changed, touched, ratio)
	return nil
}

const board = "gauge_01"

// touch dates all files of a board and all recipes anew.
func (m *meter) touch(dir, out string) (string, error) {
	now := time.Now().Add(-time.Hour)
	files, err := filepath.Glob(filepath.Join(dir, "boards", board, "*"))
	if err != nil {
		return "", err
	}
	recipes, err := filepath.Glob(filepath.Join(dir, "*.panel.hcl"))
	if err != nil {
		return "", err
	}
	for _, f := range append(files, recipes...) {
		if err := os.Chtimes(f, now, now); err != nil {
			return "", err
		}
	}
	t, made, err := m.rebuilt(dir, out)
	m.expect("dates touched", made, nil)
	return fmt.Sprintf("%d built again, %.3f s", len(made), t.wall.Seconds()), err
}

// change adds a comment to one file of a board.
func (m *meter) change(dir, out string) (string, error) {
	at := filepath.Join(dir, "boards", board, board+"_copper_1_top.gbr")
	text, err := os.ReadFile(at)
	if err != nil {
		return "", err
	}
	if err := os.WriteFile(at, append([]byte("G04 changed*\n"), text...), 0o644); err != nil {
		return "", err
	}
	want, err := users(dir, board)
	if err != nil {
		return "", err
	}
	t, made, err := m.rebuilt(dir, out)
	m.expect("one board changed", made, want)
	return fmt.Sprintf("%d of its %d users built again, %.1f s", len(made), len(want), t.wall.Seconds()), err
}

// pair holds two processes with half of the recipes each against one with all of them, each on one processor.
func (m *meter) pair(dir string) (string, error) {
	if runtime.NumCPU() < 2 {
		return "needs two processors", nil
	}
	alone, both := filepath.Join(m.dir, "alone"), filepath.Join(m.dir, "both")
	defer os.RemoveAll(alone)
	defer os.RemoveAll(both)
	one, err := together(m.command(dir, alone, 0, "."))
	if err != nil {
		return "", err
	}
	two, err := together(m.command(dir, both, 0, "--part", "0/2", "."), m.command(dir, both, 1, "--part", "1/2", "."))
	if err != nil {
		return "", err
	}
	a, err := seen(alone)
	if err != nil {
		return "", err
	}
	b, err := seen(both)
	if err != nil {
		return "", err
	}
	if !maps.EqualFunc(a, b, func(x, y fs.FileInfo) bool { return x.Size() == y.Size() }) {
		m.wrong++
		fmt.Fprintln(os.Stderr, "measure: two processes made other builds than one")
	}
	last := max(two[0].wall, two[1].wall)
	return fmt.Sprintf("%.1f s : %.1f s = %.2f", one[0].wall.Seconds(), last.Seconds(), one[0].wall.Seconds()/last.Seconds()), nil
}

// lean measures many recipes that are built soon.
func (m *meter) lean(n, boards int) error {
	dir, err := m.generate(n, boards, "-lean")
	if err != nil {
		return err
	}
	out := filepath.Join(m.dir, "out")
	first, made, err := m.rebuilt(dir, out)
	if err != nil {
		return err
	}
	time.Sleep(3 * time.Second)
	if _, err := m.run(dir, out, "."); err != nil {
		return err
	}
	t, none, err := m.rebuilt(dir, out)
	if err != nil {
		return err
	}
	m.expect("nothing changed", none, nil)
	fmt.Printf("\n%d lean recipes (%d builds) over %d boards: first build %.1f s, peak memory %.0f MiB; all unchanged %.3f s, peak memory %.0f MiB\n",
		n, len(made), boards, first.wall.Seconds(), float64(first.peak)/(1<<20), t.wall.Seconds(), float64(t.peak)/(1<<20))
	return nil
}
