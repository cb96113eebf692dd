package layout

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/drawingtest"
	"panelwright/pipeline/geom"
)

const um = geom.UM

// fakePiece is a box with a word in its middle.
func fakePiece(name string, width, height geom.Length) drawing.Sheet {
	b := geom.Box{Max: geom.Pt(width, height)}
	return drawing.Sheet{Name: name, Box: b,
		Shapes: []drawing.Shape{{Layer: drawing.Details, Pen: drawing.Narrow, Paths: []geom.Path{geom.Rectangle(b)}}},
		Texts:  []drawing.Text{{Layer: drawing.Details, S: name, At: geom.Pt(width/2, height/2), Height: 2500 * um, Align: drawing.Middle}}}
}

// fakePlan is a panel with room for dimensions round it.
func fakePlan(size geom.Point) func(drawing.Scale) (drawing.Sheet, int, error) {
	return func(s drawing.Scale) (drawing.Sheet, int, error) {
		return fakePiece("plan", s.On(size.X)+40*geom.MM, s.On(size.Y)+30*geom.MM), 0, nil
	}
}

func fakeTable(name string, rows int) drawing.Table {
	t := drawing.Table{Name: name, Columns: []drawing.Column{{Head: "copy"}, {Head: "x", Align: drawing.End}, {Head: "y", Align: drawing.End}, {Head: "board"}}}
	for i := range rows {
		t.Rows = append(t.Rows, []drawing.Cell{{S: fmt.Sprintf("%s%d", name[:1], i+1)}, {S: fmt.Sprintf("%d.25", i*41)}, {S: fmt.Sprint(7 * i)}, {S: "gauge, RG-1042 C"}})
	}
	return t
}

func fakeNotes(n int) drawing.NoteList {
	l := drawing.NoteList{Name: "Notes"}
	for i := range n {
		l.Lines = append(l.Lines, strings.Repeat(fmt.Sprintf("Sentence %d of what a fabricator has to know about this panel before cutting it. ", i), 1+i%3))
	}
	return l
}

var block = Block{Owner: "Weir & Staff Instruments", Number: "RG-1042-P12", Revision: "C", Date: "2026-09-01", Language: "en", Title: "River gauge, panel of 12",
	Supplement: "12 x gauge, RG-1042 revision C", Department: "Hydrometry", Reference: "A. Sluice", Approver: "B. Weir", Creator: "C. Ford", Type: "Fabrication drawing",
	Classification: "panel, perforated tabs", Status: "released", Units: "mm", Tolerances: "±0.15 unless stated"}

var stamped = Stamp{Words: []string{"NOT FOR RELEASE", "DRAFT"}, Below: "Findings close the release gate: see report/findings.json. Do not build from this drawing."}

// requireTidy checks what holds for every sheet: no text over another, all within the frame or its border, nothing
// over block or stamp, pieces apart.
func requireTidy(t *testing.T, r Result) {
	t.Helper()
	for _, s := range r.Sheets {
		paper := geom.Box{Max: r.Size.Paper}
		require.Equal(t, paper, s.Box)
		require.Empty(t, drawingtest.Clashes(s))
		frame := r.Size.Frame()
		blockBox := r.Size.blockBox()
		texts := s.AllTexts()
		places := make([]geom.Box, len(texts))
		for i, a := range texts {
			x := a.Box()
			places[i] = x
			require.True(t, paper.Holds(x), "sheet %s: %q leaves the sheet", s.Name, a.S)
			if a.Layer != drawing.Frame && (!frame.Holds(x) || blockBox.Overlaps(x)) {
				t.Fatalf("sheet %s: %q leaves the frame or stands on the block", s.Name, a.S)
			}
			for k, y := range places[:i] {
				if x.Min.X < y.Max.X && y.Min.X < x.Max.X && x.Min.Y < y.Max.Y && y.Min.Y < x.Max.Y {
					t.Fatalf("sheet %s: %q at %v and %q at %v", s.Name, a.S, x, texts[k].S, y)
				}
			}
		}
		var boxes []geom.Box
		for _, x := range s.Shapes {
			if x.Layer != drawing.Details {
				continue
			}
			b := x.Paths[0].Box()
			require.True(t, frame.Grow(-inset).Holds(b))
			require.False(t, b.Overlaps(blockBox.Grow(apart-1)))
			for _, o := range boxes {
				require.False(t, o.Grow(apart-1).Overlaps(b), "pieces overlap")
			}
			boxes = append(boxes, b)
		}
	}
}

