package recipe

import (
	"math/big"
	"strings"
	"unicode/utf8"
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
)

// splitMeasure takes "2.5 mm" apart. The number has at most 30 digits before the point and 30 after it, the unit at
// most 21 letters. By hand: every recipe needs it, and to compile a pattern of it takes as long as to load a small one.
func splitMeasure(text string) (number, unit string, ok bool) {
	const digits = "0123456789"
	leading := func(s string) int { return len(s) - len(strings.TrimLeft(s, digits)) }
	at := 0
	if strings.HasPrefix(text, "+") || strings.HasPrefix(text, "-") {
		at = 1
	}
	whole, part := leading(text[at:]), 0
	at += whole
	if strings.HasPrefix(text[at:], ".") {
		part = leading(text[at+1:])
		at += 1 + part
	}
	if whole+part == 0 || whole > 30 || part > 30 {
		return "", "", false
	}
	number, unit = text[:at], strings.TrimLeft(text[at:], " \t")
	if strings.ContainsAny(unit, digits) || unit != "" && strings.ContainsAny(unit[:1], ".+-") || utf8.RuneCountInString(unit) > 21 {
		return "", "", false
	}
	return number, unit, true
}

// readMeasure reads "2 mm". found is the unit as written, empty where there is none; r is nil when
// the text is no number at all, and when the unit is not among units.
func readMeasure(text string, units []unit) (r *big.Rat, found string, isNumber bool) {
	number, found, ok := splitMeasure(strings.TrimSpace(text))
	if !ok {
		return nil, "", false
	}
	n, ok := new(big.Rat).SetString(strings.TrimSuffix(number, "."))
	if !ok {
		return nil, "", false
	}
	for _, u := range units {
		if u.name == found {
			return n.Mul(n, u.in), found, true
		}
	}
	return nil, found, true
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
