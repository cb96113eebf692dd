package bounds

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline"
)

// A finding that differs in any one thing from what the case says is told of.
func TestDifferencesAreSeen(t *testing.T) {
	c := bound{Measured: 0.249, Limit: 0.25, Feature: "slot/1", Copies: []string{"A1"}, At: "(1, 2)", Says: "copper"}
	r := pipeline.Rule{Bound: pipeline.AtLeast, Unit: "mm"}
	good := func() found {
		measured, limit := 0.249, 0.25
		f := found{Finding: pipeline.Finding{Measured: &measured, Limit: &limit, Unit: "mm", Feature: "slot/1", Copies: []string{"A1"}, Message: "copper is near"}}
		f.At = &struct{ X, Y json.Number }{"1", "2"}
		return f
	}
	assert.Empty(t, c.differs(good(), r))
	for name, spoil := range map[string]func(f *found){
		"measured": func(f *found) { *f.Measured = 0.249002 },
		"limit":    func(f *found) { *f.Limit = 0.3 },
		"unit":     func(f *found) { f.Unit = "" },
		"feature":  func(f *found) { f.Feature = "slot/2" },
		"copies":   func(f *found) { f.Copies = []string{"A1", "A2"} },
		"place":    func(f *found) { f.At = nil },
		"message":  func(f *found) { f.Message = "it is near" },
	} {
		f := good()
		spoil(&f)
		assert.Contains(t, c.differs(f, r), name+": ")
	}
}
