package panel

import (
	"slices"

	"panelwright/pipeline/geom"
)

// Carrying is how a panel is carried while it is worked on.
type Carrying string

// The ways of carrying.
const (
	// ByTwoRails: two opposite edges of the panel lie on the conveyor, free to turn.
	ByTwoRails Carrying = "rails"
	// ByPins: the panel lies on pins.
	ByPins Carrying = "pins"
	// ByOneRail: one edge of the panel is held fast, so that it can neither sink nor turn.
	ByOneRail Carrying = "one_rail"
)

// Constant is a figure that something is reckoned with, and where it comes from.
type Constant struct {
	Value  float64
	Unit   string // "GPa", "MPa", "kg/m3", "" for a ratio
	Source string
}

// Laminate is what the mechanics of a panel are reckoned with.
type Laminate struct {
	Warp                                        string   // the direction of the panel that the warp runs in: "x" or "y"
	ElasticWarp                                 Constant // GPa, in bending
	ElasticFill                                 Constant // GPa
	Shear                                       Constant // GPa, in the plane, between warp and fill
	Poisson                                     Constant // contraction along the fill where warp is pulled
	Density                                     Constant // kg/m3
	StrengthWarp                                Constant // MPa, flexural, the least that the material must have
	StrengthFill                                Constant // MPa
	HighestWarp                                 Constant // MPa, flexural, of strong material: breaking it takes so much at most
	HighestFill                                 Constant // MPa
	HotElastic                                  Constant // factor of the elastic constants in the oven
	HotStrength                                 Constant // factor of the strengths in the oven
	Through, ShearThrough, PoissonThrough       Constant // GPa, GPa, ratio: through the thickness, for grooves
	Notch                                       Constant // factor: stress at holes' edges over section moment through section modulus
	CopperElastic, CopperPoisson, CopperDensity Constant // GPa, ratio, kg/m3
	Foil                                        Constant // mm, of a copper layer of which nobody says it
}

// Support says how the panel is carried, what loads it, and what its mechanics are reckoned with.
type Support struct {
	Carried Carrying
	Sides   []RailSide   // ByTwoRails: two opposite ones; ByOneRail: one
	Grip    geom.Length  // how much of a held edge is held: ByOneRail
	Pins    []geom.Point // ByPins
	// Force presses on the middle of the copy Pressed; where that is empty, on the one that sinks furthest by
	// its weight. 0: none.
	Force   Constant // N
	Pressed string
	Laminate
	// Open and Fine are how large the triangles are in the open and at tabs.
	Open, Fine geom.Length
	// The limits that were set with the support: rules take them where the recipe sets no others. nil: none.
	MostSag, LeastReserve, LeastFrequency *float64 // %, ratio, Hz
}

// LaminateFigure is one of a laminate's constants: its name as an option, in words, shortly with the trade's symbols, and its unit.
type LaminateFigure struct {
	Key, Words, Short, Unit string
	Of                      func(*Laminate) *Constant
}

// LaminateFigures lists the constants of a laminate in the order in which they are told.
func LaminateFigures() []LaminateFigure {
	return []LaminateFigure{
		{"elastic_warp", "elastic modulus in bending, along the warp", "E warp", "GPa", func(l *Laminate) *Constant { return &l.ElasticWarp }},
		{"elastic_fill", "elastic modulus in bending, along the fill", "E fill", "GPa", func(l *Laminate) *Constant { return &l.ElasticFill }},
		{"shear", "shear modulus in the plane", "G", "GPa", func(l *Laminate) *Constant { return &l.Shear }},
		{"poisson", "contraction along the fill where the warp is pulled", "nu", "", func(l *Laminate) *Constant { return &l.Poisson }},
		{"density", "density of the laminate", "density", "kg/m3", func(l *Laminate) *Constant { return &l.Density }},
		{"strength_warp", "flexural strength along the warp, at least", "strength warp at least", "MPa", func(l *Laminate) *Constant { return &l.StrengthWarp }},
		{"strength_fill", "flexural strength along the fill, at least", "strength fill at least", "MPa", func(l *Laminate) *Constant { return &l.StrengthFill }},
		{"highest_warp", "flexural strength along the warp, at most", "strength warp at most", "MPa", func(l *Laminate) *Constant { return &l.HighestWarp }},
		{"highest_fill", "flexural strength along the fill, at most", "strength fill at most", "MPa", func(l *Laminate) *Constant { return &l.HighestFill }},
		{"hot_elastic", "stiffness in the oven, of that when cold", "E and G hot, of cold", "", func(l *Laminate) *Constant { return &l.HotElastic }},
		{"hot_strength", "strength in the oven, of that when cold", "strength hot, of cold", "", func(l *Laminate) *Constant { return &l.HotStrength }},
		{"notch", "stress at the edges of holes, of moment over section modulus", "notch factor", "", func(l *Laminate) *Constant { return &l.Notch }},
		{"through", "elastic modulus through the thickness", "E through", "GPa", func(l *Laminate) *Constant { return &l.Through }},
		{"shear_through", "shear modulus between a face and the thickness", "G through", "GPa", func(l *Laminate) *Constant { return &l.ShearThrough }},
		{"poisson_through", "contraction through the thickness where a face is pulled", "nu through", "", func(l *Laminate) *Constant { return &l.PoissonThrough }},
		{"copper_elastic", "elastic modulus of copper", "E copper", "GPa", func(l *Laminate) *Constant { return &l.CopperElastic }},
		{"copper_poisson", "contraction of copper", "nu copper", "", func(l *Laminate) *Constant { return &l.CopperPoisson }},
		{"copper_density", "density of copper", "density copper", "kg/m3", func(l *Laminate) *Constant { return &l.CopperDensity }},
		{"foil", "copper layer of which nobody says how thick it is", "copper layer", "mm", func(l *Laminate) *Constant { return &l.Foil }},
	}
}

// CarriedSides gives the sides by which a conveyor carries the panel where nobody says it: those of the rails above and
// below; where only rails at the left and right are there, those; without rails the longer sides.
func (p Panel) CarriedSides() []RailSide {
	has := func(s RailSide) bool { _, ok := p.Rail(s); return ok }
	lying, upright := []RailSide{Upper, Lower}, []RailSide{Left, Right}
	switch b := p.Outline().Box(); {
	case has(Upper) || has(Lower):
		return lying
	case has(Left) || has(Right):
		return upright
	case b.Width() >= b.Height():
		return lying
	}
	return upright
}

// Support tells how the panel is carried; nil where no stage says it. What it points to is the caller's own.
func (p Panel) Support() *Support {
	s := p.get().support
	if s == nil {
		return nil
	}
	c := s.clone()
	return &c
}

// SetSupport says how the panel is carried.
func (b *Builder) SetSupport(s Support) *Builder {
	s = s.clone()
	b.d.support = &s
	return b
}

// clone shares nothing with s.
func (s Support) clone() Support {
	s.Sides, s.Pins = slices.Clone(s.Sides), slices.Clone(s.Pins)
	for _, limit := range []**float64{&s.MostSag, &s.LeastReserve, &s.LeastFrequency} {
		if *limit != nil {
			v := **limit
			*limit = &v
		}
	}
	return s
}
