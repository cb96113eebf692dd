package intake

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// squareMM writes an area in nm² as mm², to a thousandth, without trailing zeros.
func squareMM(nm2 float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.3f", nm2/1e12), "0"), ".")
}

func (f *Figure) summary() *FigureSummary {
	if f == nil {
		return nil
	}
	return &FigureSummary{roundedUM(float64(f.Size)).Decimal(), roundedUM(float64(f.At.X)).Decimal(), roundedUM(float64(f.At.Y)).Decimal()}
}

// Words says a figure with its place.
func (f *Figure) Words() string {
	t := f.summary()
	return fmt.Sprintf("%s mm at (%s, %s)", t.Size, t.X, t.Y)
}

// words says a figure with its place, for a table.
func (f *FigureSummary) words() string {
	if f == nil {
		return "none found"
	}
	return fmt.Sprintf("%s at (%s, %s)", f.Size, f.X, f.Y)
}

// byTool counts holes and slots by diameter.
func byTool(d *artwork.Drilling) []ToolSummary {
	type count struct{ holes, slots int }
	by := map[geom.Length]*count{}
	var sizes []geom.Length
	of := func(tool int32) *count {
		w := d.Tools[tool].Diameter
		if by[w] == nil {
			by[w] = &count{}
			sizes = append(sizes, w)
		}
		return by[w]
	}
	for _, h := range d.Holes {
		of(h.Tool).holes++
	}
	for _, s := range d.Routs {
		of(s.Tool).slots++
	}
	slices.Sort(sizes)
	out := []ToolSummary{}
	for _, w := range sizes {
		out = append(out, ToolSummary{w.Decimal(), by[w].holes, by[w].slots})
	}
	return out
}

// aligned lays rows out in columns.
func aligned(rows [][]string) []string {
	var width []int
	for _, r := range rows {
		for i, c := range r {
			if i == len(width) {
				width = append(width, 0)
			}
			if i+1 < len(r) || len(r) == len(rows[0]) { // what ends a short row runs on
				width[i] = max(width[i], utf8.RuneCountInString(c))
			}
		}
	}
	var out []string
	for _, r := range rows {
		var b strings.Builder
		for i, c := range r {
			b.WriteString(c)
			if i+1 < len(r) {
				b.WriteString(strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+2))
			}
		}
		out = append(out, strings.TrimRight(b.String(), " "))
	}
	return out
}

// revisionInName finds what looks like a revision in a file's name: "rev C", "Rev_M", "v0.3.7".
var revisionInName = format.Pattern(`(?:^|[^A-Za-z0-9]|[a-z0-9])((?i:rev(?:ision)?)[ _.-]?(?:[A-Z]|[0-9]+(?:\.[0-9]+)*)|[vV][0-9]+(?:\.[0-9]+)*)(?:[^A-Za-z0-9]|[A-Z][a-z]|$)`)

// marks lists who says what of project and revision: attributes and job files as they stand, then what
// names look like.
func (r *Result) marks() []MarkSummary {
	type mark struct{ project, revision, by string }
	files := map[mark][]string{}
	var order []mark
	add := func(m mark, file string) {
		if files[m] == nil {
			order = append(order, m)
		}
		files[m] = append(files[m], file)
	}
	for _, f := range r.Files {
		if f.Ignored != "" || f.Err != nil {
			continue
		}
		if p := f.project; p.name != "" || p.revision != "" {
			by := "the attribute .ProjectId of "
			if f.Kind == JobFile {
				by = "the job file "
			}
			add(mark{p.name, p.revision, by}, f.Name)
		}
		if hit := revisionInName().FindStringSubmatch(path.Base(f.Name)); hit != nil {
			add(mark{"", hit[1], "the name of "}, f.Name)
		}
	}
	slices.SortStableFunc(order, func(a, b mark) int { return -cmp.Compare(a.by, b.by) })
	out := []MarkSummary{}
	for _, m := range order {
		n := files[m]
		if len(n) > 3 {
			n = append(n[:2:2], counted(len(n)-2, "other file"))
		}
		out = append(out, MarkSummary{m.project, m.revision, m.by + list(n)})
	}
	return out
}
