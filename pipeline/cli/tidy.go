package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// standardEnds are what names of standards end in.
var standardEnds = []string{".standard.hcl", ".standard.json"}

func (a *app) tidyCommand() *cobra.Command {
	check := false
	c := &cobra.Command{
		Use:   "tidy [--check] RECIPE|FOLDER...",
		Short: "canonical layout of recipes and standards",
		Long: "Lays recipes and standards out anew: indents, equals signs and comments that line up, one blank line\n" +
			"between blocks. What they say, their order and their comments stay. Of a folder each file is taken whose\n" +
			"name ends in .panel.hcl, .standard.hcl, .panel.json or .standard.json, in folders within it too. A file\n" +
			"with mistakes in its syntax is left alone. With - standard input goes to standard output.\n" +
			"With --check nothing is written, and it ends with code 1 if any file would change.",
		Args: takes(1, 0, "a recipe, a standard or a folder of them, or -"),
		RunE: func(c *cobra.Command, args []string) error {
			if slices.Contains(args, "-") {
				if len(args) > 1 {
					return misuse("standard input (-) is laid out alone: leave out the others")
				}
				return a.tidyInput(check)
			}
			return a.tidy(c.Context(), args, check)
		},
	}
	c.Flags().BoolVar(&check, "check", false, "write nothing; say which files are not in canonical layout")
	return c
}

// tidied is what came of one file, for --json.
type tidied struct {
	File    string `json:"file"`
	Changed bool   `json:"changed"` // with --check: would be
	Error   string `json:"error,omitempty"`
	Exit    int    `json:"exit"`
}

func (a *app) tidy(ctx context.Context, args []string, check bool) error {
	paths, missing := findTidy(args)
	rows := []tidied{}
	changed, wrong := 0, 0
	for _, path := range paths {
		if ctx.Err() != nil {
			return run.ErrInterrupted
		}
		r := tidied{File: filepath.ToSlash(path)}
		err := missing[path]
		if err == nil {
			r.Changed, err = tidyFile(path, check)
		}
		switch {
		case err != nil:
			wrong++
			r.Error, r.Exit = err.Error(), exitCode(err)
			if !a.asJSON {
				fmt.Fprintln(a.err, r.Error)
			}
		case r.Changed:
			changed++
			if check {
				r.Exit = exitFindings
			}
			if !a.asJSON {
				fmt.Fprintln(a.out, r.File)
			}
		}
		a.count(r.Exit)
		rows = append(rows, r)
	}
	if a.asJSON {
		return a.printJSON(struct {
			Schema int      `json:"schema"`
			Files  []tidied `json:"files"`
			Exit   int      `json:"exit"`
		}{1, rows, a.code})
	}
	fmt.Fprintln(a.out, tidySum(len(rows), changed, wrong, check))
	return nil
}

// tidySum says what came of all files.
func tidySum(all, changed, wrong int, check bool) string {
	what := "laid out anew"
	if check {
		what = "not in canonical layout"
	}
	text := fmt.Sprintf("%d of %s %s", changed, run.Count(all, "file", "files"), what)
	if wrong > 0 {
		text += fmt.Sprintf("; %d left alone, see above", wrong)
	}
	return text
}

// tidyInput lays standard input out onto standard output.
func (a *app) tidyInput(check bool) error {
	text, err := io.ReadAll(io.LimitReader(a.in, recipe.MostBytes+1))
	switch {
	case err != nil:
		return &run.MachineError{Err: fmt.Errorf("standard input cannot be read: %w", err)}
	case len(text) > recipe.MostBytes:
		return errors.New("standard input is longer than 1 MiB, the most that a recipe or standard may have")
	}
	name := "standard input"
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")) {
		name += ".json"
	}
	out, err := recipe.Tidy(name, text)
	changed := !bytes.Equal(out, text)
	switch {
	case err != nil:
		return unsure(name, err)
	case check && changed:
		a.count(exitFindings)
	case !check && !a.asJSON:
		_, err = a.out.Write(out)
	}
	if err != nil || !check && !a.asJSON {
		return err
	}
	if a.asJSON {
		r := struct {
			Schema  int     `json:"schema"`
			Changed bool    `json:"changed"`
			Text    *string `json:"text,omitempty"`
			Exit    int     `json:"exit"`
		}{1, changed, nil, a.code}
		if !check {
			s := string(out)
			r.Text = &s
		}
		return a.printJSON(r)
	}
	if changed {
		fmt.Fprintln(a.out, "standard input is not in canonical layout")
	}
	return nil
}

// unsure names the file that is left as it is.
func unsure(name string, err error) error {
	if errors.Is(err, recipe.ErrTidyUnsure) {
		return fmt.Errorf("%s: %w", name, err)
	}
	return err
}

// tidyFile lays one file out, unless only to check, and tells whether it changes.
func tidyFile(path string, check bool) (changed bool, err error) {
	before, after, err := recipe.TidyFile(path)
	if err != nil {
		return false, unsure(filepath.ToSlash(path), err)
	}
	if bytes.Equal(before, after) || check {
		return !bytes.Equal(before, after), nil
	}
	return true, replaceFile(path, after)
}

// findTidy gives the files that the arguments mean, each once, by name within a folder. What is not there comes
// back as an error in its place.
func findTidy(args []string) (paths []string, missing map[string]error) {
	missing = map[string]error{}
	seen := map[string]bool{}
	add := func(path string, err error) {
		if key, absErr := filepath.Abs(path); absErr == nil {
			if seen[key] {
				return
			}
			seen[key] = true
		}
		paths = append(paths, path)
		if err != nil {
			missing[path] = err
		}
	}
	ends := slices.Concat(recipeEnds, standardEnds)
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			add(arg, notThere(arg))
			continue
		case err != nil:
			add(arg, &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", arg, errors.Unwrap(err))})
			continue
		case !info.IsDir():
			add(arg, nil)
			continue
		}
		none := true
		walk := filepath.WalkDir(arg, func(path string, e fs.DirEntry, err error) error {
			switch {
			case err != nil:
				none = false
				add(path, &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", path, errors.Unwrap(err))})
			case path != arg && strings.HasPrefix(e.Name(), "."):
				if e.IsDir() {
					return filepath.SkipDir
				}
			case !e.IsDir() && slices.ContainsFunc(ends, func(end string) bool { return strings.HasSuffix(e.Name(), end) }):
				none = false
				add(path, nil)
			}
			return nil
		})
		if walk == nil && none {
			add(arg, fmt.Errorf("%s: holds no recipes or standards; their names end in %s", arg, strings.Join(ends, ", ")))
		}
	}
	return paths, missing
}
