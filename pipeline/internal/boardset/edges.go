package boardset

// edges is what the open boards have along their outer edges, as one sees on their layers, stretch by
// stretch. Those that are not listed are plain.
var edges = map[string][]string{
	"module-6l-slots":  {"castellated 16", "castellated 12"},                                              // both long edges
	"notched-2l-large": {"fingers 62"},                                                                    // a card edge: 31 contacts on each side
	"tiny-4l-blind":    {"fingers 2", "fingers 4"},                                                        // the contacts of a plug, and two bare pads beside it that say ConnectorPad too
	"watch-2l-loops":   {"castellated 1", "castellated 1", "castellated 1", "fingers 5", "castellated 1"}, // holes to sew it on by, and the five bare contacts of a plug on a tongue
}
