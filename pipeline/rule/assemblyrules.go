package rule

import "panelwright/pipeline"

// assemblyRules are about parts, and the line that places them.
func assemblyRules() []pipeline.Rule { return nil }
