package laminate

import "panelwright/pipeline/panel"

// Default is the laminate where nobody says another: each constant with its source.
func Default() panel.Laminate {
	const (
		quoted  = "common practice: often quoted for woven glass and epoxy (oem-pcb.com)"
		minimum = "the least asked for of such laminate, tested by IPC-TM-650 2.4.4 (acevn.com)"
		sheet   = "a laminate's data sheet (hirosugi.jp, GG)"
		// Nothing published was found for strength above Tg.
		oven    = "from memory: above Tg 40 to 60 % of what it is at 25 C; the least is taken"
		memory  = "from memory"
		example = "an example for finite elements (ansyshelp, WB tutorial 59.5)"
	)
	return panel.Laminate{
		Warp:        "x",
		ElasticWarp: panel.Constant{Value: 24, Unit: "GPa", Source: quoted},
		ElasticFill: panel.Constant{Value: 21, Unit: "GPa", Source: quoted},
		Poisson:     panel.Constant{Value: 0.136, Source: quoted},
		Shear: panel.Constant{Value: 2.7, Unit: "GPa", Source: "from a modulus of 8.3 GPa quoted at 45 deg (forum.solidworks.com 11722); " +
			"sources disagree, 6.0 GPa stands in an example for finite elements (ansyshelp, WB tutorial 59.5): the more yielding is taken"},
		Density:      panel.Constant{Value: 1900, Unit: "kg/m3", Source: example},
		StrengthWarp: panel.Constant{Value: 415, Unit: "MPa", Source: minimum},
		StrengthFill: panel.Constant{Value: 345, Unit: "MPa", Source: minimum},
		HighestWarp:  panel.Constant{Value: 720, Unit: "MPa", Source: sheet},
		HighestFill:  panel.Constant{Value: 540, Unit: "MPa", Source: sheet},
		HotElastic:   panel.Constant{Value: 0.4, Source: oven},
		HotStrength:  panel.Constant{Value: 0.4, Source: "from memory: taken as the elastic factor, no published figure found"},
		// At a row of holes the greatest stress over that of the ligament's own width is 1.62 where holes are half as
		// wide as their pitch, and less where ligaments are narrower (tension, own finite elements, to 2 or 3 %). In
		// bending, each layer of a plate much thicker than its holes are wide is pulled like that; a plate much
		// thinner concentrates less (one hole: (5 + 3ν)/(3 + ν) = 1.79 instead of 3; R. E. Peterson, "Stress
		// Concentration Factors", 1974, after E. Reissner, from memory). So tension is the bound that is taken. What
		// it leaves out: a woven laminate's stiff directions heighten the peak, and so small a peak counts less than a
		// wide one (J. M. Whitney, R. J. Nuismer, J. Composite Materials 8, 1974, from memory).
		Notch: panel.Constant{Value: 1.6, Source: "row of holes half as wide as their pitch, pulled: 1.62 of the net section " +
			"(own finite elements, to 3 %); bending concentrates no more than pulling (Peterson 1974, from memory)"},
		Through:        panel.Constant{Value: 8, Unit: "GPa", Source: example},
		ShearThrough:   panel.Constant{Value: 3.5, Unit: "GPa", Source: example},
		PoissonThrough: panel.Constant{Value: 0.30, Source: example},
		CopperElastic:  panel.Constant{Value: 117, Unit: "GPa", Source: memory},
		CopperPoisson:  panel.Constant{Value: 0.34, Source: memory},
		CopperDensity:  panel.Constant{Value: 8960, Unit: "kg/m3", Source: memory},
		Foil:           panel.Constant{Value: 0.035, Unit: "mm", Source: "common practice, no published source"},
	}
}
