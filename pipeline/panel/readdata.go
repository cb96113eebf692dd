package panel

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"

	"panelwright/pipeline/geom"
)

// document is all that Data writes.
type document struct {
	Schema       int             `json:"schema"`
	Panel        string          `json:"panel"`
	Revision     string          `json:"revision"`
	Units        string          `json:"units"`
	Width        mm              `json:"width_mm"`
	Height       mm              `json:"height_mm"`
	Thickness    mm              `json:"thickness_mm"`
	CopperLayers int             `json:"copper_layers"`
	Outline      []edgeData      `json:"outline_mm"`
	CutOuts      [][]edgeData    `json:"cut_outs_mm"`
	Boards       []boardData     `json:"boards"`
	Copies       []copyData      `json:"copies"`
	Rails        []railData      `json:"rails"`
	Marks        []markData      `json:"marks"`
	Cutters      []mm            `json:"cutters_mm"`
	Slots        []slotData      `json:"slots"`
	Unreached    []unreachedData `json:"unreached"`
	Tabs         []tabData       `json:"tabs"`
	Perforations []holeData      `json:"perforations"`
	Scores       []scoreData     `json:"scores"`
	Blanks       []blankData     `json:"blanks"`
	Prints       []printData     `json:"prints"`
	XOut         *xOutData       `json:"x_out"`
	CopperShares []shareData     `json:"copper_shares"`
	Support      *supportData    `json:"support"`
	Laminate     []constantData  `json:"laminate"`
}

// ReadData makes the panel that Data wrote, from its text and the boards, read again from their own
// files: Data of the result gives the same text. A board that is not as the text says is an error, as
// is all that Data would not have written. What only the stages that shape a panel need is not in the
// text: copies come without array, column and row, rails without their gaps.
func ReadData(text []byte, boards []*Board) (p Panel, name, revision string, err error) {
	in := json.NewDecoder(bytes.NewReader(text))
	in.DisallowUnknownFields() // what is not understood would be lost
	var doc document
	if err := in.Decode(&doc); err != nil {
		return Panel{}, "", "", err
	}
	if _, err := in.Token(); !errors.Is(err, io.EOF) {
		return Panel{}, "", "", errors.New("something stands after the end of the panel")
	}
	if doc.Schema != DataSchema {
		return Panel{}, "", "", fmt.Errorf("its schema is %d, and this program reads schema %d", doc.Schema, DataSchema)
	}
	r := &reader{boards: map[string]*Board{}}
	for _, b := range boards {
		r.boards[b.Name] = b
	}
	p, err = r.panel(&doc)
	if err != nil {
		return Panel{}, "", "", err
	}
	again, err := p.Data(doc.Panel, doc.Revision)
	if err != nil {
		return Panel{}, "", "", err
	}
	if at := difference(again, text); at != "" {
		return Panel{}, "", "", fmt.Errorf("it is not what a build writes: %s", at)
	}
	return p, doc.Panel, doc.Revision, nil
}

// reader turns data into features and keeps the first mistake.
type reader struct {
	boards map[string]*Board
	err    error
}

func (r *reader) fail(format string, args ...any) {
	r.err = cmp.Or(r.err, fmt.Errorf(format, args...))
}

func (r *reader) panel(doc *document) (Panel, error) {
	b := Panel{}.Edit()
	b.d.outline = r.outline("the panel", doc.Outline, doc.CutOuts)
	for _, x := range doc.Boards {
		b.AddBoard(r.board(x))
	}
	for _, x := range doc.Copies {
		board := r.boards[x.Board]
		if board == nil {
			r.fail("copy %q is of a board %q, which is not listed", x.ID, x.Board)
			break
		}
		b.AddCopy(Copy{ID: x.ID, Board: board, Place: x.place()})
	}
	for _, x := range doc.Rails {
		b.claim(x.ID)
		b.d.rails = append(b.d.rails, x.rail())
	}
	for _, x := range doc.Marks {
		b.AddMark(x.mark())
	}
	for _, x := range doc.Cutters {
		b.d.cutters = append(b.d.cutters, geom.Length(x))
	}
	for _, x := range doc.Slots {
		b.AddSlot(Slot{ID: x.ID, Outline: r.outline(x.ID, x.Outer, x.CutOuts)})
	}
	for _, x := range doc.Unreached {
		b.AddUnreached(Unreached{ID: x.ID, Copy: x.Copy, At: x.At.point(), Radius: geom.Length(x.Radius), Outline: r.outline(x.ID, x.Outer, x.CutOuts)})
	}
	for _, x := range doc.Tabs {
		b.AddTab(r.tab(x))
	}
	for _, x := range doc.Perforations {
		b.AddPerforation(x.perforation())
	}
	for _, x := range doc.Scores {
		b.AddScore(x.score())
	}
	for _, x := range doc.Blanks {
		b.AddBlank(Blank{ID: x.ID, Copy: x.Copy, Outline: r.outline(x.ID, x.Outer, x.CutOuts)})
	}
	for _, x := range doc.Prints {
		b.AddPrint(r.print(x))
	}
	r.marks(b, doc)
	r.support(b, doc.Support, doc.Laminate)
	if r.err != nil {
		return Panel{}, r.err
	}
	return b.Build()
}

// board finds the board that x tells of, and makes sure that it is the same.
func (r *reader) board(x boardData) *Board {
	b := r.boards[x.Name]
	if b == nil {
		r.fail("board %q is not among the boards that were read again", x.Name)
		return &Board{Name: x.Name}
	}
	is := dataOfBoard(b)
	for i, was := range x.Sources {
		if i < len(is.Sources) && is.Sources[i] != was {
			r.fail("board %q is not as it was when the panel was built: its file %s differs", x.Name, was.Name)
		}
	}
	if !reflect.DeepEqual(is, x) {
		r.fail("board %q, read again, is not as it was when the panel was built", x.Name)
	}
	return b
}

