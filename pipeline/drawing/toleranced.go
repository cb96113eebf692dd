package drawing

import "panelwright/pipeline/geom"

// Toleranced words a length with its tolerance either way, before both "Ø", "R" or nothing: "Ø0.5 ±0.076"; in both
// units "Ø0.5 ±0.076 [Ø0.0197 ±0.0030]". A tolerance of 0 is none.
func (u Units) Toleranced(before string, l, within geom.Length) string {
	if within == 0 {
		return u.words(l, before, "")
	}
	mm := before + millimetres(l) + " ±" + millimetres(within)
	in := before + inches(l) + " ±" + inches(within)
	switch u {
	case Inch:
		return in
	case Both:
		return mm + " [" + in + "]"
	}
	return mm
}
