package panel

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// scatter makes a panel of every kind of feature with values that no stage would choose: only that each
// is carried over matters here.
type scatter struct{ *rand.Rand }

func (s scatter) length() geom.Length { return geom.Length(s.Int64N(int64(400*geom.MM))) - 150*geom.MM }
func (s scatter) point() geom.Point   { return geom.Pt(s.length(), s.length()) }

func (s scatter) contour() geom.Path {
	p := geom.RoundedRectangle(geom.Box{Max: geom.Pt(1+s.length().Abs()+9*geom.MM, 9*geom.MM)}, geom.MM+geom.Length(s.IntN(3_000_000)))
	return geom.Transform{Shift: s.point()}.Path(p)
}

func (s scatter) outline() geom.Outline {
	o := geom.Outline{Outer: s.contour()}
	for range s.IntN(3) {
		o.CutOuts = append(o.CutOuts, s.contour().Reverse())
	}
	return o
}

func (s scatter) support() Support {
	x := Support{Carried: []Carrying{ByTwoRails, ByPins, ByOneRail}[s.IntN(3)], Grip: s.length(), Force: Constant{s.Float64(), "N", "a page"}, Pressed: []string{"", "A1"}[s.IntN(2)],
		Open: s.length(), Fine: s.length()}
	s.times(func(int) { x.Sides = append(x.Sides, Left) })
	s.times(func(int) { x.Pins = append(x.Pins, s.point()) })
	x.Warp = []string{"x", "y"}[s.IntN(2)]
	for _, f := range LaminateFigures() {
		*f.Of(&x.Laminate) = Constant{s.Float64() * 1e3, f.Unit, []string{"", `a "sheet" & <2>`}[s.IntN(2)]}
	}
	s.times(func(int) {
		sag, hertz := s.Float64(), 1e-9*s.Float64()
		x.MostSag, x.LeastFrequency = &sag, &hertz
	})
	return x
}

func (s scatter) times(f func(i int)) {
	for i := range s.IntN(4) {
		f(i + 1)
	}
}

