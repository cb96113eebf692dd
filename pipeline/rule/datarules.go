package rule

import "panelwright/pipeline"

// dataRules are about the boards' data.
func dataRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "reach-into-neighbour", Family: pipeline.DataFamily, Summary: "Nothing of one copy lies on another.",
			Severity: pipeline.Error, Judge: reachIntoNeighbour,
		},
		{
			Name: "cut-at-neighbour", Family: pipeline.DataFamily, Summary: "Boards have no data outside their outline that would land on a neighbouring copy.",
			Severity: pipeline.Warning, Judge: cutAtNeighbour,
		},
	}
}
