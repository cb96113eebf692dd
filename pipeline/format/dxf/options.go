package dxf

import (
	"strings"

	"panelwright/pipeline/geom"
)

// Options says how to read a file that leaves something out, and how much of it to accept.
type Options struct {
	// Unit is that of the numbers of a file that does not say it. Unitless: such a file is an error.
	Unit Unit

	// UnitWins makes Unit hold also for a file that says another one, which is told: headers are often
	// left as a drawing program sets them for every new drawing.
	UnitWins bool

	// Tolerance is how far a chord may stray from the ellipse or spline that it stands for. 0 means
	// 1 µm, which is less than routers repeat (common practice, no published source). It is at least
	// 10 nm, as ends are rounded to the nanometre.
	Tolerance geom.Length

	// SetAside makes what is drawn but cannot be read no error of Read but a Layer's Refused.
	SetAside bool

	MaxEntities     int // with inserts expanded; 0 means 500,000
	MaxEdges        int // of all curves; 0 means 2,000,000
	MaxDepth        int // of inserts in inserts; 0 means 16
	MaxSplinePoints int // control points and knots of one spline; 0 means 100,000
}

// The limits and the tolerance that hold where Options has none.
const (
	DefaultTolerance   = geom.UM
	leastTolerance     = 10 * geom.NM
	defaultEntities    = 500_000
	defaultEdges       = 2_000_000
	defaultDepth       = 16
	defaultSplineSizes = 100_000
)

// settled fills in the defaults.
func (o Options) settled() Options {
	set := func(v *int, d int) {
		if *v <= 0 {
			*v = d
		}
	}
	set(&o.MaxEntities, defaultEntities)
	set(&o.MaxEdges, defaultEdges)
	set(&o.MaxDepth, defaultDepth)
	set(&o.MaxSplinePoints, defaultSplineSizes)
	if o.Tolerance <= 0 {
		o.Tolerance = DefaultTolerance
	}
	o.Tolerance = max(o.Tolerance, leastTolerance)
	return o
}

// Unit is the unit of a drawing's numbers, with the numbers of $INSUNITS.
type Unit int

// The units in which boards are drawn. The header knows others.
const (
	Unitless Unit = 0
	Inch     Unit = 1
	MM       Unit = 4
	CM       Unit = 5
	Metre    Unit = 6
	Mil      Unit = 9
	Micron   Unit = 13
)

// units are all that $INSUNITS knows; those without a length are too large for anything that is drawn
// here. The last four are those of old surveys: a metre is 39.37 of their inches.
var units = [...]struct {
	name string
	nm   float64
}{
	0: {"no unit", 0}, 1: {"inch", 25.4e6}, 2: {"foot", 304.8e6}, 3: {"mile", 0}, 4: {"mm", 1e6}, 5: {"cm", 1e7}, 6: {"m", 1e9},
	7: {"kilometre", 0}, 8: {"microinch", 25.4}, 9: {"mil", 25.4e3}, 10: {"yard", 914.4e6}, 11: {"angstrom", 0.1},
	12: {"nm", 1}, 13: {"um", 1e3}, 14: {"dm", 1e8}, 15: {"decametre", 0}, 16: {"hectometre", 0}, 17: {"gigametre", 0},
	18: {"astronomical unit", 0}, 19: {"light year", 0}, 20: {"parsec", 0},
	21: {"US survey foot", 12e9 / 39.37}, 22: {"US survey inch", 1e9 / 39.37}, 23: {"US survey yard", 36e9 / 39.37}, 24: {"US survey mile", 0},
}

// known tells whether $INSUNITS knows the number.
func (u Unit) known() bool { return u >= 0 && int(u) < len(units) }

// nm is how many nanometres the unit has, 0 where it is none for boards.
func (u Unit) nm() float64 {
	if !u.known() {
		return 0
	}
	return units[u].nm
}

// String gives the unit's name: "mm", "inch", "mil", "um" and so on.
func (u Unit) String() string {
	if !u.known() {
		return "unknown unit"
	}
	return units[u].name
}

// UnitNamed gives the unit of a name that String gives, such as "mm", "inch" or "mil".
func UnitNamed(name string) (Unit, bool) {
	for u, x := range units {
		if x.nm > 0 && strings.EqualFold(x.name, name) {
			return Unit(u), true
		}
	}
	return Unitless, false
}