func (s scatter) panel(t testing.TB) (Panel, []*Board) {
	t.Helper()
	b := Panel{}.Edit()
	var boards []*Board
	s.times(func(i int) {
		board := &Board{Name: fmt.Sprint("board", i), PartNumber: []string{"", `RG-"1" & <2>`}[s.IntN(2)], Revision: "Ü", Thickness: s.length().Abs(),
			CopperCount: s.IntN(9), Finish: "silver", Outline: s.outline(), Parts: make([]Part, s.IntN(5))}
		s.times(func(k int) {
			board.Sources = append(board.Sources, SourceFile{Name: fmt.Sprint("f", k), SHA256: "0123", Bytes: s.Int64N(99), Use: "profile"})
		})
		boards = append(boards, board)
		b.AddBoard(board)
		s.times(func(k int) {
			b.AddCopy(Copy{ID: fmt.Sprintf("%c%d", '@'+i, k), Board: board, Place: geom.Transform{Turn: geom.Angle(s.Int64N(int64(geom.FullTurn))), Shift: s.point()}})
		})
	})
	b.d.outline = s.outline()
	s.times(func(i int) {
		x := Rail{ID: "rail/" + []string{"upper", "lower", "left"}[i-1], Box: geom.BoxOf(s.point(), s.point())}
		b.claim(x.ID)
		b.d.rails = append(b.d.rails, x)
	})
	s.times(func(i int) {
		m := Mark{ID: fmt.Sprint("tooling_hole/", i), Kind: ToolingHole, At: s.point(), Diameter: s.length()}
		if s.IntN(2) == 0 {
			m = Mark{ID: fmt.Sprint("fiducial/", i), Kind: Fiducial, At: s.point(), Diameter: s.length(), Mask: s.length(), Clear: s.length(), Sides: []Side{Bottom}}
		}
		b.AddMark(m)
	})
	s.times(func(int) { b.d.cutters = append(b.d.cutters, s.length()) })
	s.times(func(i int) { b.AddSlot(Slot{ID: fmt.Sprint("slot/", i), Outline: s.outline()}) })
	s.times(func(i int) {
		b.AddUnreached(Unreached{ID: fmt.Sprint("A1/unreached/", i), Copy: "A1", At: s.point(), Radius: s.length(), Outline: s.outline()})
	})
	s.times(func(i int) {
		x := Tab{ID: fmt.Sprint("A1/tab/upper/", i), Copies: []string{"A1", "A2"}[:1+s.IntN(2)], Rail: []string{"", "waste/1"}[s.IntN(2)], Width: s.length(),
			Feet: [2]geom.Point{s.point(), s.point()}, Along: geom.Pt(geom.Length(s.IntN(2_000_001)-1_000_000), 7), Pinned: s.IntN(2) == 0}
		s.times(func(int) {
			x.Rows = append(x.Rows, Row{Copies: x.Copies, Inset: s.length(), Line: s.contour()[:1+s.IntN(5)], Web: s.length(), WorstWeb: s.length(),
				Shoulder: s.length(), WorstShoulder: s.length(), Stub: s.length(), WorstStub: s.length()})
		})
		b.AddTab(x)
	})
	s.times(func(i int) {
		b.AddPerforation(Perforation{ID: fmt.Sprint("A1/tab/upper/1/hole/", i), Tab: "A1/tab/upper/1", Row: s.IntN(2), Copy: "A1", At: s.point(), Diameter: s.length()})
	})
	s.times(func(i int) {
		b.AddScore(Score{ID: fmt.Sprint("score/y", i), From: s.point(), To: s.point(), RemainingWeb: s.length(), Depth: s.length(), IncludedAngle: 30 * geom.Degree, Leave: s.length()})
	})
	s.times(func(int) { b.SetSupport(s.support()) })
	p, err := b.Build()
	require.NoError(t, err)
	return p, boards
}

// What Data writes is read without loss: written again it is the same, byte for byte, and every
// feature is the same but for what is said not to be in it.
func TestDataIsReadWithoutLoss(t *testing.T) {
	for seed := range uint64(300) {
		p, boards := scatter{rand.New(rand.NewPCG(seed, 1))}.panel(t)
		text, err := p.Data("weir-4up", "B")
		require.NoError(t, err)
		q, name, revision, err := ReadData(text, boards)
		require.NoError(t, err, "seed %d:\n%s", seed, text)
		require.Equal(t, "weir-4up B", name+" "+revision)
		again, err := q.Data(name, revision)
		require.NoError(t, err)
		require.Equal(t, string(text), string(again), "seed %d", seed)
		require.Equal(t, p.Outline(), q.Outline())
		require.Equal(t, p.Copies(), q.Copies())
		require.Equal(t, p.Marks(), q.Marks())
		require.Equal(t, p.Cutters(), q.Cutters())
		require.Equal(t, p.Slots(), q.Slots())
		require.Equal(t, p.Unreached(), q.Unreached())
		require.Equal(t, p.Tabs(), q.Tabs())
		require.Equal(t, p.Perforations(), q.Perforations())
		require.Equal(t, p.Scores(), q.Scores())
		require.Equal(t, p.Support(), q.Support())
	}
}

