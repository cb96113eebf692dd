package mechanics

import "panelwright/pipeline/panel"

// constants lists what a panel is reckoned with.
func constants(s panel.Support) []Named {
	l := s.Laminate
	out := []Named{
		{"elastic modulus along the warp (" + l.Warp + " of the panel)", l.ElasticWarp},
		{"elastic modulus along the fill", l.ElasticFill},
		{"shear modulus between warp and fill", l.Shear},
		{"Poisson's ratio, warp to fill", l.Poisson},
		{"density of the laminate", l.Density},
		{"flexural strength along the warp, at least", l.StrengthWarp},
		{"flexural strength along the fill, at least", l.StrengthFill},
		{"flexural strength along the warp, strong material", l.HighestWarp},
		{"flexural strength along the fill, strong material", l.HighestFill},
		{"factor of the elastic constants in the oven", l.HotElastic},
		{"factor of the strengths in the oven", l.HotStrength},
		{"notch factor at holes' edges", l.Notch},
		{"elastic modulus of copper", l.CopperElastic},
		{"Poisson's ratio of copper", l.CopperPoisson},
		{"density of copper", l.CopperDensity},
		{"copper of a layer of which nobody says it", l.Foil},
	}
	if s.Force.Value > 0 {
		out = append(out, Named{"force on one copy", s.Force})
	}
	return append(out, Named{"acceleration of free fall", panel.Constant{Value: gravity / 1000, Unit: "m/s2", Source: "3rd CGPM, 1901"}})
}
