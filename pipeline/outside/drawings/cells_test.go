package drawings

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// A figure of a cell; what stands behind "±", and what in square brackets, which is in inches.
var (
	cellFigure   = regexp.MustCompile(`-?\d+(?:\.\d+)?`)
	cellWithin   = regexp.MustCompile(`±\s*(\d+(?:\.\d+)?)`)
	cellBrackets = regexp.MustCompile(`\[[^]]*\]`)
	cellStep     = regexp.MustCompile(`every\s.*$`) // of copies in a row: told by where the first and the last stand
)

// cellFaults holds what the cells of tables say that they state against panel.json, and gives what they state. A cell in
// several lines is several texts with the same facts.
func cellFaults(p panelFile, c cadFile) (out []string, seen map[drawing.Fact]int) {
	seen = map[drawing.Fact]int{}
	var keys []string
	cells := map[string]*stated{}
	for _, t := range c.Cells {
		key := fmt.Sprintf("%q", t.Facts)
		if x, ok := cells[key]; ok {
			x.Text += " " + t.Text
			continue
		}
		keys = append(keys, key)
		x := t
		cells[key] = &x
	}
	for _, k := range keys {
		x := cells[k]
		out = append(out, p.cellFaults(x.Text, x.Facts)...)
		for _, f := range x.Facts {
			if len(f) != 2 {
				continue
			}
			fact := drawing.Fact{Feature: f[0], What: f[1]}
			if seen[fact]++; seen[fact] == 2 {
				out = append(out, fmt.Sprintf("tables state %s of %s twice, once in %q", fact.What, fact.Feature, x.Text))
			}
		}
	}
	return out, seen
}

// cellFaults holds one cell's words: each of its figures must be one of the facts', and each fact's one of the figures.
func (p panelFile) cellFaults(text string, facts [][]string) (out []string) {
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	plain := cellStep.ReplaceAllString(text, "")
	inches := strings.Join(cellBrackets.FindAllString(plain, -1), " ")
	plain = cellBrackets.ReplaceAllString(plain, "")
	figures := cellFigure.FindAllString(cellWithin.ReplaceAllString(plain, ""), -1)
	brackets := cellFigure.FindAllString(cellWithin.ReplaceAllString(inches, ""), -1)
	if len(brackets) > 0 && len(brackets) != len(figures) {
		add("the cell %q has %d figures, and %d in inches", text, len(figures), len(brackets))
		return out
	}
	used := make([]bool, len(figures))
	for _, f := range facts {
		if len(f) != 2 {
			add("the cell %q states %q, which is no feature and what of it", text, f)
			continue
		}
		want, err := p.value(f[0], f[1])
		if err != nil {
			add("the cell %q: %v", text, err)
			continue
		}
		angle := f[1] == "included_angle" || f[1] == "rotation" || f[1] == "along"
		found := false
		for i, n := range figures {
			same := figureIs(n, want)
			switch {
			case angle:
				v, err := strconv.ParseFloat(n, 64)
				off := int64(v*1e6) - want
				// An edge's direction is told to a tenth of a degree, and a whole turn is none.
				within := map[bool]int64{true: 50_000, false: 0}[f[1] == "along"]
				off = (off%360_000_000 + 360_000_000) % 360_000_000
				same = err == nil && min(off, 360_000_000-off) <= within && strings.Contains(text, n+"°")
			case len(brackets) > 0:
				same = same && figureIs(brackets[i], want) && strings.Contains(brackets[i], ".")
			}
			if same {
				used[i], found = true, true
			}
		}
		if !found {
			add("%s of %s is %s by panel.json; the table says %q", f[1], f[0], geom.Length(want).Decimal(), text)
		}
		if m := cellWithin.FindStringSubmatch(plain); m != nil && f[1] == "remaining_web" {
			if w, err := p.value(f[0], "web_tolerance"); err != nil || !figureIs(m[1], w) {
				add("web_tolerance of %s is %s by panel.json; the table says %q", f[0], geom.Length(w).Decimal(), text)
			}
		}
	}
	if i := slices.Index(used, false); i >= 0 && len(out) == 0 {
		add("the table says %q, where %s is nothing that it states", text, figures[i])
	}
	return out
}

// figureIs tells whether a figure is a value in millimetres with three decimals at most, or in inches with four.
func figureIs(n string, value int64) bool {
	_, ok := says(n, value, false)
	return ok
}

// requiredCells lists what tables must state: where each tab stands, how far each score line goes, where the copies stand
// when each has a row of its own, and the tooling holes' diameters.
func (p panelFile) requiredCells() (out []need) {
	one := func(feature string, what ...string) {
		for _, w := range what {
			out = append(out, need{what: w + " of " + feature + " in a table", any: [][]drawing.Fact{{{Feature: feature, What: w}}}})
		}
	}
	for _, t := range p.Tabs {
		one(t.ID, "x", "y")
	}
	for _, s := range p.Scores {
		one(s["id"].(string), "from", "to")
	}
	if len(p.Copies) <= 24 {
		for _, c := range p.Copies {
			one(c.ID, "x", "y", "rotation")
		}
	}
	return append(out, p.ofMarks("tooling_hole", "the tooling holes", "diameter")...)
}
