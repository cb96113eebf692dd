package gerber

import (
	"math"
	"testing"
)

// Regions: contours, several of them, cut-ins, planes.
func TestSpecRegions(t *testing.T) { holdAll(t, specRegions()) }

func specRegions() []fact {
	square := "X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y0D01*"
	box := [4]float64{0, 0, 10, 10}
	region := func(of, body string, area float64, box [4]float64, dark, clear string) fact {
		return fact{of, "G75*G36*" + body + "G37*M02*", area, box, dark, clear}
	}
	return []fact{
		region("4.10.4.1 a contour encloses its area, without any aperture", square, 100, box, "0.01,0.01 9.99,9.99", "-0.01,5 10.01,5"),
		region("4.10.3 a contour may run clockwise", "X0Y0D02*G01Y10000D01*X10000D01*Y0D01*X0D01*", 100, box, "5,5", ""),
		{"4.10.1 the aperture in force does not widen a region", "%ADD10C,3*%D10*G36*" + square + "G37*M02*", 100, box, "", "-0.01,5"},
		{"4.10.1 strokes after a region use the aperture again", "%ADD10R,1X1*%D10*G36*" + square + "G37*X20000Y0D03*M02*", 101, [4]float64{0, -.5, 20.5, 10}, "20,0", ""},
		region("4.10.1 arcs bound a region", "X0Y0D02*G01X10000D01*G03X0Y0I-5000J0D01*", 25*math.Pi/2, [4]float64{0, 0, 10, 5}, "5,4.99", "1,4"),
		region("4.10.1 a full circle is a contour", "X10000Y0D02*G03X10000Y0I-5000J0D01*", 25*math.Pi, [4]float64{0, -5, 10, 5}, "5,4.99 0.01,0", "1,4"),
		region("4.10.1 an arc that bulges inwards", "X0Y0D02*G01X10000D01*G02X0Y0I-5000J0D01*G01Y-8000D01*X10000D01*Y0D01*", 80-25*math.Pi/2, [4]float64{0, -8, 10, 0}, "0.5,-3 5,-5.01", "5,-4.99"),
		region("4.10.3 edges without length do nothing", "X0Y0D02*G01X10000D01*X10000D01*Y10000D01*X0D01*X0Y10000D01*Y0D01*", 100, box, "5,5", ""),
		region("4.10.3 a contour may have corners on a straight edge", "X0Y0D02*G01X4000D01*X10000D01*Y10000D01*X0D01*Y0D01*", 100, box, "4,0.01", ""),

		region("4.10.4.3 D02 begins the next contour", square+"X20000Y0D02*X30000D01*Y10000D01*X20000D01*Y0D01*", 200, [4]float64{0, 0, 30, 10}, "5,5 25,5", "15,5"),
		region("4.10.4.4 contours that overlap are united", square+"X5000Y5000D02*X15000D01*Y15000D01*X5000D01*Y5000D01*", 175, [4]float64{0, 0, 15, 15}, "7,7 14,14 1,1", "2,12 12,2"),
		region("4.10.4.4 contours that overlap are united, whatever way they run", square+"X5000Y5000D02*Y15000D01*X15000D01*Y5000D01*X5000D01*", 175, [4]float64{0, 0, 15, 15}, "7,7 14,14 1,1", "2,12"),
		region("4.10.3 a contour inside another makes no hole", square+"X3000Y3000D02*X6000D01*Y6000D01*X3000D01*Y3000D01*", 100, box, "4,4 3.01,3.01", ""),
		region("4.10.3 a contour inside another makes no hole, though it run the other way", square+"X3000Y3000D02*Y6000D01*X6000D01*Y3000D01*X3000D01*", 100, box, "4,4 3.01,3.01", ""),
		region("4.10.3 the same contour twice is that contour", square+square, 100, box, "5,5", ""),
		region("4.10.4.5 contours that touch along an edge", square+"X10000Y2000D02*X20000D01*Y8000D01*X10000D01*Y2000D01*", 160, [4]float64{0, 0, 20, 10}, "10,5 15,5", "15,1"),
		region("4.10.4.5 contours that touch in a corner", square+"X10000Y10000D02*X20000D01*Y20000D01*X10000D01*Y10000D01*", 200, [4]float64{0, 0, 20, 20}, "9.9,9.9 10.1,10.1", "9.9,10.1"),

		{"4.10.4.7 a hole by clear polarity", "G36*" + square + "G37*%LPC*%G36*X3000Y3000D02*G01X6000D01*Y6000D01*X3000D01*Y3000D01*G37*M02*", 91, box, "2.9,2.9", "3.01,3.01 4,4"},
		{"4.10.4.7 islands in holes by turns of polarity", "%ADD10C,8*%%ADD11C,6*%%ADD12C,4*%G36*X-5000Y-5000D02*G01X5000D01*Y5000D01*X-5000D01*Y-5000D01*G37*%LPC*%D10*X0Y0D03*%LPD*%D11*D03*%LPC*%D12*D03*M02*",
			100 - disc(8) + disc(6) - disc(4), [4]float64{-5, -5, 5, 5}, "4.9,0 2.5,0", "3.5,0 0,0"},

		region("4.10.4.8 a simple cut-in: in, round the hole, out by the same line",
			"X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y5000D01*X3000D01*Y7000D01*X7000D01*Y3000D01*X3000D01*Y5000D01*X0D01*Y0D01*",
			100-16, box, "1,5 2.99,5 0.5,5.001 2.9,4.9", "5,5 3.01,5 6.99,6.99"),
		region("4.10.4.8 a cut-in to a round hole",
			"X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y5000D01*X3000D01*G02X3000Y5000I2000J0D01*G01X0D01*Y0D01*",
			100-disc(4), box, "1,5 2.99,5 5,7.01", "5,5 3.01,5 5,6.99"),
		region("4.10.4.9 a cut-in from a corner, aslant",
			"X0Y0D02*G01X2000Y2000D01*Y8000D01*X8000D01*Y2000D01*X2000D01*X0Y0D01*X10000D01*Y10000D01*X0D01*Y0D01*",
			100-36, box, "1,1 1.99,1.99 1,5", "5,5 2.01,2.01"),
		region("4.10.4.9 two holes, one reached through the other",
			"X0Y0D02*G01X20000D01*Y10000D01*X0D01*Y5000D01*X2000D01*Y8000D01*X8000D01*Y5000D01*X12000D01*Y8000D01*X18000D01*Y2000D01*X12000D01*Y5000D01*X8000D01*Y2000D01*X2000D01*Y5000D01*X0D01*Y0D01*",
			200-72, [4]float64{0, 0, 20, 10}, "1,5 10,5 10,5.01 19,5", "5,5 15,5"),
		region("4.10.4.9 holes one after another along an edge",
			"X0Y0D02*G01X20000D01*Y10000D01*X15000D01*Y7000D01*X17000D01*Y3000D01*X13000D01*Y7000D01*X15000D01*Y10000D01*X5000D01*Y7000D01*X7000D01*Y3000D01*X3000D01*Y7000D01*X5000D01*Y10000D01*X0D01*Y0D01*",
			200-32, [4]float64{0, 0, 20, 10}, "5,9 15,9 10,5", "5,5 15,5"),
		region("4.10.4.8 cut-ins beside a second contour",
			"X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y5000D01*X3000D01*Y7000D01*X7000D01*Y3000D01*X3000D01*Y5000D01*X0D01*Y0D01*X4000Y4000D02*X6000D01*Y6000D01*X4000D01*Y4000D01*",
			100-16+4, box, "1,5 5,5", "3.5,3.5"),
		{"4.10.4.8 what lies below shows in the hole of a cut-in", "%ADD10R,1X1*%D10*X5000Y5000D03*G36*X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y5000D01*X3000D01*Y7000D01*X7000D01*Y3000D01*X3000D01*Y5000D01*X0D01*Y0D01*G37*M02*",
			100 - 16 + 1, box, "5,5", "4,4"},
		{"4.10.4.8 a clear region with a cut-in leaves what lies in its hole", "%ADD10R,12X12*%D10*X5000Y5000D03*%LPC*%G36*X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y5000D01*X3000D01*Y7000D01*X7000D01*Y3000D01*X3000D01*Y5000D01*X0D01*Y0D01*G37*M02*",
			144 - 84, [4]float64{-1, -1, 11, 11}, "5,5 -0.5,5", "1,1 1,5"},

		{"4.10.5 a plane: copper as a region, clearances clear, a connected pad dark, in this order",
			"%ADD10C,3*%%ADD11C,1.2*%%AMSPOKES*7,0,0,3,2,0.4,0*%%ADD12SPOKES*%G36*X0Y0D02*G01X30000D01*Y20000D01*X0D01*Y0D01*G37*" +
				"%LPC*%D10*X5000Y5000D03*X15000D03*D12*X25000Y5000D03*%LPD*%D11*X5000Y5000D03*M02*",
			600 - 2*disc(3) + disc(1.2) - (disc(3) - disc(2) - 2*(strip(3, .4)-strip(2, .4))), [4]float64{0, 0, 30, 20},
			"5,5 25,5 26.25,5 25,6.25 15,6.6", "5,6 15,5 25.9,5.9"},
		{"4.10.5 a plane that is drawn as a negative does not do: what is clear below nothing stays clear", "%LPC*%%ADD10C,3*%D10*X5000Y5000D03*%LPD*%%ADD11R,1X1*%D11*X5000Y5000D03*M02*",
			1, [4]float64{4.5, 4.5, 5.5, 5.5}, "5,5", "5.6,5"},
		{"4.10.2 the current point is where the last edge ended", "%ADD10C,1*%D10*G36*X0Y0D02*G01X10000D01*Y10000D01*X0D01*Y0D01*G37*X-5000D01*M02*", 100 + bar(1, 5) - disc(1)/4, [4]float64{-5.5, -.5, 10, 10}, "-5,0", ""},
	}
}
