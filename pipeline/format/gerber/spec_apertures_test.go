package gerber

import (
	"fmt"
	"math"
	"testing"
)

// Aperture definitions, the standard templates and their holes.
func TestSpecApertures(t *testing.T) { holdAll(t, specApertures()) }

func specApertures() []fact {
	flash := func(of, def string, area float64, box [4]float64, dark, clear string) fact {
		return fact{of, "%ADD10" + def + "*%D10*X0Y0D03*M02*", area, box, dark, clear}
	}
	around := func(x, y float64) [4]float64 { return [4]float64{-x, -y, x, y} }
	root := math.Sqrt(3)
	facts := []fact{
		flash("4.4.2 circle", "C,2", disc(2), around(1, 1), "0.7,0.7 -0.99,0", "0.72,0.72 1.01,0"),
		flash("4.4.2 circle with a hole", "C,2X0.5", disc(2)-disc(.5), around(1, 1), "0.26,0 0,-0.99", "0,0 0.24,0"),
		flash("4.4.3 rectangle, width then height", "R,4X2", 8, around(2, 1), "1.99,0.99 -1.99,-0.99", "0,1.01 2.01,0"),
		flash("4.4.3 rectangle with a hole", "R,4X2X1", 8-disc(1), around(2, 1), "0.51,0", "0,0 0.49,0 0,-0.49"),
		flash("4.4.4 obround, the shorter side round", "O,4X2", 2*2+disc(2), around(2, 1), "1.99,0 1.7,0.7 0,0.99", "1.72,0.72 2.01,0"),
		flash("4.4.4 obround, upright", "O,2X4", 2*2+disc(2), around(1, 2), "0,1.99 0.7,1.7", "0.72,1.72"),
		flash("4.4.4 obround as wide as high is a circle", "O,2X2", disc(2), around(1, 1), "0.7,0.7", "0.72,0.72"),
		flash("4.4.4 obround with a hole", "O,4X2X1.5", 4+disc(2)-disc(1.5), around(2, 1), "1,0", "0,0 0.74,0 0,0.74"),
		flash("4.4.5 a polygon without rotation has a corner on the positive x axis", "P,2X3", ngon(3, 2),
			[4]float64{-.5, -root / 2, 1, root / 2}, "0.99,0 -0.49,0.8", "-0.51,0 -0.99,0"),
		flash("4.4.5 polygon turned counter-clockwise", "P,2X3X90", ngon(3, 2),
			[4]float64{-root / 2, -.5, root / 2, 1}, "0,0.99", "0,-0.51 0.99,0"),
		flash("4.4.5 polygon turned by a negative angle", "P,2X3X-90", ngon(3, 2),
			[4]float64{-root / 2, -1, root / 2, .5}, "0,-0.99", "0,0.51"),
		flash("4.4.5 square standing on a corner", "P,2X4X0", 2, around(1, 1), "0.49,0.49", "0.51,0.51"),
		flash("4.4.5 square by 45 degrees", "P,2X4X45.0", 2, around(math.Sqrt2/2, math.Sqrt2/2), "0.7,0.7", "0.72,0"),
		flash("4.4.5 polygon with rotation and hole", "P,2X6X30X0.5", ngon(6, 2)-disc(.5), around(root/2, 1), "0,0.99 0.26,0", "0,0 0.99,0"),
		flash("4.4.5 polygon with a hole, its rotation 0", "P,2X6X0X0.5", ngon(6, 2)-disc(.5), around(1, root/2), "0.99,0", "0,0 0,0.99"),
		flash("4.3.1 sizes without the digit before the point", "R,.5X.25", .125, around(.25, .125), "", ""),
		flash("4.3.2 a circle of size zero makes no image", "C,0", 0, [4]float64{}, "", ""),
		{"4.3.2 a stroke of size zero makes no image", "%ADD10C,0*%%ADD11R,1X1*%D10*X0Y0D02*X9000D01*D11*X0Y0D03*M02*", 1, around(.5, .5), "", "5,0"},
		{"4.4.6 what lies below shows through a hole", "%ADD10C,4X2*%%ADD11R,0.5X0.5*%D11*X0Y0D03*D10*X0Y0D03*M02*", disc(4) - disc(2) + .25, around(2, 2), "0,0 0.24,0.24 1.5,0", "0.5,0 0,0.9"},
		{"4.4.6 a clear flash leaves what lies in its hole", "%ADD10C,4X2*%%ADD11R,6X6*%D11*X0Y0D03*%LPC*%D10*X0Y0D03*M02*", 36 - disc(4) + disc(2), around(3, 3), "0,0 0.9,0 2.5,0", "1.5,0 0,-1.9"},
		{"4.6 the last aperture selected is used", "%ADD10R,1X1*%%ADD11R,2X2*%D10*D11*X0Y0D03*M02*", 4, around(1, 1), "", ""},
		{"4.6 selecting does not flash or move", "%ADD10R,1X1*%%ADD11R,2X2*%D10*X5000Y0D02*D11*D10*D03*M02*", 1, [4]float64{4.5, -.5, 5.5, .5}, "", "0,0"},
		{"4.8.4 flashes lay over one another", "%ADD10C,2*%D10*X0Y0D03*X1000D03*M02*", 2*disc(2) - lens(2, 1), [4]float64{-1, -1, 2, 1}, "0.5,0", "0.5,0.9"},
	}
	for n := 3; n <= 12; n++ { // 4.4.5: three to twelve corners
		far := 1.0
		if n%2 == 1 {
			far = math.Cos(math.Pi / float64(n))
		}
		high := 0.0
		for k := range n {
			high = max(high, math.Sin(2*math.Pi*float64(k)/float64(n)))
		}
		facts = append(facts, flash(fmt.Sprintf("4.4.5 polygon of %d corners", n), fmt.Sprintf("P,2X%d", n), ngon(n, 2), [4]float64{-far, -high, 1, high}, "0,0", ""))
	}
	return facts
}
