package centroid

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/format"
)

// nameless recognizes a table without header line by what its columns hold. When it is a table and
// yet not clear which column is which, doubt says why.
func (t layout) nameless() (layout, bool) {
	if len(t.rows) == 0 {
		return t, false
	}
	if u, ok := t.usualOrder(); ok {
		return u, true
	}
	for _, sep := range []byte{'\t', ';', '|', ',', 0} {
		u := t
		u.sep = sep
		u.header = noHeader()
		if cols, ok := u.columnwise(); ok && u.infer(cols) {
			return u, true
		}
	}
	return t, false
}

// usualOrder knows the one shape without header that is in wide use: name, x, y, rotation, value, package.
func (t layout) usualOrder() (layout, bool) {
	t.sep = '\t'
	for _, l := range t.rows {
		if !strings.Contains(l.text, "\t") {
			t.sep = 0
		}
	}
	t.header = noHeader()
	t.header.at[fRefdes], t.header.at[fX], t.header.at[fY], t.header.at[fRotation], t.header.at[fValue], t.header.at[fPackage] = 0, 1, 2, 3, 4, 5
	for _, l := range t.rows {
		c, bad := t.cut(l, nil)
		if len(c) < 5 || len(c) > 7 || c[0].text == "" || bad >= 0 {
			return t, false
		}
		for _, i := range []int{1, 2} {
			if _, _, ok := parseLength(c[i].text, "mm", marks{}); !ok {
				return t, false
			}
		}
		if _, _, ok := parseAngle(c[3].text, marks{}); !ok || c[3].text == "" {
			return t, false
		}
		if s, ok := side(c[4].text); ok && s != "" && len(t.rows) > 1 && len(c) > 5 {
			if _, number, _ := parseLength(c[4].text, "mm", marks{}); number == "" && c[4].text != "" && (c[4].text[0]|0x20) >= 'a' {
				return t, false // a side stands where the value should
			}
		}
	}
	t.header.note = "there is no header line: the columns are taken as name, x, y, rotation, value, package"
	return t, true
}

// columnwise gives the cells by columns, when every row has as many.
func (t layout) columnwise() ([][]string, bool) {
	const most = 40
	var cols [][]string
	for _, l := range t.rows {
		c, bad := t.cut(l, nil)
		if bad >= 0 {
			return nil, false
		}
		for len(c) > 0 && c[len(c)-1].text == "" {
			c = c[:len(c)-1]
		}
		if cols == nil {
			if len(c) < 4 || len(c) > most {
				return nil, false
			}
			cols = make([][]string, len(c))
		}
		if len(c) > len(cols) {
			if len(c) > most {
				return nil, false
			}
			for len(cols) < len(c) {
				cols = append(cols, make([]string, len(cols[0])))
			}
		}
		for i := range cols {
			s := ""
			if i < len(c) {
				s = c[i].text
			}
			cols[i] = append(cols[i], s)
		}
	}
	return cols, true
}

var (
	designator  = format.Pattern(`^[A-Za-z]{1,5}[0-9]{1,5}(?:[._-]?[A-Za-z0-9]{1,3})?$`)
	packageLike = format.Pattern(`(?i)(?:^|[^0-9])(?:01005|0201|0402|0603|0805|1206|1210|1812|2010|2512)(?:[^0-9]|$)|SOT|SOIC|SOP|QFN|QFP|BGA|DFN|SOD|DPAK|TO-?[0-9]|DIP|MELF|LGA|metric|HDR|conn|pin`)
	serial      = format.Pattern(`^[0-9]+$`)
)

