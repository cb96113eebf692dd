package recipe

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// fillStage stands for one that fills what earlier stages have left.
type fillStage struct{ idle }

func (*fillStage) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"filling"}, Ends: []string{"copies", "rails"}}
}

// What a stage has reckoned with, no later one may give.
func TestNothingComesAfterAStageThatEndsIt(t *testing.T) {
	s := fakes()
	s.Kinds = append(s.Kinds, pipeline.Kind{Name: "fill", Role: pipeline.Shape, New: func() pipeline.Stage { return &fillStage{} }})
	const head = "-- p.panel.hcl --\npanel \"p\" { revision = \"A\" }\nstage \"board\" {\n  name  = \"gauge\"\n  files = \"boards/gauge\"\n}\nstage \"array\" { board = \"gauge\" }\n"
	dir := write(t, head+"stage \"rails\" {}\nstage \"fill\" {}\nstage \"rules\" {}\n")
	_, err := Load(filepath.Join(dir, "p.panel.hcl"), s)
	require.NoError(t, err)
	dir = write(t, head+"stage \"fill\" {}\nstage \"rails\" {}\nstage \"rules\" {}\n")
	_, err = Load(filepath.Join(dir, "p.panel.hcl"), s)
	require.EqualError(t, err, "p.panel.hcl:8:1: stage rails gives rails, too late: stage fill on line 7 goes by what is there before it\n"+
		"    stage \"rails\" {}\n    ^^^^^^^^^^^^^\n    move it before stage fill")
}
