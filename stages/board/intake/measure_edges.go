package intake

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/edgeclass"
)

// EdgeStretch is a stretch of the board's edge with a class, and the way along the edge.
type EdgeStretch struct {
	edgeclass.Stretch
	Path []geom.Edge
}

// findEdges finds the classes of the board's edge, as far as its layers are settled.
func (r *Result) findEdges(ctx context.Context) ([]EdgeStretch, error) {
	b := r.Board
	if b == nil {
		b = &panel.Board{Outline: r.Outline.Outline, CopperCount: r.copper, Drills: r.drills}
		for _, l := range r.layers {
			if l.is.Kind != panel.Profile {
				b.Layers = append(b.Layers, panel.Layer{Function: l.is, Image: l.file.Image, Source: l.file.Name})
			} else if l.file.Name == r.Outline.Source {
				v := l.file.Image.Attributes.Get(".FileFunction")
				b.EdgePlated = len(v) > 1 && v[0] == "Profile" && v[1] == "P"
			}
		}
	}
	found, err := edgeclass.Find(ctx, b)
	var out []EdgeStretch
	for _, s := range found {
		out = append(out, EdgeStretch{s, along(pathOf(b.Outline, s.Loop), s.From, s.To)})
	}
	return out, err
}

func pathOf(o geom.Outline, loop int) geom.Path {
	if loop == 0 {
		return o.Outer
	}
	return o.CutOuts[loop-1]
}

// along gives what of a closed path lies between two lengths along it; to may lie past its end.
func along(p geom.Path, from, to float64) []geom.Edge {
	var out []geom.Edge
	whole := p.Length()
	if whole <= 0 {
		return nil
	}
	turns := math.Floor(from / whole)
	from, to = from-turns*whole, to-turns*whole
	for begin := 0.0; begin < to && begin < 2*whole; begin += whole {
		at := begin
		for _, e := range p {
			n := e.Length()
			if part, ok := part(e, (max(from, at)-at)/n, (min(to, at+n)-at)/n); ok {
				out = append(out, part)
			}
			at += n
		}
	}
	return out
}

// part gives an edge between two fractions of it.
func part(e geom.Edge, from, to float64) (geom.Edge, bool) {
	if !(from < to) {
		return e, false
	}
	if from > 0 || to < 1 {
		a, b := e.At(max(from, 0)), e.At(min(to, 1))
		e.From, e.To = a, b
		if a == b {
			return e, false
		}
	}
	return e, true
}

// plainEdges gives the board's edges without the stretches that have a class and what lies beside these.
func plainEdges(o geom.Outline, classes []EdgeStretch) []geom.Edge {
	var out []geom.Edge
	for loop := range 1 + len(o.CutOuts) {
		p := pathOf(o, loop)
		whole := p.Length()
		var gone [][2]float64
		for _, s := range classes {
			if s.Loop != loop {
				continue
			}
			for _, turn := range [3]float64{-whole, 0, whole} {
				gone = append(gone, [2]float64{s.From - float64(edgeclass.Beside) + turn, s.To + float64(edgeclass.Beside) + turn})
			}
		}
		at := 0.0
		for _, e := range p {
			n := e.Length()
			left := [][2]float64{{0, n}}
			for _, g := range gone {
				var next [][2]float64
				for _, l := range left {
					if g[1]-at <= l[0] || g[0]-at >= l[1] {
						next = append(next, l)
						continue
					}
					if g[0]-at > l[0] {
						next = append(next, [2]float64{l[0], g[0] - at})
					}
					if g[1]-at < l[1] {
						next = append(next, [2]float64{g[1] - at, l[1]})
					}
				}
				left = next
			}
			for _, l := range left {
				if x, ok := part(e, l[0]/n, l[1]/n); ok {
					out = append(out, x)
				}
			}
			at += n
		}
	}
	return out
}

// EdgeSummary is one stretch of the board's edge that has a class; the rest is plain.
type EdgeSummary struct {
	Class  string `json:"class"` // castellated, plated, fingers
	CutOut int    `json:"cut_out,omitempty"`
	// From and To are its ends, counter-clockwise round the board.
	FromX  string `json:"from_x_mm"`
	FromY  string `json:"from_y_mm"`
	ToX    string `json:"to_x_mm"`
	ToY    string `json:"to_y_mm"`
	Length string `json:"length_mm"`
	Count  int    `json:"count,omitempty"` // of holes or fingers
	By     string `json:"said_by"`
}

func (s EdgeStretch) summary() EdgeSummary {
	um := func(l geom.Length) string { return roundedUM(float64(l)).Decimal() }
	return EdgeSummary{string(s.Class), s.Loop, um(s.Start.X), um(s.Start.Y), um(s.End.X), um(s.End.Y), roundedUM(s.To - s.From).Decimal(), s.Count, s.By}
}

// EdgeLines says the classes of the edge in words.
func (s Summary) EdgeLines() []string {
	var l []string
	for _, e := range s.EdgeClasses {
		what := e.Class
		switch {
		case e.Class == string(edgeclass.Castellated) && e.Count > 0:
			what += ", " + counted(e.Count, "hole")
		case e.Class == string(edgeclass.Fingers) && e.Count > 0:
			what = counted(e.Count, "finger")
		}
		where := "of the edge"
		if e.CutOut > 0 {
			where = fmt.Sprintf("of cut-out %d", e.CutOut)
		}
		l = append(l, fmt.Sprintf("%s: %s mm %s, from (%s, %s) to (%s, %s); known by %s", what, e.Length, where, e.FromX, e.FromY, e.ToX, e.ToY, e.By))
	}
	if len(l) == 0 && s.Outline.Found {
		l = append(l, "plain all round: no castellations, plated edges or contact fingers were found")
	}
	return l
}
