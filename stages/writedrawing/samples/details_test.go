package samples

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/drawingtest"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/writedrawing/detail"
	"panelwright/stages/writedrawing/tables"
	"panelwright/stages/writedrawing/tools"
)

// rooms are a lot of room, what a detail gets on a full sheet, and too little.
var rooms = []geom.Point{geom.Pt(geom.FromMM(600), geom.FromMM(400)), geom.Pt(geom.FromMM(150), geom.FromMM(100)), geom.Pt(geom.FromMM(60), geom.FromMM(40))}

// In every detail of every sample, whatever the units and the room, no words lie over others or over a line, all lies
// within the box, and what is smaller than room allows is drawn by the next larger scale.
func TestDetailsAreReadable(t *testing.T) {
	seen := map[string]int{}
	for _, x := range allPanels(t) {
		details, err := detail.Choose(t.Context(), x.panel)
		require.NoError(t, err)
		names := map[string]bool{}
		for _, d := range details {
			assert.False(t, names[d.Letter], "%s: two details are called %s", x.name, d.Letter)
			names[d.Letter] = true
			assert.Positive(t, d.Like)
			title, _, _ := strings.Cut(d.Title, ",")
			seen[title]++
			if d.Section() {
				assert.True(t, x.panel.Outline().Box().HoldsPoint(geom.BoxOf(d.Cut[0], d.Cut[1]).Center()))
			} else {
				assert.True(t, x.panel.Outline().Box().Overlaps(d.Where) && d.Where.Width() > 0, "%s: %v", x.name, d.Where)
			}
			for _, u := range []drawing.Units{drawing.Metric, drawing.Inch, drawing.Both} {
				last := math.Inf(1)
				for _, room := range rooms {
					s := d.Draw(drawing.Usual(u), room)
					where := fmt.Sprintf("%s, detail %s, %s, in %v", x.name, d.Letter, u, room)
					assert.Empty(t, drawingtest.Clashes(s), where)
					assert.Equal(t, geom.Point{}, s.Box.Min, where)
					by := float64(s.Views[0].Scale.Paper) / float64(s.Views[0].Scale.Real)
					assert.LessOrEqual(t, by, last, where)
					last = by
				}
				big := d.Draw(drawing.Usual(u), rooms[0])
				assert.True(t, big.Box.Width() <= rooms[0].X && big.Box.Height() <= rooms[0].Y)
			}
		}
	}
	for _, title := range []string{"Break-off tab", "Section through score line", "Rail corner", "Fiducial"} {
		assert.Positive(t, seen[title], title)
	}
}

// What the details state is what the panel has, and each figure is stated once.
func TestDetailsStateThePanel(t *testing.T) {
	for _, x := range allPanels(t) {
		details, err := detail.Choose(t.Context(), x.panel)
		require.NoError(t, err)
		count := map[drawing.Fact]int{}
		for _, d := range details {
			s := d.Draw(drawing.Usual(drawing.Metric), rooms[0])
			for _, dim := range s.Dimensions {
				require.NotEmpty(t, dim.Of, "%s: %q", x.name, dim.Text.S)
				for i, f := range dim.Of {
					count[f]++
					want, ok := valueOf(x.panel, f)
					require.True(t, ok, "%s: %v is nothing of the panel", x.name, f)
					words := drawing.Metric.Length(geom.Length(want))
					if dim.Kind == drawing.Angle {
						words = geom.Angle(want).Decimal()
					}
					if f.What != "inset" || want != 0 {
						assert.Contains(t, dim.Text.S, words, "%s: %v", x.name, f)
					}
					if i == 0 {
						assert.Equal(t, want, dim.Value, "%s: %v", x.name, f)
					}
				}
				if len(dim.Lines) > 0 {
					assert.InDelta(t, float64(dim.Value), measured(dim), 2500, "%s: %v", x.name, dim.Of)
				}
			}
		}
		for f, n := range count {
			assert.Equal(t, 1, n, "%s: %v", x.name, f)
		}
		for _, k := range detail.TabKinds(x.panel)[:min(detail.MostTabKinds, len(detail.TabKinds(x.panel)))] {
			id := x.panel.Tabs()[k.Shown].ID
			want := []string{"width", "slot_width"}
			if k.Row >= 0 {
				want = append(want, "hole_diameter", "web", "pitch", "shoulder", "stub_at_worst")
			}
			for _, what := range want {
				assert.Equal(t, 1, count[drawing.Fact{Feature: id, What: what}], "%s: %s of %s", x.name, what, id)
			}
		}
	}
}

