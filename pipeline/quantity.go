package pipeline

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Quantity is a value whose unit depends on what it is for, such as a rule's limit. Unit is empty
// for a plain number, which is in the unit of what it is for; "mm" for every length and "deg" for
// every angle, whatever unit the recipe wrote; the unit as written otherwise.
type Quantity struct {
	Value float64
	Unit  string
}

// lengthUnits are the units of length that recipes know, in millimetres.
var lengthUnits = map[string]float64{"um": 1e-3, "mm": 1, "mil": 0.0254, "in": 25.4}

// LengthUnits are the units that texts of lengths may have, the smallest first.
func LengthUnits() []string {
	units := slices.Collect(maps.Keys(lengthUnits))
	slices.SortFunc(units, func(a, b string) int { return cmp.Compare(lengthUnits[a], lengthUnits[b]) })
	return units
}

// ParseQuantity reads "0.25 mm", "70mil", "30 deg", "12 N", "1900 kg/m3".
func ParseQuantity(s string) (Quantity, error) {
	s = strings.TrimSpace(s)
	end := strings.IndexByte(s, ' ')
	if end < 0 {
		end = strings.LastIndexAny(s, "0123456789.") + 1
	}
	number := strings.TrimSpace(s[:end])
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || strings.Trim(number, "0123456789.+-eE") != "" { // "inf" and "nan" are no limits
		return Quantity{}, fmt.Errorf("%q is not a number with a unit", s)
	}
	unit := strings.TrimSpace(s[end:])
	if f, ok := lengthUnits[unit]; ok {
		return Quantity{float64(v * f), "mm"}, nil
	}
	return Quantity{v, unit}, nil
}

// Fits tells whether the quantity may stand where unit is asked for.
func (q Quantity) Fits(unit string) bool { return q.Unit == "" || q.Unit == unit }

// String writes the quantity as a recipe would.
func (q Quantity) String() string {
	v := strconv.FormatFloat(q.Value, 'g', -1, 64)
	if q.Unit == "" {
		return v
	}
	return v + " " + q.Unit
}
