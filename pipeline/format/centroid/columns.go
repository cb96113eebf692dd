package centroid

import (
	"regexp"
	"slices"
	"strings"
)

// field is what a column holds.
type field int

const (
	fNone field = iota
	fRefdes
	fValue
	fPackage
	fPartNumber
	fX
	fY
	fRotation
	fSide
	fieldCount
)

// names are the words for each column, best first: where several columns fit, the best one counts.
var names = [fieldCount][]string{
	fRefdes:     {"refdes", "referencedesignator", "refdesignator", "designator", "reference", "ref", "component", "partname", "name"},
	fValue:      {"value", "val", "comment", "partvalue"},
	fPackage:    {"package", "footprint", "pattern", "packagename", "case"},
	fPartNumber: {"partnumber", "manufacturerpartnumber", "mpn", "partno", "pn"},
	fX:          {"midx", "centerx", "centrex", "centroidx", "xmid", "xcenter", "posx", "positionx", "xpos", "locationx", "xlocation", "xcoord", "coordx", "x"},
	fY:          {"midy", "centery", "centrey", "centroidy", "ymid", "ycenter", "posy", "positiony", "ypos", "locationy", "ylocation", "ycoord", "coordy", "y"},
	fRotation:   {"rotation", "rot", "angle", "orientation", "theta"},
	fSide:       {"side", "layer", "tb", "boardside", "mountside", "placementside"},
}

var unitWords = map[string]string{
	"mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
	"mil": "mil", "mils": "mil", "thou": "mil",
	"inch": "inch", "inches": "inch", "in": "inch",
}

var trailingUnit = regexp.MustCompile(`^(.*[^a-z])(mm|mils?|inch(?:es)?|in|thou|deg|degrees)[^a-z]*$`)

// understand gives what a column is called in plain letters, and its unit where the name has one:
// "Center-X(mm)" is centerx in mm.
func understand(name string) (plain, unit string) {
	s := strings.ToLower(strings.TrimSpace(name))
	if m := trailingUnit.FindStringSubmatch(s); m != nil {
		s, unit = m[1], unitWords[m[2]]
	}
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, s), unit
}

// header is what a header line says.
type header struct {
	columns []string
	at      [fieldCount]int // column of each field, −1 when there is none
	unit    [fieldCount]string
}

// readHeader tells whether the names are those of a placement table: a reference designator, x and y
// at least.
func readHeader(columns []string) (header, bool) {
	h := header{columns: columns}
	plain, unit := make([]string, len(columns)), make([]string, len(columns))
	for c, name := range columns {
		plain[c], unit[c] = understand(name)
	}
	for f := range h.at {
		h.at[f] = -1
		best := len(names[f])
		for c := range columns {
			if rank := slices.Index(names[f][:best], plain[c]); rank >= 0 {
				h.at[f], h.unit[f], best = c, unit[c], rank
			}
		}
	}
	return h, h.at[fRefdes] >= 0 && h.at[fX] >= 0 && h.at[fY] >= 0
}

var (
	unitRemark = regexp.MustCompile(`(?i)(?:\bunits?\b\s*(?:used)?\s*[:=]?|\bcoordinates in)\s*(mm|mils?|inch(?:es)?|thou|millimet(?:re|er)s?)\b`)
	sideRemark = regexp.MustCompile(`(?i)^\W*side\s*[:=]\s*(top|bottom)\b`)
)

// side gives the side a word means; ok is false for an unknown word.
func side(word string) (string, bool) {
	plain, _ := understand(word)
	switch plain {
	case "":
		return "", true
	case "top", "t", "front", "f", "fcu", "toplayer", "topside", "componentside", "1":
		return "top", true
	case "bottom", "bot", "b", "back", "bcu", "bottomlayer", "bottomside", "solderside", "2":
		return "bottom", true
	}
	return "", false
}

// sideOfName takes the side from a file's name, where a name has only one of the words.
func sideOfName(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r < 'a' || r > 'z' })
	found := ""
	for _, w := range words {
		s := map[string]string{"top": "top", "front": "top", "bottom": "bottom", "bot": "bottom", "back": "bottom"}[w]
		switch {
		case s == "" || s == found:
		case found != "":
			return ""
		default:
			found = s
		}
	}
	return found
}
