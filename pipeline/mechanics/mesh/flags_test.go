package mesh

import "flag"

var (
	seed   = flag.Uint64("seed", 0, "of the first random scene of each kind")
	scenes = flag.Uint64("scenes", 0, "how many random scenes of each kind; 0 stands for a few")
)
