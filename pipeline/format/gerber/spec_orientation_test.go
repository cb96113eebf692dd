package gerber

import (
	"math"
	"testing"
)

// Polarity, mirroring, rotation and scale of apertures.
func TestSpecOrientation(t *testing.T) { holdAll(t, specOrientation()) }

func specOrientation() []fact {
	// A flag: its corner at the origin, 3 wide and 1 high to the right, and a mast 2 high above the origin.
	const flag = "%AMFLAG*4,1,6,0,0,3,0,3,1,1,1,1,2,0,2,0,0,0*%%ADD10FLAG*%D10*"
	const flash = "X0Y0D03*M02*"
	turned := func(of, set string, box [4]float64, dark, clear string) fact {
		return fact{of, flag + set + flash, 4, box, dark, clear}
	}
	root := math.Sqrt2 / 2
	cos, sin := math.Cos(math.Pi/6), .5
	return []fact{
		{"4.9.2 dark over clear over dark", "%ADD10R,6X6*%%ADD11R,4X4*%%ADD12R,2X2*%%LPD*%D10*X0Y0D03*%LPC*%D11*D03*%LPD*%D12*D03*M02*", 36 - 16 + 4, [4]float64{-3, -3, 3, 3}, "0,0 2.5,0", "1.5,0"},
		{"4.9.2 clear takes away only what was drawn before it", "%ADD10R,2X2*%D10*X0Y0D03*%LPC*%X1000D03*%LPD*%X2000D03*M02*", 2 + 4, [4]float64{-1, -1, 3, 1}, "-0.5,0 1.5,0", "0.5,0"},
		{"4.9.2 dark unless said otherwise", "%ADD10R,2X2*%D10*X0Y0D03*M02*", 4, [4]float64{-1, -1, 1, 1}, "0,0", ""},
		{"4.9.2 clear strokes and regions too", "%ADD10R,10X10*%%ADD11C,1*%D10*X0Y0D03*%LPC*%D11*X-10000Y3000D02*G01X10000D01*G36*X-4000Y-4000D02*X-2000D01*Y-2000D01*X-4000D01*Y-4000D01*G37*M02*",
			100 - 10 - 4, [4]float64{-5, -5, 5, 5}, "0,0 4.9,3.6", "0,3 -3,-3 4.9,3.4"},

		turned("4.9.1 as defined", "", [4]float64{0, 0, 3, 2}, "2.9,0.5 0.5,1.9", "1.1,1.1 -0.1,0.5"),
		turned("4.9.3 LMX turns left to right", "%LMX*%", [4]float64{-3, 0, 0, 2}, "-2.9,0.5 -0.5,1.9", "0.1,0.5"),
		turned("4.9.3 LMY turns top to bottom", "%LMY*%", [4]float64{0, -2, 3, 0}, "2.9,-0.5 0.5,-1.9", "0.5,0.1"),
		turned("4.9.3 LMXY turns both", "%LMXY*%", [4]float64{-3, -2, 0, 0}, "-2.9,-0.5 -0.5,-1.9", "0.1,0.1"),
		turned("4.9.3 LMN turns nothing", "%LMXY*%%LMN*%", [4]float64{0, 0, 3, 2}, "2.9,0.5", "1.1,1.1"),
		turned("4.9.3 a second LM takes the first one's place", "%LMX*%%LMY*%", [4]float64{0, -2, 3, 0}, "2.9,-0.5", ""),
		turned("4.9.3 the same LM twice is once", "%LMX*%%LMX*%", [4]float64{-3, 0, 0, 2}, "-2.9,0.5", ""),
		turned("4.9.4 LR turns counter-clockwise about the aperture's origin", "%LR90*%", [4]float64{-2, 0, 0, 3}, "-0.5,2.9 -1.9,0.5", "0.1,0.1"),
		turned("4.9.4 LR by a negative angle", "%LR-90*%", [4]float64{0, -3, 2, 0}, "0.5,-2.9 1.9,-0.5", ""),
		turned("4.9.4 LR by a fraction of a degree: half of 60.0", "%LR30.0*%", [4]float64{-2 * sin, 0, 3 * cos, 3*sin + cos}, "2.5,1.5 -0.5,1.5", "0.5,0.1"),
		turned("4.9.4 a second LR takes the first one's place", "%LR45*%%LR90*%", [4]float64{-2, 0, 0, 3}, "-0.5,2.9", ""),
		turned("4.9.4 LR0 turns back", "%LR45*%%LR0*%", [4]float64{0, 0, 3, 2}, "2.9,0.5", ""),
		turned("4.9.1 mirrored first, then turned, in whatever order they are said", "%LMX*%%LR90*%", [4]float64{-2, -3, 0, 0}, "-0.5,-2.9 -1.9,-0.5", "0.1,0.1 -1.1,-1.1"),
		turned("4.9.1 mirrored first, then turned, though turned is said first", "%LR90*%%LMX*%", [4]float64{-2, -3, 0, 0}, "-0.5,-2.9 -1.9,-0.5", "0.1,0.1 -1.1,-1.1"),
		turned("4.9.1 mirrored at the x axis, then turned", "%LR90*%%LMY*%", [4]float64{0, 0, 2, 3}, "0.5,2.9 1.9,0.5", "1.1,1.1"),
		turned("4.9.1 several in one", "%LMX*LR90*LMN*LR0*%", [4]float64{0, 0, 3, 2}, "2.9,0.5", ""),
		{"4.9.5 LS scales about the aperture's origin", flag + "%LS1.5*%" + flash, 4 * 2.25, [4]float64{0, 0, 4.5, 3}, "4.4,1.4", "1.6,1.6"},
		{"4.9.5 a second LS takes the first one's place", flag + "%LS2*%%LS0.5*%" + flash, 1, [4]float64{0, 0, 1.5, 1}, "1.4,0.4", ""},
		{"4.9.5 LS scales hole and shape alike", "%ADD10C,2X1*%%LS2*%D10*" + flash, disc(4) - disc(2), [4]float64{-2, -2, 2, 2}, "1.1,0", "0.9,0"},
		{"4.9.5 LS does not scale places", "%ADD10R,1X1*%%LS2*%D10*X5000Y0D03*M02*", 4, [4]float64{4, -1, 6, 1}, "5,0", ""},
		{"4.9.5 LS scales the pen", "%ADD10C,1*%%LS2*%D10*X0Y0D02*G01X4000D01*M02*", bar(2, 4), [4]float64{-1, -1, 5, 1}, "2,0.99", ""},
		{"4.9.1 all three: mirrored, scaled, turned", flag + "%LMX*%%LS2*%%LR180*%" + flash, 16, [4]float64{0, -4, 6, 0}, "5.9,-1 1,-3.9", "2.1,-2.1"},
		{"4.9.1 they stay when another aperture is selected", flag + "%LR90*%%ADD11R,4X2*%D11*X10000Y0D03*D10*X0Y0D03*M02*", 12, [4]float64{-2, -2, 11, 3}, "10,1.9 -0.5,2.9", "11.1,0"},
		{"4.9.1 they hold for what is drawn later, not for what is drawn", flag + "X0Y0D03*%LMX*%X-10000D03*M02*", 8, [4]float64{-13, 0, 3, 2}, "2.9,0.5 -12.9,0.5", "-9.9,0.5"},
		{"4.9.1 they do not touch regions", "%LMX*%%LR90*%%LS2*%G36*X0Y0D02*G01X3000D01*Y1000D01*X0D01*Y0D01*G37*M02*", 3, [4]float64{0, 0, 3, 1}, "2.9,0.9", ""},
		{"4.9.1 they do not change the aperture itself", flag + "%LR90*LMX*LS3*%X0Y0D02*%LR0*LMN*LS1*%" + flash, 4, [4]float64{0, 0, 3, 2}, "2.9,0.5", ""},
		{"4.9.4 a rectangle by 45 degrees", "%ADD10R,4X2*%%LR45*%D10*" + flash, 8, [4]float64{-3 * root, -3 * root, 3 * root, 3 * root}, "1.4,1.4 -1.4,-1.4", "1.4,-1.4"},
		{"4.9.4 an obround by 90 degrees", "%ADD10O,4X2*%%LR90*%D10*" + flash, 4 + disc(2), [4]float64{-1, -2, 1, 2}, "0,1.9", "1.1,0"},
		{"4.9.4 an obround by 45 degrees", "%ADD10O,4X2*%%LR45*%D10*" + flash, 4 + disc(2), [4]float64{-root - 1, -root - 1, root + 1, root + 1}, "1.4,1.4", "1.2,-1.2"},
		{"4.9.4 a polygon turns on top of its own rotation", "%ADD10P,2X3X60*%%LR30*%D10*" + flash, ngon(3, 2), [4]float64{-math.Sqrt(3) / 2, -.5, math.Sqrt(3) / 2, 1}, "0,0.99", "0,-0.51"},
		{"4.9.3 a polygon mirrored left to right", "%ADD10P,2X3*%%LMX*%D10*" + flash, ngon(3, 2), [4]float64{-1, -math.Sqrt(3) / 2, .5, math.Sqrt(3) / 2}, "-0.99,0", "0.51,0"},
		{"4.9.3 a thermal off the origin, mirrored", "%AMT*7,5,2,4,3,0.5,30*%%ADD10T*%%LMX*%D10*" + flash, disc(4) - disc(3) - 2*(strip(4, .5)-strip(3, .5)),
			thermalBox(-5*cos+2*sin, 5*sin+2*cos), "", ""},
		{"4.9.1 a macro's hole goes with it", "%AMH*21,1,6,2,3,0,0*1,0,1,5,0*%%ADD10H*%%LMX*LR90*LS2*%D10*" + flash, 48 - disc(2), [4]float64{-2, -12, 2, 0}, "0,-1 0,-8.9", "0,-10 0,-9.1"},
		{"4.9.4 a line with a turned rectangle (8.2.3)", "%ADD10R,2X2*%%LR45*%D10*X0Y0D02*G01X5000D01*M02*", 4 + 5*4*root, [4]float64{-2 * root, -2 * root, 5 + 2*root, 2 * root}, "2,1.4 5,1.4 6.4,0", "-0.8,0.8"},
		{"4.9.4 a disc looks the same turned", "%ADD10C,1*%%LR33*LMX*%D10*X0Y0D02*G01X4000D01*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "", ""},
	}
}

// thermalBox is the box of a ring of outer diameter 4 with gaps 0.5 wide, turned by −30 degrees, about a place.
func thermalBox(x, y float64) [4]float64 { return [4]float64{x - 2, y - 2, x + 2, y + 2} }
