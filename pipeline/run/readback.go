package run

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/rs/zerolog"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
)

// ReadbackOptions say how a finished build is proved again.
type ReadbackOptions struct {
	// Sources is the folder that the recorded names of inputs start from: the recipe's. When it is empty,
	// the current folder is tried, then those folders in it that hold the build's recipe.
	Sources string
	Workers int // one per processor when 0
	Program pipeline.Program
	Kinds   []pipeline.Kind // those that bring boards in read them again
	Rules   []pipeline.Rule
	Prove   func(ctx context.Context, in ProofInput) ([]pipeline.Finding, error)
	// Progress is told when a step begins; may be nil.
	Progress func(Step)
	// ReadPanelData makes the panel of panel.json and the boards that were read again.
	ReadPanelData func(text []byte, boards []*panel.Board) (p panel.Panel, name, revision string, err error)
}

// Proved is what a finished build was found to be.
type Proved struct {
	Manifest *Manifest
	Sources  string // the folder that inputs were found from
	Files    int    // in the folder
	Findings []pipeline.Finding
}

// Readback proves the finished build in the folder dir again, from what its manifest lists and from the
// boards' own files. Files that are not as they were written are findings, and judged as they are now. The
// manifest itself is taken at its word.
//
// An input that is missing or has changed is an error, as is a panel.json that cannot be read; errors are as
// Build's.
func Readback(ctx context.Context, dir string, opt ReadbackOptions) (*Proved, error) {
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	var out *Proved
	err := Steady(ctx, []string{dir}, func() (err error) {
		out, err = readback(ctx, dir, opt)
		return err
	})
	switch {
	case err != nil && ctx.Err() != nil:
		return nil, ErrInterrupted
	case err != nil:
		return nil, err
	}
	return out, nil
}

