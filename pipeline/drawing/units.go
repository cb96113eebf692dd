package drawing

import (
	"strings"

	"panelwright/pipeline/geom"
)

// Units says in which units a drawing states lengths.
type Units string

// The units. Both states millimetres and then inches in brackets.
const (
	Metric Units = "mm"
	Inch   Units = "inch"
	Both   Units = "both"
)

// Length words a length: "25.4", "1.0000", "25.4 [1.0000]". Millimetres have three decimals at most and no
// zeros at the end, inches always four; what they round is told in the notes.
func (u Units) Length(l geom.Length) string { return u.words(l, "", "") }

// Diameter words a diameter: "Ø0.5".
func (u Units) Diameter(l geom.Length) string { return u.words(l, "Ø", "") }

// Radius words a radius: "R2".
func (u Units) Radius(l geom.Length) string { return u.words(l, "R", "") }

// Within words a tolerance either way: "±0.076".
func (u Units) Within(l geom.Length) string { return u.words(l, "±", "") }

func (u Units) words(l geom.Length, before, after string) string {
	switch u {
	case Inch:
		return before + inches(l) + after
	case Both:
		return before + millimetres(l) + after + " [" + before + inches(l) + after + "]"
	}
	return before + millimetres(l) + after
}

// millimetres rounds to whole micrometres, halves away from zero.
func millimetres(l geom.Length) string {
	return (geom.Length(geom.MulDiv(int64(l), 1, int64(geom.UM))) * geom.UM).Decimal()
}

// inches rounds to a tenth of a mil.
func inches(l geom.Length) string {
	n := geom.MulDiv(int64(l), 1, 2540)
	s := geom.Length(n * 100).Decimal() // a ten-thousandth of an inch as if it were 100 nm
	whole, part, _ := strings.Cut(s, ".")
	return whole + "." + part + strings.Repeat("0", 4-len(part))
}

// Style is what all pieces of a drawing have in common.
type Style struct {
	Units  Units
	Letter geom.Length // height of capitals in dimensions, tables, notes
	Small  geom.Length // of what may stand smaller: names within small copies
}

// Usual is the style of ISO 3098: letters of 2.5 mm, small ones of 1.8 mm.
func Usual(u Units) Style { return Style{Units: u, Letter: 2500 * geom.UM, Small: 1800 * geom.UM} }
