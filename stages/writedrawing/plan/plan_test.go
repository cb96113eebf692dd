package plan

import (
	"context"
	"flag"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/drawingtest"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/detail"
)

var (
	seed   = flag.Int64("seed", 1, "of the random panels")
	panels = flag.Int("panels", 30, "how many random panels")
)

// random is a panel of one to three arrays and single copies, of boards of any size, with rails, marks, score lines.
func random(t *testing.T, r *rand.Rand) panel.Panel {
	mm := func(low, high int) geom.Length { return geom.Length(low*1000+r.Intn((high-low)*1000+1)) * geom.UM }
	b := panel.Panel{}.Edit()
	x := geom.Length(0)
	names := []string{"", "left", "right"}[:1+r.Intn(3)]
	for i, name := range names {
		board := &panel.Board{Name: fmt.Sprintf("board%d", i), Thickness: 1600 * geom.UM, CopperCount: 2}
		w, h := mm(6, 60), mm(6, 50)
		board.Outline.Outer = geom.RoundedRectangle(geom.Box{Max: geom.Pt(w, h)}, geom.Length(r.Intn(2))*2*geom.MM)
		b.AddBoard(board)
		gx, gy := mm(0, 4), mm(0, 4)
		columns, rows := 1+r.Intn(5), 1+r.Intn(4)
		turn := geom.Angle(r.Intn(4)) * geom.Degree * 90
		if r.Intn(6) == 0 {
			turn = 30 * geom.Degree
		}
		bw, bh := w, h
		if turn == geom.Degree*90 || turn == geom.Degree*270 {
			bw, bh = h, w
		}
		for row := range rows {
			for c := range columns {
				id := fmt.Sprintf("%c%d", 'A'+c, row+1)
				if name != "" {
					id = name + "." + id
				}
				at := geom.Pt(x+geom.Length(c)*(bw+gx), geom.Length(row)*(bh+gy))
				b.AddCopy(panel.Copy{ID: id, Board: board, Place: panel.Settle(board, turn, at), Column: c, Row: row, Array: name})
			}
		}
		x += geom.Length(columns)*(bw+gx) + mm(1, 6)
	}
	sides := [][]panel.RailSide{nil, {panel.Upper, panel.Lower}, {panel.Left, panel.Right}, {panel.Upper, panel.Lower, panel.Left, panel.Right}}[r.Intn(4)]
	if sides == nil {
		b.FitOutline()
	} else {
		b.LayRails(sides, mm(5, 12), mm(0, 3), 2*geom.MM, false)
	}
	p, err := b.Build()
	require.NoError(t, err)
	box := p.Outline().Box()
	b = p.Edit()
	for i := range r.Intn(7) {
		at := geom.Pt(geom.Length(r.Int63n(int64(box.Width()))), geom.Length(r.Int63n(int64(box.Height()))))
		if r.Intn(2) == 0 {
			b.AddMark(panel.Mark{ID: fmt.Sprintf("fiducial/%d", i), Kind: panel.Fiducial, At: at, Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top}})
		} else {
			b.AddMark(panel.Mark{ID: fmt.Sprintf("tooling_hole/%d", i), Kind: panel.ToolingHole, At: at, Diameter: 3 * geom.MM})
		}
	}
	for i := range r.Intn(8) {
		s := panel.Score{ID: fmt.Sprintf("score/y%d", i+1), Depth: 600 * geom.UM, RemainingWeb: 400 * geom.UM, IncludedAngle: 30 * geom.Degree}
		y := geom.Length(r.Int63n(int64(box.Height())))
		s.From, s.To = geom.Pt(0, y), geom.Pt(box.Width(), y)
		b.AddScore(s)
	}
	p, err = b.Build()
	require.NoError(t, err)
	return p
}

