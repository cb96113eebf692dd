package returned_test

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// What a fabricator's programs may write otherwise is told of in no way that keeps a panel back.
func TestRewritten(t *testing.T) {
	at := geom.Pt(25_400_000, -12_700_000)
	for name, w := range map[string]style{
		"inches, turned, other names, one file of non-plated holes": {names: trade, inch: true, turn: 1, x: 101.6, y: 12.7,
			drills: [][]string{{"ACME7781-pth.drl", "plated-1-4"}, {"ACME7781-npth.drl", "breakoff", "nonplated-1-4"}}},
		"all as regions, upside down":          {flat: true, turn: 2, x: -3.333, y: 77.1234, points: true},
		"names that say nothing":               {turn: 3, x: 5, y: 5, points: true, names: map[string]string{"copper-1-top": "a1.gbr", "copper-2-inner": "a2.gbr", "copper-3-inner": "a3.gbr", "copper-4-bottom": "a4.gbr", "mask-top": "b1.gbr", "mask-bottom": "b2.gbr", "paste-top": "c.gbr", "legend-top": "d.gbr", "profile": "e.gbr", "score": "f.gbr"}},
		"two panels on a sheet":                {points: true, twice: 70, x: 10, y: 10},
		"the second of two panels, as is said": {points: true, twice: 70, x: at.X.MM() - 70, y: at.Y.MM(), say: &at},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			out := original(t).hold(t, w)
			assert.Empty(t, texts(out, pipeline.Error, pipeline.Warning))
			assert.True(t, out.Found)
			assert.Equal(t, geom.Angle(w.turn)*geom.Quarter, out.Turn)
			assert.Equal(t, 8, out.Layers)
			for _, l := range texts(out) {
				t.Log(l)
			}
		})
	}
}

// What fabricators compensate for, leave out and add beside the boards is told as notes, with its amount.
func TestCompensated(t *testing.T) {
	s, w := original(t), usual()
	for i := range s.drillOf("plated-1-4").Tools {
		s.drills["plated-1-4"].Tools[i].Diameter += 100 * geom.UM
	}
	wider := func(key string, by geom.Length) {
		s.change(key, func(m *artwork.Image) {
			for i := range m.Apertures {
				m.Apertures[i].Width += 2 * by
				m.Apertures[i].Height += 2 * by
			}
		})
	}
	wider("copper-1-top", 24*geom.UM)
	wider("mask-top", 50*geom.UM)
	for _, c := range s.plan.Copies { // pads in the plane's clearances, joined to nothing
		s.without(t, "copper-2-inner", c.ID, 2, 2, 4, 4)
	}
	s.change("legend-top", func(m *artwork.Image) { // clipped by the opening that it runs into
		for i, o := range m.Objects {
			if e := o.Edge; e.From.X == e.To.X && e.To.Y-e.From.Y == 2_200_000 {
				m.Objects[i].Edge.To.Y -= 700 * geom.UM
			}
		}
	})
	text := func(m *artwork.Image) { draw(m, 0.15, 24, 2, 24, 4, 26, 4, 26, 2) }
	s.change("copper-4-bottom", text)
	s.change("legend-top", text)
	s.change("copper-1-top", func(m *artwork.Image) { draw(m, 0.2, 70, 10, 75, 10) }) // a coupon
	d := s.drillOf("nonplated-1-4")
	for i, tool := range d.Tools {
		if tool.Diameter == 4*mm {
			d.Holes = append(d.Holes, artwork.Hole{Tool: int32(i), At: geom.Pt(31*mm, 40*mm)}, artwork.Hole{Tool: int32(i), At: geom.Pt(80*mm, 40*mm)})
		}
	}
	w.names = maps.Clone(w.names)
	w.inch = true
	got := texts(s.hold(t, w))
	for i, want := range []string{
		"note returned-addition: 1 hole lies beyond the panel",
		"note returned-addition: something is drawn beyond the panel on copper-1-top",
		"note returned-addition: copper-4-bottom: 0.92 mm² of copper are added beside the boards, within 2.15 × 2.15 mm",
		"note returned-addition: legend-top: ",
		"note returned-addition: added beside the boards: 1 non-plated hole of 4",
		"note returned-compensation: 12 plated holes of 0.3 mm all have tools of 0.399 mm: larger tools for the plating?",
		"note returned-compensation: 12 plated holes of 1 mm all have tools of 1.1 mm: larger tools for the plating?",
		"note returned-compensation: 4 plated slots of 0.7 mm all have tools of 0.8 mm: larger tools for the plating?",
		"note returned-compensation: copper-1-top is wider all over, by some 0.026 mm at each edge: what etching will take?",
		"note returned-compensation: mask-top is wider all over, by some 0.05 mm at each edge: room for the mask's own tolerance?",
		"note returned-copper: copper-2-inner: 4 pads are missing round plated holes, which nothing on this layer was joined to",
	} {
		if assert.Less(t, i, len(got)) {
			assert.True(t, strings.HasPrefix(got[i], want), "%s\n%s", want, strings.Join(got, "\n"))
		}
	}
	assert.Len(t, got, 11, "%s", strings.Join(got, "\n"))
}

