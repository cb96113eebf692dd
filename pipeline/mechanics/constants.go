package mechanics

import (
	"panelwright/pipeline/mechanics/breakage"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// Constants lists what a panel is reckoned with: reports tell it, and findings by it.
func Constants(s panel.Support) []Named {
	var out []Named
	for _, f := range panel.LaminateFigures() {
		out = append(out, Named{f.Words, f.Short, *f.Of(&s.Laminate)})
	}
	const memory = "from memory, no published source"
	out = append(out,
		Named{"mean over the share of a place that copper covers, its power: -1 is the mean of compliances, the most yielding, which tells too much of sag rather than too little; breaking takes bare laminate", "power of the mean over copper's share",
			panel.Constant{Value: laminate.CopperPower, Source: "series bound, A. Reuss, 1929"}},
		Named{"part of the section that bears transverse shear, as if it were laminate all through", "shear factor",
			panel.Constant{Value: Digits(float64(shearOf) / shearIn), Source: "5/6, E. Reissner, J. Appl. Mech. 12, 1945"}},
		Named{"acceleration of free fall", "free fall", panel.Constant{Value: gravity / 1000, Unit: "m/s2", Source: "3rd CGPM, 1901"}},
		Named{"from the far edge of what is broken off to the middle of the hand's grip", "hand's grip", panel.Constant{Value: breakage.Grip.MM(), Unit: "mm", Source: memory}},
		Named{"rate of strain where boards are parted by hand, that their limit is for", "rate of strain", panel.Constant{Value: breakage.Rate, Unit: "microstrain/s", Source: memory}},
		Named{"how far from a break parts are looked at", "parts looked at within", panel.Constant{Value: breakage.Reach.MM(), Unit: "mm", Source: "common practice, no published source"}},
	)
	if s.Force.Value > 0 {
		out = append(out, Named{"force that presses on one copy", "pressed with", s.Force})
	}
	return out
}