func TestRandomPieces(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 7))
	sheets := 0
	for range 40 {
		mm := func(least, more int64) geom.Length { return geom.Length(least+r.Int64N(more)) * geom.MM }
		in := Input{Style: drawing.Usual([]drawing.Units{drawing.Metric, drawing.Inch, drawing.Both}[r.IntN(3)]), Size: geom.Pt(mm(30, 300), mm(30, 250)), Block: block}
		in.Plan = fakePlan(in.Size)
		if r.IntN(2) == 0 {
			in.Stamp = stamped
		}
		var wanted []string
		for i := range r.IntN(12) {
			name := fmt.Sprintf("piece %d", i)
			w, h := mm(15, 120), mm(15, 120)
			in.Items = append(in.Items, Item{Name: name, Draw: func(_ drawing.Style, room geom.Point) drawing.Sheet {
				return fakePiece(name, min(w, room.X), min(h, room.Y))
			}})
			wanted = append(wanted, name)
		}
		for i := range r.IntN(4) {
			name := fmt.Sprintf("%c table", 'A'+i)
			rows := 1 + r.IntN(200)
			in.Items = append(in.Items, Item{Name: name, Flow: fakeTable(name, rows).Flow()})
			for k := range rows {
				wanted = append(wanted, fmt.Sprintf("%c%d", 'A'+i, k+1))
			}
		}
		in.Items = append(in.Items, Item{Name: "notes", Flow: fakeNotes(1 + r.IntN(30)).Flow()})
		got, err := Set(t.Context(), in)
		require.NoError(t, err)
		require.Empty(t, got.Left)
		requireTidy(t, got)
		said := map[string]int{}
		for _, s := range got.Sheets {
			for _, x := range s.AllTexts() {
				if x.Layer != drawing.Frame {
					said[x.S]++
				}
			}
		}
		for _, w := range append(wanted, "plan") {
			require.Equal(t, 1, said[w], "%s stands on the sheets once", w)
		}
		again, err := Set(t.Context(), in)
		require.NoError(t, err)
		require.Equal(t, got, again, "the same every time")
		sheets += len(got.Sheets)
	}
	assert.Less(t, sheets, 40*6, "sheets are used well")
}

func TestEverySize(t *testing.T) {
	for _, name := range SizeNames() {
		t.Run(name, func(t *testing.T) {
			in := Input{Style: drawing.Usual(drawing.Metric), Sheet: name, Size: geom.Pt(90*geom.MM, 60*geom.MM), Block: block, Stamp: stamped,
				Items: []Item{{Name: "Copies", Flow: fakeTable("Copies", 12).Flow()}, {Name: "notes", Flow: fakeNotes(14).Flow()}}}
			in.Plan = fakePlan(in.Size)
			got, err := Set(t.Context(), in)
			require.NoError(t, err)
			assert.Equal(t, name, got.Size.Name)
			assert.Empty(t, got.Left)
			requireTidy(t, got)
		})
	}
}

