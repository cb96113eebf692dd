package rule

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// dash is lettering of one stroke of 0.2 mm from (10, 4) to (20, 4) on the lower rail of a board.
func dash(id string, f ...panel.Function) panel.Print {
	at := func(x geom.Length) geom.Point { return geom.Pt(x*geom.MM, 4*geom.MM) }
	return panel.Print{ID: id, Use: panel.Lettering, Layers: f, Area: geom.Box{Min: geom.Pt(9*geom.MM, 2*geom.MM), Max: geom.Pt(21*geom.MM, 6*geom.MM)},
		Lines: []panel.PenLine{{Path: geom.Path{geom.Line(at(10), at(20))}, Width: 200 * geom.UM}}, LetterHeight: 2 * geom.MM}
}

func TestLegendOverlapOfWhatIsDrawn(t *testing.T) {
	top, bottom := panel.Function{Kind: panel.Legend, Side: panel.Top}, panel.Function{Kind: panel.Legend, Side: panel.Bottom}
	copper := panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}
	dot := func(use panel.PrintUse, y geom.Length, f panel.Function) panel.Print {
		at := geom.Pt(15*geom.MM, y)
		return panel.Print{ID: "thieving/rail/lower", Use: use, Layers: []panel.Function{f}, Area: geom.BoxOf(at).Grow(geom.MM), Dots: []panel.Dot{{At: at, Diameter: geom.MM}}}
	}
	for name, c := range map[string]struct {
		with func(e *panel.Builder)
		want []string
	}{
		"nothing":                  {func(*panel.Builder) {}, nil},
		"copper under letters":     {func(e *panel.Builder) { e.AddPrint(dot(panel.Thieving, 4599*geom.UM, copper)) }, []string{"legend/a lies on thieving/rail/lower"}},
		"copper beside the stroke": {func(e *panel.Builder) { e.AddPrint(dot(panel.Thieving, 4600*geom.UM, copper)) }, nil},
		"copper on the other side": {func(e *panel.Builder) {
			e.AddPrint(dot(panel.Thieving, 4*geom.MM, panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}))
		}, nil},
		"an opening in the mask": {func(e *panel.Builder) {
			e.AddPrint(dot(panel.RailMask, 4*geom.MM, panel.Function{Kind: panel.Soldermask, Side: panel.Top}))
		}, nil},
		"letters on letters, once": {func(e *panel.Builder) { e.AddPrint(dash("legend/b", top)) }, []string{"legend/b lies on legend/a"}},
		"what is made to stay on a board": {func(e *panel.Builder) {
			p := dash("acme/A1", top)
			p.Use, p.Copy, p.Area = panel.OnBoard, "A1", p.Area.Move(geom.Pt(0, 15*geom.MM))
			p.Lines = []panel.PenLine{{Path: geom.Transform{Shift: geom.Pt(0, 15*geom.MM)}.Path(p.Lines[0].Path), Width: p.Lines[0].Width}}
			q := p
			q.ID, q.Copy = "acme/B1", "B1" // another copy's is told
			e.AddPrint(p).AddPrint(q)
		}, []string{"acme/B1 lies on A1", "acme/B1 lies on acme/A1"}},
		"letters of the other side": {func(e *panel.Builder) { e.AddPrint(dash("legend/b", bottom)) }, nil},
		"a tab's perforations, once": {func(e *panel.Builder) {
			for i := range 3 {
				e.AddPerforation(panel.Perforation{ID: fmt.Sprint("A1/tab/lower/1/hole/", i), Tab: "A1/tab/lower/1", Diameter: 500 * geom.UM, At: geom.Pt(geom.Length(12+i)*geom.MM, 4349*geom.UM)})
			}
		}, []string{"legend/a lies on A1/tab/lower/1"}},
		"laminate that stays on a board": {func(e *panel.Builder) {
			e.AddBlank(panel.Blank{ID: "A1/blank/1", Copy: "A1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(0, 4*geom.MM), Max: geom.Pt(40*geom.MM, 12*geom.MM)})}})
		}, []string{"legend/a lies on A1/blank/1"}},
		// The groove is 1 mm long from x = 24, and runs out over 5 mm more.
		"where a groove runs out": {func(e *panel.Builder) {
			e.AddScore(panel.Score{ID: "score/y1", From: geom.Pt(24*geom.MM, 4*geom.MM), To: geom.Pt(25*geom.MM, 4*geom.MM), RunOut: 5 * geom.MM})
		}, []string{"legend/a lies on score/y1"}},
	} {
		e := row(weir(geom.MM), 1, 0).LayRails([]panel.RailSide{panel.Lower}, 10*geom.MM, 2*geom.MM, 0, false).AddPrint(dash("legend/a", top))
		c.with(e)
		var got []string
		for _, f := range judge(t, "legend-overlap", e, 0) {
			got = append(got, f.Message)
		}
		assert.Equal(t, c.want, got, name)
	}
}
