package pipeline

import "context"

// StartRequest is what a first recipe for one board is to be made from.
type StartRequest struct {
	Files Files
	Paths []InPath // the board's files, as the recipe is to name them
	// Board is the board stage with what the files leave open answered, and BoardText its text; nil where there is none. Then
	// it says where the files are.
	Board     Stage
	BoardText string
	Panel     string // the panel's name; empty: made of the board's and the number of copies
	Rules     []Rule // the program's, for the limits that a proposal keeps to
	// Standards are the standards that lie near the recipe, as it would name them: they are told of, not taken.
	Standards []string
	Workers   int
	// Try carries a recipe out, but for the writing, and gives what was found.
	Try func(ctx context.Context, recipe []byte) ([]Finding, error)
}

// Started is a first recipe, or what must be known before there can be one.
type Started struct {
	Board  string `json:"board"`
	Panel  string `json:"panel,omitempty"`
	Way    string `json:"way,omitempty"` // how the boards are parted
	Recipe []byte `json:"-"`             // nil where Asks says what is missing
	// Says is what is proposed and why, in the order of the recipe.
	Says []Saying `json:"says"`
	// Tried are the ways that were carried out, in order; one of them is Taken.
	Tried []Tried `json:"tried"`
	// Asks is what keeps the files from being a board; Stage is the board stage that would answer it, once what
	// stands as "…" is filled in.
	Asks  []string `json:"asks,omitempty"`
	Stage string   `json:"stage,omitempty"`
	// Found is what carrying the recipe out found.
	Found []Finding `json:"-"`
}

// Saying is one choice and its reason.
type Saying struct {
	About string `json:"about"` // a word: array, rails …
	Text  string `json:"text"`
}

// Tried is one way of parting the boards that was carried out.
type Tried struct {
	Way      string `json:"way"`
	Errors   int    `json:"errors"`
	Warnings int    `json:"parts_near_breaks"` // warnings about parts near breaks, by which ways without errors are compared
	Why      string `json:"why,omitempty"`     // what speaks against it
	Taken    bool   `json:"taken"`
}