// Data that no build has written are refused with a reason.
func TestDataThatAreRefused(t *testing.T) {
	b := &Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 40*geom.MM)})},
		Sources: []SourceFile{{Name: "weir.gbr", SHA256: "ab", Bytes: 3, Use: "profile"}}}
	p, err := Panel{}.Edit().AddBoard(b).AddCopy(Copy{ID: "A1", Board: b}).FitOutline().AddSlot(Slot{ID: "slot/1", Outline: b.Outline}).Build()
	require.NoError(t, err)
	text, err := p.Data("x", "A")
	require.NoError(t, err)
	other := *b
	other.Sources = []SourceFile{{Name: "weir.gbr", SHA256: "ac", Bytes: 3, Use: "profile"}}
	thicker := *b
	thicker.Thickness = geom.MM
	for _, c := range []struct {
		name, was, is string
		boards        []*Board
		want          string
	}{
		{"not JSON", `"schema"`, `schema`, nil, "invalid character 's'"},
		{"a laminate of nothing", `"scores": []`, `"scores": [], "laminate": [{"name":"shear","value":1}]`, nil, "there are constants of a laminate, and no support"},
		{"too few constants", `"scores": []`, `"scores": [], "support": {"carried":"rails"}, "laminate": [{"name":"shear","value":1}]`, nil, "the laminate has 1 constants, and 19 are wanted"},
		{"another schema", `"schema": 1`, `"schema": 2`, nil, "its schema is 2, and this program reads schema 1"},
		{"an unknown feature", `"scores": []`, `"scores": [], "stamps": []`, nil, `unknown field "stamps"`},
		{"something after it", "\n}\n", "\n}\n{}", nil, "something stands after the end"},
		{"a board too few", "", "", []*Board{}, `board "weir" is not among the boards that were read again`},
		{"a board's file has changed", "", "", []*Board{&other}, `board "weir" is not as it was when the panel was built: its file weir.gbr differs`},
		{"another board", "", "", []*Board{&thicker}, `board "weir", read again, is not as it was`},
		{"a copy of nothing", `"board":"weir"`, `"board":"wier"`, nil, `copy "A1" is of a board "wier", which is not listed`},
		{"a copy moved without its box", `"x_mm":0`, `"x_mm":1`, nil, "it is not what a build writes: line 15 differs"},
		{"an open contour", `{"from":[0,40],"to":[0,0]}`, `{"from":[0,40],"to":[0,1]}`, nil, "does not close: it ends at (0, 1) and begins at (0, 0) mm"},
		{"a gap", `{"from":[60,0],`, `{"from":[60,1],`, nil, "do not follow one another at (60, 1) mm"},
		{"half an arc", `"to":[0,0]}`, `"to":[0,0],"turn":"clockwise"}`, nil, "has a centre or a turn and not both"},
		{"too far away", `"x_mm":0`, `"x_mm":1000.000001`, nil, "1000.000001 is beyond what a panel can hold"},
		{"finer than a nanometre", `"x_mm":0`, `"x_mm":0.0000001`, nil, "at most six digits"},
		{"an exponent", `"x_mm":0`, `"x_mm":1e2`, nil, "1e2 is not a plain decimal number"},
		{"half a point", `"lower_left_mm":[0,0]`, `"lower_left_mm":[0]`, nil, "a point is two numbers"},
		{"an id twice", `"id":"slot/1"`, `"id":"A1"`, nil, `two features are called "A1"`},
		{"written otherwise", `"schema": 1`, `"schema":  1`, nil, "it is not what a build writes: line 2 differs"},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := strings.Replace(string(text), c.was, c.is, 1)
			if c.boards == nil {
				require.NotEqual(t, string(text), bad)
				c.boards = []*Board{b}
			}
			_, _, _, err := ReadData([]byte(bad), c.boards)
			require.ErrorContains(t, err, c.want)
		})
	}
	_, _, _, err = ReadData(text, []*Board{b})
	assert.NoError(t, err)
}

func FuzzReadData(f *testing.F) {
	_, boards := scatter{rand.New(rand.NewPCG(4, 1))}.panel(f)
	for seed := range uint64(3) {
		p, own := scatter{rand.New(rand.NewPCG(seed, 1))}.panel(f)
		text, err := p.Data("weir-4up", "B")
		require.NoError(f, err)
		f.Add(text)
		boards = append(boards, own...)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, name, revision, err := ReadData(text, boards)
		if err != nil {
			return
		}
		again, err := p.Data(name, revision)
		require.NoError(t, err)
		require.Equal(t, string(text), string(again))
	})
}
