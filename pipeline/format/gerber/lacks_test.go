package gerber

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
)

// What a file leaves unsaid is told as such at the first number that needs it, so that whoever asked for
// the file can be told how to say it; and once it is said, the file reads.
func TestWhatAFileLeavesUnsaid(t *testing.T) {
	const (
		unit   = "a number before any unit (MO)"
		digits = "coordinates before any number format (FS)"
	)
	given := &NumberFormat{XWhole: 3, XPart: 3, YWhole: 3, YPart: 3}
	for _, c := range []struct {
		name, data string
		lacks      format.Lack
		what       string
		line       int
	}{
		{"no unit, seen at an aperture", "%FSLAX33Y33*%\n%ADD10C,1*%\nD10*\nX0Y0D03*\nM02*\n", format.LacksUnit, unit, 2},
		{"no unit, seen at a macro's aperture", "%FSLAX33Y33*%\n%AMA*\n1,1,1,0,0*\n%\n%ADD10A*%\nD10*\nX0Y0D03*\nM02*\n", format.LacksUnit, unit, 5},
		{"no unit, seen at a coordinate", "%FSLAX33Y33*%\nG36*\nX0Y0D02*\nX1D01*\nY1D01*\nG37*\nM02*\n", format.LacksUnit, unit, 3},
		{"no unit, seen at a step", "%FSLAX33Y33*%\n%SRX2Y1I1.0J0*%\n%SR*%\nM02*\n", format.LacksUnit, unit, 2},
		{"no unit, seen at an offset", "%FSLAX33Y33*%\n%OFA1B0*%\nM02*\n", format.LacksUnit, unit, 2},
		{"no format", "%MOMM*%\n%ADD10C,1*%\nD10*\nX0Y0D03*\nM02*\n", format.LacksFormat, digits, 4},
		{"no format, seen in a region", "G04 old*\nG71*\nG36*\nX0Y0D02*\nX1D01*\nY1D01*\nG37*\nM02*\n", format.LacksFormat, digits, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("lack.gbr", []byte(c.data), Options{})
			var f *format.Fault
			require.True(t, errors.As(err, &f), "%v", err)
			require.Equal(t, c.lacks, f.Lacks)
			require.Equal(t, c.what, f.What)
			require.Equal(t, c.line, f.Line)
			_, rep, err := Read("lack.gbr", []byte(c.data), Options{DefaultUnit: UnitMM, DefaultFormat: given})
			require.NoError(t, err)
			require.NotEmpty(t, rep.Warnings, "that a default was taken is told")
		})
	}
	// What the file says holds against a default.
	m, rep, err := Read("t.gbr", []byte("%FSLAX24Y24*%%MOIN*%%ADD10C,1*%D10*X10000Y0D03*M02*"), Options{DefaultUnit: UnitMM, DefaultFormat: given})
	require.NoError(t, err)
	require.Empty(t, rep.Warnings)
	require.Equal(t, 254*mm/10, m.Objects[0].Edge.From.X)
	// A file that draws nothing lacks nothing.
	_, _, err = Read("t.gbr", []byte("G04 nothing*\nM02*\n"), Options{})
	require.NoError(t, err)
}