func readback(ctx context.Context, dir string, opt ReadbackOptions) (*Proved, error) {
	shown := filepath.ToSlash(filepath.Clean(dir))
	m, err := manifestOf(dir)
	if err != nil {
		return nil, err
	}
	steps := opt.steps(m)
	opt.tell(Step{Name: stepFiles, At: 1, Of: steps})
	found, err := openFinished(ctx, dir, m)
	if err != nil {
		return nil, err
	}
	if !found.there[panelName] {
		return nil, fmt.Errorf("%s: %s is missing: without it there is nothing that the files can be held against", shown, panelName)
	}
	sources, err := findSources(ctx, opt.Sources, m)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shown, err)
	}
	boards, err := boardsAgain(ctx, sources, m, opt)
	if err != nil {
		return nil, err
	}
	text, err := found.read(panelName)
	if err != nil {
		return nil, err
	}
	p, name, revision, err := opt.ReadPanelData(text, boards)
	if err != nil {
		return nil, fmt.Errorf("%s/%s: %w", shown, panelName, err)
	}
	if name != m.Panel || revision != m.Revision {
		return nil, fmt.Errorf("%s/%s: is of panel %q, revision %q, and the manifest of panel %q, revision %q", shown, panelName, name, revision, m.Panel, m.Revision)
	}
	out := &Proved{Manifest: m, Sources: sources, Files: len(found.there), Findings: found.findings}
	opt.tell(Step{Name: stepProof, At: steps, Of: steps})
	var proved []pipeline.Finding
	err = guard("the proof", func() (err error) {
		proved, err = opt.Prove(ctx, ProofInput{Panel: p, Name: m.Panel, Read: found.read, Outputs: found.proofs(), Workers: opt.Workers})
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, f := range proved {
		if !found.missing[f.Feature] { // that it is not there has been said
			out.Findings = append(out.Findings, f)
		}
	}
	for i, f := range out.Findings {
		if k := slices.IndexFunc(opt.Rules, func(r pipeline.Rule) bool { return r.Name == f.Rule }); k >= 0 && f.Family == "" {
			out.Findings[i].Family = opt.Rules[k].Family
		}
	}
	SortFindings(out.Findings)
	return out, nil
}

// manifestOf reads a build folder's manifest, or says why dir is none.
func manifestOf(dir string) (*Manifest, error) {
	shown := filepath.ToSlash(filepath.Clean(dir))
	m, err := readManifest(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if whom := suppliersIn(dir); len(whom) > 0 {
			return nil, fmt.Errorf("%s: holds builds for %s: name one of them, such as %s/%s", shown, strings.Join(whom, ", "), shown, whom[0])
		}
		return nil, fmt.Errorf("%s: is not a build folder: there is no %s in it\n    name a folder that \"build\" has written, such as build/gauge-12up", shown, manifestName)
	case errors.Is(err, fs.ErrPermission):
		return nil, inputError(shown+"/"+manifestName, err)
	case err != nil:
		return nil, fmt.Errorf("%s/%s: cannot be read: %w", shown, manifestName, bare(err))
	}
	return m, nil
}

// steps gives how many steps it takes to read a build back: its files, the boards, the proof.
func (o ReadbackOptions) steps(m *Manifest) int {
	n := 2
	for _, v := range m.Values {
		if slices.ContainsFunc(o.Kinds, func(k pipeline.Kind) bool { return k.Name == v.Stage && k.Role == pipeline.Source }) {
			n++
		}
	}
	return n
}

func (o ReadbackOptions) tell(s Step) { teller(o.Progress).step(s) }

// boardsAgain runs the stages that brought the build's boards in, on the inputs that the manifest lists.
func boardsAgain(ctx context.Context, sources string, m *Manifest, opt ReadbackOptions) ([]*panel.Board, error) {
	reads := map[string]bool{}
	for _, k := range opt.Kinds {
		reads[k.Name] = k.Role == pipeline.Source
	}
	var calls []recipe.Recorded
	var at []string
	for _, v := range m.Values {
		if known, ok := reads[v.Stage]; ok && !known {
			continue
		} else if !ok {
			return nil, fmt.Errorf("the build has a stage %s (%s) that this program does not have: read it back with the program that wrote it", v.Stage, v.At)
		}
		c := recipe.Recorded{Stage: v.Stage}
		for _, x := range v.Values {
			c.Settings = append(c.Settings, recipe.Setting{Option: x.Option, Value: x.Value, Origin: x.Origin})
		}
		calls, at = append(calls, c), append(at, v.At)
	}
	if len(calls) == 0 {
		return nil, nil
	}
	plan, err := recipe.FromRecord(sources, calls, recipe.Settings{Kinds: opt.Kinds, Rules: opt.Rules, ProgramVersion: opt.Program.Version})
	if err != nil {
		return nil, err
	}
	base, err := filepath.Abs(sources)
	if err != nil {
		return nil, machine("the working folder is gone: %w", bare(err))
	}
	files := recordedFiles{NewFiles(ctx, base, ""), sumsByName(m.Inputs)}
	var p panel.Panel
	values := map[string]cty.Value{}
	for i, call := range plan.Calls {
		where := fmt.Sprintf("stage %s (%s)", call.Kind.Name, at[i])
		opt.tell(Step{Name: call.Kind.Name, At: i + 2, Of: len(plan.Calls) + 2})
		stage, err := call.Stage(maps.Clone(values))
		if err != nil {
			return nil, err
		}
		env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: m.Panel, Revision: m.Revision, Supplier: m.Supplier, Date: sourceDate(m.Epoch), Workers: opt.Workers,
			Files: files, Rules: slices.Clone(opt.Rules), Program: opt.Program}, func(pipeline.Finding) {}, func() []pipeline.Finding { return nil })
		var r pipeline.Result
		err = guard(where, func() (err error) { r, err = stage.Run(ctx, env, p); return err })
		var fault *FaultError
		if errors.As(err, &fault) {
			return nil, err
		} else if err != nil {
			return nil, fmt.Errorf("%s: %w", where, err)
		}
		p = r.Panel
		maps.Copy(values, r.Values)
	}
	return p.Boards(), nil
}

// recordedFiles hands out what a build has read, and nothing that has come beside it since.
type recordedFiles struct {
	*Files
	known map[string]FileSum
}

