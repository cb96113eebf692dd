package gerber

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is read although it is not sure that it was meant so is told.
func TestDoubtsAreTold(t *testing.T) {
	const pens = "%FSLAX33Y33*%\n%MOMM*%\n%ADD10C,1*%\nD10*\n"
	for _, c := range []struct {
		name, data string
		want       []Note
		unit       Unit
	}{
		{"nothing to tell", pens + "X0Y0D03*\nM02*", nil, 0},
		{"a comment that swallows a command", pens + "G04 to the origin\nG01X0Y0D02*\nX1000D01*\nM02*", []Note{{5, remarks[warnComment], 1}}, 0},
		{"a comment that swallows an extended command", pens + "G04 clear\r\n%LPC*%LPD*%\nM02*", []Note{{5, remarks[warnComment], 1}}, 0},
		{"a comment of several lines", pens + "G04 a board\nmade of\n\n42 parts*\nM02*", nil, 0},
		{"a comment with its line end before the star", pens + "G04 a board\n*X0Y0D03*\nM02*", nil, 0},
		{"a short number where no zeros are left out", "%FSAX23Y23*%\n%MOMM*%\n%ADD10C,1*%\nD10*\nX01000Y0D03*\nX100Y00100D03*\nM02*", []Note{{6, remarks[warnShortNumber], 1}}, 0},
		{"a macro primitive with a value too many", "%FSLAX33Y33*%%MOMM*%\n%AMA*\n1,1,1,0,0,0,7*\n21,1,1,1,0,0,0,7*%\n%ADD10A*%\nM02*", []Note{{3, remarks[warnManyValues], 2}}, 0},
		{"a macro primitive whose values end in a comma", "%FSLAX33Y33*%%MOMM*%\n%AMA*\n1,1,1,0,0,0,*\n%\n%ADD10A*%\nM02*", nil, 0},
		{"a pen with a hole", "%FSLAX33Y33*%%MOMM*%\n%ADD10C,1X0.5*%D10*X0Y0D02*\nX1D01*\nX2D01*\nM02*", []Note{{3, remarks[warnHollowPen], 2}}, 0},
		{"a turned pen with a hole", "%FSLAX33Y33*%%MOMM*%\n%ADD10R,1X1X0.5*%D10*%LR45*%X0Y0D02*\nX1000D01*\nM02*", []Note{{3, remarks[warnHollowPen], 1}}, 0},
		{"a flash with a hole", "%FSLAX33Y33*%%MOMM*%\n%ADD10C,1X0.5*%D10*X0Y0D03*\nM02*", nil, 0},
		{"a block's own attributes", pens + "%TA.AperFunction,ViaPad*%\n%ABD20*%\nX0Y0D03*\n%AB*%\nM02*", []Note{{6, remarks[warnBlockAttributes], 1}}, 0},
		{"a unit that comes late", "%FSLAX33Y33*%\n%ADD10C,1*%\n%MOMM*%\nM02*", []Note{{2, remarks[warnLateUnit], 1}}, 0},
		{"a unit that comes late, behind another's name in a comment", "%FSLAX33Y33*%\n%ADD10C,1*%\nG04 not MOMM*\n%LNG71*%\n%MOIN*%\nM02*", []Note{{2, remarks[warnLateUnit], 1}}, UnitInch},
		{"a unit that comes late, among other codes", "%FSLAX33Y33*%\n%ADD10C,1*%\nN5G70G90*\nM02*", []Note{{2, remarks[warnLateUnit], 1}}, UnitInch},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, rep, err := Read("doubt.gbr", []byte(c.data), Options{})
			require.NoError(t, err)
			require.Equal(t, c.want, rep.Warnings)
			if c.unit != UnitUnset {
				require.Equal(t, c.unit, rep.Unit)
			}
		})
	}
}

// What cannot be told is refused.
func TestWhatCannotBeToldIsRefused(t *testing.T) {
	for _, c := range []struct{ name, data, text string }{
		{"more digits than the format has, where zeros at the end are left out", "%FSTAX23Y23*%\n%MOMM*%\n%ADD10C,1*%\nD10*\nX123456Y0D03*\n", `bad.gbr:5:2: 6 digits, where the number format has 5
    X123456Y0D03*
    zeros at the end are left out in this file, so that it cannot be told where the point is: check the number format (FS), or export the file again`},
		{"an outline that counts its first point for nothing", "%FSLAX33Y33*%\n%MOMM*%\n%AMA*\n4,1,2,0,0,3,1,0,2,0,0,0*\n%\n%ADD10A*%\n", `bad.gbr:4:1: macro outline with 2 values too many for its 2 vertices
    4,1,2,0,0,3,1,0,2,0,0,0*
    its number of vertices does not count the first point, which is repeated at the end; export the file again`},
		{"a unit in a comment only", "%FSLAX33Y33*%\n%ADD10C,1*%\nG04 MOMM*\nG4 G71*\nM02*", `bad.gbr:2:2: a number before any unit (MO)
    %ADD10C,1*%
    the file must state its unit, %MOMM*% or %MOIN*%`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("bad.gbr", []byte(c.data), Options{})
			require.EqualError(t, err, c.text)
		})
	}
}