// measured is what lies between the points of a dimension.
func measured(d drawing.Dimension) float64 {
	switch d.Kind {
	case drawing.LinearX:
		return float64((d.To.X - d.From.X).Abs())
	case drawing.LinearY:
		return float64((d.To.Y - d.From.Y).Abs())
	case drawing.Angle:
		a := geom.Atan2(float64(d.From.Y-d.Vertex.Y), float64(d.From.X-d.Vertex.X))
		b := geom.Atan2(float64(d.To.Y-d.Vertex.Y), float64(d.To.X-d.Vertex.X))
		return (b - a) * 180 / math.Pi * 1e6
	}
	return d.From.Distance(d.To)
}

// valueOf looks a figure up in the panel, independently of what details do.
func valueOf(p panel.Panel, f drawing.Fact) (int64, bool) {
	length := func(l geom.Length) (int64, bool) { return int64(l), true }
	if f.Feature == "panel" {
		for _, e := range p.Outline().Outer {
			if e.Sense != geom.Straight {
				return length(geom.Round(e.Radius()))
			}
		}
		return 0, false
	}
	for _, m := range p.Marks() {
		if m.ID == f.Feature {
			return length(map[string]geom.Length{"diameter": m.Diameter, "mask_diameter": m.Mask, "clear_diameter": m.Clear}[f.What])
		}
	}
	for _, s := range p.Scores() {
		if s.ID != f.Feature {
			continue
		}
		if f.What == "included_angle" {
			return int64(s.IncludedAngle), true
		}
		l, ok := map[string]geom.Length{"thickness": p.Thickness(), "remaining_web": s.RemainingWeb, "web_tolerance": s.WebTolerance, "depth": s.Depth, "leave": s.Leave,
			"blade_offset_tolerance": s.BladeOffsetTolerance, "position_tolerance": s.PositionTolerance, "run_out": s.RunOut, "blade_diameter": s.BladeDiameter}[f.What]
		return int64(l), ok
	}
	for _, tab := range p.Tabs() {
		if tab.ID != f.Feature {
			continue
		}
		var holes []panel.Perforation
		for _, h := range p.Perforations() {
			if h.Tab == tab.ID && (len(holes) == 0 || holes[0].Row == h.Row) {
				holes = append(holes, h)
			}
		}
		switch f.What {
		case "width":
			return length(tab.Width)
		case "slot_width":
			return length(geom.Round(tab.Feet[0].Distance(tab.Feet[1])))
		}
		if len(holes) < 2 {
			return 0, false
		}
		r := tab.Rows[holes[0].Row]
		l, ok := map[string]geom.Length{"hole_diameter": holes[0].Diameter, "pitch": geom.Round(holes[0].At.Distance(holes[1].At)), "web": r.Web,
			"shoulder": r.Shoulder, "inset": r.Inset.Abs(), "stub_at_worst": r.WorstStub}[f.What]
		return int64(l), ok
	}
	return 0, false
}

