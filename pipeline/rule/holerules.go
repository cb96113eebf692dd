package rule

import "panelwright/pipeline"

// holeRules are about holes.
func holeRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "hole-off-panel", Family: pipeline.HolesFamily, Summary: "Every hole of a board lies wholly on the panel.",
			Severity: pipeline.Warning, Judge: holeOffPanel,
		},
		{
			Name: "hole-spacing", Family: pipeline.HolesFamily, Summary: "Perforations and tooling holes keep material between one another and to the boards' holes.",
			Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "an assembler's page (pcbcart.com, panel requirements): at least 0.25 mm between perforations",
			Severity: pipeline.Error, Judge: holeSpacing,
		},
	}
}
