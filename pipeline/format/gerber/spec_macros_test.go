package gerber

import (
	"math"
	"testing"
)

// Aperture macros: primitives, exposure, rotation, variables, expressions.
func TestSpecMacros(t *testing.T) { holdAll(t, specMacros()) }

func specMacros() []fact {
	flash := func(of, macro, values string, area float64, box [4]float64, dark, clear string) fact {
		if values != "" {
			values = "," + values
		}
		return fact{of, "%AMTEST*\n" + macro + "%\n%ADD10TEST" + values + "*%\nD10*\nX0Y0D03*\nM02*\n", area, box, dark, clear}
	}
	around := func(x, y float64) [4]float64 { return [4]float64{-x, -y, x, y} }
	root := math.Sqrt2 / 2
	// A ring of outer diameter a and inner diameter b with four gaps of width g.
	thermal := func(a, b, g float64) float64 { return disc(a) - disc(b) - 2*(strip(a, g)-strip(b, g)) }
	return []fact{
		// 4.5.1: primitives.
		flash("4.5.1.1 a comment draws nothing", "0 Disc, 1,1,9,0,0 and $1=3*\n1,1,2,0,0*", "", disc(2), around(1, 1), "", ""),
		flash("4.5.1.1 comments between primitives", "1,1,2,0,0*0 the hole*\n1,0,1,0,0*\n0 end*", "", disc(2)-disc(1), around(1, 1), "0.6,0", "0,0"),
		flash("4.5.1.3 circle off the origin", "1,1,2,3,-1*", "", disc(2), [4]float64{2, -2, 4, 0}, "3,-1", "0,0"),
		flash("4.5.1.3 circle turned about the macro's origin", "1,1,2,3,0,90*", "", disc(2), [4]float64{-1, 2, 1, 4}, "0,3", "3,0"),
		flash("4.5.1.4 vector line, its ends square", "20,1,0.5,1,1,4,1,0*", "", 1.5, [4]float64{1, .75, 4, 1.25}, "1.01,1 3.99,1.24", "0.99,1 4.01,1"),
		flash("4.5.1.4 vector line aslant", "20,1,1,0,0,3,4,0*", "", 5, [4]float64{-.4, -.3, 3.4, 4.3}, "1.5,2 2.9,3.9", "3.1,4.1"),
		flash("4.5.1.4 vector line turned about the macro's origin", "20,1,0.5,1,0,4,0,90*", "", 1.5, [4]float64{-.25, 1, .25, 4}, "0,2", "2,0"),
		flash("4.5.1.5 centre line", "21,1,4,1,2,3,0*", "", 4, [4]float64{0, 2.5, 4, 3.5}, "0.01,2.51", ""),
		flash("4.5.1.5 centre line turned about the macro's origin, not about its own centre", "21,1,4,1,3,0,90*", "", 4, [4]float64{-.5, 1, .5, 5}, "0,4.9", "3,0"),
		flash("4.5.1.5 centre line by 45 degrees", "21,1,2,2,0,0,45*", "", 4, around(2*root, 2*root), "1.4,0", "0.8,0.8"),
		flash("4.5.1.6 outline, a triangle", "4,1,3,0,0,3,0,0,2,0,0,0*", "", 3, [4]float64{0, 0, 3, 2}, "1,1 0.01,1.98", "2,1 -0.01,0"),
		flash("4.5.1.6 outline turned", "4,1,3,0,0,3,0,0,2,0,0,180*", "", 3, [4]float64{-3, -2, 0, 0}, "-1,-1", "1,1"),
		flash("4.5.1.6 outline that runs clockwise", "4,1,4,0,0,0,2,3,2,3,0,0,0,0*", "", 6, [4]float64{0, 0, 3, 2}, "1,1", ""),
		flash("4.5.1.6 outline that is not convex", "4,1,6,0,0,4,0,4,1,1,1,1,3,0,3,0,0,0*", "", 6, [4]float64{0, 0, 4, 3}, "3.9,0.9 0.9,2.9", "1.1,1.1 3,2"),
		flash("4.5.1.6 outline with expressions over several lines", "4,1,4,\n$1,$2,\n$1+2,$2,\n$1+2,$2+1,\n$1,$2+1,\n$1,$2,\n$3*", "1X-1X0", 2, [4]float64{1, -1, 3, 0}, "2,-0.5", "0,0"),
		flash("4.5.1.7 polygon, a corner on the positive x axis", "5,1,3,0,0,2,0*", "", ngon(3, 2), [4]float64{-.5, -math.Sqrt(3) / 2, 1, math.Sqrt(3) / 2}, "0.99,0", "-0.51,0"),
		flash("4.5.1.7 polygon turned", "5,1,8,0,0,2,22.5*", "", ngon(8, 2), around(math.Cos(math.Pi/8), math.Cos(math.Pi/8)), "0,0.92", "0.93,0"),
		flash("4.5.1.7 polygon off the origin turns about the origin", "5,1,4,3,0,2,90*", "", 2, [4]float64{-1, 2, 1, 4}, "0,3.9", "3,0"),
		flash("4.5.1.8 thermal", "7,0,0,4,3,0.5,0*", "", thermal(4, 3, .5), around(math.Sqrt(4-.0625), math.Sqrt(4-.0625)), "1.3,1.3 -1.3,1.3", "0,0 1.75,0 0,1.75 1.75,0.24 1.1,1.0"),
		flash("4.5.1.8 thermal turned", "7,0,0,4,3,0.5,45*", "", thermal(4, 3, .5), around(2, 2), "1.75,0 0,1.75", "1.24,1.24 0,0"),
		flash("4.5.1.8 thermal off the origin turns about the origin", "7,5,0,4,3,0.5,90*", "", thermal(4, 3, .5), [4]float64{-math.Sqrt(4 - .0625), 5 - math.Sqrt(4-.0625), math.Sqrt(4 - .0625), 5 + math.Sqrt(4-.0625)}, "1.3,6.3", "0,5 1.75,5"),
		flash("8.2.4 primitive 2 is primitive 20", "2,1,0.5,1,1,4,1,0*", "", 1.5, [4]float64{1, .75, 4, 1.25}, "", ""),
		flash("8.2.5 line by its lower left corner", "22,1,4,1,-1,2,0*", "", 4, [4]float64{-1, 2, 3, 3}, "-0.99,2.01", "-1.01,2"),
		flash("8.2.5 line by its lower left corner, turned", "22,1,4,1,1,1,90*", "", 4, [4]float64{-2, 1, -1, 5}, "-1.5,4.9", "1.5,1.5"),
		flash("8.2.6 moiré: rings from the outside, the last one a disc", "6,0,0,10,1,1,3,0.1,12,0*", "",
			disc(10)-disc(8)+disc(6)-disc(4)+disc(2)+2*(1.2-strip(10, .1)+strip(8, .1)-strip(6, .1)+strip(4, .1)-strip(2, .1)),
			around(6, 6), "0.5,0.5 4.5,0.2 2.5,-0.2 3.5,0 0,-5.9", "3.5,0.2 1.5,0.2 5.5,0.2"),
		flash("8.2.6 moiré: as many rings as are stated", "6,0,0,10,1,1,1,0.1,4,0*", "",
			disc(10)-disc(8)+2*4*.1-.01, around(5, 5), "4.5,0.2 1.9,0", "2.5,0.2 3.5,0 2.1,0"),
		flash("8.2.6 moiré turned", "6,0,0,10,1,1,1,0.1,4,45*", "", disc(10)-disc(8)+2*4*.1-.01, around(5, 5), "1.4,1.4 -1.4,1.4", "1.9,0 0,1.9"),

		// 4.5.2: exposure.
		flash("4.5.2 exposure off makes a hole", "1,1,4,0,0*\n21,0,1,1,0,0,0*", "", disc(4)-1, around(2, 2), "0.51,0.51", "0,0 0.49,0.49"),
		flash("4.5.2 exposure off takes only what came before it", "1,1,4,0,0*21,0,1,1,0,0,0*1,1,0.5,0,0*", "", disc(4)-1+disc(.5), around(2, 2), "0,0", "0.3,0.3"),
		flash("4.5.2 exposure off first takes nothing", "21,0,1,1,0,0,0*1,1,4,0,0*", "", disc(4), around(2, 2), "0,0", ""),
		flash("4.5.2 exposure by a variable", "1,1,4,0,0*21,$1,1,1,0,0,0*", "0", disc(4)-1, around(2, 2), "", "0,0"),
		flash("4.5.2 every primitive with exposure can take away", "21,1,10,10,0,0,0*1,0,1,-3,-3*20,0,1,-4,3,-2,3,0*4,0,3,2,2,4,2,2,4,2,2,0*5,0,4,3,-3,2,0*22,0,1,1,-0.5,-0.5,0*", "",
			100-disc(1)-2-2-2-1, around(5, 5), "3.5,3.5 4,-2.9", "-3,-3 -3,3 2.5,2.5 3,-3 0,0"),
		{"4.5.2 what lies below shows where a macro takes from itself", "%AMRING*1,1,4,0,0*1,0,2,0,0*%%ADD10RING*%%ADD11R,1X1*%D11*X0Y0D03*D10*X0Y0D03*M02*", disc(4) - disc(2) + 1, around(2, 2), "0,0 0.49,0.49 1.5,0", "0.9,0"},
		{"4.5.2 a macro flashed clear takes away what it would draw", "%AMRING*1,1,4,0,0*1,0,2,0,0*%%ADD10RING*%%ADD11R,6X6*%D11*X0Y0D03*%LPC*%D10*X0Y0D03*M02*", 36 - disc(4) + disc(2), around(3, 3), "0,0 0.9,0 2.9,2.9", "1.5,0"},

		// 4.5.3: rotation about the macro's origin, a hole included.
		flash("4.5.3 part and hole turn as one", "21,1,4,2,3,0,30*1,0,1,4,0,30*", "", 8-disc(1),
			[4]float64{.866025*1 - .5, .5 - .866025, .866025*5 + .5, 2.5 + .866025}, "1.7,1", "3.4641,2"),

		// 4.5.4: variables and expressions.
		flash("4.5.4.1 values come in the order of AD", "21,1,$1,$2,$3,$4,$5*", "4X2X1X-1X0", 8, [4]float64{-1, -2, 3, 0}, "", ""),
		flash("4.5.4.1 a value that AD leaves out is 0", "21,1,$1,$2,$3,$4,$5*", "4X2", 8, around(2, 1), "", ""),
		flash("4.5.4.1 a value too many is not used", "21,1,$1,$2,0,0,0*", "4X2X9X9", 8, around(2, 1), "", ""),
		flash("4.5.4.1 negative values", "1,1,1,$1,$2*", "-3.5X-.5", disc(1), [4]float64{-4, -1, -3, 0}, "", ""),
		flash("4.5.4.2 x and / before + and -", "21,1,1+2x3,6-8/4,0,0,0*", "", 28, around(3.5, 2), "", ""),
		flash("4.5.4.2 brackets first", "21,1,(1+2)x3,(6-2)/4,0,0,0*", "", 9, around(4.5, .5), "", ""),
		flash("4.5.4.2 equals from left to right", "21,1,8/4x2,9-3-2,0,0,0*", "", 16, around(2, 2), "", ""),
		flash("4.5.4.2 brackets within brackets", "21,1,((1+1)x(3-1))/2,-(1-(2+1)),0,0,0*", "", 4, around(1, 1), "", ""),
		flash("4.5.4.2 a sign before a variable", "1,1,1,-$1,+$1*", "2", disc(1), [4]float64{-2.5, 1.5, -1.5, 2.5}, "", ""),
		flash("4.5.4.2 X is x (8.3.3)", "21,1,2X$1,2,0,0,0*", "2", 8, around(2, 1), "", ""),
		flash("4.5.4.2 thirds lose nothing", "21,1,$1/3x3,1,0,0,0*", "2", 2, around(1, .5), "", ""),
		flash("4.5.4.3 a variable made of others", "1,1,$1,$2,$3*$4=$1x0.75*1,0,$4,$2,$3*", "4X1X2", disc(4)-disc(3), [4]float64{-1, 0, 3, 4}, "2.6,2", "1,2 2.4,2"),
		flash("4.5.4.3 a variable set again holds from there on", "1,1,$1,0,0*$1=$1-1*1,0,$1,0,0*$1=$1-1*1,1,$1,0,0*", "4", disc(4)-disc(3)+disc(2), around(2, 2), "0,0 1.9,0", "1.2,0"),
		flash("4.5.4.3 a variable never set is 0", "1,1,2,$7,$8*", "", disc(2), around(1, 1), "", ""),
		flash("4.5.4.3 a variable is counted, not named: $10 is not $1 and 0", "$10=3*1,1,$10,0,0*", "1", disc(3), around(1.5, 1.5), "", ""),

		// 4.5.5: worked examples.
		flash("4.5.5 ring by fixed sizes", "1,1,0.100,0,0*1,0,0.080,0,0*", "", disc(.1)-disc(.08), around(.05, .05), "0.045,0", "0.039,0"),
		flash("4.5.5 ring by values", "1,1,$1,$2,$3*1,0,$4,$2,$3*", "0.100X0X0X0.080", disc(.1)-disc(.08), around(.05, .05), "0.045,0", "0.039,0"),
		flash("4.5.5 rectangle with rounded corners: width, height, radius, turn", `0 Two bars and four discs*
21,1,$1,$2-$3-$3,0,0,$4*
21,1,$1-$3-$3,$2,0,0,$4*
$5=$1/2*
$6=$2/2*
$7=2x$3*
1,1,$7,$5-$3,$6-$3,$4*
1,1,$7,-$5+$3,$6-$3,$4*
1,1,$7,-$5+$3,-$6+$3,$4*
1,1,$7,$5-$3,-$6+$3,$4*`, "6X4X1X90", 24-(4-math.Pi), around(2, 3), "1.7,2.7 0,2.99 1.99,0", "1.8,2.8"),
		{"4.5.5 one macro, two apertures, each by its own values", "%AMBOX*21,1,$1,$2,0,0,0*%%ADD10BOX,2X1*%%ADD11BOX,1X3*%D10*X0Y0D03*D11*X5000D03*M02*", 5, [4]float64{-1, -1.5, 5.5, 1.5}, "0.9,0.4 5,1.4", "0,0.6 5.6,0"},
		{"4.5.1 a macro that takes another's name holds for what is defined after it", "%AMBOX*21,1,2,2,0,0,0*%%ADD10BOX*%%AMBOX*21,1,1,1,0,0,0*%%ADD11BOX*%D10*X0Y0D03*D11*X5000D03*M02*", 5, [4]float64{-1, -1, 5.5, 1}, "0.9,0.9", "5.6,0"},
		{"4.5 a macro stays whole at any place", "%AMPAIR*1,1,1,-2,0*1,1,1,2,0*%%ADD10PAIR*%D10*X10000Y5000D03*M02*", 2 * disc(1), [4]float64{7.5, 4.5, 12.5, 5.5}, "8,5 12,5", "10,5"},
	}
}
