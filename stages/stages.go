// Package stages lists the stages that come with the program. Each has a folder of its own; none
// imports another.
package stages

import "panelwright/pipeline"

// All gives every built-in stage, one line each, in the order in which a recipe uses them.
func All() []pipeline.Kind {
	return []pipeline.Kind{}
}
