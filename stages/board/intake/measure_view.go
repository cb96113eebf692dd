package intake

import (
	"path"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// View is what a survey's picture shows: what is known of the board, whether or not it can be one.
type View struct {
	Name, Revision string
	Outline        OutlineReport
	Strokes        []geom.Edge // of the outline's file, as they were joined
	Layers         []panel.Layer
	Copper         int // layers
	Drills         []panel.DrillFile
	Parts          []panel.Part // with bodies; none where they are not in the coordinates of the layers
	Measures       []CopperMeasure
	Classes        []EdgeStretch
}

// View gives what there is to be drawn.
func (r *Result) View(paths []pipeline.InPath) View {
	v := View{Name: r.project.name, Revision: r.project.revision, Outline: r.Outline, Strokes: r.strokes,
		Copper: r.copper, Drills: r.drills, Measures: r.measures, Classes: r.classes}
	if v.Name == "" && len(paths) > 0 {
		v.Name = path.Base(paths[0].Text)
		v.Name = strings.TrimSuffix(v.Name, path.Ext(v.Name))
	}
	for _, l := range r.layers {
		if l.is.Kind != panel.Profile && l.file.Image != nil {
			v.Layers = append(v.Layers, panel.Layer{Function: l.is, Image: l.file.Image, Source: l.file.Name})
		}
	}
	if !r.partsElsewhere {
		v.Parts = r.Bodies()
	}
	return v
}

// Layer gives the layer of a kind on a side, nil when there is none.
func (v View) Layer(k panel.FunctionKind, side panel.Side) *panel.Layer {
	for i, l := range v.Layers {
		if l.Function.Kind == k && l.Function.Side == side {
			return &v.Layers[i]
		}
	}
	return nil
}

// Empty tells whether there is nothing to draw.
func (v View) Empty() bool { return len(v.Layers) == 0 && len(v.Strokes) == 0 && !v.Outline.Found }
