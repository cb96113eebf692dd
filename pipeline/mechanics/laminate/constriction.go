package laminate

import "math"

// Where a moment runs from the plate into the ligaments of a row its lines draw together, and spread again behind: the plate
// beside the holes bends more than it would uncut. A beam of the ligament's widening shape leaves that out and is far too
// stiff: a row of five holes of 0.5 mm with webs of 0.3 mm in a board of 1.6 mm turned 2.5 times as much in three
// dimensions. So a ligament with half of each hole beside it, a cell, is reckoned as long as its holes' diameter d
// and a further length λ of uncut plate as broad as the cell:
//
//	λ = f · π d²/4 · (1 + n) / P,  n = √(2 (√(E₁/E₂) − ν₁₂) + E₁/G₁₂)
//
// π d²/4 (1 + n)/P is what a row of holes far apart adds when it is pulled, by the stress at a hole's edge in a sheet that is not alike
// in all directions (S. G. Lekhnitskii, "Anisotropic Plates", 1968: 1 + n times that far off; 3 where the sheet is alike in all),
// and f is how holes that are near to one another change it, as they do more in a thick board. f was measured with
// three-dimensional finite elements of whole cells (calculix-ccx 2.20, 20-node bricks, d = 0.5 mm, thickness 0.8 and 1.6 mm,
// the usual laminate; TestCells in pipeline/outside/mechanics bends such cells again); for a body that is alike in all directions it came out within 3 % of that between holes and 13 % for
// shoulders up to d/P = 0.5.

// crowding is f by the ratio of the hole's diameter to the pitch P of cells, 0.2, 0.3 … 0.8: between two holes, and for shoulders,
// whose other side is free and P that of the cell and its mirror image.
var crowding = [2][2][7]float64{
	{ // between holes
		{0.836, 0.884, 0.945, 1.030, 1.143, 1.312, 1.591}, // thickness 1.6 diameters
		{0.924, 0.965, 1.014, 1.088, 1.191, 1.351, 1.623}, // 3.2 diameters
	},
	{ // shoulders
		{0.830, 0.884, 0.961, 1.077, 1.242, 1.507, 2.010},
		{0.940, 0.999, 1.077, 1.195, 1.362, 1.628, 2.132},
	},
}

// further is λ in mm for a ligament of the given least width beside holes on one or two sides. Beyond what was measured
// the nearest figure counts.
func further(web, diameter, thickness float64, holes int, n float64) float64 {
	kind, pitch := 0, web+diameter
	if holes == 1 {
		kind, pitch = 1, float64(2*web)+diameter
	}
	x := min(max(float64(10*diameter/pitch)-2, 0), 6)
	k := min(int(x), 5)
	thick := min(max((thickness/diameter-1.6)/1.6, 0), 1)
	at := func(row *[7]float64) float64 { return row[k] + float64((row[k+1]-row[k])*(x-float64(k))) }
	thin := at(&crowding[kind][0])
	f := thin + float64((at(&crowding[kind][1])-thin)*thick)
	return f * math.Pi / 4 * diameter * diameter * (1 + n) / pitch
}

// slant is n of a sheet that is pulled along a beam: e1 along it, e2 across, contraction and shear modulus between them.
func slant(e1, e2, contraction, shear float64) float64 {
	return math.Sqrt(max(0, float64(2*(math.Sqrt(e1/e2)-contraction))+e1/shear))
}