// usual is how the files with a fault are written: with names that are understood.
func usual() style {
	return style{names: trade, points: true, x: 3, y: 4}
}

// onCopy gives the places of objects that lie on a copy, within a box on the board.
func (s *set) onCopy(id string, m *artwork.Image, x0, y0, x1, y1 float64) (found []int) {
	i := slices.IndexFunc(s.plan.Copies, func(c panel.PlanCopy) bool { return c.ID == id })
	box := s.plan.Copies[i].Place.Box(geom.Box{Min: geom.Pt(geom.FromMM(x0), geom.FromMM(y0)), Max: geom.Pt(geom.FromMM(x1), geom.FromMM(y1))})
	for k, o := range m.Objects {
		if !o.Clear && box.Holds(m.Box(o)) {
			found = append(found, k)
		}
	}
	return found
}

// change edits a layer of the set.
func (s *set) change(key string, f func(m *artwork.Image)) { s.layers[key] = edit(s.layers[key], f) }

// without drops objects of a layer on a copy.
func (s *set) without(t *testing.T, key, id string, x0, y0, x1, y1 float64) {
	s.change(key, func(m *artwork.Image) {
		gone := s.onCopy(id, m, x0, y0, x1, y1)
		require.NotEmpty(t, gone)
		for k := range slices.Backward(gone) {
			m.Objects = slices.Delete(m.Objects, gone[k], gone[k]+1)
		}
	})
}

// draw adds strokes of a round pen to a layer, by corners in mm on the panel.
func draw(m *artwork.Image, pen float64, places ...float64) {
	m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Circle, Width: geom.FromMM(pen)})
	for i := 2; i < len(places); i += 2 {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Stroke, Region: -1, Aperture: int32(len(m.Apertures) - 1),
			Edge: geom.Line(geom.Pt(geom.FromMM(places[i-2]), geom.FromMM(places[i-1])), geom.Pt(geom.FromMM(places[i]), geom.FromMM(places[i+1])))})
	}
}

// mirror draws an image as seen from the other side, within a width.
func mirror(m *artwork.Image, width geom.Length) {
	flip := func(p geom.Point) geom.Point { return geom.Pt(width-p.X, p.Y) }
	for i := range m.Objects {
		e := &m.Objects[i].Edge
		e.From, e.To, e.Center, e.Sense = flip(e.From), flip(e.To), flip(e.Center), -e.Sense
	}
	for i, r := range m.Regions {
		var out artwork.Region
		for _, c := range r.Contours {
			c = slices.Clone(c)
			for k, e := range c {
				c[k] = geom.Line(flip(e.From), flip(e.To))
			}
			out.Contours = append(out.Contours, c)
		}
		m.Regions[i] = out
	}
}

