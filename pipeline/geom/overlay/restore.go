package overlay

import (
	"context"

	"panelwright/pipeline/geom"
)

// restore gives rings back as paths.
func (a *Arrangement) restore(ctx context.Context, pieces []piece, t *tracer) (geom.Region, error) {
	var out geom.Region
	for _, p := range pieces {
		o := geom.Outline{Outer: a.chain(p.outer, t)}
		for _, c := range p.cutOuts {
			o.CutOuts = append(o.CutOuts, a.chain(c, t))
		}
		out = append(out, o)
	}
	return out, nil
}

func (a *Arrangement) chain(r ring, t *tracer) geom.Path {
	out := make(geom.Path, 0, len(r))
	for _, e := range r {
		out = append(out, geom.Line(a.shapes.point(a.graph.at[t.from(e)]), a.shapes.point(a.graph.at[t.to(e)])))
	}
	return out
}
