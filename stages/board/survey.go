package board

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"runtime"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/stages/board/intake"
)

// Survey tells on w what the reader understands of one board's data: each file and what became of
// it, outline, layers, drill files, parts, measures, what is missing, and what a recipe would have to say. It
// is for people, or as JSON for machines. What is wrong with the data is part of the answer, and usable
// tells whether a recipe could use them as they are; an error means that they could not be got at, or
// that w or keep failed.
//
// Unless keep is nil, the board is drawn too, as SVG, seen from the top and from the bottom: keep is handed
// each picture under a name, and gives back the path that people are told. A board of which the outline is
// in doubt is drawn with the loops that may be chosen; one that has no layers at all is not drawn.
func Survey(ctx context.Context, files pipeline.Files, paths []pipeline.InPath, w io.Writer, asJSON bool,
	keep func(name string, picture []byte) (path string, err error)) (usable bool, err error) {
	got, err := intake.Read(ctx, files, intake.Request{
		Name: "board", Paths: paths, Tolerance: intake.DefaultTolerance, Workers: runtime.GOMAXPROCS(0),
	})
	if err != nil {
		return false, err
	}
	if err := got.Measure(ctx); err != nil {
		return false, err
	}
	s := got.Summary(paths)
	usable = len(s.Problems) == 0
	if v := got.View(paths); keep != nil && !v.Empty() {
		for _, side := range []panel.Side{panel.Top, panel.Bottom} {
			path, err := keep("board-"+string(side)+".svg", draw(v, side))
			if err != nil {
				return usable, err
			}
			s.Pictures = append(s.Pictures, path)
		}
	}
	if asJSON {
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return usable, e.Encode(s)
	}
	var b strings.Builder
	if err := surveyText(&b, s); err != nil {
		return usable, err
	}
	_, err = io.WriteString(w, b.String())
	return usable, err
}

func surveyText(w io.Writer, s intake.Summary) error {
	var table strings.Builder
	t := tabwriter.NewWriter(&table, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "file\twhat for\tsaid by\tunit\tdigits\tcontent\twritten by")
	for _, f := range s.Files {
		what := f.Use
		switch {
		case f.Fault != "":
			what = "not readable, see below"
		case f.Ignored != "":
			what = "ignored"
		case what == "":
			what = "not settled, see below"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\n", f.Name, what, f.By, f.Unit, f.Digits, f.Content, f.Generator)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, l := range strings.Split(strings.TrimRight(table.String(), "\n"), "\n") {
		fmt.Fprintln(w, strings.TrimRight(l, " "))
	}
	section := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		fmt.Fprintf(w, "\n%s\n", title)
		for _, l := range lines {
			for _, l := range strings.Split(l, "\n") {
				for _, l := range wrapped(l) {
					fmt.Fprintln(w, strings.TrimRight("  "+l, " "))
				}
			}
		}
	}
	var ignored []string
	for _, f := range s.Files {
		if f.Ignored != "" {
			ignored = append(ignored, f.Name+": "+f.Ignored)
		}
	}
	section("ignored", ignored)
	section("outline", s.Outline.Lines())
	section("edge classes", s.EdgeLines())
	section("copper", s.CopperLines())
	section("drill files", s.DrillLines())
	section("placement", s.PartLines())
	section("netlist", s.NetlistLines())
	section("what the files say of the board", s.SaidLines())
	section("not there", s.Absent)
	section("remarks on how the files are written", s.RemarkLines())
	section("findings", s.FindingLines())
	section("what keeps these files from being a board", s.Problems)
	section("pictures", s.Pictures)
	section("a recipe would say", strings.Split(strings.TrimRight(s.Recipe, "\n"), "\n"))
	return nil
}

// widest is how long a line may be before it goes on in the next one.
const widest = 160

// wrapped breaks a long line at spaces; what follows is set in.
func wrapped(l string) []string {
	var out []string
	indent := l[:len(l)-len(strings.TrimLeft(l, " "))] + "    "
	for utf8.RuneCountInString(l) > widest {
		at := 0
		n := 0
		for i, c := range l {
			if n++; n > widest {
				break
			}
			if c == ' ' && strings.TrimSpace(l[:i]) != "" {
				at = i
			}
		}
		if at == 0 {
			break
		}
		out = append(out, l[:at])
		l = indent + strings.TrimLeft(l[at:], " ")
	}
	return append(out, l)
}
