// Package summary tells what came of many recipes: as a table, as JSON, as JUnit XML and as Markdown. What it writes hangs on
// recipes, inputs and program alone, not on who built what, when, or in how many parts: the joined summaries of all parts are
// the summary of the whole, byte for byte.
package summary

import (
	"cmp"
	"encoding/json"
	"fmt"
	"path"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/jsonlines"
	"panelwright/pipeline/run"
)

// Schema is the version of what summaries hold.
const Schema = 1

// Summary is what came of a call.
type Summary struct {
	Schema int          `json:"schema"` // 1
	Tool   run.ToolName `json:"tool"`
	Reject string       `json:"reject"` // the least severity that closed the release gate
	// Given and Epoch are what was set from outside: given values as they came, SOURCE_DATE_EPOCH.
	Given  map[string]string `json:"given,omitempty"`
	Epoch  *int64            `json:"source_date_epoch,omitempty"`
	Part   *Part             `json:"part,omitempty"` // which part of the recipes this is; nil: all
	Counts Counts            `json:"counts"`
	Builds []Row             `json:"builds"` // in the order of recipes and suppliers, by name
	Exit   int               `json:"exit"`   // the worst of the builds'
}

// Counts counts builds by their state.
type Counts struct {
	Good        int               `json:"good"`
	Held        int               `json:"held_back"` // findings keep them from release
	Stopped     int               `json:"stopped"`   // recipe, input or machine failed
	Interrupted int               `json:"interrupted,omitempty"`
	Findings    run.FindingCounts `json:"findings"`
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

// New makes a summary of builds, which come in any order, of what JSON keeps of them. Part is nil unless the recipes were split;
// it is what Part.Split gives.
func New(tool run.ToolName, reject pipeline.Severity, part *Part, builds []Row) Summary {
	s := Summary{Schema: Schema, Tool: tool, Reject: string(pipeline.Gate{Reject: reject}.Level()), Part: part, Builds: asRead(builds)}
	for i, r := range s.Builds {
		s.Builds[i].Recipe = cleanName(r.Recipe)
	}
	slices.SortStableFunc(s.Builds, compareRows)
	s.Counts, s.Exit = count(s.Builds)
	return s
}

// asRead gives builds as Read would: whatever is written from them is the same before and after.
func asRead(builds []Row) []Row {
	out := []Row{}
	data, err := json.Marshal(builds)
	if err != nil || json.Unmarshal(data, &out) != nil || out == nil {
		return append([]Row{}, builds...) // JSON tells why
	}
	return out
}

func compareRows(a, b Row) int {
	return cmp.Or(cmp.Compare(a.Recipe, b.Recipe), cmp.Compare(a.Supplier, b.Supplier))
}

func count(builds []Row) (n Counts, exit int) {
	for _, r := range builds {
		switch r.State {
		case Good:
			n.Good++
		case Held:
			n.Held++
		case Interrupted:
			n.Interrupted++
		default:
			n.Stopped++
		}
		if f := r.Findings; f != nil {
			n.Findings.Error += f.Error
			n.Findings.Warning += f.Warning
			n.Findings.Note += f.Note
			n.Findings.Waived += f.Waived
		}
		exit = max(exit, r.Exit)
	}
	return n, exit
}

// StateOf gives the state of a build that ended with the exit code.
func StateOf(exit int) State {
	switch exit {
	case 0:
		return Good
	case 1:
		return Held
	case 130:
		return Interrupted
	}
	return Stopped
}

// Title names the build: its recipe, and whom it is built for.
func (r Row) Title() string {
	if r.Supplier == "" {
		return r.Recipe
	}
	return r.Recipe + " for " + r.Supplier
}

// panelTitle names the panel and its revision; it is empty where the recipe did not get as far.
func (r Row) panelTitle() string {
	switch {
	case r.Panel == "":
		return ""
	case r.Revision == "":
		return "panel " + r.Panel
	}
	return "panel " + r.Panel + ", revision " + r.Revision
}

// reason is the first line of what stopped a build.
func (r Row) reason() string {
	first, _, _ := strings.Cut(strings.TrimSpace(r.Error), "\n")
	return first
}

// Words counts builds and findings in a sentence.
func (c Counts) Words() string {
	builds := c.Good + c.Held + c.Stopped + c.Interrupted
	parts := []string{fmt.Sprintf("%d good", c.Good)}
	for _, x := range []struct {
		n    int
		what string
	}{{c.Held, string(Held)}, {c.Stopped, string(Stopped)}, {c.Interrupted, string(Interrupted)}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.what))
		}
	}
	return run.Count(builds, "build", "builds") + ": " + strings.Join(parts, ", ")
}

// forms are the endings of files that a summary can be written to.
var forms = map[string]func(Summary) ([]byte, error){
	".json": Summary.JSON,
	".xml":  Summary.JUnit,
	".md":   func(s Summary) ([]byte, error) { return s.Markdown(), nil },
}

// CheckName refuses the name of a file that no summary can be written to, by its ending.
func CheckName(fileName string) error {
	if forms[strings.ToLower(path.Ext(fileName))] == nil {
		return fmt.Errorf("%s: a summary is written as JSON, JUnit or Markdown, and the name says which: let it end in .json, .xml or .md", fileName)
	}
	for _, end := range []string{".panel.json", ".standard.json"} {
		if strings.HasSuffix(strings.ToLower(fileName), end) {
			return fmt.Errorf("%s: names that end in %s are those of recipes and standards; give the summary another", fileName, end)
		}
	}
	return nil
}

// As writes the summary in the form that the ending of the file's name asks for: .json, .xml (JUnit) or .md (Markdown). Errors:
// another ending.
func (s Summary) As(fileName string) ([]byte, error) {
	if err := CheckName(fileName); err != nil {
		return nil, err
	}
	return forms[strings.ToLower(path.Ext(fileName))](s)
}

// JSON writes the summary for machines, and for Join. It ends with a newline.
func (s Summary) JSON() ([]byte, error) { return jsonlines.Indented(s) }
