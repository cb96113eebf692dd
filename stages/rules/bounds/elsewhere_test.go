package bounds

// elsewhere says where rules are tested that a stage judges while it plans, or the proof on what was written.
// No other rule may stand here.
var elsewhere = map[string]string{
	"board-not-held":  "stages/breakofftabs, and pipeline/outside/breakoff against the table of outlines",
	"part-not-known":  "stages/breakofftabs",
	"legend-date":     "stages/legend",
	"loose-piece":     "pipeline/proof/faults: planted in written files",
	"board-damaged":   "pipeline/proof/faults: planted in written files",
	"tab-missing":     "pipeline/proof/faults: planted in written files",
	"open-contour":    "pipeline/proof/faults: planted in written files",
	"written-profile": "pipeline/proof/faults: planted in written files",
	"written-layer":   "pipeline/proof/faults: planted in written files",
	"written-holes":   "pipeline/proof/faults: planted in written files",
	"written-score":   "pipeline/proof/faults: planted in written files",
	"written-file":    "pipeline/proof/faults: planted in written files",
}