func TestFrames(t *testing.T) {
	for _, c := range []struct {
		size    int
		name    string
		frame   geom.Point // the drawing space, in micrometres
		columns string     // from left to right
		rows    string     // from below upwards
	}{
		// ISO 5457's drawing spaces and fields, from memory.
		{0, "A4", geom.Pt(180_000, 277_000), "1234", "FEDCBA"},
		{2, "A3", geom.Pt(390_000, 277_000), "12345678", "FEDCBA"},
		{3, "A2", geom.Pt(564_000, 400_000), "1 2 3 4 5 6 7 8 9 10 11 12", "HGFEDCBA"},
		// ASME Y14.1's, from memory.
		{5, "ANSI A", geom.Pt(260_096, 203_200), "21", "AB"},
		{6, "ANSI B", geom.Pt(400_304, 260_096), "4321", "AB"},
		{7, "ANSI C", geom.Pt(533_400, 393_700), "4321", "ABCD"},
	} {
		s := Sizes()[c.size]
		f := s.Frame()
		assert.Equal(t, c.name, s.Name)
		assert.Equal(t, c.frame, geom.Pt(f.Width()/um, f.Height()/um), c.name)
		b := s.border(nil)
		var below, left []string
		for _, x := range b.Texts {
			switch {
			case x.At.Y < f.Min.Y:
				below = append(below, x.S)
			case x.At.X < f.Min.X:
				left = append(left, x.S)
			}
		}
		if strings.Contains(c.columns, " ") {
			assert.Equal(t, strings.Fields(c.columns), below, c.name)
		} else {
			assert.Equal(t, c.columns, strings.Join(below, ""), c.name)
		}
		assert.Equal(t, c.rows, strings.Join(left, ""), c.name)
		assert.GreaterOrEqual(t, f.Width(), geom.Length(blockWidth), "the block has room on %s", c.name)
	}
	a4 := Sizes()[0]
	assert.Equal(t, a4.Frame().Min.X, a4.blockBox().Min.X, "on an upright A4 sheet the block fills the width")
}

func TestChoice(t *testing.T) {
	mm := func(x, y geom.Length) geom.Point { return geom.Pt(x*geom.MM, y*geom.MM) }
	for _, c := range []struct {
		name         string
		size         geom.Point
		units        drawing.Units
		sheet, scale string
		want         string // size and scale, or an error
	}{
		{"small", mm(60, 50), drawing.Metric, "", "", "A4 2:1"},
		{"usual", mm(200, 120), drawing.Metric, "", "", "A3 1:1"},
		{"large", mm(400, 250), drawing.Metric, "", "", "A2 1:1"},
		{"very large", mm(500, 400), drawing.Metric, "", "", "A2 1:2"},
		{"in inches", mm(200, 120), drawing.Inch, "", "", "ANSI B 1:1"},
		{"sheet given", mm(200, 120), drawing.Metric, "A4", "", "A4 1:2"},
		{"sheet of the other series", mm(200, 120), drawing.Metric, "ANSI C", "", "ANSI C 2:1"},
		{"scale given", mm(200, 120), drawing.Metric, "", "1:2", "A4 1:2"},
		{"both given", mm(200, 120), drawing.Metric, "A2", "1:1", "A2 1:1"},
		{"scale too large", mm(200, 120), drawing.Metric, "A4", "1:1",
			"scale leaves no room on a sheet of size A4 for the plan of the panel at 1:1, which takes up 240 x 150 mm with its dimensions; what would do: scale 1:2, or sheet A3"},
		{"scale too large for any", mm(200, 120), drawing.Metric, "", "10:1",
			"scale leaves no room on any sheet for the plan of the panel at 10:1, which takes up 2040 x 1230 mm with its dimensions; what would do: scale 2:1 on a sheet of size A2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := Input{Style: drawing.Usual(c.units), Sheet: c.sheet, Size: c.size, Plan: fakePlan(c.size), Block: block}
			if c.scale != "" {
				i := slices.IndexFunc(Scales(), func(s drawing.Scale) bool { return s.String() == c.scale })
				require.GreaterOrEqual(t, i, 0)
				in.Scale = Scales()[i]
			}
			got, err := Set(t.Context(), in)
			if err != nil {
				var no *ErrNoRoom
				require.ErrorAs(t, err, &no)
				assert.Equal(t, c.want, no.What+" "+no.Words)
				return
			}
			assert.Equal(t, c.want, got.Size.Name+" "+got.Scale.String())
		})
	}
	in := Input{Style: drawing.Usual(drawing.Metric), Size: mm(100, 100), Plan: func(drawing.Scale) (drawing.Sheet, int, error) {
		return drawing.Sheet{}, 0, errors.New("no outline")
	}}
	_, err := Set(t.Context(), in)
	assert.EqualError(t, err, "the plan cannot be drawn: no outline")
}

