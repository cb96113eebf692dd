package pipeline

// Gate is the release gate: it says which findings keep a panel from being released. Everything that asks
// whether a build may be released asks it.
type Gate struct {
	// Reject is the least severity that closes the gate: Error, which an empty one means too, or Warning.
	Reject Severity
}

// Level gives the least severity that closes the gate.
func (g Gate) Level() Severity {
	if g.Reject == Warning {
		return Warning
	}
	return Error
}

// Rejects tells whether the finding closes the gate: it is not waived, and weighs enough.
func (g Gate) Rejects(f Finding) bool {
	return f.Counts() && (f.Severity == Error || f.Severity == Warning && g.Level() == Warning)
}

// Open tells whether none of the findings closes the gate.
func (g Gate) Open(found []Finding) bool {
	for _, f := range found {
		if g.Rejects(f) {
			return false
		}
	}
	return true
}