// details are some rings and a section somewhere on a panel.
func details(p panel.Panel, r *rand.Rand) (out []detail.Detail) {
	box := p.Outline().Box()
	for _, letter := range []string{"A", "B", "C"} {
		at := geom.Pt(geom.Length(r.Int63n(int64(box.Width()))), geom.Length(r.Int63n(int64(box.Height()))))
		out = append(out, detail.Detail{Letter: letter, Where: geom.BoxOf(at).Grow(2 * geom.MM)})
	}
	x := geom.Length(r.Int63n(int64(box.Width())))
	return append(out, detail.Detail{Letter: "D", Cut: [2]geom.Point{{X: x, Y: box.Max.Y - 4*geom.MM}, {X: x, Y: box.Max.Y + 2*geom.MM}}})
}

// TestRandomPlans: whatever the panel, no text lies over another or over a line, each dimension states what there is,
// once, and every feature is stated.
func TestRandomPlans(t *testing.T) {
	listed, all := 0, 0
	for n := range *panels {
		r := rand.New(rand.NewSource(*seed*1_000_000 + int64(n)))
		p := random(t, r)
		m, err := p.Material(context.Background(), 1)
		require.NoError(t, err)
		ds := details(p, r)
		for _, u := range []drawing.Units{drawing.Metric, drawing.Inch, drawing.Both} {
			for _, sc := range []drawing.Scale{{Paper: 2, Real: 1}, {Paper: 1, Real: 1}, {Paper: 1, Real: 2}, {Paper: 1, Real: 5}} {
				what := fmt.Sprintf("-seed %d, panel %d, %s, %s", *seed, n, u, sc)
				in := Input{Panel: p, Material: m, Style: drawing.Usual(u), Details: ds}
				got, err := Draw(in, sc)
				require.NoError(t, err, what)
				require.Empty(t, drawingtest.Clashes(got.Sheet), what)
				again, err := Draw(in, sc)
				require.NoError(t, err)
				require.Equal(t, got, again, "drawn twice: "+what)
				stated(t, p, got, what)
				all++
				for _, x := range got.Sheet.Dimensions {
					if x.Lines == nil {
						listed++
						break
					}
				}
			}
		}
	}
	t.Logf("%d of %d plans have dimensions in a list", listed, all)
	assert.Less(t, listed, all/5+1, "plans whose dimensions find no room beside the view")
}

// stated holds a plan's dimensions against the panel.
func stated(t *testing.T, p panel.Panel, got Plan, what string) {
	t.Helper()
	seen := map[drawing.Fact]bool{}
	for _, d := range got.Sheet.Dimensions {
		for _, f := range d.Of {
			require.False(t, seen[f], "%s: %v is stated twice", what, f)
			seen[f] = true
		}
		want := d.To.X - d.From.X
		switch d.Kind {
		case drawing.OrdinateY, drawing.LinearY:
			want = d.To.Y - d.From.Y
		}
		require.Equal(t, int64(want), d.Value, "%s: %v", what, d.Of)
	}
	must := []drawing.Fact{{Feature: "panel", What: "width"}, {Feature: "panel", What: "height"}, {Feature: "panel", What: "datum_x"}}
	for _, m := range p.Marks() {
		must = append(must, drawing.Fact{Feature: m.ID, What: "x"}, drawing.Fact{Feature: m.ID, What: "y"})
	}
	for _, s := range p.Scores() {
		must = append(must, drawing.Fact{Feature: s.ID, What: "y"})
	}
	for _, r := range p.Rails() {
		axis := "inner_y"
		if r.Side == panel.Left || r.Side == panel.Right {
			axis = "inner_x"
		}
		must = append(must, drawing.Fact{Feature: r.ID, What: axis})
	}
	for _, f := range must {
		assert.True(t, seen[f], "%s: %v is not stated", what, f)
	}
	names := map[string]bool{}
	for _, x := range got.Sheet.Texts {
		names[x.S] = true
	}
	for _, c := range p.Copies() {
		_, last, _ := strings.Cut(c.ID, ".")
		written := names[c.ID] || last != "" && names[last]
		for _, n := range got.Nameless {
			written = written || n == c.ID
		}
		assert.True(t, written, "%s: the name of %s", what, c.ID)
	}
}
