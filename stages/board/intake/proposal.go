package intake

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format"
	"panelwright/pipeline/panel"
)

var notName = format.Pattern(`[^a-z0-9]+`)

// boardName makes a name that a recipe could call the board.
func boardName(candidates ...string) string {
	for _, c := range candidates {
		name := strings.Trim(notName().ReplaceAllString(strings.ToLower(c), "_"), "_")
		if name != "" && name[0] >= 'a' {
			return name
		}
	}
	return unnamed
}

// unnamed is what a board is called that nobody names.
const unnamed = "board"

// recipe proposes the board stage for these files.
func (r *Result) recipe(paths []pipeline.InPath) string {
	return r.BoardStage(paths, boardName(r.project.name, folderOf(paths)), nil)
}

// folderOf gives the name of the folder or zip that is all of paths, empty where they are others.
func folderOf(paths []pipeline.InPath) string {
	if len(paths) != 1 || strings.ContainsAny(paths[0].Text, "*?[{") {
		return ""
	}
	return path.Base(strings.TrimSuffix(paths[0].Text, path.Ext(paths[0].Text)))
}

// BoardStage proposes the board stage for these files, in the canonical layout of recipes. more are options beside name,
// files and revision. What only a person can know stands as "…".
func (r *Result) BoardStage(paths []pipeline.InPath, name string, more [][2]string) string {
	var b strings.Builder
	set := [][2]string{{"name", fmt.Sprintf("%q", name)}}
	var q []string
	for _, p := range paths {
		q = append(q, fmt.Sprintf("%q", p.Text))
	}
	files := strings.Join(q, ", ")
	if len(paths) != 1 {
		files = "[" + files + "]"
	}
	set = append(set, [2]string{"files", files})
	if r.project.revision != "" {
		set = append(set, [2]string{"revision", fmt.Sprintf("%q", r.project.revision)})
	}
	b.WriteString("stage \"board\" {\n" + settings("  ", append(set, more...)))
	if len(r.Unclaimed) > 0 {
		fmt.Fprintf(&b, "\n  # not taken yet: %s\n", strings.Join(r.free(), ", "))
	}
	for _, f := range r.Unclaimed {
		b.WriteString(layerProposal(f.Name) + "\n")
	}
	for _, f := range r.of(DrillFile) {
		if f.assumed || f.guessed != nil {
			b.WriteString("\n" + f.drillProposal() + "\n")
		}
	}
	for _, f := range r.of(PlacementFile) {
		if f.unitOpen {
			fmt.Fprintf(&b, "\n  placement %q {\n    unit = %q\n  }\n", f.Name, f.Unit)
		}
	}
	return b.String() + "}\n"
}

// drillSettings are the options of a drill block that would say what was assumed or guessed.
func (f *File) drillSettings() [][2]string {
	var set [][2]string
	if f.assumed {
		set = append(set, [2]string{"plating", `"plated"`})
	}
	g := f.guessed
	if g == nil {
		return set
	}
	if g.Unit != "" {
		set = append(set, [2]string{"unit", fmt.Sprintf("%q", string(g.Unit))})
	}
	if g.Integer+g.Decimals > 0 {
		if g.Zeros != "" {
			set = append(set, [2]string{"zeros", fmt.Sprintf("%q", string(g.Zeros))})
		}
		set = append(set, [2]string{"digits", fmt.Sprintf("[%d, %d]", g.Integer, g.Decimals)})
	}
	return set
}

// drillSays writes those options within a sentence.
func (f *File) drillSays() string {
	var s []string
	for _, x := range f.drillSettings() {
		s = append(s, x[0]+" = "+x[1])
	}
	return fmt.Sprintf("a block drill %q in the recipe can say it, with %s", f.Name, list(s))
}

// drillProposal writes them as a block.
func (f *File) drillProposal() string {
	return fmt.Sprintf("  drill %q {\n%s  }", f.Name, settings("    ", f.drillSettings()))
}

// settings writes options in the canonical layout of recipes.
func settings(indent string, set [][2]string) string {
	width := 0
	for _, s := range set {
		width = max(width, len(s[0]))
	}
	var b strings.Builder
	for _, s := range set {
		fmt.Fprintf(&b, "%s%-*s = %s\n", indent, width, s[0], s[1])
	}
	return b.String()
}

// free lists the functions that no file has: the candidates for files of which nobody says what they
// are for.
func (r *Result) free() []string {
	taken := map[string]bool{}
	for _, l := range r.layers {
		taken[l.is.Key()] = true
		if l.is.Kind == panel.Copper {
			taken["copper-"+fmt.Sprint(l.is.Index)] = true
			if l.is.Side == panel.Bottom {
				taken["copper-bottom"] = true
			}
		}
	}
	copper := 2 + len(r.Unclaimed)
	if taken["copper-bottom"] {
		copper = max(2, r.copper+len(r.Unclaimed))
	}
	var out []string
	for _, n := range FunctionNames(&copper) {
		switch {
		case n == "ignore", taken[n]:
		case strings.HasPrefix(n, "copper-") && (taken[n[:strings.LastIndexByte(n, '-')]] && !strings.HasSuffix(n, "inner") || strings.HasSuffix(n, "bottom") && taken["copper-bottom"]):
		case strings.HasPrefix(n, "glue"), strings.HasPrefix(n, "carbon"), strings.HasPrefix(n, "peelable"):
		default:
			out = append(out, n)
		}
	}
	return slices.Compact(append(out, "ignore"))
}

// Classes are the stretches of the board's edge that are not plain, once Measure has found them.
func (r *Result) Classes() []EdgeStretch { return r.classes }

// CopperMeasures are the measures of the copper layers, once Measure has taken them.
func (r *Result) CopperMeasures() []CopperMeasure { return r.measures }

// Project is what the files call their project; empty where they do not say it.
func (r *Result) Project() string { return r.project.name }

// CleanName makes of a text a name that a recipe could call a board, empty where nothing of it is left.
func CleanName(text string) string {
	if name := boardName(text); name != unnamed {
		return name
	}
	return ""
}
