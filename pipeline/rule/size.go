package rule

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

func longerSide(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	b := p.Outline().Box()
	if side := max(b.Width(), b.Height()); side.MM() > limit+tolerance {
		return []pipeline.Finding{sized(b, side, "longer", "more", limit)}, nil
	}
	return nil, nil
}

func breadth(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	b := p.Outline().Box()
	if side := min(b.Width(), b.Height()); side.MM() > limit+tolerance {
		return []pipeline.Finding{sized(b, side, "shorter", "more", limit)}, nil
	}
	return nil, nil
}

func shorterSide(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	b := p.Outline().Box()
	if side := min(b.Width(), b.Height()); side.MM() < limit-tolerance {
		return []pipeline.Finding{sized(b, side, "shorter", "less", limit)}, nil
	}
	return nil, nil
}

func sized(b geom.Box, side geom.Length, which, how string, limit float64) pipeline.Finding {
	v := side.MM()
	return pipeline.Finding{
		Message: fmt.Sprintf("the panel is %s x %v; its %s side is %v, %s than %v mm",
			b.Width().Decimal(), b.Height(), which, side, how, limit),
		Measured: &v, Feature: "panel",
	}
}

func railWidth(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p, limit := in.Panel, in.Limit
	var out []pipeline.Finding
	for _, r := range p.Rails() {
		if v := r.Width().MM(); v < limit-tolerance {
			at := r.Box.Center()
			out = append(out, pipeline.Finding{
				Message: fmt.Sprintf("%s is %v wide, less than %v mm", r.ID, r.Width(), limit),
				At:      &at, Feature: r.ID, Measured: &v,
			})
		}
	}
	return out, nil
}

func stackupMismatch(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	p := in.Panel
	var first *panel.Board
	seen := map[string]bool{}
	var out []pipeline.Finding
	for _, c := range p.Copies() {
		b := c.Board
		if first == nil {
			first = b
		}
		if seen[b.Name] {
			continue
		}
		seen[b.Name] = true
		differ := func(what, a, b2 string) {
			out = append(out, pipeline.Finding{Feature: "boards." + b.Name,
				Message: fmt.Sprintf("%s has %s %s, but %s has %s: boards on one panel are made of one laminate", b.Name, what, b2, first.Name, a)})
		}
		if b.CopperCount != first.CopperCount {
			differ("a copper layer count of", fmt.Sprint(first.CopperCount), fmt.Sprint(b.CopperCount))
		}
		if b.Thickness != first.Thickness {
			differ("a thickness of", first.Thickness.String(), b.Thickness.String())
		}
		if b.Finish != first.Finish && b.Finish != "" && first.Finish != "" {
			differ("the finish", first.Finish, b.Finish)
		}
		if b.MaskColor != first.MaskColor && b.MaskColor != "" && first.MaskColor != "" {
			differ("the mask colour", first.MaskColor, b.MaskColor)
		}
	}
	return out, nil
}
