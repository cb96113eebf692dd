package cli

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/returned"
	"panelwright/pipeline/run"
)

// againstFlags gives readback what it takes to hold a fabricator's files against a build.
func (a *app) againstFlags(c *cobra.Command, v *proving) {
	c.Use = "readback [--sources DIR] [--against FILES] BUILD..."
	c.Short = "the proof again, on finished build folders; or a fabricator's returned files"
	c.Long += "\n\n" +
		"With --against, the working files that a fabricator sends back for approval (a folder, a zip or a file)\n" +
		"are held against the files that the build wrote: contours, holes, score lines and every layer. Other\n" +
		"names, units, places and quarter turns do not count, and what is made larger for plating and etching\n" +
		"is a note. The boards' own files are not needed. The panel is found by its contours and holes; where\n" +
		"that fails, or it lies there several times, --shift and --turn say where it lies."
	c.Flags().StringVar(&v.against, "against", "", "returned files to hold against one build: `FILES` is a folder, a zip or a file")
	c.Flags().StringVar(&v.shift, "shift", "", "where the panel's lower left corner lies in them, `X,Y` in mm, when it is found wrongly or not")
	c.Flags().StringVar(&v.turn, "turn", "", "by how many `DEGREES` the panel is turned there, counter-clockwise about that corner")
}

// heldAgainst is what came of holding returned files against a build, for --json.
type heldAgainst struct {
	reading
	Against *againstData `json:"against,omitempty"`
}

type againstData struct {
	Folder   string     `json:"folder"`
	Found    bool       `json:"found"`
	X        *string    `json:"x_mm,omitempty"` // of the panel's lower left corner in the returned files
	Y        *string    `json:"y_mm,omitempty"`
	Turn     *string    `json:"rotation_deg,omitempty"`
	Mirrored bool       `json:"mirrored,omitempty"`
	Times    int        `json:"times,omitempty"`
	Layers   int        `json:"layers"`
	Holes    int        `json:"holes"`
	Contours int        `json:"contours"`
	Files    []usedFile `json:"files"`
}

type usedFile struct {
	Name string `json:"name"`
	For  string `json:"for"`
	By   string `json:"said_by,omitempty"`
}

func (a *app) against(ctx context.Context, v proving, args []string) error {
	if len(args) > 1 {
		return misuse("with --against there is one build: %q is too much", args[1])
	}
	if v.sources != "" {
		return misuse("--sources is for proving a build again; with --against the boards' own files are not needed")
	}
	in := returned.Input{Workers: v.workers}
	if err := v.placed(&in); err != nil {
		return err
	}
	abs, err := filepath.Abs(v.against)
	if err != nil {
		return &run.MachineError{Err: err}
	}
	r := heldAgainst{reading: reading{Build: filepath.ToSlash(args[0])}}
	a.begin(ctx, job{kind: "build", at: 1, of: 1, name: r.Build})
	out, built, err := a.hold(ctx, args[0], abs, in)
	a.wait.end()
	if errors.Is(err, context.Canceled) && ctx.Err() != nil {
		err = run.ErrInterrupted
	}
	if err != nil {
		r.Exit, r.Error = exitCode(err), a.wording(err)
		fmt.Fprintln(a.err, r.Error)
	} else {
		a.tellAgainst(&r, filepath.ToSlash(v.against), out, built.Manifest)
	}
	a.count(r.Exit)
	if a.asJSON {
		return a.printJSON(struct {
			Schema    int           `json:"schema"`
			Readbacks []heldAgainst `json:"readbacks"`
			Exit      int           `json:"exit"`
		}{1, []heldAgainst{r}, a.code})
	}
	return nil
}

