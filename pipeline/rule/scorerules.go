package rule

import "panelwright/pipeline"

// scoreRules are about score lines.
func scoreRules() []pipeline.Rule {
	toScore, toScoreLeast := copperRule(scoreLines, allLayers, false)
	return []pipeline.Rule{
		{
			Name: "copper-to-score", Family: pipeline.CutsFamily, Summary: "Copper keeps away from score lines, measured from the line's middle.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.5), Source: "a fabricator's table for boards about 1.55 mm thick (wedirekt.co.uk, routing and scoring)",
			Severity: pipeline.Error, Judge: toScore, Measure: toScoreLeast,
		},
	}
}