// TestLeastMissing: what finds no room at full size is a reason for a larger sheet, and for no smaller scale on a given one.
func TestLeastMissing(t *testing.T) {
	size := geom.Pt(90*geom.MM, 60*geom.MM)
	plain := fakePlan(size)
	for _, c := range []struct {
		sheet, want string
		missing     func(s string) int
	}{
		{"", "A4 1:1", func(string) int { return 0 }},
		{"", "A3 2:1", func(s string) int { return map[string]int{"1:1": 3, "1:2": 5}[s] }},
		{"A4", "A4 1:1", func(s string) int {
			if s == "1:1" {
				return 3
			}
			return 5
		}},
		{"A4", "A4 1:2", func(s string) int { return map[string]int{"1:1": 3}[s] }},
		{"", "A4 1:1", func(string) int { return 2 }},
	} {
		in := Input{Style: drawing.Usual(drawing.Metric), Sheet: c.sheet, Size: size, Block: block, Plan: func(s drawing.Scale) (drawing.Sheet, int, error) {
			p, _, err := plain(s)
			return p, c.missing(s.String()), err
		}}
		got, err := Set(t.Context(), in)
		require.NoError(t, err)
		assert.Equal(t, c.want, got.Size.Name+" "+got.Scale.String())
	}
}

func TestBlock(t *testing.T) {
	long := strings.Repeat("Überfallwehrpegel für Nebenflüsse, ", 12)
	for _, c := range []struct {
		name string
		b    Block
		cut  bool
	}{
		{"usual", block, false},
		{"empty", Block{}, false},
		{"Greek", Block{Owner: "Όργανα Στάθμης Ποταμού και Παλίρροιας", Title: "Πλακέτα μετρητή στάθμης, πάνελ δώδεκα τεμαχίων", Supplement: "Αναθεώρηση Γ", Approver: "Λ. Παπαδοπούλου-Καραγιάννη",
			Department: "Υδρομετρία", Number: "ΡΓ-1042"}, false},
		{"Cyrillic", Block{Owner: "Приборы уровня рек и приливов", Title: "Плата уровнемера, заготовка на двенадцать штук", Approver: "Щ. Водомерова-Прибрежная", Status: "чертёж", Number: "РГ-1042"}, false},
		{"long", Block{Owner: long, Title: long, Supplement: long, Approver: long, Creator: long, Number: strings.Repeat("RG-1042", 20), Revision: long, Date: long, Units: long, Tolerances: long, Department: long, Reference: long, Type: long, Status: long, Classification: long, Language: long}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			at := geom.Pt(20*geom.MM, 10*geom.MM)
			got, cut := c.b.draw(at, "1:2", "ANSI B", "12/14")
			assert.Equal(t, c.cut, len(cut) > 0, "%v", cut)
			cells := c.b.cells("1:2", "ANSI B", "12/14")
			total := geom.Length(0)
			for _, x := range cells {
				total += x.width * x.height
			}
			assert.Equal(t, geom.Length(180*50), total, "the cells fill the block")
			for i, x := range got.Texts {
				_, lacks := drawing.Lacks(x.S)
				assert.False(t, lacks, x.S)
				in := 0
				for _, c := range cells {
					if (geom.Box{Max: geom.Pt(c.width*geom.MM, c.height*geom.MM)}).Move(geom.Pt(c.x*geom.MM, c.y*geom.MM)).Move(at).Holds(x.Box()) {
						in++
					}
				}
				assert.Equal(t, 1, in, "%q stands in one cell: %v", x.S, x.Box())
				for _, y := range got.Texts[:i] {
					assert.False(t, x.Box().Overlaps(y.Box()), "%q and %q", x.S, y.S)
				}
			}
		})
	}
}