// placed reads --shift and --turn.
func (v proving) placed(in *returned.Input) error {
	if v.shift != "" {
		x, y, ok := strings.Cut(v.shift, ",")
		p, errX := geom.ParseDecimal(strings.TrimSpace(x))
		q, errY := geom.ParseDecimal(strings.TrimSpace(y))
		if !ok || errX != nil || errY != nil {
			return misuse("option --shift does not take %q: two numbers of millimetres are wanted, such as 10,-5", v.shift)
		}
		at := geom.Pt(p, q)
		in.Shift = &at
	}
	if v.turn != "" {
		t, err := geom.ParseAngle(v.turn)
		if _, quarter := t.Quarters(); err != nil || !quarter {
			return misuse("option --turn does not take %q: 0, 90, 180 or 270 is wanted", v.turn)
		}
		in.Turn = &t
	}
	return nil
}

// hold reads both sides and holds them against each other.
func (a *app) hold(ctx context.Context, build, files string, in returned.Input) (*returned.Result, *run.AsBuilt, error) {
	built, err := run.ReadAsBuilt(ctx, build)
	if err != nil {
		return nil, nil, err
	}
	dir := filepath.Dir(files)
	got, err := a.Returned(ctx, run.NewFiles(ctx, dir, ""), []pipeline.InPath{{Text: filepath.Base(files), Dir: dir}})
	if err != nil {
		return nil, nil, err
	}
	in.Panel, in.Built, in.Got = built.Manifest.Panel, built.Files, got
	out, err := returned.Hold(ctx, in)
	if err != nil && ctx.Err() == nil {
		err = fmt.Errorf("%s: %w", filepath.ToSlash(build), err)
	}
	if err != nil {
		return nil, nil, err
	}
	for i, f := range out.Findings {
		for _, r := range a.Rules {
			if r.Name == f.Rule {
				out.Findings[i].Family, out.Findings[i].Source = r.Family, r.Source
			}
		}
	}
	return out, built, nil
}

func (a *app) tellAgainst(r *heldAgainst, folder string, out *returned.Result, m *run.Manifest) {
	counts := run.CountFindings(out.Findings)
	r.Panel, r.Revision, r.Supplier, r.Released, r.Counts = m.Panel, m.Revision, m.Supplier, &m.Released, &counts
	r.Findings = run.FindingRows(out.Findings)
	d := &againstData{Folder: folder, Found: out.Found, Layers: out.Layers, Holes: out.Holes, Contours: out.Contours, Files: []usedFile{}}
	lies := "not found"
	if out.Found {
		whole := func(l geom.Length) string { return geom.Length(math.Round(float64(l)/1000) * 1000).Decimal() } // micrometres
		x, y, t := whole(out.Shift.X), whole(out.Shift.Y), out.Turn.Decimal()
		d.X, d.Y, d.Turn, d.Mirrored, d.Times = &x, &y, &t, out.Mirrored, out.Times
		lies = fmt.Sprintf("with its lower left corner at (%s, %s) mm, turned by %s deg", x, y, t)
		if out.Mirrored {
			lies += ", mirrored"
		}
	}
	for _, f := range out.Files {
		d.Files = append(d.Files, usedFile{f.Name, f.For, f.By})
	}
	r.Against = d
	verdict := "good: they are the panel that was built"
	gate := pipeline.Gate{Reject: m.Reject}
	if !gate.Open(out.Findings) {
		r.Exit, verdict = exitFindings, "DO NOT APPROVE: they are not the panel that was built"
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
		{"build", r.Build},
		{"against", fmt.Sprintf("%s (%s)", folder, run.Count(len(out.Files), "file", "files"))},
		{"panel", lies},
		{"held", fmt.Sprintf("%s, %s, %s", run.Count(out.Layers, "layer", "layers"), run.Count(out.Contours, "contour", "contours"), run.Count(out.Holes, "hole and slot", "holes and slots"))},
		{"findings", countsText(counts)},
		{"verdict", verdict},
	}
	if !m.Released {
		rows = append(rows, []string{"release", strings.Replace(m.Notice, run.NotForRelease, run.NotForRelease+" when it was built", 1)})
	}
	files := [][]string{{"file", "taken for", "said by"}}
	for _, f := range out.Files {
		files = append(files, []string{f.Name, f.For, f.By})
	}
	fmt.Fprint(a.out, title+"\n"+table(rows, "  ")+"\n"+table(files, "  ")+findingsText(out.Findings, false))
}
