package centroid

import (
	"strconv"
	"strings"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

var unitLength = map[string]geom.Length{"mm": geom.MM, "mil": geom.Mil, "inch": geom.Inch, "um": geom.UM}

// Units are the units that a table may be in.
var Units = []string{"mm", "mil", "inch", "um"}

// marks says how the numbers of a table are written.
type marks struct {
	comma  bool // a comma stands before the fraction
	groups bool // the other mark parts thousands
}

var numberForm = format.Pattern(`^[+-]?[0-9.,]*`)

// numberPart is the number of a cell without its unit, and whether it is one of marks and digits.
func numberPart(s string) string {
	s = strings.ReplaceAll(strings.TrimSpace(s), "−", "-")
	return strings.TrimLeft(numberForm().FindString(s), "+-")
}

// evidence is what one number says of how numbers are written.
type evidence int

const (
	saysNothing evidence = iota
	saysPoint            // 1.25: a point stands before the fraction
	saysComma            // 1,25
	saysEither           // 1,250: a fraction or a thousand
	saysPointGroups
	saysCommaGroups
)

var (
	pointGroups = format.Pattern(`^[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]*$|^[1-9][0-9]{0,2}(?:,[0-9]{3}){2,}$`)
	commaGroups = format.Pattern(`^[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]*$|^[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}$`)
	eitherForm  = format.Pattern(`^[1-9][0-9]{0,2},[0-9]{3}$`)
)

// weigh says what a number tells. An angle never has thousands.
func weigh(s string, angle bool) evidence {
	n := numberPart(s)
	points, commas := strings.Count(n, "."), strings.Count(n, ",")
	switch {
	case points+commas == 0:
		return saysNothing
	case points == 1 && commas == 0:
		return saysPoint
	case commas == 1 && points == 0:
		if eitherForm().MatchString(n) && !angle {
			return saysEither
		}
		return saysComma
	case pointGroups().MatchString(n):
		return saysPointGroups
	case commaGroups().MatchString(n):
		return saysCommaGroups
	}
	return saysNothing // no number: its cell will be refused
}

// plainNumber writes a number of the table with a point and without thousands; ok is false when it is
// not written as the table's numbers are.
func (m marks) plainNumber(s string) (string, bool) {
	s = strings.ReplaceAll(strings.TrimSpace(s), "−", "-")
	n := numberForm().FindString(s)
	rest := s[len(n):]
	switch weigh(n, false) {
	case saysNothing:
		return s, strings.Count(n, ".")+strings.Count(n, ",") == 0
	case saysPoint:
		return s, !m.comma
	case saysComma:
		return strings.Replace(n, ",", ".", 1) + rest, m.comma
	case saysEither:
		if m.comma {
			return strings.Replace(n, ",", ".", 1) + rest, true
		}
		return strings.ReplaceAll(n, ",", "") + rest, m.groups
	case saysPointGroups:
		return strings.ReplaceAll(n, ",", "") + rest, !m.comma
	}
	return strings.Replace(strings.ReplaceAll(n, ".", ""), ",", ".", 1) + rest, m.comma
}

var lengthForm = format.Pattern(`^([+-]?)([0-9]{0,12})(?:[.]([0-9]{0,20}))?(?:e([+-]?[0-9]{1,2}))?\s*([\pL"]*)\.?$`)

// parseLength reads a coordinate exactly, to the nearest nanometre. own is the unit that the cell
// itself carries, if any.
func parseLength(s, unit string, m marks) (l geom.Length, own string, ok bool) {
	s, ok = m.plainNumber(strings.ToLower(s))
	if !ok {
		return 0, "", false
	}
	g := lengthForm().FindStringSubmatch(s)
	if g == nil || g[2]+g[3] == "" {
		return 0, "", false
	}
	switch g[5] {
	case "":
	case `"`:
		own = "inch"
	default:
		if own = unitWords[g[5]]; own == "" || own == "mm" && g[5] == "metric" || own == "inch" && g[5] == "imperial" {
			return 0, "", false
		}
	}
	if own != "" {
		unit = own
	}
	whole, frac := g[2], g[3]
	if g[4] != "" { // 7.2e-05: the point moves
		e, _ := strconv.Atoi(g[4])
		for ; e > 0; e-- {
			if frac == "" {
				frac = "0"
			}
			whole, frac = whole+frac[:1], frac[1:]
		}
		for ; e < 0; e++ {
			if whole == "" {
				whole = "0"
			}
			whole, frac = whole[:len(whole)-1], whole[len(whole)-1:]+frac
		}
		whole = strings.TrimLeft(whole, "0")
		if len(whole) > 12 {
			return 0, own, false
		}
	}
	// Past nine decimals no unit has a nanometre left to tell.
	frac = frac[:min(len(frac), 9)]
	v, err := strconv.ParseInt("0"+whole+frac, 10, 64)
	div := int64(1)
	for range frac {
		div *= 10
	}
	if err != nil || v/div > int64(10*geom.Limit/unitLength[unit]) {
		return 0, own, false
	}
	l = geom.Length(geom.MulDiv(v, int64(unitLength[unit]), div))
	if g[1] == "-" {
		l = -l
	}
	return l, own, true
}

var angleForm = format.Pattern(`^[+-]?[0-9]{0,9}(?:[.][0-9]{0,20})?$`)

// parseAngle reads a rotation; nothing is 0. "R90" is 90°, and "MR90" that of a mirrored part.
func parseAngle(s string, m marks) (a geom.Angle, mirrored, ok bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	if t, is := strings.CutPrefix(s, "mr"); is && t != "" {
		s, mirrored = t, true
	} else if t, is := strings.CutPrefix(s, "r"); is && t != "" {
		s = t
	}
	for _, unit := range []string{"degrees", "deg.", "deg", "°", "º"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, unit))
	}
	if s == "" {
		return 0, mirrored, !mirrored
	}
	if weigh(s, true) == saysComma { // 90,000 is no ninety thousand degrees
		if !m.comma {
			return 0, false, false
		}
		s = strings.Replace(s, ",", ".", 1)
	} else if s, ok = m.plainNumber(s); !ok {
		return 0, false, false
	}
	if !angleForm().MatchString(s) || strings.Trim(s, "+-.") == "" {
		return 0, false, false
	}
	a, err := geom.ParseAngle(s)
	return a.Normal(), mirrored, err == nil
}
