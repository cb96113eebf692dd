package recipe

import (
	"math/big"
	"regexp"
	"strings"
)

// unit is a unit that a text may carry, in the model's millimetres or degrees.
type unit struct {
	name string
	in   *big.Rat
}

// The mil is a thousandth of an inch, and the inch is 25.4 mm by its international definition.
var (
	lengthUnits = []unit{{"mm", big.NewRat(1, 1)}, {"um", big.NewRat(1, 1000)}, {"mil", big.NewRat(254, 10000)}, {"in", big.NewRat(254, 10)}}
	angleUnits  = []unit{{"deg", big.NewRat(1, 1)}}

	measured = regexp.MustCompile(`^([+-]?(?:[0-9]{1,30}(?:\.[0-9]{0,30})?|\.[0-9]{1,30}))[ \t]*([^0-9 \t.+-][^0-9]{0,20})?$`)
)

// readMeasure reads "2 mm". found is the unit as written, empty where there is none; r is nil when
// the text is no number at all, and when the unit is not among units.
func readMeasure(text string, units []unit) (r *big.Rat, found string, isNumber bool) {
	m := measured.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return nil, "", false
	}
	n, ok := new(big.Rat).SetString(strings.TrimSuffix(m[1], "."))
	if !ok {
		return nil, "", false
	}
	for _, u := range units {
		if u.name == m[2] {
			return n.Mul(n, u.in), m[2], true
		}
	}
	return nil, m[2], true
}

func unitNames(units []unit) string {
	var names []string
	for _, u := range units {
		names = append(names, u.name)
	}
	return list(names)
}

// millionths rounds to whole millionths, halves away from zero: millimetres to nanometres, degrees
// to the model's angle. ok is false when they do not fit.
func millionths(r *big.Rat) (n int64, ok bool) {
	text := new(big.Rat).Mul(r, big.NewRat(1_000_000, 1)).FloatString(0) // rounds halves away from zero
	i, ok := new(big.Int).SetString(text, 10)
	if !ok || !i.IsInt64() {
		return 0, false
	}
	return i.Int64(), true
}
