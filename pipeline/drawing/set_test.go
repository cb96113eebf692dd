package drawing

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// words are of all kinds that a drawing may have to set.
var someWords = []string{"web", "0.5", "Ø0.381", "±0.076", "tab/upper/2", "RG-1042", "Пластина", "Ναυπλιο", "Überfallwehrpegel", "ÅÅ",
	strings.Repeat("W", 60), "gauges.A1/tab/upper/12/hole/5", "i", "1.0000", "[1.0000]", "a-very-long-word-with-hyphens-in-it-that-goes-on", "x", "", "the", "of"}

func sentence(r *rand.Rand, most int) string {
	var w []string
	for range r.IntN(most + 1) {
		w = append(w, someWords[r.IntN(len(someWords))])
	}
	return strings.Join(w, " ")
}

// overlap gives two texts of a sheet that lie over one another.
func overlap(texts []Text) string {
	boxes := make([]geom.Box, len(texts))
	for i, a := range texts {
		boxes[i] = a.Box()
		for k, b := range texts[:i] {
			x, y := boxes[i], boxes[k]
			if x.Min.X < y.Max.X && y.Min.X < x.Max.X && x.Min.Y < y.Max.Y && y.Min.Y < x.Max.Y {
				return fmt.Sprintf("%q at %v and %q at %v", a.S, x, b.S, y)
			}
		}
	}
	return ""
}

func requireTidy(t *testing.T, p Sheet, room geom.Point) {
	t.Helper()
	require.Equal(t, geom.Point{}, p.Box.Min)
	require.LessOrEqual(t, p.Box.Max.X, room.X)
	require.LessOrEqual(t, p.Box.Max.Y, room.Y)
	require.Empty(t, overlap(p.Texts))
	for _, x := range p.Texts {
		require.True(t, p.Box.Holds(x.Box()), "%q at %v leaves %v", x.S, x.Box(), p.Box)
	}
	for _, x := range p.Shapes {
		for _, path := range x.Paths {
			require.True(t, p.Box.Holds(path.Box()), "a line at %v leaves %v", path.Box(), p.Box)
		}
	}
}

// said gives all letters of texts, spaces left out.
func said(pieces []Sheet) string {
	var b strings.Builder
	for _, p := range pieces {
		for _, x := range p.Texts {
			b.WriteString(strings.ReplaceAll(x.S, " ", ""))
		}
	}
	return b.String()
}

func TestWrap(t *testing.T) {
	h := 2500 * geom.UM
	wide := func(s string) geom.Length { return Width(s, h, false) }
	for _, c := range []struct {
		s     string
		width geom.Length
		want  []string
	}{
		{"", wide("abc"), nil},
		{"  \n ", wide("abc"), nil},
		{"one two", wide("one two"), []string{"one two"}},
		{"one two", wide("one two") - 1, []string{"one", "two"}},
		{"one\ntwo", wide("one two"), []string{"one", "two"}},
		{"a tollhouse b", wide("hous"), []string{"a", "tollh", "ouse", "b"}},
		{"gauge/upper/left", wide("gauge/uppe"), []string{"gauge/", "upper/left"}},
		{"WW", 0, []string{"W", "W"}},
		{"\xff\xfe", 0, []string{"\xff", "\xfe"}},
	} {
		assert.Equal(t, c.want, Wrap(c.s, c.width, h, false), "%q", c.s)
	}
}

func TestWrapLosesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for range 3000 {
		s, width, bold := sentence(r, 12), geom.Length(r.Int64N(int64(90*geom.MM))), r.IntN(2) == 0
		lines := Wrap(s, width, 2500*geom.UM, bold)
		require.Equal(t, strings.Join(strings.Fields(s), ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
		for _, l := range lines {
			require.NotEmpty(t, l)
			if len([]rune(l)) > 1 {
				require.LessOrEqual(t, Width(l, 2500*geom.UM, bold), width, l)
			}
		}
	}
}

func TestFit(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 7))
	cuts := 0
	for range 3000 {
		s, bold := sentence(r, 9), r.IntN(2) == 0
		room := geom.Pt(geom.Length(20+r.Int64N(60))*geom.MM, geom.Length(5+r.Int64N(15))*geom.MM)
		f := Fit(s, room, 3500*geom.UM, 1800*geom.UM, bold)
		require.LessOrEqual(t, Stack(len(f.Lines), f.Height), room.Y)
		for _, l := range f.Lines {
			require.LessOrEqual(t, Width(l, f.Height, bold), room.X)
		}
		if f.Cut {
			cuts++
			require.Equal(t, 1800*geom.UM, f.Height)
			require.True(t, strings.HasSuffix(f.Lines[len(f.Lines)-1], "…"))
			continue
		}
		require.Equal(t, strings.Join(strings.Fields(s), ""), strings.ReplaceAll(strings.Join(f.Lines, ""), " ", ""))
	}
	require.Positive(t, cuts)
	require.Less(t, cuts, 1500)
	one := Fit("Tide gauge", geom.Pt(80*geom.MM, 6*geom.MM), 3500*geom.UM, 1800*geom.UM, false)
	assert.Equal(t, Fitted{Lines: []string{"Tide gauge"}, Height: 3500 * geom.UM}, one)
}

