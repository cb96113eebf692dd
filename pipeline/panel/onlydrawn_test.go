package panel_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/panel"
)

func TestOnlyDrawn(t *testing.T) {
	for _, c := range []struct {
		name string
		p    panel.Part
		want bool
	}{
		{"a fiducial by its designator", panel.Part{Refdes: "FID3", Package: "0603"}, true},
		{"by its package", panel.Part{Refdes: "X1", Package: "TestPoint_Pad_1.0"}, true},
		{"a chip", panel.Part{Refdes: "R3", Package: "0603"}, false},
		{"a name that only begins so", panel.Part{Refdes: "TPS62", Package: "SOT-23"}, false},
		{"the table knows its body", panel.Part{Refdes: "TP1", Body: panel.Body{By: panel.ByTable}}, false},
		{"its class is known", panel.Part{Refdes: "MH1", Body: panel.Body{Class: panel.Connector, ClassBy: panel.ByName}}, false},
		{"a guessed body says nothing", panel.Part{Refdes: "MH1", Body: panel.Body{By: panel.ByPads}}, true},
	} {
		t.Run(c.name, func(t *testing.T) { assert.Equal(t, c.want, c.p.OnlyDrawn()) })
	}
}
