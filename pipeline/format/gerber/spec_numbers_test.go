package gerber

import "testing"

// at is the fact that a flash of a disc, 0.2 mm across, lies at a place.
func at(of, data string, x, y float64) fact {
	return fact{of, data, disc(.2), [4]float64{x - .1, y - .1, x + .1, y + .1}, "", ""}
}

// Units, number format, coordinates.
func TestSpecNumbers(t *testing.T) { holdAll(t, specNumbers()) }

func specNumbers() []fact {
	const dot = "%ADD10C,0.2*%D10*"
	const inchDot = "%ADD10C,0.007874015748*%D10*" // 0.2 mm
	return []fact{
		at("4.2.2 six decimals, millimetres", "%FSLAX46Y46*%%MOMM*%"+dot+"X12345678Y-98765D03*M02*", 12.345678, -.098765),
		at("4.2.2 five decimals", "%FSLAX45Y45*%%MOMM*%"+dot+"X1234567Y-98765D03*M02*", 12.34567, -.98765),
		at("4.2.2 three whole digits", "%FSLAX36Y36*%%MOMM*%"+dot+"X999000000Y1D03*M02*", 999, .000001),
		at("4.2.2 six whole digits declared", "%FSLAX66Y66*%%MOMM*%"+dot+"X250000000Y5000000D03*M02*", 250, 5),
		at("4.2.2 leading zeros may be written", "%FSLAX46Y46*%%MOMM*%"+dot+"X0012345678Y-000098765D03*M02*", 12.345678, -.098765),
		at("4.2.2 one digit is a number", "%FSLAX45Y45*%%MOMM*%"+dot+"X0Y7D03*M02*", 0, .00007),
		at("3.4.3 a plus sign may be written", "%FSLAX46Y46*%%MOMM*%"+dot+"X+1500000Y+0D03*M02*", 1.5, 0),
		at("3.4.3 zero may carry a sign", "%FSLAX46Y46*%%MOMM*%"+dot+"X-0Y-0D03*M02*", 0, 0),
		at("4.2.1 inches", "%FSLAX26Y26*%%MOIN*%"+inchDot+"X1000000Y500000D03*M02*", 25.4, 12.7),
		at("4.2.1 inches, 2.4", "%FSLAX24Y24*%%MOIN*%"+inchDot+"X12345Y-1D03*M02*", 31.3563, -.00254),
		at("4.2.1 the unit may come before the format", "%MOMM*%%FSLAX46Y46*%"+dot+"X1500000Y0D03*M02*", 1.5, 0),
		at("4.2.2 X and Y in formats of their own (old files)", "%FSLAX34Y25*%%MOMM*%"+dot+"X15000Y150000D03*M02*", 1.5, 1.5),
		at("4.8.1 X left out stays", dot+"X1500Y2500D02*Y3000D03*M02*", 1.5, 3),
		at("4.8.1 Y left out stays", dot+"X1500Y2500D02*X4000D03*M02*", 4, 2.5),
		at("4.8.1 both left out stay", dot+"X1500Y2500D02*D03*M02*", 1.5, 2.5),
		at("4.8.3 D02 moves only", dot+"X500Y0D02*X9000D02*X1000D02*D03*M02*", 1, 0),
		at("3.5 G1, D3, M2 without the leading zero (8.3.3)", dot+"G1*X1500Y0D2*X2500D3*M2*", 2.5, 0),
		{"4.2.1 the unit holds for apertures", "%FSLAX26Y26*%%MOIN*%%ADD10R,0.1X0.05*%D10*X0Y0D03*M02*", 2.54 * 1.27, [4]float64{-1.27, -.635, 1.27, .635}, "", ""},
		{"4.2.1 the unit holds for macros", "%FSLAX26Y26*%%MOIN*%%AMA*21,1,0.1,0.05,0,0,0*%%ADD10A*%D10*X0Y0D03*M02*", 2.54 * 1.27, [4]float64{-1.27, -.635, 1.27, .635}, "", ""},
		{"4.2.1 the unit holds for steps", "%FSLAX26Y26*%%MOIN*%%ADD10R,0.1X0.1*%D10*%SRX2Y1I1.0J0*%X0Y0D03*%SR*%M02*", 2 * 2.54 * 2.54, [4]float64{-1.27, -1.27, 26.67, 1.27}, "25.4,0", "12,0"},
		{"4.6 aperture numbers reach 2147483647", "%ADD2147483647R,1X1*%D2147483647*X0Y0D03*M02*", 1, [4]float64{-.5, -.5, .5, .5}, "", ""},
		{"3.3 line separators stand between commands without effect", "\n\n%ADD10R,1X1*%\n\r\nD10*\r\n\rX0Y0D03*\n\n\nM02*\n", 1, [4]float64{-.5, -.5, .5, .5}, "", ""},
		{"4.1 comments draw nothing, whatever they say", "%ADD10R,1X1*%D10*G04 D11 X5000Y5000D03 %LPC, \u00e9 *X0Y0D03*G04*M02*", 1, [4]float64{-.5, -.5, .5, .5}, "", ""},
		{"4.13 nothing after M02 is drawn", "%ADD10R,1X1*%D10*X0Y0D03*M02*X5000Y0D03*", 1, [4]float64{-.5, -.5, .5, .5}, "", ""},
	}
}
