// Package sarif writes logs of findings in the Static Analysis Results Interchange Format, SARIF version
// 2.1.0 (docs.oasis-open.org/sarif, errata 01 of 2023-08-28), as build servers and editors read them. It
// knows the format and nothing of what is judged.
package sarif

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
)

// What the format calls itself.
const (
	Version = "2.1.0"
	Schema  = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)

// Level is how much a result weighs.
type Level string

// The levels that the format has.
const (
	Error   Level = "error"
	Warning Level = "warning"
	Note    Level = "note"
	None    Level = "none" // for what was not judged
)

// Log is a log of one run.
type Log struct {
	Tool       Tool
	ID         string            // of what was judged: "gauge-12up"; empty: not written
	Bases      map[string]string // what the names of folders mean that locations are relative to
	Rules      []Rule
	Results    []Result
	Properties map[string]any // of the run; not written when empty
}

// Tool is the program that judged.
type Tool struct{ Name, Version string }

// Rule is what results are found under.
type Rule struct {
	ID         string
	Summary    string // one sentence; not written when empty
	Help       string // not written when empty
	Level      Level
	Properties map[string]any
}

// Result is one thing that was found.
type Result struct {
	Rule         string // its ID; one that is not among the rules is written without index
	Level        Level
	Message      string // not empty
	Place        *Place
	Logical      []Logical
	Fingerprints map[string]string
	Suppressions []Suppression
	NotJudged    bool // the rule was left out: the message says why, and the level is None
	Properties   map[string]any
}

// Place is a place in a text file.
type Place struct {
	Base         string // a key of Log.Bases; empty where File stands by itself
	File         string // relative, with slashes, as it is; it is written as a URI
	Line, Column int    // from 1; columns count characters. 0: not known
}

// Logical is a part of what was judged, by its name.
type Logical struct {
	Name string // unique in the run
	Kind string // a word of its own; not written when empty
}

// Suppression tells that a result was accepted in the files that were judged.
type Suppression struct {
	Justification string
	Place         *Place
}

