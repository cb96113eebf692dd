// Package pipeline is the contract between the engine and the stages of a recipe, a shop's own
// among them: Stage, Kind, Env, Result, Finding, Rule. It knows no stage and no file format.
package pipeline

import (
	"context"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline/panel"
)

// A Stage is one step of a recipe: it turns a panel into the next panel.
//
// Its life: Kind.New makes it with its defaults set; the loader fills its exported fields from the
// recipe (see OptionsOf for the tags) and calls Check where it has one; the runner calls Run once.
type Stage interface {
	// Run leaves in unchanged. Equal options and panels give equal results: no clock, no
	// randomness, no file touched but through env. An error means that it cannot go on; what is
	// wrong with the panel it reports as findings. The runner adds the stage's name and source
	// line to an error: Run states only the problem.
	Run(ctx context.Context, env *Env, in panel.Panel) (Result, error)
}

// Contract is the version of this contract that the program serves: of Stage, Kind, Env, Result, Finding and Rule, and of the
// JSON that a shop's helper is handed. It goes up when code written for it would no longer do what it did.
const Contract = 1

// Result is what a stage leaves.
type Result struct {
	Panel panel.Panel
	// Values is what later stages may read, by dotted path: "boards.gauge" with an object of
	// width, height … makes boards.gauge.width. They must have the types that ValueTypes told.
	Values map[string]cty.Value
}

// Role orders the stages of a recipe. Roles may repeat but never go backwards.
type Role int

// The roles, in their order.
const (
	Source Role = iota // brings boards in
	Shape              // makes and changes the panel
	Judge              // finds what is wrong, changes nothing; what is agreed of bad copies it hands over (Env.Agreed)
	Write              // writes files, changes nothing
)

// String gives the role's name.
func (r Role) String() string { return [...]string{"source", "shape", "judge", "write"}[r] }

// Kind is what a recipe names: stage "array" { … }. A shop prefixes its own kinds: acme_serial.
type Kind struct {
	Name    string       // lower-case words joined by underscores
	Summary string       // one sentence
	Role    Role         // unless the stage is a Roler
	New     func() Stage // a pointer to an options struct with its defaults set
	// Contract is the version of the contract that the kind is written for, as a number: 1. A program that serves
	// another one refuses it.
	Contract int
}

// Checker refuses options before any stage has run. It is called with options whose value is not
// known yet (read from an earlier stage) left at their defaults, and again before Run.
type Checker interface {
	// Check returns nil, or an error; a *BadOption (or several, joined by errors.Join) points
	// the message at the option's source line.
	Check() error
}

// Parts is what a call needs from earlier calls and what it gives to later ones, as words such as
// "boards.gauge", "copies", "rails". The loader refuses a recipe in which a need comes before its gift.
//
// Ends are parts that no later call may give, because they would not be where this call has reckoned with them.
type Parts struct{ Needs, Gives, Ends []string }

// Parter tells a stage's parts, which may depend on its options.
type Parter interface{ Parts() Parts }

// Roler is for stages whose role follows from their options. The kind's own role is that of the options as New sets them.
type Roler interface{ Role() Role }

// Valuer tells the types of the Values a stage's Run will return, by the same dotted paths, so that
// expressions that read them can be checked before anything runs.
type Valuer interface{ ValueTypes() map[string]cty.Type }

// Schemer is for stages that read or write JSON of a form of their own: it gives the JSON Schema (2020-12) of each form, by a word
// such as "in" or "out". People get it by options --schema STAGE WORD.
type Schemer interface{ Schemas() map[string][]byte }

// RuleChecker is for stages whose options name rules: it is called with the program's rules.
type RuleChecker interface{ CheckRules([]Rule) error }

// BadOption is an error in one option of a stage. The loader adds file, line and stage.
type BadOption struct {
	Option string // as the recipe writes it; "limit copper-to-edge at_least" for one inside a block
	Reason string // what is wrong and what to do, a sentence without its subject: "must be …"
	Do     string // what to do, a line of its own; where it is empty, the stage's options are pointed at
}

// Error states the option and the reason.
func (b *BadOption) Error() string { return "option " + b.Option + " " + b.Reason }