// shift moves all that an image draws.
func shift(m *artwork.Image, dx, dy geom.Length) {
	t := geom.Transform{Shift: geom.Pt(dx, dy)}
	for i := range m.Objects {
		m.Objects[i].Edge = t.Edge(m.Objects[i].Edge)
	}
	for i, r := range m.Regions {
		var out artwork.Region
		for _, c := range r.Contours {
			out.Contours = append(out.Contours, t.Path(c))
		}
		m.Regions[i] = out
	}
}

// drillOf gives a copy of one of the set's drill files to change.
func (s *set) drillOf(key string) *artwork.Drilling {
	d := *s.drills[key]
	d.Holes, d.Tools, d.Routs = slices.Clone(d.Holes), slices.Clone(d.Tools), slices.Clone(d.Routs)
	s.drills[key] = &d
	return &d
}

// moveEdges shifts the profile's corners that lie in a box.
func (s *set) moveEdges(t *testing.T, x0, y0, x1, y1, dx, dy float64) {
	s.change("profile", func(m *artwork.Image) {
		n := 0
		move := func(p geom.Point) geom.Point {
			if x, y := p.X.MM(), p.Y.MM(); x < x0 || x > x1 || y < y0 || y > y1 {
				return p
			}
			n++
			return p.Add(geom.Pt(geom.FromMM(dx), geom.FromMM(dy)))
		}
		for i := range m.Objects {
			e := &m.Objects[i].Edge
			e.From, e.To = move(e.From), move(e.To)
			if e.Sense != geom.Straight {
				e.Center = move(e.Center)
			}
		}
		require.NotZero(t, n)
	})
}