// Encode writes the log, indented. Texts that are no UTF-8 get replacement characters. Errors: a log that the
// format cannot hold.
func Encode(l Log) ([]byte, error) {
	if l.Tool.Name == "" {
		return nil, fmt.Errorf("a SARIF log needs its tool's name")
	}
	index := map[string]int{}
	run := runJSON{ColumnKind: "unicodeCodePoints", Results: []resultJSON{}, Properties: l.Properties}
	run.Tool.Driver = driverJSON{Name: l.Tool.Name, Version: l.Tool.Version, Rules: []ruleJSON{}}
	if l.ID != "" {
		run.Automation = &automationJSON{l.ID + "/"} // the slash ends what names the run, with nothing to tell one run from the next
	}
	for name, text := range l.Bases {
		if run.Bases == nil {
			run.Bases = map[string]baseJSON{}
		}
		run.Bases[name] = baseJSON{messageJSON{text}}
	}
	for i, r := range l.Rules {
		if _, twice := index[r.ID]; twice || r.ID == "" {
			return nil, fmt.Errorf("a SARIF log names the rule %q twice, or with no name", r.ID)
		}
		if err := r.Level.check(); err != nil {
			return nil, fmt.Errorf("rule %s: %w", r.ID, err)
		}
		index[r.ID] = i
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, ruleJSON{r.ID, text(r.Summary), text(r.Help), configJSON{r.Level}, r.Properties})
	}
	for _, r := range l.Results {
		if r.Message == "" || r.Rule == "" {
			return nil, fmt.Errorf("a result of a SARIF log needs a rule and a message")
		}
		if err := r.Level.check(); err != nil {
			return nil, fmt.Errorf("a result of rule %s: %w", r.Rule, err)
		}
		x := resultJSON{RuleID: r.Rule, Level: r.Level, Message: messageJSON{escape(r.Message)}, Fingerprints: r.Fingerprints, Properties: r.Properties}
		if i, ok := index[r.Rule]; ok {
			x.RuleIndex = &i
		}
		if r.NotJudged {
			x.Kind, x.Level = "notApplicable", None
		}
		if r.Place != nil || len(r.Logical) > 0 {
			at := locationJSON{Physical: r.Place.physical()}
			for _, n := range r.Logical {
				at.Logical = append(at.Logical, logicalJSON(n))
			}
			x.Locations = []locationJSON{at}
		}
		for _, s := range r.Suppressions {
			one := suppressionJSON{Kind: "inSource", Status: "accepted", Justification: s.Justification}
			if s.Place != nil {
				one.Location = &locationJSON{Physical: s.Place.physical()}
			}
			x.Suppressions = append(x.Suppressions, one)
		}
		run.Results = append(run.Results, x)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(logJSON{Schema, Version, []runJSON{run}}); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func (l Level) check() error {
	switch l {
	case Error, Warning, Note, None:
		return nil
	}
	return fmt.Errorf("SARIF has no level %q", l)
}

// escape keeps braces from being read as placeholders, and brackets from being read as links.
func escape(s string) string {
	s = strings.NewReplacer("{", "{{", "}", "}}").Replace(s)
	if strings.Contains(s, "](") {
		s = strings.ReplaceAll(s, "[", `\[`)
	}
	return s
}

func text(s string) *messageJSON {
	if s == "" {
		return nil
	}
	return &messageJSON{s}
}

func (p *Place) physical() *physicalJSON {
	if p == nil {
		return nil
	}
	file := p.File
	if strings.HasPrefix(file, "//") { // or it would begin with the name of a machine: RFC 3986, 4.2
		file = "/." + file
	}
	x := &physicalJSON{Artifact: artifactJSON{URI: (&url.URL{Path: file}).String(), Base: p.Base}}
	if p.Line > 0 {
		x.Region = &regionJSON{StartLine: p.Line, StartColumn: max(0, p.Column)}
	}
	return x
}

type logJSON struct {
	Schema  string    `json:"$schema"`
	Version string    `json:"version"`
	Runs    []runJSON `json:"runs"`
}

type runJSON struct {
	Tool struct {
		Driver driverJSON `json:"driver"`
	} `json:"tool"`
	Automation *automationJSON     `json:"automationDetails,omitempty"`
	ColumnKind string              `json:"columnKind"`
	Bases      map[string]baseJSON `json:"originalUriBaseIds,omitempty"`
	Results    []resultJSON        `json:"results"`
	Properties map[string]any      `json:"properties,omitempty"`
}

type driverJSON struct {
	Name    string     `json:"name"`
	Version string     `json:"version,omitempty"`
	Rules   []ruleJSON `json:"rules"`
}

type automationJSON struct {
	ID string `json:"id"`
}

type baseJSON struct {
	Description messageJSON `json:"description"`
}

type messageJSON struct {
	Text string `json:"text"`
}

type configJSON struct {
	Level Level `json:"level"`
}

type ruleJSON struct {
	ID         string         `json:"id"`
	Summary    *messageJSON   `json:"shortDescription,omitempty"`
	Help       *messageJSON   `json:"help,omitempty"`
	Config     configJSON     `json:"defaultConfiguration"`
	Properties map[string]any `json:"properties,omitempty"`
}

type resultJSON struct {
	RuleID       string            `json:"ruleId"`
	RuleIndex    *int              `json:"ruleIndex,omitempty"`
	Kind         string            `json:"kind,omitempty"`
	Level        Level             `json:"level"`
	Message      messageJSON       `json:"message"`
	Locations    []locationJSON    `json:"locations,omitempty"`
	Fingerprints map[string]string `json:"partialFingerprints,omitempty"`
	Suppressions []suppressionJSON `json:"suppressions,omitempty"`
	Properties   map[string]any    `json:"properties,omitempty"`
}

type locationJSON struct {
	Physical *physicalJSON `json:"physicalLocation,omitempty"`
	Logical  []logicalJSON `json:"logicalLocations,omitempty"`
}

type physicalJSON struct {
	Artifact artifactJSON `json:"artifactLocation"`
	Region   *regionJSON  `json:"region,omitempty"`
}

type artifactJSON struct {
	URI  string `json:"uri"`
	Base string `json:"uriBaseId,omitempty"`
}

type regionJSON struct {
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn,omitempty"`
}

type logicalJSON struct {
	Name string `json:"fullyQualifiedName"`
	Kind string `json:"kind,omitempty"`
}

type suppressionJSON struct {
	Kind          string        `json:"kind"`
	Status        string        `json:"status"`
	Justification string        `json:"justification,omitempty"`
	Location      *locationJSON `json:"location,omitempty"`
}
