package rule

import (
	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Copper keeps away from a score line by a fabricator's table and by what geometry asks for, whichever is more.
const (
	copperToScore      = "copper-to-score"
	innerCopperToScore = "inner-copper-to-score"
)

// scoreRules are about score lines.
func scoreRules() []pipeline.Rule {
	const help = "Measured from the line's middle to the nearest copper, by its true shape. The blade's groove is as wide at the surface as twice depth x tan(half the included angle); " +
		"copper must keep off half of that and the tolerance of the line's position at least, however small a limit is set; that the cuts of both faces may lie beside each other, and the web come out thinner, is for the limit to cover. Blank laminate that stays beside a line (leave) counts: " +
		"it keeps copper away. What to do: space the boards and leave blank laminate, take a blade of a smaller angle, move the copper, or part the boards by tabs."
	return []pipeline.Rule{
		{
			Name: "score-through-board", Family: pipeline.CutsFamily, Summary: "No score line runs through a board.",
			Bound: pipeline.AtMost, Unit: "mm", Default: limit(0), Source: "common practice, no published source: a blade cuts all that lies on its line",
			Severity: pipeline.Error, Judge: scoreThroughBoard,
			Help: "Measured is how far the line lies inside of the board's edge, at most. Lines run straight from edge to edge of the panel, so boards must stand in full rows and columns; " +
				"where they do not, take the other boards' gap for the line, or let lines jump if the fabricator can lift the blade.",
		},
		{
			Name: copperToScore, Family: pipeline.CutsFamily, Summary: "Copper of outer layers keeps away from score lines, measured from the line's middle.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(0.5), Source: "a fabricator's table for boards about 1.55 mm thick (wedirekt.co.uk, routing and scoring)",
			DefaultFor: copperToScoreFor, Severity: pipeline.Error, Judge: copperToScores(outerLayers), Measure: leastToScore(outerLayers), LogWorst: true,
			Help: help + " Where neither recipe nor standard sets a limit, the fabricator's table counts by the panel's thickness: 0.40 mm to 1.0 mm thick, 0.50 to 1.6, 0.60 to 2.0, 0.70 above.",
		},
		{
			Name: innerCopperToScore, Family: pipeline.CutsFamily, Summary: "Copper of inner layers keeps away from score lines, at least as far as that of outer layers.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(0.5), Source: "as for outer layers (wedirekt.co.uk, routing and scoring)",
			DefaultFor: copperToScoreFor, Severity: pipeline.Error, NotLessThan: copperToScore, Judge: copperToScores(innerLayers), Measure: leastToScore(innerLayers), LogWorst: true,
			Help: help + " A limit below that of copper-to-score is raised to it: layers shift when they are pressed, and the groove's tip may meet them.",
		},
		{
			Name: "hole-to-score", Family: pipeline.CutsFamily, Summary: "Holes keep away from score lines, from the hole's rim to the line's middle.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(0.5), Source: "as copper: common practice, no published source",
			Severity: pipeline.Error, Judge: holeToScore,
			Help: "Boards' holes and slots, and tooling holes. A groove that opens a hole leaves a crack in its wall or a burr, and a break runs into it. The groove's half width and the line's tolerance count at least, as for copper. A hole that the line cuts is an error, one that is too near a warning.",
		},
		{
			Name: "score-on-edge-class", Family: pipeline.CutsFamily, Summary: "No score line runs along an edge that is castellated, plated or has contact fingers.",
			Bound: pipeline.AtMost, Unit: "mm", Default: limit(0), Source: "common practice, no published source: such edges are routed",
			Severity: pipeline.Error, Judge: scoreOnClass,
			Help: "Measured is the length of such an edge on the line. A blade tears plating off and leaves a rough flank where contacts slide. Rout that side, or turn the boards.",
		},
		{
			Name: "edge-on-score", Family: pipeline.CutsFamily, Summary: "A board lies along each of its score lines for a good length.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(5), Source: "from memory, no published source",
			Severity: pipeline.Error, Judge: edgeOnScore,
			Help: "Measured is how much of the straight edge of the board, blank laminate that stays on it counted, lies on the line at one side. Round or slanted boards touch a line in a point: there is nothing that holds them, " +
				"and nothing for the blade to part. Leave blank laminate round such boards, turn them, or part them by tabs.",
		},
		{
			Name: "score-spacing", Family: pipeline.CutsFamily, Summary: "Parallel score lines keep apart.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(5), Source: "a fabricator's guideline (eurocircuits.de, customer-panel guidelines)",
			Severity: pipeline.Error, Judge: scoreSpacing,
			Help: "Measured from line to line. Between two lines that lie near each other the blade's guides find no hold, and the strip breaks while it is cut.",
		},
		{
			Name: "score-thickness", Family: pipeline.CutsFamily, Summary: "Boards that are scored are thick enough.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(0.8), Source: "a fabricator's least (multi-circuit-boards.eu, v-scoring); 1.0 mm is advised, 0.5 on request",
			Severity: pipeline.Error, Judge: scoreThickness,
			Help: "Measured is the panel's thickness. Thinner laminate bends away from the blade, and the web comes out uneven. Use tabs.",
		},
		{
			Name: "score-web", Family: pipeline.CutsFamily, Summary: "The web that remains between the cuts is thick enough, at the worst of its tolerance.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(0.2), Source: "the least that a fabricator's table gives: 0.30 mm less its tolerance of 0.10 (wedirekt.co.uk, routing and scoring)",
			Severity: pipeline.Error, Judge: scoreWeb,
			Help: "Measured is the remaining web less its tolerance. A thinner web breaks while the panel is handled. Larger arrays want thicker webs.",
		},
		{
			Name: "score-run-out", Family: pipeline.CutsFamily, Summary: "A score line that jumps has room to enter and leave before the next board and the panel's edge.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(15), Source: "a fabricator's guideline: 15 mm each for run-in and run-out, border 15 mm at least, better 20 (multi-circuit-boards.eu, v-scoring)",
			Severity: pipeline.Error, Judge: scoreRunOut,
			Help: "Measured along the line from where it ends at its full depth to the next board, slot or edge of the panel. The round blade goes on by the root of depth x (blade diameter - depth), and suppliers add a margin: that is asked for at least, however small a limit is set.",
		},
		{
			Name: "scored-panel-side", Family: pipeline.CutsFamily, Summary: "A panel that is scored is large enough for the machine.",
			Bound: pipeline.AtLeast, Unit: "mm", Default: limit(100), Source: "a fabricator's guideline: 100 x 100 mm at least (eurocircuits.de, customer-panel guidelines)",
			Severity: pipeline.Warning, Judge: scoredSide,
			Help: "Measured is the panel's shorter side. The machine's rollers must hold the panel on both sides of the blade. Put more boards on it, or add rails.",
		},
	}
}

// copperToScoreFor is a fabricator's table by thickness; a thickness between two rows counts as the thicker one.
func copperToScoreFor(p panel.Panel) (*float64, string) {
	const source = "a fabricator's table by thickness (wedirekt.co.uk, routing and scoring)"
	for _, row := range []struct {
		upTo geom.Length
		mm   float64
	}{{1000 * geom.UM, 0.4}, {1600 * geom.UM, 0.5}, {2000 * geom.UM, 0.6}} {
		if p.Thickness() <= row.upTo {
			return limit(row.mm), source
		}
	}
	return limit(0.7), source
}
