package rule

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// side makes a rule about the panel's longer or shorter side.
func side(long bool, bound pipeline.Bound) func(context.Context, pipeline.Case) ([]pipeline.Finding, error) {
	return func(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
		b := in.Panel.Outline().Box()
		l, which := min(b.Width(), b.Height()), "shorter"
		if long {
			l, which = max(b.Width(), b.Height()), "longer"
		}
		switch {
		case bound == pipeline.AtMost && l.MM() > in.Limit+tolerance:
			return []pipeline.Finding{sized(b, l, which, "more", in.Limit)}, nil
		case bound == pipeline.AtLeast && l.MM() < in.Limit-tolerance:
			return []pipeline.Finding{sized(b, l, which, "less", in.Limit)}, nil
		}
		return nil, nil
	}
}

func sized(b geom.Box, side geom.Length, which, how string, limit float64) pipeline.Finding {
	v := side.MM()
	return pipeline.Finding{
		Message: fmt.Sprintf("the panel is %s x %v; its %s side is %v, %s than %v mm",
			b.Width().Decimal(), b.Height(), which, side, how, limit),
		Measured: &v, Feature: "panel",
	}
}

// panelThickness makes a rule about how thick the panel is.
func panelThickness(bound pipeline.Bound) func(context.Context, pipeline.Case) ([]pipeline.Finding, error) {
	return func(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
		t := in.Panel.Thickness()
		how := ""
		switch {
		case bound == pipeline.AtMost && t.MM() > in.Limit+tolerance:
			how = "more"
		case bound == pipeline.AtLeast && t.MM() < in.Limit-tolerance:
			how = "less"
		default:
			return nil, nil
		}
		v, assumed := t.MM(), ""
		if all := in.Panel.Copies(); len(all) > 0 && all[0].Board.ThicknessAssumed {
			assumed = " (nobody says it: it is assumed)"
		}
		return []pipeline.Finding{{Feature: "panel", Measured: &v, Message: fmt.Sprintf("the panel is %v thick%s, %s than %v mm", t, assumed, how, in.Limit)}}, nil
	}
}

// panelAspect judges how many times longer than broad the panel is.
func panelAspect(_ context.Context, in pipeline.Case) ([]pipeline.Finding, error) {
	b := in.Panel.Outline().Box()
	long, short := max(b.Width(), b.Height()), min(b.Width(), b.Height())
	if short <= 0 || long.MM() <= float64(in.Limit*short.MM())+tolerance {
		return nil, nil
	}
	v := math.Round(float64(long)/float64(short)*1e6) / 1e6
	return []pipeline.Finding{{Feature: "panel", Measured: &v, Message: fmt.Sprintf("the panel is %s; it is %s times as long as broad, more than %v times",
		in.Panel.SizeText(), trim(v), in.Limit)}}, nil
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
		for i := range min(len(b.Foils), len(first.Foils)) {
			if b.Foils[i] != first.Foils[i] && len(b.Foils) == len(first.Foils) {
				differ(fmt.Sprintf("on copper layer %d a thickness of", i+1), first.Foils[i].String(), b.Foils[i].String())
				break
			}
		}
		if b.MaskColor != first.MaskColor && b.MaskColor != "" && first.MaskColor != "" {
			differ("the mask colour", first.MaskColor, b.MaskColor)
		}
	}
	return out, nil
}
