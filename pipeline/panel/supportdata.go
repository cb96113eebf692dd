package panel

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/jsonlines"
)

// supportData is how the panel is carried; the constants of its laminate are a list of their own.
type supportData struct {
	Carried        Carrying   `json:"carried"`
	Sides          []RailSide `json:"sides,omitempty"`
	Grip           *mm        `json:"grip_mm,omitempty"`
	Pins           []xy       `json:"pins_mm,omitempty"`
	Force          float64    `json:"force_newton"`
	ForceFrom      string     `json:"force_source,omitempty"`
	Pressed        string     `json:"pressed,omitempty"`
	Warp           string     `json:"warp,omitempty"`
	OpenMesh       mm         `json:"open_mesh_mm"`
	FineMesh       mm         `json:"fine_mesh_mm"`
	MostSag        *float64   `json:"most_sag_percent,omitempty"`
	LeastReserve   *float64   `json:"least_reserve,omitempty"`
	LeastFrequency *float64   `json:"least_frequency_hertz,omitempty"`
}

// constantData is one constant of the laminate.
type constantData struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit,omitempty"`
	Source string  `json:"source,omitempty"`
}

func writeSupport(w *jsonlines.Object, s *Support) {
	x := supportData{Carried: s.Carried, Sides: s.Sides, Grip: some(s.Grip), Force: s.Force.Value, ForceFrom: s.Force.Source, Pressed: s.Pressed, Warp: s.Warp,
		OpenMesh: mm(s.Open), FineMesh: mm(s.Fine), MostSag: s.MostSag, LeastReserve: s.LeastReserve, LeastFrequency: s.LeastFrequency}
	for _, p := range s.Pins {
		x.Pins = append(x.Pins, at(p))
	}
	w.Line("support", x)
	jsonlines.List(w, "laminate", LaminateFigures(), func(f LaminateFigure) any {
		c := f.Of(&s.Laminate)
		return constantData{f.Key, c.Value, c.Unit, c.Source}
	})
}

func (r *reader) support(b *Builder, x *supportData, laminate []constantData) {
	if x == nil {
		if len(laminate) > 0 {
			r.fail("there are constants of a laminate, and no support")
		}
		return
	}
	s := Support{Carried: x.Carried, Sides: x.Sides, Grip: x.Grip.length(), Force: Constant{x.Force, forceUnit, x.ForceFrom}, Pressed: x.Pressed,
		Open: geom.Length(x.OpenMesh), Fine: geom.Length(x.FineMesh), MostSag: x.MostSag, LeastReserve: x.LeastReserve, LeastFrequency: x.LeastFrequency}
	s.Warp = x.Warp
	for _, p := range x.Pins {
		s.Pins = append(s.Pins, p.point())
	}
	all := LaminateFigures()
	if len(laminate) != len(all) {
		r.fail("the laminate has %d constants, and %d are wanted", len(laminate), len(all))
		return
	}
	for i, f := range all {
		c := laminate[i]
		if c.Name != f.Key {
			r.fail("constant %d of the laminate is %q, and %s is wanted", i+1, c.Name, f.Key)
		}
		*f.Of(&s.Laminate) = Constant{c.Value, c.Unit, c.Source}
	}
	b.SetSupport(s)
}

// forceUnit is what forces are in.
const forceUnit = "N"
