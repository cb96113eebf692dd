package watch

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/reach"
	"panelwright/pipeline/run"
)

// TestPlacesOf: what a build was asked for is what to watch, each file once.
func TestPlacesOf(t *testing.T) {
	base := t.TempDir()
	at := func(name string) string { return filepath.Join(base, filepath.FromSlash(name)) }
	got := PlacesOf(base, []run.FileSum{{Name: "gauge.panel.hcl"}, {Name: "../standards/shop.standard.hcl"}}, []run.Asked{
		{What: run.AskedFile, Name: "../boards/gauge/top.gbr", Answer: "a"},
		{What: run.AskedFile, Name: "../boards/tide/top.gbr", Answer: "b"},
		{What: run.AskedFile, Name: "bodies.csv"},
		{What: run.AskedList, Name: "../boards/gauge", In: "."},
		{What: run.AskedList, Name: "tide/*.gbr", In: "../boards"},
		{What: run.AskedProgram, Name: "no program is called so"},
		{What: run.AskedVariable, Name: "SERIAL"},
	})
	assert.ElementsMatch(t, []reach.Reach{
		{Base: at("gauge.panel.hcl")}, {Base: at("../standards/shop.standard.hcl")}, {Base: at("../boards/gauge")},
		{Base: at("../boards/tide/*.gbr")}, {Base: at("../boards/tide"), Pattern: "*.gbr"}, {Base: at("bodies.csv")},
	}, got)
}