func TestStampIsOnEverySheet(t *testing.T) {
	in := Input{Style: drawing.Usual(drawing.Metric), Size: geom.Pt(100*geom.MM, 80*geom.MM), Block: block, Stamp: stamped, Sheet: "A4",
		Items: []Item{{Name: "Copies", Flow: fakeTable("Copies", 150).Flow()}}}
	in.Plan = fakePlan(in.Size)
	got, err := Set(t.Context(), in)
	require.NoError(t, err)
	require.Greater(t, len(got.Sheets), 2)
	for i, s := range got.Sheets {
		var words []string
		for _, x := range s.Texts {
			if x.Layer == drawing.Stamp && x.Bold {
				words = append(words, x.S)
				assert.GreaterOrEqual(t, x.Height, 6*geom.MM, "large")
			}
		}
		assert.Equal(t, stamped.Words, words)
		assert.True(t, slices.ContainsFunc(s.Texts, func(x drawing.Text) bool { return x.S == fmt.Sprintf("%d/%d", i+1, len(got.Sheets)) }))
	}
	in.Stamp = Stamp{}
	without, err := Set(t.Context(), in)
	require.NoError(t, err)
	notStamp := func(texts []drawing.Text) []drawing.Text {
		return slices.DeleteFunc(slices.Clone(texts), func(x drawing.Text) bool { return x.Layer == drawing.Stamp })
	}
	for i, s := range without.Sheets {
		assert.Equal(t, s.Texts, notStamp(s.Texts))
		assert.Equal(t, s.Texts, notStamp(got.Sheets[i].Texts), "all else stands where it stood with the stamp")
	}
}

func TestWhatHasNoRoomIsTold(t *testing.T) {
	in := Input{Style: drawing.Usual(drawing.Metric), Size: geom.Pt(100*geom.MM, 80*geom.MM), Block: block, Sheet: "A4",
		Items: []Item{{Name: "detail A", Draw: func(drawing.Style, geom.Point) drawing.Sheet { return fakePiece("A", 500*geom.MM, 20*geom.MM) }},
			{Name: "table Words", Flow: drawing.Table{Name: "Words", Columns: []drawing.Column{{Head: "w"}}, Rows: [][]drawing.Cell{{{S: strings.Repeat("word ", 5000)}}}}.Flow()}}}
	in.Plan = fakePlan(in.Size)
	in.Block.Title = strings.Repeat("Long title ", 30)
	got, err := Set(t.Context(), in)
	require.NoError(t, err)
	var said []string
	for _, l := range got.Left {
		said = append(said, l.What+" "+l.Why)
	}
	assert.Equal(t, []string{
		"detail A takes up 500 x 20 mm at the least, more than a sheet of size A4 has room for; choose a larger sheet",
		"table Words has a line that is larger than a sheet of size A4 has room for; choose a larger sheet",
		"the title block's field Title is longer than the field and is cut short; shorten it",
	}, said)
	assert.Len(t, got.Sheets, 1)
}

// TestWideDetails: a detail is drawn wide where that costs no sheet.
func TestWideDetails(t *testing.T) {
	// Drawn for a room, the detail is as wide as it is, by steps of 85 mm, and 60 mm high.
	detail := func(_ drawing.Style, room geom.Point) drawing.Sheet {
		return fakePiece("A", max(room.X/(85*geom.MM), 1)*85*geom.MM, 60*geom.MM)
	}
	for _, c := range []struct {
		name    string
		details int
		sheets  int
		width   geom.Length
	}{
		{"one", 1, 1, 170 * geom.MM},
		{"eight have room, and wide ones have not", 8, 1, 85 * geom.MM},
		{"nine need a second sheet in any case", 9, 2, 170 * geom.MM},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := Input{Style: drawing.Usual(drawing.Metric), Size: geom.Pt(150*geom.MM, 80*geom.MM), Block: block, Sheet: "A3", Scale: drawing.Scale{Paper: 1, Real: 1}}
			in.Plan = fakePlan(in.Size)
			for range c.details {
				in.Items = append(in.Items, Item{Name: "detail", Draw: detail})
			}
			got, err := Set(t.Context(), in)
			require.NoError(t, err)
			requireTidy(t, got)
			require.Equal(t, c.sheets, len(got.Sheets))
			var widths []geom.Length
			for _, s := range got.Sheets {
				for _, x := range s.Shapes {
					if b := x.Paths[0].Box(); x.Layer == drawing.Details && b.Height() == 60*geom.MM {
						widths = append(widths, b.Width())
					}
				}
			}
			require.Len(t, widths, c.details)
			assert.Equal(t, c.width, widths[0])
		})
	}
}
