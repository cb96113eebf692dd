package mechanics

import "panelwright/pipeline/panel"

// constants lists what a panel is reckoned with.
func constants(s panel.Support) []Named {
	var out []Named
	for _, f := range panel.LaminateFigures() {
		out = append(out, Named{f.Words, *f.Of(&s.Laminate)})
	}
	if s.Force.Value > 0 {
		out = append(out, Named{"force that presses on one copy", s.Force})
	}
	return append(out, Named{"acceleration of free fall", panel.Constant{Value: gravity / 1000, Unit: "m/s2", Source: "3rd CGPM, 1901"}})
}
