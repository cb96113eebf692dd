package pipeline

// Judged tells that a rule was judged, and by which limit, or that the recipe leaves it out.
type Judged struct {
	Rule   string   `json:"rule"`
	Family Family   `json:"family,omitempty"` // the runner fills it
	Bound  Bound    `json:"bound,omitempty"`
	Limit  *float64 `json:"limit,omitempty"` // nil for a rule without a bound
	Unit   string   `json:"unit,omitempty"`
	Source string   `json:"source,omitempty"` // where the limit comes from
	// Worst is the worst figure on the panel, whether or not it breaks the limit, where the rule measures it.
	Worst *float64 `json:"worst,omitempty"`
	// Nothing tells that the panel has nothing that the rule measures: no score lines, no fiducials.
	Nothing bool `json:"nothing_to_measure,omitempty"`
	// Missing is what the panel lacks for the rule to be judged, as a sentence; empty: it was judged.
	Missing   string `json:"not_judged_because,omitempty"`
	Unchecked string `json:"unchecked,omitempty"` // why the recipe leaves the rule out; empty: it was judged
	Option    string `json:"-"`                   // as Finding.Option
	Set       *SetAt `json:"set,omitempty"`       // the runner fills it
	Stage     string `json:"stage,omitempty"`     // the runner fills it
}
