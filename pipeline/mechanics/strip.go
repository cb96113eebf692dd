package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// stripHalf is half of the breadth of the strip of plate that stands for a score line: the groove's own yielding is
// spread over it. It is at least as broad as the groove.
const stripHalf = geom.MM

// strip is the stretch of plate along one score line.
type strip struct {
	id         string
	from, to   geom.Point
	half       geom.Length
	along      vector
	compliance float64 // extra turn of the groove for each moment per length, rad/N, cold
	heat       float64 // factor of the laminate's stiffness in the oven
	web        float64 // mm
}

// runOutShare is how much of a run-out counts as grooved to the full depth: there the round blade still cuts 94 % of it.
const runOutShare = 0.25

// stripsOf lays strips along the score lines. Lines of equal sections are reckoned once.
func stripsOf(ctx context.Context, p panel.Panel, s panel.Support) (out []strip, problems []Problem, err error) {
	known := map[grooveKey]float64{}
	for _, x := range p.Scores() {
		length := x.From.Distance(x.To)
		if length == 0 {
			continue
		}
		v := vector{float64(x.To.X-x.From.X) / length, float64(x.To.Y-x.From.Y) / length}
		k := grooveKey{sectionOf(p, x), v}
		c, ok := known[k]
		if !ok {
			if c, err = yielding(ctx, s.Laminate, k); err != nil {
				if ctx.Err() != nil {
					return nil, nil, ctx.Err()
				}
				problems = append(problems, Problem{Kind: NotReckoned, Feature: x.ID, At: x.From, Message: x.ID + " cannot be reckoned: " + err.Error()})
			}
			known[k] = c
		}
		more := float64(float64(x.RunOut) * runOutShare)
		by := geom.Pt(geom.Round(float64(more*v.x)), geom.Round(float64(more*v.y)))
		out = append(out, strip{id: x.ID, from: x.From.Sub(by), to: x.To.Add(by), half: max(stripHalf, x.HalfWidth()), along: v,
			compliance: c, heat: s.HotElastic.Value, web: x.RemainingWeb.MM()})
	}
	return out, problems, nil
}

// size is how large the triangles in a strip are.
func (x strip) size() geom.Length { return 2 * x.half }

// sides are the two lines that bound the strip.
func (x strip) sides() [2]geom.Edge {
	by := geom.Pt(geom.Round(float64(-float64(x.half)*x.along.y)), geom.Round(float64(float64(x.half)*x.along.x)))
	return [2]geom.Edge{geom.Line(x.from.Sub(by), x.to.Sub(by)), geom.Line(x.from.Add(by), x.to.Add(by))}
}

// holds tells whether a point lies in the strip.
func (x strip) holds(q geom.Point) bool {
	d := q.Sub(x.from)
	along := float64(float64(d.X)*x.along.x) + float64(float64(d.Y)*x.along.y)
	across := float64(float64(d.Y)*x.along.x) - float64(float64(d.X)*x.along.y)
	return math.Abs(across) <= float64(x.half) && along >= 0 && along <= x.from.Distance(x.to)
}

// weaken gives the stiffness of the plate in the strip. The groove turns by compliance × moment besides what the plate
// itself is bent; spread over the strip that is compliance / breadth of curvature. Moments across the line and curvatures
// along it and twists are the same in the groove and beside it, as in a plate of strips (homogenisation of a plate whose
// stiffness varies in one direction); what the groove takes from the stiffness along the line is left out, for it is
// narrow.
func (x strip) weaken(d plate.Bending, hot bool) plate.Bending {
	c := x.compliance
	if hot {
		c /= x.heat
	}
	breadth := 2 * x.half.MM()
	// Across the line is the local x axis: it is the direction of along turned by a quarter to the right.
	l := turned(d, x.along.y, -x.along.x)
	nn := 1 / (1/l[0][0] + c/breadth)
	var w plate.Bending
	for i := range 3 {
		for k := range 3 {
			w[i][k] = l[i][k] - float64(l[0][i]*l[0][k])/l[0][0] + float64(float64(float64(l[0][i]/l[0][0])*float64(l[0][k]/l[0][0]))*nn)
		}
	}
	return turned(w, x.along.y, x.along.x)
}

// turned gives a stiffness in axes turned so that the new x axis lies in the direction (cos, sin) of the old ones.
func turned(d plate.Bending, cos, sin float64) plate.Bending {
	c2, s2, cs := float64(cos*cos), float64(sin*sin), float64(cos*sin)
	// Curvatures (κx, κy, 2κxy) in the old axes from those in the new ones.
	r := [3][3]float64{{c2, s2, -cs}, {s2, c2, cs}, {2 * cs, -2 * cs, c2 - s2}}
	var dr, out plate.Bending
	for i := range 3 {
		for k := range 3 {
			for l := range 3 {
				dr[i][k] += float64(d[i][l] * r[l][k])
			}
		}
	}
	for i := range 3 {
		for k := range 3 {
			for l := range 3 {
				out[i][k] += float64(r[l][i] * dr[l][k])
			}
		}
	}
	return out
}
