package pipeline

import (
	"context"

	"panelwright/pipeline/geom"
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
	Family   Family   //
	Summary  string   // one sentence
	Bound    Bound    //
	Unit     string   // "mm", "deg", "" …
	Default  *float64 // the limit where neither recipe nor standard sets one; nil: not judged then
	Source   string   // where Default comes from
	Help     string   // what it is for, how it is measured, what to do: a few sentences
	Severity Severity // unless the recipe says otherwise
	JudgedBy string   // the stage that judges it, or "the proof"; empty: the rules stage, by Judge
	// Place is where findings of the rule are, as a waiver names it: an example for help; empty for a copy.
	Place string
	// NotLessThan names a rule whose limit, where it is higher, counts here too; empty for none.
	NotLessThan string
	// DefaultFor, where a rule has it, gives the limit for this panel where neither recipe nor standard sets
	// one: a table by thickness. It replaces Default and Source, which then say what holds in general.
	DefaultFor func(p panel.Panel) (limit *float64, source string)
	// Judge returns findings with Rule, Unit and Source left empty: the rules stage fills them, and
	// Limit too unless the rule has set it, because what it asks for goes beyond the limit that was set. A
	// Severity that it sets is the most that the finding may weigh, whatever the recipe says: it rests on a guess.
	Judge func(ctx context.Context, c Case) ([]Finding, error)
	// Measure, where a rule has it, gives the worst figure on the panel, whether or not it breaks the limit.
	// c is what Judge was given, and found what it told of, so that nothing need be looked at twice.
	Measure func(ctx context.Context, c Case, found []Finding) (Figure, error)
	// Missing, where a rule has it, says as a sentence what the panel lacks for the rule to be judged; empty: nothing. Then
	// neither Judge nor Measure is called, and reports say why.
	Missing func(ctx context.Context, c Case) (string, error)
	// Fields, where a rule has it, gives figures that vary over the panel, to be shown in the report.
	Fields func(ctx context.Context, c Case) ([]Field, error)
	// Contract is the version of the contract that the rule is written for, as a number: 1.
	Contract int
	// LogWorst has the worst figure logged as information, with its place; those of other rules are for who asks for details.
	LogWorst bool
}

// Figure is what a rule measured. Where there is no worst figure and something to measure all the same, all of it lies
// further from the limit than the rule looks.
type Figure struct {
	Worst   *Finding // its Measured is the figure
	Nothing bool     // the panel has nothing that the rule measures
}

// Family groups rules by what they are about.
type Family string

// The families.
const (
	DataFamily     Family = "data"
	PanelFamily    Family = "panel"
	RailsFamily    Family = "rails and marks"
	CutsFamily     Family = "cuts"
	AssemblyFamily Family = "assembly"
	HolesFamily    Family = "holes"
	// StrengthFamily is about whether a panel holds, and how it breaks: by calculation.
	StrengthFamily Family = "strength and stiffness"
	ProofFamily    Family = "proof"
)

// Case is what a rule judges.
type Case struct {
	Panel   panel.Panel
	Limit   float64           // in the rule's unit; 0 for NoBound
	Makers  []ProductionPanel // what the fabricator makes panels from, as recipe and standards say
	Workers int               // how many goroutines may be used; results do not depend on it
}

// ProductionPanel is a sheet that a fabricator makes panels from.
type ProductionPanel struct {
	Name                  string
	Width, Height, Border geom.Length // Border is not usable, at each side
	Between               geom.Length // panels
}
