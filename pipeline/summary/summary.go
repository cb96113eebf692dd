// Package summary tells what came of many recipes: as a table, as JSON, as JUnit XML and as Markdown. What it writes hangs on
// recipes, inputs and program alone, not on who built what, when, or in how many parts: the joined summaries of all parts are
// the summary of the whole, byte for byte.
package summary

import "panelwright/pipeline/run"

// Summary is what came of a call.
type Summary struct {
	Schema int          `json:"schema"` // 1
	Tool   run.ToolName `json:"tool"`
	Reject string       `json:"reject"`         // the least severity that closed the release gate
	Part   *Part        `json:"part,omitempty"` // which part of the recipes this is; nil: all
	Counts Counts       `json:"counts"`
	Builds []Row        `json:"builds"` // in the order of recipes and suppliers
	Exit   int          `json:"exit"`   // the worst of the builds'
}

// Part is one of several parts that recipes are split into.
type Part struct {
	Index int `json:"index"` // from 0
	Of    int `json:"of"`
}

// Counts counts builds by their state.
type Counts struct {
	Good     int               `json:"good"`
	Held     int               `json:"held_back"` // findings keep them from release
	Stopped  int               `json:"stopped"`   // recipe, input or machine failed
	Findings run.FindingCounts `json:"findings"`
}

// State is what became of one build.
type State string

// The states.
const (
	Good        State = "good"
	Held        State = "held back" // NOT FOR RELEASE
	Stopped     State = "stopped"
	Interrupted State = "interrupted"
)

// Row is one build.
type Row struct {
	Recipe   string             `json:"recipe"` // slashes, relative to where the program was started
	Panel    string             `json:"panel,omitempty"`
	Revision string             `json:"revision,omitempty"`
	Supplier string             `json:"supplier,omitempty"`
	State    State              `json:"state"`
	Findings *run.FindingCounts `json:"findings,omitempty"`
	Closing  []run.FindingRow   `json:"closing,omitempty"`  // the findings that close the gate
	Build    string             `json:"build,omitempty"`    // the build folder below the output folder, slashes
	Manifest string             `json:"manifest,omitempty"` // SHA-256 of its manifest.json
	Error    string             `json:"error,omitempty"`    // what stopped it, as people are told
	Exit     int                `json:"exit"`
}