// List gives those of the files that p means that the build has read.
func (r recordedFiles) List(ctx context.Context, p pipeline.InPath) ([]pipeline.InPath, error) {
	all, err := r.Files.List(ctx, p)
	if err != nil {
		return nil, err
	}
	var out []pipeline.InPath
	for _, x := range all {
		abs, err := PlaceOf(r.base, x)
		if err != nil {
			return nil, err
		}
		name, err := r.name(abs)
		if err != nil {
			return nil, err
		}
		if _, ok := r.known[name]; ok {
			out = append(out, x)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: means none of the files that the build has read", p.Text)
	}
	return out, nil
}

// Read gives a file as the build has read it.
func (r recordedFiles) Read(ctx context.Context, p pipeline.InPath) ([]byte, error) {
	data, err := r.Files.Read(ctx, p)
	if err != nil {
		return nil, err
	}
	abs, err := PlaceOf(r.base, p)
	if err != nil {
		return nil, err
	}
	name, err := r.name(abs)
	if err != nil {
		return nil, err
	}
	if was, ok := r.known[name]; !ok || was.SHA256 != sumOf(data) {
		return nil, fmt.Errorf("%s: is not as it was when the build read it", p.Text)
	}
	return data, nil
}

func (recordedFiles) Create(name string) (io.WriteCloser, error) { return nil, notByRole(name) }
func (recordedFiles) Archive(name string, _ []string) error      { return notByRole(name) }

func sumsByName(sums []FileSum) map[string]FileSum {
	m := make(map[string]FileSum, len(sums))
	for _, s := range sums {
		m[s.Name] = s
	}
	return m
}

// findSources gives the folder from which every input is found as the manifest lists it.
func findSources(ctx context.Context, given string, m *Manifest) (string, error) {
	tries := []string{given}
	if given == "" {
		tries = append([]string{"."}, recipeFolders(ctx, m)...)
	}
	best, wrong := "", []string(nil)
	for i, dir := range tries {
		bad, err := wrongInputs(ctx, dir, m.Inputs)
		if err != nil {
			return "", err
		}
		if len(bad) == 0 {
			return dir, nil
		}
		if i == 0 || len(bad) < len(wrong) {
			best, wrong = dir, bad
		}
	}
	if best == "." {
		best = "the current folder"
	}
	text := fmt.Sprintf("of its %s, looked for from %s,", Count(len(m.Inputs), "input", "inputs"), filepath.ToSlash(best))
	if len(wrong) == 1 {
		text += " one is not as it was:"
	} else {
		text += fmt.Sprintf(" %d are not as they were:", len(wrong))
	}
	const most = 10
	for i, w := range wrong {
		if i == most {
			text += fmt.Sprintf("\n    and %d more", len(wrong)-most)
			break
		}
		text += "\n    " + w
	}
	return "", errors.New(text + "\n    say where the paths of inputs start, which is the recipe's folder: --sources DIR")
}

// recipeFolders gives the folders in the current one that hold the build's recipe.
func recipeFolders(ctx context.Context, m *Manifest) (dirs []string) {
	entries, err := os.ReadDir(".")
	if err != nil || len(m.Recipe) == 0 {
		return nil // what is not found is said in any case
	}
	// The recipe lies in its own folder; its standards may lie anywhere.
	own := slices.DeleteFunc(slices.Clone(m.Recipe), func(s FileSum) bool { return strings.Contains(s.Name, "/") })
	for _, e := range entries {
		if !e.IsDir() || Hidden(e.Name()) {
			continue
		}
		if bad, err := wrongInputs(ctx, e.Name(), own); err == nil && len(bad) == 0 && len(own) > 0 {
			dirs = append(dirs, e.Name())
		}
	}
	return dirs
}

// wrongInputs tells which of the files are not found from dir, or not as they were.
func wrongInputs(ctx context.Context, dir string, sums []FileSum) (wrong []string, err error) {
	for _, s := range sums {
		info, err := os.Stat(filepath.Join(dir, filepath.FromSlash(s.Name)))
		switch {
		case errors.Is(err, fs.ErrNotExist) || err == nil && !info.Mode().IsRegular():
			wrong = append(wrong, s.Name+": is not there")
			continue
		case err != nil:
			return nil, inputError(s.Name, err)
		case info.Size() != s.Bytes:
			wrong = append(wrong, s.Name+": differs from what the build was made from")
			continue
		}
		data, _, err := readWhole(ctx, filepath.Join(dir, filepath.FromSlash(s.Name)), s.Name)
		if err != nil {
			return nil, err
		}
		if sumOf(data) != s.SHA256 {
			wrong = append(wrong, s.Name+": differs from what the build was made from")
		}
	}
	return wrong, nil
}
