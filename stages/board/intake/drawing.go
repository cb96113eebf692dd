package intake

import (
	"fmt"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/dxf"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// outlineOfDrawing takes the outline from a layer of a DXF drawing.
func (r *Result) outlineOfDrawing(f *File, rule *OutlineRule) {
	opt := dxf.Options{SetAside: true, UnitWins: true, Unit: map[string]dxf.Unit{"mm": dxf.MM, "inch": dxf.Inch, "mil": dxf.Mil, "um": dxf.Micron}[rule.Unit]}
	d, rep, err := dxf.Read(f.Name, f.text, opt)
	if err != nil {
		f.Err = unsaid(err, "outline", "mm", gerber.NumberFormat{})
		r.Problems = append(r.Problems, f.Err)
		return
	}
	f.Unit, f.By = rep.Unit.String(), "its content"
	for _, n := range rep.Notes {
		f.Remarks = append(f.Remarks, fmt.Sprintf("line %d: %s", n.Line, n.What))
	}
	l := r.drawnLayer(f, d, rule)
	if l == nil {
		return
	}
	if len(l.Refused) > 0 {
		r.Problems = append(r.Problems, l.Refused[0])
		return
	}
	f.Use = "profile, layer " + l.Name
	s := curves(l)
	r.Outline.Layer = l.Name
	r.outlineOf(f.Name, s, rule)
	flattened := 0
	for _, c := range l.Curves {
		if c.Flattened {
			flattened++
		}
	}
	if flattened > 0 {
		f.Remarks = append(f.Remarks, fmt.Sprintf("%s drawn in straight pieces within %s of them", counted(flattened, "ellipse or spline"), dxf.DefaultTolerance))
	}
	for _, g := range rep.Ignored {
		if g.Layer == l.Name && g.Drawn && g.Why == "" {
			r.find("drawing-ignored", pipeline.Warning, fmt.Sprintf("%s: %s on the layer %s did not count towards the outline (the first at line %d)", f.Name, counted(g.Count, g.Kind), g.Layer, g.Line))
		}
	}
}

// curves gathers the edges of a drawing's layer.
func curves(l *dxf.Layer) strokes {
	var s strokes
	for _, c := range l.Curves {
		if c.Hidden {
			continue
		}
		s.edges = append(s.edges, c.Path...)
		s.widest = max(s.widest, c.Width)
	}
	return s
}

// drawnLayer settles which of a drawing's layers draws the outline: the one that the recipe names, the
// only one that draws anything, the one whose name says it, or the only one of which a loop holds the
// board's pads and holes.
func (r *Result) drawnLayer(f *File, d *dxf.Drawing, rule *OutlineRule) *dxf.Layer {
	if rule.Layer != "" {
		l := d.Layer(rule.Layer)
		if l == nil {
			r.problem(fmt.Sprintf("%s: the outline block names the layer %q, which the drawing does not have", f.Name, rule.Layer), "its layers are "+layerNames(d))
		}
		return l
	}
	var drawn, named, holds []*dxf.Layer
	for i := range d.Layers {
		l := &d.Layers[i]
		s := curves(l)
		if len(s.edges) == 0 && len(l.Refused) == 0 {
			continue
		}
		drawn = append(drawn, l)
		for _, w := range words(l.Name + ".dxf") {
			if k, _ := kindWord(w); k == panel.Profile || w == "edge" || w == "edges" || w == "board" {
				named = append(named, l)
				break
			}
		}
		if r.holds(s.edges) {
			holds = append(holds, l)
		}
	}
	switch {
	case len(drawn) == 0:
		r.problem(f.Name+": the drawing holds no lines: there is no outline to take from it", "export it again with the board's edge")
		return nil
	case len(drawn) == 1:
		return drawn[0]
	case len(named) == 1:
		return named[0]
	case len(holds) == 1:
		return holds[0]
	}
	r.problem(fmt.Sprintf("%s: several layers of the drawing could be the outline: %s", f.Name, layerNames(d)),
		"say in the recipe which one it is, in the board stage:\n"+outlineBlock("layer", drawn[0].Name))
	return nil
}

// holds tells whether some loop of the strokes holds most of the board's pads and holes.
func (r *Result) holds(edges []geom.Edge) bool {
	points := r.content()
	if len(points) < few {
		return false
	}
	s, err := geom.SketchOf(edges, r.req.Tolerance)
	if err != nil {
		return false
	}
	for _, l := range s.Loops {
		if 10*countIn(l.Path, points) >= 9*len(points) {
			return true
		}
	}
	return false
}

func layerNames(d *dxf.Drawing) string {
	var s []string
	for _, l := range d.Layers {
		if len(l.Curves) > 0 {
			s = append(s, fmt.Sprintf("%q (%s)", l.Name, counted(len(l.Curves), "curve")))
		}
	}
	return strings.Join(s, ", ")
}
