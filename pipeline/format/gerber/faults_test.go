package gerber

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format"
)

const start = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.5*%\nD10*\n"

// Every refusal names the place, shows the line and says what to do.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ what, data, text string }{
		{"cut in a word command", start + "X1000000Y10", `bad.gbr:5:1: the file ends in the middle of this command
    X1000000Y10
    the file was cut short: fetch or export it again`},
		{"cut in an extended command", start + "%ADD11C,0.5", `bad.gbr:5:2: the file ends in the middle of this command
    %ADD11C,0.5
    the file was cut short: fetch or export it again`},
		{"cut in a region", start + "G36*\nX0Y0D02*\nX1D01*\n", `bad.gbr:5:1: region (G36) that never ends
    G36*
    end it with G37*, or fetch the file again: it may be cut short`},
		{"cut in a macro", start + "%AMA*\n1,1,1,0", `bad.gbr:5:2: the file ends in the middle of this command
    %AMA*
    the file was cut short: fetch or export it again`},
		{"cut in a block", start + "%ABD12*%\nX0Y0D03*\nM02*\n", `bad.gbr:5:2: aperture block D12 that never ends
    %ABD12*%
    end it with %AB*%, or fetch the file again: it may be cut short`},
		{"empty", "\r\n", `bad.gbr: the file is empty
    export it again`},
		{"binary", "%FSLAX46Y46*%\nPK\x03\x04\x00\x00", `bad.gbr:2:5: binary data, not a Gerber layer
    PK....
    name a layer file here; if this should be one, export it again as text`},
		{"something else", "M48\nMETRIC,TZ\nT1C0.3\n%\nT1\nX1Y1\nM30\n", `bad.gbr: no Gerber command in the first 1024 bytes: this is not a Gerber layer
    name a layer file here; drill files, placement files and archives are read in other ways`},
		{"aperture before its definition", start + "D11*\nX1Y1D03*\n%ADD11C,1*%\nM02*\n", `bad.gbr:6:1: aperture D11 is used before it is defined
    X1Y1D03*
    define it with %ADD11...*% above this place, or export the file again`},
		{"no aperture", "%FSLAX46Y46*%\n%MOMM*%\nX1Y1D03*\n", `bad.gbr:3:1: drawing before any aperture is selected
    X1Y1D03*
    select one with its D number, for example D10*; export the file again`},
		{"a million copies", start + "%SRX1000Y1000I1J1*%\nX0Y0D03*\n%SR*%\nM02*\n", `bad.gbr:5:2: step-and-repeat of 1000 × 1000 copies, more than 100000
    %SRX1000Y1000I1J1*%
    no layer needs that many; export the file again`},
		{"too many objects by copies", start + "%SRX300Y300I1J1*%\n" + strings.Repeat("X0Y0D03*\n", 30) + "%SR*%\nM02*\n", `bad.gbr:5:2: step-and-repeat of 300 × 300 copies makes 2700000 objects, more than 2000000
    %SRX300Y300I1J1*%
    export it with fewer or simpler objects`},
		{"macro dividing by zero", start + "%AMHALF*\n1,1,1/$2,0,0*\n%\n%ADD11HALF,1X0*%\n", `bad.gbr:6:6: macro divides by zero
    1,1,1/$2,0,0*
    check the values given to the macro, or export the file again`},
		{"beyond a metre", start + "X1000000001Y0D03*\n", `bad.gbr:5:2: coordinate beyond 1 m from the origin
    X1000000001Y0D03*
    no board is that large: check the number format and the unit that the file states, or export it again`},
		{"no format", "%MOMM*%\n%ADD10C,0.5*%\nD10*\nX1Y1D03*\n", `bad.gbr:4:1: coordinates before any number format (FS)
    X1Y1D03*
    the file must begin with its format, for example %FSLAX46Y46*%`},
		{"no unit", "%FSLAX46Y46*%\n%ADD10C,0.5*%\nD10*\nX1Y1D03*\n", `bad.gbr:2:2: a number before any unit (MO)
    %ADD10C,0.5*%
    the file must state its unit, %MOMM*% or %MOIN*%`},
		{"radii", start + "G75*\nX0Y0D02*\nG02X10000000Y0I4000000J0D01*\n", `bad.gbr:7:1: arc whose radii disagree: 4 mm from the centre to its start, 6 mm to its end
    G02X10000000Y0I4000000J0D01*
    check I and J, and whether G74 or G75 is right for this file`},
		{"single quadrant", start + "G74*\nX0Y0D02*\nG02X10000000Y0I5000000J0D01*\n", `bad.gbr:7:1: single-quadrant arc (G74) that fits none of the four centres its offsets allow
    G02X10000000Y0I5000000J0D01*
    an arc in this mode turns at most 90 degrees; check I and J, or whether the file means G75`},
		{"no centre", start + "G75*\nG03X10000000Y0D01*\n", `bad.gbr:6:1: arc without a centre
    G03X10000000Y0D01*
    add I and J, or draw a straight line with G01`},
		{"image polarity", "%IPNEG*%\n" + start + "%IPPOS*%\n", `bad.gbr:6:2: image polarity (IP) stated twice, once positive and once negative
    %IPPOS*%
    it holds for the whole image: export the layer with one of them`},
		{"knockout", start + "%KOCX0Y0I1*%\n", `bad.gbr:5:2: knockout (KO) that cannot be read
    %KOCX0Y0I1*%
    it looks like %KOCX1.0Y1.0I3.0J2.0*%, a rectangle, or %KOCK0.1*%, a border`},
		{"unknown extended command", start + "%QX1*%\n", `bad.gbr:5:2: unknown command "QX"
    %QX1*%
    it may change what the layer means, so it cannot be skipped; export the file in the current format (X2)`},
		{"unknown G code", start + "G77*\n", `bad.gbr:5:1: unknown command G77
    G77*
    layers use G01 to G04, G36, G37, G74 and G75 and a few older codes; export the file again`},
		{"unknown letter", start + "Q5*\n", `bad.gbr:5:1: unknown command "Q"
    Q5*
    a word command uses the letters X, Y, I, J, D, G and M; export the file again, or name a layer file`},
		{"unknown macro", start + "%ADD11STAR,1*%\n", `bad.gbr:5:2: aperture D11 uses the macro "STAR", which is not defined
    %ADD11STAR,1*%
    define it with %AM...*% above this place, or export the file again`},
		{"nested brackets", start + "%AMA*\n1,1," + strings.Repeat("(", 100_000) + "*%\n%ADD11A*%\n", `bad.gbr:6:69: macro expression with more than 64 brackets inside one another
    ...((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((((...
    export the file again; this place is damaged`},
		{"block in itself", start + "%ABD12*%\nD12*\nX0Y0D03*\n%AB*%\n", `bad.gbr:7:1: aperture block D12 is used inside itself
    X0Y0D03*
    a block can hold other blocks, but not itself; export the file again`},
		{"blocks that double", start + doubling(30), `bad.gbr:106:1: more than 2000000 objects
    X1Y1D03*
    export it with fewer or simpler objects`},
		{"unknown primitive", start + "%AMA*\n9,1,2*\n%\n%ADD11A*%\n", `bad.gbr:6:1: unknown macro primitive 9
    9,1,2*
    the primitives are 0, 1, 4, 5, 6, 7, 20 and 21, and 2 and 22 in old files`},
		{"primitive cut short", start + "%AMA*\n21,1,2*\n%\n%ADD11A*%\n", `bad.gbr:6:1: macro primitive 21 (centre line) with 2 of its 5 values
    21,1,2*
    export the file again; this place is damaged`},
		{"polarity in a region", start + "G36*\n%LPC*%\n", `bad.gbr:6:2: polarity changed inside a region
    %LPC*%
    set it before G36; export the file again`},
		{"flash in a region", start + "G36*\nX1Y1D03*\n", `bad.gbr:6:1: flash (D03) inside a region
    X1Y1D03*
    a region is made of D01 and D02 only; export the file again`},
		{"old operation", start + "D05*\n", `bad.gbr:5:1: unknown operation or aperture number
    D05*
    D01, D02, D03, or an aperture from D10 upwards, is expected here`},
		{"no operation", start + "X1Y1*\n", `bad.gbr:5:1: coordinates without an operation
    X1Y1*
    add D01 (draw), D02 (move) or D03 (flash)`},
		{"turned pen on an arc", "%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,1X2*%\n%LR30*%\nD10*\nG75*\nG02X0Y0I1000000J0D01*\n", `bad.gbr:7:1: arc drawn with a turned rectangle
    G02X0Y0I1000000J0D01*
    draw the arc with a circle, or turn the aperture by quarter turns only`},
		{"missing star", start + "X1Y1\n%LPD*%\n", `bad.gbr:6:1: command without its end (*) before the next one
    %LPD*%
    export the file again; this place is damaged`},
		{"large part", "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,2001*%\n", `bad.gbr:3:9: length beyond 2 m
    %ADD10C,2001*%
    check the unit that the file states, or export it again`},
	} {
		t.Run(c.what, func(t *testing.T) {
			_, _, err := Read("bad.gbr", []byte(c.data), Options{})
			require.Error(t, err)
			require.Equal(t, c.text, err.Error())
			var fault *format.Fault
			require.ErrorAs(t, err, &fault)
		})
	}
}

// doubling makes blocks each of which holds the one before twice.
func doubling(n int) string {
	var b strings.Builder
	b.WriteString("%ABD100*%\nX1Y1D03*\n%AB*%\n")
	d := "D10"
	for i := range n {
		k := "D" + string(rune('0'+(101+i)/100)) + string(rune('0'+(101+i)/10%10)) + string(rune('0'+(101+i)%10))
		if i == 0 {
			d = "D100"
		}
		b.WriteString("%AB" + k + "*%\n" + d + "*\nX1Y1D03*\nX1Y1D03*\n%AB*%\n")
		d = k
	}
	return b.String()
}
