package support

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// Laminate is the constants of a laminate. Its options are called as the constants are (panel.LaminateFigures).
type Laminate struct {
	ElasticWarp    *pipeline.Quantity `option:"elastic_warp" help:"elastic modulus in bending along the warp, in GPa"`
	ElasticFill    *pipeline.Quantity `option:"elastic_fill" help:"the same along the fill"`
	Shear          *pipeline.Quantity `option:"shear" help:"shear modulus in the plane between warp and fill, in GPa"`
	Poisson        *float64           `option:"poisson" range:"0..0.9" help:"contraction along the fill where the warp is pulled"`
	Density        *pipeline.Quantity `option:"density" help:"with its glass, without copper, in kg/m3"`
	StrengthWarp   *pipeline.Quantity `option:"strength_warp" help:"flexural strength along the warp that the material has at least, in MPa: whether it holds is judged by that"`
	StrengthFill   *pipeline.Quantity `option:"strength_fill" help:"the same along the fill"`
	HighestWarp    *pipeline.Quantity `option:"highest_warp" help:"flexural strength along the warp that it has at most, in MPa: breaking takes so much"`
	HighestFill    *pipeline.Quantity `option:"highest_fill" help:"the same along the fill"`
	HotElastic     *float64           `option:"hot_elastic" range:"0.01..1" help:"how much of its stiffness is left in the oven"`
	HotStrength    *float64           `option:"hot_strength" range:"0.01..1" help:"how much of its strength is left in the oven"`
	Notch          *float64           `option:"notch" range:"1..10" help:"stress at the edges of perforations, of section moment over section modulus"`
	Through        *pipeline.Quantity `option:"through" help:"elastic modulus through the thickness, in GPa: it counts at score lines"`
	ShearThrough   *pipeline.Quantity `option:"shear_through" help:"shear modulus between a face and the thickness, in GPa: likewise"`
	PoissonThrough *float64           `option:"poisson_through" range:"0..0.9" help:"contraction through the thickness where a face is pulled: likewise"`
	CopperElastic  *pipeline.Quantity `option:"copper_elastic" help:"elastic modulus of the copper, in GPa"`
	CopperPoisson  *float64           `option:"copper_poisson" range:"0..0.49" help:"contraction of the copper"`
	CopperDensity  *pipeline.Quantity `option:"copper_density" help:"of the copper, in kg/m3"`
	Foil           *geom.Length       `option:"foil" range:"0.001..1" help:"thickness of copper layers of which nobody says it"`
	Source         string             `option:"source" help:"where the constants given here come from, such as the datasheet; it stands beside every result"`
}

// figure is one constant as a recipe gives it; nil where it does not.
type figure struct {
	quantity *pipeline.Quantity
	plain    *float64
}

// given gives the constants by the names of their options.
func (l Laminate) given() map[string]figure {
	q := func(v *pipeline.Quantity) figure { return figure{quantity: v} }
	f := func(v *float64) figure { return figure{plain: v} }
	all := map[string]figure{
		"elastic_warp": q(l.ElasticWarp), "elastic_fill": q(l.ElasticFill), "shear": q(l.Shear), "poisson": f(l.Poisson), "density": q(l.Density),
		"strength_warp": q(l.StrengthWarp), "strength_fill": q(l.StrengthFill), "highest_warp": q(l.HighestWarp), "highest_fill": q(l.HighestFill),
		"hot_elastic": f(l.HotElastic), "hot_strength": f(l.HotStrength), "notch": f(l.Notch),
		"through": q(l.Through), "shear_through": q(l.ShearThrough), "poisson_through": f(l.PoissonThrough),
		"copper_elastic": q(l.CopperElastic), "copper_poisson": f(l.CopperPoisson), "copper_density": q(l.CopperDensity), "foil": {},
	}
	if l.Foil != nil {
		v := l.Foil.MM()
		all["foil"] = f(&v)
	}
	return all
}

// within is between what a quantity must lie, by its unit: what lies beyond is a slip of the pen or of the unit.
var within = map[string][2]float64{"GPa": {0.1, 1000}, "MPa": {1, 10000}, "kg/m3": {100, 30000}}

// laminate gives the laminate's constants: those given, for the rest the usual ones; and what is wrong with those given.
func (s *Support) laminate() (panel.Laminate, []error) {
	l := laminate.Default()
	if s.Warp != "" {
		l.Warp = s.Warp
	}
	if len(s.Laminate) == 0 {
		return l, nil
	}
	var errs []error
	bad := func(o, why string) {
		errs = append(errs, &pipeline.BadOption{Option: "laminate " + o, Reason: why})
	}
	source := s.Laminate[0].Source
	if source == "" {
		source = ownFigure
	}
	given := s.Laminate[0].given()
	for _, f := range panel.LaminateFigures() {
		switch x := given[f.Key]; {
		case x.quantity != nil:
			if !x.quantity.Fits(f.Unit) {
				bad(f.Key, fmt.Sprintf("must be in %s, and is in %s", f.Unit, x.quantity.Unit))
			} else if r := within[f.Unit]; !(x.quantity.Value >= r[0] && x.quantity.Value <= r[1]) {
				why := fmt.Sprintf("is %v %s, and must lie between %v and %v %s", x.quantity.Value, f.Unit, r[0], r[1], f.Unit)
				if less := x.quantity.Value / 1000; f.Unit == "GPa" && less >= r[0] && less <= r[1] {
					why += fmt.Sprintf("; if MPa are meant, it is %v", less)
				}
				bad(f.Key, why)
			}
			*f.Of(&l) = panel.Constant{Value: x.quantity.Value, Unit: f.Unit, Source: source}
		case x.plain != nil:
			*f.Of(&l) = panel.Constant{Value: *x.plain, Unit: f.Unit, Source: source}
		}
	}
	if len(errs) > 0 {
		return l, errs
	}
	was := func(key string) bool { x := given[key]; return x.quantity != nil || x.plain != nil }
	for _, x := range []struct {
		low, high   string
		least, most panel.Constant
	}{{"strength_warp", "highest_warp", l.StrengthWarp, l.HighestWarp}, {"strength_fill", "highest_fill", l.StrengthFill, l.HighestFill}} {
		switch {
		case x.least.Value <= x.most.Value:
		case was(x.high):
			bad(x.high, fmt.Sprintf("must be at least %s, %v MPa", x.low, x.least.Value))
		case was(x.low):
			bad(x.low, fmt.Sprintf("is more than %s, %v MPa: say that too", x.high, x.most.Value))
		}
	}
	// Otherwise a plate would give energy when it is bent (S. G. Lekhnitskii, Anisotropic Plates, 1968).
	if p := l.Poisson.Value; was("poisson") || was("elastic_warp") || was("elastic_fill") {
		if float64(p*p)*l.ElasticFill.Value >= l.ElasticWarp.Value && l.ElasticWarp.Value > 0 {
			bad("poisson", fmt.Sprintf("must be less than the root of elastic_warp over elastic_fill, %v over %v GPa", l.ElasticWarp.Value, l.ElasticFill.Value))
		}
	}
	return l, errs
}
