package gerber

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a file may expand to is bounded, by limits that the caller can set: at a limit a file reads, one
// more and it is refused with the limit and its place named.
func TestLimitsAreMetExactly(t *testing.T) {
	const head = "%FSLAX33Y33*%\n%MOMM*%\n%ADD10C,1*%\nD10*\n"
	nested := func(n int) string {
		var b strings.Builder
		for i := range n {
			b.WriteString("%ABD" + string(rune('1'+i)) + "0*%\n")
		}
		return b.String() + strings.Repeat("%AB*%\n", n)
	}
	square := "G36*\nX0Y0D02*\nX1000D01*\nY1000D01*\nX0D01*\nY0D01*\nG37*\n"
	for _, c := range []struct {
		name     string
		with     Options
		at, over string // reads; does not
		refused  string
	}{
		{"objects", Options{MaxObjects: 2}, "X0Y0D03*\nX1D03*\n", "X0Y0D03*\nX1D03*\nX2D03*\n",
			"l.gbr:7:1: more than 2 objects\n    X2D03*\n    export it with fewer or simpler objects"},
		{"objects made by copies", Options{MaxObjects: 6}, "%SRX3Y2I1J1*%\nX0Y0D03*\n%SR*%\n", "%SRX3Y2I1J1*%\nX0Y0D03*\nX1D03*\n%SR*%\n",
			"l.gbr:5:2: step-and-repeat of 3 × 2 copies makes 12 objects, more than 6\n    %SRX3Y2I1J1*%\n    export it with fewer or simpler objects"},
		{"copies", Options{MaxCopies: 6}, "%SRX3Y2I1J1*%\n%SR*%\n", "%SRX7Y1I1J1*%\n%SR*%\n",
			"l.gbr:5:2: step-and-repeat of 7 × 1 copies, more than 6\n    %SRX7Y1I1J1*%\n    no layer needs that many; export the file again"},
		{"edges copied", Options{MaxEdges: 8}, "%SRX3Y1I1J1*%\n" + square + "%SR*%\n", "%SRX4Y1I1J1*%\n" + square + "%SR*%\n",
			"l.gbr:5:2: copies of regions with more than 8 edges altogether\n    %SRX4Y1I1J1*%\n    no layer needs that many; export the file again"},
		{"blocks in blocks", Options{MaxNesting: 3}, nested(3), nested(4),
			"l.gbr:8:2: more than 3 aperture blocks inside one another\n    %ABD40*%\n    export the file again; this place is damaged"},
		{"brackets", Options{MaxNesting: 3}, "%AMA*\n1,1,(((1))),0,0*\n%\n%ADD11A*%\n", "%AMA*\n1,1,((((1)))),0,0*\n%\n%ADD11A*%\n",
			"l.gbr:6:8: macro expression with more than 3 brackets inside one another\n    1,1,((((1)))),0,0*\n    export the file again; this place is damaged"},
		{"macros", Options{MaxMacros: 24}, "%AMA*1,1,1,0,0*%\n%ADD11A*%\n%ADD12A*%\n", "%AMA*1,1,1,0,0*%\n%ADD11A*%\n%ADD12A*%\n%ADD13A*%\n",
			"l.gbr:8:2: aperture macros too large altogether\n    %ADD13A*%\n    export the file again with simpler apertures or with regions"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("l.gbr", []byte(head+c.at+"M02*\n"), c.with)
			require.NoError(t, err)
			_, _, err = Read("l.gbr", []byte(head+c.over+"M02*\n"), c.with)
			require.EqualError(t, err, c.refused)
			_, _, err = Read("l.gbr", []byte(head+c.over+"M02*\n"), Options{})
			require.NoError(t, err, "well within the limits that hold unless others are set")
		})
	}
}
