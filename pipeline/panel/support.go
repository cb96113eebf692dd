package panel

import "panelwright/pipeline/geom"

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

// Support tells how the panel is carried; nil where no stage says it.
func (p Panel) Support() *Support { return p.get().support }

// SetSupport says how the panel is carried.
func (b *Builder) SetSupport(s Support) *Builder {
	b.d.support = &s
	return b
}
