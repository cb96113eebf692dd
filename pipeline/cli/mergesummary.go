package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
)

// merging is what merge-summary is called with.
type merging struct {
	out []string
	all bool
}

func (a *app) mergeSummaryCommand() *cobra.Command {
	var m merging
	c := &cobra.Command{
		Use:   "merge-summary [-o FILE]... PART.json...",
		Short: "join the summaries of parts that were built on several machines",
		Long: "Joins what build --part I/N --summary PART.json wrote on several machines, in any order: the summary of\n" +
			"the whole is the same, byte for byte, as that of one machine which builds all of it. Each FILE gets it\n" +
			"in the form that its name ends in: .json, .xml (JUnit) or .md (Markdown).\n" +
			"\n" +
			"Every part must be there, of the same recipes, built by one version of the program with the same\n" +
			"--reject. A part that was built again may be given twice if both say the same. A summary of all recipes\n" +
			"may stand alone, to be written in another form.\n" +
			"\n" +
			"Ends with the worst exit code of all builds, or with 2 where the parts cannot be joined.",
		Args: takes(1, 0, "the summaries of all parts"),
		RunE: func(c *cobra.Command, args []string) error { return a.mergeSummary(m, args) },
	}
	c.Flags().StringArrayVarP(&m.out, "out", "o", nil, "write the joined summary to `FILE`: .json, .xml or .md; may be repeated")
	c.Flags().BoolVar(&m.all, "all", false, fmt.Sprintf("a line for every build, and not only for those that are not good where there are more than %d", mostGood))
	a.quietFlag(c, "what is wrong: the exit code says what became of the builds")
	return c
}

func (a *app) mergeSummary(m merging, args []string) error {
	if err := checkSummaryNames("-o", m.out); err != nil {
		return err
	}
	parts, err := readSummaries(args)
	if err != nil {
		return err
	}
	whole, err := summary.Join(parts)
	if err != nil {
		return err
	}
	if err := writeSummary(whole, m.out); err != nil {
		return err
	}
	a.count(whole.Exit)
	switch {
	case a.asJSON:
		return a.printJSON(whole)
	case a.quiet:
		return nil
	}
	fmt.Fprint(a.out, buildsText(whole, m.all, "", nil))
	a.tellWritten(m.out)
	return nil
}

// readSummaries reads the files, and tells all that is wrong with them.
func readSummaries(names []string) (read []summary.Named, err error) {
	var wrong []error
	seen := map[string]bool{}
	for _, name := range names {
		if at := filepath.Clean(name); seen[at] {
			continue
		} else {
			seen[at] = true
		}
		s, err := readSummary(name)
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		read = append(read, summary.Named{Name: filepath.ToSlash(name), Summary: s})
	}
	return read, errors.Join(wrong...)
}

func readSummary(name string) (summary.Summary, error) {
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return summary.Summary{}, fmt.Errorf("%s: there is no such file; was the part built with --summary?", filepath.ToSlash(name))
	}
	if err == nil {
		defer f.Close()
		var s summary.Summary
		if s, err = summary.ReadFrom(f); err == nil {
			return s, nil
		}
	}
	var p *fs.PathError
	if errors.As(err, &p) {
		return summary.Summary{}, &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", filepath.ToSlash(name), p.Err)}
	}
	return summary.Summary{}, fmt.Errorf("%s: %w", filepath.ToSlash(name), err)
}

// checkSummaryNames refuses names of files that no summary can be written to, before anything is done. Option is what they are given
// with.
func checkSummaryNames(option string, names []string) error {
	seen := map[string]bool{}
	for _, name := range names {
		if err := summary.CheckName(name); err != nil {
			return misuse("option %s: %v", option, err)
		}
		for dir := filepath.Dir(filepath.Clean(name)); ; dir = filepath.Dir(dir) {
			if m, err := run.ReadManifest(dir); err == nil {
				return misuse("option %s: %s lies in the build folder of %s, which holds its own files only", option, filepath.ToSlash(name), m.Panel)
			}
			if dir == filepath.Dir(dir) {
				break
			}
		}
		if at := filepath.Clean(name); seen[at] {
			return misuse("option %s names %s twice", option, filepath.ToSlash(name))
		} else {
			seen[at] = true
		}
	}
	return nil
}

// writeSummary writes the summary to all files, each whole or not at all.
func writeSummary(s summary.Summary, names []string) error {
	texts := make([][]byte, len(names))
	for i, name := range names {
		var err error
		if texts[i], err = s.As(name); err != nil {
			return err
		}
	}
	for i, name := range names {
		if err := writeResult(name, texts[i]); err != nil {
			return err
		}
	}
	return nil
}

// tellWritten names files that were asked for and are there now.
func (a *app) tellWritten(names []string) {
	if a.quiet {
		return
	}
	for _, name := range names {
		fmt.Fprintf(a.out, "written: %s\n", filepath.ToSlash(name))
	}
}
