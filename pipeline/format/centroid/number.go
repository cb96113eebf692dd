package centroid

import (
	"regexp"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

var unitLength = map[string]geom.Length{"mm": geom.MM, "mil": geom.Mil, "inch": geom.Inch}

var lengthForm = regexp.MustCompile(`^([+-]?)([0-9]{0,12})(?:[.]([0-9]{0,20}))?\s*([a-z"]*)$`)

// parseLength reads a coordinate exactly. own is the unit that the cell itself carries, if any.
func parseLength(s, unit string, commaPoint bool) (l geom.Length, own string, ok bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	if commaPoint && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	m := lengthForm.FindStringSubmatch(s)
	if m == nil || m[2]+m[3] == "" {
		return 0, "", false
	}
	switch m[4] {
	case "":
	case `"`:
		own = "inch"
	default:
		if own = unitWords[m[4]]; own == "" {
			return 0, "", false
		}
	}
	if own != "" {
		unit = own
	}
	// Past nine decimals no unit has a nanometre left to tell.
	frac := m[3][:min(len(m[3]), 9)]
	v, err := strconv.ParseInt("0"+m[2]+frac, 10, 64)
	div := int64(1)
	for range frac {
		div *= 10
	}
	if err != nil || v/div > int64(10*geom.Limit/unitLength[unit]) {
		return 0, own, false
	}
	l = geom.Length(geom.MulDiv(v, int64(unitLength[unit]), div))
	if m[1] == "-" {
		l = -l
	}
	return l, own, true
}

var angleForm = regexp.MustCompile(`^[+-]?[0-9]{0,9}(?:[.][0-9]{0,20})?$`)

func parseAngle(s string, commaPoint bool) (geom.Angle, bool) {
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(s), "deg"), "°"))
	if s == "" {
		return 0, true
	}
	if commaPoint && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	if !angleForm.MatchString(s) {
		return 0, false
	}
	a, err := geom.ParseAngle(s)
	return a.Normal(), err == nil
}
