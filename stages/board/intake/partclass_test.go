package intake

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/panel"
)

// Letters of reference designators and words of packages as boards' files have them.
func TestGuessedClasses(t *testing.T) {
	for _, c := range []struct {
		refdes, pack string
		want         panel.PartClass
	}{
		{"C1", "C_0603_1608Metric", panel.CeramicCapacitor},
		{"C12", "0402", panel.CeramicCapacitor},
		{"c3", "CAP0805", panel.CeramicCapacitor},
		{"C4", "CP_EIA-3216-18", panel.NoClass}, // tantalum
		{"C5", "CAN_10x10", panel.NoClass},
		{"C6", "C060310", panel.NoClass}, // digits that go on are no size
		{"C7", "", panel.NoClass},
		{"R1", "R_0603_1608Metric", panel.NoClass},
		{"Y1", "", panel.Crystal},
		{"X1", "SMD-3225", panel.Crystal},
		{"X2", "PinHeader_1x04", panel.Connector},
		{"U7", "Crystal_SMD_5032", panel.Crystal},
		{"J1", "", panel.Connector},
		{"P3", "USB_B", panel.Connector},
		{"CN2", "", panel.Connector},
		{"JP1", "SolderJumper-2", panel.NoClass},
		{"J9", "SolderJumper-3", panel.NoClass},
		{"TP1", "", panel.NoClass},
		{"PS1", "", panel.NoClass},
		{"U1", "BGA-256_17x17", panel.BallGridArray},
		{"U2", "WLCSP-9", panel.BallGridArray},
		{"U3", "QFN-32", panel.NoClass},
		{"", "", panel.NoClass},
		{"12", "", panel.NoClass},
	} {
		assert.Equal(t, c.want, guessClass(c.refdes, c.pack), "%s %s", c.refdes, c.pack)
	}
	// The table outranks a guess.
	r := &Result{}
	r.parts = []panel.Part{{Refdes: "C1", Package: "0603", Body: panel.Body{Class: panel.Crystal, ClassBy: panel.ByTable}}, {Refdes: "C2", Package: "0603"}}
	r.settleClasses()
	assert.Equal(t, panel.ByTable, r.parts[0].Body.ClassBy)
	assert.Equal(t, panel.Body{Class: panel.CeramicCapacitor, ClassBy: panel.ByName}, r.parts[1].Body)
	assert.Equal(t, []ClassCount{{panel.CeramicCapacitor, 0, 1}, {panel.Crystal, 1, 0}}, classCounts(r.parts))
	assert.Equal(t, "class ceramic capacitor: 0 known from a table, 1 guessed from names", classCounts(r.parts)[0].Line())
}
