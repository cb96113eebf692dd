package intake

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/panel/artwork"
)

// drillOptions are what the recipe says of a drill file's numbers.
func (f *File) drillOptions() xnc.Options {
	var opt xnc.Options
	if f.drillRule != nil {
		opt = f.drillRule.Format
	}
	opt.CutsUnlowered = true
	return opt
}

func (f *File) decodeDrill(data []byte) {
	f.data = data
	opt := f.drillOptions()
	d, rep, err := xnc.Read(f.Name, data, opt)
	if err != nil {
		// A guess of the number format may be so wrong that the holes lie metres away.
		for _, o := range xnc.Readings(data, opt)[1:] {
			other, otherRep, e := xnc.Read(f.Name, data, o)
			if e == nil {
				otherRep.Guessed, otherRep.GuessedWhat = true, o.String()+" (otherwise it cannot be read)"
				d, rep, err = other, otherRep, nil
				break
			}
		}
	}
	if err != nil {
		f.Err = err
		return
	}
	f.takeDrill(d, rep)
	for _, w := range rep.Warnings {
		f.doubt(w)
	}
}

// takeDrill takes one reading of a drill file.
func (f *File) takeDrill(d *artwork.Drilling, rep *xnc.Report) {
	f.Err = nil
	f.Drilling, f.project = d, projectOf(d.Attributes)
	f.Generator, f.ended = rep.Generator, rep.HasEnd
	f.report = rep
	f.Unit = string(rep.Unit)
	f.Digits = "with points"
	if rep.Integer+rep.Decimals > 0 && !rep.Whole {
		f.Digits = fmt.Sprintf("%d.%d", rep.Integer, rep.Decimals)
	}
	if rep.ToolsFromComments {
		f.Remarks = append(f.Remarks, "the diameters of tools are taken from its comments")
	}
	f.guessed = nil
	if rep.Guessed {
		g := *rep
		if g.Whole { // a recipe says it with digits [3, 0]
			g.Zeros, g.Integer, g.Decimals = xnc.TrailingKept, 3, 0
		}
		f.guessed = &g
	}
}

// toolLists finds the diameters of drill files that have none in the texts beside them.
func (r *Result) toolLists(got []gathered) {
	lists := map[int]bool{} // taken for a tool list, by place among the files
	for i, f := range r.Files {
		if f.Kind != DrillFile || f.Ignored != "" || f.Err == nil || lists[i] {
			continue
		}
		missing := xnc.WithoutDiameter(got[i].data)
		if len(missing) == 0 {
			continue
		}
		r.toolList(f, i, missing, got, lists)
	}
	for i, f := range r.Files {
		if lists[i] && f.Kind == DrillFile {
			f.Kind, f.Err, f.Drilling = OtherFile, nil, nil
		}
	}
}

// toolSource is a text that lists the tools that a drill file lacks.
type toolSource struct {
	at   int // among the files
	list xnc.ToolList
}

func (r *Result) toolList(f *File, at int, missing []int, got []gathered, lists map[int]bool) {
	named := ""
	if f.drillRule != nil {
		named = f.drillRule.ToolList
	}
	unit := xnc.Unit("")
	if ways := xnc.Readings(got[at].data, f.drillOptions()); !slices.ContainsFunc(ways, func(o xnc.Options) bool { return o.Unit != ways[0].Unit }) {
		unit = ways[0].Unit
	}
	var found []toolSource
	for i, g := range r.Files {
		if i == at || named != "" && !matches(named, g.Name) {
			continue
		}
		text := g.Kind == OtherFile || g.Kind == DrillFile && (g.Err != nil || len(g.Drilling.Holes)+len(g.Drilling.Routs) == 0)
		if !text {
			continue
		}
		if l, ok := xnc.ReadToolList(got[i].data, unit); ok && listsAll(l, missing) {
			found = append(found, toolSource{i, l})
		}
	}
	if near := r.ofTheSameName(f, found, got); len(near) > 0 {
		found = near
	}
	found = slices.CompactFunc(found, func(a, b toolSource) bool { return slices.Equal(a.list.Tools, b.list.Tools) })
	var fault *format.Fault
	if !errors.As(f.Err, &fault) {
		return
	}
	refuse := func(do string) {
		longer := *fault
		longer.Do = do
		f.Err = &longer
	}
	switch {
	case named != "" && len(found) == 0:
		refuse(fmt.Sprintf("tool_list = %q in the recipe means no text that lists tool %d and the others it lacks, one a line, such as T%d 0.5 mm", named, missing[0], missing[0]))
		return
	case len(found) == 0:
		refuse(fault.Do + fmt.Sprintf("; or put a text beside it that lists its tools, one a line, such as T%d 0.5 mm", missing[0]))
		return
	case len(found) > 1:
		var names []string
		for _, s := range found {
			names = append(names, r.Files[s.at].Name)
		}
		refuse(fmt.Sprintf("%s list its tools, with different diameters: say in the recipe which one counts:\n  drill %q {\n    tool_list = %q\n  }", list(names), f.Name, names[0]))
		return
	}
	src := found[0]
	opt := f.drillOptions()
	opt.Tools = src.list.Tools
	d, rep, err := xnc.Read(f.Name, got[at].data, opt)
	if err != nil {
		f.Err = err
		return
	}
	f.listed = opt.Tools
	f.takeDrill(d, rep)
	for _, w := range rep.Warnings {
		f.doubt(w)
	}
	g := r.Files[src.at]
	lists[src.at] = true
	g.Ignored, g.Use = "", "tool list of "+f.Name
	r.find("tool-list-taken", pipeline.Note, fmt.Sprintf("%s has no diameters: they are taken from %s", f.Name, g.Name))
	if s := otherCounts(d, src.list); s != "" {
		r.find("tool-list-differs", pipeline.Warning, fmt.Sprintf("%s, the tool list of %s, counts otherwise: %s", g.Name, f.Name, s))
	}
}

// listsAll tells whether a list has all of these tools.
func listsAll(l xnc.ToolList, missing []int) bool {
	for _, n := range missing {
		if !slices.ContainsFunc(l.Tools, func(t xnc.ListedTool) bool { return t.Number == n }) {
			return false
		}
	}
	return true
}

// ofTheSameName keeps the lists that bear the drill file's name or speak of it.
func (r *Result) ofTheSameName(f *File, in []toolSource, got []gathered) []toolSource {
	stem := func(name string) string {
		return strings.ToLower(strings.TrimSuffix(path.Base(name), path.Ext(name)))
	}
	var out []toolSource
	for _, s := range in {
		if stem(r.Files[s.at].Name) == stem(f.Name) {
			out = append(out, s)
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, s := range in {
		if strings.Contains(strings.ToLower(string(got[s.at].data)), strings.ToLower(path.Base(f.Name))) {
			out = append(out, s)
		}
	}
	return out
}

// otherCounts tells where a tool list counts other holes than the file has.
func otherCounts(d *artwork.Drilling, l xnc.ToolList) string {
	n := map[int]int{}
	for _, h := range d.Holes {
		n[d.Tools[h.Tool].Number]++
	}
	for _, s := range d.Routs {
		n[d.Tools[s.Tool].Number]++
	}
	var out []string
	for i, t := range l.Tools {
		if c := l.Holes[i]; c >= 0 && c != n[t.Number] && len(out) < 5 {
			out = append(out, fmt.Sprintf("%s of tool %d, the file has %d", counted(c, "hole"), t.Number, n[t.Number]))
		}
	}
	return list(out)
}