func (x copyData) place() geom.Transform {
	return geom.Transform{Turn: geom.Angle(x.Rotation), Shift: geom.Pt(geom.Length(x.X), geom.Length(x.Y))}
}

func (x railData) rail() Rail {
	return Rail{ID: x.ID, Side: RailSide(strings.TrimPrefix(x.ID, "rail/")), Box: geom.Box{Min: x.Box[0].point(), Max: x.Box[1].point()}}
}

func (x markData) mark() Mark {
	m := Mark{ID: x.ID, Kind: MarkKind(x.Kind), At: x.At.point(), Diameter: geom.Length(x.Diameter), Sides: x.Sides}
	if x.Mask != nil && x.Clear != nil {
		m.Mask, m.Clear = geom.Length(*x.Mask), geom.Length(*x.Clear)
	}
	return m
}

func (x holeData) perforation() Perforation {
	return Perforation{ID: x.ID, Tab: x.Tab, Row: x.Row, Copy: x.Copy, At: x.At.point(), Diameter: geom.Length(x.Diameter)}
}

func (x scoreData) score() Score {
	return Score{ID: x.ID, From: x.From.point(), To: x.To.point(), RemainingWeb: geom.Length(x.RemainingWeb), Depth: geom.Length(x.Depth),
		IncludedAngle: geom.Angle(x.IncludedAngle), Leave: geom.Length(x.Leave), WebTolerance: geom.Length(x.WebTolerance),
		BladeOffsetTolerance: geom.Length(x.BladeOffset), PositionTolerance: geom.Length(x.Position), RunOut: x.RunOut.length(), BladeDiameter: x.BladeDiameter.length(), Source: x.Source}
}

func (r *reader) tab(x tabData) Tab {
	t := Tab{ID: x.ID, Copies: x.Copies, Rail: x.Rail, Width: geom.Length(x.Width), Feet: [2]geom.Point{x.Feet[0].point(), x.Feet[1].point()},
		Along: x.Along.point(), Pinned: x.Pinned}
	for _, y := range x.Rows {
		t.Rows = append(t.Rows, Row{Copies: y.Copies, Inset: geom.Length(y.Inset), Line: r.path(x.ID, y.Line),
			Web: geom.Length(y.Web), WorstWeb: geom.Length(y.WorstWeb), Shoulder: geom.Length(y.Shoulder), WorstShoulder: geom.Length(y.WorstShoulder),
			Stub: geom.Length(y.Stub), WorstStub: geom.Length(y.WorstStub)})
	}
	return t
}

// length is 0 for what is not there.
func (v *mm) length() geom.Length {
	if v == nil {
		return 0
	}
	return geom.Length(*v)
}

// outline reads closed paths.
func (r *reader) outline(of string, outer []edgeData, cutOuts [][]edgeData) geom.Outline {
	o := geom.Outline{Outer: r.path(of, outer)}
	for _, c := range cutOuts {
		o.CutOuts = append(o.CutOuts, r.path(of, c))
	}
	for _, p := range append([]geom.Path{o.Outer}, o.CutOuts...) {
		if len(p) > 0 && p[len(p)-1].To != p[0].From {
			r.fail("a contour of %s does not close: it ends at %v and begins at %v mm", of, p[len(p)-1].To, p[0].From)
		}
	}
	return o
}

// path reads edges that follow one another.
func (r *reader) path(of string, edges []edgeData) geom.Path {
	p := make(geom.Path, len(edges))
	for i, x := range edges {
		p[i] = geom.Line(x.From.point(), x.To.point())
		switch {
		case x.Center == nil && x.Turn == "":
		case x.Center != nil && x.Turn == "counter_clockwise":
			p[i] = geom.Arc(p[i].From, p[i].To, x.Center.point(), geom.CounterClockwise)
		case x.Center != nil && x.Turn == "clockwise":
			p[i] = geom.Arc(p[i].From, p[i].To, x.Center.point(), geom.Clockwise)
		default:
			r.fail("an edge of %s has a centre or a turn and not both: an arc has turn \"clockwise\" or \"counter_clockwise\"", of)
		}
		if i > 0 && p[i].From != p[i-1].To {
			r.fail("the edges of %s do not follow one another at %v mm", of, p[i].From)
		}
	}
	return p
}

// difference says where two texts begin to differ, empty when they do not.
func difference(want, got []byte) string {
	a, b := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
	for i := range max(len(a), len(b)) {
		if i >= len(a) || i >= len(b) || a[i] != b[i] {
			return fmt.Sprintf("line %d differs from what its own content gives", i+1)
		}
	}
	return ""
}

func (v xy) point() geom.Point { return geom.Pt(geom.Length(v[0]), geom.Length(v[1])) }

// UnmarshalJSON reads a pair of numbers, no fewer and no more.
func (v *xy) UnmarshalJSON(text []byte) error {
	var all []mm
	if err := json.Unmarshal(text, &all); err != nil {
		return err
	}
	if len(all) != 2 {
		return fmt.Errorf("a point is two numbers, x and y, and %s is not", text)
	}
	v[0], v[1] = all[0], all[1]
	return nil
}

// UnmarshalJSON reads an exact decimal number of millimetres, within what the model carries.
func (v *mm) UnmarshalJSON(text []byte) error {
	n, err := geom.Millionths(string(text), int64(geom.Limit))
	*v = mm(n)
	return err
}

// UnmarshalJSON reads an exact decimal number of degrees.
func (v *deg) UnmarshalJSON(text []byte) error {
	n, err := geom.Millionths(string(text), int64(geom.FullTurn))
	*v = deg(n)
	return err
}
