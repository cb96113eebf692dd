package gerber

import (
	"math"
	"testing"
)

// Aperture blocks, and step and repeat.
func TestSpecBlocks(t *testing.T) { holdAll(t, specBlocks()) }

func specBlocks() []fact {
	const pens = "%ADD10R,1X1*%%ADD11R,3X1*%%ADD12C,1*%"
	// D20: a bar to the right of the origin, and a square above its left end.
	const block = pens + "%ABD20*%D11*X1500Y500D03*D10*X500Y1500D03*%AB*%"
	blockArea := 4.0
	cos, sin := math.Cos(math.Pi/6), .5
	return []fact{
		{"4.11.1 a block that is never flashed draws nothing", block + "M02*", 0, [4]float64{}, "", ""},
		{"4.11.1 a block is flashed like an aperture, its origin at the place", block + "D20*X10000Y5000D03*M02*", blockArea, [4]float64{10, 5, 13, 7}, "12.9,5.5 10.5,6.9", "11.1,6.1"},
		{"4.11.1 flashed twice", block + "D20*X0Y0D03*X10000D03*M02*", 2 * blockArea, [4]float64{0, 0, 13, 2}, "0.5,1.9 12.9,0.5", "5,0.5"},
		{"4.11.1 strokes and regions in a block", pens + "%ABD20*%D12*X0Y0D02*G01X4000D01*G36*X0Y2000D02*X4000D01*Y3000D01*X0D01*Y2000D01*G37*%AB*%D20*X0Y10000D03*M02*", bar(1, 4) + 4, [4]float64{-.5, 9.5, 4.5, 13}, "2,10 2,12.5", "2,11"},
		{"4.11.1 a block mirrored", block + "%LMX*%D20*X0Y0D03*M02*", blockArea, [4]float64{-3, 0, 0, 2}, "-2.9,0.5 -0.5,1.9", "-1.1,1.1"},
		{"4.11.1 a block turned about its own origin", block + "%LR90*%D20*X0Y0D03*M02*", blockArea, [4]float64{-2, 0, 0, 3}, "-0.5,2.9 -1.9,0.5", "-1.1,1.1"},
		{"4.11.1 a block turned aslant", block + "%LR30*%D20*X0Y0D03*M02*", blockArea, [4]float64{-2 * sin, 0, 3 * cos, 3*sin + cos}, "2.5,1.5 -0.5,1.5", "0.5,0.1"},
		{"4.11.1 a block scaled, its places too", block + "%LS2*%D20*X0Y0D03*M02*", 4 * blockArea, [4]float64{0, 0, 6, 4}, "5.9,1 1,3.9", "2.1,2.1"},
		{"4.11.1 a block mirrored, then turned", block + "%LR90*%%LMX*%D20*X0Y0D03*M02*", blockArea, [4]float64{-2, -3, 0, 0}, "-0.5,-2.9 -1.9,-0.5", "-1.1,-1.1"},
		{"4.11.1 an arc in a block mirrored", pens + "%ABD20*%G75*D12*X5000Y0D02*G03X0Y5000I-5000J0D01*%AB*%%LMX*%D20*X0Y0D03*M02*", math.Pi/2*5 + disc(1), [4]float64{-5.5, -.5, .5, 5.5}, "-3.5355,3.5355", "3.5,3.5 -2,2"},
		{"4.11.1 an aperture turned within a block that is turned: the turns add up", pens + "%ABD20*%%LR90*%D11*X5000Y0D03*%LR0*%%AB*%%LR90*%D20*X0Y0D03*M02*", 3, [4]float64{-1.5, 4.5, 1.5, 5.5}, "1.4,5", "0,3.6"},
		{"4.11.1 an aperture mirrored within a block that is mirrored", pens + "%AMF*4,1,3,0,0,3,0,0,2,0,0,0*%%ADD13F*%%ABD20*%%LMX*%D13*X5000Y0D03*%LMN*%%AB*%%LMX*%D20*X0Y0D03*M02*", 3, [4]float64{-5, 0, -2, 2}, "-4.9,0.1 -2.3,0.1", "-2.5,1.5"},
		{"4.11.1 scales of aperture and block multiply", pens + "%ABD20*%%LS2*%D10*X1000Y0D03*%LS1*%%AB*%%LS1.5*%D20*X0Y0D03*M02*", 9, [4]float64{0, -1.5, 3, 1.5}, "", ""},

		{"4.11.1 a block keeps its own polarities when it is flashed dark", pens + "%ABD20*%D11*X0Y0D03*%LPC*%D10*D03*%LPD*%%AB*%D20*X0Y0D03*M02*", 2, [4]float64{-1.5, -.5, 1.5, .5}, "1,0", "0,0"},
		{"4.11.1 what is clear in a block takes away what lies below the block", pens + "%ADD13R,9X9*%%ABD20*%D11*X0Y0D03*%LPC*%D10*D03*%LPD*%%AB*%D13*X0Y0D03*D20*X0Y0D03*M02*", 80, [4]float64{-4.5, -4.5, 4.5, 4.5}, "1,0 4,4", "0,0"},
		{"4.11.1 flashed clear, every polarity of a block turns round", pens + "%ADD13R,9X9*%%ABD20*%D11*X0Y0D03*%LPC*%D10*D03*%LPD*%%AB*%D13*X0Y0D03*%LPC*%D20*X0Y0D03*M02*", 81 - 2, [4]float64{-4.5, -4.5, 4.5, 4.5}, "0,0 4,4", "1,0 -1,0"},
		{"4.11.1 flashed clear on nothing, what was clear becomes dark", pens + "%ABD20*%D11*X0Y0D03*%LPC*%D10*D03*%LPD*%%AB*%%LPC*%D20*X0Y0D03*M02*", 1, [4]float64{-.5, -.5, .5, .5}, "0,0", "1,0"},
		{"4.11.1 polarity turns round through every nesting: clear in clear is dark", pens + "%ABD20*%D10*X0Y0D03*%AB*%%ABD21*%D11*X0Y0D03*%LPC*%D20*X0Y0D03*%LPD*%%AB*%%LPC*%D21*X0Y0D03*M02*", 1, [4]float64{-.5, -.5, .5, .5}, "0,0", "1,0"},
		{"4.11.1 three clear ones are clear", pens + "%ADD13R,9X9*%%ABD20*%%LPC*%D10*X0Y0D03*%LPD*%%AB*%%ABD21*%%LPC*%D20*X0Y0D03*%LPD*%%AB*%D13*X0Y0D03*%LPC*%D21*X0Y0D03*M02*", 80, [4]float64{-4.5, -4.5, 4.5, 4.5}, "1,0", "0,0"},
		{"4.11.1 two clear ones are dark", pens + "%ADD13R,9X9*%%ABD20*%%LPC*%D10*X0Y0D03*%LPD*%%AB*%%ABD21*%%LPC*%D20*X0Y0D03*%LPD*%%AB*%D13*X0Y0D03*D21*X0Y0D03*M02*", 81, [4]float64{-4.5, -4.5, 4.5, 4.5}, "0,0", ""},
		{"4.11.1 nothing of it changes places: the current point is that of the flash", block + "D20*X10000Y0D03*D12*G01X15000D01*M02*", blockArea + bar(1, 5) - .5*3, [4]float64{9.5, -.5, 15.5, 2}, "14,0 10.5,1.5", ""},

		{"4.11.2 a block within a block may be used outside it too", pens + "%ABD20*%%ABD21*%D10*X500Y500D03*%AB*%D21*X0Y0D03*X0Y2000D03*%AB*%D20*X0Y0D03*D21*X5000Y0D03*M02*", 3, [4]float64{0, 0, 6, 3}, "0.5,2.5 5.5,0.5", "0.5,1.5"},
		{"4.11.2 an aperture defined in a block may be used outside it", "%ABD20*%%ADD10R,1X1*%D10*X0Y0D03*%AB*%D10*X5000Y0D03*M02*", 1, [4]float64{4.5, -.5, 5.5, .5}, "", "0,0"},
		{"4.11.2 a block with step and repeat in it", pens + "%ABD20*%%SRX3Y1I2.0J0*%D10*X0Y0D03*%SR*%%AB*%D20*X0Y5000D03*M02*", 3, [4]float64{-.5, 4.5, 4.5, 5.5}, "2,5 4,5", "1,5"},
		{"4.11.4 blocks in blocks: 2 × 2 of a small one, 2 × 3 of those with a bar, flashed 3 × 2 times, and two squares beside",
			pens + `%ABD100*%
D10*
X1000Y0D03*
D12*
X3000Y2000D02*
G01X3000Y6000D01*
%AB*%
%ABD102*%
%ABD101*%
D100*
X0Y0D03*
X0Y10000D03*
X10000Y0D03*
X10000Y10000D03*
%AB*%
D101*
X0Y0D03*
X0Y20000D03*
X0Y40000D03*
X20000Y0D03*
X20000Y20000D03*
X20000Y40000D03*
D11*
X5000Y-3000D03*
%AB*%
D10*
X-5000Y0D03*
X-5000Y10000D03*
D102*
X0Y0D03*
X0Y100000D03*
X60000Y0D03*
X60000Y100000D03*
X120000Y0D03*
X120000Y100000D03*
M02*
`, 6*(24*(1+bar(1, 4))+3) + 2, [4]float64{-5.5, -3.5, 153.5, 156.5}, "-5,10 1,0 153,152 125,97 33,56", "0,10 153,157 125,0"},

		{"4.12 copies, columns and rows", pens + "%SRX3Y2I5.0J4.0*%D10*X0Y0D03*%SR*%M02*", 6, [4]float64{-.5, -.5, 10.5, 4.5}, "10,4 5,0", "15,0 0,8"},
		{"4.12 SR without numbers ends it", pens + "%SRX2Y1I5.0J0*%D10*X0Y0D03*%SR*%X0Y3000D03*M02*", 3, [4]float64{-.5, -.5, 5.5, 3.5}, "0,3", "5,3"},
		{"4.12 a new SR ends the one before", pens + "%SRX2Y1I5.0J0*%D10*X0Y0D03*%SRX1Y2I0J5.0*%X0Y3000D03*%SR*%M02*", 4, [4]float64{-.5, -.5, 5.5, 8.5}, "5,0 0,8", "5,3"},
		{"4.12 the end of the file ends it", pens + "%SRX2Y1I5.0J0*%D10*X0Y0D03*M02*", 2, [4]float64{-.5, -.5, 5.5, .5}, "5,0", ""},
		{"4.12 X1Y1 is one copy", pens + "%SRX1Y1I0J0*%D10*X0Y0D03*%SR*%M02*", 1, [4]float64{-.5, -.5, .5, .5}, "", ""},
		{"4.12 strokes, regions and polarity are copied", pens + "%SRX2Y1I10.0J0*%%LPD*%G36*X0Y0D02*G01X5000D01*Y5000D01*X0D01*Y0D01*G37*%LPC*%D12*X1000Y2500D02*X4000D01*%LPD*%%SR*%M02*", 2 * (25 - bar(1, 3)), [4]float64{0, 0, 15, 5}, "11,1", "12,2.5 2,2.5"},
		{"4.12 the copies are whole blocks, one after another: a later one's clear takes from an earlier one's dark", pens + "%ADD13R,4X4*%%SRX2Y1I1.0J0*%%LPD*%D13*X0Y0D03*%LPC*%D10*X0Y0D03*%LPD*%%SR*%M02*",
			20 - 1, [4]float64{-2, -2, 3, 2}, "0,0", "1,0 1.4,0.4"},
		{"4.12 not each object in all its copies first: a dark copy covers an earlier copy's clear", pens + "%ADD13R,2X2*%%SRX2Y1I0.5J0*%%LPD*%D13*X0Y0D03*%LPC*%D10*X-500Y0D03*%LPD*%%SR*%M02*",
			2*2.5 - 1 - .5, [4]float64{-1, -1, 1.5, 1}, "0.51,0 1.4,0", "-0.6,0 0.4,0"},
		{"4.12 upwards first, then to the right: the clear of the copy to the right takes from the one above", pens + "%SRX2Y2I5.0J4.0*%%LPD*%D11*X0Y0D03*%LPC*%D10*X-5000Y4000D03*%LPD*%%SR*%M02*",
			12 - 1, [4]float64{-1.5, -.5, 6.5, 4.5}, "1,4 -1,4 5,4", "0,4"},
		{"4.12 what is clear in the copies takes from what lies below them", pens + "%ADD13R,9X9*%D13*X2000Y0D03*%SRX2Y1I4.0J0*%%LPC*%D10*X0Y0D03*%LPD*%%SR*%M02*", 79, [4]float64{-2.5, -4.5, 6.5, 4.5}, "2,0", "0,0 4,0"},
		{"4.12 a block flashed in step and repeat", block + "%SRX2Y2I5.0J5.0*%D20*X0Y0D03*%SR*%M02*", 4 * blockArea, [4]float64{0, 0, 8, 7}, "7.9,5.5", "4,0.5"},
		{"4.12 orientation holds within step and repeat, not for its steps", pens + "%LR90*%%LS2*%%SRX2Y1I8.0J0*%D11*X0Y0D03*%SR*%M02*", 24, [4]float64{-1, -3, 9, 3}, "8,2.9", "4,0"},
	}
}