// Faults, one at a time: each is told of by its rule, and nothing else is.
func TestFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		plant func(t *testing.T, s *set, w *style)
		want  []string // of what is no note, in order: beginnings
	}{
		// Holes.
		{"a hole is missing", func(_ *testing.T, s *set, _ *style) {
			d := s.drillOf("plated-1-4")
			d.Holes = slices.Delete(d.Holes, 0, 1)
		}, []string{"error returned-hole: 1 plated hole of 0.3 mm is missing, at (13, 11) mm"}},
		{"a hole was moved", func(_ *testing.T, s *set, _ *style) {
			s.drillOf("plated-1-4").Holes[0].At.X += 150 * geom.UM
		}, []string{"error returned-hole: 1 plated hole of 0.3 mm is elsewhere: at (13.15, 11) instead of (13, 11) mm, off by (0.15, 0) mm"}},
		{"a hole on a board is added", func(_ *testing.T, s *set, _ *style) {
			d := s.drillOf("plated-1-4")
			d.Holes = append(d.Holes, artwork.Hole{At: geom.Pt(40*mm, 16*mm)})
		}, []string{"error returned-hole: added: 1 plated hole of 0.3 mm, at (40, 16) mm"}},
		{"a hole has another tool than those like it", func(_ *testing.T, s *set, _ *style) {
			d := s.drillOf("plated-1-4")
			d.Tools = append(d.Tools, artwork.Tool{Number: 9, Diameter: 600 * geom.UM})
			d.Holes[0].Tool = int32(len(d.Tools) - 1)
		}, []string{"error returned-hole: 1 plated hole of 0.3 mm has another tool than those like it: 0.6 mm"}},
		{"all tools are larger than plating explains", func(_ *testing.T, s *set, _ *style) {
			s.drillOf("plated-1-4").Tools[0].Diameter += 300 * geom.UM
		}, []string{"error returned-hole: 12 plated holes of 0.3 mm all have tools of 0.6 mm, which nothing explains"}},
		{"tooling holes are plated", func(_ *testing.T, s *set, _ *style) {
			n, d := s.drillOf("nonplated-1-4"), s.drillOf("plated-1-4")
			d.Tools = append(d.Tools, artwork.Tool{Number: 9, Diameter: 4 * mm})
			n.Holes = slices.DeleteFunc(n.Holes, func(h artwork.Hole) bool {
				tooling := n.Tools[h.Tool].Diameter == 4*mm
				if tooling {
					d.Holes = append(d.Holes, artwork.Hole{At: h.At, Tool: int32(len(d.Tools) - 1)})
				}
				return tooling
			})
		}, []string{"error returned-hole: 4 non-plated holes of 4 mm are plated in plated.drl"}},
		{"a plated slot is shorter", func(_ *testing.T, s *set, _ *style) {
			e := s.drillOf("plated-1-4").Routs[0].Path
			s.drills["plated-1-4"].Routs[0].Path = geom.Path{geom.Line(e[0].From, e[0].At(0.5))}
		}, []string{"error returned-hole: 1 plated slot of 0.7 mm is elsewhere"}},
		{"a non-plated slot is missing", func(_ *testing.T, s *set, _ *style) {
			d := s.drillOf("nonplated-1-4")
			d.Routs = slices.Delete(d.Routs, 0, 1)
		}, []string{"error returned-cut: 1 non-plated slot of 1 mm is not cut"}},
		{"a break-off hole is missing", func(_ *testing.T, s *set, _ *style) {
			d := s.drillOf("breakoff")
			d.Holes = slices.Delete(d.Holes, 2, 3)
		}, []string{"error returned-breakoff: 1 break-off hole of 0.5 mm is missing, at (9.75, 15) mm"}},
		{"break-off holes are moved to the board", func(_ *testing.T, s *set, _ *style) {
			d := s.drillOf("breakoff")
			for i := range d.Holes[:5] {
				d.Holes[i].At.X += 250 * geom.UM
			}
		}, []string{"error returned-breakoff: 5 break-off holes of 0.5 mm are elsewhere, the farthest off by (0.25, 0) mm"}},
		{"a drill file is missing", func(_ *testing.T, s *set, w *style) {
			w.drills = [][]string{{"npth.drl", "nonplated-1-4"}, {"breakoff-npth.drl", "breakoff"}}
		}, []string{"error returned-hole: 12 plated holes of 0.3 mm are missing", "error returned-hole: 12 plated holes of 1 mm are missing", "error returned-hole: 4 plated slots of 0.7 mm are missing"}},
		{"a drill file's header is wrong", func(_ *testing.T, _ *set, w *style) {
			w.points, w.inch, w.header = false, true, "METRIC,TZ\n"
		}, []string{"error returned-file: breakoff-npth.drl: as it says", "error returned-file: npth.drl: as it says", "error returned-file: plated.drl: as it says"}},

		// Cuts.
		{"a slot was moved", func(t *testing.T, s *set, _ *style) {
			s.moveEdges(t, 29.9, 16.9, 32.1, 27.1, 0.1, 0)
		}, []string{"error returned-cut: slot/6 is cut elsewhere, moved by 0.1, 0 mm"}},
		{"a slot is wider", func(t *testing.T, s *set, _ *style) {
			s.moveEdges(t, 31.5, 16.9, 32.1, 27.1, 0.1, 0)
		}, []string{"error returned-cut: slot/6: 0."}},
		{"a slot is missing", func(_ *testing.T, s *set, _ *style) {
			box := geom.Box{Min: geom.Pt(29*mm, 16*mm), Max: geom.Pt(33*mm, 28*mm)}
			s.change("profile", func(m *artwork.Image) {
				m.Objects = slices.DeleteFunc(m.Objects, func(o artwork.Object) bool { return box.Holds(o.Edge.Box()) })
			})
		}, []string{"error returned-cut: slot/6 is not cut"}},
		{"a tab is cut through", func(t *testing.T, s *set, _ *style) {
			s.moveEdges(t, 29.9, 16.9, 32.1, 18, 0, -3.8)
		}, []string{"error returned-cut: A1/tab/right/1 has no material", "error returned-cut: slot/6: "}},
		{"a contour is open", func(_ *testing.T, s *set, _ *style) {
			s.change("profile", func(m *artwork.Image) { m.Objects = slices.Delete(m.Objects, 0, 1) })
		}, []string{"error returned-cut: the returned contours are not those of a panel of 62 × 44 mm", "error returned-cut: a contour of the returned profile does not close: it runs from (0, 0) to (62, 0) mm"}},
		{"no file draws the profile", func(_ *testing.T, s *set, _ *style) {
			delete(s.layers, "profile")
		}, []string{"error returned-cut: none of the returned files draws the profile"}},
		{"a score line is missing", func(_ *testing.T, s *set, _ *style) {
			s.change("score", func(m *artwork.Image) { m.Objects = m.Objects[1:] })
		}, []string{"error returned-score: score line 1 of 3"}},
		{"a score line was moved", func(_ *testing.T, s *set, _ *style) {
			s.change("score", func(m *artwork.Image) {
				m.Objects[0].Edge.From.Y += 200 * geom.UM
				m.Objects[0].Edge.To.Y += 200 * geom.UM
			})
		}, []string{"error returned-score: score line 1 of 3 lies elsewhere: it is 0.2 mm off"}},
		{"no file draws score lines", func(_ *testing.T, s *set, _ *style) {
			delete(s.layers, "score")
		}, []string{"error returned-score: the panel has 3 score lines"}},

		// Layers as a whole.
		{"a copper layer is missing", func(_ *testing.T, s *set, _ *style) {
			delete(s.layers, "copper-3-inner")
		}, []string{"error returned-layer: copper-3-inner is missing"}},
		{"inner layers are exchanged", func(_ *testing.T, s *set, _ *style) {
			s.layers["copper-2-inner"], s.layers["copper-3-inner"] = s.layers["copper-3-inner"], s.layers["copper-2-inner"]
		}, []string{"error returned-layer: copper-2-inner and copper-3-inner are exchanged"}},
		{"top and bottom are exchanged", func(_ *testing.T, s *set, _ *style) {
			for _, k := range []string{"copper-1-top", "mask-top"} {
				other := strings.Replace(strings.Replace(k, "top", "bottom", 1), "1", "4", 1)
				s.layers[k], s.layers[other] = s.layers[other], s.layers[k]
			}
		}, []string{"error returned-layer: copper-1-top and copper-4-bottom are exchanged", "error returned-layer: mask-bottom and mask-top are exchanged"}},
		{"the bottom is mirrored", func(_ *testing.T, s *set, _ *style) {
			s.change("copper-4-bottom", func(m *artwork.Image) { mirror(m, 62*mm) })
		}, []string{"error returned-layer: copper-4-bottom (ACME7781.GBL) is mirrored left to right"}},
		{"a layer is shifted", func(_ *testing.T, s *set, _ *style) {
			s.change("copper-1-top", func(m *artwork.Image) { shift(m, 400*geom.UM, 0) })
		}, []string{"error returned-layer: copper-1-top (ACME7781.GTL) lies elsewhere than the panel: (0.4, 0) mm off"}},
		{"a layer too many", func(_ *testing.T, s *set, w *style) {
			s.layers["spare"] = edit(s.layers["copper-3-inner"], func(m *artwork.Image) { m.Objects = m.Objects[1:] })
			w.names = maps.Clone(w.names)
			w.names["spare"] = "ACME7781.G4"
		}, []string{"error returned-layer: ACME7781.G4 says that it is copper-4-inner, and the build has no such layer"}},

		// What layers draw.
		{"a track is missing on one copy", func(t *testing.T, s *set, _ *style) {
			s.without(t, "copper-1-top", "B2", 2.8, 2.8, 3.2, 6.2)
		}, []string{"error returned-copper: copper-1-top: 0.4"}},
		{"a pad is missing on all copies", func(t *testing.T, s *set, _ *style) {
			for _, c := range s.plan.Copies {
				s.without(t, "copper-1-top", c.ID, 13, 8, 15, 10)
			}
		}, []string{"error returned-copper: copper-1-top: 0.96 mm² of copper are missing, within 1.2 × 0.8 mm"}},
		{"a text on a board", func(_ *testing.T, s *set, _ *style) {
			s.change("copper-4-bottom", func(m *artwork.Image) { draw(m, 0.15, 25, 19, 25, 20.5, 26, 20.5) })
		}, []string{"error returned-copper: copper-4-bottom: 0.39 mm² of copper are added, within 1.15 × 1.64 mm"}},
		{"masks that are alike", func(_ *testing.T, s *set, _ *style) {
			s.layers["mask-bottom"] = s.layers["mask-top"] // the same bytes under two names: both are held
		}, slices.Repeat([]string{"error returned-mask: mask-bottom: 0.96 mm² of opening are added"}, 6)},
		{"an opening is missing", func(t *testing.T, s *set, _ *style) {
			s.without(t, "mask-top", "A2", 10, 3, 12, 5)
		}, []string{"error returned-mask: mask-top: 0.96 mm² of opening are missing"}},
		{"a fiducial is smaller", func(t *testing.T, s *set, _ *style) {
			s.change("copper-1-top", func(m *artwork.Image) {
				for i, o := range m.Objects {
					if o.Edge.From == geom.Pt(15*mm, 6_250_000) {
						a := m.Apertures[o.Aperture]
						a.Width = 800 * geom.UM
						m.Apertures = append(m.Apertures, a)
						m.Objects[i].Aperture = int32(len(m.Apertures) - 1)
					}
				}
			})
		}, []string{"error returned-copper: copper-1-top: 0.28 mm² of copper are missing at fiducial/1"}},
		{"print is missing", func(t *testing.T, s *set, _ *style) {
			s.without(t, "legend-top", "A1", 9, 2.5, 15, 3.5)
		}, []string{"warning returned-print: legend-top: 0.8"}},
		{"a layer of another revision", func(t *testing.T, s *set, _ *style) {
			s.change("copper-3-inner", func(m *artwork.Image) {
				for i, o := range m.Objects {
					if o.Kind == artwork.Stroke {
						m.Objects[i].Edge.From.Y -= 700 * geom.UM
						m.Objects[i].Edge.To.Y -= 700 * geom.UM
					}
				}
			})
		}, []string{"error returned-copper: copper-3-inner: 1.9", "error returned-copper: copper-3-inner: 0.1"}},

		// All of it.
		{"another size", func(_ *testing.T, _ *set, w *style) { w.scale = 1.002 },
			[]string{"error returned-placement: the panel is drawn 1.002 times as large as it is"}},
		{"inches for millimetres", func(_ *testing.T, _ *set, w *style) { w.scale = 25.4 / 10 },
			[]string{"error returned-placement: the panel was not found in the returned files, and nothing was held: the panel is 62 × 44 mm, and the largest contour of the returned profile is 157.48 × 111.76 mm: it is drawn 2.54 times as large;"}},
		{"seen from the bottom", func(_ *testing.T, _ *set, w *style) { w.mirrored = true; w.x = 70 },
			[]string{"error returned-placement: all is mirrored"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			s, w := original(t), usual()
			c.plant(t, s, &w)
			got := texts(s.hold(t, w), pipeline.Error, pipeline.Warning)
			for i, line := range got {
				if i >= len(c.want) || !strings.HasPrefix(line, c.want[i]) {
					assert.Fail(t, "another finding than was expected", "%s", strings.Join(got, "\n"))
					return
				}
			}
			assert.Len(t, got, len(c.want))
		})
	}
}
