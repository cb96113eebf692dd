// Package rule holds the built-in rules that a finished panel is judged by. A rule reads the panel
// model alone; the rules stage adds limit, severity and source to what it finds.
package rule

import (
	"slices"

	"panelwright/pipeline"
)

// All gives the built-in rules, in the order in which they are judged, and after them those that are judged
// elsewhere.
func All() []pipeline.Rule {
	all := slices.Concat(dataRules(), panelRules(), fabricatorRules(), railRules(), printRules(), thievingRules(), cutRules(), scoreRules(), holeRules(), mechanicsRules(), assemblyRules(), elsewhere())
	for i := range all {
		all[i].Contract = pipeline.Contract
		if place, ok := places[all[i].Name]; ok {
			all[i].Place = place
		}
		if how, ok := figures[all[i].Name]; ok {
			all[i].Measure = how(all[i])
		}
	}
	return all
}

func limit(v float64) *float64 { return &v }

// tolerance keeps a rounding from tipping a judgement: half a micrometre, in mm.
const tolerance = 0.0005
