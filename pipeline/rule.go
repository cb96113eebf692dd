package pipeline

import (
	"context"

	"panelwright/pipeline/panel"
)

// Bound says which way a rule's limit works.
type Bound string

// The bounds. NoBound is for rules that have no number: they hold or they do not.
const (
	AtLeast Bound = "at_least"
	AtMost  Bound = "at_most"
	NoBound Bound = ""
)

// Rule judges a finished panel. Rules know no stage: they read the panel model alone.
type Rule struct {
	Name     string   // words joined by hyphens: copper-to-edge
	Summary  string   // one sentence
	Bound    Bound    //
	Unit     string   // "mm", "deg", "" …
	Default  *float64 // the limit where neither recipe nor standard sets one; nil: not judged then
	Source   string   // where Default comes from
	Severity Severity // unless the recipe says otherwise
	JudgedBy string   // the stage that judges it, or "the proof"; empty: the rules stage, by Judge
	// Judge returns findings with Rule, Severity, Limit, Unit and Source left empty: the rules stage fills them.
	// limit is in Unit; it is 0 for NoBound.
	Judge func(ctx context.Context, p panel.Panel, limit float64) ([]Finding, error)
	// Measure, where a rule has it, gives the worst figure on the panel as a finding, whether or not it
	// breaks the limit; nil where there is nothing to measure.
	Measure func(ctx context.Context, p panel.Panel) (*Finding, error)
}
