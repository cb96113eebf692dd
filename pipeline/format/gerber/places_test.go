package gerber

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
)

// A fault points to its line and column, whatever ends the lines: LF, CRLF, CR, or nothing at all. In
// these files ^ stands for the place.
func TestFaultsPointToTheirPlace(t *testing.T) {
	const head = "G04 a layer*\n%FSLAX33Y33*%\n%MOMM*%\n\n%ADD10C,0.5*%\nD10*\n"
	const macro = "G04 a layer*\n%FSLAX33Y33*%\n%MOMM*%\n"
	for _, c := range []struct{ name, text string }{
		{"an unknown command in a line of its own", head + "X0Y0D03*\n^G77*\nX1Y1D03*\nM02*\n"},
		{"an unknown command after others in its line", head + "X0Y0D03*G01*^G77*X1Y1D03*\nM02*\n"},
		{"an unknown command behind a state in one statement", head + "G01^G77X0Y0D01*\nM02*\n"},
		{"an unknown letter within a statement", head + "X0Y0^Q5D03*\nM02*\n"},
		{"a number missing in a coordinate", head + "X0Y^D03*\nM02*\n"},
		{"a coordinate beyond a metre", head + "X0Y0D03*X^1000001Y0D03*\nM02*\n"},
		{"an unknown extended command", head + "%^QX1*%\nM02*\n"},
		{"an unknown extended command behind others", head + "%LPD*^QX1*LPC*%\nM02*\n"},
		{"an unknown extended command on a line of its own between percent signs", head + "%LPD*\n^QX1*\n%\nM02*\n"},
		{"an aperture that is not defined", head + "X0Y0D03*\nD11*\n^X1Y1D03*\nM02*\n"},
		{"a size missing in an aperture", head + "%ADD11R,1X^*%\nM02*\n"},
		{"a negative size in an aperture", head + "%ADD11R,1X^-2*%\nM02*\n"},
		{"vertices out of range", head + "%LPD*%%ADD11P,1X^2*%\nM02*\n"},
		{"a polarity that is unknown", head + "X0Y0D03*%^LPX*%\nM02*\n"},
		{"a macro that is not defined", head + "%^ADD11STAR,1*%\nM02*\n"},
		{"an unknown primitive in a macro", macro + "%AMA*\n1,1,1,0,0*\n^9,1,2*\n%\n%ADD10A*%\nM02*\n"},
		{"an unknown primitive in a macro on one line", macro + "%AMA*1,1,1,0,0*^9,1,2*%\n%ADD10A*%\nM02*\n"},
		{"a primitive cut short in a macro", macro + "%AMA*\n0 a comment*\n$1=2*\n^21,1,2*\n%\n%ADD10A*%\nM02*\n"},
		{"a division by zero in a macro", macro + "%AMA*\n1,1,1,0,0*\n$2=3+4^/$1*\n1,1,$2,0,0*\n%\n%ADD10A*%\nM02*\n"},
		{"a division by zero in a value over several lines", macro + "%AMA*\n21,1,\n1,\n1^/$1,0,0,0*\n%\n%ADD10A*%\nM02*\n"},
		{"a bracket left open in a macro", macro + "%AMA*\n1,1,(1+2^,0,0*\n%\n%ADD10A*%\nM02*\n"},
		{"a value missing in a macro", macro + "%AMA*\n1,1,^,0,0*\n%\n%ADD10A*%\nM02*\n"},
		{"a value given to a macro that is no number", macro + "%AMA*\n1,1,$1,0,0*\n%\n%ADD10A,1X^Q*%\nM02*\n"},
		{"text after a value in a macro", macro + "%AMA*\n$1=2^!*\n%\n%ADD10A*%\nM02*\n"},
		{"an exposure that is neither on nor off", macro + "%AMA*\n1,1,1,0,0*\n^1,2,1,0,0*\n%\n%ADD10A*%\nM02*\n"},
		{"step and repeat that cannot be read", head + "%^SRX2Y*%\nM02*\n"},
		{"a region that never ends", head + "X0Y0D03*^G36*X0Y0D02*\nX1D01*\nM02*\n"},
		{"a flash in a region", head + "G36*X0Y0D02*\n^X1D03*\nG37*\nM02*\n"},
		{"an arc whose radii disagree", head + "G75*\nX0Y0D02*^G02X10000Y0I4000J0D01*\nM02*\n"},
		{"a block that never ends", head + "%LPD*%\n%^ABD12*%\nX0Y0D03*\nM02*\n"},
		{"an attribute without a name", head + "X0Y0D03*%LPD*^TO*%\nM02*\n"},
		{"an attribute without a name in a comment", head + "X0Y0D03*\n^G04 #@! TO*\nM02*\n"},
		{"cut short in a command", head + "X0Y0D03*\n^X1Y1"},
		{"a star missing before an extended command", head + "X0Y0D03*X1Y1^%LPC*%\nM02*\n"},
		{"letters beyond ASCII before the place count as one column each", head + "G04 µ°é*^G77*\nM02*\n"},
		{"coordinates without an operation", head + "^X1Y1*\nM02*\n"},
	} {
		for _, end := range []struct{ name, mark string }{{"LF", "\n"}, {"CRLF", "\r\n"}, {"CR", "\r"}, {"none", ""}, {"CRCRLF", "\r\r\n"}} {
			t.Run(c.name+"/"+end.name, func(t *testing.T) {
				before, after, ok := strings.Cut(c.text, "^")
				require.True(t, ok)
				lines := strings.Split(before, "\n")
				line, column := len(lines), len([]rune(lines[len(lines)-1]))+1
				switch end.name {
				case "none":
					line, column = 1, len([]rune(strings.ReplaceAll(before, "\n", "")))+1
				case "CRCRLF": // a CRLF whose LF became CRLF: two line ends each
					line = 2*line - 1
				}
				data := strings.ReplaceAll(before+after, "\n", end.mark)
				_, _, err := Read("place.gbr", []byte(data), Options{})
				var f *format.Fault
				require.True(t, errors.As(err, &f), "%v", err)
				require.Equal(t, [2]int{line, column}, [2]int{f.Line, f.Column}, err)
			})
		}
	}
}
