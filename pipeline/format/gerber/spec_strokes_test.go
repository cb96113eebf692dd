package gerber

import (
	"math"
	"testing"
)

// Plot state and strokes: lines, arcs, circles.
func TestSpecStrokes(t *testing.T) { holdAll(t, specStrokes()) }

func specStrokes() []fact {
	const pen = "%ADD10C,1*%D10*"
	around := func(x, y float64) [4]float64 { return [4]float64{-x, -y, x, y} }
	bend := 2*bar(1, 4) - .25 - 3*math.Pi/16 // two strokes at right angles share a square and three quarter discs
	// A quarter disc of radius 5, and what of it lies further than half a pen from its border.
	sector := 25 * math.Pi / 4
	half := func(x float64) float64 { return (x*math.Sqrt(20.25-x*x) + 20.25*math.Asin(x/4.5)) / 2 }
	end := math.Sqrt(20)
	inner := half(end) - half(.5) - .5*(end-.5)
	return []fact{
		{"4.8.2 a line with a round pen has round ends", pen + "X0Y0D02*G01X4000D01*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "-0.49,0 4.3,0.3", "4.4,0.4 2,0.51"},
		{"4.8.2 a line aslant", pen + "X0Y0D02*G01X3000Y4000D01*M02*", bar(1, 5), [4]float64{-.5, -.5, 3.5, 4.5}, "1.5,2 1.2,2.2", "1,2.2 2,1.8"},
		{"4.8.2 a line without length is a disc", pen + "X1000Y0D02*G01X1000Y0D01*M02*", disc(1), [4]float64{.5, -.5, 1.5, .5}, "1,0.49", ""},
		{"4.8.2 a line begins where the one before ended", pen + "X0Y0D02*G01X4000D01*Y4000D01*M02*", bend, [4]float64{-.5, -.5, 4.5, 4.5}, "4.3,-0.3 4,4.4", "4.4,-0.4 3,1"},
		{"4.8.2 a line begins where the last flash was", pen + "X4000Y0D03*G01Y4000D01*M02*", bar(1, 4), [4]float64{3.5, -.5, 4.5, 4.5}, "4,2", "0,0"},
		{"4.7.1 lines are the state until another is set", pen + "G01*X0Y0D02*X2000D01*X4000D01*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "", ""},
		{"4.8.2 strokes that cross lie over one another", pen + "X-2000Y0D02*G01X2000D01*X0Y-2000D02*Y2000D01*M02*", 2*bar(1, 4) - 1, around(2.5, 2.5), "0,0 0.49,1", "0.6,0.6"},

		{"4.7.2 a quarter counter-clockwise", pen + "G75*X5000Y0D02*G03X0Y5000I-5000J0D01*M02*", math.Pi/2*5 + disc(1), [4]float64{-.5, -.5, 5.5, 5.5}, "3.5355,3.5355 3.88,3.88 3.2,3.2", "3.9,3.9 3.1,3.1 -3.5,3.5"},
		{"4.7.2 the same numbers clockwise: three quarters", pen + "G75*X5000Y0D02*G02X0Y5000I-5000J0D01*M02*", 3*math.Pi/2*5 + disc(1), around(5.5, 5.5), "-3.5355,3.5355 -3.5355,-3.5355 3.5355,-3.5355 0,5.4", "3.5355,3.5355 0,0"},
		{"4.7.2 half a circle, clockwise from left to right, goes over the top", pen + "G75*X-5000Y0D02*G02X5000Y0I5000J0D01*M02*", math.Pi*5 + disc(1), [4]float64{-5.5, -.5, 5.5, 5.5}, "0,5", "0,-5"},
		{"4.7.2 half a circle, counter-clockwise from left to right, goes below", pen + "G75*X-5000Y0D02*G03X5000Y0I5000J0D01*M02*", math.Pi*5 + disc(1), [4]float64{-5.5, -5.5, 5.5, .5}, "0,-5", "0,5"},
		{"4.7.2 start and end the same: a full circle, counter-clockwise", pen + "G75*X5000Y0D02*G03X5000Y0I-5000J0D01*M02*", 2 * math.Pi * 5, around(5.5, 5.5), "5,0 -5,0 0,5 0,-5.4", "0,0 4.4,0 5.6,0"},
		{"4.7.2 start and end the same: a full circle, clockwise", pen + "G75*X1000Y1000D02*G02X1000Y1000I3000J4000D01*M02*", 2 * math.Pi * 5, [4]float64{-1.5, -.5, 9.5, 10.5}, "4,0 4,10 -1,5", "4,5"},
		{"4.7.2 a full circle without coordinates", pen + "G75*X5000Y0D02*G03I-5000D01*M02*", 2 * math.Pi * 5, around(5.5, 5.5), "-5,0", "0,0"},
		{"4.7.2 a full circle whose pen is as wide as its radius twice fills the middle", "%ADD10C,2*%D10*G75*X1000Y0D02*G03X1000Y0I-1000J0D01*M02*", disc(4), around(2, 2), "0.01,0.01 0,1.9", ""},
		{"4.7.2 offsets are signed and count from the start", pen + "G75*X2000Y3000D02*G02X6000Y-1000I0J-4000D01*M02*", math.Pi/2*4 + disc(1), [4]float64{1.5, -1.5, 6.5, 3.5}, "4.8284,1.8284", "2,-1"},
		{"4.7.2 J left out is 0", pen + "G75*X5000Y0D02*G03X-5000Y0I-5000D01*M02*", math.Pi*5 + disc(1), [4]float64{-5.5, -.5, 5.5, 5.5}, "0,5", "0,-5"},
		{"4.7.2 offsets do not stay for the next arc", pen + "G75*X5000Y0D02*G03X0Y5000I-5000J0D01*X-5000Y0J-5000D01*M02*", math.Pi*5 + disc(1), [4]float64{-5.5, -.5, 5.5, 5.5}, "-3.5355,3.5355", "0,-5"},
		{"4.7.2 circular stays until lines are set", pen + "G75*X5000Y0D02*G03X0Y5000I-5000J0D01*G01X0Y0D01*X5000Y0D01*M02*",
			sector + (10+2.5*math.Pi)*.5 + disc(1) - inner, [4]float64{-.5, -.5, 5.5, 5.5}, "2.5,0 0,2.5 3.5355,3.5355", "2.5,2.5"},
		{"4.7.2 an arc of much more than half a circle", pen + "G75*X3000Y4000D02*G02X4000Y3000I-3000J-4000D01*M02*",
			5*math.Acos(24./25) + disc(1), [4]float64{2.5, 2.5, 4.5, 4.5}, "3.5355,3.5355", "-5,0"},
		{"4.7.2 the same ends, the long way round", "%ADD10C,0.2*%D10*G75*X3000Y4000D02*G03X4000Y3000I-3000J-4000D01*M02*",
			.2*5*(2*math.Pi-math.Acos(24./25)) + disc(.2), around(5.1, 5.1), "-5,0 0,-5", "3.5355,3.5355"},
		{"8.2.3 a hole in the pen does not show in strokes", "%ADD10C,1X0.5*%D10*X0Y0D02*G01X4000D01*M02*", bar(1, 4), [4]float64{-.5, -.5, 4.5, .5}, "0,0 2,0", ""},
		{"8.2.3 a line with a rectangle along an axis", "%ADD10R,2X1*%D10*X0Y0D02*G01X5000D01*M02*", 7, [4]float64{-1, -.5, 6, .5}, "5.99,0.49", "6.01,0"},
		{"8.2.3 a line with a rectangle aslant covers all that the rectangle passes over", "%ADD10R,2X1*%D10*X0Y0D02*G01X5000Y5000D01*M02*", 2 + 5*2 + 5*1, [4]float64{-1, -.5, 6, 5.5}, "2.5,2.5 5.9,5.4 3.5,2.1 -0.9,0.4", "5.9,4.3 3.5,1.9 -0.9,0.7"},
		{"8.2.3 a line with a square the other way", "%ADD10R,1X1*%D10*X0Y5000D02*G01X5000Y0D01*M02*", 1 + 5 + 5, [4]float64{-.5, -.5, 5.5, 5.5}, "0.4,5.4 2.5,2.5 5.4,-0.4", "0.4,3.5 -0.4,4.3"},
	}
}
