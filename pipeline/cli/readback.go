package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
)

// proving is what readback is called with.
type proving struct {
	sources     string
	against     string
	shift, turn string
	workers     int
}

func (a *app) readbackCommand() *cobra.Command {
	var v proving
	c := &cobra.Command{
		Use:   "readback [--sources DIR] BUILD...",
		Short: "the proof again, on finished build folders; or what a fabricator returned, against a build",
		Long: "Proves finished build folders again, from what their manifests list and from the boards' own files:\n" +
			"whether every file is there as it was written and nothing else lies in the folder, and whether what\n" +
			"the files say is what boards and plan ask for. A file that was changed since is a finding, and judged\n" +
			"as it is now. The rules of the recipe are not judged again: report/findings.json has them.\n" +
			"\n" +
			"A manifest names its inputs from the recipe's folder, which --sources tells. Unless given, they are\n" +
			"looked for from the current folder, then from the folders in it that hold the recipe.",
		Args: takes(1, 0, "a build folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if v.against != "" {
				return a.against(c.Context(), v, args)
			} else if v.shift != "" || v.turn != "" {
				return misuse("options --shift and --turn say where the panel lies in returned files: name those with --against")
			}
			return a.readback(c.Context(), v, args)
		},
	}
	if a.Returned != nil {
		a.againstFlags(c, &v)
	}
	c.Flags().StringVar(&v.sources, "sources", "", "the folder `DIR` that names of inputs start from: the recipe's")
	a.quietFlag(c, quietly)
	c.Flags().IntVar(&v.workers, "workers", 0, "tasks that may be done at once, `N`; one per processor unless given")
	return c
}

// reading is what came of one build folder, for --json.
type reading struct {
	Build    string             `json:"build"`
	Panel    string             `json:"panel,omitempty"`
	Revision string             `json:"revision,omitempty"`
	Supplier string             `json:"supplier,omitempty"`
	Sources  string             `json:"sources,omitempty"`  // the folder that inputs were found from
	Released *bool              `json:"released,omitempty"` // as the build said
	Counts   *run.FindingCounts `json:"counts,omitempty"`
	Findings []run.FindingRow   `json:"findings,omitzero"` // nil where nothing was judged
	Error    string             `json:"error,omitempty"`
	Exit     int                `json:"exit"`
}

func (a *app) readback(ctx context.Context, v proving, args []string) error {
	if v.workers < 0 || v.workers > 1024 {
		return misuse("option --workers does not take %d: a number from 1 to 1024 is wanted", v.workers)
	}
	opt := run.ReadbackOptions{Sources: v.sources, Workers: v.workers, Program: pipeline.Program{Name: a.Name, Version: a.Version},
		Kinds: a.Stages, Rules: a.Rules, Prove: a.Prove, Progress: a.wait.reached, ReadPanelData: a.ReadPanelData}
	readings := []reading{}
	for i, dir := range args {
		if i > 0 && !a.asJSON && !a.quiet {
			fmt.Fprintln(a.out)
		}
		r := reading{Build: filepath.ToSlash(dir)}
		a.begin(ctx, job{kind: "build", at: i + 1, of: len(args), name: r.Build})
		out, err := run.Readback(ctx, dir, opt)
		a.wait.end()
		if err != nil {
			r.Exit, r.Error = exitCode(err), a.wording(err)
			fmt.Fprintln(a.err, r.Error)
		} else {
			a.tellReading(&r, out)
		}
		a.count(r.Exit)
		readings = append(readings, r)
		if r.Exit == exitInterrupted {
			break
		}
	}
	if a.asJSON {
		return a.printJSON(struct {
			Schema    int       `json:"schema"`
			Readbacks []reading `json:"readbacks"`
			Exit      int       `json:"exit"`
		}{1, readings, a.code})
	}
	return nil
}

func (a *app) tellReading(r *reading, out *run.Proved) {
	m := out.Manifest
	counts := run.CountFindings(out.Findings)
	r.Panel, r.Revision, r.Supplier, r.Released, r.Counts = m.Panel, m.Revision, m.Supplier, &m.Released, &counts
	r.Sources, r.Findings = filepath.ToSlash(out.Sources), run.FindingRows(out.Findings)
	proof := "good: the files are what boards and plan ask for"
	gate := pipeline.Gate{Reject: m.Reject}
	if !gate.Open(out.Findings) {
		r.Exit, proof = exitFindings, run.NotForRelease+": the folder is not what boards and plan ask for"
	}
	if a.asJSON {
		return
	}
	title := panelTitle(m.Panel, m.Revision, m.Supplier)
	if a.quiet {
		a.tellClosing(title, r.Build, out.Findings, gate, false)
		return
	}
	rows := [][]string{
		{"build", fmt.Sprintf("%s (%s)", r.Build, run.Count(out.Files, "file", "files"))},
		{"sources", fmt.Sprintf("%s (%s, as they were)", r.Sources, run.Count(len(m.Inputs), "input", "inputs"))},
		{"findings", countsText(counts)},
		{"proof", proof},
	}
	if !m.Released {
		rows = append(rows, []string{"release", strings.Replace(m.Notice, run.NotForRelease, run.NotForRelease+" when it was built", 1)})
	}
	fmt.Fprint(a.out, title+"\n"+table(rows, "  ")+findingsText(out.Findings, false))
}
