package pipeline

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// Severity is how much a finding weighs.
type Severity string

// The severities. A finding at Error that is not waived closes the release gate; see Gate.
const (
	Error   Severity = "error"
	Warning Severity = "warning"
	Note    Severity = "note"
)

// Lesser gives the severity that weighs less; an empty one counts for nothing.
func (s Severity) Lesser(t Severity) Severity {
	rank := map[Severity]int{Error: 3, Warning: 2, Note: 1}
	if rank[s] == 0 || rank[t] != 0 && rank[t] < rank[s] {
		return t
	}
	return s
}

// Finding is one thing that a rule or the proof found about a panel.
type Finding struct {
	Rule     string      `json:"rule"`
	Family   Family      `json:"family,omitempty"` // the rule's; the runner fills it
	Severity Severity    `json:"severity"`
	Message  string      `json:"message"`
	At       *geom.Point `json:"at,omitempty"` // on the panel
	Feature  string      `json:"feature,omitempty"`
	Copies   []string    `json:"copies,omitempty"` // every copy it holds for
	Stage    string      `json:"stage,omitempty"`
	Measured *float64    `json:"measured,omitempty"`
	Limit    *float64    `json:"limit,omitempty"`
	Unit     string      `json:"unit,omitempty"`
	Source   string      `json:"source,omitempty"` // where the limit comes from
	// Basis is what the figure was reckoned with: constants with their units, and where they come from.
	Basis string `json:"reckoned_with,omitempty"`
	// Option is the option of the stage that set the limit or severity, as a recipe writes it: "limit
	// copper-to-edge at_least". The runner makes Set of it, and of the stage's own line where it is empty.
	Option string `json:"-"`
	// Unchecked tells that the recipe leaves the rule out; Message says why.
	Unchecked bool    `json:"unchecked,omitempty"`
	Set       *SetAt  `json:"set,omitempty"`
	Waived    *Waived `json:"waived,omitempty"`
}

// SetAt is the line of a recipe or standard that a finding's limit comes from, or that asked for the rule.
type SetAt struct {
	File   string `json:"file"` // relative to the recipe's folder, with slashes
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

// Waived tells that a finding was accepted: it stays visible, and does not count against the release.
type Waived struct {
	Reason   string   `json:"reason"`
	Revision string   `json:"revision"`
	AtWorst  *float64 `json:"at_worst,omitempty"` // the worst figure accepted, in the rule's unit
	Set      *SetAt   `json:"set,omitempty"`      // where the waiver stands
}

// Counts tells whether the finding counts at its severity: it is not waived.
func (f Finding) Counts() bool { return f.Waived == nil }

// Beyond tells how far the finding's figure lies beyond its limit, in the rule's unit; -1 where it has no figure or no limit.
func (f Finding) Beyond() float64 {
	if f.Measured == nil || f.Limit == nil {
		return -1
	}
	return math.Abs(*f.Measured - *f.Limit)
}

// SortFindings orders findings by severity, rule, feature, place and message, so that they print the
// same every time.
func SortFindings(f []Finding) {
	rank := map[Severity]int{Error: 0, Warning: 1, Note: 2}
	slices.SortStableFunc(f, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(rank[a.Severity], rank[b.Severity]),
			cmp.Compare(a.Rule, b.Rule),
			cmp.Compare(a.Feature, b.Feature),
			comparePlace(a.At, b.At),
			cmp.Compare(a.Message, b.Message),
		)
	})
}

func comparePlace(a, b *geom.Point) int {
	if a == nil || b == nil {
		switch {
		case a != nil:
			return 1
		case b != nil:
			return -1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
}
