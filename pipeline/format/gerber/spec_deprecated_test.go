package gerber

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// What the format once had and files still hold (chapter 8).
func TestSpecDeprecated(t *testing.T) { holdAll(t, specDeprecated()) }

func specDeprecated() []fact {
	const pens = "%ADD10R,1X1*%%ADD11C,1*%%ADD12R,4X2*%"
	around := func(x, y float64) [4]float64 { return [4]float64{-x, -y, x, y} }
	quarter := math.Pi/2*5 + disc(1)
	return []fact{
		// 8.1: commands.
		at("8.1 G54 before an aperture", "%ADD10C,0.2*%G54D10*X1000Y2000D03*M02*", 1, 2),
		at("8.1 G55 before a flash", "%ADD10C,0.2*%D10*G55X1000Y2000D03*M02*", 1, 2),
		at("8.1 G71 for millimetres", "%FSLAX33Y33*%G71*%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 2),
		at("8.1 G70 for inches", "%FSLAX23Y23*%G70*%ADD10C,0.007874015748*%D10*X1000Y2000D03*M02*", 25.4, 50.8),
		at("8.1 G90 for absolute coordinates", "%ADD10C,0.2*%G90*D10*X1000Y0D02*X1000Y2000D03*M02*", 1, 2),
		at("8.1 G91 for incremental coordinates", "%ADD10C,0.2*%G91*D10*X1000Y500D02*X1000Y2000D03*M02*", 2, 2.5),
		at("8.1 G91: what is left out is no step", "%ADD10C,0.2*%G91*D10*X1000Y500D02*X1000D02*D03*M02*", 2, .5),
		at("8.1 G90 after G91", "%ADD10C,0.2*%G91*D10*X1000Y500D02*G90*X1000Y2000D03*M02*", 1, 2),
		at("8.1 M00 ends a file", "%ADD10C,0.2*%D10*X1000Y2000D03*M00*X0Y0D03*", 1, 2),
		at("8.1 M01 ends a file", "%ADD10C,0.2*%D10*X1000Y2000D03*M01*X0Y0D03*", 1, 2),
		at("8.1.3 IN names the image", "%INgauge board, top*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 2),
		at("8.1.6 LN names what follows", "%ADD10C,0.2*%D10*%LNpads of N2*%X1000Y2000D03*M02*", 1, 2),
		at("8.1.4 IPPOS is how images are", "%IPPOS*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 2),
		at("8.1.2 ASAXBY leaves the axes as they are", "%ASAXBY*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 2),
		at("8.1.8 OF shifts the image", "%OFA1.5B-0.5*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 2.5, 1.5),
		at("8.1.8 OF along one axis", "%OFB5*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 7),
		at("8.1.9 SF scales places, not apertures", "%SFA2B2*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 2, 4),
		at("8.1.9 SF by 1", "%SFA1.0B1.0*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 2),
		at("8.1.7 MIA1 turns the signs of A, which is X", "%MIA1B0*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", -1, 2),
		at("8.1.7 MIB1 turns the signs of B, which is Y", "%MIA0B1*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, -2),
		at("8.1.5 IR90 turns the image counter-clockwise about (0,0)", "%IR90*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", -2, 1),
		at("8.1.5 IR270", "%IR270*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 2, -1),
		{"8.1.5 IR turns apertures with the image", "%IR90*%" + pens + "D12*X5000Y0D03*M02*", 8, [4]float64{-1, 3, 1, 7}, "0,6.9", "1.1,5"},
		{"8.1.5 IR turns arcs", "%IR90*%" + pens + "D11*G75*X5000Y0D02*G03X0Y5000I-5000J0D01*M02*", quarter, [4]float64{-5.5, -.5, .5, 5.5}, "-3.5355,3.5355", "3.5,3.5"},
		{"8.1.7 MI turns an arc's sense", "%MIA1B0*%" + pens + "D11*G75*X5000Y0D02*G03X0Y5000I-5000J0D01*M02*", quarter, [4]float64{-5.5, -.5, .5, 5.5}, "-3.5355,3.5355", "-3,3"},
		at("8.1.2 ASAYBX: A, the first axis, is Y", "%ASAYBX*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 2, 1),
		at("8.1.9 SF along each axis by its own factor", "%SFA2B0.5*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 2, 1),
		at("8.1 mirrored, scaled, shifted, turned, in whatever order they are said", "%IR90*%%OFA10B0*%%SFA2B2*%%MIA1B0*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", -4, 8),
		{"8.1 all of these in one statement", "%ASAXBY*OFA0B0*IPPOS*MIA0B0*SFA1B1*IR0*%" + pens + "D10*X0Y0D03*M02*", 1, around(.5, .5), "", ""},
		{"8.1 sequence numbers mean nothing", pens + "N10*N20G54D10*N30X0Y0D03*N40M02*", 1, around(.5, .5), "", ""},

		// 8.1.10: single-quadrant arcs.
		{"8.1.10 G74, counter-clockwise, first quadrant", pens + "D11*G74*X5000Y0D02*G03X0Y5000I5000J0D01*M02*", quarter, [4]float64{-.5, -.5, 5.5, 5.5}, "3.5355,3.5355", "1.5,1.5"},
		{"8.1.10 G74, counter-clockwise, second quadrant", pens + "D11*G74*X0Y5000D02*G03X-5000Y0I0J5000D01*M02*", quarter, [4]float64{-5.5, -.5, .5, 5.5}, "-3.5355,3.5355", ""},
		{"8.1.10 G74, counter-clockwise, third quadrant", pens + "D11*G74*X-5000Y0D02*G03X0Y-5000I5000J0D01*M02*", quarter, [4]float64{-5.5, -5.5, .5, .5}, "-3.5355,-3.5355", ""},
		{"8.1.10 G74, counter-clockwise, fourth quadrant", pens + "D11*G74*X0Y-5000D02*G03X5000Y0I0J5000D01*M02*", quarter, [4]float64{-.5, -5.5, 5.5, .5}, "3.5355,-3.5355", ""},
		{"8.1.10 G74, clockwise: the other centre", pens + "D11*G74*X5000Y0D02*G02X0Y5000I0J5000D01*M02*", quarter, [4]float64{-.5, -.5, 5.5, 5.5}, "1.4645,1.4645", "3.5355,3.5355"},
		{"8.1.10 G74: a circle in four", pens + "D11*G74*X5000Y0D02*G03X0Y5000I5000J0D01*X-5000Y0I0J5000D01*X0Y-5000I5000J0D01*X5000Y0I0J5000D01*M02*", 2 * math.Pi * 5, around(5.5, 5.5), "3.5355,3.5355 -3.5355,-3.5355", "0,0"},
		{"8.1.10 G74: less than a quarter", pens + "D11*G74*X4000Y3000D02*G03X3000Y4000I4000J3000D01*M02*", 5*math.Acos(24./25) + disc(1), [4]float64{2.5, 2.5, 4.5, 4.5}, "3.5355,3.5355", ""},
		{"8.1.10 G74: less than a quarter, beyond the second axis", pens + "D11*G74*X-3000Y4000D02*G03X-4000Y3000I3000J4000D01*M02*", 5*math.Acos(24./25) + disc(1), [4]float64{-4.5, 2.5, -2.5, 4.5}, "-3.5355,3.5355", ""},
		{"8.1.10 G74: less than a quarter, clockwise, in the fourth quadrant", pens + "D11*G74*X4000Y-3000D02*G02X3000Y-4000I4000J3000D01*M02*", 5*math.Acos(24./25) + disc(1), [4]float64{2.5, -4.5, 4.5, -2.5}, "3.5355,-3.5355", ""},
		{"8.1.10 G74: start and end the same is a point", pens + "D11*G74*X5000Y0D02*G03X5000Y0I5000J0D01*M02*", disc(1), [4]float64{4.5, -.5, 5.5, .5}, "", "0,5"},
		{"8.1.10 G74 in a region", "G74*G36*X5000Y0D02*G03X0Y5000I5000J0D01*G01Y0D01*X5000D01*G37*M02*", 25 * math.Pi / 4, [4]float64{0, 0, 5, 5}, "3.5,3.5", "3.6,3.6"},
		{"8.1.10 G75 after G74", pens + "D11*G74*X5000Y0D02*G75*G03X-5000Y0I-5000J0D01*M02*", math.Pi*5 + disc(1), [4]float64{-5.5, -.5, 5.5, 5.5}, "0,5", ""},

		// 8.2: options.
		at("8.2.1 FS with trailing zeros left out", "%FSTAX23Y23*%%MOMM*%%ADD10C,0.2*%D10*X012Y-0005D03*M02*", 1.2, -.05),
		at("8.2.1 FS with trailing zeros left out: all digits written", "%FSTAX23Y23*%%MOMM*%%ADD10C,0.2*%D10*X01234Y00005D03*M02*", 1.234, .005),
		at("8.2.1 FS with all zeros kept", "%FSAX23Y23*%%MOMM*%%ADD10C,0.2*%D10*X01200Y-00050D03*M02*", 1.2, -.05),
		at("8.2.1 FS incremental", "%FSLIX33Y33*%%MOMM*%%ADD10C,0.2*%D10*X1000Y500D02*X1000Y2000D03*M02*", 2, 2.5),
		at("8.2.1 FS incremental, trailing zeros left out", "%FSTIX23Y23*%%MOMM*%%ADD10C,0.2*%D10*X01Y005D02*X01Y02D03*M02*", 2, 2.5),
		at("8.2.1 FS with counts of digits", "%FSLAN2G2X33Y33D2M2*%%MOMM*%%ADD10C,0.2*%D10*X1000Y2000D03*M02*", 1, 2),
		{"8.2.2 a rectangular hole", "%ADD10C,4X2X1*%D10*X0Y0D03*M02*", disc(4) - 2, around(2, 2), "0,0.51 1.01,0", "0.99,0.49"},
		{"8.2.2 a rectangular hole in a rectangle", "%ADD10R,4X2X1X0.5*%D10*X0Y0D03*M02*", 8 - .5, around(2, 1), "0,0.26", "0.49,0.24"},
		{"8.2.2 a rectangular hole in an obround", "%ADD10O,4X2X1X0.5*%D10*X0Y0D03*M02*", 4 + disc(2) - .5, around(2, 1), "0,0.26 1.9,0", "0,0 1.9,0.9"},
		{"8.2.2 a rectangular hole in an upright obround", "%ADD10O,2X4X1X0.5*%D10*X0Y0D03*M02*", 4 + disc(2) - .5, around(1, 2), "0,0.26 0,1.9", "0,0"},
		{"8.2.2 a rectangular hole in a polygon, not turned with it", "%ADD10P,4X4X45X1X0.5*%D10*X0Y0D03*M02*", 8 - .5, around(math.Sqrt2, math.Sqrt2), "0,0.26 1.4,1.4", "0.49,0.24"},

		// 8.3: syntax.
		{"8.3.1 G01 with its coordinates", pens + "D11*X0Y0D02*G01X4000Y0D01*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "", ""},
		{"8.3.1 G02 with its coordinates", pens + "D11*G75*X0Y5000D02*G02X5000Y0I0J-5000D01*M02*", quarter, [4]float64{-.5, -.5, 5.5, 5.5}, "3.5355,3.5355", ""},
		{"8.3.1 G75 and G03 and coordinates in one", pens + "D11*X5000Y0D02*G75G03X0Y5000I-5000J0D01*M02*", quarter, [4]float64{-.5, -.5, 5.5, 5.5}, "3.5355,3.5355", ""},
		{"8.3.1 an aperture and coordinates in one", pens + "D11*X0Y0D02*G54D10X4000Y0D03*M02*", 1, [4]float64{3.5, -.5, 4.5, .5}, "", ""},
		{"8.3.2 coordinates without D go on drawing", pens + "D11*X0Y0D02*G01X2000D01*X4000*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "4.4,0", ""},
		{"8.3.2 coordinates without D go on flashing", pens + "D10*X0Y0D03*X4000*Y3000*M02*", 3, [4]float64{-.5, -.5, 4.5, 3.5}, "4,0 4,3", "0,3"},
		{"8.3.2 coordinates without D go on moving", pens + "D10*X0Y0D02*X4000*X5000Y3000*D03*M02*", 1, [4]float64{4.5, 2.5, 5.5, 3.5}, "", "4,0"},
		{"8.3.2 selecting an aperture does not end it", pens + "D11*X0Y0D02*G01X2000D01*D11*X4000*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "4.4,0", ""},
		{"8.3.2 coordinates without D in a region", "G36*X0Y0D02*G01X4000D01*Y3000*X0*Y0*G37*M02*", 12, [4]float64{0, 0, 4, 3}, "3.9,2.9", ""},
		{"8.3.2 a contour that begins without D02 begins at the current point", "X1000Y1000D02*G36*G01X4000D01*Y3000D01*X1000D01*Y1000D01*G37*M02*", 6, [4]float64{1, 1, 4, 3}, "3.9,2.9", ""},
		{"8.3.2 D02 right before G37 adds nothing", "G36*X0Y0D02*G01X4000D01*Y3000D01*X0D01*Y0D01*X9000Y9000D02*G37*M02*", 12, [4]float64{0, 0, 4, 3}, "3.9,2.9", ""},
		{"8.3.2 a region without a contour is nothing", "%ADD10R,1X1*%D10*G36*G37*G36*X0Y0D02*G37*X0Y0D03*M02*", 1, around(.5, .5), "", ""},
		{"8.3.2 arcs without D", pens + "D11*G75*X5000Y0D02*G03X0Y5000I-5000J0D01*X-5000Y0I0J-5000*M02*", math.Pi*5 + disc(1), [4]float64{-5.5, -.5, 5.5, 5.5}, "-3.5355,3.5355", ""},
		{"8.3.3 several extended commands between two percent signs", "%FSLAX33Y33*MOMM*ADD10R,1X1*LPD*%D10*X0Y0D03*M02*", 1, around(.5, .5), "", ""},
		{"8.3.3 no zero in D1, D2, D3, G1", pens + "D11*X0Y0D2*G1X4000D1*X0Y3000D3*M02*", bar(1, 4) + disc(1), [4]float64{-.5, -.5, 4.5, 3.5}, "0,3", ""},
		{"8.3.3 empty commands", pens + "**D10*****X0Y0D03***M02*", 1, around(.5, .5), "", ""},
	}
}

// 8.1.4: a negative image is dark all over, and clear where it is drawn; what is drawn clear is dark.
func TestSpecNegativeImage(t *testing.T) {
	m, _, err := Read("t.gbr", []byte(metric+"%IPNEG*%%ADD10R,4X4*%%ADD11R,1X1*%D10*X0Y0D03*%LPC*%D11*D03*M02*"), Options{})
	require.NoError(t, err)
	require.True(t, m.Negative)
	m.Negative = false
	fact{"", "", 15, [4]float64{-2, -2, 2, 2}, "1.9,0", "0,0"}.holdsOf(t, m) // of the clear area
}

// An aperture is what its number stood for when it was drawn with.
func TestSpecAperturesDefinedAgain(t *testing.T) {
	for _, f := range []fact{
		{"4.3.1 used before and after, and selected again", "%ADD10R,1X1*%D10*X0Y0D03*%ADD10R,2X2*%D10*X5000Y0D03*M02*", 5, [4]float64{-.5, -1, 6, 1}, "5.9,0.9", "0.6,0"},
		{"4.3.1 a block keeps the aperture of its own time", "%ADD10R,1X1*%%ABD20*%D10*X0Y0D03*%AB*%%ADD10R,2X2*%D20*X0Y0D03*D10*X5000D03*M02*", 5, [4]float64{-.5, -1, 6, 1}, "", "0.6,0"},
		{"4.3.1 defined again within step and repeat", "%ADD10R,1X1*%%SRX2Y1I10.0J0*%D10*X0Y0D03*%ADD10R,2X2*%D10*X5000Y0D03*%SR*%M02*", 10, [4]float64{-.5, -1, 16, 1}, "10.4,0 15.9,0.9", "10.6,0"},
		{"4.3.1 defined again while mirrored and turned", "%ADD10R,2X1*%%LR90*%D10*X0Y0D03*%ADD10R,4X1*%D10*X5000Y0D03*M02*", 6, [4]float64{-.5, -2, 5.5, 2}, "0,0.9 5,1.9", "0,1.1"},
		{"4.3.1 a number that was a block becomes an aperture", "%ADD10R,1X1*%%ABD20*%D10*X0Y0D03*X3000D03*%AB*%D20*X0Y0D03*%ADD20R,2X2*%D20*X10000D03*M02*", 6, [4]float64{-.5, -1, 11, 1}, "3,0", ""},
		{"4.3.1 a number that was an aperture becomes a block", "%ADD10R,1X1*%D10*X0Y0D03*%ABD10*%D10*X0Y0D03*X3000D03*%AB*%D10*X10000Y0D03*M02*", 3, [4]float64{-.5, -.5, 13.5, .5}, "10,0 13,0", "3,0"},
	} {
		t.Run(f.of, f.holds)
	}
}

// Selected once, defined again and not selected again: the format does not say which aperture is meant.
// The one that was selected stays (common practice, no published source).
func TestSelectedBeforeItIsDefinedAgain(t *testing.T) {
	m, _, err := Read("t.gbr", []byte(metric+"%ADD10R,1X1*%D10*X0Y0D03*%ADD10R,2X2*%X5000Y0D03*M02*"), Options{})
	require.NoError(t, err)
	fact{"", "", 2, [4]float64{-.5, -.5, 5.5, .5}, "5,0", "5.6,0"}.holdsOf(t, m)
}