func randomTable(r *rand.Rand) Table {
	t := Table{Name: "Holes"}
	n := 1 + r.IntN(7)
	for range n {
		t.Columns = append(t.Columns, Column{Head: sentence(r, 2), Align: []Align{Start, Middle, End, ""}[r.IntN(4)]})
	}
	for range r.IntN(40) {
		var row []Cell
		for range n - r.IntN(2) {
			c := Cell{S: sentence(r, 4)}
			if r.IntN(6) == 0 {
				c = Cell{Symbol: []Shape{{Layer: Holes, Pen: Narrow, Paths: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(-2*geom.MM, -2*geom.MM), Max: geom.Pt(2*geom.MM, 2*geom.MM)})}}}}
			}
			row = append(row, c)
		}
		t.Rows = append(t.Rows, row)
	}
	for range r.IntN(3) {
		t.Foot = append(t.Foot, sentence(r, 8))
	}
	return t
}

func TestTablesLoseNothingAndOverlapNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 7))
	s := Usual(Metric)
	set := 0
	for range 200 {
		x := randomTable(r)
		room := geom.Pt(geom.Length(30+r.Int64N(250))*geom.MM, geom.Length(25+r.Int64N(200))*geom.MM)
		pieces, ok := Pieces(x.Flow(), s, room)
		for _, p := range pieces {
			requireTidy(t, p, room)
		}
		if !ok {
			continue
		}
		set++
		var want strings.Builder
		symbols, drawn := 0, 0
		for _, row := range x.Rows {
			for _, c := range row {
				want.WriteString(strings.Join(strings.Fields(c.S), ""))
				symbols += len(c.Symbol)
			}
		}
		for _, l := range x.Foot {
			want.WriteString(strings.Join(strings.Fields(l), ""))
		}
		heads := ""
		for _, c := range x.Columns {
			heads += strings.Join(strings.Fields(c.Head), "")
		}
		got := ""
		for i, p := range pieces {
			all := said(pieces[i : i+1])
			all = strings.TrimPrefix(all, strings.ReplaceAll(continued(x.Name, i), " ", ""))
			if len(p.Shapes) > 0 { // not a foot alone
				require.True(t, strings.HasPrefix(all, heads), "each part has its heads")
				all = strings.TrimPrefix(all, heads)
			}
			got += all
			for _, q := range p.Shapes {
				if q.Layer == Holes {
					drawn++
				}
			}
		}
		require.Equal(t, want.String(), got)
		require.Equal(t, symbols, drawn)
	}
	require.Greater(t, set, 75)
}

func TestTableSplits(t *testing.T) {
	x := Table{Name: "Copies", Columns: []Column{{Head: "copy"}, {Head: "x", Align: End}}, Foot: []string{"Origins of the boards' own files."}}
	for i := range 30 {
		x.Rows = append(x.Rows, []Cell{{S: fmt.Sprintf("A%d", i+1)}, {S: fmt.Sprint(i * 17)}})
	}
	pieces, ok := Pieces(x.Flow(), Usual(Metric), geom.Pt(100*geom.MM, 80*geom.MM))
	require.True(t, ok)
	var titles []string
	for _, p := range pieces {
		titles = append(titles, p.Texts[0].S)
	}
	assert.Equal(t, []string{"Copies", "Copies (continued)", "Copies (continued, part 3)"}, titles)
	_, ok = Pieces(x.Flow(), Usual(Metric), geom.Pt(100*geom.MM, 10*geom.MM))
	assert.False(t, ok, "no row has room")
	_, ok = Pieces(x.Flow(), Usual(Metric), geom.Pt(5*geom.MM, 80*geom.MM))
	assert.False(t, ok, "too narrow")
}

func TestNotesLoseNothingAndOverlapNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	s := Usual(Metric)
	set := 0
	for range 200 {
		n := NoteList{Name: "Notes"}
		for range r.IntN(25) {
			n.Lines = append(n.Lines, "S"+sentence(r, 30))
		}
		room := geom.Pt(geom.Length(30+r.Int64N(250))*geom.MM, geom.Length(20+r.Int64N(200))*geom.MM)
		pieces, ok := Pieces(n.Flow(), s, room)
		for _, p := range pieces {
			requireTidy(t, p, room)
		}
		if !ok {
			continue
		}
		set++
		var numbers, want []string
		for i, l := range n.Lines {
			numbers = append(numbers, fmt.Sprintf("%d.", i+1))
			want = append(want, strings.Join(strings.Fields(l), ""))
		}
		var gotNumbers []string
		got := ""
		for _, p := range pieces {
			for _, x := range p.Texts[1:] {
				if x.At.X == 0 {
					gotNumbers = append(gotNumbers, x.S)
					continue
				}
				got += strings.ReplaceAll(x.S, " ", "")
			}
		}
		require.True(t, slices.Equal(numbers, gotNumbers), "%v %v", numbers, gotNumbers)
		require.Equal(t, strings.Join(want, ""), got)
	}
	require.Greater(t, set, 100)
}

// TestShortEntriesStayWhole: where a table is squeezed its heads and long entries are broken, not its figures.
func TestShortEntriesStayWhole(t *testing.T) {
	x := Table{Name: "Score lines", Columns: []Column{{Head: "Depth each face"}, {Head: "Lies at"}, {Head: "What it is for"}},
		Rows: [][]Cell{{{S: "0.65"}, {S: "x 102.001"}, {S: "parts the boards of the left column from the rail beside them"}}}}
	p, rest, ok := x.Flow().Set(Usual(Metric), geom.Pt(75*geom.MM, 100*geom.MM))
	require.True(t, ok)
	require.Nil(t, rest)
	var all []string
	for _, q := range p.Texts {
		all = append(all, q.S)
	}
	assert.Contains(t, all, "x 102.001")
	assert.NotContains(t, all, "parts the boards of the left column from the rail beside them")
	_, _, ok = x.Flow().Set(Usual(Metric), geom.Pt(40*geom.MM, 100*geom.MM))
	assert.False(t, ok, "no room for the figures beside one another")
}
