package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

func (a *app) startCommand() *cobra.Command {
	var out, name, board string
	c := &cobra.Command{
		Use:   "start [-o RECIPE] [--name NAME] FILES...|--board FILE",
		Short: "a first recipe for one board",
		Long: "Surveys one board (a folder, a zip, or its files) and writes a first recipe for a panel of it: array, rails,\n" +
			"marks, and tabs or score lines, each with the reason beside it. Ways of parting the boards are carried out as\n" +
			"check does, and the one that leaves the fewest errors is taken; what was found is told. The recipe goes to\n" +
			"RECIPE, or to BOARD.panel.hcl in the working folder; with -o - to standard output. A file that is there is\n" +
			"never overwritten. Where the files leave something open it asks, shows the board stage to fill in, writes\n" +
			"nothing and ends with code 2; that stage, filled in, is taken with --board in place of the files.",
		RunE: func(c *cobra.Command, args []string) error {
			if board == "" {
				if err := takes(1, 0, "a board's files: a folder, a zip, or the files")(c, args); err != nil {
					return err
				}
			} else if len(args) > 0 {
				return misuse("the board stage of option --board names the files: leave out %q", args[0])
			}
			return a.start(c.Context(), args, out, name, board)
		},
	}
	c.Flags().StringVarP(&out, "out", "o", "", "the file `RECIPE` that is written, or - for standard output")
	c.Flags().StringVar(&name, "name", "", "what the panel is called, `NAME`; unless given, the board's name and the number of copies")
	c.Flags().StringVar(&board, "board", "", "a `FILE` with the board stage, filled in; it lies in the folder that the recipe goes to")
	return c
}

// started is what came of start, for --json.
type started struct {
	Schema int    `json:"schema"`
	Recipe string `json:"recipe,omitempty"` // the file that was written
	pipeline.Started
	Counts   *run.FindingCounts `json:"counts,omitempty"`
	Findings []run.FindingRow   `json:"findings,omitzero"`
	Text     string             `json:"text,omitempty"`
	Exit     int                `json:"exit"`
}

// toStandardOutput is what -o takes in place of a file.
const toStandardOutput = "-"

func (a *app) start(ctx context.Context, args []string, out, name, board string) error {
	if name != "" && !recipe.IsPanelName(name) {
		return misuse("option --name does not take %q: lower-case letters, digits and hyphens, at most 100, such as gauge-12up", name)
	}
	if err := freePlace(out); err != nil {
		return err
	}
	dir := "."
	if out != toStandardOutput {
		dir = filepath.Dir(out)
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return misuse("option -o: there is no folder %s; make it first", filepath.ToSlash(dir))
	}
	base, err := filepath.Abs(dir)
	if err != nil {
		return &run.MachineError{Err: fmt.Errorf("the working folder cannot be told: %w", pipeline.Bare(err))}
	}
	paths, err := pathsFrom(base, args)
	if err != nil {
		return err
	}
	q := pipeline.StartRequest{
		Files: run.NewFiles(ctx, base, ""), Paths: paths, Panel: name, Rules: a.Rules, Workers: runtime.GOMAXPROCS(0), Standards: standardsNear(base),
	}
	of := board
	if board == "" {
		of = args[0]
	} else if q.Board, q.BoardText, err = a.boardStage(base, board); err != nil {
		return err
	}
	shared := run.NewShared(1 << 30)
	attempt := 0
	a.begin(ctx, job{kind: "board", at: 1, of: 1, name: filepath.ToSlash(of)})
	q.Try = func(ctx context.Context, text []byte) ([]pipeline.Finding, error) {
		attempt++
		return a.try(ctx, filepath.Join(base, fmt.Sprintf("try-%d.panel.hcl", attempt)), text, shared)
	}
	s, err := a.Start(ctx, q)
	a.wait.end()
	if err != nil {
		return err
	}
	r := started{Schema: 1, Started: s}
	if s.Recipe == nil {
		return a.ask(r)
	}
	if r.Recipe = out; out == "" || out == toStandardOutput {
		r.Recipe = s.Board + ".panel.hcl"
	}
	// The layout is tidy's: it changes nothing of what is written here.
	text, err := recipe.Tidy(filepath.Base(r.Recipe), s.Recipe)
	if err != nil {
		return &run.FaultError{What: "the recipe cannot be laid out: " + err.Error()}
	}
	// What was tried bears names of its own; this is the recipe as it will be read.
	if r.Started.Found, err = a.try(ctx, filepath.Join(base, filepath.Base(r.Recipe)), text, shared); err != nil {
		return err
	}
	if out == toStandardOutput {
		r.Recipe = ""
	} else if err := newFile(r.Recipe, text); errors.Is(err, fs.ErrExist) {
		return takenError(r.Recipe)
	} else if err != nil {
		return &run.MachineError{Err: fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(r.Recipe), pipeline.Bare(err))}
	}
	r.Recipe = filepath.ToSlash(r.Recipe)
	counts := run.CountFindings(r.Found)
	r.Counts, r.Findings = &counts, run.FindingRows(r.Found)
	if counts.Error > 0 {
		r.Exit = exitFindings
	}
	a.count(r.Exit)
	switch {
	case a.asJSON:
		r.Text = string(text)
		return a.printJSON(r)
	case out == toStandardOutput:
		_, err = a.out.Write(text)
		fmt.Fprint(a.err, startedText(r))
	default:
		fmt.Fprint(a.out, startedText(r))
	}
	return err
}

