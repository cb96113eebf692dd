package bounds

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// ownCuts is stage "gauge_cuts", as a shop might add one: it puts slots and perforations where it is told, which
// the project's own stages never put wrong.
func ownCuts() pipeline.Kind {
	return pipeline.Kind{Name: "gauge_cuts", Summary: "Adds slots and holes.", Role: pipeline.Shape, New: func() pipeline.Stage { return &cuts{} }}
}

type cuts struct {
	Slots []cutSlot `block:"slot" help:"a rectangle"`
	Holes []cutHole `block:"hole" help:"a perforation"`
}

type cutSlot struct {
	X      geom.Length `option:"x" range:"-1000..1000" help:"left"`
	Y      geom.Length `option:"y" range:"-1000..1000" help:"lower edge"`
	Width  geom.Length `option:"width" range:"0..1000" help:"along x"`
	Height geom.Length `option:"height" range:"0..1000" help:"along y"`
}

type cutHole struct {
	X        geom.Length `option:"x" range:"-1000..1000" help:"middle"`
	Y        geom.Length `option:"y" range:"-1000..1000" help:"middle"`
	Diameter geom.Length `option:"diameter" range:"0..1000" help:"finished"`
}

// Run adds them.
func (c *cuts) Run(_ context.Context, _ *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	e := in.Edit()
	for i, s := range c.Slots {
		box := geom.Box{Min: geom.Pt(s.X, s.Y), Max: geom.Pt(s.X+s.Width, s.Y+s.Height)}
		e.AddSlot(panel.Slot{ID: fmt.Sprintf("slot/%d", i+1), Outline: geom.Outline{Outer: geom.Rectangle(box)}})
	}
	for i, h := range c.Holes {
		e.AddPerforation(panel.Perforation{ID: fmt.Sprintf("own/hole/%d", i+1), Tab: "own", Copy: "A1", At: geom.Pt(h.X, h.Y), Diameter: h.Diameter})
	}
	p, err := e.Build()
	return pipeline.Result{Panel: p}, err
}