// infer finds out which column holds what. It is false when the rows are no placement at all: a
// placement has a column of designators, each there once, and two of numbers with fractions.
func (t *layout) infer(cols [][]string) bool {
	n := len(cols[0])
	share := func(c int, is func(string) bool) float64 {
		k := 0
		for _, s := range cols[c] {
			if is(s) {
				k++
			}
		}
		return float64(k) / float64(n)
	}
	every := func(c int, is func(string) bool) bool {
		return !slices.ContainsFunc(cols[c], func(s string) bool { return !is(s) })
	}
	// Most texts are no placement, which the first rows show.
	named := func(c []string) bool {
		k := 0
		for _, s := range c[:min(n, 20)] {
			if designator().MatchString(s) {
				k++
			}
		}
		return 2*k >= min(n, 20)
	}
	if !slices.ContainsFunc(cols, named) {
		return false
	}
	var names, numbers, sides, texts []int
	fractions := 0
	for c := range cols {
		number := func(s string) bool { _, _, ok := parseLength(s, "mm", loose(s)); return ok }
		blank := func(s string) bool { return s == "" }
		lettered := func(s string) bool { v, ok := side(s); return ok && v != "" && (s[0]|0x20) >= 'a' }
		sorted := slices.Clone(cols[c])
		slices.Sort(sorted)
		unique := len(slices.Compact(sorted)) == n
		switch {
		case every(c, blank):
		case every(c, number):
			if unique && every(c, serial().MatchString) && c == 0 && n > 2 {
				break // row numbers
			}
			numbers = append(numbers, c)
			if share(c, func(s string) bool { return strings.ContainsAny(s, ".,") }) > 0.5 {
				fractions++
			}
		case every(c, lettered):
			sides = append(sides, c)
		case share(c, func(s string) bool { return designator().MatchString(s) }) >= 0.8 && unique:
			names = append(names, c)
		default:
			texts = append(texts, c)
		}
	}
	if len(names) == 0 || len(numbers) < 2 || fractions < 2 {
		return false
	}
	doubt := func(s string) bool {
		if t.doubt == "" {
			t.doubt = "there is no header line, and " + s
		}
		return true
	}
	angles := func(c int) bool {
		turn := func(s string) bool {
			a, _, ok := parseAngle(s, loose(s))
			return ok && a%(15_000_000) == 0
		}
		return every(c, turn)
	}
	t.at[fRefdes] = names[0]
	if len(names) > 1 {
		return doubt("several columns could be the designators")
	}
	if len(sides) > 1 {
		return doubt("several columns could be the side")
	}
	x := numbers
	switch {
	case len(x) == 2:
	case len(x) == 3 && angles(x[2]) && !angles(x[0]) && !angles(x[1]):
		t.at[fRotation] = x[2]
	case len(x) == 3 && angles(x[0]) && !angles(x[1]) && !angles(x[2]):
		t.at[fRotation] = x[0]
		x = x[1:]
	default:
		return doubt(fmt.Sprintf("which of the %d columns of numbers are x, y and rotation is not clear", len(x)))
	}
	if x[1] != x[0]+1 {
		return doubt("the columns of numbers do not stand side by side")
	}
	t.at[fX], t.at[fY] = x[0], x[1]
	if len(sides) == 1 {
		t.at[fSide] = sides[0]
	}
	packages := func(c int) float64 { return share(c, packageLike().MatchString) }
	switch {
	case len(texts) == 0:
	case len(texts) == 1 && packages(texts[0]) >= 0.5:
		t.at[fPackage] = texts[0]
	case len(texts) == 2 && packages(texts[0]) >= 0.5 && packages(texts[1]) < 0.2:
		t.at[fPackage], t.at[fValue] = texts[0], texts[1]
	case len(texts) == 2 && packages(texts[1]) >= 0.5 && packages(texts[0]) < 0.2:
		t.at[fPackage], t.at[fValue] = texts[1], texts[0]
	default:
		return doubt("which column is the value and which the package is not clear")
	}
	var said []string
	for _, w := range []struct {
		f    field
		name string
	}{{fRefdes, "name"}, {fX, "x"}, {fY, "y"}, {fRotation, "rotation"}, {fSide, "side"}, {fPackage, "package"}, {fValue, "value"}} {
		if c := t.at[w.f]; c >= 0 {
			said = append(said, fmt.Sprintf("%d %s", c+1, w.name))
		}
	}
	t.note = "there is no header line: the columns are taken as " + strings.Join(said, ", ")
	return true
}

// loose is how a number that stands alone is probably written; the table as a whole decides later.
func loose(s string) marks {
	e := weigh(s, false)
	return marks{comma: e == saysComma || e == saysEither || e == saysCommaGroups, groups: true}
}
