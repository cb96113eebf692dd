package intake

import (
	"context"
	"fmt"
	"strings"

	"panelwright/pipeline"
)

// classify makes a File of each, says what kind it is, several at a time, and attaches the recipe's
// blocks.
func (r *Result) classify(ctx context.Context, got []gathered) error {
	r.Files = make([]*File, len(got))
	if err := pipeline.Each(ctx, r.req.Workers, len(got), func(i int) error {
		g := got[i]
		f := &File{Name: g.name, SHA256: g.sha256(), Bytes: int64(len(g.data)), Kind: OtherFile, Ignored: g.ignored}
		if f.Ignored == "" {
			f.Kind, f.Ignored = sniff(g.name, g.data)
		}
		r.Files[i] = f
		return nil
	}); err != nil {
		return err
	}
	for i := range r.req.Layers {
		r.attachLayer(&r.req.Layers[i])
	}
	for i := range r.req.Drills {
		attach(r, "drill", r.req.Drills[i].Files, DrillFile, &r.req.Drills[i], func(f *File) **DrillRule { return &f.drillRule })
	}
	for i := range r.req.Placements {
		r.takeForPlacement(&r.req.Placements[i])
		attach(r, "placement", r.req.Placements[i].Files, PlacementFile, &r.req.Placements[i], func(f *File) **PlacementRule { return &f.placementRule })
	}
	return nil
}

// takeForPlacement takes a text for a placement because a placement block names it, by its whole name,
// and says its columns: header lines come in more languages than are known here.
func (r *Result) takeForPlacement(rule *PlacementRule) {
	if len(rule.Columns) == 0 || strings.ContainsAny(rule.Files, `*?[\`) {
		return
	}
	for _, f := range r.Files {
		if f.Kind == OtherFile && (f.Ignored == noPlaces || f.Ignored == noData) && matches(rule.Files, f.Name) {
			f.Kind, f.Ignored = PlacementFile, ""
		}
	}
}

// attachLayer finds the files that a layer block means. One that ignores may mean any file.
func (r *Result) attachLayer(rule *LayerRule) {
	hits := 0
	for _, f := range r.Files {
		if !matches(rule.Files, f.Name) {
			continue
		}
		hits++
		switch {
		case f.layerRule != nil:
			r.problem(fmt.Sprintf("%s: the layer blocks %q and %q both mean it", f.Name, f.layerRule.Files, rule.Files), "narrow one of the patterns")
		case rule.Ignore:
			f.layerRule = rule
			f.Ignored = "the recipe says so: " + rule.Reason
		case f.Kind != LayerFile:
			r.problem(fmt.Sprintf("%s: the layer block %q gives it a function, but it holds no layer data (%s)", f.Name, rule.Files, f.what()),
				"take the block away, or name a layer file")
		default:
			f.layerRule = rule
		}
	}
	if hits == 0 {
		r.problem(fmt.Sprintf("the layer block %q matches none of the board's files", rule.Files), r.names("files", ""))
	}
}

// attach finds the files of one kind that a block means.
func attach[T interface{ DrillRule | PlacementRule }](r *Result, block, pattern string, kind Kind, rule *T, of func(*File) **T) {
	hits := 0
	for _, f := range r.Files {
		if f.Kind != kind && !(kind == DrillFile && f.namedDrill(pattern)) || !matches(pattern, f.Name) {
			continue
		}
		hits++
		if *of(f) != nil {
			r.problem(fmt.Sprintf("%s: two %s blocks mean it, one of them %q", f.Name, block, pattern), "narrow one of the patterns")
		}
		*of(f) = rule
	}
	if hits == 0 {
		r.problem(fmt.Sprintf("the %s block %q matches none of the board's %s files", block, pattern, block), r.names(block+" files", kind))
	}
}

// what says the kind of a file and, for one that is not read, why.
func (f *File) what() string {
	if f.Kind == OtherFile {
		return f.Ignored
	}
	return string(f.Kind)
}

// names lists the board's files of a kind, of every kind for none.
func (r *Result) names(what string, kind Kind) string {
	var names []string
	for _, f := range r.Files {
		if kind == "" || f.Kind == kind {
			names = append(names, f.Name)
		}
	}
	switch {
	case len(names) == 0:
		return "there are no " + what
	case len(names) > 12:
		names = append(names[:12], "…")
	}
	return "its " + what + " are " + strings.Join(names, ", ")
}