// Each board's view has each of its holes and slots once, by the symbol of its row in the table, where it lies.
func TestBoardViewsHaveEveryHole(t *testing.T) {
	views := 0
	for _, x := range allPanels(t) {
		list := tools.List(x.panel)
		for _, b := range detail.BoardHoles(x.panel) {
			views++
			holes := make([][]geom.Point, len(list)) // by tool, in the files' order
			slots := make([]int, len(list))
			all := 0
			for _, f := range b.Board.Drills {
				for _, h := range f.Drilling.Holes {
					i := tools.Of(list, f, f.Drilling.Tools[h.Tool].Diameter, tools.BoardHole)
					holes[i] = append(holes[i], h.At)
				}
				for _, r := range f.Drilling.Routs {
					slots[tools.Of(list, f, f.Drilling.Tools[r.Tool].Diameter, tools.BoardSlot)]++
				}
				all += len(f.Drilling.Holes) + len(f.Drilling.Routs)
			}
			assert.Equal(t, all, b.Holes)
			for _, room := range rooms {
				s := b.Draw(drawing.Usual(drawing.Metric), room)
				assert.Empty(t, drawingtest.Clashes(s), "%s, %s", x.name, b.Title)
				var shapes []drawing.Shape
				for _, shape := range s.Views[0].Shapes {
					if shape.Layer == drawing.Holes {
						shapes = append(shapes, shape)
					}
				}
				for i, h := range list {
					if len(holes[i]) == 0 && slots[i] == 0 {
						continue
					}
					require.NotEmpty(t, shapes)
					paths := shapes[0].Paths
					shapes = shapes[1:]
					one := len(h.Symbol.Paths(geom.Point{}, geom.MM))
					assert.GreaterOrEqual(t, len(paths), one*(len(holes[i])+slots[i]))
					if len(holes[i]) == 0 {
						continue
					}
					require.Len(t, paths, one*len(holes[i]))
					// How large symbols are, by the first.
					size := geom.Length(geom.MulDiv(int64(boxOf(paths[:one]).Height()), int64(geom.MM), int64(boxOf(h.Symbol.Paths(geom.Point{}, geom.MM)).Height())))
					for k, at := range holes[i] {
						want := boxOf(h.Symbol.Paths(at, size))
						got := boxOf(paths[k*one : (k+1)*one])
						require.InDelta(t, float64(want.Min.X), float64(got.Min.X), 2000)
						require.InDelta(t, float64(want.Max.Y), float64(got.Max.Y), 2000)
					}
				}
				assert.Empty(t, shapes, "signs of nothing")
			}
		}
	}
	assert.Greater(t, views, 8)
}

func boxOf(paths []geom.Path) geom.Box {
	box := geom.EmptyBox()
	for _, p := range paths {
		box = box.Union(p.Box())
	}
	return box
}

// BenchmarkBoardHoles draws the holes of a board with 2000.
func BenchmarkBoardHoles(b *testing.B) {
	board := plate("relay", geom.Rectangle(geom.Box{Max: geom.Pt(geom.FromMM(100), geom.FromMM(100))}))
	d := &artwork.Drilling{Plating: artwork.Plated, Sets: []artwork.Attributes{nil}}
	for i := range 8 {
		d.Tools = append(d.Tools, artwork.Tool{Number: i + 1, Diameter: geom.Length(3+i) * geom.MM / 10, Plating: artwork.Plated})
	}
	for i := range 2000 {
		d.Holes = append(d.Holes, artwork.Hole{Tool: int32(i % 8), At: geom.Pt(geom.Length(1+i%45)*2*geom.MM, geom.Length(1+i/45)*2*geom.MM)})
	}
	board.Drills = []panel.DrillFile{{Drilling: d, Plating: artwork.Plated, From: 1, To: 2}}
	p := laid(b, board, 0, 2, 2, geom.FromMM(2), panel.Upper, panel.Lower)
	for b.Loop() {
		for _, v := range detail.BoardHoles(p) {
			v.Draw(drawing.Usual(drawing.Metric), rooms[1])
		}
	}
}

// BenchmarkPieces makes details and tables of a panel of 100 copies with 440 tabs.
func BenchmarkPieces(b *testing.B) {
	var p panel.Panel
	for _, x := range madePanels(b) {
		if x.name == "hundred" {
			p = x.panel
		}
	}
	for b.Loop() {
		details, err := detail.Choose(b.Context(), p)
		require.NoError(b, err)
		for _, d := range details {
			d.Draw(drawing.Usual(drawing.Metric), rooms[1])
		}
		tables.All(b.Context(), p, drawing.Usual(drawing.Metric))
	}
}