// boardStage reads a file that holds a board stage and nothing else. Its paths are relative to its folder, which must be the
// recipe's.
func (a *app) boardStage(base, path string) (pipeline.Stage, string, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, "", &run.MachineError{Err: err}
	}
	if filepath.Dir(abs) != base {
		return nil, "", misuse("option --board does not take %q: its paths are relative to its folder, so it must lie where the recipe goes to", path)
	}
	text, err := os.ReadFile(abs)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "", fmt.Errorf("%s: there is no such file", path)
	case err != nil:
		return nil, "", &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", path, pipeline.Bare(err))}
	}
	plan, err := recipe.LoadText(abs, append(text, "\npanel \"start\" {\n  revision = \"A\"\n}\n"...), recipe.Settings{Kinds: a.Stages, Rules: a.Rules, ProgramVersion: a.Version})
	if err != nil {
		return nil, "", placed(faultIfOurs(err), path)
	}
	if len(plan.Calls) != 1 || plan.Calls[0].Kind.Name != "board" {
		return nil, "", fmt.Errorf("%s: must hold one stage, board, and nothing else", path)
	}
	stage, err := plan.Calls[0].Stage(nil)
	return stage, string(text), placed(faultIfOurs(err), path)
}

// freePlace refuses a file that is there.
func freePlace(out string) error {
	if out == "" || out == toStandardOutput {
		return nil
	}
	if !slices.ContainsFunc(recipeEnds[:1], func(end string) bool { return strings.HasSuffix(out, end) }) {
		return misuse("option -o does not take %q: a recipe's name ends in %s", out, recipeEnds[0])
	}
	if _, err := os.Lstat(out); err == nil {
		return takenError(out)
	}
	return nil
}

func takenError(path string) error {
	return fmt.Errorf("%s: is there already, and is left as it is\n    give another name with -o, or move it away", filepath.ToSlash(path))
}

// pathsFrom gives the arguments as a recipe in the folder base would name them.
func pathsFrom(base string, args []string) ([]pipeline.InPath, error) {
	var out []pipeline.InPath
	for _, arg := range args {
		abs, err := filepath.Abs(arg)
		if err != nil {
			return nil, &run.MachineError{Err: err}
		}
		if _, err := os.Stat(abs); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s: there is no such file or folder", arg)
		}
		rel, err := filepath.Rel(base, abs)
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be named from the recipe's folder, and recipes take relative paths only: have both on one drive", arg)
		}
		out = append(out, pipeline.InPath{Text: filepath.ToSlash(rel), Dir: base})
	}
	return out, nil
}

// standardsNear gives the standards in the folder standards beside a recipe, as it would name them.
func standardsNear(dir string) []string {
	entries, err := os.ReadDir(filepath.Join(dir, "standards"))
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), standardEnds[0]) {
			out = append(out, "standards/"+e.Name())
		}
	}
	return out
}

// try carries a recipe out that is not written yet, but for the stages that write.
func (a *app) try(ctx context.Context, path string, text []byte, shared *run.Shared) ([]pipeline.Finding, error) {
	plan, err := recipe.LoadText(path, text, recipe.Settings{Kinds: a.Stages, Rules: a.Rules, ProgramVersion: a.Version})
	if err != nil {
		return nil, &run.FaultError{What: "the recipe that was made cannot be read:\n" + err.Error()}
	}
	out, err := run.Build(ctx, plan, run.Options{
		CheckOnly: true, Rules: a.Rules, Program: pipeline.Program{Name: a.Name, Version: a.Version}, Progress: a.wait.reached, Shared: shared,
	})
	if err != nil {
		return nil, err
	}
	return out.Findings, nil
}

// ask tells what must be known before there can be a recipe.
func (a *app) ask(r started) error {
	r.Exit = a.count(exitInput)
	if a.asJSON {
		return a.printJSON(r)
	}
	fmt.Fprintf(a.err, "there is no recipe for board %s yet: its files leave open what only you can say\n", r.Board)
	for _, q := range r.Asks {
		fmt.Fprintln(a.err, q)
	}
	do := "\na recipe begins with this stage; when what is asked for is answered, hand it over: "
	if strings.Contains(r.Stage, "…") {
		do = "\nfill in what stands as … below, and hand it over: "
	}
	fmt.Fprintln(a.err, do+a.Name+" start --board FILE")
	fmt.Fprint(a.out, r.Stage)
	return nil
}

// startedText says what is proposed and why, what was tried, and what was found.
func startedText(r started) string {
	var b strings.Builder
	where := r.Recipe
	if where == "" {
		where = "standard output"
	}
	fmt.Fprintf(&b, "%s: a first recipe for board %s, panel %s\n\n", where, r.Board, r.Panel)
	for _, s := range r.Says {
		b.WriteString(wrap("", s.About+": "+s.Text, "    "))
	}
	b.WriteString("\ntried\n")
	var rows [][]string
	for _, t := range r.Tried {
		taken := ""
		if t.Taken {
			taken = "taken"
		}
		rows = append(rows, []string{t.Way, fmt.Sprintf("%s, %s near breaks", run.Count(t.Errors, "error", "errors"), run.Count(t.Warnings, "part", "parts")), taken, t.Why})
	}
	b.WriteString(table(rows, "  "))
	b.WriteString(findingsText(r.Found, false))
	return b.String()
}
