package intake

import (
	"fmt"
	"path"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// drillable tells whether a drill file holds holes and slots through layers, which is all that a panel
// carries: not work to a depth, and no span that only a person knows.
func (r *Result) drillable(f *File) bool {
	rule := f.drillRule
	if v := f.Drilling.Attributes.Get(".FileFunction"); len(v) > 0 {
		switch v[0] {
		case "Plated", "NonPlated", "MixedPlating":
			return true
		}
		r.problem(fmt.Sprintf("%s: its attribute .FileFunction says %s, which is not holes or slots through layers", f.Name, strings.Join(v, ",")),
			"agree it with the fabricator; or ignore it in the recipe:\n"+ignoreProposal(f.Name))
		return false
	}
	w := words(f.Name)
	has := func(names ...string) string {
		for i, x := range w {
			for _, n := range names {
				if (x == n || i > 0 && w[i-1]+x == n) && !r.inLayers(x) {
					return n
				}
			}
		}
		return ""
	}
	if n := has("backdrill", "backdrills", "backdrilling", "countersink", "counterbore", "depthdrill", "depthrout"); n != "" {
		r.problem(fmt.Sprintf("%s: its name says %s: drilling to a depth is not carried into a panel", f.Name, n),
			"agree it with the fabricator; or ignore it in the recipe:\n"+ignoreProposal(f.Name))
		return false
	}
	if n := has("blind", "buried", "microvia", "microvias", "uvia", "uvias"); n != "" && (rule == nil || rule.From == 0) {
		_, _, said := spanOf(r.jobFunction(f.Name))
		if !said {
			_, _, said = spanByName(f.Name, max(r.copper, 2))
		}
		if !said && f.Drilling.From == 0 {
			r.problem(fmt.Sprintf("%s: its name says %s, and nobody says which layers its holes go through", f.Name, n),
				fmt.Sprintf("say it in the recipe, in the board stage:\n  drill %q {\n    from = 1\n    to   = 2\n  }", f.Name))
			return false
		}
	}
	return true
}

// inLayers tells whether names of layer files have a word too: then it is the product's, not the
// drill file's.
func (r *Result) inLayers(word string) bool {
	for _, f := range r.Files {
		if f.Kind == LayerFile && strings.Contains(strings.ToLower(path.Base(f.Name)), word) {
			return true
		}
	}
	return false
}

// routedOutline tells of a slot that runs all round the board: a rout program for the single board,
// which would cut it out of any panel.
func (r *Result) routedOutline(drills []panel.DrillFile) {
	if !r.Outline.Found {
		return
	}
	board := r.Outline.Outline.Box()
	for _, d := range drills {
		box := geom.EmptyBox()
		for _, s := range d.Drilling.Routs {
			if round(s, board) {
				box = box.Union(s.Path.Box())
			}
		}
		if !box.Empty() && 10*box.Width() >= 9*board.Width() && 10*box.Height() >= 9*board.Height() {
			r.find("routed-outline", pipeline.Error, fmt.Sprintf("%s: it routs along the board's own outline: the panel's slots and tabs do that; have the file written without it", d.Source))
		}
	}
}

// round tells whether a slot is long enough to be a part of a way round the board.
func round(s artwork.Rout, board geom.Box) bool {
	b := s.Path.Box()
	return 4*b.Width() >= board.Width() && board.Width() > 0 || 4*b.Height() >= board.Height()
}
