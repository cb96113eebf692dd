package returned

import (
	"cmp"
	"context"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// alongside tells whether a line runs along another, within the tolerance.
func alongside(e, of geom.Edge) bool {
	return e.Sense == geom.Straight && off(e.From, of) <= float64(Tolerance) && off(e.To, of) <= float64(Tolerance)
}

// off gives how far a point lies off the endless line through an edge.
func off(p geom.Point, of geom.Edge) float64 {
	d := of.To.Sub(of.From)
	c := float64(d.Cross(p.Sub(of.From))) / max(1, d.Norm())
	return max(c, -c)
}

// takeScores takes lines out of the profile that are the build's score lines: some draw both in one file.
func (h *holder) takeScores(edges []geom.Edge) []geom.Edge {
	if len(h.build.scores) == 0 {
		return edges
	}
	box := h.build.box
	return slices.DeleteFunc(edges, func(e geom.Edge) bool {
		for _, s := range h.build.scores {
			if alongside(e, s) && !onBorder(e, box) && e.Length() > s.Length()/2 { // shorter ones are sides of a contour
				h.scored = append(h.scored, e)
				return true
			}
		}
		return false
	})
}

// onBorder tells whether a line lies on the border of a box.
func onBorder(e geom.Edge, b geom.Box) bool {
	near := func(x, y geom.Length) bool { return (x - y).Abs() <= Tolerance }
	return near(e.From.X, e.To.X) && (near(e.From.X, b.Min.X) || near(e.From.X, b.Max.X)) ||
		near(e.From.Y, e.To.Y) && (near(e.From.Y, b.Min.Y) || near(e.From.Y, b.Max.Y))
}

// shortest is what counts as a score line: shorter ones are signs and letters beside them.
const shortest = 5 * geom.MM

// scoreLines holds the score lines.
func (h *holder) scoreLines(context.Context) error {
	ours := h.build.scores
	got := slices.Clone(h.scored)
	var from []string
	for i, l := range h.Got.Layers {
		edges := linesOf(l.Image)
		for k := range edges {
			edges[k] = h.back.Edge(edges[k])
		}
		if !l.Score {
			along := slices.ContainsFunc(edges, func(e geom.Edge) bool {
				return slices.ContainsFunc(ours, func(s geom.Edge) bool { return alongside(e, s) })
			})
			if l.Function.Kind != "" || slices.Contains(h.profile, i) || !along {
				continue
			}
			h.Got.Layers[i].Score = true
		}
		h.use(l.Source, "score lines", cmp.Or(l.By, "its name or picture"))
		from = append(from, l.Source)
		got = append(got, edges...)
	}
	box := h.build.box
	got = slices.DeleteFunc(got, func(e geom.Edge) bool {
		return e.Length() < float64(shortest) || !e.Box().Overlaps(box)
	})
	if len(ours) > 0 && len(got) == 0 {
		h.report(ruleScore, pipeline.Error, "score", nil, nil, "the panel has %s, and none of the returned files draws any: ask how they are cut", counted(len(ours), "score line", "score lines"))
		return nil
	}
	used := make([]bool, len(got))
	for k, s := range ours {
		feature := "score"
		for _, x := range h.build.plan.Scores {
			if x.From == s.From && x.To == s.To || x.From == s.To && x.To == s.From {
				feature = x.ID
			}
		}
		var parts [][2]float64 // of the line that are there
		length := s.Length()
		for i, e := range got {
			if !alongside(e, s) {
				continue
			}
			a, b := along(e.From, s), along(e.To, s)
			if max(a, b) > 0 && min(a, b) < length {
				parts, used[i] = append(parts, [2]float64{min(a, b), max(a, b)}), true
			}
		}
		slices.SortFunc(parts, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
		at, missing := 0.0, 0.0
		for _, p := range append(parts, [2]float64{length, length}) {
			if p[0] > at+float64(geom.MM/5) {
				missing += p[0] - at
			}
			at = max(at, p[1])
		}
		middle := s.At(0.5)
		switch {
		case len(parts) == 0:
			near, by := h.nearestLine(got, ours, s)
			if near {
				h.report(ruleScore, pipeline.Error, feature, nil, &middle, "score line %d of %d lies elsewhere: it is %s mm off", k+1, len(ours), shortMM(by))
			} else {
				h.report(ruleScore, pipeline.Error, feature, nil, &middle, "score line %d of %d, from %v to %v mm, is missing", k+1, len(ours), s.From, s.To)
			}
		case missing > 0:
			h.report(ruleScore, pipeline.Error, feature, nil, &middle, "score line %d of %d, from %v to %v mm, is there in part: %s mm of it are missing", k+1, len(ours), s.From, s.To, shortMM(geom.Round(missing)))
		}
	}
	for i, e := range got {
		if used[i] || slices.ContainsFunc(ours, func(s geom.Edge) bool { near, _ := h.nearestLine([]geom.Edge{e}, nil, s); return near }) {
			continue // told of with the line that it should be
		}
		at := e.At(0.5)
		s := pipeline.Warning
		if c := h.build.copyAt(at); c != nil {
			s = pipeline.Error
		}
		h.report(ruleScore, s, "score", nil, &at, "%s draws a line that is no score line of the panel, from %v to %v mm", listed(from), e.From, e.To)
	}
	return nil
}

// linesOf gives the middle lines of strokes, and of regions that are as thin.
func linesOf(m *artwork.Image) []geom.Edge {
	out := edgesOf(m)
	for _, o := range m.Objects {
		if o.Kind != artwork.Fill || o.Clear {
			continue
		}
		b := m.Box(o)
		half := min(b.Width(), b.Height()) / 2
		if half > widestPen/2 || max(b.Width(), b.Height()) < shortest {
			continue
		}
		b = b.Grow(-half)
		out = append(out, geom.Line(b.Min, b.Max))
	}
	return out
}

// along gives how far along an edge a point lies, in nm from its start.
func along(p geom.Point, of geom.Edge) float64 {
	d := of.To.Sub(of.From)
	return float64(d.Dot(p.Sub(of.From))) / max(1, d.Norm())
}

// nearestLine looks for a line that is parallel to s, within two millimetres, as long or nearly so, and no other's.
func (h *holder) nearestLine(got, ours []geom.Edge, s geom.Edge) (bool, geom.Length) {
	for _, e := range got {
		if slices.ContainsFunc(ours, func(o geom.Edge) bool { return alongside(e, o) }) {
			continue
		}
		a, b := off(e.From, s), off(e.To, s)
		if max(a, b) < float64(2*geom.MM) && max(a, b)-min(a, b) < float64(Tolerance) && e.Length() > 0.8*s.Length() {
			return true, geom.Round(max(a, b))
		}
	}
	return false, 0
}
